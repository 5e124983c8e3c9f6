"""Plugs: Intel 336521 (ATX 3.0) [PSDG], Upgrading and Repairing PCs [URP], AMP catalogue 82181 [AMP], PCIe
CEM 1.1 [CEM].
"""

import pytest

from partsolver.standards import plugs


def test_main_plug_planner_limits():
    assert [plugs.main_plug_12v_limit_ma(p) for p in ("20", "24")] == [6000, 12000]
    assert plugs.main_plug_12v_limit_ma("20", {"main_20pin_12v_ma": 9000}) == 9000
    with pytest.raises(ValueError, match="known are 20, 24"):
        plugs.main_plug_12v_limit_ma("own")


# [PSDG] section 2.2.1: 6-8 A per contact; [URP] p. 925: 192 W for a 2x2 plug with standard contacts.
def test_cpu_plugs():
    assert plugs.cpu_plugs_limit_ma(["4"]) == 12_000
    assert plugs.power_mw(plugs.cpu_plugs_limit_ma(["4"], hard=True), "12v") == 192_000
    assert plugs.power_mw(plugs.cpu_plugs_limit_ma(["8"]), "12v") == 288_000
    assert plugs.power_mw(plugs.cpu_plugs_limit_ma(["8"], hard=True), "12v") == 336_000
    assert plugs.cpu_plugs_limit_ma(["8", "4"]) == 36_000  # 432 W
    assert plugs.cpu_plugs_limit_ma([]) == 0
    with pytest.raises(ValueError, match="known are 4, 8"):
        plugs.cpu_plugs_limit_ma(["6"])


# [PSDG] table 3-5: 75 W / 6.75 A, 150 W / 13.5 A, 600 W / 55 A.
@pytest.mark.parametrize(("plug", "watts", "amps"), [("6", 75, 6.75), ("8", 150, 13.5), ("16", 600, 55)])
def test_card_plugs(plug, watts, amps):
    assert (plugs.CARD_PLUGS[plug].rated_mw, plugs.CARD_PLUGS[plug].rail_12v_ma) == (
        watts * 1000,
        amps * 1000,
    )


# [CEM]: x1 10 W at start and 25 W configured; x4, x8 25 W; x16 25 W at start or low profile, 75 W configured
# graphics.
@pytest.mark.parametrize(
    ("lanes", "low", "graphics", "watts"),
    [
        (1, False, True, 25),
        (1, True, True, 10),
        (4, False, True, 25),
        (8, False, True, 25),
        (16, False, True, 75),
        (16, True, True, 25),
        (16, False, False, 25),
    ],
)
def test_slot_power(lanes, low, graphics, watts):
    assert plugs.slot_power_mw(lanes, low, graphics) == watts * 1000


def test_a_slot_of_which_no_more_is_said_is_that_of_a_graphics_card_of_full_height():
    assert plugs.slot_power_mw(16) == plugs.slot_power_mw(16, graphics=True) == 75_000


def test_slot_currents_add_up():
    for (
        lanes,
        slot,
    ) in plugs.SLOT_POWER.items():  # rails at their limit reach the power, within the rounding of the table
        at_limit = plugs.power_mw(slot.configured_12v_ma, "12v") + plugs.power_mw(slot.rail_3v3_ma, "3v3")
        assert at_limit >= slot.configured_mw, lanes
    assert [plugs.SLOT_POWER[n].start_mw for n in (1, 4, 8, 16)] == [10_000, 25_000, 25_000, 25_000]
    with pytest.raises(ValueError, match="x2 is not known"):
        plugs.slot_power_mw(2)
