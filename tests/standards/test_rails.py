"""Rails: ATX12V design guide 2.0 table 2 [A20], ATX design guide 0.9 p. 11 [A09], Intel 336521.

80 PLUS tables.
"""

import itertools

import pytest

from partsolver.standards import rails


# [A20]: +12 V 11.40-12.60, +5 V 4.75-5.25, +3.3 V 3.14-3.47; [A09]: -12 V -10.8 to -13.2; 12 V at peak +-10
# %; ATX 2.03/2.1 3.3 V +-4 %; ATX 3.0 12 V +5/-7 %, card plugs +5/-8 %.
@pytest.mark.parametrize(
    ("rail", "low", "high"),
    [
        ("12v", 11_400, 12_600),
        ("5v", 4_750, 5_250),
        ("5vsb", 4_750, 5_250),
        ("3v3", 3_135, 3_465),
        ("-12v", -13_200, -10_800),
        ("-5v", -5_500, -4_500),
        ("12v-peak", 10_800, 13_200),
        ("3v3-atx-2.1", 3_168, 3_432),
        ("12v-atx-3", 11_160, 12_600),
        ("12v-card", 11_040, 12_600),
    ],
)
def test_windows(rail, low, high):
    assert rails.window_mv(rail) == (low, high)


# Suggested factors (common practice, no standard): up to 5 years 1.00, 8 years 0.90, 12 years 0.80, older
# 0.70; x 0.80.
@pytest.mark.parametrize(
    ("age", "percent"),
    [(0, 85), (5, 85), (6, 80), (8, 80), (9, 75), (12, 75), (13, 65), (30, 65), (None, 65)],
)
def test_trust(age, percent):
    """One share with all margins in it (loads reference section 8: 0.85, 0.80, 0.75, 0.65; common
    practice)."""
    assert rails.trust_percent(age) == percent


def test_trust_settings_and_refusal():
    assert rails.trust_percent(13, {"psu_trust_older_percent": 50}) == 50
    with pytest.raises(ValueError, match="-1 years"):
        rails.trust_percent(-1)


# 80 PLUS programme: gold 87/90/87 at 115 V and 90/92/89 at 230 V for 20/50/100 % load; titanium 90 at 10 %.
@pytest.mark.parametrize(
    ("level", "load", "mains", "percent"),
    [
        ("gold", 20, "115v-internal", 87),
        ("gold", 50, "115v-internal", 90),
        ("gold", 100, "230v-internal", 89),
        ("standard", 50, "115v-internal", 80),
        ("bronze", 30, "230v-internal", 85),
        ("platinum", 75, "115v-internal", 89),
        ("titanium", 10, "230v-redundant", 90),
        ("gold", 10, "115v-internal", None),
        ("titanium", 5, "115v-internal", None),
        ("standard", 50, "230v-redundant", None),
    ],
)
def test_80_plus(level, load, mains, percent):
    assert rails.guaranteed_efficiency_percent(level, load, mains) == percent


def test_80_plus_levels_rise():
    order = ("standard", "bronze", "silver", "gold", "platinum", "titanium")
    for table in rails.EIGHTY_PLUS.values():
        assert tuple(table) == order
        for lower, higher in itertools.pairwise(order):
            assert all(
                a is None or (b is not None and a <= b)
                for a, b in zip(table[lower], table[higher], strict=True)
            )


def test_timing_and_condition():
    # Intel 336521 v2.1a table 4-10: > 16 ms; ATX 3.1 > 11 ms.  Bulged capacitors, noise, failed start: do not
    # use.
    assert (rails.POWER_OK_HOLD_UP_MS, rails.POWER_OK_HOLD_UP_ATX31_MS) == (16, 11)
    assert rails.CONDITION_FACTOR_PERCENT == {"good": 100, "noisy": 0, "bulged": 0, "failed-start": 0}
    assert [ma for _, ma in rails.MINIMUM_12V2_LOAD_MA] == [1000, 500, 50]


# As above, by year alone: mid-2013 leaves the year itself open, so it counts as early.
@pytest.mark.parametrize(
    ("year", "cpu_year", "zero", "risk"),
    [
        (2012, 2014, None, True),
        (2013, 2013, False, True),
        (2014, 2020, None, False),
        (2010, 2012, None, False),
        (2008, 2018, True, False),
        (None, 2018, None, None),
        (2008, None, None, None),
        (None, 2011, None, False),
    ],
)
def test_is_low_load_risk(year, cpu_year, zero, risk):
    assert rails.is_low_load_risk(year, cpu_year, zero) is risk


def test_low_load_year_is_a_setting():
    assert rails.is_low_load_risk(2014, 2020, None, {"low_load_year": 2014}) is True
