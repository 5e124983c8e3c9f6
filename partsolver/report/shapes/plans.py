"""Shape of a plan in every document that holds one."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Amount = Annotated[str, Field(pattern=r"^-?[0-9]+(\.[0-9]+)?$", description="decimal string in `currency`")]
Day = Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$", description="ISO 8601")]
Count = Annotated[int, Field(ge=1)]
Ppm = Annotated[int, Field(ge=0, description="millionths of the reference machine's time")]


class Shape(BaseModel):
    """Fields may be added to a document; those named here stay."""

    model_config = ConfigDict(extra="allow")


# A value of a fact: as JSON has it, or several of them; pairs such as family and firmware are lists of two.
Scalar = str | int | float | bool | None
FactValue = Scalar | list[Scalar | list[Scalar]]


class TenSeconds(Shape):
    """What took 10 seconds takes about so many."""

    expected: float
    low: float
    high: float


class Speedup(Shape):
    """Times as fast as the PC is now, with the 95 % interval."""

    expected: float
    low: float
    high: float


class Item(Shape):
    """A part or an extra, and how many."""

    id: str
    name: str
    count: Count


class Parts(Shape):
    """What fills each place; a kept part has an id that begins with `kept-`."""

    board: str
    board_name: str
    board_variant: str
    cpu_variant: str
    cooler_variant: str
    psu_variant: str
    cpu: str
    cpu_name: str
    memory: list[Item]
    cooler: str | None
    cooler_name: str | None
    psu: str | None
    psu_name: str | None
    case: str | None
    case_name: str | None
    drive: str | None
    drive_name: str | None


class PlanParts(Parts):
    """The parts of a plan with its extras."""

    extras: list[Item]


class Line(Shape):
    """One line of the order; delivery has a line of its own (`delivery:SELLER`)."""

    id: str
    name: str
    count: Count
    amount: Amount
    seller: str | None
    seller_name: str | None
    bundle: str | None
    condition: str | None
    arrival: Day | None
    needed_by_rule: str | None


class Cost(Shape):
    """The whole order: the lines add up to the total."""

    total: Amount
    lines: list[Line]


class Power(Shape):
    """Continuous power from the supply, and what it has left."""

    continuous_w: int
    margin_w: int | None


class Finding(Shape):
    """What a rule found: the compared values in `unit`, and how far inside (+) or outside (-) the limit."""

    rule: str
    verdict: Literal["fits", "fails", "unknown"]
    value: int | str | None
    limit: int | str | None
    margin: int | None
    unit: str
    parts: list[str]
    part_names: list[str | None]
    facts: dict[str, FactValue]
    blocks: Annotated[bool, Field(description="an unknown that may destroy parts: the plan must not stand")]
    question: str | None


class StandIn(Shape):
    """A part that can take the place of another with nothing else changing."""

    replaces: str
    replaces_name: str
    id: str
    name: str
    count: Count
    difference: Amount


class Replacement(Shape):
    """The cheapest part on offer that would do a kept part's work."""

    id: str
    name: str
    price: Amount
    mass_g: int | None


class Risk(Shape):
    """What a kept part carries: years, per cent of a label, a sign seen from outside."""

    kind: Literal["age", "age-unknown", "trusted", "condition", "condition-unknown", "capacitor-years"]
    value: int | str | None


class HeldBack(Shape):
    """The resource that the PC then waits for most, and for how much of its time."""

    resource: str
    percent: int


class KeptPart(Shape):
    """One kept part with its mass, its replacement and its risks."""

    slot: str
    name: str
    mass_g: int
    mass_basis: str
    replacement: Replacement | None
    searched_all: bool
    risks: list[Risk]


class KeptOrNew(Shape):
    """What keeping the big parts saves."""

    parts: list[KeptPart]
    saves: Amount
    waste_g: int
    mass_stated: bool


class BestKeeping(Shape):
    """The best plan that keeps a part which another replaces."""

    rank: int | None
    parts: Parts
    cost: Amount
    time_ppm: Ppm
    speedup: Speedup | None


class Replaced(Shape):
    """What replacing one kept part brings."""

    slot: str
    refused_with_present: list[Finding]
    best_keeping_it: BestKeeping | None
    proven: bool


class Exposure(Shape):
    """What is left when a part sells out."""

    part: str
    part_name: str
    stand_in: str | None
    stand_in_name: str | None
    best_left_rank: int | None
    best_left_time_ppm: Ppm | None
    best_left_cost: Amount | None
    fragile: bool


class SecondOrder(Shape):
    """What one piece costs that is ordered again because it arrived dead or does not fit (id null: nobody
    has one), and what comes back of the first (null: not known)."""

    part: str
    part_name: str
    id: str | None
    name: str | None
    seller: str | None
    seller_name: str | None
    cost: Amount | None
    arrival: Day | None
    back: Amount | None


class Text(Shape):
    """A caution: its id and its words."""

    id: str
    text: str


class Question(Shape):
    """An open question: the fact and how to find it out."""

    fact: str
    text: str


class CheckedPlan(Shape):
    """A plan without a place in a ranking."""

    parts: PlanParts
    extras: list[Item]
    cost: Cost
    speedup: Speedup | None
    ten_seconds: TenSeconds | None
    held_back_by: HeldBack | None
    gain_by_resource: dict[str, int] | None
    gain_by_part: dict[str, int] | None
    program_start: Speedup | None
    time_ppm: Ppm
    arrival: Day | None
    power: Power
    findings: list[Finding]
    stand_ins: list[StandIn]
    second_orders: list[SecondOrder]
    kept_or_new: KeptOrNew | None
    replaced: list[Replaced]
    fragile: list[str]
    fragile_names: list[str]
    exposure: list[Exposure]
    cautions: list[Text]
    open_questions: list[Question]


class Plan(CheckedPlan):
    """A plan of a ranking."""

    rank: Count
    step: Annotated[int, Field(ge=0, description="steps of the resolution above the least time")]
    equal_to_previous: bool
