"""What cards draw from slot and plugs, by rail.

Documents: [CEM] PCI Express card electromechanical specification 1.1 as cited in ``plugs``; [PSDG] plug
ratings there; [PCI] a maker's developer note of 1998 and a PCI-SIG message: 5 V up to 5 A, 3.3 V up to 7.6 A,
12 V 0.5 A (high); [AGP] AGP 3.0 Interface Specification rev. 1.0, table 47: from the slot 3.3 V 6 A, 5 V 2 A,
12 V 1 A (high); [TH] a test house's planning values of 2003 for PCI cards: 0 to 0.5 A at 3.3 V, 0.4 to 0.5 A
at 5 V (medium). Currents in mA.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from .plugs import PCI_SLOT_5V_MA, SLOT_POWER, card_power_mw, slot_power_mw

# [AGP]; what is above these comes from the 1.5 V that the board makes, counted at 3.3 V.
AGP_3V3_MA: Final = 6_000
AGP_5V_MA: Final = 2_000
AGP_12V_MA: Final = 1_000
AGP_SLOT_MW: Final = 42_000  # all of the slot together, [AGP]

PCI_USUAL_5V_MA: Final = 500  # [TH]
PCI_USUAL_3V3_MA: Final = 500  # [TH]

#: A graphics card with plugs takes about a third from the slot and half an ampere at 3.3 V: clamp
#: measurements of one card half and half, of 79 cards "a few watts" at 3.3 V (loads reference section 3;
#: medium).
SLOT_SHARE: Final = 3
GRAPHICS_3V3_MA: Final = 500

#: What a small card takes at 3.3 V at most: all that its slot gives there, [CEM].
SMALL_CARD_MOST_3V3_MA: Final = SLOT_POWER[1].rail_3v3_ma

#: Usual power of a graphics card by its plugs, for those whose load nobody stated (measured cards of
#: 2006-2016, loads reference section 3, derived): shown beside the question, never decided by.
USUAL_MW_BY_PLUGS: Final[dict[tuple[str, ...], int]] = {
    ("6",): 120_000,
    ("6", "6"): 190_000,
    ("8",): 225_000,
    ("6", "8"): 300_000,
}


#: Plugs of a graphics card that nobody looked at, at the plausible worst: most cards of the years that these
#: PCs are from have none, 6 or 8 contacts (common practice).
SUPPOSED_PLUGS: Final = ("8",)


def may_have_plugs(kind: str, bus: str | None, height: str | None) -> bool:
    """Whether a card may have power plugs: graphics in a PCI Express slot, not of low profile (common
    practice)."""
    return kind == "graphics" and bus in ("pcie", None) and height != "low"


@dataclass(frozen=True, slots=True)
class CardDraw:
    """Currents of a card: through its slot (12 V, 5 V, 3.3 V) and through its plugs (12 V)."""

    slot: tuple[int, int, int]
    plugs_12v: int = 0


def _up(value: int, divisor: int) -> int:
    return -(-value // divisor)


def card_draw(
    kind: str,
    bus: str | None,
    lanes: int | None,
    height: str | None,
    plugs: Sequence[str] | None,
    load_mw: int | None,
    settings: Mapping[str, int],
) -> tuple[CardDraw, CardDraw]:
    """(usual, highest) draw of a card; equal where its load is stated.

    Without a stated load a card with plugs counts as all that its slot and plugs may carry; ``usual`` and
    ``highest`` of others are settings (card_*) and the limits of their slots. ``plugs`` None: nobody looked
    whether a graphics card has any. Then its stated load tells (a slot gives 75 W), else its highest load is
    that of a card with one of 8.
    """
    if plugs is None:
        may_have = may_have_plugs(kind, bus, height)
        if may_have and load_mw is None:
            usual, most = settings["card_no_plug_mw"], card_power_mw(SUPPOSED_PLUGS)
            return _spread(kind, bus, (), usual), _spread(kind, bus, SUPPOSED_PLUGS, most)
        over = may_have and load_mw is not None and load_mw > slot_power_mw(16)
        plugs = SUPPOSED_PLUGS if over else ()
    if load_mw is not None:
        draw = _spread(kind, bus, plugs, load_mw)
        return draw, draw
    if bus in ("pci", "isa"):
        return (
            CardDraw((0, PCI_USUAL_5V_MA, PCI_USUAL_3V3_MA)),
            CardDraw((0, PCI_SLOT_5V_MA, PCI_USUAL_3V3_MA)),
        )
    if plugs:
        draw = _spread(kind, bus, plugs, card_power_mw(plugs))
        return draw, draw
    if bus == "agp":
        usual, most = settings["card_low_profile_mw"], AGP_SLOT_MW
    elif kind == "graphics":
        usual = settings["card_low_profile_mw" if height == "low" else "card_no_plug_mw"]
        most = slot_power_mw(16)
    else:
        usual = settings["card_small_mw"]
        most = max(usual, SLOT_POWER[lanes if lanes in SLOT_POWER else 1].start_mw)
    return _spread(kind, bus, plugs, min(usual, most)), _spread(kind, bus, plugs, most)


def _spread(kind: str, bus: str | None, plugs: Sequence[str], load_mw: int) -> CardDraw:
    """A power spread over rails and plugs as its bus has them."""
    if bus in ("pci", "isa"):
        return CardDraw((0, _up(load_mw, 5), 0))
    if bus == "agp":
        return _spread_agp(plugs, load_mw)
    if kind != "graphics" and not plugs:
        # Small cards work from 3.3 V; what is above the slot's 3 A comes from 12 V.
        at_3v3 = min(_up(load_mw * 10, 33), SLOT_POWER[1].rail_3v3_ma)
        return CardDraw((_up(load_mw - at_3v3 * 33 // 10, 12), 0, at_3v3))
    most_12v = SLOT_POWER[16].configured_12v_ma
    if plugs:
        at_3v3 = min(GRAPHICS_3V3_MA, _up(load_mw * 10, 33))
        left = _up(load_mw - at_3v3 * 33 // 10, 12)
        at_slot = min(most_12v, left // SLOT_SHARE)
        return CardDraw((at_slot, 0, at_3v3), left - at_slot)
    at_12v = min(most_12v, _up(load_mw, 12))
    return CardDraw((at_12v, 0, max(0, _up((load_mw - at_12v * 12) * 10, 33))))


def _spread_agp(plugs: Sequence[str], load_mw: int) -> CardDraw:
    at_3v3 = min(_up(load_mw * 10, 33), AGP_3V3_MA)
    left = max(0, load_mw - at_3v3 * 33 // 10)
    at_12v = min(_up(left, 12), AGP_12V_MA)
    left = max(0, left - at_12v * 12)
    at_5v = min(_up(left, 5), AGP_5V_MA)
    left = max(0, left - at_5v * 5)
    if plugs:
        return CardDraw((at_12v, at_5v, at_3v3), _up(left, 12))
    return CardDraw((at_12v, at_5v, at_3v3 + _up(left * 10, 33)))
