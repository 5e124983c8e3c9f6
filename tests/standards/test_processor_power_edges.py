"""Power of processors at every edge of the classes: limits of half a watt up, by hand.

1.25 x and 1.35 x the rated heat, the published turbo limits (typed in `data/`), and which of them counts as drawn: as the
module's docstring cites them ([ADL], [FW], [PPT], measurements of the loads reference, section 1b).
"""

from __future__ import annotations

import pytest

from partsolver.standards.processors import ProcessorPower, power_class, processor_power, turbo_range_w


@pytest.mark.parametrize(
    ("socket", "year", "name"),
    [
        ("LGA775", 2024, "rated"),
        ("am3+", None, "rated"),
        ("LGA1155", 2010, "quarter"),
        ("AM4", None, "package"),
        ("lga1200", None, "turbo"),
        (None, 2004, "rated"),
        (None, 2010, "rated"),
        ("own-1", 2011, "quarter"),
        (None, 2016, "quarter"),
        (None, 2017, "unknown"),
        (None, None, "unknown"),
    ],
)
def test_class_by_socket_then_by_year(socket: str | None, year: int | None, name: str) -> None:
    assert power_class(socket, year) == name


@pytest.mark.parametrize(
    ("rated_w", "cores", "limits"),
    [
        (35, 4, (69, 69)),
        (36, 8, (224, 224)),
        (65, 6, (117, 154)),
        (66, 8, (229, 251)),
        (126, 8, (229, 251)),  # above every class: as the highest
        (65, 2, (65, 65)),  # published 46 W: never below the rated heat
        (240, 6, (240, 251)),
        (300, 6, (300, 300)),
        # Cores that no table names: the range of the class, those of two cores left out.
        (35, None, (69, 106)),
        (65, None, (89, 224)),
        (125, 3, (150, 253)),
    ],
)
def test_turbo(rated_w: int, cores: int | None, limits: tuple[int, int]) -> None:
    assert turbo_range_w(rated_w, cores) == limits


@pytest.mark.parametrize(
    ("rated_w", "short_w", "socket", "year", "cores", "power"),
    [
        # rated, long, short from, short to, drawn, measured at the plug
        (95, None, "LGA775", 2008, 4, (95, 95, 95, 95, 95, True)),
        (95, None, "LGA775", None, 4, (95, 95, 95, 95, 95, True)),
        (None, 90, "LGA775", 2008, 4, (90, 90, 90, 90, 90, True)),
        (84, None, "LGA1150", 2016, 4, (84, 84, 105, 105, 84, True)),
        (84, None, "LGA1151", 2017, 4, (84, 84, 105, 105, 84, False)),
        # What a maker states is taken as reached, unless parts of its years were measured.
        (84, 120, "LGA1151", 2017, 4, (84, 84, 120, 120, 120, False)),
        (84, 120, "LGA1150", 2016, 4, (84, 84, 120, 120, 84, True)),
        (84, 60, "LGA1150", 2016, 4, (84, 60, 60, 60, 60, True)),
        # 1.35 x 65 = 87.75; drawn from 105 W or from 2020 on, and where nobody knows the year.
        (65, None, "AM4", 2019, 6, (65, 88, 88, 88, 65, False)),
        (65, None, "AM4", 2020, 6, (65, 88, 88, 88, 88, False)),
        (65, None, "AM4", None, 6, (65, 88, 88, 88, 88, False)),
        (104, None, "AM4", 2019, 8, (104, 140, 140, 140, 104, False)),
        (105, None, "AM4", 2019, 8, (105, 142, 142, 142, 142, False)),
        (65, 76, "AM4", 2019, 6, (65, 76, 76, 76, 76, False)),
        # The least published short-term limit is drawn.
        (65, None, "LGA1200", 2021, 6, (65, 65, 117, 154, 117, False)),
        (65, 134, "LGA1200", 2021, 6, (65, 65, 134, 134, 134, False)),
        # Neither socket nor year tells.
        (65, None, None, 2019, 6, (65, 65, 88, 88, 65, False)),
        (65, None, None, 2020, 6, (65, 65, 88, 154, 88, False)),
        (65, None, None, None, None, (65, 65, 88, 224, 88, False)),
        (20, None, None, 2020, 2, (20, 20, 27, 35, 27, False)),
    ],
)
def test_power(
    rated_w: int | None,
    short_w: int | None,
    socket: str | None,
    year: int | None,
    cores: int | None,
    power: tuple[int, int, int, int, int, bool],
) -> None:
    found = processor_power(rated_w, short_w, socket, year, cores)
    assert found == ProcessorPower(*power)
    assert found is not None and found.stated is (power[2] == power[3])


def test_nothing_stated() -> None:
    assert processor_power(None) is None
    assert processor_power(None, None, "AM4", 2020, 8) is None
