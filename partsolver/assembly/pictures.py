"""What can make the picture: a graphics card, the processor's graphics, or graphics in the board's chipset."""

from __future__ import annotations

from partsolver.catalog.records import Board, Cpu
from partsolver.problem.problem import Problem

# Last year in which boards with graphics in their chipset were first sold (the chipsets of 2010-2012 were the
# last: common practice; displays reference, section 7.1).
BOARD_GRAPHICS_LAST_YEAR = 2012


def board_makes_picture(problem: Problem, board: Board, kept: bool) -> bool | None:
    """Whether the board's chipset has graphics; None when it is not known.

    The present board proves it where the PC has neither a graphics card nor a processor with graphics: it has
    a picture today.
    """
    survey = problem.survey
    proven = survey.cpu.graphics_score == 0 and not any(card.kind == "graphics" for card in survey.cards)
    if board.graphics_score is not None:
        return board.graphics_score > 0
    if kept and proven:
        return board.outputs != ()
    if board.outputs == () or (board.year is not None and board.year > BOARD_GRAPHICS_LAST_YEAR):
        return False
    return None


def own_picture(problem: Problem, board: Board, kept: bool, cpu: Cpu) -> bool | str:
    """Whether the PC makes a picture without a card; the name of the fact that decides it where that is
    missing."""
    if board.outputs == ():
        return False
    by_board = board_makes_picture(problem, board, kept)
    if cpu.graphics_score == 0 and by_board is False:
        return False
    if not cpu.graphics_score and not by_board:
        return "cpu.graphics_score" if cpu.graphics_score is None else "board.graphics_score"
    return True if board.outputs is not None else "board.outputs"
