"""Published limits of smoke as examples. The local rule decides, and which class a vehicle is in is recorded, not deduced."""

from dataclasses import dataclass

MEMORY = "from memory"


@dataclass(frozen=True)
class Example:
    name: str
    procedure: str
    quantity: str  # k or opacity
    value: float
    path_m: float | None
    source: str
    note: str = ""


FRANCE = "French order of 18 June 1991, appendix 2, 9.1.2.1.1"
EXAMPLES = [
    Example("In use, naturally aspirated, no plate value", "free", "k", 2.5, None, f"{FRANCE}; also older EU text after 72/306/EEC"),
    Example("In use, turbocharged, no plate value", "free", "k", 3.0, None, f"{FRANCE}; also older EU text after 72/306/EEC"),
    Example("In use, first registered from 1 July 2008", "free", "k", 1.5, None, FRANCE),
    Example("Euro 6 / VI, no plate value", "free", "k", 0.7, None, f"Directive 2014/45/EU, annex I, 8.2.2.2, {MEMORY}", "German practice of 2019 is stricter"),
    Example("Euro 6 / VI, German practice from 2019", "free", "k", 0.25, None, "trade press on the national exhaust-test guideline"),
    Example("India, older rule, all diesels", "free", "opacity", 65.0, 0.430, "CMVR rule 115(2), state transport department", f"printed beside it 2.45 m⁻¹, {MEMORY}"),
    Example("India, later stage", "free", "opacity", 50.0, 0.430, f"CMVR rule 115, {MEMORY}", f"printed beside it 1.62 m⁻¹, {MEMORY}"),
    Example("California, oldest model years", "snap", "opacity", 40.0, None, "13 CCR 2182", "then 30, 20 and 5 % by model year; on the standard path by rated power"),
    Example("California, newest model years", "snap", "opacity", 5.0, None, "13 CCR 2182", "on the standard path by rated power"),
]  # fmt: skip
