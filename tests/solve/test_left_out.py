"""What is optional stays out where the plans are better without, and only then (issue 15, section 3)."""

from __future__ import annotations

from dataclasses import replace
from itertools import chain, combinations

import pytest
from support import CPU, OLD_BOARD, OLD_CPU, PSU, make_problem, make_survey

from partsolver.base.errors import InputRefused
from partsolver.performance.present import present_time_ppm
from partsolver.problem.join import changed, optional_names
from partsolver.solve.left_out import answer_with_left_out, choose_left_out, is_better
from partsolver.solve.recommend import first_plan
from partsolver.survey.model import Card, Drive
from partsolver.wishes.brief import Brief

CARD = Card(
    name="old card",
    kind="graphics",
    bus="pcie",
    lanes=16,
    height="full",
    width_slots=1,
    length_mm=170,
    graphics_score=60,
    outputs=("vga",),
    uefi=True,
    load_mw=50_000,
    power_plugs=(),
    required=False,
)
GAMES = Brief(budget="10000.00", use="games")


def _disk(name: str) -> Drive:
    return Drive(name=name, kind="hdd35", interface="sata", power_plug="sata", required=False)


def test_a_slow_card_stays_out_and_a_fast_one_stays_in() -> None:
    """1.1 times with the old card, far more without; a card faster than the processor's graphics is kept."""
    slow = make_problem(make_survey(cards=(CARD,)), GAMES, cpus=[replace(CPU, graphics_score=900)])
    _, outcome = answer_with_left_out(slow)
    assert outcome.left_out.names == ("old card",)
    kept, bare = outcome.left_out.kept, outcome.plans[0]
    assert kept is not None and kept.draft.time_ppm > 5 * bare.draft.time_ppm
    fast = make_survey(cards=(CARD.model_copy(update={"graphics_score": 2000}),))
    chosen, left = choose_left_out(make_problem(fast, GAMES, cpus=[replace(CPU, graphics_score=900)]))
    assert left.names == () and chosen.brief.leave_out == ()


def test_the_only_picture_is_kept() -> None:
    """No processor has graphics: without the card every plan is dark, the PC as it is included."""
    dark = {"cpu": replace(OLD_CPU, graphics_score=0), "board": replace(OLD_BOARD, graphics_score=0)}
    survey = make_survey(cards=(CARD,), **dark)
    problem = make_problem(survey, GAMES, cpus=[replace(CPU, graphics_score=0)])
    chosen, outcome = answer_with_left_out(problem)
    assert outcome.left_out.names == () and chosen is problem and outcome.plans
    assert first_plan(changed(problem, leave_out=("old card",))) is None


def test_a_card_is_not_taken_out_on_a_guess() -> None:
    """Whether the new processor has graphics is not known: the card that makes the picture stays."""
    problem = make_problem(make_survey(cards=(CARD,)), GAMES, cpus=[replace(CPU, graphics_score=None)])
    assert choose_left_out(problem)[1].names == ()


def test_the_pc_of_today_has_its_card() -> None:
    """The speed-up is against the PC as it is, with the card in it."""
    problem = make_problem(make_survey(cards=(CARD,)), GAMES)
    assert present_time_ppm(changed(problem, leave_out=("old card",))) == present_time_ppm(problem)


def test_a_needed_card_is_not_left_out() -> None:
    survey = make_survey(cards=(CARD.model_copy(update={"required": True}),))
    assert optional_names(survey) == ()
    with pytest.raises(InputRefused, match="the owner needs it"):
        make_problem(survey, Brief(leave_out=("old card",)))
    with pytest.raises(InputRefused, match="no such card or drive"):
        make_problem(make_survey(cards=(CARD,)), Brief(leave_out=("odd card",)))


@pytest.mark.parametrize("rail_ma", [9_000, 10_000, 12_000, 14_000, 18_000])
def test_as_good_as_every_set_and_none_too_many(rail_ma: int) -> None:
    """Brute force over all sets of optional things: none gives a better first plan, and no part of the
    chosen set a plan as good."""
    names = ("disk 1", "disk 2", "old card")
    survey = make_survey(
        cards=(CARD.model_copy(update={"graphics_score": 500}),),
        drives=(*make_survey().drives, _disk("disk 1"), _disk("disk 2")),
        psu=replace(PSU, rated_w=300, year=2012, rail_12v_ma=(rail_ma,), combined_12v_ma=rail_ma),
    )
    problem = make_problem(survey, GAMES)
    chosen, _ = choose_left_out(problem)
    best = first_plan(chosen)
    sets = list(chain.from_iterable(combinations(names, n) for n in range(len(names) + 1)))
    plans = {out: first_plan(changed(problem, leave_out=out)) for out in sets}
    for out, plan in plans.items():
        if best is None:
            assert plan is None
            continue
        assert plan is None or not is_better(problem, plan, best), out
        if set(out) < set(chosen.brief.leave_out):
            assert plan is None or is_better(problem, best, plan), out
