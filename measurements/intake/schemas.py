"""What is sent and what is answered. The OpenAPI description is made from these."""

from datetime import date, datetime
from typing import Annotated, Literal
from uuid import UUID

from ninja import Schema
from pydantic import AwareDatetime, Field, FiniteFloat, StringConstraints, ValidationError, WrapValidator

MOST_ITEMS = 100
KINDS = ("point", "withdrawal", "entry", "sign_off", "start", "run_step")
Pk = Annotated[int, Field(ge=1, le=2**31 - 1)]
Number = Annotated[FiniteFloat, Field(ge=-1e9, le=1e9)]
_NO_CONTROLS = r"^[^\x00-\x08\x0b\x0c\x0e-\x1f\x7f]*$"
Slug = Annotated[str, StringConstraints(max_length=32, pattern=r"^[a-z0-9_]*$")]
Note = Annotated[str, StringConstraints(max_length=200, pattern=_NO_CONTROLS)]
Gear = Annotated[str, StringConstraints(max_length=12, pattern=_NO_CONTROLS)]
Values = Annotated[dict[Slug, Number], Field(min_length=1, max_length=40)]


class PointIn(Schema):
    """One stop: the engine held at a speed and a load, and what was read there, in stored units."""

    kind: Literal["point"]
    id: UUID
    job: Pk
    phase: Literal["before", "after"]
    speed_rpm: Number
    load_pct: Number
    values: Values
    run: Pk | None = None
    start: UUID | None = Field(
        default=None, description="Instead of the run: the id of the start that was sent for it."
    )
    places: Annotated[dict[Slug, Slug], Field(max_length=40)] = {}
    gauges: Annotated[dict[Slug, Pk], Field(max_length=40)] = {}
    air_temperature_c: Number | None = None
    air_pressure_kpa: Number | None = None
    gear: Gear = ""
    note: Note = ""
    made_at: AwareDatetime | None = None


class WithdrawalIn(Schema):
    """Takes a point back that was typed by mistake."""

    kind: Literal["withdrawal"]
    id: UUID
    point: UUID
    made_at: AwareDatetime | None = None


class EntryIn(Schema):
    """One finding on a guided sheet; without value and choice it takes the item back."""

    kind: Literal["entry"]
    id: UUID
    job: Pk
    sheet: Slug
    item: Slug
    place: Annotated[int, Field(ge=0, le=100)] = 0
    value: Number | None = None
    choice: Slug = ""
    made_at: AwareDatetime | None = None


class SignOffIn(Schema):
    """A safety check, signed by the person who is logged in for what was fitted as number `round`. A box cannot sign."""

    kind: Literal["sign_off"]
    id: UUID
    job: Pk
    round: Annotated[int, Field(ge=1, le=1000)]
    check: Slug
    note: Note = ""
    made_at: AwareDatetime | None = None


class StartIn(Schema):
    """The start of a proving run against a plan of the job; refused while a safety check is not signed. Not for a box."""

    kind: Literal["start"]
    id: UUID
    job: Pk
    plan: Pk
    made_at: AwareDatetime | None = None


class RunStepIn(Schema):
    """A step of a run that is no reading: oil temperature that cannot be read, or the idling before switching off."""

    kind: Literal["run_step"]
    id: UUID
    job: Pk
    step: Literal["oil_unreadable", "cool_down"]
    run: Pk | None = None
    start: UUID | None = None
    seconds: Annotated[Number, Field(ge=0, le=86_400)] = 0
    made_at: AwareDatetime | None = None


class PhotoIn(Schema):
    id: UUID
    job: Pk
    sheet: Slug
    made_at: AwareDatetime | None = None
    sent_at: AwareDatetime | None = None


class Malformed(Schema):
    id: str = ""
    errors: dict[str, str]


