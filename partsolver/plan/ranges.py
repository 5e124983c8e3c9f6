"""Findings about loads that are a range: refused by the usual load, warned of by the highest."""

from __future__ import annotations

from collections.abc import Mapping

from partsolver.assembly.currents import Load
from partsolver.assembly.loads import NO_CARDS, CardLoad, cpu_load
from partsolver.assembly.network import gone_card_question, unknown_card_question, widest_unstated
from partsolver.assembly.plugs import all_kept, question
from partsolver.assembly.supply import (
    STARTED_TODAY,
    STARTS,
    Limit,
    Quantity,
    amount,
    carried_today,
    label_of,
    limit_of,
    moved_to_5v,
    supply_trust_percent,
)
from partsolver.assembly.unproven import Feed, Unproven, feeds, unproven_cards, unseen_header
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem

#: The parts whose loads are ranges, and the supply that carries them today.
WIDE_RANGES: tuple[SlotName, ...] = ("board", "cpu", "psu", "graphics")

FROM_12V = Feed(False, False)


def within(
    rule: str,
    usual: int,
    most: int,
    limit: int,
    unit: str,
    parts: tuple[str, ...],
    settles: str | None = None,
    unknown_load: str | None = None,
    carried: int = 0,
    **facts: str | int,
) -> tuple[Finding, ...]:
    """Findings of a load against a limit: value = usual load, fact ``most`` = highest.

    settles: the open fact that would narrow the range (asked where only the usual load fits). unknown_load:
    the question of a load that nobody stated and that counts as all its plugs may carry: where that is too
    much, nothing is connected before it is known. carried: a highest load that is known to be carried.
    """
    finding = at_most(rule, usual, limit, unit, parts, most=most, **facts)
    if finding.verdict == "fails" and unknown_load is not None:
        return (
            Finding(
                rule, "unknown", usual, limit, finding.margin, unit, parts, finding.facts, True, unknown_load
            ),
        )
    if finding.verdict == "fails" or most <= max(limit, carried):
        return (finding,)
    warned = at_most(rule, usual, limit, unit, parts, most=most, warning="highest load", **facts)
    if settles is None:
        return (warned,)
    return (warned, unknown(rule, settles, parts, narrows=most - limit, unit=unit))


def _limit(problem: Problem, parts: Parts, quantity: Quantity, unproven: Unproven) -> Limit | None:
    """What the supply may give in a quantity; of disks that start from it on this board today, that too."""
    limit = limit_of(problem, parts.candidate("psu"), quantity, unproven)
    if limit is not None and quantity in STARTS and all_kept(parts, STARTED_TODAY):
        today = carried_today(problem, quantity, unproven=unproven)
        return Limit(today, "today") if today > limit.value else limit
    return limit


def _asked_first(
    problem: Problem, parts: Parts, quantity: Quantity, feed: Feed, drawn: Mapping[Feed, int]
) -> tuple[str | None, dict[str, str]]:
    """(what is asked before more is drawn than the supply is known to give, facts that say why): ``drawn`` by the
    ways in which the processors may be fed, of which ``feed`` is the worst."""
    here = problem, parts.board, parts.case, parts.graphics
    card = unknown_card_question(*here)
    if card is not None:
        return card, {}

    def would_do(cards: CardLoad, feed: Feed) -> bool:
        hoped = _limit(problem, parts, quantity, Unproven(cards, feed.now))
        return hoped is not None and drawn[feed] <= hoped.value

    if feed != FROM_12V and would_do(unproven_cards(*here), FROM_12V):
        return unseen_header(problem), {"feed": "5v"}
    gone = gone_card_question(*here)
    if gone is not None and would_do(NO_CARDS, FROM_12V):
        return gone, {"gone": "yes"}
    return None, {}


def supplied(
    rule: str,
    problem: Problem,
    parts: Parts,
    load: Load,
    quantity: Quantity,
    label_fact: str,
    blocks: bool = False,
    **facts: str | int,
) -> tuple[Finding, ...]:
    """Findings of the whole load in a quantity against what the supply is trusted with, or carries today.

    label_fact: the fact of the supply that is asked for where its label is not known; blocks: nothing may be
    connected before that is answered (unless it is no more than today).
    """
    supply = parts.candidate("psu")
    ids = (parts.psu.id,)
    cards = unproven_cards(problem, parts.board, parts.case, parts.graphics)
    cpu = cpu_load(parts.cpu, problem.settings)

    def drawn(feed: Feed, highest: bool = False) -> int:
        return amount(load, quantity, highest) + (moved_to_5v(cpu, quantity, highest) if feed.then else 0)

    def room(feed: Feed) -> int:
        found = _limit(problem, parts, quantity, Unproven(cards, feed.now))
        carried = carried_today(problem, quantity, unproven=Unproven(cards, feed.now))
        return (carried if found is None else found.value) - drawn(feed)

    ways = feeds(problem, parts.board, parts.board_kept)
    feed = min(ways, key=room) if len(ways) > 1 else ways[0]
    usual, most, unproven = drawn(feed), drawn(feed, highest=True), Unproven(cards, feed.now)
    limit = _limit(problem, parts, quantity, unproven)
    if limit is None:
        if supply.kept and usual <= carried_today(problem, quantity, unproven=unproven):
            return (fits(rule, ids, usual, today="no more", **facts),)
        return (unknown(rule, question(supply, label_fact), ids, blocks, load=usual, **facts),)
    # What draws over a wide range and stays may draw its highest today as well: the supply carries that.
    carried = carried_today(problem, quantity, True, unproven) if all_kept(parts, WIDE_RANGES) else 0
    asked = None
    if usual > limit.value:
        asked, why = _asked_first(problem, parts, quantity, feed, {way: drawn(way) for way in ways})
        facts.update(why)
    return within(
        rule,
        usual,
        most,
        limit.value,
        "mW" if quantity in ("total", "5v+3v3") else "mA",
        ids,
        widest_unstated(problem, parts) if most > max(limit.value, carried) else None,
        asked,
        carried,
        label=label_of(parts.psu, quantity, problem.settings) or 0,
        trust_percent=supply_trust_percent(problem, parts.psu),
        basis=limit.basis,
        **facts,
    )
