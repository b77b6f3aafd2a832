"""What goes into a plan and what comes out of it."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from sizing.physics.engine.breathing import check_injection
from sizing.physics.errors import Floats, OutOfRange, require


@dataclass(frozen=True)
class Range:
    """An input that is known only between two ends; every value between is taken as equally likely."""

    low: float
    high: float
    origin: str = "guessed"

    def __post_init__(self) -> None:
        if not (np.isfinite(self.low) and np.isfinite(self.high)):
            raise ValueError(f"the range {self.low:g} to {self.high:g} has an end that is no number")
        if self.low > self.high:
            raise ValueError(f"the range starts at {self.low:g} and ends at {self.high:g}; its ends are swapped")


Value = float | Floats | Range


@dataclass(frozen=True)
class Allowed:
    """What an input may be."""

    low: float
    high: float
    unit: str
    may_be_none: bool = False


ALLOWED: dict[str, Allowed] = {
    "altitude_m": Allowed(-430.0, 5200.0, "m"),
    "air_pressure_kpa": Allowed(50.0, 108.0, "kPa", True),
    "air_temperature_c": Allowed(-40.0, 55.0, "°C"),
    "relative_humidity_pct": Allowed(0.0, 100.0, "%"),
    "displacement_l": Allowed(0.3, 30.0, "L"),
    "cylinder_count": Allowed(1.0, 16.0, ""),
    "compression_ratio": Allowed(12.0, 26.0, ""),
    "rated_power_kw": Allowed(2.0, 600.0, "kW"),
    "rated_speed_rpm": Allowed(500.0, 5500.0, "rpm"),
    "governed_speed_rpm": Allowed(510.0, 6200.0, "rpm", True),
    "boost_kpa": Allowed(0.0, 300.0, "kPa"),
    "boost_onset_rpm": Allowed(300.0, 5000.0, "rpm", True),
    "boost_full_rpm": Allowed(400.0, 6000.0, "rpm", True),
    "compressor_efficiency_ratio": Allowed(0.4, 0.85, ""),
    "turbine_efficiency_ratio": Allowed(0.3, 0.8, ""),
    "cooler_effectiveness_ratio": Allowed(0.0, 0.95, ""),
    "cooler_pressure_loss_kpa": Allowed(0.0, 30.0, "kPa"),
    "coolant_temperature_c": Allowed(-40.0, 100.0, "°C", True),
    "air_cleaner_loss_kpa": Allowed(0.0, 15.0, "kPa"),
    "exhaust_loss_kpa": Allowed(0.0, 40.0, "kPa"),
    "plunger_diameter_mm": Allowed(4.0, 14.0, "mm", True),
    "plunger_diameter_as_built_mm": Allowed(4.0, 14.0, "mm", True),
    "effective_stroke_mm": Allowed(0.3, 15.0, "mm", True),
    "delivery_mm3": Allowed(3.0, 600.0, "mm³", True),
    "delivery_as_built_mm3": Allowed(3.0, 400.0, "mm³", True),
    "injection_pressure_bar": Allowed(60.0, 1200.0, "bar"),
    "line_volume_mm3": Allowed(0.0, 10_000.0, "mm³"),
    "barrel_volume_mm3": Allowed(0.0, 10_000.0, "mm³"),
    "fuel_density_15c_kg_m3": Allowed(790.0, 920.0, "kg/m³"),
    "fuel_temperature_c": Allowed(-20.0, 90.0, "°C"),
    "begin_of_injection_deg": Allowed(-5.0, 40.0, "deg", True),
    "compensator_lambda_ratio": Allowed(1.0, 3.0, "", True),
}


@dataclass(frozen=True)
class PlanInputs:
    """Facts and choices of one plan. Any number may be an array of draws or a `Range`.

    Defaults are common practice for a small or middling diesel unless a source stands beside.
    """

    displacement_l: Value
    cylinder_count: Value
    compression_ratio: Value
    injection: str
    rated_power_kw: Value
    rated_speed_rpm: Value
    governed_speed_rpm: Value | None = None  # None: 10 % above rated speed
    # the place
    altitude_m: Value = 0.0
    air_pressure_kpa: Value | None = None  # None: standard atmosphere at the altitude
    air_temperature_c: Value = 25.0
    relative_humidity_pct: Value = 50.0
    # boost: the wish, until a turbine decides
    boost_kpa: Value = 0.0  # gauge, in the manifold
    boost_onset_rpm: Value | None = None  # None: 30 % of rated speed
    boost_full_rpm: Value | None = None  # None: 55 % of rated speed
    compressor_efficiency_ratio: Value = 0.68
    turbine_efficiency_ratio: Value = 0.58  # bearings included
    cooler_effectiveness_ratio: Value = 0.0  # 0: no cooler
    cooler_pressure_loss_kpa: Value = 0.0
    coolant_temperature_c: Value | None = None  # None: the air's
    air_cleaner_loss_kpa: Value = 2.5  # clean element and pipe at rated speed
    exhaust_loss_kpa: Value = 6.0  # pipe and silencer behind the turbine at rated speed
    # the pump
    plunger_diameter_mm: Value | None = None
    plunger_diameter_as_built_mm: Value | None = None  # None: as plunger_diameter_mm
    effective_stroke_mm: Value | None = None
    delivery_mm3: Value | None = None  # bench figure a stroke at full load
    delivery_as_built_mm3: Value | None = None  # None: what the rated power needs
    injection_pressure_bar: Value = 150.0
    line_volume_mm3: Value = 1500.0  # line 2 mm x 480 mm
    barrel_volume_mm3: Value = 500.0  # barrel above the plunger and injector
    fuel_density_15c_kg_m3: Value = 835.0  # middle of EN 590, 820 to 845
    fuel_temperature_c: Value = 40.0
    begin_of_injection_deg: Value | None = None  # before top dead centre, at the nozzle
    compensator_lambda_ratio: Value | None = None  # boost compensator holds fuel back to this lambda

    def __post_init__(self) -> None:
        check_injection(self.injection)
        for name, allowed in ALLOWED.items():
            value = getattr(self, name)
            if value is None and allowed.may_be_none:
                continue
            ends = [value.low, value.high] if isinstance(value, Range) else value
            require(name, np.nan if ends is None else ends, allowed.low, allowed.high, allowed.unit)

    def ranges(self) -> dict[str, Range]:
        """The inputs that are ranges, by name."""
        found = {f.name: getattr(self, f.name) for f in fields(self)}
        return {name: value for name, value in found.items() if isinstance(value, Range)}

    def column(self, name: str) -> Floats:
        """One input as an array that broadcasts against a row of speeds."""
        value = getattr(self, name)
        if isinstance(value, Range):
            raise ValueError(f"{name.replace('_', ' ')} is a range; draw values from it before solving")
        numbers = np.asarray(np.nan if value is None else value, dtype=np.float64)
        if not np.all(np.isfinite(numbers)):
            allowed = ALLOWED[name]
            raise OutOfRange(name, float("nan"), allowed.low, allowed.high, allowed.unit)
        return numbers[..., None] if numbers.ndim else numbers

    @property
    def has_cooler(self) -> bool:
        """Whether a cooler is fitted."""
        value = self.cooler_effectiveness_ratio
        return bool(np.any(np.asarray(value.high if isinstance(value, Range) else value) > 0.0))


@dataclass(frozen=True)
class PointInputs(PlanInputs):
    """The same for single operating points: an array has one value a point, and was checked before."""

    def __post_init__(self) -> None:
        pass

    def column(self, name: str) -> Floats:
        """One input as it is: one value a point, or one for all."""
        return np.asarray(getattr(self, name), dtype=np.float64)


@dataclass(frozen=True)
class PlanResult:
    """Figures over engine speed; the last axis is speed, the first the draws if there are any.

    Where the engine gives no power (governed speed without load) `fuel_consumption_g_kwh` is
    infinite; nothing is ever "not a number".
    """

    speed_rpm: Floats
    boost_kpa: Floats
    manifold_pressure_kpa: Floats
    pressure_ratio: Floats
    compressor_outlet_temperature_c: Floats
    charge_temperature_c: Floats
    charge_density_kg_m3: Floats
    volumetric_efficiency_ratio: Floats
    air_flow_kg_s: Floats
    delivery_mm3: Floats
    fuel_flow_kg_s: Floats
    air_fuel_ratio: Floats
    lambda_ratio: Floats
    brake_efficiency_ratio: Floats
    torque_nm: Floats
    power_kw: Floats
    mean_pressure_kpa: Floats
    exhaust_pressure_kpa: Floats
    exhaust_temperature_c: Floats
    exhaust_temperature_after_turbine_c: Floats
    fuel_consumption_g_kwh: Floats
    peak_pressure_bar: Floats
