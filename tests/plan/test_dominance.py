"""When one part beats another in money whatever else is bought: by hand, one step on either side of the edge."""

from __future__ import annotations

from typing import Any

import pytest
from support import make_problem

from partsolver.catalog.records import Offer, Seller
from partsolver.plan.allowed import Allowed
from partsolver.plan.dominance import NOTHING, Way, beaten, best_ways, clearly_beaten
from partsolver.problem.candidates import Candidate
from partsolver.problem.problem import Problem

PLAIN = Seller("plain", "Plain", delivery=500)
FREE = Seller("free", "Free", delivery=300, free_from=2000)
LEAST = Seller("least", "Least", delivery=100, minimum_order=1500)


def pc() -> Problem:
    return make_problem(sellers=(PLAIN, FREE, LEAST), offers=[])


def allowed(offers: Any = lambda *_: True) -> Allowed:
    return Allowed(offers, lambda _: True)


def twin(key: str, *offers: tuple[str, int], quantity: int = 1) -> Candidate:
    listed = tuple(Offer(key, seller, price) for seller, price in sorted(offers, key=lambda o: o[1]))
    return Candidate("board", key, None, key, quantity, listed, False)  # type: ignore[type-var]


def test_the_cheapest_ways_at_each_seller() -> None:
    a, b = twin("a", ("plain", 1000), ("free", 900)), twin("b", ("plain", 800), ("least", 1499))
    problem = pc()
    assert best_ways(problem, [a, b], allowed()) == [Way(800, "b", "plain", 500), Way(900, "a", "free", 300)]
    assert best_ways(problem, [a, b], allowed(), each=2) == [
        Way(800, "b", "plain", 500),
        Way(900, "a", "free", 300),
        Way(1000, "a", "plain", 500),
    ]
    # An order of it alone must be taken; two pieces count twice.
    assert best_ways(problem, [twin("c", ("least", 1500))], allowed()) == [Way(1500, "c", "least", 100)]
    assert best_ways(problem, [twin("c", ("least", 750), quantity=2)], allowed()) == [
        Way(1500, "c", "least", 100)
    ]
    assert best_ways(problem, [twin("d", ("plain", 700), ("plain", 600))], allowed()) == [
        Way(600, "d", "plain", 500)
    ]
    dear = allowed(lambda offer, quantity: offer.price > 800)
    assert best_ways(problem, [a, b], dear) == [Way(900, "a", "free", 300), Way(1000, "a", "plain", 500)]
    assert best_ways(problem, [], allowed()) == [] and Way(0, "", "", 0) == NOTHING


@pytest.mark.parametrize(
    ("price", "seller", "best", "times", "lost"),
    [
        # The same seller: no delivery more.
        (1001, "plain", [Way(1000, "b", "plain", 500)], 1, True),
        (1000, "plain", [Way(1000, "b", "plain", 500)], 1, False),  # at equal cost the first key
        (1000, "plain", [Way(1000, "0", "plain", 500)], 1, True),
        (999, "plain", [Way(1000, "0", "plain", 500)], 1, False),
        # Another's delivery may come on top.
        (1301, "plain", [Way(1000, "b", "free", 300)], 1, True),
        (1300, "plain", [Way(1000, "b", "free", 300)], 1, False),
        (1300, "plain", [Way(1000, "0", "free", 300)], 1, True),
        (1299, "plain", [Way(1000, "0", "free", 300)], 1, False),
        # The free delivery of this seller may be lost.
        (1301, "free", [Way(1000, "b", "free", 300)], 1, True),
        (1300, "free", [Way(1000, "b", "free", 300)], 1, False),
        (1801, "free", [Way(1000, "b", "plain", 500)], 1, True),
        (1800, "free", [Way(1000, "b", "plain", 500)], 1, False),
        # What makes a least order full is never beaten.
        (9000, "least", [Way(1, "0", "least", 100)], 1, False),
        # Not by itself.
        (1001, "plain", [Way(1000, "a", "plain", 500)], 1, False),
        (1001, "plain", [Way(999, "a", "plain", 500), Way(1000, "b", "plain", 500)], 1, True),
        # By so many different ones.
        (2000, "plain", [Way(1000, "b", "plain", 500)], 2, False),
        (2000, "plain", [Way(1000, "b", "plain", 500), Way(1001, "b", "free", 300)], 2, False),
        (2000, "plain", [Way(1000, "b", "plain", 500), Way(1001, "c", "free", 300)], 2, True),
        (2000, "plain", [Way(1000, "b", "plain", 500), Way(1701, "c", "free", 300)], 2, False),
        (1000, "plain", [Way(1001, "0", "plain", 500), Way(0, "b", "plain", 500)], 1, False),  # rising order
        (1000, "plain", [], 1, False),
        (0, "plain", [NOTHING], 1, True),
    ],
)
def test_beaten(price: int, seller: str, best: list[Way], times: int, lost: bool) -> None:
    me = twin("a", (seller, price))
    assert beaten(pc(), me.offers[0], me, best, times) is lost


