"""What a person gives up of the PC itself, as a change of the survey: a monitor, a device, a card, a drive
that is not needed any more, or the present installation. The plan of a way out is computed without it
(explain/why.py); in the survey it stays listed, and says that it is not needed.
"""

from __future__ import annotations

import tomllib
from decimal import Decimal

from partsolver.base.errors import refuse
from partsolver.report.words import desk as words
from partsolver.survey.edit import with_value
from partsolver.survey.load import parse_survey

# What a way out gives up, and its table in the survey file.
TABLES = {"displays": "display", "devices": "device", "cards": "card", "drives": "drive", "os": "os"}


def survey_without(text: str, what: str, name: str, where: str) -> str:
    """The survey's text with that given up; ``name``: of the row, nothing for the installation. Raises
    InputRefused where the survey has no such thing."""
    table = TABLES[what]
    given = tomllib.loads(text)
    if what == "os":
        changed = with_value(text, "os.keep", False)
    else:
        rows = [row.get("name") for row in given.get(table, ())]
        if name not in rows:
            raise refuse(name, words.NO_SUCH_FACT)
        changed = with_value(text, f"{table}[{rows.index(name)}].required", False)
    parse_survey(tomllib.loads(changed, parse_float=Decimal), where)
    return changed


__all__ = ["TABLES", "survey_without"]
