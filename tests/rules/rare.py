"""What rules say in rare situations (`rare_situations.py`). The sentences stand in `golden_rare.tsv`; ``python -m rules.rare`` from the folder ``tests`` writes it again."""

from __future__ import annotations

import importlib
from pathlib import Path

from rules.rare_situations import FINDINGS, NEEDS

from partsolver.report.words.record import Names, RuleWords

GOLDEN = Path(__file__).parent / "golden_rare.tsv"
NAMES = Names(
    {
        "b": "Board B",
        "c": "Processor C",
        "m": "Kit M",
        "d": "Drive D",
        "k": "Case K",
        "x": "Lead X",
        "s": "Shop S",
    }
)
NAMES.currency = "EUR"


def words_of(rule: str) -> RuleWords:
    """The words of a rule by its id."""
    family = rule.partition(".")[0]
    words: RuleWords = importlib.import_module(f"partsolver.report.words.{family}").WORDS[rule]
    return words


def written() -> str:
    """The file's text: rule, verdict and facts, sentence and caution."""
    lines = ["rule\tsituation\tsentence\tcaution"]
    for finding in FINDINGS:
        words = words_of(finding.rule)
        caution = (words.caution(finding, NAMES) if words.caution else None) or ""
        facts = " ".join(f"{name}={value}" for name, value in finding.facts)
        asked = f" ?{finding.question}" if finding.question else ""
        situation = f"{finding.verdict} {finding.value} {finding.limit} {facts}{asked}"
        lines.append("\t".join((finding.rule, situation, words.sentence(finding, NAMES), caution)))
    for need in NEEDS:
        told = words_of(need.rule).need
        assert told is not None
        facts = " ".join(f"{name}={value}" for name, value in need.facts)
        lines.append("\t".join((need.rule, f"need {facts}", told(need, NAMES), "")))
    return "".join(f"{line}\n" for line in lines)


if __name__ == "__main__":
    GOLDEN.write_text(written(), encoding="utf-8")
