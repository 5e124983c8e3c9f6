"""Power plugs and slots: contacts, currents and powers.

Documents: [PSDG] Intel 336521, desktop power supply design guide (ATX 3.0, v2.0 January 2022 and v2.1a);
[URP] Upgrading and Repairing PCs (handbook); [AMP] AMP catalogue 82181, current table of the peripheral
connector; [CEM] PCI Express card electromechanical specification 1.1, pp. 35-36, as cited by an encyclopaedia
copy and a secondary text.

Currents in mA, powers in mW, both continuous.  Limits that are derived or conservative are settings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from .settings import value_of

RAIL_MV: Final[dict[str, int]] = {"12v": 12_000, "5v": 5_000, "3v3": 3_300}


@dataclass(frozen=True, slots=True)
class MainPlug:
    """Main plug: all contacts, and how many of them carry each rail."""

    contacts: int
    rail_contacts: dict[str, int]


# Pinout: two connector pages agree (medium); the 24-contact plug adds one contact each of +12, +3.3, +5 V and
# ground.
MAIN_PLUGS: Final[dict[str, MainPlug]] = {
    "20": MainPlug(20, {"12v": 1, "5v": 4, "3v3": 3}),
    "24": MainPlug(24, {"12v": 2, "5v": 5, "3v3": 4}),
}

# [URP] pp. 918, 1142 (medium): contacts of 20-24 circuits; the high-current kind is asked for since March
# 2005.
MAIN_CONTACT_MA: Final[dict[str, int]] = {"standard": 6_000, "high-current": 9_000}

#: +12 V contacts of the processor plugs: 2x2 [PSDG] table 5-8 (high); 2x4 count from a hardware site
#: (medium).
CPU_PLUG_12V_CONTACTS: Final[dict[str, int]] = {"4": 2, "8": 4}


@dataclass(frozen=True, slots=True)
class CardPlug:
    """Plug of a graphics card: rated power and highest 12 V current."""

    rated_mw: int
    rail_12v_ma: int


# [PSDG] table 3-5 (high).  The 16-contact plug carries up to 600 W; its sense contacts say how much the
# supply gives.
CARD_PLUGS: Final[dict[str, CardPlug]] = {
    "6": CardPlug(75_000, 6_750),
    "8": CardPlug(150_000, 13_500),
    "16": CardPlug(600_000, 55_000),
}

#: Steps a supply announces on a 16-contact plug, [PSDG] v2.1a "SENSE0 & SENSE1" (high).
CARD_PLUG_16_STEPS_MW: Final = (600_000, 450_000, 300_000, 150_000)


@dataclass(frozen=True, slots=True)
class SlotPower:
    """Power a PCI Express slot may be asked for.

    At start, by a configured standard-height and by a low-profile card.
    """

    start_mw: int
    configured_mw: int
    low_profile_mw: int
    start_12v_ma: int
    configured_12v_ma: int
    rail_3v3_ma: int


# [CEM] (medium), with a forum quotation of the x16 graphics 150W-ATX specification for the low-profile row.
# A board may offer less than this: read its manual.  75 W is for graphics cards; other x16 cards stay at 25
# W.
SLOT_POWER: Final[dict[int, SlotPower]] = {
    1: SlotPower(10_000, 25_000, 10_000, 500, 2_100, 3_000),
    4: SlotPower(25_000, 25_000, 25_000, 2_100, 2_100, 3_000),
    8: SlotPower(25_000, 25_000, 25_000, 2_100, 2_100, 3_000),
    16: SlotPower(25_000, 75_000, 25_000, 2_100, 5_500, 3_000),
}

#: Average +5 V current of a PCI slot on old boards: a board's technical product specification, p. 58 (high).
PCI_SLOT_5V_MA: Final = 2_000
#: All that one card may take from a PCI slot, over all rails: PCI Local Bus Specification 3.0, section 4.3.4 (from
#: memory).
PCI_SLOT_MW: Final = 25_000

# SATA 15-contact plug: 1.5 A per contact, three per rail (encyclopaedia copy and a secondary page, medium).
SATA_CONTACT_MA: Final = 1_500
SATA_RAIL_MA: Final = 4_500

#: Peripheral 4-contact plug, all circuits loaded, by wire gauge (AWG); [AMP] (high).
PERIPHERAL_MA_BY_AWG: Final[dict[int, int]] = {14: 11_000, 16: 10_000, 18: 9_000, 20: 7_000, 22: 5_000}
PERIPHERAL_USUAL_AWG: Final = 18  # encyclopaedia and handbook, medium to high

FLOPPY_CONTACT_MA: Final = 2_000  # [URP] p. 931, medium

# Fans: 4-Wire PWM Controlled Fans Specification (Intel), section 2.1 (high).
FAN_STEADY_MAX_MA: Final = 1_500
FAN_START_MAX_MA: Final = 2_200

#: Processor 12 V current by class of rated heat (W): (continuous, peak up to 10 ms) in mA; [PSDG] v2.0 table
#: 2-1 (high). The values are the worst member of each class; for a named processor compute ``cpu_12v_ma``
#: instead.
CPU_CLASS_12V_MA: Final[dict[int, tuple[int, int]]] = {
    35: (11_000, 19_000),
    65: (23_000, 34_000),
    125: (26_000, 39_000),
    165: (37_500, 40_000),
}


def power_mw(current_ma: int, rail: str) -> int:
    """Power of a current on rail "12v", "5v" or "3v3" at nominal voltage, rounded down."""
    return current_ma * RAIL_MV[rail] // 1000


def main_plug_12v_limit_ma(plug: str, settings: Mapping[str, int] | None = None) -> int:
    """12 V current a plan may draw through main plug "20" or "24" (settings main_20pin_12v_ma,
    main_24pin_12v_ma).
    """
    if plug not in MAIN_PLUGS:
        raise ValueError(f"main plug {plug!r} is not known; known are {', '.join(MAIN_PLUGS)}")
    return value_of(f"main_{plug}pin_12v_ma", settings)


def cpu_plugs_limit_ma(
    plugs: Sequence[str], settings: Mapping[str, int] | None = None, hard: bool = False
) -> int:
    """12 V current through all processor plugs together.

    The usual limit, or the one never to exceed (``hard``).

    A "4" plug in an 8-contact header counts as "4": all +12 V contacts of the header are tied together on the
    board.
    """
    for plug in plugs:
        if plug not in CPU_PLUG_12V_CONTACTS:
            raise ValueError(
                f"processor plug {plug!r} is not known; known are {', '.join(CPU_PLUG_12V_CONTACTS)}"
            )
    suffix = "_hard_ma" if hard else "_ma"
    return sum(value_of(f"cpu_plug_{plug}pin{suffix}", settings) for plug in plugs)


def slot_power_mw(lanes: int, low_profile: bool = False, graphics: bool = True) -> int:
    """Power a configured card may draw from a slot of 1, 4, 8 or 16 lanes (mechanical size)."""
    slot = SLOT_POWER.get(lanes)
    if slot is None:
        raise ValueError(
            f"slot size x{lanes} is not known; known are {', '.join(f'x{n}' for n in SLOT_POWER)}"
        )
    if low_profile or (lanes == 16 and not graphics):
        return slot.low_profile_mw
    return slot.configured_mw


def card_power_mw(plugs: Sequence[str], lanes: int = 16, low_profile: bool = False) -> int:
    """Highest power a card may draw: its slot and its plugs "6", "8", "16" together."""
    return slot_power_mw(lanes, low_profile) + plugs_power_mw(plugs)


def plugs_power_mw(plugs: Sequence[str]) -> int:
    """Rated power of card plugs "6", "8", "16" together."""
    for plug in plugs:
        if plug not in CARD_PLUGS:
            raise ValueError(f"card plug {plug!r} is not known; known are {', '.join(CARD_PLUGS)}")
    return sum(CARD_PLUGS[plug].rated_mw for plug in plugs)
