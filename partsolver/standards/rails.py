"""Supply rails: voltage windows, timing, minimum loads, ageing, and the 80 PLUS levels.

Documents: [A20] ATX12V power supply design guide 2.0 (Intel), table 2; [A09] ATX power supply design guide
0.9 (Intel), p. 11; [PSDG] Intel 336521 (ATX 3.0) v2.0/v2.1a; [613768] Intel single-rail guide v2.0.  The
ageing shares have no standard behind them and are settings.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from .settings import value_of


@dataclass(frozen=True, slots=True)
class Tolerance:
    """A rail's nominal voltage and how far it may lie above and below, in percent of its magnitude."""

    nominal_mv: int
    above_percent: int
    below_percent: int


TOLERANCES: Final[dict[str, Tolerance]] = {
    "12v": Tolerance(12_000, 5, 5),  # [A20], high
    "5v": Tolerance(5_000, 5, 5),  # [A20], high
    "3v3": Tolerance(3_300, 5, 5),  # [A20], high
    "5vsb": Tolerance(5_000, 5, 5),  # [A20], high
    "-12v": Tolerance(-12_000, 10, 10),  # [A09], high
    "-5v": Tolerance(-5_000, 10, 10),  # [A09], high; removed from later guides
    "12v-peak": Tolerance(12_000, 10, 10),  # [A20], [A09]: allowed at peak load, high
    "3v3-atx-2.1": Tolerance(3_300, 4, 4),  # ATX 2.03/2.1: PC Hardware in a Nutshell 3e, table 26-2, medium
    "12v-atx-3": Tolerance(12_000, 5, 7),  # ATX 3.0: a test lab's method page, medium
    "12v-card": Tolerance(12_000, 5, 8),  # ATX 3.0 card plugs: [PSDG] table 3-5, high
}

# PWR_OK after loss of mains: [PSDG] v2.1a table 4-10, [613768] v2.0 (high); more than these, in ms.
POWER_OK_HOLD_UP_MS: Final = 16
POWER_OK_HOLD_UP_ATX31_MS: Final = 11  # required at full load; 16 ms recommended at 80 % load
DC_HOLD_UP_MS: Final = 17  # at full load; a test report quoting ATX, medium

#: Longest peak a label's peak current stands for: guide 2.0 up to 17 s once a minute, a PC maker 15 s (high).
PEAK_SECONDS: Final = 15

#: Least 12V2 load the guides assume, in mA: (guide, load).  First: [A20] table 3 (high); the others press
#: (medium).
MINIMUM_12V2_LOAD_MA: Final = (("ATX12V 2.0", 1_000), ("ATX12V 2.3", 500), ("2013 low-power idle states", 50))

#: 80 PLUS: least efficiency in percent at (10, 20, 50, 100) % of rated load; None = no requirement.
#: Encyclopaedia copy of the programme's tables, medium to high.  Keys of the outer dict: mains and use.
EIGHTY_PLUS: Final[dict[str, dict[str, tuple[int | None, int | None, int | None, int | None]]]] = {
    "115v-internal": {
        "standard": (None, 80, 80, 80),
        "bronze": (None, 82, 85, 82),
        "silver": (None, 85, 88, 85),
        "gold": (None, 87, 90, 87),
        "platinum": (None, 90, 92, 89),
        "titanium": (90, 92, 94, 90),
    },
    "230v-internal": {
        "standard": (None, 82, 85, 82),
        "bronze": (None, 85, 88, 85),
        "silver": (None, 87, 90, 87),
        "gold": (None, 90, 92, 89),
        "platinum": (None, 92, 94, 90),
        "titanium": (90, 94, 96, 94),
    },
    "230v-redundant": {
        "standard": (None, None, None, None),
        "bronze": (None, 81, 85, 81),
        "silver": (None, 85, 89, 85),
        "gold": (None, 88, 92, 88),
        "platinum": (None, 90, 94, 91),
        "titanium": (90, 94, 96, 91),
    },
}
_LOAD_POINTS: Final = (10, 20, 50, 100)
EIGHTY_PLUS_FIRST_YEAR: Final = 2005  # first certified unit in February 2005 (high): a badge dates the supply

#: State of a supply as seen from outside -> factor in percent.  0 = do not use (common practice).  Not a
#: setting: a supply with these signs is replaced, never opened.
CONDITION_FACTOR_PERCENT: Final[dict[str, int]] = {"good": 100, "noisy": 0, "bulged": 0, "failed-start": 0}


def window_mv(rail: str) -> tuple[int, int]:
    """Lowest and highest voltage of a rail in mV (signed)."""
    t = TOLERANCES[rail]
    low, high = sorted(
        t.nominal_mv * percent // 100 for percent in (100 - t.below_percent, 100 + t.above_percent)
    )
    return low, high


def trust_percent(age_years: int | None, settings: Mapping[str, int] | None = None) -> int:
    """Share of its label a supply of this age is trusted with, in percent; every margin is in it.

    An unknown age (None) gets the share of the oldest class: learning it can then only improve the answer.
    Common practice, no standard: the settings psu_trust_*.  Raises ``ValueError`` for an age below 0.
    """
    if age_years is not None and age_years < 0:
        raise ValueError(f"age of the supply is {age_years} years; check the year it was made")
    if age_years is None or age_years > 12:
        return value_of("psu_trust_older_percent", settings)
    name = "upto5" if age_years <= 5 else "upto8" if age_years <= 8 else "upto12"
    return value_of(f"psu_trust_{name}_percent", settings)


def is_low_load_risk(
    year: int | None,
    cpu_year: int | None,
    zero_load_12v: bool | None = None,
    settings: Mapping[str, int] | None = None,
) -> bool | None:
    """Whether a supply made in ``year`` may trip or fail to wake when a processor of ``cpu_year`` idles.

    Derived; setting low_load_year, itself still counted as early: the change came in the middle of it.  A
    supply stated to stand 0 A at 12 V (DC-DC) is no risk.  None where the years that are known leave it open.
    """
    limit = value_of("low_load_year", settings)
    if (
        zero_load_12v is True
        or (year is not None and year > limit)
        or (cpu_year is not None and cpu_year < limit)
    ):
        return False
    return None if year is None or cpu_year is None else True


def guaranteed_efficiency_percent(level: str, load_percent: int, mains: str = "230v-internal") -> int | None:
    """Efficiency an 80 PLUS level guarantees near a load: the lower of the two test points around it.

    None below the first test point and where the level requires nothing.  Raises ``KeyError`` for an unknown
    level.
    """
    row = EIGHTY_PLUS[mains][level]
    if not _LOAD_POINTS[0] <= load_percent <= 100:
        return None
    low = max(i for i, point in enumerate(_LOAD_POINTS) if point <= load_percent)
    high = min(i for i, point in enumerate(_LOAD_POINTS) if point >= load_percent)
    first, second = row[low], row[high]
    return None if first is None or second is None else min(first, second)
