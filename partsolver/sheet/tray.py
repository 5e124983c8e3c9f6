"""The tray as it has to be: every hole letter with what is done at it. Positions in micrometres (standards/boards)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from partsolver.sheet.context import Context
from partsolver.standards.boards import HOLES, OUTLINES, PAD_DIAMETER_UM, holes_of, tray_holes, unsupported_mm

# keep: standoff and hole; add: hole, a standoff has to go in; remove: standoff under the board without a hole;
# fixed: the same, but it cannot be taken out; clear: standoff beyond the board's edge, touches nothing;
# open: hole without a position in the tray, stays free; look: nobody has looked yet.
Action = Literal["keep", "add", "remove", "fixed", "clear", "open", "look"]
ACTIONS: tuple[Action, ...] = ("keep", "add", "remove", "fixed", "clear", "open", "look")


@dataclass(frozen=True, slots=True)
class Position:
    """One hole position: x from the I/O side edge, y from the rear edge of the board."""

    letter: str
    x_um: int
    y_um: int
    action: Action


@dataclass(frozen=True, slots=True)
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
    holes = board.holes
    if holes is None:
        if board.form_factor not in OUTLINES:
            return None
        holes = holes_of(board.form_factor, board.width_mm, board.depth_mm)
    possible = case.standoff_positions or tray_holes(case.form_factor or "")
    positions = []
    for letter in HOLES:
        action = _action(letter, letter in holes, case.standoffs, possible, case.standoffs_fixed or (), board.width_mm, board.depth_mm)
        if action is not None:
            positions.append(Position(letter, HOLES[letter].x_um, HOLES[letter].y_um, action))
    held = tuple(p.letter for p in positions if p.action in ("keep", "add", "look"))
    left, front = unsupported_mm(board.width_mm, board.depth_mm, held)
    return Tray(
        board.width_mm, board.depth_mm, case.max_board_width_mm, case.max_board_depth_mm, tuple(positions), left, front,
    )  # fmt: skip


def _action(
    letter: str, hole: bool, standoffs: tuple[str, ...] | None, possible: tuple[str, ...], fixed: tuple[str, ...], width_mm: int, depth_mm: int
) -> Action | None:
    if standoffs is None:
        return "look" if hole else None
    here = letter in standoffs or letter in fixed
    if hole:
        if here:
            return "keep"
        return "add" if letter in possible or not possible else "open"
    if not here:
        return None
    reach = PAD_DIAMETER_UM // 2
    under = HOLES[letter].x_um - reach < width_mm * 1000 and HOLES[letter].y_um - reach < depth_mm * 1000
    if not under:
        return "clear"
    return "fixed" if letter in fixed else "remove"
