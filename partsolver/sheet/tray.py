"""The tray as it has to be: every hole letter with what is done at it. Positions in micrometres
(standards/boards)."""

from __future__ import annotations

from typing import Literal

from partsolver.base.records import record
from partsolver.catalog.records import Board, Case
from partsolver.sheet.context import Context
from partsolver.standards.boards import (
    HOLES,
    MICROATX_OPTIONAL_HOLE,
    OUTLINES,
    hole_exists,
    holes_of,
    tray_holes,
    unsupported_mm,
)

# keep: standoff and hole; add: hole, a standoff has to go in; remove: standoff without a hole; fixed: the
# same, but it cannot be taken out; open: hole without a position in the tray, stays free; look: it is not
# known whether there is a hole, or nobody has looked at the tray yet.
Action = Literal["keep", "add", "remove", "fixed", "open", "look"]
ACTIONS: tuple[Action, ...] = ("keep", "add", "remove", "fixed", "open", "look")


@record
class Position:
    """One hole position: x from the I/O side edge, y from the rear edge of the board."""

    letter: str
    x_um: int
    y_um: int
    action: Action


@record
class Tray:
    """Board outline (mm), depth that is free in the case (mm, None: not measured), positions by letter.

    left_mm, front_mm: how far the board reaches past its last supported hole.
    """

    width_mm: int
    depth_mm: int
    free_width_mm: int | None
    free_depth_mm: int | None
    positions: tuple[Position, ...]
    left_mm: int
    front_mm: int

    def letters(self, *actions: Action) -> tuple[str, ...]:
        return tuple(p.letter for p in self.positions if p.action in actions)


def tray_of(context: Context) -> Tray | None:
    """The tray with the plan's board, or None where nothing of it is known or nothing is moved."""
    if not context.new("board", "case"):
        return None
    board, case = context.board, context.case
    if board.width_mm is None or board.depth_mm is None:
        return None
    pattern = _pattern(board)
    if pattern is None:
        return None
    positions = []
    for letter in HOLES:
        action = _action(letter, *pattern, case, context.new("case"))
        if action is not None:
            positions.append(Position(letter, HOLES[letter].x_um, HOLES[letter].y_um, action))
    held = tuple(
        p.letter for p in positions if p.letter in pattern[0] and p.action in ("keep", "add", "look")
    )
    left, front = unsupported_mm(board.width_mm, board.depth_mm, held)
    return Tray(
        board.width_mm,
        board.depth_mm,
        case.max_board_width_mm,
        case.max_board_depth_mm,
        tuple(positions),
        left,
        front,
    )


def _pattern(board: Board) -> tuple[frozenset[str], frozenset[str]] | None:
    """(holes that are certain, holes that may be there), as the rule fit.holes counts them."""
    if board.holes is not None:
        return frozenset(board.holes), frozenset()
    form = board.form_factor or ""
    if form not in OUTLINES or not OUTLINES[form].holes or board.width_mm is None or board.depth_mm is None:
        return None
    drilled = frozenset(holes_of(form, board.width_mm, board.depth_mm))
    doubtful: frozenset[str] = frozenset()
    if form == "microatx" and "R" in drilled:
        doubtful = frozenset(MICROATX_OPTIONAL_HOLE)
    elif form in ("atx", "ssi-ceb") and "A" not in drilled:
        doubtful = frozenset(hole for hole in "BRS" if hole_exists(hole, board.width_mm, board.depth_mm))
    return drilled - doubtful, doubtful


def _action(
    letter: str, certain: frozenset[str], doubtful: frozenset[str], case: Case, new_case: bool
) -> Action | None:
    fixed, loose = case.standoffs_fixed or (), case.standoffs or ()
    stated = (
        case.standoff_positions if case.standoff_positions is not None else tray_holes(case.form_factor or "")
    )
    here = letter in fixed or letter in loose
    place = here or letter in stated
    if letter in doubtful:
        return "look" if place else None
    if letter in certain:
        if here:
            return "keep"
        if not place:
            return "open"
        return "add" if case.standoffs is not None or new_case else "look"
    if not here:
        return None
    return "fixed" if letter in fixed else "remove"
