"""What a rule found for one plan: facts, numbers with units, verdict. No sentences (those are in report/)."""

from __future__ import annotations

from typing import Literal

from partsolver.base.records import record

Verdict = Literal["fits", "fails", "unknown"]


@record
class Finding:
    """One finding.

    rule: permanent id; verdict; value and limit: the compared numbers or words, in ``unit``;
    margin: how far inside (+) or outside (-), in the same unit; parts: ids concerned;
    facts: further name/value pairs for the wording; blocks: an unknown that may destroy parts, so the plan
    must not stand until it is answered; question: survey or catalogue fact whose value is missing
    (``"psu.cpu_plugs"``).
    """

    rule: str
    verdict: Verdict
    value: int | str | None = None
    limit: int | str | None = None
    margin: int | None = None
    unit: str = ""
    parts: tuple[str, ...] = ()
    facts: tuple[tuple[str, str | int], ...] = ()
    blocks: bool = False
    question: str | None = None

    @property
    def admits(self) -> bool:
        """Whether a plan with this finding may be shown."""
        return self.verdict != "fails" and not self.blocks

    def fact(self, name: str) -> str | int | None:
        """Value of a further fact, or None."""
        return next((value for key, value in self.facts if key == name), None)


def at_most(
    rule: str, value: int, limit: int, unit: str, parts: tuple[str, ...] = (), **facts: str | int
) -> Finding:
    """Finding of ``value <= limit``; margin = limit - value."""
    margin = limit - value
    verdict: Verdict = "fits" if margin >= 0 else "fails"
    return Finding(rule, verdict, value, limit, margin, unit, parts, tuple(sorted(facts.items())))


def at_least(
    rule: str, value: int, limit: int, unit: str, parts: tuple[str, ...] = (), **facts: str | int
) -> Finding:
    """Finding of ``value >= limit``; margin = value - limit."""
    margin = value - limit
    verdict: Verdict = "fits" if margin >= 0 else "fails"
    return Finding(rule, verdict, value, limit, margin, unit, parts, tuple(sorted(facts.items())))


def fits(
    rule: str, parts: tuple[str, ...] = (), value: int | str | None = None, **facts: str | int
) -> Finding:
    """A finding without a number that holds."""
    return Finding(rule, "fits", value, parts=parts, facts=tuple(sorted(facts.items())))


def fails(
    rule: str,
    parts: tuple[str, ...] = (),
    value: int | str | None = None,
    limit: int | str | None = None,
    **facts: str | int,
) -> Finding:
    """A finding without a margin that does not hold."""
    return Finding(rule, "fails", value, limit, parts=parts, facts=tuple(sorted(facts.items())))


def unknown(
    rule: str, question: str, parts: tuple[str, ...] = (), blocks: bool = False, **facts: str | int
) -> Finding:
    """A fact is missing. ``blocks`` only where a wrong guess can destroy parts."""
    return Finding(
        rule, "unknown", parts=parts, facts=tuple(sorted(facts.items())), blocks=blocks, question=question
    )
