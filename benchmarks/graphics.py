"""Invented graphics cards for generated catalogues: ``generate --graphics-cards N``, from draws of their own."""

from __future__ import annotations

from benchmarks.tables import Row
from benchmarks.world import Dice, Part

NAMES = ("Ferrolume Veil", "Optivane Brume", "Karrow Lantern", "Tollmere Pane")
# By class of card: length in mm, slots, plugs, watts, score against the reference's 1000.
CLASSES = (
    (155, 1, "none", 30, 600),
    (175, 1, "none", 50, 1400),
    (215, 2, "6", 120, 3200),
    (265, 2, "8", 180, 6000),
    (300, 2, "8+6", 260, 9000),
)
OUTPUTS = {
    2008: "vga dvi-i",
    2013: "dvi-d hdmi-1.4 dp-1.2",
    2018: "hdmi-2.0 dp-1.4 dp-1.4",
}


def graphics_card(dice: Dice, number: int) -> Part:
    """A card of one of five classes: newer ones do more at the same power; one in eight facts that sellers
    leave out is blank. Cards before 2012 have no UEFI part."""
    length, slots, plugs, watts, score = dice.weighted(CLASSES, (4, 3, 3, 2, 1))
    year = dice.whole(2007, 2024)
    newer = 1.13 ** (year - 2018)
    outputs = next(
        said for first, said in sorted(OUTPUTS.items(), reverse=True) if year >= first or first == 2008
    )
    row: Row = {
        "id": f"graphics-{number:06d}",
        "name": f"{dice.pick(NAMES)} {watts} / {number}",
        "maker": "",
        "bus": "pcie",
        "lanes": 16 if dice.chance(0.8) else 8,
        "height": "low" if watts <= 50 and dice.chance(0.4) else "full",
        "width_slots": slots,
        "length_mm": length + dice.whole(-10, 10),
        "power_plugs": plugs,
        "load_mw": (watts + dice.whole(-4, 4)) * 1000,
        "graphics_score": int(score * newer * dice.between(0.85, 1.15)),
        "outputs": outputs,
        "max_displays": 2 if year < 2012 else 4,
        "uefi": "no" if year < 2012 else "yes",
        "legacy_video": "yes",
        "year": year,
        "source": "generated",
    }
    for fact in ("length_mm", "max_displays", "width_slots"):
        if dice.chance(1 / 8):
            row[fact] = ""
    price = (8 + 0.035 * float(str(row["graphics_score"]))) * dice.between(0.8, 1.25)
    return Part("graphics", row, price, year >= 2021)
