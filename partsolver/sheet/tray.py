"""The tray as it has to be: every hole letter with what is done at it. Positions in micrometres
(standards/boards)."""

from __future__ import annotations

from typing import Literal

from partsolver.assembly.tray import Letters, board_holes, standing_under, standoff_changes, standoff_places
from partsolver.base.records import record
from partsolver.catalog.records import Board, Case
from partsolver.sheet.context import Context
from partsolver.standards.boards import HOLES, unsupported_mm

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
    holes = board_holes(board)
    if holes is None:
        return None
    positions = []
    for letter in HOLES:
        action = _action(letter, holes, board, case, context.new("case"))
        if action is not None:
            positions.append(Position(letter, HOLES[letter].x_um, HOLES[letter].y_um, action))
    held = tuple(p.letter for p in positions if p.letter in holes[0] and p.action in ("keep", "add", "look"))
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


def _action(
    letter: str, holes: tuple[Letters, Letters], board: Board, case: Case, new_case: bool
) -> Action | None:
    certain, possible = holes
    fixed, loose = case.standoffs_fixed or (), case.standoffs or ()
    here = letter in fixed or letter in loose
    place = letter in standoff_places(case)
    if letter in possible - certain:
        return "look" if place else None
    if letter in certain:
        if here:
            return "keep"
        if not place:
            return "open"
        return "add" if case.standoffs is not None or new_case else "look"
    if letter in fixed:
        return "fixed" if standing_under(board, frozenset(letter)) else None
    return "remove" if letter in standoff_changes(holes, board, case)[1] else None
