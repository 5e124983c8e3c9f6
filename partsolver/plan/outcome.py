"""Results as values: an outcome with its ranked plans, or a proved "no", or "not decided"."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal

from partsolver.assembly.network import Node
from partsolver.assembly.network_limits import margin_mw
from partsolver.base.records import record
from partsolver.catalog.records import Bundle
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding
from partsolver.problem.candidates import SLOTS, Parts, SlotName

if TYPE_CHECKING:
    from pandas import DataFrame

Status = Literal["optimal", "best_found", "impossible", "undecided"]


@record
class Interval:
    """Expected value with the bounds of its 95 % interval, in thousandths (1350 = 1.35 times)."""

    expected_milli: int
    low_milli: int
    high_milli: int


@record
class StandIn:
    """A part that can take the place of one part of a plan with nothing else changing.

    For memory ``count`` kits of it; difference: change of the plan's cost in minor units.
    """

    replaces: str
    id: str
    count: int
    difference: int


@record
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


@record
class SecondOrder:
    """What one piece costs that is ordered again because it arrived dead or does not fit.

    id: the same part or a stand-in, None when there is neither; cost: with the delivery of an order of its
    own, minor units; arrival: when it is ordered on the day on which the first is there; back: what comes
    back of the first (0: its seller takes nothing back; None: not known, it came in a bundle).
    """

    part: str
    id: str | None
    seller: str | None
    cost: int | None
    arrival: datetime.date | None
    back: int | None


@record
class Replacement:
    """The cheapest part on offer that would do a kept part's work: price of one in minor units, without
    delivery;
    mass_g: as the catalogue states it."""

    id: str
    price: int
    mass_g: int | None


@record
class Risk:
    """What a kept part carries.

    age: years (value) since it was made; age-unknown; trusted: per cent of its label a supply is still
    trusted with;
    condition: a sign seen from outside (value: noisy, bulged, failed-start) or condition-unknown;
    capacitor-years: made in the years of faulty capacitors (value: its year).
    """

    kind: Literal["age", "age-unknown", "trusted", "condition", "condition-unknown", "capacitor-years"]
    value: int | str | None = None


@record
class KeptPart:
    """One kept part: where, name, grams with what they rest on (assembly/waste.Mass), what it would be
    replaced by.

    replacement: None when none fits; searched: whether every part on offer was looked at (else only the
    cheapest ones).
    """

    slot: Literal["psu", "case", "drive", "other-drive", "cooler"]
    name: str
    mass_g: int
    mass_basis: str
    replacement: Replacement | None
    searched: bool
    risks: tuple[Risk, ...]


@record
class Keeping:
    """The kept-or-new account of a plan: what keeping the big parts saves, and what risk it carries.

    saves: sum of the replacements' prices, minor units; waste_g: mass of all kept parts; stated: whether
    every mass is stated (else some are typical).
    """

    parts: tuple[KeptPart, ...]
    saves: int
    waste_g: int
    stated: bool


@record
class Replaced:
    """What replacing one kept part brings a plan.

    refused: findings that refuse the plan's parts with the present part in this slot (none: they would fit);
    keeping: the best plan of the same problem that keeps it, None when there is none; rank: its rank where it
    is listed; proven: whether it is proven best (or proven that there is none).
    """

    slot: SlotName
    refused: tuple[Finding, ...]
    keeping: Plan | None
    rank: int | None
    proven: bool


@record
class Account:
    """What a speed-up is made of.

    held_back_by: the resource that the new PC spends most of its time on (held_back_percent of it);
    gain_by_resource, gain_by_part: per cent of the saved time (negative: lost), empty where nothing is saved;
    program_start: how much faster programs start that are not in memory.
    """

    held_back_by: str
    held_back_percent: int
    gain_by_resource: Mapping[str, int]
    gain_by_part: Mapping[str, int]
    program_start: Interval


# A plan hangs on a part when the best that is left without it takes this much more time (judgement).
FRAGILE_PERCENT = 10


@record
class Plan:
    """One complete answer.

    rank: 1 = best; step: steps of the resolution above the least time; power_mw: continuous DC power;
    narrowest: the place of the current network with the least room (None: no limit is known); speedup against
    the PC as it is (None when that cannot be computed); equal_to_previous: the order against the plan before
    is a coin toss; arrival: day on which the last part is there; second_orders: the price of the risk that
    something arrives dead, where stand-ins were looked for; keeping: the kept-or-new account where it
    was asked for; replaced: what each replacement that the brief allows brings; account: what the speed-up is
    made of.
    """

    rank: int
    draft: Draft
    step: int
    power_mw: int
    narrowest: Node | None
    speedup: Interval | None
    findings: tuple[Finding, ...]
    stand_ins: tuple[StandIn, ...]
    cautions: tuple[str, ...]
    open_questions: tuple[str, ...]
    equal_to_previous: bool
    arrival: datetime.date | None
    exposure: tuple[Exposure, ...] = ()
    second_orders: tuple[SecondOrder, ...] = ()
    keeping: Keeping | None = None
    replaced: tuple[Replaced, ...] = ()
    account: Account | None = None

    @property
    def parts(self) -> Parts:
        return self.draft.parts

    @property
    def power_margin_mw(self) -> int | None:
        """What may be drawn beside the usual load at the narrowest place."""
        return None if self.narrowest is None else margin_mw(self.narrowest)

    @property
    def fragile(self) -> tuple[str, ...]:
        """Parts the plan hangs on."""
        return tuple(item.part for item in self.exposure if item.fragile)

    @property
    def admitted(self) -> bool:
        return all(finding.admits for finding in self.findings)


@record
class RuleCount:
    """How many boards, processors and memory kits one rule alone leaves, of how many."""

    rule: str
    boards: int
    cpus: int
    memory: int


@record
class Conflict:
    """A smallest set of rules that together leave no plan; counts of every rule that restricts something.

    rules is empty when only the counts were asked for.
    """

    rules: tuple[str, ...]
    counts: tuple[RuleCount, ...]
    totals: tuple[int, int, int]
    empty_slots: tuple[str, ...] = ()


@record
class CompletePc:
    """A complete PC of the catalogue: cost with delivery (minor units), expected time, speed-up, day of
    arrival."""

    bundle: Bundle
    cost: int
    time_ppm: int
    speedup: Interval | None
    arrival: datetime.date


ProvenBy = Literal["search", "model"]


@record
class Proof:
    """By what an answer is proven: an exhausted search, the CP-SAT model, or both (then they agree); nothing
    where it is not proven. combinations: of board, processor and memory that the model chose among, counted
    up to as many as it has to have (search/window.py), None where it had all that bounds of single parts
    leave, or was not asked."""

    by: tuple[ProvenBy, ...]
    combinations: int | None


@record
class Look:
    """One thing to look at before a hoped plan may be ordered.

    question: path of the fact; hoped: the answer the plan hopes for (None: what the plan needs, of a part on
    sale); at_stake: price of what is useless if the look turns out badly, minor units; rule: the rule that
    bars the purchase until then.
    """

    question: str
    hoped: str | int | bool | tuple[str, ...] | None
    at_stake: int
    rule: str


@record
class HopedPlan:
    """The plan that would come first if all its looks turn out well. Never proven."""

    plan: Plan
    looks: tuple[Look, ...]


@record
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
    proof: Proof = Proof((), None)
    # Whether somebody interrupted it, and by how much a better plan than the first could better the first
    # goal (time, or cost with the goal of cost), per cent; None where that is not known.
    interrupted: bool = False
    better_percent: int | None = None


@record
class LeftOut:
    """Optional cards and drives of the PC that stay out because the plans are better without. names:
    which, in the survey's order; kept: the first plan with all of them kept, None where there is none;
    bare: the first without."""

    names: tuple[str, ...] = ()
    kept: Plan | None = None
    bare: Plan | None = None


@record
class Outcome:
    """The answer to one problem. ``plans`` is empty unless the status is optimal or best_found."""

    status: Status
    plans: tuple[Plan, ...]
    present_time_ppm: int | None
    conflict: Conflict | None
    provenance: Provenance
    complete_pcs: tuple[CompletePc, ...] = ()
    hoped: HopedPlan | None = None
    left_out: LeftOut = LeftOut()

    def frame(self) -> DataFrame:
        """The ranked plans as a pandas table, one row per plan: rank, cost_minor (smallest unit of the
        currency), speedup with speedup_low and speedup_high (None where not known), power_w, arrival, and
        the ids of what is bought in board, cpu, memory, cooler, psu, case, drive (None for what is kept)."""
        from pandas import DataFrame

        return DataFrame([_frame_row(plan) for plan in self.plans], columns=list(_FRAME_COLUMNS))


_FRAME_COLUMNS = (
    *("rank", "cost_minor", "speedup", "speedup_low", "speedup_high", "power_w", "arrival"),
    *SLOTS,
)


def _frame_row(plan: Plan) -> dict[str, object]:
    speed = plan.speedup
    figures = (
        (None, None, None) if speed is None else (speed.expected_milli, speed.low_milli, speed.high_milli)
    )
    expected, low, high = (None if figure is None else figure / 1000 for figure in figures)
    return {
        "rank": plan.rank,
        "cost_minor": plan.draft.cost,
        "speedup": expected,
        "speedup_low": low,
        "speedup_high": high,
        "power_w": -(-plan.power_mw // 1000),
        "arrival": plan.arrival,
        **{slot: plan.parts.candidate(slot).id for slot in SLOTS},
    }
