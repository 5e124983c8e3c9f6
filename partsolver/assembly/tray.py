"""Holes of a board against the standoffs of a tray: what holds, what goes in, what comes out."""

from __future__ import annotations

from partsolver.catalog.records import Board, Case
from partsolver.standards.boards import (
    MICROATX_OPTIONAL_HOLE,
    OUTLINES,
    hole_exists,
    holes_of,
    standoff_under,
    tray_holes,
)

Letters = frozenset[str]


def board_holes(board: Board) -> tuple[Letters, Letters] | None:
    """(holes that are certain, holes that may be there), or None when the pattern is not known."""
    if board.holes is not None:
        return frozenset(board.holes), frozenset(board.holes)
    outline = OUTLINES.get(board.form_factor or "")
    if outline is None or not outline.holes or board.width_mm is None or board.depth_mm is None:
        return None
    drilled = frozenset(holes_of(outline.form, board.width_mm, board.depth_mm))
    doubtful: Letters = frozenset()
    if outline.form == "microatx" and "R" in drilled:
        doubtful = frozenset(MICROATX_OPTIONAL_HOLE)
    elif outline.form in ("atx", "ssi-ceb") and "A" not in drilled:
        doubtful = frozenset(hole for hole in "BRS" if hole_exists(hole, board.width_mm, board.depth_mm))
    return drilled - doubtful, drilled | doubtful


def standing_under(board: Board, letters: Letters) -> Letters:
    """Those standoffs that stand under the board; all of them where its size is not known."""
    width, depth = board.width_mm, board.depth_mm
    if width is None or depth is None:
        return letters
    return frozenset(letter for letter in letters if standoff_under(letter, width, depth))


def standoff_places(case: Case) -> Letters:
    """Tray positions that take or hold a standoff, stated or usual for the case's form."""
    stated = (
        case.standoff_positions if case.standoff_positions is not None else tray_holes(case.form_factor or "")
    )
    return frozenset(stated) | frozenset(case.standoffs or ()) | frozenset(case.standoffs_fixed or ())


def standoff_changes(
    holes: tuple[Letters, Letters], board: Board, case: Case
) -> tuple[Letters, Letters, int]:
    """Standoffs (to add, to remove) in a tray that has been looked at, and how many are still missing.

    Removed are those that stand under the board without a hole, and as many beyond it as are wanted
    elsewhere.
    """
    certain, possible = holes
    fixed = frozenset(case.standoffs_fixed or ())
    standing = frozenset(case.standoffs or ()) | fixed
    add = (certain & standoff_places(case)) - standing
    loose = standing - possible - fixed
    under = standing_under(board, loose)
    moved = sorted(loose - under)[: max(0, len(add) - len(under))]
    return add, under | frozenset(moved), len(add) - len(loose)
