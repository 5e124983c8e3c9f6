"""Years of parts beside the day of the order: a part that is there was not made after it."""

from __future__ import annotations

import datetime
from typing import Any

from partsolver.base.errors import Fault, InputRefused
from partsolver.survey.model import Survey

# The day of the order is by default the catalogue's: in January it may be of last year.
AHEAD = 1


def is_to_come(year: int, today: datetime.date) -> bool:
    """Whether a year is too late to be that of a part that is there."""
    return year > today.year + AHEAD


def check_years(survey: Survey, today: datetime.date) -> None:
    """Raises InputRefused for a year to come: it or the day of the order is a slip, and an old supply would count as
    new."""
    rows: list[tuple[str, Any]] = [("board", survey.board), ("cpu", survey.cpu), ("psu", survey.psu)]
    rows += [(f"drive {drive.name}", drive) for drive in survey.drives]
    late = [(row, part.year) for row, part in rows if part.year is not None and is_to_come(part.year, today)]
    if late:
        hint = f"Correct it, or the day of the order (--today; by default that of the catalogue; now {today})"
        problem, expected = "lies after the day of the order", f"at most {today.year + AHEAD}"
        raise InputRefused([Fault(f"{row}.year", problem, str(year), expected, hint) for row, year in late])
