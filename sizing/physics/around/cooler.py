"""Charge air cooler: outlet temperature, effectiveness from size and from readings."""

from __future__ import annotations

import numpy as np

from sizing.physics import spans
from sizing.physics.errors import Floats, require
from sizing.physics.ranges import Numbers, Span, takes


@takes(
    inlet_temperature_c=spans.CHARGE_C.of("charge temperature before the cooler"),
    coolant_temperature_c=spans.COOLANT_C,
    effectiveness_ratio=spans.SHARE.of("cooling achieved over cooling possible, none without a cooler"),
)
def cooled_temperature_c(
    inlet_temperature_c: Numbers, coolant_temperature_c: Numbers, effectiveness_ratio: Numbers
) -> Floats:
    """Charge temperature behind a cooler.

    Returns: temperature, shape of the inputs together [°C].
    Source: Definition of effectiveness for the weaker stream (the charge).

    >>> round(float(cooled_temperature_c(118.3, 25.0, 0.7)), 1)
    53.0
    """
    return inlet_temperature_c - effectiveness_ratio * (inlet_temperature_c - coolant_temperature_c)


@takes(
    inlet_temperature_c=spans.CHARGE_C.of("charge temperature before the cooler"),
    outlet_temperature_c=spans.CHARGE_C.of("charge temperature behind it"),
    coolant_temperature_c=spans.COOLANT_C,
)
def effectiveness_from_readings_ratio(
    inlet_temperature_c: Numbers, outlet_temperature_c: Numbers, coolant_temperature_c: Numbers
) -> Floats:
    """Effectiveness of a fitted cooler from three temperatures.

    Returns: effectiveness, shape of the inputs together; outside 0 to 1 a reading is wrong [-].
    Raises: OutOfRange if an input is outside its range, or charge and coolant are less than 5 K apart.
    Source: Definition of effectiveness for the weaker stream (the charge).

    >>> round(float(effectiveness_from_readings_ratio(120.0, 50.0, 20.0)), 2)
    0.7
    """
    span = require("inlet_above_coolant", inlet_temperature_c - coolant_temperature_c, 5.0, 460.0, "K")
    return (inlet_temperature_c - outlet_temperature_c) / span


@takes(
    transfer_units=Span(
        0.0, 20.0, "", "number of transfer units (heat conductance over the smaller heat capacity flow)"
    ),
    capacity_ratio=spans.SHARE.of("smaller over larger heat capacity flow"),
)
def counterflow_effectiveness_ratio(transfer_units: Numbers, capacity_ratio: Numbers) -> Floats:
    """Effectiveness of a counterflow cooler.

    Returns: effectiveness, shape of the inputs together [-].
    Source: Effectiveness-NTU method (Kays and London); the limit NTU/(1+NTU) at equal capacity flows.

    >>> round(float(counterflow_effectiveness_ratio(2.0, 0.5)), 4)
    0.7746
    """
    open_ratio = np.where(capacity_ratio > 1.0 - 1e-9, 0.5, capacity_ratio)
    decay = np.exp(-transfer_units * (1.0 - open_ratio))
    general = (1.0 - decay) / (1.0 - open_ratio * decay)
    return np.where(capacity_ratio > 1.0 - 1e-9, transfer_units / (1.0 + transfer_units), general)


@takes(
    transfer_units=Span(0.0, 10.0, "", "number of transfer units"),
    capacity_ratio=Span(0.01, 1.0, "", "smaller over larger heat capacity flow"),
)
def crossflow_effectiveness_ratio(transfer_units: Numbers, capacity_ratio: Numbers) -> Floats:
    """Effectiveness of a crossflow cooler, both streams unmixed (the usual air to air block).

    Returns: effectiveness, shape of the inputs together [-].
    Source: Closed approximation in Incropera and DeWitt, eq. 11.32; about 1 % high at NTU 2, ratio 0.5.

    >>> round(float(crossflow_effectiveness_ratio(2.0, 0.5)), 2)
    0.74
    """
    return 1.0 - np.exp(transfer_units**0.22 / capacity_ratio * (np.exp(-capacity_ratio * transfer_units**0.78) - 1.0))
