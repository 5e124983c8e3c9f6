"""Plugs: Intel 336521 (ATX 3.0) [PSDG], Upgrading and Repairing PCs [URP], AMP catalogue 82181 [AMP], PCIe
CEM 1.1 [CEM].
"""

import pytest

from partsolver.standards import plugs


# [URP] p. 1142: a 20-contact plug with standard contacts carries 251 W (59 + 120 + 72); 24 contacts 373 W (79
# + 150 + 144), with high-current contacts 560 W (119 + 225 + 216).
@pytest.mark.parametrize(
    ("plug", "contact", "amps", "total_w"),
    [
        ("20", "standard", {"3v3": 18, "5v": 24, "12v": 6}, 251),
        ("20", "high-current", {"3v3": 27, "5v": 36, "12v": 9}, 377),
        ("24", "standard", {"3v3": 24, "5v": 30, "12v": 12}, 373),
        ("24", "high-current", {"3v3": 36, "5v": 45, "12v": 18}, 560),
    ],
)
def test_main_plug(plug, contact, amps, total_w):
    assert {rail: plugs.main_plug_ma(plug, rail, contact) // 1000 for rail in amps} == amps
    assert round(plugs.main_plug_mw(plug, contact) / 1000) == total_w


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


# Hand computed: P / (0.85 x 11.4 V), row "A at 11.4 V" of the processor table, rounded to 0.1 A.
@pytest.mark.parametrize(
    ("watts", "amps"),
    [
        (35, 3.6),
        (65, 6.7),
        (88, 9.1),
        (95, 9.8),
        (125, 12.9),
        (142, 14.7),
        (181, 18.7),
        (202, 20.8),
        (230, 23.7),
        (241, 24.9),
        (253, 26.1),
    ],
)
def test_cpu_current(watts, amps):
    assert abs(plugs.cpu_12v_ma(watts * 1000) - amps * 1000) <= 50
    at_12v = plugs.cpu_12v_ma(watts * 1000, {"cpu_supply_mv": 12_000})
    assert at_12v == -(-watts * 1_000_000 * 100 // (85 * 12_000))


# [PSDG] table 3-5: 75 W / 6.75 A, 150 W / 13.5 A, 600 W / 55 A.
@pytest.mark.parametrize(("plug", "watts", "amps"), [("6", 75, 6.75), ("8", 150, 13.5), ("16", 600, 55)])
def test_card_plugs(plug, watts, amps):
    assert (plugs.CARD_PLUGS[plug].rated_mw, plugs.CARD_PLUGS[plug].rail_12v_ma) == (
        watts * 1000,
        amps * 1000,
    )


def test_card_plug_fit_and_power():
    assert (
        plugs.card_plug_fits("6", "8")
        and not plugs.card_plug_fits("8", "6")
        and not plugs.card_plug_fits("8", "16")
    )
    assert plugs.card_power_mw(["8", "6"]) == 300_000  # 75 + 150 + 75 W
    with pytest.raises(ValueError, match="known are 6, 8, 16"):
        plugs.card_power_mw(["4"])


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


def test_drive_plugs():
    # SATA: 3 contacts x 1.5 A: 12 V 54 W, 5 V 22.5 W, 3.3 V 14.85 W.
    assert plugs.SATA_RAIL_MA == 3 * plugs.SATA_CONTACT_MA == 4500
    assert [plugs.sata_plug_mw(rail) for rail in ("12v", "5v", "3v3")] == [54_000, 22_500, 14_850]
    # [AMP]: 14 AWG 11 A, 16 AWG 10 A, 18 AWG 9 A, 20 AWG 7 A, 22 AWG 5 A.
    assert [plugs.peripheral_ma(awg) for awg in (14, 16, 18, 20, 22)] == [11_000, 10_000, 9_000, 7_000, 5_000]
    assert (
        plugs.power_mw(plugs.peripheral_ma(), "12v") == 108_000
        and plugs.power_mw(plugs.peripheral_ma(), "5v") == 45_000
    )
    with pytest.raises(ValueError, match="24 AWG"):
        plugs.peripheral_ma(24)
    # [URP] p. 931: 2 A per contact: 24 W at 12 V, 10 W at 5 V.
    assert plugs.power_mw(plugs.FLOPPY_CONTACT_MA, "12v") == 24_000


# [PSDG] section 2.2.1: 6-8 A per contact.  2x2: 144 / 192 W, 2x4: 288 / 384 W, both together 432 / 576 W at
# 12 V; one contact of a peripheral adapter: 108 W ([AMP], 9 A).
@pytest.mark.parametrize(
    ("contacts", "ma", "watts"),
    [
        (2, 6000, 144),
        (2, 8000, 192),
        (4, 6000, 288),
        (4, 8000, 384),
        (6, 6000, 432),
        (6, 8000, 576),
        (4, 7000, 336),
        (1, 9000, 108),
        (1, 999, 11),
    ],
)
def test_watts(contacts, ma, watts):
    assert plugs.watts(contacts, ma) == watts


# A 2x2 plug goes into one half of a 2x4 header (connector dictionary, common practice); a divisible 4+4
# counts as 8.
@pytest.mark.parametrize(
    ("header", "plug", "feed"),
    [
        ("4", "4", "full"),
        ("8", "8", "full"),
        ("8", "4", "half"),
        ("4", "8", "full"),
        ("8", "6", None),
        ("16", "8", None),
    ],
)
def test_fed_by(header, plug, feed):
    assert plugs.fed_by(header, plug) == feed


# [CEM]: x1 0.5 A at start, 2.1 A configured; x4, x8 2.1 A; x16 2.1 A low profile or no graphics, 5.5 A
# graphics.
@pytest.mark.parametrize(
    ("lanes", "low", "graphics", "ma"),
    [
        (1, True, False, 500),
        (1, False, False, 2100),
        (4, True, False, 2100),
        (8, False, False, 2100),
        (16, True, True, 2100),
        (16, False, False, 2100),
        (16, False, True, 5500),
    ],
)
def test_slot_12v(lanes, low, graphics, ma):
    assert plugs.slot_12v_ma(lanes, low, graphics) == ma
