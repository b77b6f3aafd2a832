"""Charge air cooler: outlet temperature, effectiveness from size and from readings."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats, require


def outlet_temperature_c(
    inlet_temperature_c: ArrayLike, coolant_temperature_c: ArrayLike, effectiveness_ratio: ArrayLike
) -> Floats:
    """Charge temperature behind a cooler.

    Parameters
    ----------
    inlet_temperature_c : float or array
        Charge temperature before the cooler, -60 to 400 [°C]
    coolant_temperature_c : float or array
        Temperature of the cooling air or water as it enters, -60 to 120 [°C]
    effectiveness_ratio : float or array
        Cooling achieved over cooling possible, 0 (no cooler) to 1 [-]

    Returns
    -------
    array
        Temperature, shape of the inputs together [°C]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(outlet_temperature_c(118.3, 25.0, 0.7)), 1)
    53.0

    References
    ----------
    Definition of effectiveness for the weaker stream (the charge).
    """
    inlet = require("inlet_temperature_c", inlet_temperature_c, -60.0, 400.0, "°C")
    coolant = require("coolant_temperature_c", coolant_temperature_c, -60.0, 120.0, "°C")
    effectiveness = require("effectiveness_ratio", effectiveness_ratio, 0.0, 1.0, "")
    return inlet - effectiveness * (inlet - coolant)


def effectiveness_from_readings_ratio(
    inlet_temperature_c: ArrayLike, outlet_temperature_c: ArrayLike, coolant_temperature_c: ArrayLike
) -> Floats:
    """Effectiveness of a fitted cooler from three temperatures.

    Parameters
    ----------
    inlet_temperature_c : float or array
        Charge temperature before the cooler, -60 to 400 [°C]
    outlet_temperature_c : float or array
        Charge temperature behind it, -60 to 400 [°C]
    coolant_temperature_c : float or array
        Temperature of the cooling air or water as it enters, -60 to 120 [°C]

    Returns
    -------
    array
        Effectiveness, shape of the inputs together; outside 0 to 1 a reading is wrong [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range, or charge and coolant are less than 5 K apart.

    Examples
    --------
    >>> round(float(effectiveness_from_readings_ratio(120.0, 50.0, 20.0)), 2)
    0.7

    References
    ----------
    Definition of effectiveness for the weaker stream (the charge).
    """
    inlet = require("inlet_temperature_c", inlet_temperature_c, -60.0, 400.0, "°C")
    outlet = require("outlet_temperature_c", outlet_temperature_c, -60.0, 400.0, "°C")
    coolant = require("coolant_temperature_c", coolant_temperature_c, -60.0, 120.0, "°C")
    span = require("inlet_above_coolant", inlet - coolant, 5.0, 460.0, "K")
    return (inlet - outlet) / span


def counterflow_effectiveness_ratio(transfer_units: ArrayLike, capacity_ratio: ArrayLike) -> Floats:
    """Effectiveness of a counterflow cooler.

    Parameters
    ----------
    transfer_units : float or array
        Number of transfer units (heat conductance over the smaller heat capacity flow), 0 to 20 [-]
    capacity_ratio : float or array
        Smaller over larger heat capacity flow, 0 to 1 [-]

    Returns
    -------
    array
        Effectiveness, shape of the inputs together [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(counterflow_effectiveness_ratio(2.0, 0.5)), 4)
    0.7746

    References
    ----------
    Effectiveness-NTU method (Kays and London); the limit NTU/(1+NTU) at equal capacity flows.
    """
    units = require("transfer_units", transfer_units, 0.0, 20.0, "")
    ratio = require("capacity_ratio", capacity_ratio, 0.0, 1.0, "")
    open_ratio = np.where(ratio > 1.0 - 1e-9, 0.5, ratio)
    decay = np.exp(-units * (1.0 - open_ratio))
    general = (1.0 - decay) / (1.0 - open_ratio * decay)
    return np.where(ratio > 1.0 - 1e-9, units / (1.0 + units), general)


def crossflow_effectiveness_ratio(transfer_units: ArrayLike, capacity_ratio: ArrayLike) -> Floats:
    """Effectiveness of a crossflow cooler, both streams unmixed (the usual air to air block).

    Parameters
    ----------
    transfer_units : float or array
        Number of transfer units, 0 to 10 [-]
    capacity_ratio : float or array
        Smaller over larger heat capacity flow, 0.01 to 1 [-]

    Returns
    -------
    array
        Effectiveness, shape of the inputs together [-]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(crossflow_effectiveness_ratio(2.0, 0.5)), 2)
    0.74

    References
    ----------
    Closed approximation in Incropera and DeWitt, eq. 11.32; about 1 % high at NTU 2, ratio 0.5.
    """
    units = require("transfer_units", transfer_units, 0.0, 10.0, "")
    ratio = require("capacity_ratio", capacity_ratio, 0.01, 1.0, "")
    return 1.0 - np.exp(units**0.22 / ratio * (np.exp(-ratio * units**0.78) - 1.0))
