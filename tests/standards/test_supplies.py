"""Supply sizes: list of supply form factors (ATX 150 x 86 x 140, SFX 125 x 63.5 x 100, TFX 85 x 65 x 175,
...).
"""

import pytest

from partsolver.standards.supplies import SUPPLY_SIZES, bay_fit


@pytest.mark.parametrize(
    ("form", "size"),
    [
        ("atx", (150, 86, 140)),
        ("sfx", (125, 63.5, 100)),
        ("sfx-l", (125, 63.5, 130)),
        ("tfx", (85, 65, 175)),
        ("flex-atx", (81.5, 40.5, 150)),
        ("lfx", (62, 72, 210)),
    ],
)
def test_sizes(form, size):
    s = SUPPLY_SIZES[form]
    assert (s.width_um, s.height_um, s.depth_um) == tuple(round(mm * 1000) for mm in size)


@pytest.mark.parametrize(
    ("bay", "supply", "fit"),
    [
        ("atx", "atx", "direct"),
        ("atx", "sfx", "plate"),
        ("sfx", "atx", None),
        ("sfx", "sfx-l", "depth"),
        ("sfx-l", "sfx", "direct"),
        ("tfx", "flex-atx", None),
        ("own", "own", None),
        ("own", "atx", None),
        ("atx", "own", None),
    ],
)
def test_bays(bay, supply, fit):
    assert bay_fit(bay, supply) == fit
