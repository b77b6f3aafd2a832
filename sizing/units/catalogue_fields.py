from sizing.units.fields import NumberField, tidy
from sizing.units.shown import shown_unit, to_shown, to_stored


class ShownNumberField(NumberField):
    """Typed in the workshop's unit, returned in the stored one; left alone it keeps every stored digit."""

    def __init__(self, unit: str, low: float, high: float, **kwargs):
        self.stored_unit = unit
        low, high = (float(to_shown(end, unit)) for end in (low, high))
        super().__init__(low=low, high=high, unit=shown_unit(unit), **kwargs)

    def prepare_value(self, value):
        return tidy(float(to_shown(value, self.stored_unit))) if isinstance(value, int | float) else value

    def finish(self, parsed, typed):
        return float(to_stored(parsed, self.stored_unit))

    def has_changed(self, initial, data):
        return (
            self.prepare_value(initial) != (data or "").strip() if initial is not None else bool((data or "").strip())
        )
