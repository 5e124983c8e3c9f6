"""x86-64 micro-architecture levels.

Document: x86-64 psABI, table of micro-architecture levels, as printed in QEMU scripts/cpu-x86-uarch-abi.py,
the x86-64-level README and archspec 0.2.7 (they agree; high).  Level 0 means: not even the baseline, a 32-bit
processor.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

#: Level -> features it adds to the one below, by the names of the psABI in lower case.
LEVEL_ADDS: Final[dict[int, frozenset[str]]] = {
    1: frozenset({"cmov", "cx8", "fpu", "fxsr", "mmx", "osfxsr", "sce", "sse", "sse2"}),
    2: frozenset({"cmpxchg16b", "lahf-sahf", "popcnt", "sse3", "sse4.1", "sse4.2", "ssse3"}),
    3: frozenset({"avx", "avx2", "bmi1", "bmi2", "f16c", "fma", "lzcnt", "movbe", "osxsave"}),
    4: frozenset({"avx512f", "avx512bw", "avx512cd", "avx512dq", "avx512vl"}),
}

#: Other spellings, mostly those of Linux /proc/cpuinfo.  It lists neither osfxsr nor osxsave, which the
#: operating system switches on: they count as present with fxsr and xsave. PREFETCHW came with 3DNow! (from memory).
_SPELLINGS: Final[dict[str, tuple[str, ...]]] = {
    "3dnow": ("3dnow", "prefetchw"),
    "3dnowprefetch": ("prefetchw",),
    "abm": ("lzcnt",),
    "cx16": ("cmpxchg16b",),
    "fxsr": ("fxsr", "osfxsr"),
    "lahf_lm": ("lahf-sahf",),
    "pni": ("sse3",),
    "sse4_1": ("sse4.1",),
    "sse4_2": ("sse4.2",),
    "syscall": ("sce",),
    "xsave": ("osxsave",),
}


def normal_features(features: Iterable[str]) -> frozenset[str]:
    """Features in the names used here, from any letter case and from the spellings of /proc/cpuinfo."""
    found: set[str] = set()
    for feature in features:
        name = feature.strip().lower()
        found.update(_SPELLINGS.get(name, (name,)))
    return frozenset(found)


def level_features(level: int) -> frozenset[str]:
    """All features of a level, with those of the levels below; level 0 has none.

    ``ValueError`` outside 0 to 4.
    """
    if level not in (0, *LEVEL_ADDS):
        raise ValueError(f"x86-64 level {level} is not known; levels are 0 (32-bit) to 4")
    return frozenset().union(*(adds for number, adds in LEVEL_ADDS.items() if number <= level))


#: Instructions outside the levels that some systems need beside theirs, and what tells a processor that has all of
#: them: SSSE3 came later, in 2006 (from memory).
FURTHER_FEATURES: Final = frozenset({"nx", "pae", "prefetchw"})
LATER_FEATURE: Final = "ssse3"
#: Those that tools may not name on processors that have them: older ones of one maker run PREFETCHW without a flag, NX may
#: be switched off in the firmware (from memory).
SILENT_FEATURES: Final = frozenset({"nx", "prefetchw"})


def level_of(features: Iterable[str]) -> int:
    """Highest level all of whose features are present, 0 to 4."""
    have = normal_features(features)
    return max(level for level in range(5) if level_features(level) <= have)


def early_features(features: Iterable[str], level: int) -> tuple[str, ...]:
    """What an early processor (level 0 or 1) has beyond its level, sorted, of what systems ask such processors for;
    nothing above."""
    asked = level_features(2) | FURTHER_FEATURES
    return tuple(sorted((normal_features(features) & asked) - level_features(level))) if level < 2 else ()
