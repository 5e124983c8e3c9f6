"""One voice: findings, needs, questions and cautions as sentences. Family words are in words_*.py."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from importlib import import_module

from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding
from partsolver.report.words.cautions import CAUTIONS
from partsolver.report.words.record import Names, RuleWords

FAMILIES = ("fit", "platform", "memory", "power", "storage", "picture", "ports", "os", "buying", "facts")


@cache
def _words() -> dict[str, RuleWords]:
    found: dict[str, RuleWords] = {}
    for family in FAMILIES:
        found.update(import_module(f"partsolver.report.words.{family}").WORDS)
    return found


@cache
def _questions() -> dict[str, str]:
    found: dict[str, str] = {}
    for family in FAMILIES:
        found.update(import_module(f"partsolver.report.words.{family}").QUESTIONS)
    return found


def title(rule_id: str) -> str:
    """Short heading of a rule."""
    words = _words().get(rule_id)
    return rule_id if words is None else words.title


def sentence(finding: Finding, names: Names) -> str:
    """A finding in one plain sentence."""
    words = _words().get(finding.rule)
    return f"{finding.rule}: {finding.verdict}" if words is None else words.sentence(finding, names)


def reason(need: Need, names: Names) -> str:
    """Why something has to be bought."""
    words = _words().get(need.rule)
    return need.rule if words is None or words.need is None else words.need(need, names)


def finding_caution(finding: Finding, names: Names) -> str | None:
    """A caution that belongs to a finding."""
    words = _words().get(finding.rule)
    return None if words is None or words.caution is None else words.caution(finding, names)


def question_text(path: str, names: Mapping[str, str] | None = None) -> str:
    """How to find out a fact that is not known. Paths may name a catalogue part, ``board:ID.fact``: its
    name stands before the question, or its id where no names are given."""
    part, text = question_parts(path, names)
    return f"{part}: {text}" if part else text


def question_parts(path: str, names: Mapping[str, str] | None = None) -> tuple[str, str]:
    """(the catalogue part that a question is about, "" for the PC; the question)."""
    table, _, fact = path.rpartition(".")
    kind, colon, part = table.partition(":")
    known = _questions()
    text = known.get(f"{kind}.{fact}") or known.get(path) or f"{fact.replace('_', ' ')} of the {kind}"
    if not colon or part.startswith("kept"):
        return "", text
    return part if names is None else names.get(part, part), text


def page_words(names: Mapping[str, str], boards: Iterable[str]) -> str:
    """What settles several facts of boards on sale (ids) at once."""
    listed = " and ".join(sorted({plain_line(names.get(part, part)) for part in boards}))
    return f"Or save the maker's page with the specification of {listed} and add it (catalog add)."


def plain_line(text: str) -> str:
    """Text from a file as it may stand on a terminal: no control characters, one line."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def caution_text(name: str) -> str:
    """The words of a caution."""
    return CAUTIONS[name]
