"""Which cards find a place in a board's slots and the case's openings.

A card goes into a slot of its kind whose mechanical length takes it (a PCI Express card goes into any longer
slot and runs on the lanes that are wired; PCI Express base: up- and down-plugging), covers ``width_slots``
openings, and needs a bracket of the case's height. Slot *i* of the board sits behind opening *i* (standard
slot pitch 20.32 mm). Required cards are placed first, then the graphics card, then the rest in the survey's
order.
"""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.base.records import record
from partsolver.catalog.records import Board, Case
from partsolver.catalog.sockets import Slot
from partsolver.problem.candidates import GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card

_LENGTH = {"x1": 1, "x4": 4, "x8": 8, "x16": 16}


@record
class Placement:
    """placed: (card name, slot index); left: names of cards without a place; free: indexes of unused
    slots."""

    placed: tuple[tuple[str, int], ...]
    left: tuple[str, ...]
    free: tuple[int, ...]

    def slot_of(self, name: str) -> int | None:
        return next((index for card, index in self.placed if card == name), None)


def takes(slot: Slot, card: Card) -> bool:
    """Whether the card's edge connector goes into the slot. Unknown bus or length is taken as fitting x16 or
    x1."""
    if card.bus in ("pci", "agp", "isa"):
        return slot.kind == card.bus
    length = _LENGTH.get(slot.kind)
    return length is not None and length >= lanes_of(card)


def lanes_of(card: Card) -> int:
    """Lanes of a PCI Express card's edge connector; of a graphics card 16 where nobody said."""
    return card.lanes or (16 if card.kind == "graphics" else 1)


def _preference(slot: Slot, card: Card, index: int) -> tuple[int, int, int]:
    return _LENGTH.get(slot.kind, 0), -min(slot.lanes, lanes_of(card)), index


def bracket_fits(case: Case, card: Card) -> bool:
    """Whether bracket and length suit the case; unknown facts do not refuse."""
    if case.slot_height == "low" and card.height == "full":
        return False
    return (
        case.max_card_length_mm is None or card.length_mm is None or card.length_mm <= case.max_card_length_mm
    )


def place(cards: Sequence[Card], slots: Sequence[Slot], case: Case) -> Placement:
    """Place as many cards as possible in order of importance (exact search: few cards, few slots)."""
    order = sorted(range(len(cards)), key=lambda i: (not cards[i].required, cards[i].kind != "graphics", i))
    openings = case.slot_openings if case.slot_openings is not None else len(slots)
    best: tuple[tuple[bool, ...], tuple[tuple[int, int], ...]] | None = None

    def search(
        depth: int, used: frozenset[int], chosen: tuple[tuple[int, int], ...], got: tuple[bool, ...]
    ) -> None:
        nonlocal best
        if depth == len(order):
            if best is None or got > best[0]:
                best = (got, chosen)
            return
        card = cards[order[depth]]
        if bracket_fits(case, card):
            # Short slots first: they leave the long ones for cards that need them. Of equally long ones that
            # with most of the lanes that the card can use.
            for index in sorted(range(len(slots)), key=lambda s: _preference(slots[s], card, s)):
                covered = frozenset(range(index, index + (card.width_slots or 1)))
                if takes(slots[index], card) and not covered & used and max(covered) < openings:
                    search(depth + 1, used | covered, (*chosen, (order[depth], index)), (*got, True))
        search(depth + 1, used, chosen, (*got, False))

    search(0, frozenset(), (), ())
    assert best is not None
    placed = tuple(sorted((cards[card].name, index) for card, index in best[1]))
    names = {name for name, _ in placed}
    covered = {index + step for card, index in best[1] for step in range(cards[card].width_slots or 1)}
    free = tuple(i for i in range(len(slots)) if i not in covered and i < openings)
    return Placement(placed, tuple(c.name for c in cards if c.name not in names), free)


def placement(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> Placement:
    """Placement of the plan's cards, remembered by what it depends on. The present board holds its cards
    already."""
    key = (board.slots, case.id, graphics.id)
    found = problem.store.placements.get(key)
    if found is None:
        cards = problem.cards_with(graphics)
        if board.slots is None:
            found = Placement(tuple(sorted((c.name, i) for i, c in enumerate(cards))), (), ())
        else:
            found = place(cards, board.slots, case)
        problem.store.placements[key] = found
    return found


def placed_cards(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> tuple[Card, ...]:
    """The cards of the plan that have a place on this board in this case."""
    names = {name for name, _ in placement(problem, board, case, graphics).placed}
    return tuple(card for card in problem.cards_with(graphics) if card.name in names)


def card_question(graphics: GraphicsChoice, card: Card, fact: str) -> str:
    """Path of a missing fact of a card: ``card:<name>.fact`` of the survey, ``graphics:<id>.fact`` of a
    bought one."""
    return f"graphics:{graphics.id}.{fact}" if card is graphics.card else f"card:{card.name}.{fact}"


def graphics_card(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> Card | None:
    """The graphics card that has a place, or None (then processor or board make the picture)."""
    placed = placed_cards(problem, board, case, graphics)
    return next((card for card in placed if card.kind == "graphics"), None)


def wired_lanes(
    problem: Problem, board: Board, case: Case, graphics: GraphicsChoice, card: Card
) -> int | None:
    """Lanes on which a placed PCI Express card runs: the fewer of its connector's and its slot's; None for
    another bus, a card without a place, or slots that nobody looked at."""
    at = placement(problem, board, case, graphics).slot_of(card.name)
    if at is None or not board.slots or card.bus not in ("pcie", None):
        return None
    return min(lanes_of(card), board.slots[at].lanes) or None


def narrowed(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice, card: Card) -> int | None:
    """The lanes on which a placed graphics card runs where its slot is wired for fewer than the card has."""
    lanes = wired_lanes(problem, board, case, graphics, card)
    return lanes if lanes is not None and lanes < lanes_of(card) else None


def working_graphics(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> Card | None:
    """`graphics_card` with the score that it reaches on the lanes of its slot (settings
    ``graphics_lanes_...``)."""
    card = graphics_card(problem, board, case, graphics)
    if card is None or not card.graphics_score:
        return card
    lanes = narrowed(problem, board, case, graphics, card)
    if lanes is None:
        return card
    percent = problem.settings[f"graphics_lanes_{_step(lanes)}_percent"]
    return card.model_copy(update={"graphics_score": max(1, card.graphics_score * percent // 100)})


def _step(lanes: int) -> int:
    """The widest link of 1, 4 or 8 lanes that is no wider than this."""
    return 8 if lanes >= 8 else 4 if lanes >= 4 else 1
