"""The shape of a rule. Each rule is one module of ``partsolver/rules`` with these names:

ID          permanent id, ``family.name``; public API (JSON, tests, docs)
STATEMENT   the condition in one sentence
SOURCE      document, revision, section; or "common practice"
NATURE      "physics" | "system" | "money" | "wish": explanations prefer physics, wishes go first
SLOTS       slots whose candidates it reads
READS       by slot: the facts it reads of a candidate's part (dotted for a part's own record; whether the
candidate is kept is
            always read; ``named``: its id, where an extra is made for it); nothing for a rule about buying
SURVEY      fields of the survey it reads beside those candidates (``os`` also for what the system demands)
needs(parts, problem) -> tuple[Need, ...]
            what has to be bought because of these parts (empty for most rules)
admits(draft, problem) -> tuple[Finding, ...]
            the plain predicate: the specification that a technician could read
post(model, picks, problem, on) -> None
            the same as CP-SAT constraints; every row is switched by the literal ``on``

A rule about buying may also have ``allows_offer``, ``allows_bundle`` and ``allows_candidate`` (whether one
may be taken at all) and ``idle(problem)``: whether these let all pass in a problem.

``admits`` and ``post`` are written independently; ``tests/rules/test_agreement.py`` proves over whole small
catalogues that they agree. A rule that needs nothing bought leaves ``needs`` out.
"""

from __future__ import annotations

import typing
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Protocol

from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import Picks

Reads = Mapping[SlotName, tuple[str, ...]]
Kind = typing.Literal["parts", "buying"]
Nature = typing.Literal["physics", "system", "money", "wish"]


class Rule(Protocol):
    """The module protocol (modules satisfy it structurally)."""

    ID: str
    STATEMENT: str
    SOURCE: str
    KIND: Kind
    NATURE: Nature
    SLOTS: tuple[SlotName, ...]
    READS: Reads
    SURVEY: tuple[str, ...]

    def admits(self, draft: Draft, problem: Problem) -> tuple[Finding, ...]: ...

    def post(self, model: cp_model.CpModel, picks: Picks, problem: Problem, on: cp_model.IntVar) -> None: ...


def choosing(problem: Problem, rules: Iterable[Rule], name: str) -> list[Rule]:
    """The rules that have a function of this name, where it may refuse anything."""
    return [
        rule for rule in rules if hasattr(rule, name) and not (hasattr(rule, "idle") and rule.idle(problem))
    ]


def needs_of(rule: Rule, parts: Parts, problem: Problem) -> tuple[Need, ...]:
    """Needs of a rule, empty when it has no ``needs``."""
    function = getattr(rule, "needs", None)
    return () if function is None else function(parts, problem)
