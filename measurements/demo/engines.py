"""The engines that come into the demo workshop, and what stands around them. All makes are invented."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Engine:
    """An engine as built; figures of the usual size for its displacement and injection."""

    name: str
    injection: str
    displacement_l: float
    bore_mm: float
    stroke_mm: float
    cylinders: int
    compression_ratio: float
    rated_power_kw: float
    rated_speed_rpm: float
    governed_speed_rpm: float
    pump: str  # name of the pump in the catalogue
    governor: str
    plunger_mm: float
    turbos: tuple[str, ...]  # names in the catalogue: the usual one, then the one taken now and then with a cooler
    cleaner: str
    cooler: str
    boost_step_kpa: float = 0.0  # what the workshop has learnt to set more or less on this engine


@dataclass(frozen=True)
class Model:
    """A vehicle that has such an engine."""

    make_and_model: str
    engine: str
    use: str
    meter: str
    hours_a_month: float
    km_an_hour: float
    years: tuple[int, int]
    weight: float  # how often it comes in
    wishes: tuple[str, ...]


ENGINES = {
    engine.name: engine
    for engine in [
        Engine(
            "Orduvel Ord-25",
            "indirect",
            2.5,
            91.1,
            96.0,
            4,
            21.0,
            52,
            4000,
            4500,
            "Uln-4S",
            "mechanical",
            6.0,
            ("Ves-46", "Ves-50"),
            "Sif-330",
            "Kel-S",
        ),
        Engine(
            "Quessin Que-24",
            "indirect",
            2.4,
            90.0,
            94.0,
            4,
            22.0,
            48,
            4200,
            4700,
            "Rov-4",
            "mechanical",
            6.0,
            ("Ves-46", "Tol-48"),
            "Sif-330",
            "Kel-S",
            4.0,
        ),
        Engine(
            "Quessin Que-18",
            "indirect",
            1.8,
            83.0,
            83.0,
            4,
            22.5,
            40,
            4500,
            5000,
            "Rov-4",
            "mechanical",
            5.5,
            ("Ves-42", "Ves-46"),
            "Sif-220",
            "Kel-S",
            6.0,
        ),
        Engine(
            "Ruvanta Ruv-39",
            "direct",
            3.9,
            102.0,
            120.0,
            4,
            17.0,
            48,
            2200,
            2400,
            "Uln-4L",
            "mechanical",
            7.0,
            ("Ves-42", "Ves-46"),
            "Sif-330",
            "Kel-M",
        ),
        Engine(
            "Ruvanta Ruv-29",
            "direct",
            2.9,
            102.0,
            120.0,
            3,
            17.0,
            35,
            2200,
            2400,
            "Uln-3L",
            "mechanical",
            7.0,
            ("Ves-38", "Ves-38"),
            "Sif-220",
            "Kel-S",
            4.0,
        ),
        Engine(
            "Hesprel Hes-58",
            "direct",
            5.8,
            102.0,
            118.0,
            6,
            17.5,
            82,
            2600,
            2900,
            "Uln-6L",
            "mechanical",
            7.0,
            ("Ves-54", "Tol-56"),
            "Sif-600",
            "Kel-L",
            -6.0,
        ),
        Engine(
            "Hesprel Hes-33",
            "direct",
            3.3,
            96.0,
            114.0,
            4,
            18.0,
            60,
            3400,
            3800,
            "Uln-4L",
            "mechanical",
            6.5,
            ("Ves-50", "Tol-48"),
            "Sif-330",
            "Kel-M",
        ),
        Engine(
            "Dolvane Dol-42",
            "direct",
            4.2,
            104.0,
            124.0,
            4,
            17.5,
            58,
            2600,
            2850,
            "Uln-4L",
            "hydraulic",
            7.0,
            ("Ves-50", "Tol-48"),
            "Sif-330",
            "Kel-W",
            -2.0,
        ),
    ]
}

MODELS = [
    Model(
        "Orduvel Halvern pickup",
        "Orduvel Ord-25",
        "road",
        "km",
        42,
        34,
        (1984, 1999),
        26,
        (
            "Keeps up on the pass road with a full bed",
            "Tows a stock trailer up to the pastures",
            "No black smoke above the village",
        ),
    ),
    Model(
        "Orduvel Halvern minibus",
        "Orduvel Ord-25",
        "road",
        "km",
        85,
        31,
        (1986, 2001),
        15,
        ("Fourteen people up to Upper Ravanne without changing down twice", "Less smoke at the stops"),
    ),
    Model(
        "Quessin Rindle wagon",
        "Quessin Que-24",
        "road",
        "km",
        36,
        38,
        (1985, 1998),
        14,
        ("Overtake a truck uphill", "More pull between 1,800 and 2,500 rpm"),
    ),
    Model(
        "Quessin Pimmet van",
        "Quessin Que-18",
        "road",
        "km",
        40,
        33,
        (1988, 2003),
        10,
        ("Deliver up the valley with a full load", "Does not hold up the bus any more"),
    ),
    Model(
        "Ruvanta Field 65",
        "Ruvanta Ruv-39",
        "field",
        "h",
        58,
        0,
        (1972, 1996),
        20,
        ("Plough the upper terraces in third", "Run the chopper without stalling", "Pull the four-furrow plough"),
    ),
    Model(
        "Ruvanta Field 48",
        "Ruvanta Ruv-29",
        "field",
        "h",
        50,
        0,
        (1970, 1994),
        12,
        ("Baler and front loader at once", "Power take-off work at this height"),
    ),
    Model(
        "Hesprel Dravock truck",
        "Hesprel Hes-58",
        "road",
        "km",
        110,
        36,
        (1978, 1995),
        14,
        ("Twelve tonnes over the pass", "Timber down, gravel up, in one gear more"),
    ),
    Model(
        "Hesprel Dravock coach",
        "Hesprel Hes-58",
        "road",
        "km",
        130,
        38,
        (1980, 1997),
        5,
        ("Hold the timetable on the pass line",),
    ),
    Model(
        "Hesprel Pannet van",
        "Hesprel Hes-33",
        "road",
        "km",
        70,
        35,
        (1986, 2002),
        11,
        ("Market run twice a day, loaded", "Water tanker up to the camps"),
    ),
    Model(
        "Dolvane lake ferry",
        "Dolvane Dol-42",
        "boat",
        "h",
        95,
        0,
        (1975, 1992),
        5,
        ("Get home against the afternoon wind",),
    ),
    Model(
        "Merrask pump set",
        "Dolvane Dol-42",
        "stationary",
        "h",
        160,
        0,
        (1974, 1990),
        6,
        ("Lift water forty metres more", "Run the mill and the pump together"),
    ),
    Model(
        "Merrask saw set",
        "Ruvanta Ruv-39",
        "stationary",
        "none",
        75,
        0,
        (1972, 1988),
        4,
        ("Does not bog down in green beech",),
    ),
]
