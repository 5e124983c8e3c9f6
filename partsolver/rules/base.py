"""The shape of a rule. Each rule is one module of ``partsolver/rules`` with these names:

ID          permanent id, ``family.name``; public API (JSON, tests, docs)
STATEMENT   the condition in one sentence
SOURCE      document, revision, section; or "common practice"
KIND        "parts": judges parts that are put together; "buying": judges the purchase, posted when every way to buy exists
NATURE      "physics" | "system" | "money" | "wish": explanations prefer physics, wishes go first
SLOTS       slots whose candidates it reads
READS       by slot: the facts it reads of a candidate's part (dotted for a part's own record; whether the
candidate is kept is
            always read; ``named``: its id, where an extra is made for it); nothing for a rule about buying
SURVEY      fields of the survey it reads beside those candidates (``os`` also for what the system demands)
admits(draft, problem) -> tuple[Finding, ...]
            the plain predicate: the specification that a technician could read
post(model, picks, problem, on) -> None
            the same as CP-SAT constraints; every row is switched by the literal ``on``

A rule may also have (``DEFAULTS`` otherwise, set when it is registered):

REFUSES     False: it only says something, refuses nothing and has nothing bought (no search asks it)
SUMS        sums of the model that its ``post`` reads: "time", "power", "cost"
needs(parts, problem) -> tuple[Need, ...]
            what has to be bought because of these parts
allows_offer, allows_bundle, allows_candidate
            whether one may be taken at all (rules about buying)
allows_trip(problem, source, service)
            whether a board from there may be sent in to that service (plan/services; rules about buying)
idle(problem)
            whether these let all pass in a problem

``admits`` and ``post`` are written independently; ``tests/rules/test_agreement.py`` proves over whole small
catalogues that they agree.
"""

from __future__ import annotations

import typing
from collections.abc import Callable, Iterable, Mapping
from types import ModuleType
from typing import TYPE_CHECKING, Protocol, cast

from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding
from partsolver.plan.services import Source
from partsolver.problem.candidates import Candidate, Parts, SlotName
from partsolver.problem.problem import Problem

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

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
    SUMS: tuple[str, ...]
    REFUSES: bool

    def needs(self, parts: Parts, problem: Problem) -> tuple[Need, ...]: ...

    def allows_offer(self, problem: Problem, offer: Offer, quantity: int) -> bool: ...

    def allows_bundle(self, problem: Problem, bundle: Bundle) -> bool: ...

    def allows_candidate(self, problem: Problem, candidate: Candidate) -> bool: ...

    def allows_trip(self, problem: Problem, source: Source, service: Offer) -> bool: ...

    def idle(self, problem: Problem) -> bool: ...

    def admits(self, draft: Draft, problem: Problem) -> tuple[Finding, ...]: ...

    def post(self, model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None: ...


def needs_nothing(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    """The ``needs`` of a rule that never has anything bought."""
    return ()


def allows_every_offer(problem: Problem, offer: Offer, quantity: int) -> bool:
    """The ``allows_offer`` of a rule that refuses no offer."""
    return True


def allows_every_bundle(problem: Problem, bundle: Bundle) -> bool:
    """The ``allows_bundle`` of a rule that refuses no bundle."""
    return True


def allows_every_candidate(problem: Problem, candidate: Candidate) -> bool:
    """The ``allows_candidate`` of a rule that refuses no candidate by itself."""
    return True


def allows_every_trip(problem: Problem, source: Source, service: Offer) -> bool:
    """The ``allows_trip`` of a rule that refuses no trip."""
    return True


def never_idle(problem: Problem) -> bool:
    """The ``idle`` of a rule that may refuse something in every problem."""
    return False


# What a rule module that does not state it gets when it is registered.
DEFAULTS: Mapping[str, Callable[..., object]] = {
    "needs": needs_nothing,
    "allows_offer": allows_every_offer,
    "allows_bundle": allows_every_bundle,
    "allows_candidate": allows_every_candidate,
    "allows_trip": allows_every_trip,
    "idle": never_idle,
}
DEFAULT_SUMS: tuple[str, ...] = ()


def complete_rule(module: ModuleType) -> Rule:
    """A rule module with the defaults for what it does not state."""
    for name, default in DEFAULTS.items():
        if not hasattr(module, name):
            setattr(module, name, default)
    if not hasattr(module, "SUMS"):
        module.SUMS = DEFAULT_SUMS  # type: ignore[attr-defined]
    if not hasattr(module, "REFUSES"):
        module.REFUSES = True  # type: ignore[attr-defined]
    return cast(Rule, module)


def choosing(problem: Problem, rules: Iterable[Rule], name: str) -> list[Rule]:
    """The rules that state a function of this name themselves, where it may refuse anything."""
    return [rule for rule in rules if getattr(rule, name) is not DEFAULTS[name] and not rule.idle(problem)]
