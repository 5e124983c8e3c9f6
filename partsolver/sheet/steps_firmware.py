"""When the board's firmware is updated, and what its steps say of it."""

from __future__ import annotations

from partsolver.sheet.context import Context, Facts


def flash_alone(c: Context) -> bool:
    """Whether the new board's firmware is updated by the board's function that needs no processor."""
    return c.new("board") and c.firmware_state != "enough" and c.board.flash_without_cpu is True


def flash_before(c: Context) -> bool:
    """Whether the present board's firmware is updated for a new processor while the old one is still in."""
    return c.new("cpu") and not c.new("board") and c.firmware_state != "enough"


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
