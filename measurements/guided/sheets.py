"""The guided sheets: what is looked at or measured, in which order, what is possible, what is usual, what to mind. Pure.

Usual ranges are common practice of the trade and say so; the maker's own figures come first.
"""

from dataclasses import dataclass
from functools import cached_property

from sizing.units.quantities import Quantity

PRACTICE = "common practice; the maker's figure comes first"
STATES = (("good", "good"), ("repair", "needs repair"), ("bad", "not fit"))
YES_NO = (("yes", "yes"), ("no", "no"))


@dataclass(frozen=True)
class SheetItem:
    slug: str
    label: str
    unit: str = ""  # stored unit; empty for a choice
    low: float = 0.0  # outside it is not possible
    high: float = 0.0
    usual: tuple[float, float] | None = None
    how: str = ""  # where and how it is read
    decimals: int = 0
    choice: str = ""  # which of the shop's unit choices applies
    word: str = ""  # gauge or absolute
    repeat: str = ""  # "cylinder", or a count in words of what is repeated
    choices: tuple[tuple[str, str], ...] = ()
    retired: bool = False  # not asked any more; what a phone still holds of it is taken

    @property
    def is_repeated(self) -> bool:
        return bool(self.repeat)

    @cached_property
    def quantity(self) -> Quantity:
        """Its figures are read and written by the same rules as any quantity."""
        return Quantity(self.slug, self.label, self.unit, self.low, self.high, self.decimals, self.choice, self.word)


@dataclass(frozen=True)
class GuidedSheet:
    slug: str
    title: str
    before: str  # which hazards are shown: a page name of the safety notes
    caution: str  # the one sentence to be read before the hand acts
    items: tuple[SheetItem, ...]
    leads_to: str = ""  # the page of the job that comes next, so that nothing is written down twice
    leads_title: str = ""

    @property
    def asked(self) -> tuple[SheetItem, ...]:
        return tuple(i for i in self.items if not i.retired)

    def item(self, slug: str) -> SheetItem | None:
        return next((i for i in self.items if i.slug == slug), None)


def _state(slug: str, label: str, how: str = "") -> SheetItem:
    return SheetItem(slug, label, choices=STATES, how=how)


def _yes(slug: str, label: str, how: str = "") -> SheetItem:
    return SheetItem(slug, label, choices=YES_NO, how=how)


