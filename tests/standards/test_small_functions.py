"""Small functions of the standards, each at its edges: holes and standoffs of boards, makers' names, spellings."""

from __future__ import annotations

import dataclasses
import math

import pytest

from partsolver.standards.boards import HOLES, hole_exists, standoff_under, unsupported_mm
from partsolver.standards.cpu_signatures import WRONG_WORDS, agree, may_mean, vendor_letter
from partsolver.standards.isa import normal_features
from partsolver.standards.memory import (
    best_layout,
    chip_width_bits,
    contacts,
    interleave_milli_channels,
    slots_per_channel,
)
from partsolver.standards.operating_systems import requirements
from partsolver.standards.plugs import card_power_mw, cpu_plugs_limit_ma, power_mw
from partsolver.standards.rails import guaranteed_efficiency_percent
from partsolver.standards.settings import SETTINGS, apply, defaults, value_of
from partsolver.standards.smbios import supply_watts
from partsolver.standards.usb import front_rate_mbits
from partsolver.standards.video import connections, max_khz


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
    ("at_um", "over_mm"), [(10_500, 2), (10_501, 1), (10_499, 2), (11_501, 0), (13_000, 0)]
)
def test_half_a_millimetre_beyond_the_holes_is_one(
    monkeypatch: pytest.MonkeyPatch, at_um: int, over_mm: int
) -> None:
    """A hole near both edges of a board of 12 x 12 mm."""
    monkeypatch.setitem(HOLES, "Z", dataclasses.replace(HOLES["A"], x_um=at_um, y_um=at_um))
    assert unsupported_mm(12, 12, ("Z",)) == (over_mm, over_mm)


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


@pytest.mark.parametrize(
    ("ranks", "chips", "bits"),
    [
        (1, 16, 4),
        (1, 8, 8),
        (1, 4, 16),
        (2, 16, 8),
        (2, 8, 16),
        (1, 2, None),
        (1, 32, None),
        (1, 9, None),
        (1, 3, None),
    ],
)
def test_width_of_chips(ranks: int, chips: int, bits: int | None) -> None:
    """64 bits over the chips of a rank; chips are 4, 8 or 16 bits wide (JEDEC JESD79)."""
    assert chip_width_bits(ranks, chips) == bits


def test_slots_of_channels() -> None:
    """Evenly, the first channels one more (common practice)."""
    assert [slots_per_channel(*board) for board in ((2, 4), (2, 3), (3, 4), (4, 6), (1, 3), (1, 0), (2, 1))] == [
        (2, 2), (2, 1), (2, 1, 1), (2, 2, 1, 1), (3,), (0,), (1, 0)
    ]  # fmt: skip
    for board in ((0, 4), (-1, 4), (2, -1)):
        with pytest.raises(
            ValueError, match=f"^{board[1]} memory slots on {board[0]} channels is not a board"
        ):
            slots_per_channel(*board)


@pytest.mark.parametrize(
    ("modules", "channels", "slots", "layout"),
    [
        ([4, 2, 1], 3, 6, ((4,), (2,), (1,))),  # two in a channel run slower
        ([6, 3, 2, 1], 3, 6, ((6,), (3,), (2, 1))),  # 9 and 9 rather than 16 and 4
        ([1, 1], 3, 3, ((1,), (1,), ())),
        ([4, 1, 1, 1], 2, 6, ((4,), (1, 1, 1))),
        ([4, 1, 1, 1], 2, 4, ((4, 1), (1, 1))),
        ([1, 4], 2, 2, ((4,), (1,))),
        ([1], 1, 1, ((1,),)),
        ([2, 2, 1], 2, 3, ((2, 1), (2,))),  # the first channel has the odd slot
        # Where channels are not alike, the first ones are filled most.
        ([4], 2, 3, ((4,), ())),
        ([4, 2], 2, 3, ((4,), (2,))),
        ([4, 2], 3, 4, ((4,), (2,), ())),
        ([1, 1], 3, 5, ((1,), (1,), ())),
    ],
)
def test_where_modules_go(
    modules: list[int], channels: int, slots: int, layout: tuple[tuple[int, ...], ...]
) -> None:
    assert best_layout(modules, channels, slots) == layout


