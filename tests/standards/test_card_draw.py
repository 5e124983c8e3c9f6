"""What cards draw by rail, by hand, from the limits of their slots.

PCI Express card electromechanical specification: slot 75 W for graphics (12 V 5.5 A), 10 W or 25 W at the start for
others, 3.3 V 3 A; AGP 3.0 interface specification 1.0, table 47: 3.3 V 6 A, 5 V 2 A, 12 V 1 A, 42 W together; plugs of 6
and 8 contacts 75 and 150 W (Intel 336521, table 3-5). As typed in `data/`. Milliampere rounded up.
"""

from __future__ import annotations

import pytest

from partsolver.standards.cards import CardDraw, card_draw, may_have_plugs

SETTINGS = {"card_no_plug_mw": 65_000, "card_low_profile_mw": 30_000, "card_small_mw": 4_000}


def drawn(
    kind: str = "graphics",
    bus: str | None = "pcie",
    lanes: int | None = 16,
    height: str | None = "full",
    plugs: tuple[str, ...] | None = (),
    load_mw: int | None = None,
) -> tuple[tuple[int, int, int, int], tuple[int, int, int, int]]:
    """(12 V, 5 V, 3.3 V of the slot, 12 V of the plugs): usual and highest."""
    usual, most = card_draw(kind, bus, lanes, height, plugs, load_mw, SETTINGS)
    return (*usual.slot, usual.plugs_12v), (*most.slot, most.plugs_12v)


@pytest.mark.parametrize("bus", ["pci", "isa"])
def test_old_buses_feed_their_cards_at_5_v(bus: str) -> None:
    assert drawn("other", bus) == ((0, 500, 500, 0), (0, 2000, 500, 0))
    assert drawn("graphics", bus, load_mw=5001) == ((0, 1001, 0, 0),) * 2


@pytest.mark.parametrize(
    ("plugs", "load_mw", "currents"),
    [
        # 150 W: 0.5 A at 3.3 V, 148.35 W / 12 V = 12,362.5 mA, a third of it through the slot.
        (("6",), None, (4121, 0, 500, 8242)),
        # 375 W: 31,112.5 mA, no more than 5.5 A of it through the slot.
        (("8", "8"), None, (5500, 0, 500, 25613)),
        (("6",), 120_000, (3287, 0, 500, 6576)),  # 118.35 W: 9,862.5 mA
        (("6",), 1_000, (0, 0, 304, 0)),  # 1 W is all at 3.3 V
    ],
)
def test_graphics_with_plugs(
    plugs: tuple[str, ...], load_mw: int | None, currents: tuple[int, int, int, int]
) -> None:
    assert drawn(plugs=plugs, load_mw=load_mw) == (currents, currents)


def test_graphics_without_plugs() -> None:
    """65 W are 5,416.7 mA; 75 W 5.5 A, and 9 W more from 3.3 V, 2,727.3 mA. Low profile 30 W usual."""
    most = (5500, 0, 2728, 0)
    assert drawn() == ((5417, 0, 0, 0), most)
    assert drawn(height="low") == ((2500, 0, 0, 0), most)
    assert drawn(load_mw=24_000) == ((2000, 0, 0, 0),) * 2
    assert drawn(load_mw=24_001) == ((2001, 0, 0, 0),) * 2  # rounded up: nothing is left for 3.3 V


def test_graphics_that_nobody_looked_at_may_have_a_plug_of_eight() -> None:
    """Usual as without plugs; highest 225 W: 18,612.5 mA. A stated load above the slot's 75 W needs a plug."""
    for bus in ("pcie", None):
        assert drawn(bus=bus, plugs=None) == ((5417, 0, 0, 0), (5500, 0, 500, 13113))
    assert drawn(plugs=None, load_mw=75_000) == ((5500, 0, 2728, 0),) * 2
    assert drawn(plugs=None, load_mw=75_001) == ((2037, 0, 500, 4076),) * 2  # 73.351 W: 6,112.6 mA
    # None of low profile has one, and none that draws no picture.
    assert drawn(plugs=None, height="low") == drawn(height="low")
    assert drawn("other", lanes=1, plugs=None) == drawn("other", lanes=1)


@pytest.mark.parametrize(
    ("kind", "bus", "height", "may"),
    [
        ("graphics", "pcie", "full", True),
        ("graphics", None, None, True),
        ("graphics", "pcie", "low", False),
        ("graphics", "agp", "full", False),
        ("other", "pcie", "full", False),
    ],
)
def test_which_cards_may_have_plugs(kind: str, bus: str | None, height: str | None, may: bool) -> None:
    assert may_have_plugs(kind, bus, height) is may


def test_agp() -> None:
    """30 W: 19.8 at 3.3 V, 10.2 at 12 V. 42 W: 19.8, 12 and 10 W, and 0.2 W that the board makes of 3.3 V, or that a
    plug brings (16.7 mA). 40 W: 8.2 W are left for 5 V, 1640 mA. 31.806 W: 6 mW, which 2 mA at 5 V carry wholly."""
    assert drawn(bus="agp") == ((850, 0, 6000, 0), (1000, 2000, 6061, 0))
    assert drawn(bus="agp", plugs=None) == drawn(bus="agp")
    assert drawn(bus="agp", plugs=("6",), load_mw=42_000) == ((1000, 2000, 6000, 17),) * 2
    assert drawn(bus="agp", load_mw=40_000) == ((1000, 1640, 6000, 0),) * 2
    assert drawn(bus="agp", load_mw=31_806) == ((1000, 2, 6000, 0),) * 2
    assert drawn(bus="agp", load_mw=33) == ((0, 0, 10, 0),) * 2


@pytest.mark.parametrize(
    ("lanes", "most"),
    [
        (1, (9, 0, 3000, 0)),  # 10 W: 9.9 W at 3.3 V, 0.1 W at 12 V
        (4, (1259, 0, 3000, 0)),  # 25 W: 15.1 W at 12 V
        (8, (1259, 0, 3000, 0)),
        (16, (1259, 0, 3000, 0)),
        (2, (9, 0, 3000, 0)),  # no slot of its own: as of one lane
        (None, (9, 0, 3000, 0)),
    ],
)
def test_small_cards_work_from_3v3(lanes: int | None, most: tuple[int, int, int, int]) -> None:
    """4 W are 1,212.1 mA at 3.3 V."""
    assert drawn("other", lanes=lanes) == ((0, 0, 1213, 0), most)


def test_a_small_card_of_more_than_its_slot_starts_with() -> None:
    """12 W (a setting of one's own): 9.9 at 3.3 V, 2.1 W at 12 V, usual and highest."""
    found = card_draw("other", "pcie", 1, "low", (), None, SETTINGS | {"card_small_mw": 12_000})
    assert found == (CardDraw((175, 0, 3000)), CardDraw((175, 0, 3000)))


def test_a_card_with_plugs_draws_through_them_whatever_it_is() -> None:
    """A slot gives 5.5 A at 12 V at most ([CEM]); a capture card of 120 W with a plug of 6 contacts was drawn wholly
    through its slot (9.2 A)."""
    (usual, most) = card_draw("tv", "pcie", 16, "full", ("6",), 120_000, SETTINGS)
    assert usual == most == card_draw("graphics", "pcie", 16, "full", ("6",), 120_000, SETTINGS)[0]
    assert usual.slot[0] <= 5_500 and usual.plugs_12v > 0
