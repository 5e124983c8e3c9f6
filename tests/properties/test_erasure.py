"""Erase one fact of a true problem: every plan of the poorer one holds in every completion, or names what
was erased; and "no plan exists" is said only where no completion has one. Small drawn worlds, completions
enumerated."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import pytest
from conftest import FULL
from erasing import FACTS, same_parts, values_of, with_fact
from oracle_worlds import world_of
from support import (
    BOARD,
    CASE,
    CPU,
    OLD_BOARD,
    OLD_COOLER,
    OLD_CPU,
    PSU,
    make_problem,
    make_survey,
)

from partsolver.explain.barred import BARRING, barred
from partsolver.explain.why import why
from partsolver.explain.whynot import why_not
from partsolver.plan.complete import judge
from partsolver.plan.outcome import Outcome, Plan
from partsolver.problem.candidates import TABLE_OF_SLOT
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.report.why import why_not_text, why_text
from partsolver.rules import all_rules
from partsolver.solve.answer import answer
from partsolver.survey.model import Card, Pc
from partsolver.wishes.brief import Brief

WORLDS = range(600 if FULL else 30)
ERASED_IN_EACH = 6 if FULL else 2
# What the trade fills in, and says so (tests/properties/test_catalogue_unknown.py, FILLED_IN): the plan may
# not name it.
FILLED_IN = {
    "load_mw",
    "year",
    "power_limit_w",
    "tdp_w",
    "condition",
    "peak_12v_ma",
    "legacy_video",
    "cpu_power_limit_w",
    "standoff_positions",
    "max_board_width_mm",
    "holes",
}


@dataclass(frozen=True)
class Erased:
    """A fact: of a part on sale (``part``) or of the PC itself (``part`` empty)."""

    slot: str
    part: str
    fact: str

    @property
    def path(self) -> str:
        return f"{self.slot}:{self.part}.{self.fact}" if self.part else f"{self.slot}.{self.fact}"

    def put(self, problem: Problem, value: Any) -> Problem:
        if self.part:
            return with_fact(problem, self.slot, self.part, self.fact, value)
        record = getattr(problem.survey, self.slot)
        record = (
            replace(record, **{self.fact: value})
            if is_dataclass(record)
            else record.model_copy(update={self.fact: value})
        )
        return changed(problem, survey=problem.survey.model_copy(update={self.slot: record}))

    def value(self, problem: Problem) -> Any:
        if not self.part:
            return getattr(getattr(problem.survey, self.slot), self.fact)
        row = next(r for r in problem.source.tables[TABLE_OF_SLOT[self.slot]] if r.id == self.part)
        return getattr(row, self.fact)


def erasable(problem: Problem) -> list[Erased]:
    """The facts of a problem that are known and that some rule reads."""
    read = set(FACTS)
    on_sale = [
        Erased(slot, row.id, field.name)
        for slot, table in TABLE_OF_SLOT.items()
        for row in problem.source.tables[table]
        for field in fields(row)
        if (slot, field.name) in read and getattr(row, field.name) is not None
    ]
    own = [
        Erased(slot, "", field.name)
        for slot in ("board", "cpu", "psu", "case")
        for field in fields(getattr(problem.survey, slot))
        if (slot, field.name) in read and getattr(getattr(problem.survey, slot), field.name) is not None
    ]
    return [*on_sale, *own]


def completions(erased: Erased, true: Problem) -> Iterator[tuple[Any, Problem]]:
    # The case holds the present board, so that it is no smaller.
    board = true.survey.board
    least = {"max_board_width_mm": board.width_mm, "max_board_depth_mm": board.depth_mm}.get(erased.fact)
    for value in values_of(erased.slot, erased.fact, erased.value(true))[:6]:
        if not erased.part and least is not None and value < least:
            continue
        try:
            yield value, erased.put(true, value)
        except ValueError:
            continue  # no value that such a thing can have


def stands(plan: Plan, known: Problem) -> bool:
    """Whether a plan, bought as it is, is admitted in another problem."""
    parts = same_parts(plan.parts, known)
    if parts is None:
        return True  # sold in another state there: another choice
    said = judge(known, replace(plan.draft, parts=parts), all_rules())
    # A wish about the time holds or not within the range that the plan states.
    return all(finding.admits for finding in said if finding.rule != "buying.minimums")


def check(true: Problem, erased: Erased) -> Outcome:
    poorer = erased.put(true, None)
    outcome = answer(poorer)
    for value, known in completions(erased, true):
        if outcome.status == "impossible":
            assert answer(known).status == "impossible", (erased, value)
        for plan in outcome.plans:
            named = erased.path in plan.open_questions or erased.fact in FILLED_IN
            assert named or stands(plan, known), (erased, value, plan.parts.keys)
    return outcome


@pytest.mark.parametrize("number", WORLDS)
def test_what_is_said_holds_in_every_completion(number: int) -> None:
    true = world_of(number).problem
    draw = random.Random(number)
    found = erasable(true)
    for erased in draw.sample(found, min(ERASED_IN_EACH, len(found))):
        check(true, erased)
    barring = [e for e in found if any(f"{e.slot}.{e.fact}" in facts for facts in BARRING.values())]
    check(true, draw.choice(barring))


def dead(**changes: Any) -> Problem:
    """A PC whose board and processor do not work: a plan buys."""
    pc = Pc(name="test PC", brand=True, board_works=False, cpu_works=False, memory_works=False)
    return make_problem(make_survey(pc=pc, **changes))


def test_a_no_that_hangs_on_a_look_is_none() -> None:
    """The pin order is not known: nothing may be connected, and nothing is proved either."""
    problem = dead(psu=replace(PSU, pinout=None))
    outcome = answer(problem)
    assert outcome.status == "undecided" and outcome.hoped is not None
    said = why(problem)
    assert not said.possible and not said.decided
    assert [look.question for look in said.hangs_on] == ["psu.pinout"]
    assert "This is proved" not in why_text(said, problem) and "pin order" in why_text(said, problem)
    part = why_not(problem, "board-a")
    assert part.verdict == "barred" and "This is proved" not in why_not_text(part, problem)


def test_a_no_that_hangs_on_the_load_of_a_card_is_none() -> None:
    """A card of which nobody knows what it draws counts as all that slot and plug may carry, 225 W: too much for
    the trusted 80 % of 280 W beside a processor of 80 W, and a card of 100 W would not be."""
    card = Card(
        name="card", kind="graphics", bus="pcie", lanes=16, height="full", width_slots=1, length_mm=200,
        power_plugs=("8",), outputs=("hdmi-1.4",), uefi=True,
    )  # fmt: skip
    psu = replace(PSU, rated_w=280, combined_12v_ma=23000, rail_12v_ma=(23000,), card_plugs=("8",))
    small = replace(OLD_CPU, tdp_w=35, power_limit_w=35)
    known = dead(psu=psu, cpu=small, cards=(card.model_copy(update={"load_mw": 100_000}),))
    assert answer(known).status == "optimal"
    problem = dead(psu=psu, cpu=small, cards=(card,))
    outcome = answer(problem)
    assert outcome.status == "undecided" and outcome.hoped is not None
    assert {look.question for look in outcome.hoped.looks} == {"card:card.load_mw"}
    assert "This is proved" not in why_text(why(problem), problem)


def test_a_no_that_hangs_on_the_plugs_of_the_kept_board_is_none() -> None:
    """22 A at 12 V for a processor of 250 W: too much for a plug of four contacts (16 A), not for one of eight
    (28 A). How the kept supply feeds the kept board is not known."""
    pc = Pc(name="test PC", brand=False, cpu_works=False)
    strong = replace(
        CPU,
        id="strong",
        socket="sock-0",
        family="fam-0",
        tdp_w=125,
        power_limit_w=240,
        memory_rates=(("ddr3", 1333),),
    )
    few: dict[str, Any] = {"boards": [], "cpus": [strong], "memory": [], "coolers": []}

    def upgrade(plugs: tuple[str, ...] | None) -> Problem:
        board = replace(OLD_BOARD, cpu_plugs=plugs, cpu_power_limit_w=240)
        cooler = replace(OLD_COOLER, rated_w=150)
        psu = replace(PSU, rated_w=800, combined_12v_ma=60000, rail_12v_ma=(60000,), cpu_plugs=plugs)
        return make_problem(make_survey(pc=pc, board=board, psu=psu, cooler=cooler), **few)

    assert answer(upgrade(("8",))).status == "optimal"
    assert answer(upgrade(("4",))).status == "impossible"
    problem = upgrade(None)
    outcome = answer(problem)
    assert outcome.status == "undecided" and outcome.hoped is not None


def test_a_no_that_holds_whatever_the_looks_say_is_proved() -> None:
    """The same supply, and a case into which no board on sale goes."""
    case = replace(CASE, max_board_depth_mm=100)
    problem = dead(psu=replace(PSU, pinout=None), case=case)
    assert answer(problem).status == "impossible" and barred(problem).proven
    assert why(problem).decided


def test_a_rule_that_refuses_for_a_known_reason_is_put_back() -> None:
    """One board has no known socket and is too deep, the other has a known one of another kind: a proved
    no."""
    boards = [
        replace(BOARD, socket=None, depth_mm=400),
        replace(BOARD, id="board-b", socket="sock-9"),
    ]
    pc = Pc(name="test PC", brand=False, board_works=False, cpu_works=False, memory_works=False)
    problem = make_problem(make_survey(pc=pc), boards=boards)
    assert answer(problem).status == "impossible"
    wide = replace(boards[0], depth_mm=200)
    assert answer(make_problem(make_survey(pc=pc), boards=[wide, boards[1]])).status == "undecided"


def test_a_wanted_speed_up_hangs_on_what_today_may_be() -> None:
    """Games on graphics that nobody scored: whether the PC gets ten times as fast hangs on how slow it is
    today."""
    brief = Brief(budget="10000.00", use="games", min_speedup="4")
    slow = make_problem(make_survey(cpu=replace(OLD_CPU, graphics_score=80)), brief)
    assert answer(slow).status == "optimal"
    known = make_problem(make_survey(cpu=replace(OLD_CPU, graphics_score=800)), brief)
    assert answer(known).status == "impossible"
    unknown = answer(make_problem(make_survey(cpu=replace(OLD_CPU, graphics_score=None)), brief))
    assert unknown.status == "undecided" and unknown.hoped is not None
    assert [look.question for look in unknown.hoped.looks] == ["cpu.graphics_score"]
