from sizing.said import Refused


class MeasurementRefused(Refused):
    """What was measured cannot carry the result; the sentence says why, and what would."""
