"""The shape of the wording of a rule. One module ``words_<family>`` per rule family holds the sentences."""

from __future__ import annotations

from collections.abc import Callable

from partsolver.base.records import record
from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding

# What a slot is called in a sentence.
SLOT_NAMES = {
    "board": "board",
    "cpu": "processor",
    "memory": "memory",
    "cooler": "cooler",
    "psu": "supply",
    "case": "case",
    "drive": "system drive",
    "graphics": "graphics card",
}


class Names(dict[str, str]):
    """Part id -> name to print, with the decimal places and the code of the problem's currency."""

    digits: int = 2
    currency: str = ""


@record
class RuleWords:
    """Words of one rule.

    title: two to four words, a table heading ("board outline");
    sentence: one plain sentence for a finding of any verdict, with its numbers and units, as a technician
    says it;
    need: why something has to be bought (only for rules with needs): "the board has no PS/2 port; the
    keyboard needs one";
    caution: a safety or data-loss warning that belongs to a finding, or None (shown once per plan).
    """

    title: str
    sentence: Callable[[Finding, Names], str]
    need: Callable[[Need, Names], str] | None = None
    caution: Callable[[Finding, Names], str | None] | None = None


def name_of(names: Names, part_id: str) -> str:
    """Name of a part, or its id."""
    return names.get(part_id, part_id)