def test_pieces_count() -> None:
    me = twin("a", ("plain", 500), quantity=3)
    assert beaten(pc(), me.offers[0], me, [Way(1499, "b", "plain", 500)])
    assert not beaten(pc(), me.offers[0], me, [Way(1500, "b", "plain", 500)])


def clearly(twins: list[Candidate], times: int = 1, rules: Allowed | None = None) -> list[str]:
    return [c.key for c in clearly_beaten(pc(), twins, rules or allowed(), times)]


def test_clearly_beaten() -> None:
    """A costs 1500 with its delivery: whoever costs more without one is beaten."""
    a = twin("a", ("plain", 1000))
    assert clearly([a, twin("b", ("plain", 1500))]) == []
    assert clearly([a, twin("b", ("plain", 1501))]) == ["b"]
    assert clearly([twin("b", ("plain", 1501)), a, twin("c", ("plain", 1600))]) == ["b", "c"]
    # Its own seller's delivery may be free.
    assert clearly([a, twin("b", ("free", 1800))]) == [] and clearly([a, twin("b", ("free", 1801))]) == ["b"]
    # At a seller with a least order nothing is.
    assert clearly([a, twin("b", ("least", 9000))]) == []
    # Every offer has to be dearer.
    assert clearly([a, twin("b", ("plain", 9000), ("free", 1800))]) == []
    assert clearly([a, twin("b", ("plain", 9000), ("free", 1801))]) == ["b"]
    # Who is not on offer is beaten by anybody who is.
    assert clearly([a, twin("b")]) == ["b"] and clearly([twin("b")]) == []


def test_beaten_by_so_many() -> None:
    a, b = twin("a", ("plain", 1000)), twin("b", ("plain", 1200))
    assert clearly([a, b, twin("c", ("plain", 1701))], 2) == ["c"]
    assert clearly([a, b, twin("c", ("plain", 1700))], 2) == []
    assert clearly([a, twin("c", ("plain", 9000))], 2) == []
    assert clearly([a, b, twin("c", ("plain", 1501)), twin("d", ("plain", 1701))], 2) == ["d"]
    # One whose price is between the cheapest two with their deliveries may be the second.
    between = [a, twin("b", ("plain", 1400)), twin("c", ("free", 1500))]
    assert clearly([*between, twin("d", ("plain", 1801))], 2) == ["d"]
    assert clearly([*between, twin("d", ("plain", 1800))], 2) == []
    # The cheapest with delivery, not the cheapest without.
    far = twin("far", ("plain", 900))
    near = twin("near", ("free", 950))
    assert clearly([far, near, twin("c", ("plain", 1251))]) == ["c"]
    assert clearly([far, near, twin("c", ("plain", 1250))]) == []
    two = twin("b", ("free", 900), ("plain", 9000))
    assert clearly([a, two, twin("c", ("plain", 1201))]) == ["c"]
    # One whose order is not taken alone, or that is not allowed, beats nobody.
    assert clearly([twin("a", ("least", 100)), twin("b", ("plain", 9000)), twin("c", ("plain", 9600))]) == [
        "c"
    ]
    cheap = allowed(lambda offer, quantity: offer.price > 1000)
    assert clearly([a, b, twin("c", ("plain", 1701))], 1, cheap) == ["c"]
    assert clearly([a, b, twin("c", ("plain", 1700))], 1, cheap) == []
    pack = twin("a", ("plain", 500), quantity=2)
    assert clearly([pack, twin("c", ("plain", 501), quantity=3)]) == ["c"]
    assert clearly([pack, twin("c", ("plain", 500), quantity=3)]) == []
    assert clearly([pack, twin("c", ("least", 750), ("plain", 501), quantity=3)]) == []
