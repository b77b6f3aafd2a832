"""The sheet of one stop: step, readings, and behind 'more' the rest. For the phone and the desk alike."""

import re
import uuid

from django import forms
from django.core.exceptions import ValidationError

from measurements.readings.instruments import Instrument
from measurements.readings.models import PLACES
from sizing.units.fields import NumberField, QuantityField

MAIN = [
    "boost_kpa",
    "exhaust_temperature_c",
    "smoke_opacity_pct",
    "charge_temperature_c",
    "oil_pressure_kpa",
    "oil_temperature_c",
]
MORE = [
    "coolant_temperature_c",
    "smoke_k_per_m",
    "restriction_kpa",
    "turbine_inlet_pressure_kpa",
    "exhaust_back_pressure_kpa",
    "lambda_ratio",
    "fuel_flow_l_h",
    "torque_nm",
    "power_kw",
]
CONDITIONS = ["air_temperature_c", "air_pressure_kpa"]
PLACE_CHOICES = {
    "boost_kpa": ["intake_manifold", "after_compressor", "after_cooler"],
    "exhaust_temperature_c": ["before_turbine", "after_turbine", "exhaust_port"],
    "charge_temperature_c": ["intake_manifold", "after_cooler", "after_compressor"],
    "oil_pressure_kpa": ["main_gallery", "turbo_feed"],
    "torque_nm": ["flywheel", "wheels"],
    "power_kw": ["flywheel", "wheels"],
}
PLACE_LABEL = dict(PLACES)
_STEP = re.compile(r"^(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)$")


def place_choices(slug: str) -> list[tuple[str, str]]:
    return [*((place, PLACE_LABEL[place]) for place in PLACE_CHOICES[slug]), ("", PLACE_LABEL[""])]


class PointForm(forms.Form):
    """One stop. A typed speed counts before a picked step."""

    point_id = forms.UUIDField(widget=forms.HiddenInput)
    step = forms.ChoiceField(required=False, widget=forms.RadioSelect)
    speed_rpm = QuantityField("speed_rpm", required=False, label="Another speed")
    load_pct = NumberField(low=0, high=100, unit="%", required=False, label="Load there")
    gear = forms.CharField(max_length=12, required=False)
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args, steps=(), instruments=(), defaults=None, phase="after", **kwargs):
        super().__init__(*args, **kwargs)
        self.steps, self.phase = list(steps), phase
        self.fields["step"].choices = [(s.slug, s.label) for s in self.steps] + [("other", "another speed")]
        for slug in [*MAIN, *MORE, *CONDITIONS]:
            self.fields[slug] = QuantityField(slug, required=False)
        self._add_places(defaults or {})
        self._add_instruments(list(instruments), defaults or {})
        self.initial.setdefault("point_id", uuid.uuid4())

    def _add_places(self, defaults):
        for slug in PLACE_CHOICES:
            name = f"place_{slug}"
            label = f"{self.fields[slug].label}: read where"
            self.fields[name] = forms.ChoiceField(choices=place_choices(slug), required=False, label=label)
            self.initial.setdefault(name, defaults.get(name, self._usual_place(slug)))

    def _usual_place(self, slug: str) -> str:
        if self.phase == "before" and slug in ("exhaust_temperature_c", "boost_kpa"):
            return "exhaust_port" if slug == "exhaust_temperature_c" else "intake_manifold"
        return PLACE_CHOICES[slug][0]

    def _add_instruments(self, instruments, defaults):
        for slug in [*MAIN, *MORE]:
            fitting = [i for i in instruments if i.quantity == slug]
            if not fitting:
                continue
            name = f"gauge_{slug}"
            self.fields[name] = forms.ModelChoiceField(
                Instrument.objects.filter(pk__in=[i.pk for i in fitting]), required=False, empty_label="not said",
                label=f"{self.fields[slug].label}: read with",
            )  # fmt: skip
            usual = defaults.get(name) or (fitting[0].pk if len(fitting) == 1 else None)
            self.initial.setdefault(name, usual)

    def main_fields(self):
        return [self[slug] for slug in MAIN]

    def more_fields(self):
        gauges = [name for name in self.fields if name.startswith("gauge_")]
        places = [f"place_{slug}" for slug in PLACE_CHOICES]
        return [self[name] for name in [*MORE, *CONDITIONS, *places, *gauges, "gear", "note"]]

    @property
    def more_is_open(self) -> bool:
        """Opened again when something in it was typed or refused, so that nothing typed is hidden."""
        names = [*MORE, *CONDITIONS, "gear", "note"]
        return self.is_bound and any(self.data.get(name) or name in self.errors for name in names)

    def clean(self):
        data = super().clean()
        self._clean_step(data)
        self.values = {slug: data[slug] for slug in [*MAIN, *MORE] if data.get(slug) is not None}
        tried = any(self.data.get(slug, "").strip() for slug in [*MAIN, *MORE])
        if not self.values and not tried:
            raise ValidationError("Nothing was typed yet: fill in at least one reading.")
        return data

    def _clean_step(self, data):
        typed, match = data.get("speed_rpm"), _STEP.match(data.get("step") or "")
        if "speed_rpm" in self.errors or "load_pct" in self.errors:
            return
        if typed is None and match:
            data["speed_rpm"], data["load_pct"] = float(match[1]), float(match[2])
        elif typed is None:
            self.add_error("speed_rpm", "Pick a step, or type the speed at which the engine was held.")
        elif data.get("load_pct") is None:
            self.add_error("load_pct", "Say the load at that speed: 0 % is no load, 100 % is full load.")

    def recorded(self) -> dict:
        """What record_point takes, besides the job, the phase and the person."""
        data = self.cleaned_data
        return {
            "point_id": data["point_id"],
            "speed_rpm": data["speed_rpm"],
            "load_pct": data["load_pct"],
            "values": self.values,
            "places": {slug: data.get(f"place_{slug}", "") for slug in self.values if slug in PLACE_CHOICES},
            "instruments": {slug: gauge for slug in self.values if (gauge := data.get(f"gauge_{slug}"))},
            "gear": data["gear"],
            "note": data["note"],
            **{name: data.get(name) for name in CONDITIONS},
        }

    def take_refusal(self, errors: dict[str, str]) -> None:
        for name, text in errors.items():
            self.add_error(name if name in self.fields else None, text)


class CorrectionForm(forms.Form):
    reason = forms.CharField(max_length=200, label="Why it is corrected")

    def __init__(self, *args, reading, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields = {"value": QuantityField(reading.quantity, label="Right value"), **self.fields}
