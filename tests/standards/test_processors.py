"""Rated heat, long-term and short-term limits by class: published figures, and what was measured."""

from __future__ import annotations

import pytest

from partsolver.standards.processors import processor_power


@pytest.mark.parametrize(
    ("rated_w", "socket", "year", "cores", "short", "typical"),
    [
        # Power limits of 12th to 14th generation parts in open firmware (loads reference, section 1a: L1)
        (65, "lga1700", 2022, 6, (117, 154), 117),
        (125, "lga1700", 2022, 24, (253, 253), 253),
        (35, "lga1700", 2022, 4, (69, 69), 69),
        (46, "lga1700", 2022, 2, (46, 46), 46),
        # 1.25 x rated heat for some seconds, 2011 to 2019 (L5); 95 W: 119 W (L6); measured at the plug below
        # rated heat
        (95, "lga1155", 2012, 4, (119, 119), 95),
        # a maker's statement of 2022: 1.35 x; 65 W: 88 W, 105 W: 142 W, 170 W: 230 W
        (65, "am4", 2017, 6, (88, 88), 65),
        (65, "am4", 2020, 6, (88, 88), 88),
        (105, "am4", 2020, 16, (142, 142), 142),
        (170, "am5", 2022, 16, (230, 230), 230),
        # before 2011 and up to FM2+: no power-limited turbo
        (130, "lga775", 2008, 4, (130, 130), 130),
        (100, "fm2", 2012, 4, (100, 100), 100),
    ],
)
def test_published_limits(
    rated_w: int, socket: str, year: int, cores: int, short: tuple[int, int], typical: int
) -> None:
    power = processor_power(rated_w, None, socket, year, cores)
    assert power is not None
    assert (power.short_least_w, power.short_most_w) == short and power.typical_w == typical


@pytest.mark.parametrize(
    ("rated_w", "socket", "year", "cores", "measured_w"),
    [
        # loads reference section 1b: measured under load (L12 to L18); the usual load is no less than that
        (100, "fm2", 2012, 4, 85),
        (77, "lga1155", 2012, 4, 68),
        (91, "lga1151", 2015, 4, 85),
        (65, "am4", 2017, 6, 49),
        (95, "am4", 2017, 6, 86),
        (65, "am4", 2020, 6, 76),
        (125, "lga1200", 2021, 6, 155),
    ],
)
def test_no_measured_part_draws_more_than_the_usual_load(
    rated_w: int, socket: str, year: int, cores: int, measured_w: int
) -> None:
    power = processor_power(rated_w, None, socket, year, cores)
    assert power is not None and measured_w <= power.typical_w <= power.short_most_w
