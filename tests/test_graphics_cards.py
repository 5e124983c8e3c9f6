"""Graphics cards that are bought, and the board's own graphics: by hand, from the facts of ``support``."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import floor

from support import BOARD, CPU, GRAPHICS, OLD_BOARD, OLD_CPU, REFERENCE, make_problem, make_survey, pick

from partsolver.catalog.records import Offer
from partsolver.performance.time import shared_bandwidth_kbs, terms_ppm
from partsolver.planfile.stored import stored_plan
from partsolver.problem.candidates import KEPT_GRAPHICS, Parts
from partsolver.problem.problem import Problem
from partsolver.report.json import plan_document
from partsolver.solve.answer import answer
from partsolver.solve.recommend import recommend
from partsolver.survey.model import Card, Pc
from partsolver.wishes.brief import Brief

DARK = replace(CPU, graphics_score=0)
BROKEN = make_survey(pc=Pc(name="test PC", brand=False, board_works=False))
DEARER = replace(GRAPHICS, id="graphics-b", name="Graphics B", outputs=("hdmi-2.0", "vga"))
GAMES = Brief(budget="10000.00", use="games")


def bought(problem: Problem) -> list[set[str]]:
    """What each plan buys."""
    return [{c.id for c in plan.parts.picked if c.id is not None} for plan in recommend(problem).plans]


def graphics_ppm(problem: Problem, parts: Parts) -> int:
    return terms_ppm(problem, parts)["graphics"]


def by_hand(problem: Problem, parts: Parts, score: int) -> int:
    """Graphics without a card: slowness ((1 - b) + b / m) / s, at most the use's cap, rounded half up
    once."""
    share = Fraction(problem.use.shares_permille[5], 1000)
    bound = Fraction(problem.settings["integrated_graphics_bandwidth_percent"], 100)
    kbs = shared_bandwidth_kbs(problem, parts.board, parts.cpu, parts.memory)
    width = Fraction(kbs, 1000 * REFERENCE.memory_mbs)
    slow = ((1 - bound) + bound / width) / Fraction(score, REFERENCE.graphics_score)
    cap = problem.settings["graphics_3d_slowness_cap"]
    return floor(share * min(slow, cap) * 1_000_000 + Fraction(1, 2))


def test_the_cheapest_card_makes_the_picture_where_nothing_else_does() -> None:
    problem = make_problem(BROKEN, Brief(budget="10000.00"), cpus=[DARK], graphics=[GRAPHICS, DEARER])
    plans = bought(problem)
    assert plans and all(found & {"graphics-a", "graphics-b"} == {"graphics-a"} for found in plans)


def test_a_needless_card_is_no_alternative() -> None:
    brief = Brief(budget="10000.00", use="office", alternatives=5)
    problem = make_problem(BROKEN, brief, graphics=[GRAPHICS, DEARER])
    plans = bought(problem)
    assert plans and not any(found & {"graphics-a", "graphics-b"} for found in plans)


def test_what_is_left_when_the_card_sells_out() -> None:
    problem = make_problem(BROKEN, Brief(budget="10000.00"), cpus=[DARK], graphics=[GRAPHICS, DEARER])
    plan = answer(problem).plans[0]
    left = next(e for e in plan.exposure if e.part == "graphics-a")
    assert (left.stand_in, left.cost) == ("graphics-b", plan.draft.cost + 1)
    alone = make_problem(BROKEN, Brief(budget="10000.00"), cpus=[DARK], graphics=[GRAPHICS])
    gone = next(e for e in answer(alone).plans[0].exposure if e.part == "graphics-a")
    assert gone.stand_in is None and gone.cost is None


def test_games_pay_for_the_faster_card_and_list_the_other() -> None:
    offers = [
        Offer(part=part, seller="shop", price=price)
        for part, price in (
            ("board-a", 6000),
            ("cpu-a", 8000),
            ("kit-a", 3000),
            ("cooler-a", 1000),
            ("graphics-a", 4000),
            ("graphics-b", 9000),
        )
    ]
    fast = replace(DEARER, graphics_score=2400)
    problem = make_problem(BROKEN, GAMES, graphics=[GRAPHICS, fast], offers=offers)
    plans = bought(problem)
    assert "graphics-b" in plans[0]
    assert any("graphics-a" in found for found in plans[1:])


def test_a_needed_card_gives_way_only_where_the_brief_says_so() -> None:
    own = Card(name="own", kind="graphics", bus="pcie", lanes=16, graphics_score=50, required=True)
    survey = make_survey(cards=(own,))
    assert [c.key for c in make_problem(survey, graphics=[GRAPHICS]).slot("graphics")] == [KEPT_GRAPHICS]
    allowed = make_problem(survey, Brief(budget="10000.00", replace=("graphics",)), graphics=[GRAPHICS])
    assert [c.key for c in allowed.slot("graphics")] == [KEPT_GRAPHICS, "graphics-a"]
    optional = make_survey(cards=(own.model_copy(update={"required": False}),))
    assert len(make_problem(optional, graphics=[GRAPHICS]).slot("graphics")) == 2


def test_the_boards_own_graphics_count_with_their_score() -> None:
    """All desktop boards before about 2010 (start reference, section 7.1): chipset graphics, none in the
    processor."""
    cpu = replace(OLD_CPU, graphics_score=0)
    stated = make_problem(make_survey(board=replace(OLD_BOARD, graphics_score=70), cpu=cpu), GAMES)
    parts = pick(stated, board="kept-board", cpu="kept-cpu", memory="kept-memory")
    assert graphics_ppm(stated, parts) == by_hand(stated, parts, 70)
    unstated = make_problem(make_survey(board=replace(OLD_BOARD, graphics_score=None), cpu=cpu), GAMES)
    parts = pick(unstated, board="kept-board", cpu="kept-cpu", memory="kept-memory")
    usual = REFERENCE.graphics_score * unstated.settings["board_graphics_percent"] // 100
    assert graphics_ppm(unstated, parts) == by_hand(unstated, parts, usual)


def test_a_card_that_stays_dark_counts_for_nothing_in_the_time() -> None:
    """A card without a UEFI part on a board that starts in UEFI mode only, or with a part for no mode of
    the board: the processor's graphics work."""
    for modes, legacy, by_card in (
        (("uefi",), None, False),
        (("legacy", "uefi"), None, True),
        (("legacy", "uefi"), False, False),  # found by the oracle
        (("legacy",), False, False),
    ):
        own = Card(
            name="own",
            kind="graphics",
            bus="pcie",
            lanes=16,
            graphics_score=5000,
            uefi=False,
            legacy_video=legacy,
        )
        problem = make_problem(
            make_survey(cards=(own,)), GAMES, boards=[replace(BOARD, firmware_modes=modes)]
        )
        parts = pick(problem)
        without = by_hand(problem, parts, CPU.graphics_score or 0)
        assert (graphics_ppm(problem, parts) == without) is not by_card


def test_a_plan_of_before_there_were_bought_cards_is_read() -> None:
    problem = make_problem(BROKEN, Brief(budget="10000.00"), cpus=[DARK], graphics=[GRAPHICS])
    document = plan_document(recommend(problem).plans[0], problem)
    assert document["parts"]["graphics"] == "graphics-a"
    assert [(p.slot, p.key) for p in stored_plan("plan", document, 2).parts][-1] == ("graphics", "graphics-a")
    del document["parts"]["graphics"]
    assert [(p.slot, p.id) for p in stored_plan("plan", document, 2).parts][-1] == ("graphics", None)
