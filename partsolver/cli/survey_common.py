"""What several of the survey's commands say at their end."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partsolver.cli import options as o

if TYPE_CHECKING:
    from partsolver.survey.model import Survey


def look_again(out: Path) -> None:
    """Name the facts of a survey just written that contradict one another."""
    from partsolver.report.survey import clash_lines
    from partsolver.survey.consistency import clashes
    from partsolver.survey.load import load_survey

    loaded, _ = load_survey(out)
    for line in clash_lines(clashes(loaded), origin(loaded, out), str(out)):
        o.remark(line)


def origin(loaded: Survey, path: Path) -> Callable[[str], str | None]:
    """Where the facts of a survey come from, as its file says."""
    from partsolver.base.textfile import read_text
    from partsolver.survey.origins import origin_of, origins

    known, drives = origins(read_text(path)), [drive.name for drive in loaded.drives]
    return lambda fact: origin_of(fact, drives, known)


def typed_again(**options: Any) -> str:
    """Options as they were given, to be typed again with another command."""
    from partsolver.report.survey import shell

    found = ""
    for name, value in options.items():
        if isinstance(value, bool):
            found += f" --{name}" if value else ""
            continue
        for item in value if isinstance(value, list) else [value]:
            found += "" if item is None else f" --{name.replace('_', '-')} {shell(str(item))}"
    return found
