"""Facts a plan stands on: what each is called, its unit, what is allowed, and what is usual when nobody knows.

A number may be a range; where it comes from goes with it. Names equal the fields of physics.plan.PlanInputs.
"""

from dataclasses import dataclass

ORIGINS = [("measured", "measured here"), ("book", "plate or book"), ("told", "told"), ("guessed", "guessed")]
ORIGIN_LABEL = dict(ORIGINS)


@dataclass(frozen=True)
class Fact:
    name: str
    label: str
    unit: str
    low: float = 0.0
    high: float = 0.0
    group: str = "engine"
    usual: tuple[float, float] | None = None  # common practice, used as a guessed range when nothing is known
    help: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    is_text: bool = False

    @property
    def is_number(self) -> bool:
        return not self.choices and not self.is_text


INJECTION = (("indirect", "indirect (chamber in the head)"), ("direct", "direct (bowl in the piston)"))
PUMP_KINDS = (("inline", "inline"), ("rotary", "rotary"), ("single", "single plunger"), ("unknown", "not known yet"))
GOVERNOR_KINDS = (
    ("mechanical", "mechanical"),
    ("pneumatic", "pneumatic"),
    ("hydraulic", "hydraulic"),
    ("electronic", "electronic"),
    ("unknown", "not known yet"),
)

FACTS = {
    f.name: f
    for f in [
        Fact("displacement_l", "Displacement", "L", 0.2, 30, help="or bore, stroke and cylinders below"),
        Fact("bore_mm", "Bore", "mm", 40, 200),
        Fact("stroke_mm", "Stroke", "mm", 40, 250),
        Fact("cylinder_count", "Cylinders", "", 1, 12),
        Fact("compression_ratio", "Compression ratio", ": 1", 12, 26),
        Fact("injection", "Injection", "", choices=INJECTION),
        Fact("rated_power_kw", "Rated power", "kW", 2, 600),
        Fact("rated_speed_rpm", "Rated speed", "rpm", 500, 6500),
        Fact("governed_speed_rpm", "Governed speed, no load", "rpm", 500, 7000),
        Fact("pump_kind", "Injection pump", "", group="pump", choices=PUMP_KINDS),
        Fact("governor_kind", "Governor", "", group="pump", choices=GOVERNOR_KINDS),
        Fact("plunger_diameter_mm", "Plunger diameter", "mm", 4, 14, group="pump", help="a range until it is measured"),
        Fact("effective_stroke_mm", "Effective plunger stroke", "mm", 0.3, 15, group="pump"),
        Fact("delivery_mm3", "Full-load delivery", "mm³/stroke", 5, 400, group="pump", help="from the pump bench"),
        Fact("injection_pressure_bar", "Injector opening pressure", "bar", 80, 400, group="pump"),
        Fact("begin_of_injection_deg", "Begin of injection", "° before top dead centre", -5, 40, group="pump"),
        Fact(
            "emission_equipment", "Emission equipment found", "", is_text=True, help="name each part, or 'none found'"
        ),
    ]
}
FACT_GROUPS = (("engine", "Engine"), ("pump", "Injection pump"))
