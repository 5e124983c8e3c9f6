"""Words of what has to be known before a part is bought, and of what a seller has not said."""

from __future__ import annotations

from partsolver.report.words.record import RuleWords

WORDS: dict[str, RuleWords] = {}
QUESTIONS: dict[str, str] = {
    "cpu.boxed_cooler": (
        "Ask the seller whether the maker's cooler comes along with the processor: then none has to be bought."
    ),
}
