"""x86-64 levels: psABI table, as in QEMU scripts/cpu-x86-uarch-abi.py.

Flags of /proc/cpuinfo for real generations.
"""

import pytest

from partsolver.standards import isa

# Flags as Linux prints them, shortened to what matters here (psABI level in the comment).
BASE = "fpu cx8 cmov mmx fxsr sse sse2 syscall lm"
V2 = BASE + " pni ssse3 cx16 sse4_1 sse4_2 popcnt lahf_lm"
V3 = V2 + " avx avx2 bmi1 bmi2 f16c fma abm movbe xsave"
V4 = V3 + " avx512f avx512bw avx512cd avx512dq avx512vl"


@pytest.mark.parametrize(
    ("flags", "level"),
    [
        ("fpu cx8 cmov mmx fxsr sse", 0),
        ("", 0),
        (BASE, 1),
        (BASE + " pni ssse3 cx16 sse4_1 lahf_lm", 1),
        (V2, 2),
        (V2 + " avx", 2),
        (V3, 3),
        (V3.replace(" movbe", ""), 2),
        (V4, 4),
        (V4.replace("avx512vl", ""), 3),
        (V3.replace(" popcnt", ""), 1),
        (V3.upper(), 3),
    ],
)
def test_level_of_flags(flags, level):
    assert isa.level_of(flags.split()) == level


@pytest.mark.parametrize(
    ("level", "adds"),
    [
        (1, "cmov cx8 fpu fxsr mmx osfxsr sce sse sse2"),
        (2, "cmpxchg16b lahf-sahf popcnt sse3 sse4.1 sse4.2 ssse3"),
        (3, "avx avx2 bmi1 bmi2 f16c fma lzcnt movbe osxsave"),
        (4, "avx512f avx512bw avx512cd avx512dq avx512vl"),
    ],
)
def test_levels(level, adds):
    assert isa.level_features(level) - isa.level_features(level - 1) == set(adds.split())
    assert isa.level_of(isa.level_features(level)) == level


def test_refusal():
    with pytest.raises(ValueError, match="level 5"):
        isa.level_features(5)
