"""Air cleaner, pipes and bends: pressure lost on the way in, and how fast the air goes."""

from __future__ import annotations

import numpy as np

from sizing.physics import spans
from sizing.physics.air import density_kg_m3
from sizing.physics.errors import Floats, require
from sizing.physics.ranges import Numbers, Span, takes

STEEL_ROUGHNESS_MM = 0.05  # drawn or welded tube, handbook; hose and aluminium are smoother
CLEANER_EXPONENT = 1.8  # loss over flow: paper (1) and housing with pipe (2) together, common practice
CLEANER_DENSITY_KG_M3 = 1.19  # air at 23 °C and 101.3 kPa, at which cleaners are rated (ISO 5011)


@takes(
    volume_flow_m3_h=Span(0.0, 30_000.0, "m³/h", "air flow of the engine at the cleaner's inlet"),
    rated_flow_m3_h=Span(20.0, 10_000.0, "m³/h", "rated flow of one element"),
    rated_loss_kpa=Span(0.05, 15.0, "kPa", "loss at rated flow, clean or at the service limit"),
    element_count=Span(1, 4, "", "elements side by side, which share the flow"),
    air_density_kg_m3=Span(0.5, 1.6, "kg/m³", "density of the air that enters"),
)
def cleaner_loss_kpa(
    volume_flow_m3_h: Numbers,
    rated_flow_m3_h: Numbers,
    rated_loss_kpa: Numbers,
    element_count: Numbers = 1,
    air_density_kg_m3: Numbers = CLEANER_DENSITY_KG_M3,
) -> Floats:
    """Pressure loss of an air cleaner from its rated flow and loss.

    Returns: loss, shape of the inputs together [kPa].
    Raises: OutOfRange if an input is outside its range, or the flow is more than 2.5 times the rated one.
    Source: Rated as in ISO 5011; exponent 1.8 between paper (1) and housing (2), common practice.

    >>> round(float(cleaner_loss_kpa(300.0, 300.0, 2.5)), 2)
    2.5
    >>> round(float(cleaner_loss_kpa(300.0, 300.0, 2.5, element_count=2)), 2)
    0.72
    """
    share = require("flow_over_rated_flow", volume_flow_m3_h / (element_count * rated_flow_m3_h), 0.0, 2.5, "")
    return rated_loss_kpa * share**CLEANER_EXPONENT * air_density_kg_m3 / CLEANER_DENSITY_KG_M3


IN_A_PIPE = {
    "mass_flow_kg_s": spans.FLOW_OR_NONE_KG_S.of("air flow"),
    "bore_mm": Span(10.0, 400.0, "mm", "inner diameter"),
    "pressure_kpa": spans.MANIFOLD_KPA.of("absolute pressure"),
    "temperature_c": spans.CHARGE_C.of("air temperature"),
}


@takes(**IN_A_PIPE)
def air_speed_m_s(mass_flow_kg_s: Numbers, bore_mm: Numbers, pressure_kpa: Numbers, temperature_c: Numbers) -> Floats:
    """Speed of the air in a pipe.

    Returns: speed, shape of the inputs together [m/s].
    Raises: OutOfRange if an input is outside its range or the speed would be above 150 m/s.
    Source: Continuity.

    >>> round(float(air_speed_m_s(0.1, 60.0, 101.325, 20.0)), 1)
    29.4
    """
    bore = bore_mm / 1e3
    speed = mass_flow_kg_s / (density_kg_m3(pressure_kpa, temperature_c) * np.pi / 4.0 * bore**2)
    return require("air_speed_m_s", speed, 0.0, 150.0, "m/s")


@takes(temperature_c=spans.CHARGE_C.of("air temperature"))
def viscosity_pa_s(temperature_c: Numbers) -> Floats:
    """Viscosity of air.

    Returns: dynamic viscosity, same shape [Pa s].
    Source: Sutherland's formula, 1.716e-5 Pa s at 273.15 K, constant 110.4 K.

    >>> round(float(viscosity_pa_s(20.0)) * 1e6, 1)
    18.1
    """
    kelvin = temperature_c + 273.15
    return 1.716e-5 * (kelvin / 273.15) ** 1.5 * (273.15 + 110.4) / (kelvin + 110.4)


