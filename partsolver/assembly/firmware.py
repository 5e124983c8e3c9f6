"""What a board's firmware, as it arrives, says about a processor family: knows it, is too old, dropped it."""

from __future__ import annotations

from typing import Literal

from partsolver.catalog.records import Board
from partsolver.standards.firmware_versions import firmware_order, names_a_file

State = Literal["knows", "old", "dropped", "unsure", "unstated", "silent"]


def first_firmware(board: Board, family: str | None) -> str | None:
    """First firmware that surely knows the family, or None when the list is silent or not known.

    Where a list names a family twice, the newer entry counts; of two without a known order the last one.
    """
    newest: str | None = None
    for listed, version in board.cpu_families or ():
        if listed == family and (newest is None or firmware_order(version, newest) != -1):
            newest = version
    return newest


def firmware_state(board: Board, family: str | None) -> State:
    """The shipped firmware against the family's entries.

    silent: the list names no first firmware; unstated: what is shipped is not stated; unsure: the order of
    the two versions is not known, or only the name of an update's file was given for an older one.
    """
    firsts = [version for listed, version in board.cpu_families or () if listed == family]
    if not firsts:
        return "silent"
    shipped = board.firmware_shipped
    if shipped is None:
        return "unstated"
    lasts = [version for listed, version in board.cpu_families_until or () if listed == family]
    if any(firmware_order(shipped, last) == 1 for last in lasts):
        return "dropped"
    orders = [firmware_order(shipped, first) for first in firsts]
    if None in orders or any(firmware_order(shipped, last) is None for last in lasts):
        return "unsure"
    if -1 in orders:
        return "unsure" if names_a_file(shipped) else "old"
    return "knows"


def stepping_stones(board: Board, family: str | None) -> tuple[str, ...]:
    """Versions that have to be installed on the way from the shipped firmware to the one that is needed."""
    shipped, needed = board.firmware_shipped, first_firmware(board, family)
    if shipped is None or needed is None:
        return ()
    return tuple(
        step
        for step in board.firmware_steps or ()
        if firmware_order(shipped, step) == -1 and firmware_order(step, needed) == -1
    )
