"""The answer of a fleet as text and as JSON (schema partsolver.fleet/1)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from partsolver.base.quantities import format_amount
from partsolver.fleet.assign import Piece, circles
from partsolver.fleet.outcome import FleetOutcome, Judged
from partsolver.fleet.records import SHELF, StageResult
from partsolver.fleet.stored import SCHEMA, FleetSource
from partsolver.report.page import amount_text, wrap
from partsolver.report.words.counts import count_of
from partsolver.report.words.fleet import (
    CAUTIONS,
    NOT_COUNTED,
    WHY,
    circle_words,
    goal_words,
    no_more_words,
    speedup_words,
    stage_words,
)
from partsolver.report.words.lookup import question_text


def _names(outcome: FleetOutcome) -> dict[str, str]:
    catalog = outcome.fleet.catalog
    return {
        row.id: row.name
        for table, rows in catalog.tables.items()
        if table not in ("offers", "sellers")
        for row in rows
    }


def following_words(outcome: FleetOutcome) -> list[str]:
    """What more budget would reach."""
    if outcome.following is None:
        return []
    stages = outcome.following.stages
    first = [(s.name, s.value) for s in outcome.stages[: len(stages)]]
    if first == [(s.name, s.value) for s in stages]:
        return [no_more_words(stages)]
    return [stage_words(stage, outcome) for stage in outcome.following.stages]


def fleet_text(outcome: FleetOutcome) -> str:
    """The whole answer for people."""
    return "\n".join(_lines(outcome)) + "\n"


def _lines(outcome: FleetOutcome) -> Iterator[str]:
    fleet, names = outcome.fleet, _names(outcome)
    digits, currency = fleet.catalog.info.digits, fleet.catalog.info.currency
    count, kinds = count_of(len(outcome.pcs), "PC"), count_of(len(fleet.classes), "kind")
    yield wrap(f"{count} of {kinds}. Goal: {goal_words(outcome)}.", "", "  ")
    if fleet.broken:
        yield f"Left out, for reasons named at the end: {count_of(len(fleet.broken), 'survey')}."
    budget = fleet.wishes.budget
    limit = "" if budget is None else f" of {amount_text(budget, digits)}"
    yield f"Cost {amount_text(outcome.cost, digits)}{limit} {currency}."
    if any(_is_picked(piece) for one in outcome.pcs for piece in one.result.pieces):
        yield NOT_COUNTED
    for stage in outcome.stages:
        yield wrap(stage_words(stage, outcome), "  - ", "    ")
    yield from _changes(outcome)
    yield ""
    yield "Plans, in the order of work"
    for words in circle_words(outcome):
        yield wrap(words, "  ! ", "    ")
    for one in outcome.pcs:
        if one.result.column.kind != "nothing":
            yield from _pc(one, outcome, names)
    idle = [one for one in outcome.pcs if one.result.column.kind == "nothing"]
    if idle:
        yield ""
        yield "Nothing is done, and why"
        for one in idle:
            yield wrap(f"{one.result.pc}: {WHY[one.why or 'elsewhere']}", "  ", "    ")
    for order in outcome.orders:
        yield ""
        yield f"Order at {fleet.sellers[order.seller].name}: {amount_text(order.total, digits)}"
        for line in order.lines:
            price = amount_text(line.price, digits)
            text = f"{line.pieces} x {names.get(line.item, line.item)} ({line.item}) at {price}"
            yield wrap(text, "  ", "    ")
        yield f"  delivery {amount_text(order.delivery, digits)}"
    yield from _picking(outcome, names)
    yield from _rest(outcome, names)


def _pc(one: Judged, outcome: FleetOutcome, names: Mapping[str, str]) -> Iterator[str]:
    result = one.result
    if result.column.kind == "scrap":
        yield wrap(f"{result.pc}: taken apart for the others", "  ", "    ")
        return
    yield f"  {result.pc}: {speedup_words(one, outcome)}"
    for item, count in result.column.own:
        yield wrap(f"{count} x {names.get(item, item)}, its own", "    ", "      ")
    for piece in result.pieces:
        yield wrap(
            f"{piece.pieces} x {names.get(piece.item, piece.item)}, {_origin(piece, outcome)}",
            "    ",
            "      ",
        )
    for finding in one.open_findings:
        if finding.question is not None:
            yield wrap(f"look first: {question_text(finding.question)}", "    ", "      ")


def changed_pcs(outcome: FleetOutcome) -> list[str]:
    """The PCs whose plan is another than before, in the order of work."""
    changes = outcome.changes
    return [] if changes is None else [o.result.pc for o in outcome.pcs if o.result.pc not in changes.kept]


def gone_names(outcome: FleetOutcome) -> list[str]:
    """What cannot be had any more, by name."""
    names, changes = _names(outcome), outcome.changes
    return (
        []
        if changes is None
        else [f"{names[part]} ({part})" if part in names else part for part in changes.gone]
    )


def anew_words(outcome: FleetOutcome) -> list[str]:
    """What the goal would reach if no plan had to stay."""
    changes = outcome.changes
    if changes is None:
        return []
    reached = {stage.name: stage.value for stage in outcome.stages}
    if all(reached.get(stage.name) == stage.value for stage in changes.anew):
        return [no_more_words(changes.anew)]
    return [stage_words(stage, outcome) for stage in changes.anew]


def _changes(outcome: FleetOutcome) -> Iterator[str]:
    """What is another than in the fleet's plans before."""
    changes = outcome.changes
    if changes is None:
        return
    changed = changed_pcs(outcome)
    yield ""
    if changes.gone:
        yield wrap(f"Sold out: {', '.join(gone_names(outcome))}", "", "  ")
    if not changed:
        yield "Every PC keeps its plan."
    else:
        yield wrap(f"Changed plans, {len(changed)} of {len(outcome.pcs)}: {', '.join(changed)}", "", "  ")
    yield "If the whole fleet were planned anew"
    for words in anew_words(outcome):
        yield wrap(words, "  - ", "    ")


