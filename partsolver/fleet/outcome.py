"""The answer of a fleet, and its check in plain Python: no piece twice, stock and money kept, every plan
admitted."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from partsolver.base.errors import InternalFault
from partsolver.base.records import record
from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.fleet.assign import PcResult
from partsolver.fleet.columns import problem_of, rules_of_parts
from partsolver.fleet.records import SHELF, Break, Fleet, StageResult
from partsolver.fleet.work import ColumnName
from partsolver.performance.present import present_time_ppm
from partsolver.performance.time import time_ppm
from partsolver.plan.complete import judge
from partsolver.plan.cooler_choice import all_needs, needs_to_buy
from partsolver.plan.delivery import charge, order_is_taken
from partsolver.plan.draft import Draft, Line
from partsolver.plan.findings import Finding
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem


@record
class OrderLine:
    """Pieces of an item or bundle ordered from one seller, at this price apiece (minor units)."""

    item: str
    pieces: int
    price: int


@record
class SellerOrder:
    """One order: its lines, and the delivery (minor units)."""

    seller: str
    lines: tuple[OrderLine, ...]
    delivery: int

    @property
    def total(self) -> int:
        return self.delivery + sum(line.pieces * line.price for line in self.lines)


@record
class Judged:
    """A PC with its plan as judged: draft (None where nothing is built), present time (ppm), findings that
    are not known to fit; why: of a PC that gets nothing."""

    result: PcResult
    draft: Draft | None
    present_ppm: int | None
    open_findings: tuple[Finding, ...]
    why: str | None = None

    @property
    def speedup_milli(self) -> int | None:
        if self.present_ppm is None or self.result.column.time_ppm is None:
            return None
        return 1000 * self.present_ppm // self.result.column.time_ppm


@record
class Following:
    """What more budget would buy: the budget (minor units), what the first goal would then reach, and the
    cost."""

    budget: int
    stages: tuple[StageResult, ...]


@record
class Changes:
    """A fleet planned again. gone: what cannot be had any more; before: by PC the kind and candidates of its
    former plan; kept: PCs that keep it; anew: what the goal would reach if no plan had to stay."""

    gone: tuple[str, ...]
    before: Mapping[str, ColumnName]
    kept: frozenset[str]
    anew: tuple[StageResult, ...]


@record
class FleetOutcome:
    """pcs: in the order of work; orders: one per seller; left: what stays on the shelf."""

    fleet: Fleet
    pcs: tuple[Judged, ...]
    orders: tuple[SellerOrder, ...]
    left: tuple[tuple[str, int], ...]
    stages: tuple[StageResult, ...]
    following: Following | None
    problems: Mapping[int, Problem]
    changes: Changes | None = None

    @property
    def cost(self) -> int:
        return sum(order.total for order in self.orders)

    @property
    def proven(self) -> bool:
        return all(stage.value == stage.bound for stage in self.stages)


def price_reached(offer: Offer, pieces: int, breaks: Sequence[Break]) -> int:
    """The price of one piece when so many are ordered."""
    reached = [
        b.price
        for b in breaks
        if (b.part, b.seller) == (offer.part, offer.seller) and pieces >= b.from_pieces
    ]
    return min([offer.price, *reached])


def orders_of(
    results: Sequence[PcResult], values: Mapping[tuple[Any, ...], int], fleet: Fleet
) -> tuple[SellerOrder, ...]:
    """The orders of all pieces that are bought. Raises InternalFault where stock or the law of delivery is
    broken."""
    sellers: dict[str, Seller] = fleet.sellers
    pieces: Counter[Offer] = Counter()
    for result in results:
        for piece in result.pieces:
            if piece.offer is not None and piece.donor is None:
                pieces[piece.offer] += piece.pieces
    lines: dict[str, list[OrderLine]] = defaultdict(list)
    for offer, count in pieces.items():
        if offer.stock is not None and count > offer.stock:
            raise InternalFault(f"{count} pieces of {offer.part} are ordered of {offer.stock}")
        if offer.seller != SHELF:
            lines[offer.seller].append(
                OrderLine(offer.part, count, price_reached(offer, count, fleet.breaks))
            )
    for key, value in values.items():
        if key[0] == "bundle" and value:
            bundle: Bundle = key[1]
            lines[bundle.seller].append(OrderLine(bundle.id, value, bundle.price))
    orders = []
    for name, listed in sorted(lines.items()):
        goods = sum(line.pieces * line.price for line in listed)
        if not order_is_taken(sellers[name], goods):
            raise InternalFault(f"{name} does not take an order of {goods}")
        ordered = tuple(sorted(listed, key=lambda line: (line.item, line.price)))
        orders.append(SellerOrder(name, ordered, charge(sellers[name], goods)))
    return tuple(orders)


def check_donors(results: Sequence[PcResult]) -> None:
    """No part taken out is used twice, and each is really left by its PC. Raises InternalFault."""
    used: Counter[tuple[str, str]] = Counter()
    for result in results:
        for piece in result.pieces:
            if piece.donor is not None:
                used[piece.donor, piece.item] += piece.pieces
    there = {(r.pc, item): n for r in results for item, n in r.column.released}
    for (pc, item), count in used.items():
        if count > there.get((pc, item), 0):
            raise InternalFault(f"{count} pieces of {item} are taken out of {pc}, which leaves fewer")


def judged(fleet: Fleet, results: Sequence[PcResult]) -> tuple[tuple[Judged, ...], dict[int, Problem]]:
    """Every PC's plan judged by the plain rules. Raises InternalFault where one refuses it."""
    problems: dict[int, Problem] = {}
    known: dict[tuple[int, Any], tuple[Draft | None, tuple[Finding, ...]]] = {}
    found = []
    for result in results:
        number = result.number
        if number not in problems:
            one = fleet.classes[number]
            problems[number] = problem_of(one, fleet.catalog, fleet.take_outs[one.key])
        problem, key = problems[number], (number, result.column.order)
        if key not in known:
            known[key] = _judge(problem, result)
        found.append(Judged(result, known[key][0], present_time_ppm(problem), known[key][1]))
    return tuple(found), problems


