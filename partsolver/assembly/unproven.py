"""What of today's load is only supposed: it proves nothing of what the present supply carries.

A card that goes and whose load nobody stated counts as all that its slot and plugs may carry. A processor that
is fed through the main plug takes its power from 12 V or from 5 V: which one, is said of no early board (the plug
for the processor came with ATX12V, until then most of a supply's power was meant for 5 V; boards reference,
sections 6 and 9). So a plan has to hold for each way in which the boards of today and then may feed theirs; the
same board does it the same way.
"""

from __future__ import annotations

from collections.abc import Mapping

from partsolver.assembly.cards import placed_cards
from partsolver.assembly.currents import Load, load_of_currents
from partsolver.assembly.loads import NO_CARDS, CardLoad, card_load, sum_of_cards
from partsolver.base.quantities import ceil_div
from partsolver.base.records import record
from partsolver.catalog.records import Board, Case
from partsolver.problem.candidates import GraphicsChoice, Parts
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card


@record
class Unproven:
    """cards: what cards that go are supposed to draw; from_5v: that today's processor is fed from 5 V."""

    cards: CardLoad = NO_CARDS
    from_5v: bool = False


ALL_PROVEN = Unproven()


@record
class Feed:
    """A way in which the processors may be fed: from 5 V today, and then."""

    now: bool
    then: bool


# -- cards --------------------------------------------------------------------------------------------------------


def unstated_cards(problem: Problem) -> tuple[Card, ...]:
    """Today's cards with plugs whose load nobody stated."""
    found = problem.store.unstated_cards
    if found is None:
        cards, settings = problem.survey.cards, problem.settings
        found = tuple(card for card in cards if not card_load(card, settings).known)
        problem.store.unstated_cards = found
    return found


def cards_that_go(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> tuple[Card, ...]:
    """Those of them that a plan has no place for."""
    unstated = unstated_cards(problem)
    if not unstated:
        return ()
    there = {card.name for card in placed_cards(problem, board, case, graphics)}
    return tuple(card for card in unstated if card.name not in there)


def unproven_cards(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> CardLoad:
    """What these cards are counted with. They may draw much less than that."""
    return sum_of_cards(cards_that_go(problem, board, case, graphics), problem.settings)


# -- a processor without a plug of its own ------------------------------------------------------------------------


def perhaps_from_5v(board: Board, settings: Mapping[str, int]) -> bool:
    """Whether a board may feed its processor from 5 V: an early one without a processor header, or of which nobody
    looked for one (setting cpu_from_5v_to_year). Of unknown year only one that is known to have none."""
    to_year = settings["cpu_from_5v_to_year"]
    if board.cpu_plugs or not to_year:
        return False
    return board.cpu_plugs == () if board.year is None else board.year <= to_year


def feeds(problem: Problem, board: Board, kept: bool) -> tuple[Feed, ...]:
    """Every way in which today's board and this one may feed their processors, from 12 V both first."""
    settings = problem.settings
    now, then = ((False, True)[: 1 + perhaps_from_5v(b, settings)] for b in (problem.survey.board, board))
    return tuple(Feed(n, t) for n in now for t in then if n == t or not kept)


def at_5v(cpu: Load) -> Load:
    """What a processor draws if its board feeds it from 5 V: the power that it else takes from 12 V."""
    start = ceil_div(cpu.start_12v * 12, 5)
    return load_of_currents((0, ceil_div(cpu.mw, 5), 0), (0, ceil_div(cpu.most_mw, 5), 0), (0, start))


def shown_today(problem: Problem, parts: Parts) -> Unproven:
    """What a picture of the limits leaves out of today: the current of a processor whose board goes, where that
    is not proven."""
    cards = unproven_cards(problem, parts.board, parts.case, parts.graphics)
    return Unproven(
        cards, any(feed.now != feed.then for feed in feeds(problem, parts.board, parts.board_kept))
    )


def unseen_header(problem: Problem) -> str | None:
    """The question whether the present board has a processor header, where nobody looked and it is early."""
    unseen = problem.survey.board.cpu_plugs is None
    return "board.cpu_plugs" if unseen and perhaps_from_5v(problem.survey.board, problem.settings) else None