def _origin(piece: Piece, outcome: FleetOutcome) -> str:
    if piece.donor is not None:
        return f"taken out of {piece.donor}"
    if piece.bundle is not None:
        return f"in the set {piece.bundle.id} from {outcome.fleet.sellers[piece.bundle.seller].name}"
    assert piece.offer is not None
    if piece.offer.seller == SHELF:
        return "from the shelf"
    return f"from {outcome.fleet.sellers[piece.offer.seller].name}"


def _picking(outcome: FleetOutcome, names: Mapping[str, str]) -> Iterator[str]:
    """What is taken from the shelf and out of PCs, in the order of work."""
    lines = [
        f"for {one.result.pc}: {piece.pieces} x {names.get(piece.item, piece.item)}, {_origin(piece, outcome)}"
        for one in outcome.pcs
        for piece in one.result.pieces
        if _is_picked(piece)
    ]
    if lines:
        yield ""
        yield "Picking list, in the order of work"
        for line in lines:
            yield wrap(line, "  ", "    ")
    # Bought parts may be used ones, too, and every plan opens a PC.
    if any(one.result.column.kind != "nothing" for one in outcome.pcs):
        yield ""
        for caution in CAUTIONS:
            yield wrap(caution, "  ! ", "    ")


def _is_picked(piece: Piece) -> bool:
    return piece.donor is not None or (piece.offer is not None and piece.offer.seller == SHELF)


def _rest(outcome: FleetOutcome, names: Mapping[str, str]) -> Iterator[str]:
    digits = outcome.fleet.catalog.info.digits
    if outcome.left:
        yield ""
        yield "Stays on the shelf"
        for item, count in outcome.left:
            yield wrap(f"{count} x {names.get(item, item)} ({item})", "  ", "    ")
    if outcome.following is not None:
        yield ""
        yield f"With a budget of {amount_text(outcome.following.budget, digits)}"
        for words in following_words(outcome):
            yield wrap(words, "  - ", "    ")
    if outcome.fleet.broken:
        yield ""
        yield "Left out: these surveys cannot be read"
        for pc, faults in outcome.fleet.broken:
            for fault in faults:
                yield wrap(f"{pc}: {fault}", "  ", "    ")


