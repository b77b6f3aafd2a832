"""What the tool measures and shows: each quantity has one stored unit, a possible range and the units a shop may choose."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Quantity:
    slug: str
    label: str
    unit: str  # stored unit
    low: float  # below this it is not physically possible, in the stored unit
    high: float
    decimals: int = 0
    choice: str = ""  # which of the shop's unit choices applies: pressure, temperature, power, torque
    word: str = ""  # gauge or absolute, always shown with a pressure
    why: str = ""  # why the range ends where it does


QUANTITIES = {
    q.slug: q
    for q in [
        Quantity("speed_rpm", "Engine speed", "rpm", 0, 8000, why="no diesel of this trade turns faster"),
        Quantity("load_pct", "Load", "%", 0, 100, why="0 is no load, 100 is full load"),
        Quantity(
            "boost_kpa",
            "Boost",
            "kPa",
            -60,
            400,
            0,
            "pressure",
            "gauge",
            "below is an intake that is shut, above is more than one turbocharger can give",
        ),
        Quantity(
            "exhaust_temperature_c",
            "Exhaust temperature",
            "°C",
            -40,
            1100,
            0,
            "temperature",
            why="above, the sensor or its wiring is at fault: diesel exhaust does not get so hot",
        ),
        Quantity(
            "charge_temperature_c",
            "Charge temperature",
            "°C",
            -40,
            350,
            0,
            "temperature",
            why="above, it is not charge air that is measured",
        ),
        Quantity(
            "smoke_opacity_pct",
            "Smoke, opacity",
            "%",
            0,
            99.9,
            1,
            why="at 100 % no light passes and the meter says nothing",
        ),
        Quantity("smoke_k_per_m", "Smoke, absorption", "m⁻¹", 0, 10, 2, why="opacimeters end at about 10"),
        Quantity(
            "oil_pressure_kpa",
            "Oil pressure",
            "kPa",
            0,
            1500,
            0,
            "pressure",
            "gauge",
            "no engine oil pump of this trade gives more than 15 bar",
        ),
        Quantity("oil_temperature_c", "Oil temperature", "°C", -40, 200, 0, "temperature", why="above, oil burns"),
        Quantity(
            "coolant_temperature_c",
            "Coolant temperature",
            "°C",
            -40,
            150,
            0,
            "temperature",
            why="above, the cap has blown",
        ),
        Quantity("air_temperature_c", "Air temperature", "°C", -40, 60, 0, "temperature", why="outdoor air"),
        Quantity(
            "air_pressure_kpa",
            "Air pressure",
            "kPa",
            40,
            110,
            1,
            "pressure",
            "absolute",
            "40 kPa is air at about 7,000 m, 110 kPa is more than sea level ever has",
        ),
        Quantity(
            "restriction_kpa",
            "Air cleaner restriction",
            "kPa",
            0,
            20,
            1,
            "pressure",
            "below outside air",
            "above, the element has burst or the tap is in the wrong place",
        ),
        Quantity(
            "turbine_inlet_pressure_kpa",
            "Pressure before turbine",
            "kPa",
            -5,
            600,
            0,
            "pressure",
            "gauge",
            "above, the gasket is gone",
        ),
        Quantity(
            "exhaust_back_pressure_kpa",
            "Pressure after turbine",
            "kPa",
            -5,
            100,
            1,
            "pressure",
            "gauge",
            "above, the exhaust pipe is blocked",
        ),
        Quantity("lambda_ratio", "Lambda", "ratio", 0.5, 20, 2, why="a diesel runs from about 1 to about 10"),
        Quantity("torque_nm", "Torque", "Nm", 0, 5000, 0, "torque", why="larger engines are not in this trade"),
        Quantity("power_kw", "Power", "kW", 0, 1000, 1, "power", why="larger engines are not in this trade"),
        Quantity("fuel_flow_l_h", "Fuel flow", "L/h", 0, 300, 1, why="larger engines are not in this trade"),
        Quantity("delivery_mm3", "Delivery", "mm³/stroke", 0, 400, 1, why="larger pumps are not in this trade"),
    ]
}

# What a workshop may choose to see; the first is the stored unit.
UNIT_CHOICES = {
    "pressure": ["kPa", "bar", "psi"],
    "temperature": ["°C", "°F"],
    "power": ["kW", "hp metric", "hp imperial"],
    "torque": ["Nm", "lbf·ft"],
}
EXTRA_DECIMALS = {"bar": 2, "psi": 1}
# Figures that are no quantity of ours, by their stored unit. Peak and opening pressures stand in bar by nature and
# need no decimals; a boost shown in bar does.
CHOICE_OF_UNIT = {"kPa": "pressure", "°C": "temperature", "K": "temperature", "kW": "power", "Nm": "torque"}
UNIT_DECIMALS = {"": 2, "% of the mean": 1, "kW": 1, "mm³": 1, "mm³/stroke": 1, "mm/°": 2}