@takes(reynolds=Span(1.0, 1e8, "", "Reynolds number"), roughness_ratio=Span(0.0, 0.05, "", "roughness over bore"))
def friction_factor(reynolds: Numbers, roughness_ratio: Numbers) -> Floats:
    """Darcy friction factor of a round pipe.

    Returns: friction factor, shape of the inputs together [-].
    Source: Churchill, Chem. Eng. 84 (1977): one formula from laminar to fully rough.

    >>> round(float(friction_factor(1e5, 0.001)), 4)
    0.0222
    """
    a = (2.457 * np.log(1.0 / ((7.0 / reynolds) ** 0.9 + 0.27 * roughness_ratio))) ** 16
    b = (37_530.0 / reynolds) ** 16
    return 8.0 * ((8.0 / reynolds) ** 12 + 1.0 / (a + b) ** 1.5) ** (1.0 / 12.0)


@takes(
    angle_deg=Span(0.0, 180.0, "deg", "angle of the bend"),
    radius_over_bore=Span(0.5, 10.0, "", "radius of the centre line over the bore, least at a sharp elbow"),
)
def bend_loss_coefficient(angle_deg: Numbers, radius_over_bore: Numbers) -> Floats:
    """Loss coefficient of one smooth bend in turbulent flow, friction of its length included.

    Returns: coefficient on the dynamic pressure, shape of the inputs together [-].
    Source: Rennels and Hudson, Pipe Flow, ch. 15 (friction factor of a rough 50 mm tube, 0.02), as in the open library
        fluids (`bend_rounded`).

    >>> round(float(bend_loss_coefficient(90.0, 1.5)), 2)
    0.24
    """
    angle = np.radians(angle_deg)
    factor = 0.02
    half = np.sin(angle / 2.0)
    return (
        factor * angle * radius_over_bore
        + (0.10 + 2.4 * factor) * half
        + 6.6 * factor * (np.sqrt(half) + half) / radius_over_bore ** (4.0 * angle / np.pi)
    )


@takes(
    **IN_A_PIPE,
    length_mm=Span(0.0, 20_000.0, "mm", "straight length"),
    bends_loss_coefficient=Span(0.0, 50.0, "", "sum over all bends and steps"),
    roughness_mm=Span(0.0, 2.0, "mm", "roughness of the wall"),
)
def pipe_loss_kpa(
    mass_flow_kg_s: Numbers,
    bore_mm: Numbers,
    length_mm: Numbers,
    pressure_kpa: Numbers,
    temperature_c: Numbers,
    bends_loss_coefficient: Numbers = 0.0,
    roughness_mm: Numbers = STEEL_ROUGHNESS_MM,
) -> Floats:
    """Pressure lost in a pipe with its bends.

    Returns: loss, shape of the inputs together [kPa].
    Raises: OutOfRange if an input is outside its range, or the loss would be more than a fifth of the pressure.
    Source: Darcy and Weisbach at constant density, with `friction_factor`.

    >>> round(float(pipe_loss_kpa(0.1, 60.0, 1500.0, 101.325, 20.0, 0.5)), 2)
    0.54
    """
    speed = air_speed_m_s(mass_flow_kg_s, bore_mm, pressure_kpa, temperature_c)
    bore = bore_mm / 1e3
    length = length_mm / 1e3
    rough = roughness_mm / 1e3
    density = density_kg_m3(pressure_kpa, temperature_c)
    reynolds = np.maximum(density * speed * bore / viscosity_pa_s(temperature_c), 1.0)
    loss: Floats = (
        (friction_factor(reynolds, rough / bore) * length / bore + bends_loss_coefficient) * density * speed**2 / 2e3
    )
    require("loss_over_pressure", loss / pressure_kpa, 0.0, 0.2, "")
    return loss
