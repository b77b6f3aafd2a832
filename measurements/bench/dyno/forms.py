"""One form for each way of measuring torque and power: its record, what is set, the air, and what the correction needs."""

import uuid

from django import forms
from django.core.exceptions import ValidationError

from measurements.bench.curves.curve_csv import read_curve
from measurements.bench.dyno.correction import STANDARDS
from measurements.bench.dyno.correction_basis import Air, CorrectionBasis, correction_of, why_not_worked_out
from measurements.bench.dyno.run_csv import MOST_BYTES, read_run
from measurements.bench.dyno.run_errors import MeasurementRefused
from measurements.bench.dyno.runs import (
    RolledVehicle,
    brake_curve,
    coast_down_loss,
    drum_curve,
    dry_air_density_kg_m3,
    road_curve,
)
from measurements.readings.instrument_forms import read_with
from measurements.readings.models import Point
from measurements.readings.refusal import RefusalMixin
from sizing.physics.errors import OutOfRange
from sizing.tables.forms import FileOrTextMixin, size_refused, table_file, typed_table
from sizing.tables.refused import FileRefused
from sizing.units.fields import NumberField, QuantityField

CLASSES = [("", "not chosen: no correction")] + [
    (f"{s.slug}:{c.slug}", f"{s.label}: {c.label}") for s in STANDARDS.values() for c in s.classes
]
RATIO_PLACES = [("compressor", "after the compressor"), ("cooler", "after the cooler")]


