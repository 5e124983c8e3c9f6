"""When the board's firmware is updated, and what its steps say of it."""

from __future__ import annotations

from partsolver.sheet.context import Context, Facts


def flash_alone(c: Context) -> bool:
    """Whether the firmware of a new board, or of one whose processor does not work, is updated by the board's
    function that needs no processor."""
    alone = c.new("board") or not c.problem.survey.pc.cpu_works
    return alone and c.firmware_state != "enough" and c.board.flash_without_cpu is True


def flash_before(c: Context) -> bool:
    """Whether the present board's firmware is updated for a new processor while the old one is still in."""
    works = c.problem.survey.pc.cpu_works
    return c.new("cpu") and not c.new("board") and works and c.firmware_state != "enough"


def firmware_facts(c: Context) -> Facts:
    return {
        "board": c.name(c.parts.candidate("board").id or "kept-board"),
        "cpu": c.name(c.parts.candidate("cpu").id or "kept-cpu"),
        "needed": c.firmware_needed,
        "shipped": c.board.firmware_shipped,
        "steps": c.firmware_steps,
        "flash": c.board.flash_without_cpu is True,
        "state": c.firmware_state,
        "revision": c.board_revision,
    }