SHEETS = [
    GuidedSheet(
        "survey", "Survey at the engine", "strip",
        "Fuel off and injectors or glow plugs out for compression; nobody in line with the openings. Hot oil and coolant burn.",
        (
            SheetItem("compression_kpa", "Compression", "kPa", 500, 6000, (2000, 3800), "warm engine, throttle open, starter at full speed until the needle stands", 0, "pressure", "gauge", "cylinder"),
            SheetItem("blow_by_l_min", "Blow-by", "L/min", 0, 500, None, "at the breather, rated speed, warm"),
            SheetItem("oil_pressure_idle_kpa", "Oil pressure hot, at idle", "kPa", 0, 1500, (70, 400), "oil at 80 °C or more", 0, "pressure", "gauge"),
            SheetItem("oil_pressure_rated_kpa", "Oil pressure hot, at rated speed", "kPa", 0, 1500, (250, 700), "oil at 80 °C or more", 0, "pressure", "gauge"),
            _state("oil", "Oil", "level, soot, water, metal"),
            _state("coolant", "Coolant", "level, oil film, pressure held"),
            _state("filters", "Air, oil and fuel filters"),
            _state("leaks", "Leaks of oil, coolant, fuel and exhaust"),
            _state("injectors", "Injectors"),
            _state("mounts", "Engine and gearbox mounts"),
            _state("clutch", "Clutch or coupling reserve"),
            _state("cooling", "Cooling reserve", "radiator, fan, thermostat"),
        ),
    ),
    GuidedSheet(
        "pump_bench", "Pump bench", "pump",
        "Guard on the coupling. The rack must move freely and return to stop before the pump leaves the bench.",
        (
            _yes("rack_free", "Rack free, returns to stop", "by hand, pump turning and standing"),
            SheetItem("delivery_rated_mm3", "Delivery at rated pump speed, full load", "mm³/stroke", 0, 400, None, "per plunger; the same number as cm³ per 1000 strokes", 1, repeat="plunger"),
            SheetItem("delivery_torque_mm3", "Delivery at peak torque speed", "mm³/stroke", 0, 400, None, "per plunger", 1, repeat="plunger"),
            SheetItem("delivery_idle_mm3", "Delivery at idle", "mm³/stroke", 0, 100, None, "per plunger", 1, repeat="plunger"),
            SheetItem("cut_off_rpm", "Governor cuts off from, pump speed", "rpm", 0, 4000, None, "delivery begins to fall"),
            SheetItem("boost_compensator_kpa", "Boost compensator starts at", "kPa", 0, 250, (15, 60), "where one is fitted", 0, "pressure", "gauge"),
            SheetItem("begin_deg", "Begin of injection before top dead centre", "°", 0, 40, (8, 26), "static, crankshaft degrees", 1),
        ),
    ),
    GuidedSheet(
        "injector_bench", "Injector bench", "pump",
        "Never a hand before the nozzle: the jet goes through skin. Eye protection, extraction on, no flame.",
        (
            SheetItem("opening_pressure_kpa", "Opening pressure", "kPa", 5000, 50000, (10000, 26000), "pump slowly, read where the needle falls", 0, "pressure", "gauge", "cylinder"),
            SheetItem("tip_dry_s", "Tip stays dry, 20 bar below opening", "s", 0, 60, (10, 60), "no drop for ten seconds", repeat="cylinder"),
            SheetItem("spray", "Spray", choices=STATES, how="even, no streaks, clean end, chatters", repeat="cylinder"),
        ),
    ),
    GuidedSheet(
        "leak_test", "Leak test of the intake", "fit",
        "Low pressure, regulator with relief, nothing clamped by hand: a hose that lets go whips. Inlet of the turbo plugged with a tethered plug.",
        (
            SheetItem("test_pressure_kpa", "Test pressure", "kPa", 0, 250, (60, 150), "no more than the plan's boost", 0, "pressure", "gauge"),
            SheetItem("after_minute_kpa", "Pressure left after one minute", "kPa", 0, 250, None, "air shut off; valves of the engine leak a little", 0, "pressure", "gauge"),
            _yes("soap_tight", "Joints tight with soap water", "hoses, cooler, manifold gasket, compressor seal"),
            _yes("plug_out", "Plug and rags are out again", "count them"),
        ),
    ),
    GuidedSheet(
        "free_acceleration", "Before the smoke test: idle and governed speed", "smoke",
        "Belt and governor sound, somebody at the stop, nobody in the smoke. Stop at once if the speed passes the governed speed.",
        (
            SheetItem("oil_temperature_c", "Oil temperature", "°C", -40, 200, (80, 110), "asked in the smoke test itself", 0, "temperature", retired=True),
            SheetItem("idle_rpm", "Idle", "rpm", 0, 2000, (500, 1000)),
            SheetItem("governed_rpm", "Governed speed reached", "rpm", 0, 8000, None, "raise the speed slowly; it must cut off cleanly before any snap"),
            SheetItem("smoke_k_per_m", "Smoke at each pull", "m⁻¹", 0, 10, None, "written down in the smoke test itself", 2, repeat="pull", retired=True),
        ),
        "measurements:smoke_test", "On to the smoke test",
    ),
    GuidedSheet(
        "oil_feed", "Oil feed of the turbo", "start",
        "Fuel off while cranking: the engine must not start. Hot oil near the hot side burns. Never a hand near an open compressor inlet.",
        (
            _yes("primed", "Turbo filled with clean oil by hand", "shaft turned by hand"),
            _yes("oil_at_feed", "Oil comes at the feed while cranking", "fuel off, line loose over a tray"),
            SheetItem("crank_pressure_kpa", "Oil pressure while cranking", "kPa", 0, 1500, (20, 400), "fuel off", 0, "pressure", "gauge"),
            SheetItem("feed_pressure_idle_kpa", "Feed pressure at idle, hot", "kPa", 0, 1500, (70, 400), "at the turbo", 0, "pressure", "gauge"),
            SheetItem("drain_s", "Oil seen at the drain after", "s", 0, 120, (0, 10), "from the start of the engine; stop it when none comes in ten seconds"),
            _yes("drain_falls", "Drain falls all the way, above the oil level", "no kink, no sag"),
        ),
    ),
]  # fmt: skip
SHEET = {sheet.slug: sheet for sheet in SHEETS}


def repeats(item: SheetItem, cylinders: int, filled: int = 0) -> list[int]:
    """The places of an item: 0 where there is one; pulls are four, and one more than were taken."""
    if not item.repeat:
        return [0]
    count = max(4, filled + 1) if item.repeat == "pull" else max(1, cylinders)
    return list(range(1, count + 1))