def test_refusals_of_memory() -> None:
    for mib in (0, -1):
        with pytest.raises(ValueError, match="all must be above 0"):
            best_layout([1024, mib], 2, 4)
    with pytest.raises(ValueError, match="3 channel capacities for 2 channels"):
        interleave_milli_channels([1, 1, 1], 2)
    with pytest.raises(ValueError, match="0 channel capacities for 0 channels"):
        interleave_milli_channels([], 0)
    with pytest.raises(ValueError, match="none may be below 0"):
        interleave_milli_channels([4, -1], 2)
    assert interleave_milli_channels([0, 1], 2) == 1000 and interleave_milli_channels([3], 1) == 1000
    # Half up: 2000 x 1,601 / (2 x 1,600) + 1/2.
    assert interleave_milli_channels([1600, 1], 2) == 1001 and interleave_milli_channels([1600, 0], 2) == 1000
    assert interleave_milli_channels([3200, 1], 2) == 1000 and interleave_milli_channels([2000, 1], 2) == 1001
    with pytest.raises(ValueError, match="'ddr9' 'dimm' is not known"):
        contacts("ddr9")


@pytest.mark.parametrize(("plug", "header"), [("usb9", "usb2"), ("usb2", "usb9")])
def test_a_usb_header_that_nobody_knows(plug: str, header: str) -> None:
    with pytest.raises(ValueError, match="USB header 'usb9' is not known; known are usb2"):
        front_rate_mbits(plug, header)


def test_what_a_card_may_draw_from_slot_and_plugs() -> None:
    """PCI Express card electromechanical specification 1.1 (slot), Intel 336521 table 3-5 (plugs), in W."""
    for plugs, lanes, low, watts in (
        ((), 16, False, 75),
        ((), 16, True, 25),
        ((), 1, False, 25),
        ((), 1, True, 10),
        (("6",), 16, False, 150),
        (("8",), 16, False, 225),
        (("6", "8"), 16, False, 300),
        (("6",), 16, True, 100),
        (("16",), 4, False, 625),
    ):
        assert card_power_mw(plugs, lanes, low) == watts * 1000
    assert card_power_mw(("6",)) == 150_000
    with pytest.raises(ValueError, match="card plug '4' is not known; known are 6, 8, 16"):
        card_power_mw(("6", "4"))


def test_power_of_a_current_and_limits_that_a_person_changed() -> None:
    assert [power_mw(ma, rail) for ma, rail in ((999, "3v3"), (1000, "5v"), (1, "12v"), (1, "3v3"))] == [
        3296,
        5000,
        12,
        3,
    ]
    changed = {
        "cpu_plug_4pin_ma": 1,
        "cpu_plug_4pin_hard_ma": 20,
        "cpu_plug_8pin_ma": 300,
        "cpu_plug_8pin_hard_ma": 4000,
    }
    assert cpu_plugs_limit_ma(("4", "8", "4"), changed) == 302
    assert cpu_plugs_limit_ma(("4", "8", "4"), changed, hard=True) == 4040


def test_efficiency_between_the_test_points() -> None:
    """80 PLUS, 230 V internal: gold 90, 92, 89 at 20, 50 and 100 % load, titanium 90, 94, 96, 94 at 10 to 100 %."""
    loads = (9, 10, 19, 20, 21, 49, 50, 51, 99, 100, 101)
    assert [guaranteed_efficiency_percent("gold", load) for load in loads] == [
        None, None, None, 90, 90, 90, 92, 89, 89, 89, None
    ]  # fmt: skip
    assert [guaranteed_efficiency_percent("titanium", load) for load in loads] == [
        None, 90, 90, 94, 94, 94, 96, 94, 94, 94, None
    ]  # fmt: skip
    with pytest.raises(KeyError):
        guaranteed_efficiency_percent("tin", 50)


@pytest.mark.parametrize("name", sorted(SETTINGS))
def test_the_ends_of_a_setting(name: str) -> None:
    setting = SETTINGS[name]
    for value in (setting.low, setting.high):
        assert apply({name: value}) == defaults() | {name: value}
        assert value_of(name, {name: value}) == value
    for value in (setting.low - 1, setting.high + 1):
        with pytest.raises(ValueError, match=f"{value} is outside {setting.low} to {setting.high}"):
            apply({name: value})
    assert value_of(name) == value_of(name, {}) == setting.value


