"""What a run needs beforehand: inertia of the rollers, losses of a run-down, drag and rolling resistance of a coast-down."""

from math import hypot

import numpy as np
from django import forms
from django.core.exceptions import ValidationError

from measurements.bench.dyno.run_csv import MOST_BYTES, read_run
from measurements.bench.dyno.run_errors import MeasurementRefused
from measurements.bench.dyno.runs import (
    RAD_S_PER_RPM,
    RolledVehicle,
    coast_down_loss,
    drum_energy_kj,
    dry_air_density_kg_m3,
    reflected_inertia_kg_m2,
    road_coast_down,
    roller_inertia_kg_m2,
)
from sizing.physics.errors import OutOfRange
from sizing.tables.forms import size_refused, table_file
from sizing.tables.refused import FileRefused
from sizing.units.fields import NumberField, QuantityField


class WorkForm(forms.Form):
    """Answers in `answers`: label, figure as text, unit; `prefill` is what goes on into the form of a run."""

    title, told, kind = "", "", ""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.answers: list[tuple[str, str, str]] = []
        self.notes: list[str] = []
        self.prefill: dict[str, str] = {}

    def clean(self):
        data = super().clean()
        if self.errors:
            return data
        try:
            self.work(data)
        except OutOfRange as refused:
            self.add_error(
                refused.name if refused.name in self.fields else None, f"{str(refused)[:1].upper()}{str(refused)[1:]}."
            )
        except (FileRefused, MeasurementRefused) as refused:
            self.add_error("record" if "record" in self.fields else None, str(refused))
        return data

    def run_of(self, name: str, kind: str) -> tuple[np.ndarray, np.ndarray]:
        file = self.cleaned_data[name]
        if why := size_refused(file, MOST_BYTES):
            raise ValidationError({name: why})
        return read_run(file.read(), kind)

    def work(self, data) -> None:
        raise NotImplementedError


class RollersForm(WorkForm):
    title, kind = "Inertia of the rollers", "drum"
    told = "From mass and size. A hollow roller of the same mass has more inertia than a solid one: its mass sits further out."
    count = NumberField(low=1, high=8, whole=True, label="Rollers that turn together")
    mass_kg = NumberField(low=1, high=20000, unit="kg", label="Mass of one")
    mass_uncertainty_pct = NumberField(low=0, high=50, unit="%", required=False, label="Mass, plus or minus")
    outer_radius_mm = NumberField(low=20, high=2000, unit="mm", label="Outer radius")
    radius_uncertainty_pct = NumberField(low=0, high=20, unit="%", required=False, label="Radius, plus or minus")
    inner_radius_mm = NumberField(
        low=0, high=2000, unit="mm", required=False, when_empty=0.0, label="Inner radius", help_text="0 or empty: solid"
    )
    wheels_kg_m2 = NumberField(
        low=0, high=500, unit="kg m²", required=False, when_empty=0.0, label="Wheels and axle, about their own axis"
    )
    wheel_ratio = NumberField(
        low=0.05, high=20, required=False, when_empty=1.0, label="Turns of the wheel for one of the roller"
    )
    drum_speed_rpm = NumberField(
        low=1, high=5000, unit="rpm", label="Highest drum speed", help_text="for the energy that is in it then"
    )

    def work(self, data) -> None:
        if data["inner_radius_mm"] >= data["outer_radius_mm"]:
            raise ValidationError(
                {
                    "inner_radius_mm": f"Inner radius: {data['inner_radius_mm']:g} mm must be under the outer radius, {data['outer_radius_mm']:g} mm."
                }
            )
        outer, inner = data["outer_radius_mm"] / 1000, data["inner_radius_mm"] / 1000
        one = roller_inertia_kg_m2(data["mass_kg"], outer, inner)
        rollers, wheels = one * data["count"], reflected_inertia_kg_m2(data["wheels_kg_m2"], data["wheel_ratio"])
        total = rollers + wheels
        self.answers = [("Inertia at the drum", f"{total:.4g}", "kg m²")]
        self.prefill = {"inertia_kg_m2": f"{total:.6g}"}
        mass_pct, radius_pct = data["mass_uncertainty_pct"], data["radius_uncertainty_pct"]
        if mass_pct is not None and radius_pct is not None:
            half = hypot(mass_pct, 2 * radius_pct) * rollers / total
            self.answers.append(("Plus or minus", f"{half:.2g}", "%"))
            self.prefill["inertia_uncertainty_pct"] = f"{half:.3g}"
            self.notes.append(
                "Mass counts once and radius twice, as independent parts (GUM, JCGM 100, 5.1); wheels were taken as exact."
            )
        energy = drum_energy_kj(total, data["drum_speed_rpm"])
        self.answers += [
            ("One roller", f"{one:.4g}", "kg m²"),
            (f"Energy at {data['drum_speed_rpm']:,.0f} rpm", f"{energy:,.0f}", "kJ"),
        ]
        self.notes.append(
            "The engine is not in it: its own inertia is asked for at the run. A brake or a burst roller lets this energy go: guards on, nobody in line."
        )


