"""Shape of the document of `fleet`."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from partsolver.report.shapes.plans import Shape


class Goal(Shape):
    """What one goal reached, its proven bound, and the difference (amounts for the cost)."""

    goal: str
    value: int | str
    bound: int | str
    gap: int | str


class Part(Shape):
    """Pieces of a part for one PC. source: the seller, bundle or PC they come from."""

    id: str
    count: int
    slot: str
    price: str
    from_: Literal["seller", "bundle", "pc"] = Field(alias="from")
    source: str


class FleetPc(Shape):
    """One PC, in the order of work."""

    pc: str
    class_: int = Field(alias="class")
    what: Literal["plan", "nothing", "scrap"]
    why: Literal["unknown-speed", "no-plan", "elsewhere"] | None
    speedup: float | None
    parts: list[Part]
    open_questions: list[str]


class OrderLine(Shape):
    """Pieces of a part or bundle, and the price of one."""

    id: str
    count: int
    price: str


class Order(Shape):
    """The one order at a seller."""

    seller: str
    lines: list[OrderLine]
    delivery: str
    total: str


class Left(Shape):
    """What stays on the shelf."""

    id: str
    count: int


class MoreBudget(Shape):
    """What a larger budget would reach."""

    budget: str
    goals: list[Goal]


class Broken(Shape):
    """A survey that cannot be read."""

    pc: str
    faults: list[str]


class Fleet(Shape):
    """`fleet --format json`."""

    schema_: Literal["partsolver.fleet/1"] = Field(alias="schema")
    goal: Literal["most-pcs", "most-speed", "worst-first"]
    currency: str
    budget: str | None
    cost: str
    proven: bool
    gap: int | str
    goals: list[Goal]
    pcs: list[FleetPc]
    orders: list[Order]
    left_on_shelf: list[Left]
    more_budget: MoreBudget | None
    broken: list[Broken]
    catalog_digest: str
