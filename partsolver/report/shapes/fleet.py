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


class Left(Shape):
    """So many pieces of a part: what stays on the shelf, or in its PC."""

    id: str
    name: str
    count: int


class Picked(Shape):
    """What is taken from the shelf or out of a PC, in the order of work. source: the PC, or ``shelf``."""

    pc: str
    id: str
    name: str
    count: int
    from_: Literal["shelf", "pc"] = Field(alias="from")
    source: str


class Part(Shape):
    """Pieces of a part for one PC. source: the seller, bundle or PC they come from."""

    id: str
    name: str
    count: int
    slot: str
    price: str
    condition: str | None
    from_: Literal["seller", "shelf", "bundle", "pc"] = Field(alias="from")
    source: str


class FleetPc(Shape):
    """One PC, in the order of work. choice: the candidate of every slot, as `replan` reads it again."""

    pc: str
    class_: int = Field(alias="class")
    what: Literal["plan", "nothing", "scrap"]
    choice: list[str]
    why: Literal["unknown-speed", "no-plan", "elsewhere"] | None
    speedup: float | None
    parts: list[Part]
    own_parts: list[Left]
    open_questions: list[str]


class OrderLine(Shape):
    """Pieces of a part or bundle, and the price of one."""

    id: str
    name: str
    count: int
    price: str
    amount: str


class Order(Shape):
    """The one order at a seller."""

    seller: str
    name: str
    lines: list[OrderLine]
    delivery: str
    total: str


class MoreBudget(Shape):
    """What a larger budget would reach."""

    budget: str
    goals: list[Goal]


class Broken(Shape):
    """A survey that cannot be read."""

    pc: str
    faults: list[str]


class Changes(Shape):
    """A fleet planned again: what is sold out, how many plans stay, which change, and what the goal would
    reach if none had to stay."""

    gone: list[str]
    kept: int
    changed: list[str]
    anew: list[Goal]


class Source(Shape):
    """With what the fleet was planned. folder, catalog: paths, or ``demo``; brief: fields that options set
    in every brief."""

    folder: str
    catalog: str
    min_speedup: str
    scrap: bool
    brief: dict[str, str | int | bool | list[str] | None]


class Fleet(Shape):
    """`fleet --format json`; ``source`` in the file of ``--out``; circles: names of PCs that get parts out of
    one another."""

    schema_: Literal["partsolver.fleet/1"] = Field(alias="schema")
    goal: Literal["most-pcs", "most-speed", "worst-first"]
    currency: str
    budget: str | None
    cost: str
    proven: bool
    gap: int | str
    goals: list[Goal]
    pcs: list[FleetPc]
    circles: list[list[str]]
    orders: list[Order]
    picking_list: list[Picked]
    left_on_shelf: list[Left]
    more_budget: MoreBudget | None
    broken: list[Broken]
    catalog_digest: str
    changes: Changes | None
    source: Source | None
