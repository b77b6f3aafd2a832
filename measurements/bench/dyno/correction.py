"""Power of a diesel corrected to standard air by UN Regulation 85 or ISO 1585, and refused where those do not reach.

The correction was made for mechanical pumps. A later revision of SAE J1349 calls it no longer suitable for
electronically controlled diesels (read at sae.nufu.eu/std/J1349); the note of the result says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, log

from sizing.physics import spans
from sizing.physics.air import ZERO_CELSIUS_K, dry_pressure_kpa, standard_pressure_kpa
from sizing.physics.ranges import Span, takes
from sizing.said import Said

REFERENCE_DRY_KPA, REFERENCE_K = 99.0, 298.0
DRY_PRESSURE_KPA = (80.0, 110.0)  # R85 / ISO 1585, from memory
AIR_K = (283.0, 313.0)  # R85 / ISO 1585, from memory
FACTOR = (0.9, 1.1)  # R85 / ISO 1585, range met in a worked example of Mathur & Sharma ch. 27
SLOPE, OFFSET = 0.036, -1.14  # engine factor, UN R85 Annex 5, 5.4.2.2
RATIO_PLACES = {
    "none": "no charger, pressure ratio 1",
    "compressor": "after the compressor",
    "cooler": "after the cooler",
}


@dataclass(frozen=True)
class EngineClass:
    slug: str
    label: str
    pressure_exponent: float
    temperature_exponent: float
    source: str


@dataclass(frozen=True)
class Standard:
    """Engine classes of a standard and the bounds of its engine factor, mg per litre and cycle."""

    slug: str
    label: str
    classes: tuple[EngineClass, ...]
    low: float
    factor_below: float
    high: float
    factor_above: float
    ratio_places: tuple[str, ...]
    source: str

    def engine_class(self, slug: str) -> EngineClass:
        for row in self.classes:
            if row.slug == slug:
                return row
        raise ValueError(f"engine class is {slug!r}; {self.label} knows {', '.join(c.slug for c in self.classes)}")


_NATURAL = EngineClass(
    "natural", "naturally aspirated or mechanically blown", 1.0, 0.7, "UN R85, ISO 1585, from memory"
)
STANDARDS = {
    s.slug: s
    for s in (
        Standard(
            "r85", "UN Regulation 85",
            (
                _NATURAL,
                EngineClass("turbo", "turbocharged, with or without cooler", 0.7, 1.5, "Mathur & Sharma ch. 27, examples 27.6 and 27.7"),
            ),
            40.0, 0.3, 65.0, 1.2, ("compressor",), "UN Regulation 85, Annex 5, 5.4.2.2",
        ),
        Standard(
            "iso1585", "ISO 1585",
            (
                _NATURAL,
                EngineClass("turbo", "turbocharged, no cooler or air-to-air cooler", 0.7, 1.2, "ISO 1585:1992, from memory"),
                EngineClass("turbo_liquid", "turbocharged, air-to-liquid cooler", 0.7, 0.7, "ISO 1585:1992, from memory"),
            ),
            37.2, 0.2, 65.0, 1.2, ("compressor", "cooler"), "ISO 1585:1992, from memory",
        ),
    )
}  # fmt: skip


@dataclass(frozen=True)
class Correction:
    """What the correction is made of. `refusals` is empty where it may be used."""

    standard: str
    engine_class: str
    ratio_place: str
    dry_pressure_kpa: float
    air_temperature_k: float
    atmospheric_factor: float
    fuel_parameter: float  # mg per litre and cycle
    corrected_fuel_parameter: float  # the same, over the pressure ratio
    engine_factor: float
    factor: float
    refusals: tuple[Said, ...]
    notes: tuple[Said, ...]

    @property
    def is_allowed(self) -> bool:
        return not self.refusals


@dataclass(frozen=True)
class CorrectedPower:
    """The measured power, which always stays, and the corrected one unless that was refused."""

    measured_kw: float
    measured_uncertainty_kw: float | None
    corrected_kw: float | None
    corrected_uncertainty_kw: float | None
    correction: Correction


def _standard(slug: str) -> Standard:
    if slug not in STANDARDS:
        raise ValueError(f"standard is {slug!r}; allowed is {' or '.join(STANDARDS)}")
    return STANDARDS[slug]


@takes(
    dry_pressure_kpa=spans.BAROMETER_KPA.of("dry part of the barometer"),
    air_temperature_k=Span(220.0, 340.0, "K", "intake air"),
    standard="slug of `STANDARDS` [-]",
    engine_class="slug of one of its classes [-]",
)
def atmospheric_factor(dry_pressure_kpa: float, air_temperature_k: float, standard: str, engine_class: str) -> float:
    """How much thinner the test air is than standard air, as the engine class feels it.

    Returns: factor fa, 1 at 99 kPa and 298 K [-].
    Raises: ValueError if the standard or the class is not known.
    Source: UN R85 Annex 5, 5.4.2.1; ISO 1585; exponents as each `EngineClass.source` says.

    >>> round(atmospheric_factor(95.0, 303.0, "r85", "turbo"), 4)
    1.0553
    """
    row = _standard(standard).engine_class(engine_class)
    of_pressure = (REFERENCE_DRY_KPA / dry_pressure_kpa) ** row.pressure_exponent
    return float(of_pressure * (air_temperature_k / REFERENCE_K) ** row.temperature_exponent)


@takes(fuel_flow_g_s=Span(0.01, 200.0, "g/s"), displacement_l=spans.DISPLACEMENT_L, speed_rpm=spans.TURNING_RPM)
def fuel_parameter(fuel_flow_g_s: float, displacement_l: float, speed_rpm: float) -> float:
    """Fuel per litre of displacement and working cycle, four-stroke, from the fuel flow.

    Returns: fuel parameter q [mg/(L cycle)].
    Source: UN R85 Annex 5: q = 120 000 g/s / (L rpm), constant from memory; it follows from two turns a cycle.

    >>> round(fuel_parameter(54.5, 51.8, 1800.0), 2)
    70.14
    """
    return 120_000.0 * fuel_flow_g_s / (displacement_l * speed_rpm)


@takes(
    delivery_mm3=Span(1.0, 400.0, "mm³/stroke", "delivery"),
    cylinder_count=spans.CYLINDERS.of("cylinders"),
    fuel_density_kg_l=Span(0.7, 1.0, "kg/L"),
    displacement_l=spans.DISPLACEMENT_L,
)
def fuel_parameter_from_delivery(
    delivery_mm3: float, cylinder_count: int, fuel_density_kg_l: float, displacement_l: float
) -> float:
    """Fuel per litre of displacement and working cycle, four-stroke, from the pump's delivery.

    Returns: fuel parameter q [mg/(L cycle)].
    Source: Definition: one stroke a cylinder and cycle; 1 mm³ at 1 kg/L is 1 mg.

    >>> round(fuel_parameter_from_delivery(60.0, 4, 0.835, 3.0) / 1.8, 2)
    37.11
    """
    return delivery_mm3 * cylinder_count * fuel_density_kg_l / displacement_l


@takes(
    corrected_fuel_parameter=Span(0.0, 400.0, "mg/(L cycle)", "fuel parameter over the pressure ratio, qc"),
    standard="slug of `STANDARDS` [-]",
)
def engine_factor(corrected_fuel_parameter: float, standard: str) -> float:
    """How strongly the engine feels the air: one that burns much fuel for its air feels it more.

    Returns: engine factor fm [-].
    Raises: ValueError if the standard is not known.
    Source: UN R85 Annex 5, 5.4.2.2; bounds of ISO 1585 from memory.

    >>> round(engine_factor(50.0, "r85"), 2), engine_factor(39.0, "r85"), engine_factor(70.0, "r85")
    (0.66, 0.3, 1.2)
    """
    row = _standard(standard)
    if corrected_fuel_parameter < row.low:
        return row.factor_below
    return row.factor_above if corrected_fuel_parameter > row.high else SLOPE * corrected_fuel_parameter + OFFSET


def _conflict(fuel: float, factor_of_air: float) -> list[Said]:
    """The two standards part below 40 mg per litre and cycle; said with both figures, not settled in silence."""
    if fuel >= STANDARDS["r85"].low:
        return []
    one, other = engine_factor(fuel, "r85"), engine_factor(fuel, "iso1585")
    values = {
        "fuel_mg": fuel, "r85": one, "iso1585": other, "factor_r85": factor_of_air**one, "factor_iso1585": factor_of_air**other,
    }  # fmt: skip
    return [Said("correction.standards_part", values)]


def _refusals(dry_kpa: float, temperature_k: float, factor: float) -> tuple[Said, ...]:
    said = []
    if not DRY_PRESSURE_KPA[0] <= dry_kpa <= DRY_PRESSURE_KPA[1]:
        said.append(Said("correction.dry_pressure_outside", {"dry_kpa": dry_kpa}))
    if not AIR_K[0] <= temperature_k <= AIR_K[1]:
        air = {"air_c": temperature_k - ZERO_CELSIUS_K, "air_k": temperature_k}
        said.append(Said("correction.air_outside", air))
    if not FACTOR[0] <= factor <= FACTOR[1]:
        said.append(Said("correction.factor_outside", {"factor": factor}))
    if said:
        said.append(Said("correction.as_measured"))
    return tuple(said)


@takes(
    air_pressure_kpa=spans.OUTSIDE_AIR_KPA.of("barometer at the test, absolute"),
    air_temperature_c=spans.OUTSIDE_AIR_C.of("intake air"),
    relative_humidity_pct=spans.PER_CENT,
    fuel_parameter_mg=Span(1.0, 400.0, "mg/(L cycle)", "fuel parameter q"),
    standard="the standard, recorded, not deduced [-]",
    engine_class="its engine class, recorded, not deduced [-]",
    pressure_ratio=spans.PRESSURE_RATIO.of("absolute pressure behind compressor or cooler over the barometer"),
    ratio_place="where that pressure was read: 'none', 'compressor' or 'cooler' [-]",
)
def work_out_correction(
    air_pressure_kpa: float,
    air_temperature_c: float,
    relative_humidity_pct: float,
    fuel_parameter_mg: float,
    standard: str = "r85",
    engine_class: str = "natural",
    pressure_ratio: float = 1.0,
    ratio_place: str = "none",
) -> Correction:
    """Work out the correction, or say why it is refused.

    Returns: all factors, refusals and notes.
    Raises: ValueError if standard, class or place is not known, or they do not go together.
    Source: UN R85 Annex 5, 5.4; ISO 1585.

    >>> high = work_out_correction(74.0, 15.0, 50.0, 60.0)
    >>> high.is_allowed, str(high.refusals[0])
    (False, 'Dry air pressure 73.1 kPa is outside 80 to 110 kPa, the range of UN Regulation 85 and ISO 1585.')
    """
    row = _standard(standard)
    _check_place(engine_class, pressure_ratio, ratio_place)
    dry = float(dry_pressure_kpa(air_pressure_kpa, air_temperature_c, relative_humidity_pct))
    kelvin = air_temperature_c + ZERO_CELSIUS_K
    of_air = atmospheric_factor(dry, kelvin, standard, engine_class)
    of_engine = engine_factor(fuel_parameter_mg / pressure_ratio, standard)
    factor = of_air**of_engine
    corrected = fuel_parameter_mg / pressure_ratio
    notes = (Said("correction.mechanical_only"), *_conflict(corrected, of_air), _place_note(row, ratio_place))
    return Correction(
        standard, engine_class, ratio_place, dry, kelvin, of_air, fuel_parameter_mg, corrected, of_engine, factor,
        _refusals(dry, kelvin, factor), notes,
    )  # fmt: skip


def _check_place(engine_class: str, ratio: float, place: str) -> None:
    if place not in RATIO_PLACES:
        raise ValueError(f"ratio place is {place!r}; allowed is {', '.join(RATIO_PLACES)}")
    if engine_class.startswith("turbo") and place == "none":
        raise ValueError(
            "ratio place is 'none'; a turbocharged engine needs 'compressor' or 'cooler', where the pressure was read"
        )
    if engine_class == "natural" and place == "none" and ratio != 1.0:
        raise ValueError(f"pressure ratio is {ratio:g}; without a charger only 1 is allowed")


def _place_note(row: Standard, place: str) -> Said:
    read = {"way": "word", "of": "ratio_place", "value": place}
    if place == "none" or place in row.ratio_places:
        return Said("correction.ratio_place", {"place": read})
    usual = {"way": "word", "of": "ratio_place", "value": row.ratio_places[0]}
    return Said("correction.other_ratio_place", {"place": read, "standard": row.label, "usual": usual})


@takes(
    power_kw=Span(0.0, 3000.0, "kW", "measured power"),
    correction="from `correct` [-]",
    power_uncertainty_kw=Span(0.0, 3000.0, "kW", "half width of the measured power, None when nobody knows"),
    pressure_uncertainty_kpa=Span(0.0, 20.0, "kPa", "half width of the dry pressure"),
    temperature_uncertainty_k=Span(0.0, 30.0, "K", "half width of the intake air temperature"),
    fuel_uncertainty_pct=Span(0.0, 50.0, "%", "half width of the fuel parameter over the pressure ratio"),
)
def correct_power(
    power_kw: float,
    correction: Correction,
    power_uncertainty_kw: float | None = None,
    pressure_uncertainty_kpa: float = 0.0,
    temperature_uncertainty_k: float = 0.0,
    fuel_uncertainty_pct: float = 0.0,
) -> CorrectedPower:
    """Apply a correction to one power, with what its inputs' uncertainty does to it.

    Returns: measured and corrected power, each with its half width; corrected is None where refused.
    Source: Parts taken as independent, root of the sum of squares (GUM, JCGM 100:2008, 5.1).
    """
    if not correction.is_allowed:
        return CorrectedPower(power_kw, power_uncertainty_kw, None, None, correction)
    standard = STANDARDS[correction.standard]
    row = standard.engine_class(correction.engine_class)
    inside = standard.low <= correction.corrected_fuel_parameter <= standard.high
    of_engine = SLOPE * correction.corrected_fuel_parameter * fuel_uncertainty_pct / 100.0 if inside else 0.0
    share = hypot(
        correction.engine_factor * row.pressure_exponent * pressure_uncertainty_kpa / correction.dry_pressure_kpa,
        correction.engine_factor * row.temperature_exponent * temperature_uncertainty_k / correction.air_temperature_k,
        log(correction.atmospheric_factor) * of_engine,
    )
    corrected = correction.factor * power_kw
    uncertainty = None
    if power_uncertainty_kw is not None and power_kw > 0:
        uncertainty = corrected * hypot(power_uncertainty_kw / power_kw, share)
    return CorrectedPower(power_kw, power_uncertainty_kw, corrected, uncertainty, correction)


@takes(altitude_m=Span(-400.0, 5500.0, "m", "height above sea level"))
def altitude_note(altitude_m: float) -> str:
    """What a workshop at this height has to expect of the correction, in words.

    Returns: one or two sentences; empty where the correction normally reaches.
    Source: US Standard Atmosphere 1976 against the range of `DRY_PRESSURE_KPA`.

    >>> altitude_note(300.0)
    ''
    """
    pressure = float(standard_pressure_kpa(altitude_m))
    if pressure >= DRY_PRESSURE_KPA[0] + 2.0:  # weather and moisture take about as much away
        return ""
    return (
        f"At {altitude_m:,.0f} m the air has about {pressure:.0f} kPa before its moisture is taken off. The standards reach down to "
        "80 kPa of dry air, so the correction is normally refused here and the power is given as measured, with its air. "
        "Before and after compare fairly only in like air."
    )
