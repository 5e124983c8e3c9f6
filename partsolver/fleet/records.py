"""The values of a fleet: classes of PCs, goods, columns (what may be done with one PC), the choice."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from partsolver.base.errors import Fault
from partsolver.base.records import record
from partsolver.catalog.load import Catalog
from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.survey.model import Survey
from partsolver.wishes.brief import Brief

FleetGoal = Literal["most-pcs", "most-speed", "worst-first"]
FLEET_GOALS: tuple[FleetGoal, ...] = ("most-pcs", "most-speed", "worst-first")
# Sellers of a fleet that ask for no money: what lies on the shelf, and what is taken out of its own PCs.
SHELF, TAKEN_OUT = "shelf", "taken-out"


@record
class PcClass:
    """PCs alike in all that matters. key: digest of what is alike; pcs: their names, sorted; survey and
    brief: those of the first."""

    key: str
    survey: Survey
    brief: Brief
    pcs: tuple[str, ...]

    @property
    def size(self) -> int:
        return len(self.pcs)


@record
class TakeOut:
    """What may be taken out of each PC of a class: item: id of the part in the extended catalogue; pieces: in
    one PC; slot: the place it leaves (board, cpu, memory, cooler)."""

    item: str
    slot: str
    pieces: int


@record
class Break:
    """From so many pieces of one offer on, each of them costs this (minor units)."""

    part: str
    seller: str
    from_pieces: int
    price: int


@record
class FleetWishes:
    """What is asked of a whole fleet. budget: minor units, None without limit; least_speedup: text of the
    least speed-up that counts (goal most-pcs); scrap: whether a PC that runs may be taken apart for the
    others."""

    goal: FleetGoal
    budget: int | None
    least_speedup: str
    scrap: bool = False


@record
class Fleet:
    """A fleet, read and joined with its stock.

    catalog: extended by what is on the shelf and what may be taken out; take_outs: by class key; broken:
    surveys that could not be read, with their faults.
    """

    classes: tuple[PcClass, ...]
    catalog: Catalog
    wishes: FleetWishes
    take_outs: Mapping[str, tuple[TakeOut, ...]]
    breaks: tuple[Break, ...]
    broken: tuple[tuple[str, tuple[Fault, ...]], ...]

    @property
    def sellers(self) -> dict[str, Seller]:
        return {seller.id: seller for seller in self.catalog.tables["sellers"]}


@record
class Goods:
    """One kind of goods in one state, and the offers and bundles that may supply it (those that the wishes
    of its PC allow). slot, key: as bundles name it; item: the part's id; in_bundles: (bundle, pieces of it
    in there)."""

    slot: str
    key: str
    item: str
    offers: tuple[Offer, ...]
    in_bundles: tuple[tuple[Bundle, int], ...] = ()

    def __hash__(self) -> int:
        """Of what tells most goods apart: goods are keys of every row of the joint choice."""
        return hash((self.slot, self.key, self.item))


# What a rule needs bought: any of these, so many pieces each.
NeedOptions = tuple[tuple[Goods, int], ...]
ColumnKind = Literal["plan", "nothing", "scrap"]


@record
class Column:
    """What may be done with one PC of a class.

    keys: candidates in slot order (plan); time_ppm: expected time afterwards, None when it does not run;
    demand: goods with pieces; needs: the options of each need, in rule order; released: take-outs that it
    leaves, pieces; own: what it could give and uses itself (modules put into its new board), pieces.
    """

    kind: ColumnKind
    keys: tuple[str, ...]
    time_ppm: int | None
    demand: tuple[tuple[Goods, int], ...]
    needs: tuple[NeedOptions, ...]
    released: tuple[tuple[str, int], ...]
    own: tuple[tuple[str, int], ...] = ()

    def __hash__(self) -> int:
        return hash((self.kind, self.keys, self.time_ppm))

    @property
    def order(self) -> tuple[str, tuple[str, ...]]:
        """A total order of the columns of a class."""
        return self.name

    @property
    def name(self) -> tuple[ColumnKind, tuple[str, ...]]:
        """Enough to make the column of a class again."""
        return (self.kind, self.keys)


@record
class Bought:
    """So many pieces of an offer or bundle, at this price apiece (minor units)."""

    source: Offer | Bundle
    pieces: int
    price: int


@record
class StageResult:
    """One goal after the other: name, value reached, and the proven bound (at most for what is maximised, at
    least for the cost)."""

    name: str
    value: int
    bound: int
