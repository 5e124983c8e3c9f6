"""What a fact that nobody looked at can still be: the year, the socket and what runs today bound it.

The bounds only take away what cannot be; they never choose. Sources: first years of the memory generations as
in survey/consistency.py (common practice); generations by socket: makers' data sheets of the sockets' boards
(from memory, medium), the wider set where boards of both kinds were made.
"""

from __future__ import annotations

from typing import Any

from partsolver.standards.memory import GENERATIONS
from partsolver.survey.consistency import FIRST_YEAR
from partsolver.survey.model import Survey

SOCKET_GENERATIONS: dict[str, tuple[str, ...]] = {
    "478": ("sdr", "ddr", "ddr2"),
    "lga775": ("ddr", "ddr2", "ddr3"),
    "lga1366": ("ddr3",),
    "lga1156": ("ddr3",),
    "lga1155": ("ddr3",),
    "lga1150": ("ddr3",),
    "lga1151": ("ddr3", "ddr4"),
    "lga1151-2": ("ddr3", "ddr4"),
    "lga2011": ("ddr3",),
    "lga2011-3": ("ddr3", "ddr4"),
    "lga2066": ("ddr4",),
    "lga1200": ("ddr4",),
    "lga1700": ("ddr4", "ddr5"),
    "lga1851": ("ddr5",),
    "754": ("ddr",),
    "939": ("ddr",),
    "940": ("ddr",),
    "am2": ("ddr2",),
    "am2+": ("ddr2", "ddr3"),
    "am3": ("ddr2", "ddr3"),
    "am3+": ("ddr3",),
    "fm1": ("ddr3",),
    "fm2": ("ddr3",),
    "fm2+": ("ddr3",),
    "am1": ("ddr3",),
    "am4": ("ddr4",),
    "am5": ("ddr5",),
}


def possible_generations(survey: Survey) -> tuple[str, ...]:
    """The memory generations that the present board's slots may take, oldest first."""
    if survey.board.memory_generation is not None:
        return (survey.board.memory_generation,)
    left = set(GENERATIONS)
    seated = {module.generation for module in survey.memory if module.generation is not None}
    if len(seated) == 1:
        left &= seated  # they sit in these slots today
    year = survey.board.year or survey.cpu.year
    if year is not None:
        left = {name for name in left if FIRST_YEAR.get(name, 0) <= year}
    for socket in (survey.board.socket, survey.cpu.socket):
        known = SOCKET_GENERATIONS.get((socket or "").casefold())
        left &= left if known is None else set(known)
    if survey.cpu.memory_rates:
        left &= {name for name, _ in survey.cpu.memory_rates}
    return tuple(name for name in GENERATIONS if name in left)


def bounded_answers(survey: Survey, key: str, answers: tuple[Any, ...]) -> tuple[Any, ...]:
    """The answers that year, socket and what runs today leave: a PC of 2010 has no DDR4 slots."""
    if key not in ("memory_generation", "generation"):
        return answers
    possible = possible_generations(survey)
    return tuple(answer for answer in answers if answer in possible) or possible or answers