class RunDownForm(WorkForm):
    title, kind = "Losses of the rollers", "drum"
    told = (
        "Let drum and wheels run down freely, clutch down. How fast they slow tells what bearings, tyres and air take."
    )
    inertia_kg_m2 = NumberField(
        low=0.01,
        high=10000,
        unit="kg m²",
        label="Inertia at the drum",
        help_text="drum, wheels, driveline; not the engine",
    )
    window_s = NumberField(low=0.05, high=10, unit="s", required=False, when_empty=1.0, label="Smooth over")
    record = table_file("Run-down, CSV or spreadsheet", "time and drum speed, such as time_s, drum_speed_rpm", True)

    def work(self, data) -> None:
        times, rpm = self.run_of("record", "drum")
        loss = coast_down_loss(times, rpm, data["inertia_kg_m2"], data["window_s"])
        for speed in np.linspace(loss.low, loss.high, 3):
            torque = float(loss.at(speed))
            self.answers.append(
                (
                    f"At {speed / RAD_S_PER_RPM:,.0f} rpm of the drum",
                    f"{torque:.1f}",
                    f"Nm, {torque * speed / 1000:.2f} kW",
                )
            )
        self.answers.append(("Scatter about the fit", f"{loss.scatter:.2g}", "Nm"))
        lost = drum_energy_kj(data["inertia_kg_m2"], float(rpm[0])) - drum_energy_kj(
            data["inertia_kg_m2"], float(rpm[-1])
        )
        omega = rpm * RAD_S_PER_RPM
        taken = float(np.trapezoid(loss.at(omega) * omega, times)) / 1000
        self.notes.append(
            f"The drum gave up {lost:.1f} kJ; the fitted losses take {taken:.1f} kJ over the same time. The closer, the better the fit."
        )
        self.notes.append(
            "Send the same file with the run: its losses are then added and the figure holds at the flywheel."
        )
        self.prefill = {"inertia_kg_m2": f"{data['inertia_kg_m2']:.6g}"}


class CoastDownForm(WorkForm):
    title, kind = "Drag and rolling resistance of the vehicle", "road"
    told = "On a straight, level, empty road without wind: speed up, neutral, let it roll. Both ways, so that wind and slope cancel."
    mass_kg = NumberField(
        low=100, high=60000, unit="kg", label="Mass as driven", help_text="with people and load, weighed"
    )
    slope_pct = NumberField(
        low=-30,
        high=30,
        unit="%",
        required=False,
        when_empty=0.0,
        label="Slope of the way there",
        help_text="uphill positive",
    )
    rotating_share = NumberField(
        low=0,
        high=1,
        required=False,
        when_empty=0.04,
        label="Wheels as a share of the mass",
        help_text="0.04, common practice",
    )
    air_temperature_c = QuantityField("air_temperature_c")
    air_pressure_kpa = QuantityField("air_pressure_kpa")
    window_s = NumberField(low=0.05, high=10, unit="s", required=False, when_empty=2.0, label="Smooth over")
    record = table_file(
        "Rolling there, CSV or spreadsheet", "time and road speed, such as time_s, road_speed_km_h", True
    )
    record_back = table_file("Rolling back, CSV or spreadsheet", "the same road the other way")

    def work(self, data) -> None:
        density = dry_air_density_kg_m3(data["air_pressure_kpa"], data["air_temperature_c"])
        found = []
        for name, sign in (("record", 1.0), ("record_back", -1.0)):
            if data.get(name):
                vehicle = RolledVehicle(data["mass_kg"], 1.0, 0.01, sign * data["slope_pct"], data["rotating_share"])
                found.append(road_coast_down(*self.run_of(name, "road"), vehicle, density, data["window_s"]))
        drags, rolling = [f[0] for f in found], [f[1] for f in found]
        drag, roll = sum(drags) / len(found), sum(rolling) / len(found)
        self.answers = [("Drag area", f"{drag:.3g}", "m²"), ("Rolling resistance", f"{roll:.3g}", "")]
        self.prefill = {
            "drag_area_m2": f"{drag:.4g}",
            "rolling_resistance": f"{roll:.4g}",
            "mass_kg": f"{data['mass_kg']:g}",
            "slope_pct": f"{data['slope_pct']:g}",
        }
        if len(found) == 2:
            halves = abs(drags[0] - drags[1]) / 2, abs(rolling[0] - rolling[1]) / 2
            self.answers += [
                ("Drag area, half of the difference", f"{halves[0]:.2g}", "m²"),
                ("Rolling resistance, half of the difference", f"{halves[1]:.2g}", ""),
            ]
            self.prefill |= {
                "drag_area_uncertainty_m2": f"{halves[0]:.3g}",
                "rolling_resistance_uncertainty": f"{halves[1]:.3g}",
            }
        else:
            self.notes.append("One way only: wind and slope are still in it, and how exact it is is not known.")
        self.notes.append(
            f"Air density {density:.3f} kg/m³ from the air of the day; the drag area itself does not change with it."
        )


WORK = {"rollers": RollersForm, "run-down": RunDownForm, "coast-down": CoastDownForm}
