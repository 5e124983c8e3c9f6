"""Sockets and memory generations by CPUID family and model: a second witness beside what firmware writes.

Sources: [D-dmi] processor texts against sockets in 63,098 public dumps (rows marked d); the names and numbers
in the Linux kernel's table of processor models and handbook tables of sockets, both from memory (medium, rows
marked m). A row lists every desktop socket the model was made for; two or more mean that the number alone
does not decide. Where the memory controller stands in the chipset, the generations are empty: the processor
does not decide them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Made:
    """Desktop sockets of a processor model, and the memory generations its own controller can drive."""

    sockets: tuple[str, ...]
    generations: tuple[str, ...] = ()


_I: Final = "i"  # first letter of CPUID's vendor string
_A: Final = "a"

_ROWS: Final[tuple[tuple[str, int, tuple[int, ...], Made], ...]] = (
    (_I, 15, (0, 1), Made(("423", "478"))),  # m
    (_I, 15, (2,), Made(("478",))),  # m
    (_I, 15, (3, 4), Made(("478", "LGA775"))),  # d (148 files of both sockets)
    (_I, 15, (6,), Made(("LGA775",))),  # m
    (_I, 6, (15, 22, 23), Made(("LGA775",))),  # d
    (_I, 6, (26, 44), Made(("LGA1366",), ("ddr3",))),  # d (26), m
    (_I, 6, (30, 37), Made(("LGA1156",), ("ddr3",))),  # d (30), m
    (_I, 6, (42, 58), Made(("LGA1155",), ("ddr3",))),  # d
    (_I, 6, (45, 62), Made(("LGA2011",), ("ddr3",))),  # m
    (_I, 6, (60, 71), Made(("LGA1150",), ("ddr3",))),  # d (60), m
    (_I, 6, (63, 79), Made(("LGA2011-3",), ("ddr3", "ddr4"))),  # m
    (_I, 6, (85,), Made(("LGA2066", "LGA3647-1"), ("ddr4",))),  # m
    (_I, 6, (94,), Made(("LGA1151",), ("ddr3", "ddr4"))),  # d
    (
        _I,
        6,
        (158,),
        Made(("LGA1151", "LGA1151-2"), ("ddr3", "ddr4")),
    ),  # d: one code, two incompatible sockets
    (_I, 6, (165, 167), Made(("LGA1200",), ("ddr4",))),  # d (165), m
    (_I, 6, (151, 183, 191), Made(("LGA1700",), ("ddr4", "ddr5"))),  # d (151), m
    (_I, 6, (197, 198), Made(("LGA1851",), ("ddr5",))),  # m
    (
        _A,
        15,
        (4, 5, 7, 8, 12, 14, 15, 28, 31, 35, 39, 43, 47, 55),
        Made(("754", "939", "940"), ("ddr",)),
    ),  # d (35, 43), m
    (_A, 15, (67, 72, 75, 79, 95, 104, 107, 111, 124, 127), Made(("AM2",), ("ddr2",))),  # d (67, 75, 107), m
    (_A, 16, (2,), Made(("AM2+",), ("ddr2",))),  # m
    (_A, 16, (4, 5, 6, 10), Made(("AM2+", "AM3"), ("ddr2", "ddr3"))),  # m: runs in both kinds of board
    (_A, 18, (1,), Made(("FM1",), ("ddr3",))),  # m
    (_A, 20, (1, 2), Made((), ("ddr3",))),  # m: soldered
    (_A, 21, (1, 2), Made(("AM3+",), ("ddr3",))),  # d (2)
    (_A, 21, (16, 19), Made(("FM2",), ("ddr3",))),  # m
    (_A, 21, (48, 56), Made(("FM2+",), ("ddr3",))),  # d (48)
    (_A, 21, (96, 101), Made(("AM4", "FM2+"), ("ddr3", "ddr4"))),  # m
    (_A, 22, (0, 48), Made(("AM1",), ("ddr3",))),  # d (0)
    (_A, 23, (1, 8, 17, 24, 113), Made(("AM4",), ("ddr4",))),  # d (113), m
    (_A, 25, (33, 80), Made(("AM4",), ("ddr4",))),  # m
    (_A, 25, (97, 117), Made(("AM5",), ("ddr5",))),  # d (97), m
    (_A, 26, (68,), Made(("AM5",), ("ddr5",))),  # m
)
_TABLE: Final = {(vendor, family, model): made for vendor, family, models, made in _ROWS for model in models}

#: Upgrade words that DSP0134 leaves for sockets without a code of their own ([D-dmi] section on the upgrade code).
STANDS_FOR: Final[dict[str, tuple[str, ...]]] = {
    "AM2+": ("AM2",),
    "AM3+": ("AM3",),
    "FM2+": ("FM2",),
    "AM1": ("FS1",),
    "LGA1151-2": ("LGA1151",),
}


def vendor_letter(text: str) -> str | None:
    """ "i" or "a" of a processor maker as firmware and CPUID write it; None for others."""
    lowered = text.lower()
    if "intel" in lowered:
        return _I
    if "amd" in lowered or lowered.startswith("advanced micro"):
        return _A
    return None


def made_for(vendor: str | None, family: int, model: int) -> Made | None:
    """Row of a processor, or None where the table does not know it."""
    return _TABLE.get((vendor or "", family, model))


def agree(socket: str, named: str) -> bool:
    """Whether a socket and the one that firmware names are the same, or the nearest that DSP0134 has a word
    for."""
    return named == socket or named in STANDS_FOR.get(socket, ())
