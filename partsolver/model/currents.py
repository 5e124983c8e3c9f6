"""Loads as linear terms of the picks: what a supply carries is a sum over the parts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from partsolver.assembly import loads
from partsolver.assembly.bought_cards import controller_cards, one_card_load
from partsolver.assembly.bought_devices import Pieces, load_of_pieces, pieces_bought
from partsolver.assembly.converters import converters, converters_load
from partsolver.assembly.currents import Load, times_load
from partsolver.assembly.device_ports import brackets_matter
from partsolver.assembly.supply import (
    AT_WORK,
    STARTED_TODAY,
    STARTS,
    Quantity,
    amount,
    carried_today,
    moved_to_5v,
    trusted,
)
from partsolver.assembly.unproven import Feed, Unproven, perhaps_from_5v, unproven_cards, unstated_cards
from partsolver.catalog.records import Board, Case, Psu
from partsolver.model.cpsat import cp_model
from partsolver.model.picks import BoolVar, Picks
from partsolver.problem.candidates import Candidate, DriveChoice, GraphicsChoice, SlotName
from partsolver.problem.problem import Problem

Terms = list[tuple[BoolVar, int]]
Value = Callable[[Load], int]


def load_groups(picks: Picks, name: str, value: Value) -> list[Terms]:
    """Groups of (literal, value of a load); of each group one literal is true at most. Their sum is that
    of the PC. ``name`` tells this value of a load from others."""
    problem, settings = picks.problem, picks.problem.settings
    groups: list[Terms] = [[(picks.true, value(loads.fixed_load(problem)))]]

    def add(slot: SlotName, load: Callable[[Any], Load]) -> None:
        groups.append(
            [(literal, value(load(candidate.part))) for candidate, literal in picks.candidates(slot)]
        )

    add("cpu", lambda part: loads.cpu_load(part, settings))
    add("memory", lambda part: loads.memory_load(part, settings))
    add("drive", lambda part: loads.system_drive_load(part, settings))
    add("board", lambda part: loads.board_load(part, settings))
    add("case", lambda part: loads.case_load(part, settings))
    groups.append(card_terms(picks, name, lambda load: value(load.slot) + value(load.plugs)))
    groups.append(bought_card_terms(picks, value))
    groups.append(bought_piece_terms(picks, value))
    groups.append(converter_terms(picks, value))
    return groups


def bought_card_terms(picks: Picks, value: Value) -> Terms:
    """(literal, value) of the controller cards that are bought, by board and system drive."""
    problem = picks.problem
    if not value(one_card_load(problem)):
        return []
    found: Terms = []
    for drive, drive_literal in picks.candidates("drive"):

        def cards(candidate: Candidate[Board], drive: Candidate[DriveChoice] = drive) -> int:
            return controller_cards(problem, candidate, drive)

        for number, literal in picks.classes("board", f"controller cards with {drive.key}", cards).items():
            if number:
                load = times_load(one_card_load(problem), number)
                found.append((picks.both(drive_literal, literal), value(load)))
    return found


def bought_piece_terms(picks: Picks, value: Value) -> Terms:
    """(literal, value) of the USB leads, hubs and platform modules that are bought, by board and case, and by the
    graphics card where it may cover the opening of a bracket."""
    problem = picks.problem
    found: Terms = []
    places: Iterable[tuple[Candidate[Case], Candidate[GraphicsChoice], BoolVar]] = picks.cases_and_cards()
    if not brackets_matter(problem):
        first = problem.slot("graphics")[0]
        places = [(case, first, literal) for case, literal in picks.candidates("case")]
    for case, graphics, here in places:

        def pieces(
            candidate: Candidate[Board], case: Candidate[Case] = case, cards: GraphicsChoice = graphics.part
        ) -> Pieces:
            return pieces_bought(problem, candidate, case, cards)

        which = f"small pieces in {case.key} with {graphics.key}"
        for count, literal in picks.classes("board", which, pieces).items():
            number = value(load_of_pieces(problem, count))
            if number:
                found.append((picks.both(here, literal), number))
    return found


def converter_terms(picks: Picks, value: Value) -> Terms:
    """(literal, value) of the active display adapters, by what makes the picture."""
    problem = picks.problem
    if not problem.survey.displays or not value(converters_load(problem, 1)):
        return []
    found: Terms = []
    for case, graphics, here in picks.cases_and_cards():

        def number(candidate: Candidate[Board], case: Any = case.part, card: Any = graphics.part) -> int:
            return converters(problem, candidate.part, case, card)

        if not any(number(candidate) for candidate, _ in picks.candidates("board")):
            continue
        which = f"display converters in {case.key} with {graphics.key}"
        for count, literal in picks.classes("board", which, number).items():
            if count:
                found.append((picks.both(here, literal), value(converters_load(problem, count))))
    return found


def card_terms(picks: Picks, name: str, value: Callable[[loads.CardLoad], int]) -> Terms:
    """(literal, value) of the cards by board, case and graphics card; ``name`` tells one value from
    another."""
    problem = picks.problem
    found: Terms = []
    for case, graphics, here in picks.cases_and_cards():
        if not problem.cards_with(graphics.part):
            continue

        def own(candidate: Candidate[Board], case: Any = case.part, card: Any = graphics.part) -> int:
            return value(loads.cards_load(problem, candidate.part, case, card))

        which = f"cards, {name}, in {case.key} with {graphics.key}"
        for number, literal in picks.classes("board", which, own).items():
            found.append((picks.both(here, literal), number))
    return found


def unproven_ways(picks: Picks) -> list[tuple[loads.CardLoad, BoolVar]]:
    """(what of today's load is only supposed, the literal that the cards it is supposed of go): one way where
    all is known of them."""
    problem = picks.problem
    if not unstated_cards(problem):
        return [(loads.NO_CARDS, picks.true)]
    found: dict[loads.CardLoad, list[BoolVar]] = {}
    for case, graphics, here in picks.cases_and_cards():

        def gone(candidate: Candidate[Board], case: Any = case.part, card: Any = graphics.part) -> Any:
            return unproven_cards(problem, candidate.part, case, card)

        which = f"cards that go, in {case.key} with {graphics.key}"
        for supposed, literal in picks.classes("board", which, gone).items():
            found.setdefault(supposed, []).append(picks.both(here, literal))
    return [(supposed, picks.any_of(where)) for supposed, where in found.items()]


def feed_ways(picks: Picks) -> list[tuple[Feed, BoolVar]]:
    """Each way in which the boards of today and then may feed their processors (``then``: where the picked board
    may do it from 5 V), and the literal that it is possible: the board that stays does it as it does."""
    settings = picks.problem.settings
    another = picks.anything_new(("board",))
    now = (False, True)[: 1 + perhaps_from_5v(picks.problem.survey.board, settings)]
    then = sorted({perhaps_from_5v(c.part, settings) for c, _ in picks.candidates("board")} | {False})
    return [(Feed(n, t), picks.true if n == t else another) for n in now for t in then]


def moved_terms(picks: Picks, quantity: Quantity) -> Terms:
    """(literal, value) of what a quantity gains where the boards that may feed the processor from 5 V do so."""
    settings = picks.problem.settings
    early = picks.classes("board", "processor perhaps from 5 V", lambda c: perhaps_from_5v(c.part, settings))
    if True not in early:
        return []
    return [
        (picks.both(early[True], literal), moved_to_5v(loads.cpu_load(c.part, settings), quantity))
        for c, literal in picks.candidates("cpu")
    ]


def weighted(terms: Terms) -> Any:
    """Sum of literal x integer."""
    return cp_model.LinearExpr.weighted_sum([lit for lit, _ in terms], [value for _, value in terms])


def sum_of_groups(groups: Sequence[Terms]) -> Any:
    """All groups added up; terms of 0 left out."""
    return weighted([term for group in groups for term in group if term[1]])


def post_supplied(
    picks: Picks,
    problem: Problem,
    quantity: Quantity,
    slots: Sequence[SlotName],
    on: BoolVar,
    *,
    blocks: bool,
) -> None:
    """The usual load stays within what the supply is trusted with, or carries today, wherever anything is
    new.

    ``blocks``: a supply with neither this value nor a rating on its label carries no more than today.
    """
    if quantity == "total":
        whole: Any = picks.power
    else:
        whole = sum_of_groups(load_groups(picks, quantity, lambda load: amount(load, quantity)))
    changed = picks.anything_new(slots)
    started_today = ~picks.anything_new(STARTED_TODAY)

    def key(candidate: Candidate[Psu]) -> tuple[int | None, bool, bool]:
        return trusted(problem, candidate.part, quantity), candidate.part.rated_w is None, candidate.kept

    for (share, unrated, kept), supply in picks.classes("psu", f"limit of {quantity}", key).items():
        if not kept and share is None and blocks and unrated:
            picks.never_together(supply, changed, on)
        if share is None and not (kept and blocks and unrated):
            continue
        for feed, possible in feed_ways(picks):
            drawn = whole
            if feed.then:
                drawn = whole + weighted(moved_terms(picks, quantity))
            if not kept:
                picks.require(drawn <= share, picks.both(on, supply, changed, possible))
                continue
            for supposed, way in unproven_ways(picks):
                now, at_work = (
                    carried_today(problem, what, unproven=Unproven(supposed, feed.now))
                    for what in (quantity, AT_WORK.get(quantity, quantity))
                )
                where = picks.both(on, supply, changed, possible, way)
                if share is None:
                    picks.require(drawn <= now, where)
                elif quantity in STARTS:
                    # Disks that start today on this board go on starting: more than the share only there.
                    picks.require(drawn <= max(share, at_work, now), picks.both(where, started_today))
                    picks.require(drawn <= max(share, at_work), picks.both(where, ~started_today))
                else:
                    picks.require(drawn <= max(share, now), where)
