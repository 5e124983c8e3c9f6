"""Words of the short answer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

from partsolver.plan.findings import Finding
from partsolver.plan.outcome import Plan, Provenance
from partsolver.report.words.extras import kind_name
from partsolver.report.words.lookup import question_parts, title
from partsolver.report.words.record import Names

KEEP = "keep it as it is"
MEMORY_ONLY = "memory only"
NOT_NOTICED = "perhaps not noticed"
NOT_KNOWN = "how much faster is not known"
ALL_PROVEN = "All proven."
NOT_PROVEN = "Not all proven: the limit came first, and better plans are not ruled out (--limit)."
MORE = "More: --full, {show}, --alternatives 5; what a little more buys: tradeoff"

_CONDITIONS = {"refurbished": "overhauled", "used": "used", "new": "new"}
# Units that a person reads in another size: (unit, divisor, decimals).
_UNITS = {"mA": ("A", 1000, 1), "mW": ("W", 1000, 0), "MiB": ("GB", 1024, 0), "kHz": ("MHz", 1000, 1)}


def best_found_words(made: Provenance, goal: str) -> str:
    """That the plans are the best found so far, and by how much the first can be bettered at most."""
    when = "Interrupted: the best plans found so far"
    when = when if made.interrupted else "The best plans found within the limit"
    if made.better_percent is None:
        return f"{when}; better ones are not ruled out."
    how = "cheaper" if goal == "cost" else "less time for the same work"
    return f"{when}; better ones are not ruled out, at most {made.better_percent} % {how} than the first."


def condition_word(condition: str | None) -> str:
    """The state of what is sold, in a word."""
    return "state not stated" if condition is None else _CONDITIONS.get(condition, condition)


def bought_names(plan: Plan, names: Names) -> list[str]:
    """What is bought, by name; small extras by what they are."""
    words = []
    for candidate in plan.parts.picked:
        if candidate.id is not None:
            count = f"{candidate.quantity} x " if candidate.quantity > 1 else ""
            words.append(count + names.get(candidate.id, candidate.id))
    for line in plan.draft.lines:
        if line.need is not None:
            word = kind_name(line.need.kind)
            words.append(word if line.quantity == 1 else f"{line.quantity} x {word}")
    return words


def look_words(path: str, names: Mapping[str, str]) -> str:
    """An open question in one short line: without its brackets, up to its question mark."""
    part, text = question_parts(path, names)
    text = re.sub(r" \([^)]*\)", "", text)
    end = re.search(r"[?.](\s|$)", text)
    text = text if end is None else text[: end.start() + 1]
    text = text if text[1:2].isupper() else f"{text[:1].lower()}{text[1:]}"
    return f"look first: {part}: {text}" if part else f"look first: {text}"


def margin_words(finding: Finding, names: Names) -> str:
    """The margin of a finding in one short line."""
    unit, divisor, decimals = _UNITS.get(finding.unit, (finding.unit, 1, 0))
    assert finding.margin is not None
    left = Fraction(finding.margin, divisor)
    shown = f"{float(left):.{decimals}f}"
    return f"tightest: {title(finding.rule)}, {shown} {unit} spare"


def spare_words(looks: int, cautions: int) -> str:
    """How much there is to look at and to beware of."""
    things = "1 thing" if looks == 1 else f"{looks} things"
    warned = "1 caution" if cautions == 1 else f"{cautions} cautions"
    if looks == 0:
        return f"{warned}: on the sheet."
    return f"{things} to look at before ordering, {warned}: on the sheet."


def nothing_words(looks: int) -> str:
    """What is said where nothing is bought."""
    asked = "1 open question" if looks == 1 else f"{looks} open questions"
    return "" if looks == 0 else f"{asked}: partsolver survey questions."


__all__ = [
    "ALL_PROVEN",
    "KEEP",
    "MEMORY_ONLY",
    "MORE",
    "NOT_KNOWN",
    "NOT_NOTICED",
    "NOT_PROVEN",
    "bought_names",
    "condition_word",
    "look_words",
    "margin_words",
    "nothing_words",
    "spare_words",
]