def fleet_document(outcome: FleetOutcome, source: FleetSource | None = None) -> dict[str, Any]:
    """The answer for programs; amounts are decimal strings. ``source``: what is needed to plan the fleet
    again (in files)."""
    fleet, names = outcome.fleet, _names(outcome)
    digits = fleet.catalog.info.digits

    def money(minor: int) -> str:
        return format_amount(minor, digits)

    stages = [_stage(stage, digits) for stage in outcome.stages]
    following = outcome.following
    return {
        "schema": SCHEMA,
        "goal": fleet.wishes.goal,
        "currency": fleet.catalog.info.currency,
        "budget": None if fleet.wishes.budget is None else money(fleet.wishes.budget),
        "cost": money(outcome.cost),
        "proven": outcome.proven,
        "gap": stages[0]["gap"] if stages else 0,
        "goals": stages,
        "pcs": [_pc_document(one, names, money) for one in outcome.pcs],
        "circles": [list(pcs) for pcs in circles([one.result for one in outcome.pcs])],
        "orders": [
            {
                "seller": order.seller,
                "name": fleet.sellers[order.seller].name,
                "lines": [
                    {
                        "id": line.item,
                        "name": names.get(line.item, line.item),
                        "count": line.pieces,
                        "price": money(line.price),
                        "amount": money(line.pieces * line.price),
                    }
                    for line in order.lines
                ],
                "delivery": money(order.delivery),
                "total": money(order.total),
            }
            for order in outcome.orders
        ],
        "picking_list": [
            {
                "pc": one.result.pc,
                "id": piece.item,
                "name": names.get(piece.item, piece.item),
                "count": piece.pieces,
                "from": _kind_of_source(piece),
                "source": piece.donor or SHELF,
            }
            for one in outcome.pcs
            for piece in one.result.pieces
            if _is_picked(piece)
        ],
        "left_on_shelf": [
            {"id": item, "name": names.get(item, item), "count": count} for item, count in outcome.left
        ],
        "more_budget": None
        if following is None
        else {
            "budget": money(following.budget),
            "goals": [_stage(stage, digits) for stage in following.stages],
        },
        "broken": [{"pc": pc, "faults": [str(fault) for fault in faults]} for pc, faults in fleet.broken],
        "catalog_digest": fleet.catalog.info.digest,
        "changes": None
        if outcome.changes is None
        else {
            "gone": list(outcome.changes.gone),
            "kept": len(outcome.changes.kept),
            "changed": changed_pcs(outcome),
            "anew": [_stage(stage, digits) for stage in outcome.changes.anew],
        },
        "source": None if source is None else source.document(),
    }


def _stage(stage: StageResult, digits: int) -> dict[str, Any]:
    gap = abs(stage.bound - stage.value)
    if stage.name == "cost":
        shown = [format_amount(n, digits) for n in (stage.value, stage.bound, gap)]
        return {"goal": "cost", "value": shown[0], "bound": shown[1], "gap": shown[2]}
    return {"goal": stage.name, "value": stage.value, "bound": stage.bound, "gap": gap}


def _kind_of_source(piece: Piece) -> str:
    if piece.donor:
        return "pc"
    if piece.bundle:
        return "bundle"
    return "shelf" if piece.offer is not None and piece.offer.seller == SHELF else "seller"


def _pc_document(one: Judged, names: Mapping[str, str], money: Any) -> dict[str, Any]:
    result, milli = one.result, one.speedup_milli
    return {
        "pc": result.pc,
        "class": result.number,
        "what": result.column.kind,
        "choice": list(result.column.keys),
        "why": one.why,
        "speedup": None if milli is None else milli / 1000,
        "parts": [
            {
                "id": piece.item,
                "name": names.get(piece.item, piece.item),
                "count": piece.pieces,
                "slot": piece.slot,
                "price": money(piece.price),
                "condition": None if piece.offer is None else piece.offer.condition,
                "from": _kind_of_source(piece),
                "source": piece.donor
                or (piece.bundle.id if piece.bundle else piece.offer.seller if piece.offer else None),
            }
            for piece in result.pieces
        ],
        "own_parts": [
            {"id": item, "name": names.get(item, item), "count": count} for item, count in result.column.own
        ],
        "open_questions": sorted({f.question for f in one.open_findings if f.question is not None}),
    }