def _told(error) -> tuple[str, str]:
    # The first place is the kind of the item, which says nothing to the sender.
    place = ".".join(str(part) for part in error["loc"] if part not in KINDS) or "item"
    got = repr(error.get("input"))[:60].encode("ascii", "replace").decode()
    return place[:80], f"{place[:80]}: {error['msg']} (was {got})."


def _or_malformed(value, handler):
    """One bad item must not take the others with it."""
    try:
        return handler(value)
    except ValidationError as error:
        sent = value.get("id") if isinstance(value, dict) else ""
        told = dict(_told(e) for e in error.errors(include_url=False, include_context=False))
        return Malformed(id=sent[:64].encode("ascii", "replace").decode() if isinstance(sent, str) else "", errors=told)


Kinds = PointIn | WithdrawalIn | EntryIn | SignOffIn | StartIn | RunStepIn
Item = Annotated[Kinds, Field(discriminator="kind"), WrapValidator(_or_malformed)]


class Batch(Schema):
    items: Annotated[list[Item], Field(max_length=MOST_ITEMS)]
    sent_at: AwareDatetime | None = Field(
        default=None, description="The sender's clock now, so that a wrong clock does no harm."
    )


class Answer(Schema):
    id: str
    state: Literal["stored", "refused"]
    code: Literal[200, 403, 404, 409, 422] = 200
    reason: str = ""
    fields: dict[str, str] = {}
    received_at: datetime
    verdict: str = Field(
        default="", description="on_plan, near_edge, off_plan or stop; empty when there is nothing to compare with"
    )
    told: list[str] = []
    look_first: list[str] = []
    do_now: list[str] = []
    run: int | None = Field(default=None, description="of a start: the proving run that it began or found open")
    run_number: int | None = None


class Answers(Schema):
    answers: list[Answer]


class Trouble(Schema):
    detail: str


class Me(Schema):
    user: int
    csrf_token: str


class JobRow(Schema):
    id: int
    number: str
    stage: str
    vehicle: str


class StepRow(Schema):
    slug: str
    label: str
    speed_rpm: float
    load_pct: float
    done: bool


class QuantityRow(Schema):
    """`shown = stored * factor + offset` turns the stored unit into the one that the workshop reads."""

    label: str
    unit: str
    bare_unit: str
    low: float
    high: float
    why: str
    decimals: int
    factor: float
    offset: float


class LimitRow(Schema):
    quantity: str
    direction: Literal["max", "min"]
    edge: float
    source: str
    over_speed: list[list[float]]
    stop_at: float | None
    from_rpm: float
    full_load_only: bool
    opacity_path_m: float | None


class Ends(Schema):
    low: list[float]
    high: list[float]


class Bands(Schema):
    speeds_rpm: list[float]
    by_quantity: dict[str, Ends]


class Gauge(Schema):
    name: str
    quantity: str
    uncertainty: float
    low: float | None
    high: float | None
    check_due_on: date | None
    overdue_note: str
    range_note: str


class Caution(Schema):
    title: str
    danger: str
    cautions: list[str]


class CheckRow(Schema):
    slug: str
    title: str
    text: str
    danger: str
    signed_by: str
    signed_at: datetime | None


class StartRow(Schema):
    """What stands before a proving run: the checks of the present fitment, and what else is missing."""

    round: int
    plan: int | None
    checks: list[CheckRow]
    in_the_way: list[str]
    may_sign: bool
    may_start: bool


class SheetOut(Schema):
    job: int
    number: str
    vehicle: str
    phase: str
    run: int | None
    run_number: int | None
    start: StartRow | None
    warm: Literal["", "oil", "unreadable"]
    cooled_down: bool
    plan: str
    worked_out_at: datetime
    steps: list[StepRow]
    warm_oil_c: float
    settle_s: int
    cool_down_s: int
    cool_down_clock: str
    quantities: dict[str, QuantityRow]
    places: dict[str, str]
    gauges: dict[str, Gauge]
    bands: Bands
    limits: list[LimitRow]
    rules: dict
    cautions: list[Caution]
