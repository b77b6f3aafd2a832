"""Power of a diesel corrected to standard air by UN Regulation 85 or ISO 1585, and refused where those do not reach.

The correction was made for mechanical pumps. A later revision of SAE J1349 calls it no longer suitable for
electronically controlled diesels (read at sae.nufu.eu/std/J1349); the note of the result says so.
"""

from dataclasses import dataclass
from math import hypot, log

from sizing.physics.air import ZERO_CELSIUS_K, dry_pressure_kpa, standard_pressure_kpa
from sizing.physics.errors import require
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


def atmospheric_factor(dry_pressure_kpa: float, air_temperature_k: float, standard: str, engine_class: str) -> float:
    """How much thinner the test air is than standard air, as the engine class feels it.

    Parameters
    ----------
    dry_pressure_kpa : float
        Dry part of the barometer, 20 to 120 [kPa]
    air_temperature_k : float
        Intake air, 220 to 340 [K]
    standard, engine_class : str
        Slugs of `STANDARDS` and of its classes [-]

    Returns
    -------
    float
        Factor fa, 1 at 99 kPa and 298 K [-]

    Raises
    ------
    OutOfRange
        If a figure is outside its range.
    ValueError
        If the standard or the class is not known.

    Examples
    --------
    >>> round(atmospheric_factor(95.0, 303.0, "r85", "turbo"), 4)
    1.0553

    References
    ----------
    UN R85 Annex 5, 5.4.2.1; ISO 1585; exponents as each `EngineClass.source` says.
    """
    dry = float(require("dry_pressure_kpa", dry_pressure_kpa, 20.0, 120.0, "kPa"))
    temperature = float(require("air_temperature_k", air_temperature_k, 220.0, 340.0, "K"))
    row = _standard(standard).engine_class(engine_class)
    return (REFERENCE_DRY_KPA / dry) ** row.pressure_exponent * (temperature / REFERENCE_K) ** row.temperature_exponent


def fuel_parameter(fuel_flow_g_s: float, displacement_l: float, speed_rpm: float) -> float:
    """Fuel per litre of displacement and working cycle, four-stroke, from the fuel flow.

    Parameters
    ----------
    fuel_flow_g_s : float
        Fuel flow, 0.01 to 200 [g/s]
    displacement_l : float
        Displacement, 0.1 to 60 [L]
    speed_rpm : float
        Engine speed, 100 to 8000 [rpm]

    Returns
    -------
    float
        Fuel parameter q [mg/(L cycle)]

    Raises
    ------
    OutOfRange
        If a figure is outside its range.

    Examples
    --------
    >>> round(fuel_parameter(54.5, 51.8, 1800.0), 2)
    70.14

    References
    ----------
    UN R85 Annex 5: q = 120 000 g/s / (L rpm), constant from memory; it follows from two turns a cycle.
    """
    flow = float(require("fuel_flow_g_s", fuel_flow_g_s, 0.01, 200.0, "g/s"))
    displacement = float(require("displacement_l", displacement_l, 0.1, 60.0, "L"))
    speed = float(require("speed_rpm", speed_rpm, 100.0, 8000.0, "rpm"))
    return 120_000.0 * flow / (displacement * speed)


def fuel_parameter_from_delivery(
    delivery_mm3: float, cylinder_count: int, fuel_density_kg_l: float, displacement_l: float
) -> float:
    """Fuel per litre of displacement and working cycle, four-stroke, from the pump's delivery.

    Parameters
    ----------
    delivery_mm3 : float
        Delivery, 1 to 400 [mm³/stroke]
    cylinder_count : int
        Cylinders, 1 to 16 [-]
    fuel_density_kg_l : float
        Fuel density, 0.7 to 1 [kg/L]
    displacement_l : float
        Displacement, 0.1 to 60 [L]

    Returns
    -------
    float
        Fuel parameter q [mg/(L cycle)]

    Raises
    ------
    OutOfRange
        If a figure is outside its range.

    Examples
    --------
    >>> round(fuel_parameter_from_delivery(60.0, 4, 0.835, 3.0) / 1.8, 2)
    37.11

    References
    ----------
    Definition: one stroke a cylinder and cycle; 1 mm³ at 1 kg/L is 1 mg.
    """
    delivery = float(require("delivery_mm3", delivery_mm3, 1.0, 400.0, "mm³/stroke"))
    cylinders = float(require("cylinder_count", cylinder_count, 1.0, 16.0, ""))
    density = float(require("fuel_density_kg_l", fuel_density_kg_l, 0.7, 1.0, "kg/L"))
    displacement = float(require("displacement_l", displacement_l, 0.1, 60.0, "L"))
    return delivery * cylinders * density / displacement


