"""Every card that the owner needs, and one that is bought, finds a slot of its kind, with an opening, a
bracket and room in length.

Slots, openings, bracket height, width in slots and length are matched by ``assembly.cards``; cards the owner
can do without come last, and their lack of a place is stated only. What the present case holds today is not
asked again. A graphics card of the PC of which nobody said how wide it is counts as one slot, and is asked
about where two would leave a needed card without a place. A card that wears a low bracket wants its other one
in full-height openings: that is stated. Not checked: coolers, memory latches or plugs under a long card; the lanes a slot keeps when
others are filled.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.cards import (
    Placement,
    bracket_fits,
    card_question,
    lanes_of,
    narrowed,
    place,
    placement,
    takes,
)
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Board, Case
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import Candidate, GraphicsChoice, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.survey.model import Card

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.cards"
STATEMENT = (
    "Every card that the owner needs has a slot, an opening, a bracket of the right height and enough length."
)
SOURCE = (
    "PCI Express card electromechanical specification (secondary sources); PCI low-profile cards; slot pitch"
    " 20.32 mm: boards reference, section 4"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "case", "graphics")
READS: Reads = {
    "board": ("slots",),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
    "graphics": ("card",),
}
# Up to this length no usual case is too short: half-length cards go everywhere (boards reference, section 4).
SURE_LENGTH_MM = 168
SURVEY: tuple[str, ...] = ("cards", "case")


def _obstacle(card: Card, board: Board, case: Case) -> str:
    """Why a card has no place: ``bracket`` (height), ``length``, ``kind`` (no such slot), ``taken`` (slots
    used up)."""
    if not bracket_fits(case, card):
        return "bracket" if case.slot_height == "low" and card.height == "full" else "length"
    return "taken" if any(takes(slot, card) for slot in board.slots or ()) else "kind"


def _unknowns(draft: Draft, problem: Problem, placed: Placement) -> list[Finding]:
    """Facts that the placement took for granted, each asked once, for the first card concerned."""
    board, case = draft.parts.candidate("board"), draft.parts.candidate("case")
    ids = (draft.parts.board.id, draft.parts.case.id)
    graphics = draft.parts.graphics
    cards = [card for card in problem.cards_with(graphics) if card.required and card.name not in placed.left]
    asked: list[tuple[str, Card]] = []
    if draft.parts.board.slots is None:
        # A graphics card that is not needed makes the picture all the same, where it has a place.
        there = {name for name, _ in placed.placed}
        drawing = [c for c in problem.survey.cards if c.kind == "graphics" and c.name in there]
        asked += [(question(board, "slots"), card) for card in (*cards, *drawing)[:1]]
    asked += [("card.bus", card) for card in cards if card.bus is None][:1]
    if graphics.card in cards:
        asked += _unknowns_of_bought(graphics, draft.parts.candidate("case"))
    if draft.parts.case.slot_openings is None:
        asked += [(question(case, "slot_openings"), card) for card in cards[:1]]
    if draft.parts.case.slot_height is None:
        # A kept card sits in the kept case today.
        tall = [c for c in cards if c.height != "low" and (not case.kept or c is graphics.card)]
        asked += [(question(case, "slot_height"), card) for card in tall[:1]]
    asked += _width_of_own(draft, problem, placed)
    if not case.kept:
        own = [card for card in cards if card is not graphics.card]
        if draft.parts.case.slot_height == "low":
            asked += [("card.height", card) for card in own if card.height is None][:1]
        if draft.parts.case.max_card_length_mm is not None:
            asked += [("card.length_mm", card) for card in own if card.length_mm is None][:1]
    return [unknown(ID, path, ids, card=card.name) for path, card in asked]


def _width_of_own(draft: Draft, problem: Problem, placed: Placement) -> list[tuple[str, Card]]:
    """The width of the PC's graphics card, where it is not known and two slots would not be there."""
    parts = draft.parts

    def silent(card: Card) -> bool:
        return card.kind == "graphics" and card.width_slots is None and card is not parts.graphics.card

    cards = problem.cards_with(parts.graphics)
    unknown_width = [card for card in cards if silent(card) and card.name not in placed.left]
    if not unknown_width or parts.board.slots is None:
        return []
    wide = [card.model_copy(update={"width_slots": 2}) if silent(card) else card for card in cards]
    left = place(wide, parts.board.slots, parts.case).left
    lost = any(card.required and card.name in left and card.name not in placed.left for card in cards)
    first = unknown_width[0]
    return [(card_question(parts.graphics, first, "width_slots"), first)] if lost else []


