class MeasurementRefused(ValueError):
    """What was measured cannot carry the result; the message says why, and what would."""
