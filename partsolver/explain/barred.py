"""Whether a "no" holds whatever the facts that are not known turn out to be.

Some rules bar what is not known as they refuse what is known not to fit, since a guess could destroy parts or
waste money. A "no" that rests on such a bar is no proof: an answer may let a plan in. The problem is
therefore solved once more without the rules that bar something here; what it then finds is judged by all of
them. Nothing found: the "no" holds. A plan that only unknown facts bar: it hangs on them. A plan that such a
rule refuses for a known reason: that rule is put back, and the search goes on.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from partsolver.assembly.loads import card_load
from partsolver.assembly.unproven import unseen_header
from partsolver.base.records import record
from partsolver.explain.hoped import look_at
from partsolver.model.solve import Limits
from partsolver.performance.present import present_parts
from partsolver.performance.unknowns import time_questions
from partsolver.plan.complete import draft_of
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import HopedPlan, Look, Plan
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.rules import (
    all_rules,
    buying_minimums,
    fit_cooler_mount,
    fit_facts,
    fit_holes,
    platform_socket,
    power_card_plugs,
    power_cpu_current,
    power_cpu_plug,
    power_drive_plugs,
    power_main_plug,
    power_pinout,
    power_rail_12v,
    power_rails_12v,
    power_rails_low,
    power_startup,
    power_total,
)
from partsolver.solve.recommend import recommend

# Rules that bar what is not known (`Finding.blocks`), with the facts (slot and column) of which one is then
# unknown.
BARRING: dict[str, tuple[str, ...]] = {
    fit_facts.ID: tuple(
        f"{slot}.{fact}"
        for slot, facts in fit_facts.READS.items()
        for fact in facts
        if fact not in ("kept", "with_kept", "modules")
    ),
    platform_socket.ID: ("board.socket", "cpu.socket"),
    fit_cooler_mount.ID: ("board.socket",),
    fit_holes.ID: ("board.holes",),
    power_pinout.ID: ("psu.pinout",),
    power_main_plug.ID: ("board.main_plug", "psu.main_plug"),
    power_cpu_plug.ID: ("board.cpu_plugs", "psu.cpu_plugs", "psu.peripheral_leads"),
    power_cpu_current.ID: ("board.cpu_plugs", "psu.cpu_plugs"),
    power_card_plugs.ID: ("psu.peripheral_leads",),
    power_drive_plugs.ID: ("psu.peripheral_leads",),
    power_rail_12v.ID: ("psu.rail_12v_ma",),
    power_rails_12v.ID: ("psu.rail_12v_ma", "psu.cpu_rail"),
}
# Rules that bar a card with plugs whose load nobody stated, one that stays, goes or is bought.
BARRING_CARDS = tuple(
    rule.ID
    for rule in (
        power_main_plug, power_rail_12v, power_rails_12v, power_rails_low, power_startup, power_total
    )
)  # fmt: skip
# Rules that bar what a present board without a processor header may have fed from 5 V, where nobody looked for one.
BARRING_FEED = (power_rail_12v.ID, power_rails_12v.ID, power_rails_low.ID, power_startup.ID)
# So many plans without the barring rules are judged before it is called undecided.
MOST_PLANS = 20


@record
class Barred:
    """proven: no plan exists whatever the unknown facts are; plan: one that only unknown facts bar, where
    one was found."""

    proven: bool
    plan: HopedPlan | None


def barred(problem: Problem, limits: Limits | None = None) -> Barred:
    """Whether a problem without a plan has none for certain."""
    slow = _perhaps_fast_enough(problem, limits)
    if slow is not None:
        return Barred(False, slow)
    dropped = set(_barring_here(problem))
    while dropped:
        rules = [rule for rule in all_rules() if rule.ID not in dropped]
        outcome = recommend(changed(problem, alternatives=MOST_PLANS), limits, rules, with_stand_ins=False)
        if outcome.status == "impossible":
            return Barred(True, None)
        refusing: set[str] = set()
        for found in outcome.plans:
            plan = _judged(problem, found)
            failing = {finding.rule for finding in plan.findings if finding.verdict == "fails"}
            looks = tuple(look_at(plan, finding) for finding in plan.findings if finding.blocks)
            if looks and not failing:
                return Barred(False, HopedPlan(plan, looks))
            refusing |= failing & dropped
        if not refusing:
            return Barred(False, None)
        dropped -= refusing
    return Barred(True, None)


def _perhaps_fast_enough(problem: Problem, limits: Limits | None) -> HopedPlan | None:
    """The fastest plan, where the wanted speed-up lies within its range and facts of the present PC that
    nobody knows make that range wide."""
    wanted = problem.brief.min_speedup
    asked = time_questions(problem, present_parts(problem))
    if wanted is None or not asked:
        return None
    any_speed = changed(problem, min_speedup=None, goal="speed", alternatives=1)
    for found in recommend(any_speed, limits, with_stand_ins=False).plans:
        plan = _judged(problem, found)
        reached = plan.speedup is not None and plan.speedup.high_milli >= 1000 * Fraction(wanted)
        failing = {finding.rule for finding in plan.findings if not finding.admits}
        if reached and failing <= {buying_minimums.ID}:
            cost = plan.draft.cost
            return HopedPlan(plan, tuple(Look(path, None, cost, buying_minimums.ID) for path in asked))
    return None


def _judged(problem: Problem, found: Plan) -> Plan:
    """A plan bought and judged by all rules."""
    rules = all_rules()
    return make_plan(problem, draft_of(problem, found.parts, rules), rules, 1, 0, None, False)


def _barring_here(problem: Problem) -> Iterator[str]:
    """The rules that may bar something in this problem."""
    for rule, facts in BARRING.items():
        for path in facts:
            slot: Any
            slot, _, fact = path.partition(".")
            if any(_fact(candidate.part, fact) is None for candidate in problem.slot(slot)):
                yield rule
                break
    bought = [choice.part.card for choice in problem.slot("graphics") if choice.part.card is not None]
    if not all(card_load(card, problem.settings).known for card in (*problem.survey.cards, *bought)):
        yield from BARRING_CARDS
    if problem.survey.psu.cpu_plugs == () and problem.survey.board.cpu_plugs:
        yield power_cpu_current.ID  # an adapter is in use that nobody described
    if unseen_header(problem) is not None:
        yield from BARRING_FEED


def _fact(part: Any, name: str) -> Any:
    """A fact of a part, dotted for one of its own record; "" where there is no such record."""
    for step in name.split("."):
        part = getattr(part, step)
        if part is None:
            return None if step == name.rpartition(".")[2] else ""
    return part
