"""What the person says of a compressor map: the units it is written in and its reference state."""

from django import forms

from sizing.catalogue.import_forms import UploadForm
from sizing.catalogue.map_units import FLOW_UNITS, PRESSURE_UNITS, TEMPERATURE_UNITS, MapUnits
from sizing.catalogue.models import Turbo
from sizing.tables.named import MAX_BYTES
from sizing.units.conversion import convert
from sizing.units.display import unit_choices
from sizing.units.fields import NumberField
from sizing.units.figures import tidy, to_shown

HEADING_SAYS = ("", "as its heading says")
# Reference states that stand on maps, in the stored unit; common practice.
STATE = {"temperature": ("K", 250.0, 330.0), "pressure": ("kPa", 60.0, 110.0)}


# The ends depend on the unit that was typed, so `clean` holds them; these only keep out what is no figure at all.
ANY = {"low": -1e9, "high": 1e9}


def _choices(units: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(unit, unit) for unit in units]


class MapSettingsForm(forms.Form):
    flow_unit = forms.ChoiceField(
        label="Unit of flow in the file", required=False, choices=[HEADING_SAYS, *_choices(FLOW_UNITS)]
    )
    efficiency_unit = forms.ChoiceField(
        label="Efficiency in the file",
        required=False,
        choices=[HEADING_SAYS, ("ratio", "as a fraction, such as 0.72"), ("%", "in per cent, such as 72")],
    )
    temperature = NumberField(
        label="Reference temperature of the map", **ANY, help_text="stands on the map; 298 K (25 °C) is common"
    )
    temperature_unit = forms.ChoiceField(label="Unit of that temperature", choices=_choices(TEMPERATURE_UNITS))
    pressure = NumberField(
        label="Reference pressure of the map, absolute", **ANY, help_text="100 kPa (1 bar) and 96.2 kPa are common"
    )
    pressure_unit = forms.ChoiceField(label="Unit of that pressure", choices=_choices(PRESSURE_UNITS))

    def clean(self):
        """The reference state in stored units; an error says what is allowed in the unit that was typed."""
        given = self.cleaned_data
        for name, (stored, low, high) in STATE.items():
            value, unit = given.get(name), given.get(f"{name}_unit")
            if value is None or unit is None:
                continue
            if not low <= round(convert(value, unit, stored), 6) <= high:
                ends = " to ".join(tidy(round(convert(end, stored, unit), 2)) for end in (low, high))
                self.add_error(
                    name,
                    f"{self.fields[name].label}: {tidy(value)} {unit} is outside what is possible. Allowed: {ends} {unit}.",
                )
        return given

    @property
    def settings(self) -> MapUnits:
        given = self.cleaned_data
        kelvin, kpa = (
            round(convert(given[name], given[f"{name}_unit"], stored), 6) for name, (stored, _, _) in STATE.items()
        )
        return MapUnits(given["flow_unit"], given["efficiency_unit"], kelvin, kpa)


class MapUploadForm(MapSettingsForm, UploadForm):
    field_order = ["file"]

    def __init__(self, turbo: Turbo, *args, **kwargs):
        super().__init__(*args, initial=_state_of(turbo), **kwargs)


def _state_of(turbo: Turbo) -> dict[str, object]:
    """The state of the map that is there, in the workshop's units; of a new map nobody knows it yet."""
    choices = unit_choices()
    state: dict[str, object] = {"temperature_unit": choices["temperature"], "pressure_unit": choices["pressure"]}
    if turbo.map_points.exists():
        state["temperature"] = round(float(to_shown(turbo.map_temperature_k, "K")), 6)
        state["pressure"] = round(float(to_shown(turbo.map_pressure_kpa, "kPa")), 6)
    return state


class MapConfirmForm(MapSettingsForm):
    text = forms.CharField(max_length=MAX_BYTES, strip=False, widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.widget = forms.HiddenInput()
