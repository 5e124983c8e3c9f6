"""The offers that buying rules let be used: asked once each, with the quantity of the purchase."""

from __future__ import annotations

from support import BOARD, make_problem, pick

from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.allowed import Allowed
from partsolver.plan.complete import allowed_by
from partsolver.rules import all_rules
from partsolver.wishes.brief import Brief

CHEAP, DEAR = Offer("kit-a", "shop", 100), Offer("kit-a", "shop", 200)
BASE = [Offer("board-a", "shop", 1), Offer("cpu-a", "shop", 1)]


def test_offers_of_a_candidate_are_asked_with_its_quantity_once() -> None:
    asked: list[tuple[int, int]] = []

    def allows(offer: Offer, quantity: int) -> bool:
        asked.append((offer.price, quantity))
        return offer.price < 150

    problem = make_problem(offers=[*BASE, CHEAP, DEAR], coolers=())
    two = pick(problem, memory="kit-a*2").candidate("memory")
    rules = Allowed(allows, lambda _: True)
    assert rules.offers(two) == (CHEAP,) == rules.offers(two)
    assert asked == [(100, 2), (200, 2)]
    every = Allowed(lambda *_: True, lambda _: True)
    assert every.offers(two) is two.offers
    none = Allowed(lambda *_: False, lambda _: True)
    assert none.offers(two) == ()


def test_an_offer_is_remembered_by_its_quantity() -> None:
    asked: list[int] = []

    def allows(offer: Offer, quantity: int) -> bool:
        asked.append(quantity)
        return quantity < 2

    rules = Allowed(allows, lambda _: True)
    assert [rules.offer(CHEAP, n) for n in (1, 2, 1, 2)] == [True, False, True, False]
    assert asked == [1, 2]


def test_bundles_and_what_holds_unless_a_rule_says_otherwise() -> None:
    kit = Bundle("set", "Set", "parts", (), "shop", 1)
    assert Allowed(lambda *_: True, lambda b: b.price > 1).bundle(kit) is False
    rules = Allowed(lambda *_: True, lambda b: b.price == 1)
    assert rules.bundle(kit) and rules.count_stock and rules.least_orders
    assert rules.demanded == frozenset() and rules.allows_trip is None


def test_what_the_rules_in_force_allow() -> None:
    """Without the rule about stock it is not counted, without that about orders any order is taken; what must be
    bought is demanded by the rule about exclusions."""
    problem = make_problem(brief=Brief(including=("board-a",), without=("kit-a",)))
    rules = all_rules()
    every = allowed_by(problem, rules)
    assert (every.count_stock, every.least_orders, every.demanded) == (True, True, frozenset({"board-a"}))
    assert allowed_by(problem, rules) is every
    board, kit = (problem.source.tables["offers"][n] for n in (0, 2))
    assert (board.part, kit.part) == (BOARD.id, "kit-a")
    assert every.offer(board, 1) and not every.offer(kit, 1)
    for left_out, facts in (
        ("buying.stock", (False, True, frozenset({"board-a"}))),
        ("buying.order", (True, False, frozenset({"board-a"}))),
        ("buying.excluded", (True, True, frozenset())),
    ):
        some = allowed_by(problem, [rule for rule in rules if left_out != rule.ID])
        assert (some.count_stock, some.least_orders, some.demanded) == facts
        assert some.offer(kit, 1) is (left_out == "buying.excluded")