def _judge(problem: Problem, result: PcResult) -> tuple[Draft | None, tuple[Finding, ...]]:
    column = result.column
    if column.kind != "plan":
        return None, ()
    picked: list[Candidate] = []
    for slot, key in zip(SLOTS, column.keys, strict=True):
        picked.append(next(c for c in problem.slot(slot) if c.key == key))
    parts, rules = Parts(tuple(picked)), rules_of_parts()
    if time_ppm(problem, parts) != column.time_ppm:
        raise InternalFault(f"{result.pc}: {column.time_ppm} ppm expected, {time_ppm(problem, parts)} found")
    needs = list(needs_to_buy(all_needs(problem, parts, rules)))
    lines = [
        Line(
            p.item,
            p.pieces,
            p.pieces * p.price,
            slot=p.slot,  # type: ignore[arg-type]
            offer=p.offer if p.bundle is None else None,
        )
        for p in result.pieces
        if p.slot != "extra"
    ]
    extras = [p for p in result.pieces if p.slot == "extra"]
    for need in needs:
        # Which piece serves which need does not matter to the rules: each has one that does.
        piece = next((p for p in extras if (p.item, p.pieces) in need.options), None)
        if piece is None:
            raise InternalFault(f"{result.pc}: nothing is bought for {need.rule}")
        extras.remove(piece)
        lines.append(Line(piece.item, piece.pieces, piece.pieces * piece.price, need=need, offer=piece.offer))
    draft = Draft(parts, tuple(lines), (), sum(line.amount for line in lines), column.time_ppm)
    findings = judge(problem, draft, rules)
    refused = [finding for finding in findings if not finding.admits]
    if refused:
        raise InternalFault(f"{result.pc}: the plain rules refuse the plan: {refused}")
    return draft, tuple(f for f in findings if f.verdict != "fits")
