"""From counts to PCs: which PC of a class gets which plan, which piece comes from where, in which order to
work."""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from partsolver.base.records import record
from partsolver.catalog.records import Bundle, Offer
from partsolver.fleet.records import TAKEN_OUT, Column, Goods, NeedOptions, PcClass


@record
class Piece:
    """So many pieces of one part for a PC. offer or bundle: where they come from; donor: the PC they are
    taken out of; price: of one piece (0 in a bundle); slot: the place, ``extra`` for what a rule needs."""

    item: str
    pieces: int
    slot: str
    price: int
    offer: Offer | None = None
    bundle: Bundle | None = None
    donor: str | None = None


@record
class PcResult:
    """What is done with one PC. number: of its class."""

    pc: str
    number: int
    column: Column
    pieces: tuple[Piece, ...]

    @property
    def donors(self) -> frozenset[str]:
        return frozenset(piece.donor for piece in self.pieces if piece.donor is not None)


class _Sources:
    """The pieces of one kind of goods, taken one after the other."""

    def __init__(self) -> None:
        self.left: deque[list[Any]] = deque()

    def take(self, pieces: int) -> Iterator[tuple[Any, int]]:
        while pieces:
            source, there = self.left[0]
            now = min(pieces, there)
            yield source, now
            pieces -= now
            self.left[0][1] -= now
            if not self.left[0][1]:
                self.left.popleft()


def assigned(
    classes: Sequence[PcClass],
    counts: Sequence[tuple[int, Column, int]],
    values: Mapping[tuple[Any, ...], int],
    prices: Mapping[Offer, int],
    former: Mapping[str, Column],
) -> tuple[PcResult, ...]:
    """Every PC with its plan, in the order of work: a PC is opened before those that get its parts, where
    that is possible. ``prices``: of offers with a price break, the price reached; ``former``: the plans that
    PCs have already, which they keep first."""
    columns: dict[str, tuple[int, Column]] = {}
    for number, one in enumerate(classes):
        own = Counter({column: n for i, column, n in counts if i == number})
        keeping = {}
        for pc in one.pcs:
            if pc in former and own[former[pc]]:
                keeping[pc] = former[pc]
                own[former[pc]] -= 1
        listed = sorted(own.elements(), key=lambda column: column.order)
        others = [pc for pc in one.pcs if pc not in keeping]
        keeping.update(zip(others, listed, strict=True))
        columns.update((pc, (number, column)) for pc, column in keeping.items())
    bought, served = _flows(values)
    donors: dict[str, _Sources] = defaultdict(_Sources)
    for pc, (_, column) in sorted(columns.items()):
        for item, pieces in column.released:
            donors[item].left.append([pc, pieces])
    results = []
    for pc, (number, column) in sorted(columns.items()):
        found: list[Piece] = []
        for goods, pieces in column.demand:
            found += _pieces(goods, pieces, goods.slot, bought, donors, prices)
        for options in column.needs:
            ((goods, _),) = served[options].take(1)
            count = next(n for option, n in options if option == goods)
            found += _pieces(goods, count, "extra", bought, donors, prices)
        results.append(PcResult(pc, number, column, tuple(found)))
    return tuple(in_order_of_work(results))


def _flows(
    values: Mapping[tuple[Any, ...], int],
) -> tuple[dict[Goods, _Sources], dict[NeedOptions, _Sources]]:
    bought: dict[Goods, _Sources] = defaultdict(_Sources)
    served: dict[NeedOptions, _Sources] = defaultdict(_Sources)
    for key, value in values.items():
        if not value:
            continue
        if key[0] in ("bought", "from bundle"):
            bought[key[1]].left.append([key[2], value])
        elif key[0] == "served":
            served[key[1]].left.append([key[2], value])
    return bought, served


def _pieces(
    goods: Goods,
    pieces: int,
    slot: str,
    bought: Mapping[Goods, _Sources],
    donors: Mapping[str, _Sources],
    prices: Mapping[Offer, int],
) -> Iterator[Piece]:
    for source, count in bought[goods].take(pieces):
        if isinstance(source, Bundle):
            yield Piece(goods.item, count, slot, 0, bundle=source)
        elif source.seller == TAKEN_OUT:
            for donor, own in donors[goods.item].take(count):
                yield Piece(goods.item, own, slot, 0, offer=source, donor=donor)
        else:
            yield Piece(goods.item, count, slot, prices.get(source, source.price), offer=source)


def in_order_of_work(results: Sequence[PcResult]) -> Iterator[PcResult]:
    """Those that only give come first, then each PC after its donors. PCs that wait for one another (a circle)
    stand together, in the order of their names, before those that wait for them."""
    result_of = {result.pc: result for result in results}
    giving = [r for r in results if r.column.kind == "scrap"]
    yield from giving
    for pcs, _ in _in_waves([r for r in results if r.column.kind != "scrap"]):
        yield from map(result_of.__getitem__, pcs)


def circles(results: Sequence[PcResult]) -> tuple[tuple[str, ...], ...]:
    """PCs that wait for parts out of one another, in the order of work: each of them must be opened before
    any of them gets its parts."""
    return tuple(tuple(pcs) for pcs, wait_for_one_another in _in_waves(results) if wait_for_one_another)


def _in_waves(results: Sequence[PcResult]) -> Iterator[tuple[list[str], bool]]:
    """The PCs that can be worked at next, until none is left: those that wait for none, else a circle (True)."""
    left = {result.pc: result for result in results}
    while left:
        free = [pc for pc, r in left.items() if not (r.donors - {pc}) & left.keys()]
        wave = free or _first_circle(left)
        yield wave, not free
        for pc in wave:
            del left[pc]


def _first_circle(left: Mapping[str, PcResult]) -> list[str]:
    """Of PCs that all wait, those that wait for one another and for no other."""
    reached = {pc: _donors_of(pc, left) for pc in left}
    least = min(left, key=lambda pc: (len(reached[pc]), pc))
    return sorted(reached[least])


def _donors_of(pc: str, left: Mapping[str, PcResult]) -> set[str]:
    """The PCs for which one waits, through others too."""
    found: set[str] = set()
    waiting = [pc]
    while waiting:
        for donor in left[waiting.pop()].donors & left.keys() - found:
            found.add(donor)
            waiting.append(donor)
    return found
