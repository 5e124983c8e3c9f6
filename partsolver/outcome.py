"""Results as values: an outcome with its ranked plans, or a proved "no", or "not decided"."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal

from partsolver.catalog.records import Bundle
from partsolver.findings import Finding
from partsolver.problem import Draft, Parts

Status = Literal["optimal", "best_found", "impossible", "undecided"]


@dataclass(frozen=True, slots=True)
class Interval:
    """Expected value with the bounds of its 95 % interval, in thousandths (1350 = 1.35 times)."""

    expected_milli: int
    low_milli: int
    high_milli: int


@dataclass(frozen=True, slots=True)
class StandIn:
    """A part that can take the place of one part of a plan with nothing else changing.

    For memory ``count`` kits of it; difference: change of the plan's cost in minor units.
    """

    replaces: str
    id: str
    count: int
    difference: int


@dataclass(frozen=True, slots=True)
class Exposure:
    """What is left of a plan if one of its parts sells out.

    left: a stand-in's id; or the rank of the best listed plan without the part; or None when nothing is left;
    time_ppm and cost: of what is left (None when nothing is); fragile: what is left is slower by more than
    FRAGILE_PERCENT, or nothing is left.
    """

    part: str
    stand_in: str | None
    rank: int | None
    time_ppm: int | None
    cost: int | None
    fragile: bool


# A plan hangs on a part when the best that is left without it takes this much more time (judgement).
FRAGILE_PERCENT = 10


@dataclass(frozen=True, slots=True)
class Plan:
    """One complete answer.

    rank: 1 = best; step: steps of the resolution above the least time; power_mw: continuous DC power;
    power_margin_mw: what the supply has left; speedup against the PC as it is (None when that cannot be computed);
    equal_to_previous: the order against the plan before is a coin toss; arrival: day on which the last part is there.
    """

    rank: int
    draft: Draft
    step: int
    power_mw: int
    power_margin_mw: int | None
    speedup: Interval | None
    findings: tuple[Finding, ...]
    stand_ins: tuple[StandIn, ...]
    cautions: tuple[str, ...]
    open_questions: tuple[str, ...]
    equal_to_previous: bool
    arrival: datetime.date | None
    exposure: tuple[Exposure, ...] = ()

    @property
    def parts(self) -> Parts:
        return self.draft.parts

    @property
    def fragile(self) -> tuple[str, ...]:
        """Parts the plan hangs on."""
        return tuple(item.part for item in self.exposure if item.fragile)

    @property
    def admitted(self) -> bool:
        return all(finding.admits for finding in self.findings)


@dataclass(frozen=True, slots=True)
class RuleCount:
    """How many boards, processors and memory kits one rule alone leaves, of how many."""

    rule: str
    boards: int
    cpus: int
    memory: int


@dataclass(frozen=True, slots=True)
class Conflict:
    """A smallest set of rules that together leave no plan; counts of every rule that restricts something.

    rules is empty when only the counts were asked for.
    """

    rules: tuple[str, ...]
    counts: tuple[RuleCount, ...]
    totals: tuple[int, int, int]
    empty_slots: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CompletePc:
    """A complete PC of the catalogue: cost with delivery (minor units), expected time, speed-up, day of arrival."""

    bundle: Bundle
    cost: int
    time_ppm: int
    speedup: Interval | None
    arrival: datetime.date


@dataclass(frozen=True, slots=True)
class Provenance:
    """What makes a recommendation reproducible."""

    catalog_digest: str
    catalog_date: str
    solver: str
    seed: int
    workers: int
    deterministic_limit_s: float
    proven_bound_ppm: int | None
    least_time_ppm: int | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """The answer to one problem. ``plans`` is empty unless the status is optimal or best_found."""

    status: Status
    plans: tuple[Plan, ...]
    present_time_ppm: int | None
    conflict: Conflict | None
    provenance: Provenance
    complete_pcs: tuple[CompletePc, ...] = ()
