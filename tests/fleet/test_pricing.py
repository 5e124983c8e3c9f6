"""The plans of a class by price: against brute force over every combination of parts, and the same answer
whatever was asked before."""

from __future__ import annotations

import random
from collections.abc import Sequence
from math import floor
from typing import Any

import numpy as np
import pytest
from brute import Judged
from fleets import fleet_of
from support import combinations

from partsolver.fleet.columns import Pricer, rules_of_parts
from partsolver.fleet.goals import Worth
from partsolver.fleet.prices import SCALE, Prices
from partsolver.fleet.records import Fleet
from partsolver.fleet.work import First, Here, Question
from partsolver.performance.time import time_ppm
from partsolver.problem.candidates import Candidate, Parts
from partsolver.search.row_rules import keys_of
from partsolver.solve.fleet.plan import stock_of

WORTHS = (
    Worth(((("fine", 0), 40.0),)),
    # Many plans are worth the same.
    Worth(((("pcs", 0), 1000.0),)),
    Worth(((("gain", 0), 7.0), (("speed", 80), 500.0))),
)


def drawn_prices(fleet: Fleet, pricer: Pricer, seed: int) -> Prices:
    """Round prices, so that many are equal; some offers and take-outs with one of their own."""
    draw = random.Random(seed)
    offers = fleet.catalog.tables["offers"]
    named = {o: draw.randrange(0, 900, 300) * SCALE for o in offers if draw.random() < 0.3}
    taken = {t.item: draw.randrange(0, 60, 20) * SCALE for t in pricer.take_outs}
    money = {name: draw.choice([0.0, 0.25, 1.0]) for name in fleet.sellers}
    return Prices({}, {o: v for o, v in named.items() if o.seller != "taken-out"}, money, {}, taken)


def price_of(candidate: Candidate, prices: Prices) -> int | None:
    """What so many pieces of it cost, told of its offers one by one; None where it cannot be bought."""
    if candidate.id is None:
        return 0
    each = []
    for offer in candidate.offers:
        if offer.stock == 0:
            continue  # of how many there are in all the joint choice decides
        if offer.seller == "taken-out":
            each.append(prices.taken_out.get(offer.part, 0))
        elif offer in prices.offers:
            each.append(prices.offers[offer])
        else:
            each.append(floor(offer.price * prices.money[offer.seller] * SCALE))
    return min(each) * candidate.quantity if each else None


def by_brute_force(pricer: Pricer, worth: Worth, prices: Prices) -> list[tuple[int, tuple[str, ...]]]:
    """(worth more than its price, keys) of every admitted combination that is no slower, best first."""
    problem, now = pricer.problem, pricer.figures.present_ppm
    judged, found = Judged(problem, rules_of_parts()), []
    for parts in combinations(problem):
        if any(c.id in problem.brief.without for c in parts.picked):
            continue
        time = time_ppm(problem, parts)
        if now is None or time > now or not judged.admits(parts):
            continue
        paid = [price_of(c, prices) for c in parts.picked]
        if None in paid:
            continue
        value = sum(
            round(factor * SCALE) * int(pricer.figures.measure(measured, time))
            for measured, factor in worth.terms
        )
        given = sum(
            t.pieces * prices.taken_out.get(t.item, 0) for t in pricer.take_outs if not _stays(parts, t.slot)
        )
        found.append((value - sum(filter(None, paid)) + given, parts.keys))
    return sorted(found, key=lambda plan: (-plan[0], plan[1]))


def _stays(parts: Parts, slot: str) -> bool:
    return any(c.slot == slot and c.kept for c in parts.picked) or (
        slot == "memory" and parts.memory.with_kept
    )


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("worth", WORTHS)
def test_the_plans_worth_most_are_those_of_brute_force(seed: int, worth: Worth) -> None:
    fleet = fleet_of(seed, "most-speed", None, (1, 1))
    here = Here(fleet.classes, stock_of(fleet))
    for number in range(2):
        pricer = here.pricer(number)
        prices = drawn_prices(fleet, pricer, seed)
        expected = by_brute_force(pricer, worth, prices)
        assert expected
        low = expected[-1][0] - 1
        for wanted in (1, 3, len(expected), len(expected) + 1):
            plans, complete = pricer.best(worth, prices, low, wanted)
            assert [(value, column.keys) for value, column in plans] == expected[:wanted]
            assert complete == (wanted >= len(expected))
        middle = expected[len(expected) // 2][0]
        above = [plan for plan in expected if plan[0] > middle]
        plans, complete = pricer.best(worth, prices, middle, len(expected))
        assert [(value, column.keys) for value, column in plans] == above and complete
        apart, _ = pricer.best(worth, prices, low, 4, spread=True)
        assert apart[0] == pricer.best(worth, prices, low, 1)[0][0]
        assert {(value, column.keys) for value, column in apart} <= set(expected)


def questions_of(fleet: Fleet) -> list[Question]:
    here, listed = Here(fleet.classes, stock_of(fleet)), []
    for number in range(len(fleet.classes)):
        for seed, worth in enumerate(WORTHS):
            prices = drawn_prices(fleet, here.pricer(number), seed)
            listed += [Question(number, worth, prices, 0, n, spread=n == 4) for n in (1, 4, 9)]
    return listed


def answers(fleet: Fleet, questions: Sequence[Question], anew: bool) -> list[Any]:
    here, found = Here(fleet.classes, stock_of(fleet)), []
    for question in questions:
        here = Here(fleet.classes, stock_of(fleet)) if anew else here
        found.append(here.do(question))
    return found


@pytest.mark.parametrize("seed", range(3))
def test_an_answer_hangs_on_its_question_alone(seed: int) -> None:
    """In any order, after other questions or as the first of a new worker."""
    fleet = fleet_of(seed, "most-speed", None, (2, 1))
    questions = questions_of(fleet)
    expected = answers(fleet, questions, anew=True)
    assert any(plans for plans, _ in expected)
    mixed = list(range(len(questions)))
    random.Random(seed).shuffle(mixed)
    for order in (range(len(questions)), range(len(questions))[::-1], mixed):
        found = answers(fleet, [questions[place] for place in order], anew=False)
        assert found == [expected[place] for place in order]
    here = Here(fleet.classes, stock_of(fleet))
    for number in (1, 0):
        here.do(First(number))
    assert [here.do(question) for question in questions] == expected


def test_plans_apart_share_no_short_part() -> None:
    fleet = fleet_of(1, "most-speed", None, (3, 1))
    short = {o.part for o in fleet.catalog.tables["offers"] if o.stock is not None}
    pricer = Here(fleet.classes, stock_of(fleet)).pricer(0)
    plans, _ = pricer.best(WORTHS[0], drawn_prices(fleet, pricer, 1), -(10**12), 9, spread=True)
    used = [{goods.item for goods, _ in column.demand} & short for _, column in plans]
    assert len(plans) > 1
    assert sum(map(len, used)) == len(set().union(*used))


def test_numbers_of_looks_that_count_on_are_told_apart() -> None:
    """Views are shared by problems that are joined again: their numbers may be larger than the list."""
    looks = [(0, np.array([0, 2])), (1, np.array([25, 5]))]
    keys = keys_of(looks, [np.array([0, 1]), np.array([0, 1])], 2)
    assert keys[0] != keys[1]
