"""Values that rest on practice, memory or derivation instead of a published table.

Named, sourced and changeable.

A table value of a standard is a constant in its module.  Everything weaker is a :class:`Setting` here, so
that a user who knows better can override it by name.  All values are integers in the unit given.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from .setting_rows_boards import ROWS as _BOARDS
from .setting_rows_drives import ROWS as _DRIVES
from .setting_rows_masses import ROWS as _MASSES
from .setting_rows_measure import ROWS as _MEASURE
from .setting_rows_other import ROWS as _OTHER
from .setting_rows_power import ROWS as _POWER
from .setting_rows_power import Row
from .setting_rows_speed import ROWS as _SPEED

#: What a value can rest on, strongest first.
BASES: Final = (
    "data sheet",
    "maker's advice",
    "secondary source",
    "derived",
    "common practice",
    "from memory",
    "judgement",
)


@dataclass(frozen=True, slots=True)
class Setting:
    """One changeable value; ``low`` and ``high`` bound what ``apply`` accepts (both inclusive)."""

    name: str
    value: int
    unit: str
    basis: str
    source: str
    meaning: str
    low: int
    high: int


_JUDGEMENT: Final = "engineering judgement, no document; measurements replace it"

# What the planner itself weighs: reserves, supported board edges.
_PLANNING: Final[tuple[Row, ...]] = (
    (
        "low_load_year",
        2013,
        "year",
        "derived",
        "press of 2013 quoting the processor maker (0.05 A on 12V2); mid-2013",
        "supplies made up to this year may not stand the idle load of processors first sold in or after it",
        1995,
        2030,
    ),
    (
        "unsupported_warn_mm",
        50,
        "mm",
        "judgement",
        _JUDGEMENT,
        "board edge past the last supported hole from which pushing plugs and cards needs a hand under it",
        0,
        200,
    ),
    (
        "cpu_lead_needed_mm",
        450,
        "mm",
        "judgement",
        _JUDGEMENT,
        "length of processor lead that reaches the far edge of the board from the supply",
        100,
        1000,
    ),
)

#: All settings by name, in the order of their names.
SETTINGS: Final[dict[str, Setting]] = {
    row[0]: Setting(*row)
    for row in sorted(_POWER + _BOARDS + _DRIVES + _MASSES + _MEASURE + _OTHER + _SPEED + _PLANNING)
}


def defaults() -> dict[str, int]:
    """Return every setting's own value by name (a new dict each time)."""
    return {name: setting.value for name, setting in SETTINGS.items()}


def apply(overrides: Mapping[str, int]) -> dict[str, int]:
    """Return the defaults with ``overrides`` put in.

    Raises one ``ValueError`` that lists every problem: an unknown name (with the nearest right one), a value
    that is no integer, or a value outside the accepted range.
    """
    values = defaults()
    problems: list[str] = []
    for name in sorted(overrides, key=str):
        value = overrides[name]
        setting = SETTINGS.get(name)
        if setting is None:
            near = difflib.get_close_matches(str(name), SETTINGS, n=1, cutoff=0.5)
            advice = (
                f"did you mean {', '.join(map(repr, near))}?"
                if near
                else f"known settings: {', '.join(SETTINGS)}"
            )
            problems.append(f"setting {name!r}: there is no such setting; {advice}")
        elif isinstance(value, bool) or not isinstance(value, int):
            problems.append(
                f"setting {name!r}: {value!r} is not a whole number; give {setting.unit} as an integer"
            )
        elif not setting.low <= value <= setting.high:
            problems.append(
                f"setting {name!r}: {value} is outside {setting.low} to {setting.high} {setting.unit}; "
                f"give a value in that range (default {setting.value})"
            )
        else:
            values[name] = value
    if problems:
        raise ValueError(". Also: ".join(problems))
    return values


def value_of(name: str, settings: Mapping[str, int] | None = None) -> int:
    """Return one setting from ``settings``, or its default where ``settings`` is None or does not have it."""
    if settings is not None and name in settings:
        return settings[name]
    return SETTINGS[name].value
