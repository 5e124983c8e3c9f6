"""Power supply sizes and which supply goes into which bay.

Sizes: list of supply form factors on a hosting site and a third-party size list (medium); SFX-L, CFX and LFX
low. Depths above nominal are sold for ATX (160, 180, up to 230 mm): measure the bay.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class SupplySize:
    """Body of a supply in micrometres: across the rear face (width, height) and into the case (depth)."""

    form: str
    width_um: int
    height_um: int
    depth_um: int


SUPPLY_SIZES: Final[dict[str, SupplySize]] = {
    s.form: s
    for s in (
        SupplySize("atx", 150_000, 86_000, 140_000),
        SupplySize("sfx", 125_000, 63_500, 100_000),
        SupplySize("sfx-l", 125_000, 63_500, 130_000),
        SupplySize("tfx", 85_000, 65_000, 175_000),
        SupplySize("flex-atx", 81_500, 40_500, 150_000),
        SupplySize("cfx", 101_600, 86_000, 140_000),
        SupplySize("lfx", 62_000, 72_000, 210_000),
    )
}

#: Screw centres of an ATX supply, rear face, from the bottom-left corner, No. 6-32 (open-hardware drawing; a
#: second one agrees within 1 mm; medium to high).
ATX_SCREWS_MM: Final = ((6, 16), (120, 6), (6, 80), (144, 80))

#: (bay, supply) -> "plate" where a plate fills the difference, "depth" where the longer body needs a look.
#: SFX in an ATX bay: list of supply form factors (medium); SFX-L in an SFX bay: same screws, 30 mm longer
#: (derived).
BAY_CONDITIONS: Final[dict[tuple[str, str], str]] = {
    ("atx", "sfx"): "plate",
    ("atx", "sfx-l"): "plate",
    ("sfx", "sfx-l"): "depth",
}


def bay_fit(bay_form: str, supply_form: str) -> str | None:
    """How a supply goes into a bay: "direct", "plate", "depth" (measure first), or None.

    A maker's own form never fits: it is in no condition, and two of them are not alike.
    """
    if bay_form == "own":
        return None
    if bay_form == supply_form or (bay_form, supply_form) == ("sfx-l", "sfx"):
        return "direct"
    return BAY_CONDITIONS.get((bay_form, supply_form))
