"""One closed cycle of a diesel cylinder, worked out along the crank, for many engines at once.

Single zone, from bottom dead centre to bottom dead centre: compression, heat release by the
correlation of Watson, Pilley and Marzouk (1980), heat to the walls by Hohenberg (1979), gas
properties without dissociation. Every coefficient is the published one; nothing is fitted here.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sizing.physics import spans
from sizing.physics.errors import Floats, require
from sizing.physics.fuel import LOWER_HEATING_VALUE_MJ_KG, STOICHIOMETRIC_AIR_FUEL
from sizing.physics.gas import AIR_R_J_KG_K, PRODUCTS_R_J_KG_K, energy_polynomials
from sizing.physics.ranges import Numbers, Span, takes

ROD_PER_CRANK = 3.6  # rod length over crank radius, common practice for small diesels
WALL_TEMPERATURE_K = 450.0  # mean of piston, head and liner at full load (Heywood ch. 12: 400 to 500)
EXHAUST_OPENS_DEG = 130.0  # after top dead centre, common practice
BURN_ANGLE_DEG = 125.0  # nominal duration of the Watson correlation
# Watson, Pilley, Marzouk, "A combustion correlation for diesel engine simulation", SAE 800029
WATSON_PREMIXED = (0.926, 0.37, 0.26)
WATSON_DIFFUSION = (14.2, 0.644, 0.79, 0.25)
WATSON_PREMIXED_SHAPE = (2.0, 1.25e-8, 2.4, 5000.0)
WATSON_DELAY = (3.45, 2100.0, 1.02)  # milliseconds, kelvin, bar
# Hohenberg, "Advanced approaches for heat transfer calculations", SAE 790825
HOHENBERG = (130.0, -0.06, 0.8, -0.4, 1.4)
COMPRESSION_EXPONENT = 1.35  # only for the state at begin of injection

_GRID_DEG = np.concatenate(
    [
        np.linspace(-180.0, -60.0, 5)[:-1],
        np.linspace(-60.0, -20.0, 6)[:-1],
        np.linspace(-20.0, 40.0, 31)[:-1],
        np.linspace(40.0, 60.0, 6)[:-1],
        np.linspace(60.0, EXHAUST_OPENS_DEG, 8),
    ]
)
_BLOCK = 8192  # points worked on together, small enough to stay in the processor's cache


@dataclass(frozen=True)
class Cycle:
    """What one closed cycle gives, per cylinder; all arrays of one shape."""

    work_j: Floats
    wall_heat_j: Floats
    peak_pressure_bar: Floats
    release_pressure_kpa: Floats
    release_temperature_c: Floats
    combustion_start_deg: Floats
    burnt_ratio: Floats
    half_burnt_deg: Floats


@takes(
    displacement_l=Span(0.05, 5.0, "L", "displacement of one cylinder"),
    bore_mm=Span(40.0, 250.0, "mm", "cylinder bore"),
    compression_ratio=spans.COMPRESSION,
    speed_rpm=spans.ENGINE_RPM,
    manifold_pressure_kpa=spans.MANIFOLD_KPA.of("pressure in the cylinder at bottom dead centre, absolute"),
    air_mass_kg=Span(1e-5, 0.05, "kg", "fresh dry air per cycle"),
    residual_mass_kg=Span(0.0, 0.01, "kg", "burnt gas left from the cycle before"),
    fuel_mass_kg=Span(0.0, 1e-3, "kg", "fuel per cycle"),
    combustion_start_deg=Span(-30.0, 30.0, "deg", "crank angle at which burning begins, after top dead centre"),
    wall_area_factor=Span(1.0, 2.0, "", "wall area over that of a plain cylinder; above 1 for a divided chamber"),
)
def closed_cycle(
    displacement_l: Numbers,
    bore_mm: Numbers,
    compression_ratio: Numbers,
    speed_rpm: Numbers,
    manifold_pressure_kpa: Numbers,
    air_mass_kg: Numbers,
    residual_mass_kg: Numbers,
    fuel_mass_kg: Numbers,
    combustion_start_deg: Numbers,
    wall_area_factor: Numbers = 1.0,
) -> Cycle:
    """Work, wall heat and pressures of one cylinder from one bottom dead centre to the next.

    Returns: arrays with the shape of the inputs together.
    Source: Watson, Pilley, Marzouk, SAE 800029 (heat release, ignition delay); Hohenberg, SAE 790825 (heat to the
        walls); Heywood, Internal Combustion Engine Fundamentals, ch. 9 and 14 (method).

    >>> cycle = closed_cycle(0.5, 86.0, 18.0, 2000.0, 100.0, 0.00051, 2e-5, 2.4e-5, -5.0)
    >>> 350.0 < float(cycle.work_j) < 560.0
    True
    """
    given = (
        displacement_l,
        bore_mm,
        compression_ratio,
        speed_rpm,
        manifold_pressure_kpa,
        air_mass_kg,
        residual_mass_kg,
        fuel_mass_kg,
        combustion_start_deg,
        wall_area_factor,
    )
    shape = np.broadcast_shapes(*(x.shape for x in given))
    flat = [np.ravel(np.broadcast_to(x, shape)) for x in given]
    size = flat[0].size
    parts = [_block(*(x[i : i + _BLOCK] for x in flat)) for i in range(0, size, _BLOCK)]
    joined = [np.concatenate(column).reshape(shape) for column in zip(*parts, strict=True)]
    return Cycle(*joined)


@takes(
    pressure_bar=Span(5.0, 200.0, "bar", "cylinder pressure during the delay"),
    temperature_c=Span(200.0, 1200.0, "°C", "cylinder gas temperature during the delay"),
)
def ignition_delay_ms(pressure_bar: Numbers, temperature_c: Numbers) -> Floats:
    """Time from begin of injection to begin of burning.

    Returns: delay, shape of the inputs together [ms].
    Source: Watson, Pilley, Marzouk, SAE 800029 (coefficients from memory).

    >>> round(float(ignition_delay_ms(50.0, 600.0)), 2)
    0.71
    """
    kelvin = temperature_c + 273.15
    factor, activation, power = WATSON_DELAY
    return factor * np.exp(activation / kelvin) / pressure_bar**power


@takes(
    begin_of_injection_deg=Span(-5.0, 40.0, "deg", "begin of injection before top dead centre"),
    compression_ratio=spans.COMPRESSION,
    speed_rpm=spans.ENGINE_RPM,
    manifold_pressure_kpa=spans.MANIFOLD_KPA,
    charge_temperature_c=spans.CHARGE_C,
)
def combustion_start_deg(
    begin_of_injection_deg: Numbers,
    compression_ratio: Numbers,
    speed_rpm: Numbers,
    manifold_pressure_kpa: Numbers,
    charge_temperature_c: Numbers,
) -> Floats:
    """Crank angle at which burning begins: begin of injection plus the ignition delay.

    Returns: angle after top dead centre, shape of the inputs together [deg].
    Raises: OutOfRange if an input is outside its range, or burning would begin more than 30 degrees from the top.
    Source: Watson, Pilley, Marzouk, SAE 800029; state near the top by an exponent of 1.35 from a charge that has picked
        up 40 K from the walls (common practice).

    >>> round(float(combustion_start_deg(14.0, 18.0, 2000.0, 100.0, 25.0)))
    -5
    """
    kelvin = charge_temperature_c + 313.15
    middle = np.maximum(np.abs(begin_of_injection_deg) / 2.0, 3.0)
    squeeze = (1.0 / (compression_ratio - 1.0) + 1.0) / _volume_ratio(middle, compression_ratio)
    delay = ignition_delay_ms(
        manifold_pressure_kpa / 100.0 * squeeze**COMPRESSION_EXPONENT,
        kelvin * squeeze ** (COMPRESSION_EXPONENT - 1.0) - 273.15,
    )
    start = -begin_of_injection_deg + 6.0 * speed_rpm * delay / 1e3
    return require("begin_of_burning_deg", start, -30.0, 30.0, "deg")


def _volume_ratio(angle_deg: Floats | float, compression_ratio: Floats) -> Floats:
    """Cylinder volume over displacement."""
    angle = np.radians(angle_deg)
    travel = 0.5 * (ROD_PER_CRANK + 1.0 - np.cos(angle) - np.sqrt(ROD_PER_CRANK**2 - np.sin(angle) ** 2))
    return 1.0 / (compression_ratio - 1.0) + travel


@takes(
    angle_deg=Span(-360.0, 360.0, "deg", "crank angle after top dead centre"),
    start_deg=Span(-60.0, 60.0, "deg", "crank angle at which burning begins"),
    equivalence_ratio=Span(0.05, 2.5, "", "fuel over the fuel that the trapped air could burn"),
    delay_ms=Span(0.05, 10.0, "ms", "ignition delay"),
    speed_rpm=spans.ENGINE_RPM,
)
def burnt_share(
    angle_deg: Numbers, start_deg: Numbers, equivalence_ratio: Numbers, delay_ms: Numbers, speed_rpm: Numbers
) -> Floats:
    """Share of the fuel burnt at a crank angle.

    Returns: share from 0 to 1, shape of the inputs together [-].
    Source: Watson, Pilley, Marzouk, SAE 800029 (coefficients from memory).

    >>> round(float(burnt_share(120.0, -5.0, 0.7, 0.7, 2000.0)), 3)
    1.0
    """
    premixed, first, diffusion, second = _burn_shape(equivalence_ratio, delay_ms, speed_rpm)
    return _burnt(angle_deg, start_deg, premixed, first, diffusion, second)


def _burn_shape(phi: Floats, delay_ms: Floats, speed_rpm: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    a, b, c = WATSON_PREMIXED
    premixed = np.maximum(1.0 - a * phi**b / delay_ms**c, 0.0)
    base, factor, power, _ = WATSON_PREMIXED_SHAPE
    first = base + factor * (delay_ms * speed_rpm) ** power
    k, exponent, k4, exponent4 = WATSON_DIFFUSION
    diffusion = k / phi**exponent
    return premixed, first, diffusion, k4 * diffusion**exponent4


def _burnt(
    angle: Floats | float, start: Floats, premixed: Floats, first: Floats, diffusion: Floats, second: Floats
) -> Floats:
    t = np.clip((angle - start) / BURN_ANGLE_DEG, 0.0, 1.0)
    with np.errstate(divide="ignore"):
        log_t = np.log(t)
        # one less the power of one less a small number, written so that no digits and no time are lost
        left_fast = np.exp(WATSON_PREMIXED_SHAPE[3] * np.log1p(-np.exp(first * log_t)))
    left_slow = np.exp(-diffusion * np.exp(second * log_t))
    burnt: Floats = 1.0 - left_slow - premixed * (left_fast - left_slow)
    return burnt


def _gas_polynomials() -> Floats:
    """Rows: energy of air, energy of products less that of air, heat capacity of air, that of products less that of air."""
    u_air, u_products, cv_air, cv_products = energy_polynomials()
    rows: Floats = np.zeros((4, len(u_air)))
    for row, values in zip(rows, (u_air, u_products - u_air, cv_air, cv_products - cv_air), strict=True):
        row[: len(values)] = values
    return rows


_GAS = _gas_polynomials()
_CAPACITY = np.ascontiguousarray(_GAS[2:, :-1])  # one degree lower


def _into_powers(powers: Floats, x: Floats) -> Floats:
    """Rows of 1, x, x², ... so that all polynomials of x are one product of matrices."""
    powers[1] = x
    for k in range(2, len(powers)):
        np.multiply(powers[k - 1], x, out=powers[k])
    return powers


def _block(
    displacement_l: Floats,
    bore_mm: Floats,
    compression_ratio: Floats,
    speed_rpm: Floats,
    manifold_kpa: Floats,
    air_kg: Floats,
    residual_kg: Floats,
    fuel_kg: Floats,
    start_deg: Floats,
    area_factor: Floats,
) -> tuple[Floats, ...]:
    """Step along the crank: heat at each angle, movement without heat between them."""
    displacement = displacement_l * 1e-3
    bore = bore_mm * 1e-3
    stroke = displacement / (np.pi / 4.0 * bore**2)
    piston_speed = stroke * speed_rpm / 30.0
    factor, volume_power, pressure_power, kelvin_power, offset = HOHENBERG
    film = factor * (piston_speed + offset) ** 0.8 * area_factor
    end_faces = 2.2 * np.pi / 4.0 * bore**2  # crown and head; 10 % for the bowl
    seconds_per_deg = 1.0 / (6.0 * speed_rpm)

    # Residual gas counts as if it had the air-fuel ratio of this cycle.
    phi = np.maximum(fuel_kg * STOICHIOMETRIC_AIR_FUEL / air_kg, 0.05)
    fuel_that_burns = np.minimum(fuel_kg, air_kg / STOICHIOMETRIC_AIR_FUEL)
    burnt_ratio = np.where(fuel_kg > 0.0, fuel_that_burns / np.maximum(fuel_kg, 1e-12), 1.0)
    end_products = fuel_that_burns * (1.0 + STOICHIOMETRIC_AIR_FUEL)
    residual_products = residual_kg * end_products / (air_kg + fuel_kg)

    volume = displacement * _volume_ratio(-180.0, compression_ratio)
    mass = air_kg + residual_kg
    products = residual_products.copy()
    gas_constant = AIR_R_J_KG_K + products / mass * (PRODUCTS_R_J_KG_K - AIR_R_J_KG_K)
    kelvin = manifold_kpa * 1e3 * volume / (mass * gas_constant)

    # State at begin of injection, for the ignition delay.
    squeeze = volume / (displacement * _volume_ratio(start_deg - 5.0, compression_ratio))
    early_bar = manifold_kpa / 100.0 * squeeze**COMPRESSION_EXPONENT
    delay = (
        WATSON_DELAY[0]
        * np.exp(WATSON_DELAY[1] / (kelvin * squeeze ** (COMPRESSION_EXPONENT - 1.0)))
        / early_bar ** WATSON_DELAY[2]
    )
    shape = _burn_shape(phi, delay, speed_rpm)

    log_volume = np.log(volume)
    powers = np.ones((_GAS.shape[1], kelvin.size))
    heat = LOWER_HEATING_VALUE_MJ_KG * 1e6 * fuel_that_burns
    work = np.zeros_like(kelvin)
    wall = np.zeros_like(kelvin)
    peak = manifold_kpa * 1e3
    burnt_before = np.zeros_like(kelvin)
    half = np.full_like(kelvin, _GRID_DEG[-1])
    pressure = manifold_kpa * 1e3
    before = _GRID_DEG[0]
    cv = np.full_like(kelvin, AIR_R_J_KG_K * 2.6)
    for angle, following in pairwise([*_GRID_DEG, 2.0 * _GRID_DEG[-1] - _GRID_DEG[-2]]):
        # 1. at this angle, burn and lose the heat of half a step before it and half a step after it
        after = 0.5 * (angle + following) if following <= EXHAUST_OPENS_DEG else angle
        if after > -30.0:
            burnt_now = _burnt(after, start_deg, *shape)
            share = burnt_now - burnt_before
            crossed = (burnt_before < 0.5) & (burnt_now >= 0.5)
            if crossed.any():
                part = (0.5 - burnt_before) / np.maximum(share, 1e-9)
                half = np.where(crossed, before + part * (after - before), half)
            burnt_before = burnt_now
        else:
            share = np.zeros_like(kelvin)
        # wall loss and properties are taken halfway through this exchange
        halfway = kelvin + 0.5 * share * heat / (mass * cv)
        pressure = pressure * halfway / kelvin
        peak = np.maximum(peak, pressure)
        area = end_faces + 4.0 * volume / bore
        film_now = film * np.exp(
            volume_power * log_volume + pressure_power * np.log(pressure * 1e-5) + kelvin_power * np.log(halfway)
        )
        lost = film_now * area * (halfway - WALL_TEMPERATURE_K) * seconds_per_deg * (after - before)
        x = (halfway - 0.5 * lost / (mass * cv)) * 1e-3
        u_air, u_more, cv, cv_more = _GAS @ _into_powers(powers, x)
        added_fuel = share * fuel_kg
        added_products = share * end_products
        # Composition changes at constant temperature: air gives way to products.
        change = added_products * u_more + added_fuel * u_air
        half_mass = mass + 0.5 * added_fuel
        cv = cv + (products + 0.5 * added_products) / half_mass * cv_more
        kelvin = kelvin + (share * heat - lost - change) / (half_mass * cv)
        mass = mass + added_fuel
        products = products + added_products
        in_products = products / mass
        wall += lost
        before = after
        if angle == _GRID_DEG[-1]:
            break
        # 2. compress or expand without heat to the next angle
        new_volume = displacement * _volume_ratio(following, compression_ratio)
        gas_constant = AIR_R_J_KG_K + in_products * (PRODUCTS_R_J_KG_K - AIR_R_J_KG_K)
        log_new = np.log(new_volume)
        stretch = log_new - log_volume
        # heat capacity at the temperature halfway, by which the step becomes second order
        x = kelvin * 1e-3 * (1.0 - 0.5 * gas_constant / cv * stretch)
        cv, cv_more = _CAPACITY @ _into_powers(powers[:-1], x)
        cv = cv + in_products * cv_more
        colder = kelvin * np.exp(-gas_constant / cv * stretch)
        work += mass * cv * (kelvin - colder)
        kelvin = colder
        volume, log_volume = new_volume, log_new
        pressure = mass * gas_constant * kelvin / volume
    pressure = mass * gas_constant * kelvin / volume
    # Blow-down: pressure falls in a straight line to the manifold's by bottom dead centre; the
    # caller adds the pumping between the two manifolds.
    rest = displacement * (_volume_ratio(180.0, compression_ratio)) - volume
    work += 0.5 * (pressure + manifold_kpa * 1e3) * rest
    return (work, wall, peak / 1e5, pressure / 1e3, kelvin - 273.15, start_deg.copy(), burnt_ratio, half)