def _low_bracket(draft: Draft, problem: Problem, placed: Placement) -> str | None:
    """The first card of the PC whose low bracket is there today and meets a full-height opening."""
    case, bought = draft.parts.candidate("case"), draft.parts.graphics.card
    if case.kept or case.part.slot_height != "full" or problem.survey.case.slot_height == "full":
        return None
    there = {name for name, _ in placed.placed}
    cards = (c for c in problem.cards_with(draft.parts.graphics) if c is not bought and c.height == "low")
    return next((card.name for card in cards if card.name in there), None)


def _unknowns_of_bought(graphics: GraphicsChoice, case: Candidate[Case]) -> list[tuple[str, Card]]:
    """What is asked of a graphics card that is bought, and of the case for it."""
    card = graphics.card
    assert card is not None
    asked = [fact for fact in ("width_slots",) if getattr(card, fact) is None]
    if card.height is None and case.part.slot_height == "low":
        asked.append("height")
    if card.length_mm is None and case.part.max_card_length_mm is not None:
        asked.append("length_mm")
    found = [(card_question(graphics, card, fact), card) for fact in asked]
    if case.part.max_card_length_mm is None and (card.length_mm or 0) > SURE_LENGTH_MM:
        found.append((question(case, "max_card_length_mm"), card))
    return found


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    cards = problem.cards_with(parts.graphics)
    ids = (parts.board.id, parts.case.id)
    if not cards:
        return ()
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, today="yes"),)
    placed = placement(problem, parts.board, parts.case, parts.graphics)
    required = [card for card in cards if card.required]
    left = [card for card in required if card.name in placed.left]
    optional = [card.name for card in cards if not card.required and card.name in placed.left]
    facts: dict[str, str | int] = {}
    if left:
        facts["left"] = "; ".join(card.name for card in left)
        facts["why"] = "; ".join(_obstacle(card, parts.board, parts.case) for card in left)
    if optional:
        facts["left_optional"] = "; ".join(optional)
    for card in cards:
        lanes = None
        if card.kind == "graphics":
            lanes = narrowed(problem, parts.board, parts.case, parts.graphics, card)
        if lanes is not None:
            facts |= {"narrow": card.name, "narrow_lanes": lanes, "narrow_of": lanes_of(card)}
    low = _low_bracket(draft, problem, placed)
    if low is not None:
        facts["low_bracket"] = low
    verdict = at_least(ID, len(required) - len(left), len(required), "cards", ids, **facts)
    return (verdict, *_unknowns(draft, problem, placed))


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    for case, graphics, here in picks.cases_and_cards():
        required = [card.name for card in problem.cards_with(graphics.part) if card.required]
        if not required:
            continue

        def seats_all(
            candidate: Candidate[Board],
            case: Candidate[Case] = case,
            graphics: Candidate[GraphicsChoice] = graphics,
            required: list[str] = required,
        ) -> Any:
            if candidate.kept and case.kept and graphics.kept:
                return True
            seated = placement(problem, candidate.part, case.part, graphics.part)
            return all(seated.slot_of(name) is not None for name in required)

        boards = picks.classes("board", f"{ID} in {case.key} with {graphics.key}", seats_all)
        if False in boards:
            picks.never_together(boards[False], here, on)
