"""What a processor draws: rated heat, long-term limit and short-term limit, by class and year.

Three figures, and each use names the one it takes. *Rated heat* is what a cooler carries away and what a
board's class speaks of. The *long-term limit* is held for as long as anybody works. The *short-term limit* is
reached for more than a second (half a minute in some classes); for a supply that is continuous (its peaks are
milliseconds).

Documents: [ADL] power limits by part of the 12th to 14th generation in open firmware (``chipset_pch_s.cb``,
high); [L10] press on the 10th generation's data sheet (medium); [L11] press measurement of a 65 W part of the
11th generation (65 W: 154 W for 28 s; medium) and memory (125 W: 251 W; low); [FW] "short term power limit
1.25 x rated heat" in open firmware of boards of 2011 to 2019 (high; which generations: from memory); [PPT] a
maker's statement of 2022: socket power = 1.35 x rated heat (medium to high). Measured at the processor plug,
regulator included, no part of 2006 to 2016 passed its rated heat (loads reference section 1b, ratios 0.55 to
0.93; high).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

#: How the limits follow from rated heat. "rated": no power-limited turbo. "quarter": 1.25 x for some seconds.
#: "package": 1.35 x, held. "turbo": a short-term limit of its own by class and cores.
PowerClass = Literal["rated", "quarter", "package", "turbo", "unknown"]

#: Class by socket, lower case. Which generation sits in which socket: handbook tables, from memory (medium).
CLASS_BY_SOCKET: Final[dict[str, PowerClass]] = {
    **dict.fromkeys(("423", "478", "lga775", "lga1366", "lga1156"), "rated"),
    **dict.fromkeys(
        ("754", "939", "940", "am2", "am2+", "am3", "am3+", "fm1", "fm2", "fm2+", "am1"), "rated"
    ),
    **dict.fromkeys(
        ("lga1155", "lga1150", "lga1151", "lga1151-2", "lga2011", "lga2011-3", "lga2066"), "quarter"
    ),
    **dict.fromkeys(("am4", "am5"), "package"),
    **dict.fromkeys(("lga1200", "lga1700", "lga1851"), "turbo"),
}

#: Short-term limit in W by class of rated heat and cores: (least, most) published. [ADL]; 8 and 10 cores also
#: [L10], [L11]; 8 and 10 cores of 65 W: 224 W from memory (low).
TURBO_W: Final[dict[int, dict[int, tuple[int, int]]]] = {
    35: {2: (35, 35), 4: (69, 69), 6: (74, 74), 10: (82, 106), 12: (99, 99), 14: (92, 92), 16: (106, 106)},
    65: {
        2: (46, 46),
        4: (89, 89),
        6: (117, 154),
        8: (224, 224),
        10: (148, 224),
        12: (180, 180),
        14: (153, 153),
        16: (202, 219),
        24: (219, 219),
    },
    125: {
        6: (182, 251),
        8: (229, 251),
        10: (150, 250),
        12: (190, 190),
        14: (181, 181),
        16: (241, 253),
        24: (253, 253),
    },
}

QUARTER_PERCENT: Final = 125  # [FW]
PACKAGE_PERCENT: Final = 135  # [PPT]
#: Parts with a package limit that reach it at full load: 105 W parts 142 W and 170 W parts 230 W (from
#: memory, low), and those from 2020 on (a 65 W part of 2020 measured at 76 of 88 W); earlier ones of 65 and
#: 95 W were measured at 49 and 86 W (loads reference section 1b).
HELD_FROM_W: Final = 105
HELD_FROM_YEAR: Final = 2020
#: Last year of parts measured never to pass their rated heat at the plug (loads reference section 1b).
MEASURED_UP_TO: Final = 2016


@dataclass(frozen=True, slots=True)
class ProcessorPower:
    """Watts of one processor.

    rated_w: rated heat; long_w: long-term limit; short_least_w, short_most_w: range of the short-term limit
    (equal where it is stated or published as one figure); typical_w: what a full load is taken to draw for
    more than a second; at_plug: ``typical_w`` was measured at the plug, so no regulator loss is added.
    """

    rated_w: int
    long_w: int
    short_least_w: int
    short_most_w: int
    typical_w: int
    at_plug: bool

    @property
    def stated(self) -> bool:
        """Whether the short-term limit is one figure."""
        return self.short_least_w == self.short_most_w


def power_class(socket: str | None, year: int | None) -> PowerClass:
    """Class by socket, else by year where the year alone decides (before 2017)."""
    known = CLASS_BY_SOCKET.get((socket or "").casefold())
    if known is not None:
        return known
    if year is None or year > MEASURED_UP_TO:
        return "unknown"
    return "rated" if year <= 2010 else "quarter"


def _percent(watts: int, percent: int) -> int:
    """Share of a power, half a watt up."""
    return (watts * percent + 50) // 100


def turbo_range_w(rated_w: int, cores: int | None) -> tuple[int, int]:
    """(least, most) published short-term limit of the "turbo" class; never below the rated heat.

    The class of rated heat is the lowest one that holds it; cores that no table names get the range of the
    whole class.
    """
    heat = next((top for top in sorted(TURBO_W) if rated_w <= top), max(TURBO_W))
    rows = TURBO_W[heat]
    if cores in rows:
        least, most = rows[cores]
    else:
        # Two cores alone stay at their rated heat: they are no measure for a part whose cores are not known.
        wide = [rows[number] for number in rows.keys() - {2}]
        least, most = min(low for low, _ in wide), max(high for _, high in wide)
    return max(rated_w, least), max(rated_w, most)


def processor_power(
    rated_w: int | None,
    short_w: int | None = None,
    socket: str | None = None,
    year: int | None = None,
    cores: int | None = None,
) -> ProcessorPower | None:
    """The figures of a processor; None when neither rated heat nor short-term limit is known.

    ``short_w``: the short-term limit as its maker states it.
    """
    if rated_w is None:
        if short_w is None:
            return None
        rated_w = short_w
    kind = power_class(socket, year)
    package = _percent(rated_w, PACKAGE_PERCENT)
    least, most = {
        "rated": (rated_w, rated_w),
        "quarter": (_percent(rated_w, QUARTER_PERCENT),) * 2,
        "package": (package, package),
        "turbo": turbo_range_w(rated_w, cores),
        # Neither socket nor year tells: between the two laws of parts since 2017.
        "unknown": (
            package,
            package if year is not None and year < 2020 else max(package, turbo_range_w(rated_w, cores)[1]),
        ),
    }[kind]
    if short_w is not None:
        least = most = short_w
    long_w = min(package, most) if kind == "package" else min(rated_w, most)
    at_plug = kind in ("rated", "quarter") and (year is None or year <= MEASURED_UP_TO)
    # Parts whose short-term limit is a matter of half a minute reach it, and what a maker states is taken as
    # reached; the others were measured at their rated heat.
    late = kind == "turbo" or (kind == "unknown" and (year is None or year >= 2020))
    held = kind == "package" and (rated_w >= HELD_FROM_W or year is None or year >= HELD_FROM_YEAR)
    reaches = not at_plug and (late or held or short_w is not None)
    typical = least if reaches else min(rated_w, most)
    return ProcessorPower(rated_w, long_w, least, most, typical, at_plug)
