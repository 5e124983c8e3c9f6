"""Small functions of the standards, each at its edges: holes and standoffs of boards, makers' names, spellings."""

from __future__ import annotations

import math

import pytest

from partsolver.standards.boards import HOLES, hole_exists, standoff_under, unsupported_mm
from partsolver.standards.cpu_signatures import WRONG_WORDS, agree, may_mean, vendor_letter
from partsolver.standards.isa import normal_features
from partsolver.standards.smbios import supply_watts


@pytest.mark.parametrize("letter", sorted(HOLES))
def test_a_hole_and_its_pad_lie_on_the_board(letter: str) -> None:
    """The pad of 10.16 mm reaches 5.08 mm beyond the middle of the hole; a board stated as 170 mm may be 170.18 wide
    (microATX interface specification 1.2, figure 2, for the places, typed in `data/`)."""
    hole = HOLES[letter]
    width, depth = (math.ceil((at + 5080 - 180) / 1000) for at in (hole.x_um, hole.y_um))
    assert hole_exists(letter, width, depth)
    assert not hole_exists(letter, width - 1, depth) and not hole_exists(letter, width, depth - 1)
    # A standoff reaches under a board that ends beyond its near side.
    width, depth = (math.floor((at - 5080 - 180) / 1000) + 1 for at in (hole.x_um, hole.y_um))
    assert standoff_under(letter, width, depth)
    for smaller in ((width - 1, depth), (width, depth - 1)):
        if min(smaller) > 0:
            assert not standoff_under(letter, *smaller)


def test_a_board_beyond_its_holes() -> None:
    """In whole millimetres, half up; nothing supports it: its whole size; a hole beyond the edge: nothing over."""
    letter, hole = next(iter(sorted(HOLES.items())))
    width, depth = hole.x_um // 1000 + 40, hole.y_um // 1000 + 30
    over = [round((size * 1000 - at) / 1000 + 1e-9) for size, at in ((width, hole.x_um), (depth, hole.y_um))]
    assert unsupported_mm(width, depth, (letter,)) == tuple(over)
    assert unsupported_mm(200, 100, ()) == (200, 100)
    assert unsupported_mm(1, 1, (letter,)) == (0, 0)
    with pytest.raises(KeyError):
        unsupported_mm(200, 100, ("Z",))


@pytest.mark.parametrize(
    ("text", "letter"),
    [
        ("GenuineIntel", "i"),
        ("Intel(R) Corporation", "i"),
        ("AuthenticAMD", "a"),
        ("Advanced Micro Devices, Inc.", "a"),
        ("CentaurHauls", None),
        ("", None),
    ],
)
def test_makers_of_processors_as_firmware_writes_them(text: str, letter: str | None) -> None:
    """Vendor strings of CPUID (the makers' manuals) and of SMBIOS type 4."""
    assert vendor_letter(text) == letter


def test_a_word_that_is_written_by_mistake() -> None:
    """It means the sockets that it names, and those for which it is known to be written; none where it names none."""
    assert WRONG_WORDS
    for word, mistaken in WRONG_WORDS.items():
        named = next(socket for socket in ("x", *mistaken, word) if agree(socket, word))
        others = tuple(socket for socket in mistaken if not agree(socket, word))
        assert may_mean(word, (named, *others, "no such socket")) == (named, *others)
        assert may_mean(word, ("no such socket", *others)) == ()


def test_spellings_of_features() -> None:
    """/proc/cpuinfo writes pni for SSE3 and abm for LZCNT (arch/x86/include/asm/cpufeatures.h)."""
    assert normal_features([" SSE4_1 ", "PNI", "abm"]) == {"sse4.1", "sse3", "lzcnt"}
    assert normal_features(["own_word"]) == {"own_word"} and normal_features([]) == frozenset()


@pytest.mark.parametrize(("word", "watts"), [(0x8000, None), (0x7FFF, 32767), (0, 0), (500, 500)])
def test_watts_of_a_supply(word: int, watts: int | None) -> None:
    """SMBIOS 3.x (DSP0134), 7.40: 8000h is "unknown"."""
    assert supply_watts(word) == watts