@pytest.mark.parametrize(
    ("family", "setting", "field"),
    [
        ("desktop-2021", "desktop_2021_cpu_year", "needs_supported_cpu_year"),
        ("desktop-2015", "desktop_2015_min_memory_mib", "min_memory_mib"),
        ("desktop-2009", "desktop_2009_min_memory_mib", "min_memory_mib"),
        ("desktop-2001-32bit", "desktop_32bit_min_memory_mib", "min_memory_mib"),
        ("linux-x86-64-v3", "linux_min_memory_mib", "min_memory_mib"),
        ("desktop-2009", "desktop_2009_last_platform_year", "last_platform_year"),
        ("desktop-2009-32bit", "desktop_2009_last_platform_year", "last_platform_year"),
        ("desktop-2001-32bit", "desktop_2001_last_platform_year", "last_platform_year"),
    ],
)
def test_a_setting_of_a_system_reaches_its_field_alone(family: str, setting: str, field: str) -> None:
    plain, changed = requirements(family), requirements(family, {setting: 77})
    assert getattr(changed, field) == 77 != getattr(plain, field)
    assert dataclasses.replace(changed, **{field: getattr(plain, field)}) == plain


# A cable maker's page "active vs passive", Linux commit b3daa5ef52c2 (dual mode): see `test_video.py`.
@pytest.mark.parametrize(
    ("source", "display", "adapter", "ways"),
    [
        ("vga", "vga", None, [("direct", 210_000, True)]),
        ("vga", "vga", 100_000, [("direct", 210_000, True)]),  # a cable is no adapter
        ("vga", "dvi-i", 100_000, [("passive", 100_000, True)]),
        ("vga", "dvi-i", 400_000, [("passive", 210_000, True)]),
        ("dvi-d", "dvi-d", 100_000, [("direct", 165_000, False)]),
        ("dvi-d", "vga", None, [("active", 1_000, True)]),
        ("dvi-d", "vga", 400_000, [("active", 165_000, True)]),
        ("vga", "dvi-d", 100_000, [("active", 100_000, True)]),
        ("dvi-a", "dvi-d", None, []),
        ("hdmi-1.4", "vga", None, [("active", 1_000, True)]),
        ("vga", "hdmi-1.4", 400_000, [("active", 210_000, True)]),
        ("hdmi-1.2", "vga", 400_000, [("active", 165_000, True)]),
        ("dvi-d", "hdmi-1.4", 100_000, [("passive", 100_000, False)]),
        ("dvi-d", "hdmi-1.4", None, [("passive", 165_000, False)]),
        ("dvi-a", "hdmi-1.4", None, []),
        ("dp++-1.2", "hdmi-2.0", None, [("passive", 20_000, False), ("active", 3_000, False)]),
        ("dp++-1.2", "dvi-d", None, [("passive", 20_000, False), ("active", 3_000, False)]),
        ("dp-1.2", "dvi-d", None, [("active", 3_000, False)]),
        ("hdmi-1.4", "dp-1.2", 340_000, [("active", 340_000, False)]),
        ("dp-1.2", "dvi-a", None, []),
    ],
)
def test_every_way_from_an_output_to_an_input(
    source: str, display: str, adapter: int | None, ways: list[tuple[str, int, bool]]
) -> None:
    """Limits in kHz; adapters that nobody looked at count as the settings say (here 1, 3 and 20 MHz)."""
    given = {"active_vga_adapter_khz": 1_000, "active_adapter_khz": 3_000, "dp_dual_mode_adapter_khz": 20_000}
    found = connections(source, display, settings=given, adapter_khz=adapter)
    assert [(way.kind, way.limit_khz, way.analogue) for way in found] == ways


def test_depth_of_colour() -> None:
    """24 bits a pixel where nothing is said; DVI and HDMI 1.2 carry 165 MHz of them (DVI 1.0)."""
    assert max_khz("dvi-d") == max_khz("dvi-d", 24) == 165_000
    assert max_khz("dvi-d", 1) == 165_000 * 24 and max_khz("dvi-d", 30) == 132_000
    with pytest.raises(ValueError, match="0 bits per pixel is not a depth"):
        max_khz("dvi-d", 0)
    with pytest.raises(ValueError, match="video link 'scart' is not known"):
        connections("scart", "vga")
