"""Shapes of the documents that answer a question about a PC."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, create_model

from partsolver.catalog.records import TABLES
from partsolver.report.shapes.plans import (
    Amount,
    CheckedPlan,
    Count,
    Day,
    FactValue,
    Finding,
    Parts,
    Plan,
    Ppm,
    Shape,
    Speedup,
)
from partsolver.wishes.brief import Brief

Outcome = Literal["optimal", "best_found", "impossible", "undecided"]


class CompletePc(Shape):
    """A complete PC that competes with the plans."""

    id: str
    name: str
    condition: str
    seller: str
    seller_name: str
    cost: Amount
    speedup: Speedup | None
    time_ppm: Ppm
    arrival: Day


class RankedPc(CompletePc):
    """A complete PC with its place in the short answer."""

    rank: Count


class Choice(Shape):
    """A plan of the short answer, and what it is."""

    rank: Count
    kinds: list[Literal["first", "fastest", "clear-gain", "memory-only", "keep"]]
    proven: bool
    gain: float | None
    plan: Plan


class Choices(Shape):
    """The short answer: plans that differ in what they mean for the owner."""

    plans: list[Choice]
    complete_pc: RankedPc | None


class Totals(Shape):
    """How many candidates there are, or a rule alone leaves."""

    boards: int
    cpus: int
    memory: int


class RuleCount(Totals):
    """What one rule alone leaves."""

    rule: str


class Conflict(Shape):
    """A proved "no": what each rule alone leaves."""

    rules: list[str]
    totals: Totals
    counts: list[RuleCount]
    empty: list[str]


class SolverLimits(Shape):
    """How long the solver may think."""

    deterministic_seconds: float | None


class Proof(Shape):
    """Who decided, and among how many combinations of board, processor and memory the model did (counted up to
    20 for each wanted plan)."""

    by: list[Literal["search", "model"]]
    combinations: int | None


class Bound(Shape):
    """The least time found, the least that is proven possible, and that of the PC as it is."""

    least_time_ppm: Ppm | None
    proven_time_ppm: Ppm | None
    present_time_ppm: Ppm | None


class Provenance(Shape):
    """What makes an answer reproducible."""

    catalog_name: str
    catalog_digest: str
    catalog_date: Day
    catalog_origin: str
    order_date: Day
    solver: str
    limits: SolverLimits
    proven: bool
    interrupted: bool
    better_percent: int | None
    proof: Proof
    bound: Bound


class LeftOut(Shape):
    """Optional cards and drives of the PC that stay out because the plans are better without; cost and
    speed-up of the first plan with all of them kept (null: there is none)."""

    names: list[str]
    cost_with_them: Amount | None
    speedup_with_them: Speedup | None


class Recommendation(Shape):
    """`recommend --format json`: the exact list in `plans`, the short answer in `choices`."""

    schema_: Literal["partsolver.recommendation/1"] = Field(alias="schema")
    outcome: Outcome
    currency: str
    goal: Literal["speed", "cost"]
    use: str
    budget: Amount | None
    plans: list[Plan]
    choices: Choices | None
    complete_pcs: list[CompletePc]
    conflict: Conflict | None
    left_out: LeftOut | None
    provenance: Provenance


# The rows of each table as its record has them; what a catalogue does not say is left out.
Rows = create_model(
    "Rows",
    __base__=Shape,
    **{table: (list[kept] | None, None) for table, kept in TABLES.items()},  # type: ignore[valid-type, call-overload]
)


class Source(Shape):
    """What a plan file needs to be solved again."""

    survey_toml: str
    catalog: str
    catalog_digest: str
    rows: Annotated[
        Rows,
        Field(description="the rows of the catalogue it names, by table, as columns"),
    ]


class PlanFile(Recommendation):
    """`recommend --out`: the recommendation with what is needed to solve again."""

    chosen: Count
    brief: Brief
    source: Source


class Check(CheckedPlan):
    """`check --format json`."""

    schema_: Literal["partsolver.check/1"] = Field(alias="schema")
    fits: bool
    asked: list[str]
    left_out: Annotated[
        list[str], Field(description="optional cards and drives of the PC that have to stay out for it")
    ]
    currency: str


class Reason(Shape):
    """One rule of a conflict, what it alone leaves, and its finding for the nearest miss."""

    rule: str
    leaves: Totals
    nearest_miss: list[Finding]


class WayOut(Shape):
    """One change that makes a plan possible, with the cheapest plan that follows."""

    kind: Literal["budget", "replace", "drop-wish", "need-by", "answer"]
    what: str
    value: str
    also_budget: bool
    plan: Plan


class Further(Shape):
    """A conflict that is left once some rules are given up."""

    given_up: list[str]
    rules: list[str]


class Released(Shape):
    """What has to go for a plan, all else in force: members of the conflict of which one is enough; where
    none is, the conflicts left, and rules that are enough together."""

    alone: list[str]
    further: list[Further]
    together: list[str]


class HangsOn(Shape):
    """A fact that is not known and bars what would stand otherwise."""

    question: str
    text: str
    rule: str


class Why(Shape):
    """`why --format json`."""

    schema_: Literal["partsolver.why/1"] = Field(alias="schema")
    possible: bool
    currency: str
    decided: bool
    hangs_on: list[HangsOn]
    totals: Totals
    empty: list[str]
    conflict: list[Reason]
    released: Released | None
    ways_out: list[WayOut]
    plan: Plan | None


class WhyPart(Shape):
    """`why ID --format json`."""

    schema_: Literal["partsolver.why-part/1"] = Field(alias="schema")
    part: str
    part_name: str
    verdict: Literal["taken", "worse", "ruled-out", "not-offered", "not-needed", "barred", "undecided"]
    hangs_on: list[HangsOn]
    dominated_by: str | None
    dominated_by_name: str | None
    conflict: list[Reason]
    best_with_it: Plan | None
    first_plan: Plan | None


class Difference(Shape):
    """What another catalogue says of a part or offer that the plan names; before or after is null where it
    is not there."""

    kind: str
    id: str
    name: str
    field: str | None
    seller: str | None
    seller_name: str | None
    before: FactValue
    after: FactValue


class Note(Shape):
    """Something to say about a change: its kind, the part, another part concerned."""

    kind: str
    id: str
    name: str
    other: str | None
    other_name: str | None


class MissingPart(Shape):
    """A part of the plan that the catalogue does not have any more, or not as it was."""

    id: str
    name: str
    state: str


class Change(Shape):
    """One place of the PC that another part fills now."""

    slot: str
    before: str
    before_name: str
    after: str
    after_name: str


class Bought(Shape):
    """From whom, and for how much."""

    seller: str
    amount: Amount


class PurchaseChange(Shape):
    """What is bought elsewhere, for another price, no more, or new."""

    id: str
    name: str
    before: Bought | None
    after: Bought | None


class Replan(Shape):
    """`replan --format json`."""

    schema_: Literal["partsolver.replan/1"] = Field(alias="schema")
    outcome: Outcome
    currency: str
    catalog_changed: bool
    differences: list[Difference]
    notes: list[Note]
    old_still_stands: bool
    old_as_stored: bool
    gone: list[str]
    gone_names: list[str]
    missing: list[MissingPart]
    old: CheckedPlan
    stand_in: Plan | None
    new: Plan | None
    why_none: Why | None
    changes: list[Change]
    purchases: list[PurchaseChange]
    cost_difference: Amount | None


class Point(Shape):
    """One point of the trade-off."""

    cost: Amount
    speedup: Speedup | None
    time_ppm: Ppm
    price_per_percent: Amount | None
    knee: Annotated[bool, Field(description="the next percent costs at least twice as much")]
    parts: Parts
    power_w: int


class Tradeoff(Shape):
    """`tradeoff --format json`."""

    schema_: Literal["partsolver.tradeoff/1"] = Field(alias="schema")
    proven: bool
    currency: str
    resolution_percent: str
    points: list[Point]
