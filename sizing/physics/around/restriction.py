"""Air cleaner, pipes and bends: pressure lost on the way in, and how fast the air goes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.air import density_kg_m3
from sizing.physics.errors import Floats, require

STEEL_ROUGHNESS_MM = 0.05  # drawn or welded tube, handbook; hose and aluminium are smoother
CLEANER_EXPONENT = 1.8  # loss over flow: paper (1) and housing with pipe (2) together, common practice
CLEANER_DENSITY_KG_M3 = 1.19  # air at 23 °C and 101.3 kPa, at which cleaners are rated (ISO 5011)


def cleaner_loss_kpa(
    volume_flow_m3_h: ArrayLike,
    rated_flow_m3_h: ArrayLike,
    rated_loss_kpa: ArrayLike,
    element_count: ArrayLike = 1,
    air_density_kg_m3: ArrayLike = CLEANER_DENSITY_KG_M3,
) -> Floats:
    """Pressure loss of an air cleaner from its rated flow and loss.

    Parameters
    ----------
    volume_flow_m3_h : float or array
        Air flow of the engine at the cleaner's inlet, 0 to 30 000 [m³/h]
    rated_flow_m3_h : float or array
        Rated flow of one element, 20 to 10 000 [m³/h]
    rated_loss_kpa : float or array
        Loss at rated flow, clean or at the service limit, 0.05 to 15 [kPa]
    element_count : int or array
        Elements side by side, which share the flow, 1 to 4 [-]
    air_density_kg_m3 : float or array
        Density of the air that enters, 0.5 to 1.6 [kg/m³]

    Returns
    -------
    array
        Loss, shape of the inputs together [kPa]

    Raises
    ------
    OutOfRange
        If an input is outside its range, or the flow is more than 2.5 times the rated one.

    Examples
    --------
    >>> round(float(cleaner_loss_kpa(300.0, 300.0, 2.5)), 2)
    2.5
    >>> round(float(cleaner_loss_kpa(300.0, 300.0, 2.5, element_count=2)), 2)
    0.72

    References
    ----------
    Rated as in ISO 5011; exponent 1.8 between paper (1) and housing (2), common practice.
    """
    flow = require("volume_flow_m3_h", volume_flow_m3_h, 0.0, 30_000.0, "m³/h")
    rated = require("rated_flow_m3_h", rated_flow_m3_h, 20.0, 10_000.0, "m³/h")
    loss = require("rated_loss_kpa", rated_loss_kpa, 0.05, 15.0, "kPa")
    elements = require("element_count", element_count, 1, 4, "")
    density = require("air_density_kg_m3", air_density_kg_m3, 0.5, 1.6, "kg/m³")
    share = require("flow_over_rated_flow", flow / (elements * rated), 0.0, 2.5, "")
    return loss * share**CLEANER_EXPONENT * density / CLEANER_DENSITY_KG_M3


def air_speed_m_s(
    mass_flow_kg_s: ArrayLike, bore_mm: ArrayLike, pressure_kpa: ArrayLike, temperature_c: ArrayLike
) -> Floats:
    """Speed of the air in a pipe.

    Parameters
    ----------
    mass_flow_kg_s : float or array
        Air flow, 0 to 5 [kg/s]
    bore_mm : float or array
        Inner diameter, 10 to 400 [mm]
    pressure_kpa : float or array
        Absolute pressure, 30 to 600 [kPa]
    temperature_c : float or array
        Air temperature, -60 to 400 [°C]

    Returns
    -------
    array
        Speed, shape of the inputs together [m/s]

    Raises
    ------
    OutOfRange
        If an input is outside its range or the speed would be above 150 m/s.

    Examples
    --------
    >>> round(float(air_speed_m_s(0.1, 60.0, 101.325, 20.0)), 1)
    29.4

    References
    ----------
    Continuity.
    """
    flow = require("mass_flow_kg_s", mass_flow_kg_s, 0.0, 5.0, "kg/s")
    bore = require("bore_mm", bore_mm, 10.0, 400.0, "mm") / 1e3
    pressure = require("pressure_kpa", pressure_kpa, 30.0, 600.0, "kPa")
    temperature = require("temperature_c", temperature_c, -60.0, 400.0, "°C")
    speed = flow / (density_kg_m3(pressure, temperature) * np.pi / 4.0 * bore**2)
    return require("air_speed_m_s", speed, 0.0, 150.0, "m/s")


def viscosity_pa_s(temperature_c: ArrayLike) -> Floats:
    """Viscosity of air.

    Parameters
    ----------
    temperature_c : float or array
        Air temperature, -60 to 400 [°C]

    Returns
    -------
    array
        Dynamic viscosity, same shape [Pa s]

    Raises
    ------
    OutOfRange
        If the temperature is outside its range.

    Examples
    --------
    >>> round(float(viscosity_pa_s(20.0)) * 1e6, 1)
    18.1

    References
    ----------
    Sutherland's formula, 1.716e-5 Pa s at 273.15 K, constant 110.4 K.
    """
    kelvin = require("temperature_c", temperature_c, -60.0, 400.0, "°C") + 273.15
    return 1.716e-5 * (kelvin / 273.15) ** 1.5 * (273.15 + 110.4) / (kelvin + 110.4)


def friction_factor(reynolds: ArrayLike, roughness_ratio: ArrayLike) -> Floats:
    """Darcy friction factor of a round pipe.

    Parameters
    ----------
    reynolds : float or array
        Reynolds number, 1 to 1e8 [-]
    roughness_ratio : float or array
        Roughness over bore, 0 to 0.05 [-]

    Returns
    -------
    array
        Friction factor, shape of the inputs together [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(friction_factor(1e5, 0.001)), 4)
    0.0222

    References
    ----------
    Churchill, Chem. Eng. 84 (1977): one formula from laminar to fully rough.
    """
    re = require("reynolds", reynolds, 1.0, 1e8, "")
    rough = require("roughness_ratio", roughness_ratio, 0.0, 0.05, "")
    a = (2.457 * np.log(1.0 / ((7.0 / re) ** 0.9 + 0.27 * rough))) ** 16
    b = (37_530.0 / re) ** 16
    return 8.0 * ((8.0 / re) ** 12 + 1.0 / (a + b) ** 1.5) ** (1.0 / 12.0)


def bend_loss_coefficient(angle_deg: ArrayLike, radius_over_bore: ArrayLike) -> Floats:
    """Loss coefficient of one smooth bend in turbulent flow, friction of its length included.

    Parameters
    ----------
    angle_deg : float or array
        Angle of the bend, 0 to 180 [deg]
    radius_over_bore : float or array
        Radius of the centre line over the bore, 0.5 (a sharp elbow) to 10 [-]

    Returns
    -------
    array
        Coefficient on the dynamic pressure, shape of the inputs together [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(bend_loss_coefficient(90.0, 1.5)), 2)
    0.24

    References
    ----------
    Rennels and Hudson, Pipe Flow, ch. 15 (friction factor of a rough 50 mm tube, 0.02), as in the
    open library fluids (`bend_rounded`).
    """
    angle = np.radians(require("angle_deg", angle_deg, 0.0, 180.0, "deg"))
    ratio = require("radius_over_bore", radius_over_bore, 0.5, 10.0, "")
    factor = 0.02
    half = np.sin(angle / 2.0)
    return (
        factor * angle * ratio
        + (0.10 + 2.4 * factor) * half
        + 6.6 * factor * (np.sqrt(half) + half) / ratio ** (4.0 * angle / np.pi)
    )


def pipe_loss_kpa(
    mass_flow_kg_s: ArrayLike,
    bore_mm: ArrayLike,
    length_mm: ArrayLike,
    pressure_kpa: ArrayLike,
    temperature_c: ArrayLike,
    bends_loss_coefficient: ArrayLike = 0.0,
    roughness_mm: ArrayLike = STEEL_ROUGHNESS_MM,
) -> Floats:
    """Pressure lost in a pipe with its bends.

    Parameters
    ----------
    mass_flow_kg_s : float or array
        Air flow, 0 to 5 [kg/s]
    bore_mm : float or array
        Inner diameter, 10 to 400 [mm]
    length_mm : float or array
        Straight length, 0 to 20 000 [mm]
    pressure_kpa : float or array
        Absolute pressure in the pipe, 30 to 600 [kPa]
    temperature_c : float or array
        Air temperature, -60 to 400 [°C]
    bends_loss_coefficient : float or array
        Sum over all bends and steps, 0 to 50 [-]
    roughness_mm : float or array
        Roughness of the wall, 0 to 2 [mm]

    Returns
    -------
    array
        Loss, shape of the inputs together [kPa]

    Raises
    ------
    OutOfRange
        If an input is outside its range, or the loss would be more than a fifth of the pressure.

    Examples
    --------
    >>> round(float(pipe_loss_kpa(0.1, 60.0, 1500.0, 101.325, 20.0, 0.5)), 2)
    0.54

    References
    ----------
    Darcy and Weisbach at constant density, with `friction_factor`.
    """
    speed = air_speed_m_s(mass_flow_kg_s, bore_mm, pressure_kpa, temperature_c)
    bore = np.asarray(bore_mm, dtype=np.float64) / 1e3
    length = require("length_mm", length_mm, 0.0, 20_000.0, "mm") / 1e3
    bends = require("bends_loss_coefficient", bends_loss_coefficient, 0.0, 50.0, "")
    rough = require("roughness_mm", roughness_mm, 0.0, 2.0, "mm") / 1e3
    density = density_kg_m3(pressure_kpa, temperature_c)
    reynolds = np.maximum(density * speed * bore / viscosity_pa_s(temperature_c), 1.0)
    loss = (friction_factor(reynolds, rough / bore) * length / bore + bends) * density * speed**2 / 2e3
    require("loss_over_pressure", loss / np.asarray(pressure_kpa), 0.0, 0.2, "")
    return loss