class DynoForm(RefusalMixin, FileOrTextMixin):
    """What every way asks. Each kind adds its own and turns the record into a curve."""

    kind, record_help = "", ""
    own: tuple[str, ...] = ()

    test_id = forms.UUIDField(widget=forms.HiddenInput)
    phase = forms.ChoiceField(choices=Point.PHASES, label="Taken")
    file = table_file("Record, CSV or spreadsheet")
    text = typed_table(MOST_BYTES)
    air_temperature_c = QuantityField("air_temperature_c", required=False)
    air_pressure_kpa = QuantityField("air_pressure_kpa", required=False)
    relative_humidity_pct = NumberField(low=0, high=100, unit="%", required=False, label="Relative humidity")
    engine_class = forms.ChoiceField(
        required=False, choices=CLASSES, label="Correct by, engine class", help_text="chosen and recorded, not deduced"
    )
    delivery_mm3 = QuantityField("delivery_mm3", required=False, label="Delivery at highest power")
    fuel_density_kg_l = NumberField(
        low=0.7,
        high=1.0,
        unit="kg/L",
        required=False,
        label="Fuel density",
        help_text="about 0.835 at 15 °C, common practice",
    )
    cylinder_count = NumberField(low=1, high=16, whole=True, required=False, label="Cylinders")
    displacement_l = NumberField(low=0.1, high=60, unit="L", required=False, label="Displacement")
    boost_kpa = QuantityField("boost_kpa", required=False, label="Boost at highest power")
    ratio_place = forms.ChoiceField(choices=RATIO_PLACES, required=False, label="Boost was read")
    note = forms.CharField(max_length=200, required=False, help_text="such as gear, tyres, tyre pressure")

    air_fields = ("air_temperature_c", "air_pressure_kpa", "relative_humidity_pct")
    correction_fields = (
        "engine_class",
        "delivery_mm3",
        "fuel_density_kg_l",
        "cylinder_count",
        "displacement_l",
        "boost_kpa",
        "ratio_place",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial.setdefault("test_id", uuid.uuid4())
        self.fields["file"].help_text = self.record_help
        self.curve, self.record, self.run_down_bytes = None, b"", b""

    def own_fields(self):
        return [self[name] for name in self.own]

    def air_bound(self):
        return [self[name] for name in self.air_fields]

    def correction_bound(self):
        return [self[name] for name in self.correction_fields]

    def air(self) -> Air:
        return Air(*(self.cleaned_data.get(name) for name in self.air_fields))

    def basis(self) -> CorrectionBasis:
        data = self.cleaned_data
        standard, _, engine_class = (data.get("engine_class") or "r85:").partition(":")
        names = ("delivery_mm3", "cylinder_count", "fuel_density_kg_l", "displacement_l", "boost_kpa")
        return CorrectionBasis(
            standard,
            engine_class,
            **{n: data.get(n) for n in names},
            ratio_place=data.get("ratio_place") or "compressor",
        )

    def clean(self):
        data = super().clean()
        sent = self.sent_table(MOST_BYTES)
        if sent is None or self.errors:
            return data
        self.record, field = sent
        try:
            self.curve = self.measured(data)
            if not why_not_worked_out(self.air(), self.basis()):
                correction_of(self.air(), self.basis())
        except OutOfRange as refused:
            self.add_error(self.field_of(refused.name), f"{str(refused)[:1].upper()}{str(refused)[1:]}.")
        except FileRefused as refused:
            self.add_error(field, str(refused))
        except (MeasurementRefused, ValueError) as refused:
            self.add_error(None, str(refused))
        return data

    def field_of(self, name: str) -> str | None:
        """The field that a physics name stands for; none where it is a figure of the record."""
        return (
            name
            if name in self.fields
            else {"pressure_ratio": "boost_kpa", "fuel_parameter_mg": "delivery_mm3"}.get(name)
        )

    def measured(self, data):
        raise NotImplementedError

    def instrument_ratio(self) -> float:
        """Engine speed over the speed that the instrument sees: torque there is as much larger."""
        return self.cleaned_data["speed_ratio"] if self.kind == "brake" else 1.0

    def setup(self) -> list[tuple[str, float, str]]:
        """What was set, each by the code of its field; one name may stand for another thing on another form."""
        rows = [(f"{self.kind}.{n}", self.cleaned_data.get(n), getattr(self.fields[n], "unit", "")) for n in self.own]
        return [row for row in rows if isinstance(row[1], int | float)]


class BrakeForm(DynoForm):
    kind, own = "brake", ("speed_ratio", "torque_uncertainty_pct", "instrument")
    record_help = "speed of the brake with torque or power, such as engine_speed_rpm, torque_Nm"
    speed_ratio = NumberField(
        low=0.1,
        high=20,
        required=False,
        when_empty=1.0,
        label="Engine speed over brake speed",
        help_text="1 on the flywheel",
    )
    torque_uncertainty_pct = NumberField(low=0, high=50, unit="%", required=False, label="Torque, plus or minus")
    instrument = read_with("torque_nm", "power_kw")

    def measured(self, data):
        points = read_curve(self.record)
        return brake_curve(
            [p[0] for p in points], [p[1] for p in points], data["torque_uncertainty_pct"], data["speed_ratio"]
        )


class DrumForm(DynoForm):
    kind = "drum"
    own = (
        "inertia_kg_m2",
        "inertia_uncertainty_pct",
        "speed_ratio",
        "engine_inertia_kg_m2",
        "speed_uncertainty_pct",
        "window_s",
        "instrument",
        "run_down",
    )
    record_help = "time and drum speed, such as time_s, drum_speed_rpm"
    inertia_kg_m2 = NumberField(
        low=0.01,
        high=10000,
        unit="kg m²",
        label="Inertia at the drum",
        help_text="drum, wheels, driveline; the engine below",
    )
    inertia_uncertainty_pct = NumberField(low=0, high=50, unit="%", required=False, label="Inertia, plus or minus")
    speed_ratio = NumberField(
        low=0.05, high=100, label="Engine speed over drum speed", help_text="read both at once, in the gear of the run"
    )
    engine_inertia_kg_m2 = NumberField(
        low=0, high=50, unit="kg m²", required=False, when_empty=0.0, label="Inertia of the engine itself"
    )
    speed_uncertainty_pct = NumberField(
        low=0, high=20, unit="%", required=False, when_empty=0.5, label="Drum speed, plus or minus"
    )
    window_s = NumberField(low=0.05, high=10, unit="s", required=False, when_empty=0.5, label="Smooth over")
    instrument = read_with(
        "power_kw",
        help_text="rollers with a known plus or minus of power; it counts where that of the inertia is empty",
    )
    run_down = table_file(
        "Run-down, CSV or spreadsheet", "clutch down, the same columns; without it the figure holds at the wheels"
    )

    def measured(self, data):
        loss, file = None, data.get("run_down")
        if file:
            if why := size_refused(file, MOST_BYTES):
                raise ValidationError({"run_down": why})
            self.run_down_bytes = file.read()
            try:
                loss = coast_down_loss(
                    *read_run(self.run_down_bytes, "drum"), data["inertia_kg_m2"], max(1.0, data["window_s"])
                )
            except (FileRefused, MeasurementRefused) as refused:
                raise ValidationError({"run_down": f"Run-down: {refused}"}) from refused
        return drum_curve(
            *read_run(self.record, "drum"), data["inertia_kg_m2"], data["speed_ratio"], data["engine_inertia_kg_m2"], loss,
            data["inertia_uncertainty_pct"], data["speed_uncertainty_pct"], data["window_s"],
        )  # fmt: skip


class RoadForm(DynoForm):
    kind = "road"
    own = (
        "mass_kg", "mass_uncertainty_kg", "drag_area_m2", "drag_area_uncertainty_m2", "rolling_resistance", "rolling_resistance_uncertainty",
        "slope_pct", "slope_uncertainty_pct", "engine_rpm_per_km_h", "speed_uncertainty_pct", "window_s",
    )  # fmt: skip
    record_help = "time and road speed in one gear at full load, such as time_s, road_speed_km_h"
    mass_kg = NumberField(
        low=100, high=60000, unit="kg", label="Mass as driven", help_text="with people and load, weighed"
    )
    mass_uncertainty_kg = NumberField(low=0, high=10000, unit="kg", label="Mass, plus or minus")
    drag_area_m2 = NumberField(
        low=0.1, high=15, unit="m²", label="Drag area", help_text="drag coefficient times frontal area"
    )
    drag_area_uncertainty_m2 = NumberField(low=0, high=10, unit="m²", label="Drag area, plus or minus")
    rolling_resistance = NumberField(low=0.003, high=0.3, label="Rolling resistance", help_text="force over weight")
    rolling_resistance_uncertainty = NumberField(low=0, high=0.2, label="Rolling resistance, plus or minus")
    slope_pct = NumberField(low=-30, high=30, unit="%", label="Slope", help_text="uphill positive")
    slope_uncertainty_pct = NumberField(low=0, high=20, unit="%", label="Slope, plus or minus")
    engine_rpm_per_km_h = NumberField(
        low=3,
        high=1000,
        unit="rpm",
        label="Engine speed at 1 km/h",
        help_text="in the gear of the run: rpm read, over km/h read",
    )
    speed_uncertainty_pct = NumberField(
        low=0, high=20, unit="%", required=False, when_empty=1.0, label="Speed, plus or minus"
    )
    window_s = NumberField(low=0.05, high=10, unit="s", required=False, when_empty=1.0, label="Smooth over")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("air_temperature_c", "air_pressure_kpa"):
            self.fields[name].required = True  # the drag needs them

    def measured(self, data):
        vehicle = RolledVehicle(**{n: data[n] for n in self.own if n in RolledVehicle.__dataclass_fields__})
        density = dry_air_density_kg_m3(data["air_pressure_kpa"], data["air_temperature_c"])
        return road_curve(
            *read_run(self.record, "road"),
            data["engine_rpm_per_km_h"],
            vehicle,
            density,
            data["speed_uncertainty_pct"],
            data["window_s"],
        )


FORMS = {form.kind: form for form in (BrakeForm, DrumForm, RoadForm)}