def engine_factor(corrected_fuel_parameter: float, standard: str) -> float:
    """How strongly the engine feels the air: one that burns much fuel for its air feels it more.

    Parameters
    ----------
    corrected_fuel_parameter : float
        Fuel parameter over the pressure ratio, qc, 0 to 400 [mg/(L cycle)]
    standard : str
        Slug of `STANDARDS` [-]

    Returns
    -------
    float
        Engine factor fm [-]

    Raises
    ------
    OutOfRange
        If the fuel parameter is outside its range.
    ValueError
        If the standard is not known.

    Examples
    --------
    >>> round(engine_factor(50.0, "r85"), 2), engine_factor(39.0, "r85"), engine_factor(70.0, "r85")
    (0.66, 0.3, 1.2)

    References
    ----------
    UN R85 Annex 5, 5.4.2.2; bounds of ISO 1585 from memory.
    """
    fuel = float(require("corrected_fuel_parameter", corrected_fuel_parameter, 0.0, 400.0, "mg/(L cycle)"))
    row = _standard(standard)
    if fuel < row.low:
        return row.factor_below
    return row.factor_above if fuel > row.high else SLOPE * fuel + OFFSET


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


def correct(
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

    Parameters
    ----------
    air_pressure_kpa : float
        Barometer at the test, absolute, 40 to 110 [kPa]
    air_temperature_c : float
        Intake air, -40 to 60 [°C]
    relative_humidity_pct : float
        Relative humidity, 0 to 100 [%]
    fuel_parameter_mg : float
        Fuel parameter q, 1 to 400 [mg/(L cycle)]
    standard, engine_class : str
        The standard and the class, both recorded, neither deduced [-]
    pressure_ratio : float
        Absolute pressure behind compressor or cooler over the barometer, 1 to 6 [-]
    ratio_place : str
        Where that pressure was read: "none", "compressor" or "cooler" [-]

    Returns
    -------
    Correction
        All factors, refusals and notes.

    Raises
    ------
    OutOfRange
        If a figure is outside its range.
    ValueError
        If standard, class or place is not known, or they do not go together.

    Examples
    --------
    >>> high = correct(74.0, 15.0, 50.0, 60.0)
    >>> high.is_allowed, str(high.refusals[0])
    (False, 'Dry air pressure 73.1 kPa is outside 80 to 110 kPa, the range of UN Regulation 85 and ISO 1585.')

    References
    ----------
    UN R85 Annex 5, 5.4; ISO 1585.
    """
    row = _standard(standard)
    air = float(require("air_pressure_kpa", air_pressure_kpa, 40.0, 110.0, "kPa"))
    temperature = float(require("air_temperature_c", air_temperature_c, -40.0, 60.0, "°C"))
    fuel = float(require("fuel_parameter_mg", fuel_parameter_mg, 1.0, 400.0, "mg/(L cycle)"))
    ratio = float(require("pressure_ratio", pressure_ratio, 1.0, 6.0, ""))
    _check_place(engine_class, ratio, ratio_place)
    dry, kelvin = float(dry_pressure_kpa(air, temperature, relative_humidity_pct)), temperature + ZERO_CELSIUS_K
    of_air = atmospheric_factor(dry, kelvin, standard, engine_class)
    of_engine = engine_factor(fuel / ratio, standard)
    factor = of_air**of_engine
    notes = (Said("correction.mechanical_only"), *_conflict(fuel / ratio, of_air), _place_note(row, ratio_place))
    return Correction(
        standard, engine_class, ratio_place, dry, kelvin, of_air, fuel, fuel / ratio, of_engine, factor,
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


def correct_power(
    power_kw: float,
    correction: Correction,
    power_uncertainty_kw: float | None = None,
    pressure_uncertainty_kpa: float = 0.0,
    temperature_uncertainty_k: float = 0.0,
    fuel_uncertainty_pct: float = 0.0,
) -> CorrectedPower:
    """Apply a correction to one power, with what its inputs' uncertainty does to it.

    Parameters
    ----------
    power_kw : float
        Measured power, 0 to 3000 [kW]
    correction : Correction
        From `correct` [-]
    power_uncertainty_kw : float or None
        Half width of the measured power, None when nobody knows [kW]
    pressure_uncertainty_kpa : float
        Half width of the dry pressure, 0 to 20 [kPa]
    temperature_uncertainty_k : float
        Half width of the intake air temperature, 0 to 30 [K]
    fuel_uncertainty_pct : float
        Half width of the fuel parameter over the pressure ratio, 0 to 50 [%]

    Returns
    -------
    CorrectedPower
        Measured and corrected power, each with its half width; corrected is None where refused.

    Raises
    ------
    OutOfRange
        If a figure is outside its range.

    References
    ----------
    Parts taken as independent, root of the sum of squares (GUM, JCGM 100:2008, 5.1).
    """
    power = float(require("power_kw", power_kw, 0.0, 3000.0, "kW"))
    pressure = float(require("pressure_uncertainty_kpa", pressure_uncertainty_kpa, 0.0, 20.0, "kPa"))
    temperature = float(require("temperature_uncertainty_k", temperature_uncertainty_k, 0.0, 30.0, "K"))
    fuel = float(require("fuel_uncertainty_pct", fuel_uncertainty_pct, 0.0, 50.0, "%"))
    if power_uncertainty_kw is not None:
        require("power_uncertainty_kw", power_uncertainty_kw, 0.0, 3000.0, "kW")
    if not correction.is_allowed:
        return CorrectedPower(power, power_uncertainty_kw, None, None, correction)
    standard = STANDARDS[correction.standard]
    row = standard.engine_class(correction.engine_class)
    inside = standard.low <= correction.corrected_fuel_parameter <= standard.high
    of_engine = SLOPE * correction.corrected_fuel_parameter * fuel / 100.0 if inside else 0.0
    share = hypot(
        correction.engine_factor * row.pressure_exponent * pressure / correction.dry_pressure_kpa,
        correction.engine_factor * row.temperature_exponent * temperature / correction.air_temperature_k,
        log(correction.atmospheric_factor) * of_engine,
    )
    corrected = correction.factor * power
    known = power_uncertainty_kw is not None and power > 0
    uncertainty = corrected * hypot(power_uncertainty_kw / power, share) if known else None
    return CorrectedPower(power, power_uncertainty_kw, corrected, uncertainty, correction)


def altitude_note(altitude_m: float) -> str:
    """What a workshop at this height has to expect of the correction, in words.

    Parameters
    ----------
    altitude_m : float
        Height above sea level, -400 to 5500 [m]

    Returns
    -------
    str
        One or two sentences; empty where the correction normally reaches.

    Raises
    ------
    OutOfRange
        If the altitude is outside -400 to 5500 m.

    Examples
    --------
    >>> altitude_note(300.0)
    ''

    References
    ----------
    US Standard Atmosphere 1976 against the range of `DRY_PRESSURE_KPA`.
    """
    height = float(require("altitude_m", altitude_m, -400.0, 5500.0, "m"))
    pressure = float(standard_pressure_kpa(height))
    if pressure >= DRY_PRESSURE_KPA[0] + 2.0:  # weather and moisture take about as much away
        return ""
    return (
        f"At {height:,.0f} m the air has about {pressure:.0f} kPa before its moisture is taken off. The standards reach down to "
        "80 kPa of dry air, so the correction is normally refused here and the power is given as measured, with its air. "
        "Before and after compare fairly only in like air."
    )
