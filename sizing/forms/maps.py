from django import forms

from sizing.actions.maps import FLOW_UNITS
from sizing.csv_io import MAX_BYTES
from sizing.fields import NumberField

from .imports import UploadForm


class MapSettingsForm(forms.Form):
    flow_unit = forms.ChoiceField(label="Unit of flow in the file", choices=[("", "choose"), *[(u, u) for u in FLOW_UNITS]])
    efficiency_in = forms.ChoiceField(
        label="Efficiency in the file",
        choices=[("fraction", "as a fraction, such as 0.72"), ("pct", "in per cent, such as 72: divide by 100")],
    )
    map_temperature_k = NumberField(
        label="Reference temperature of the map", unit="K", low=250, high=330,
        help_text="stands on the map; a map without it cannot be used with certainty (298 K is common)",
    )
    map_pressure_kpa = NumberField(
        label="Reference pressure of the map, absolute", unit="kPa", low=60, high=110, help_text="100 kPa and 96.2 kPa are common"
    )

    @property
    def settings(self) -> tuple[str, bool, float, float]:
        given = self.cleaned_data
        return given["flow_unit"], given["efficiency_in"] == "pct", given["map_temperature_k"], given["map_pressure_kpa"]


class MapUploadForm(MapSettingsForm, UploadForm):
    field_order = ["file", "flow_unit", "efficiency_in"]


class MapConfirmForm(MapSettingsForm):
    text = forms.CharField(max_length=MAX_BYTES, strip=False, widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.widget = forms.HiddenInput()
