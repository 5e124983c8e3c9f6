"""The choice of sellers: plain search and CP-SAT against every assignment (small) and HiGHS (larger).

The family is "internet shopping optimisation" (Blazewicz, Kovalyov, Musial, Urbanski, Wojciechowski: Int. J.
Appl. Math. Comput. Sci. 20(2), 2010, 385-390): each line from one seller, a delivery charge per seller used;
here with a value from which delivery is free, least orders, stock and sets.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, product
from types import SimpleNamespace
from typing import Any

import pytest
from brute import Wanted, assignments
from conftest import FULL
from highs import Program, Shop, total
from support import BOARD, COOLER, CPU, KIT, make_problem, pick

from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.model.build import build
from partsolver.model.solve import Limits, solve
from partsolver.plan.allowed import Allowed
from partsolver.plan.bundles import bundle_group, purchase_group
from partsolver.plan.complete import allowed_by, buy, complete
from partsolver.plan.cooler_choice import all_needs
from partsolver.plan.draft import Need
from partsolver.plan.purchase import (
    Basket,
    cheapest,
    least_beside_cooler,
    least_of,
    least_price,
    with_cooler,
)
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.problem import Problem
from partsolver.problem.store import Store
from partsolver.rules import all_rules, rule
from partsolver.wishes.brief import Brief

ALLOWED = Allowed(lambda offer, quantity: True, lambda bundle: bundle.stock != 0)
BUYING = [rule("buying.stock"), rule("buying.order")]


class Market:
    """One drawn market: a problem, the parts bought and what else is needed."""

    def __init__(self, seed: int, sellers: int, extras: int, offers: int, bundles: int) -> None:
        draw = random.Random(seed)
        shops = [
            Seller(
                f"shop-{n}",
                f"Shop {n}",
                draw.choice([0, 300, 490, 650]),
                draw.choice([None, None, 3000, 6000, 9000]),
                draw.choice([0, 0, 0, 1500, 4000]),
            )
            for n in range(sellers)
        ]
        goods = [Extra(f"extra-{n}", f"Extra {n}", kind="fan-splitter") for n in range(extras)]
        base = {BOARD.id: 4000, CPU.id: 5000, KIT.id: 2500, COOLER.id: 1800, **{e.id: 900 for e in goods}}
        listed = [
            Offer(
                part, shop.id, max(100, price + draw.randint(-700, 700)), draw.choice([None, None, 1, 2, 3])
            )
            for part, price in base.items()
            for shop in draw.sample(shops, min(offers, sellers))
        ]
        sets = []
        for number in range(bundles):
            items = sorted(
                draw.sample([(BOARD.id, 1), (CPU.id, 1), (KIT.id, 2), (COOLER.id, 1)], draw.randint(2, 3))
            )
            price = sum(base[item] * n for item, n in items) - draw.randint(0, 1500)
            sets.append(
                Bundle(
                    f"set-{number}",
                    "set",
                    "parts",
                    tuple(items),
                    draw.choice(shops).id,
                    price,
                    draw.choice([None, 1, 0]),
                )
            )
        self.problem: Problem = make_problem(sellers=shops, extras=goods, offers=listed, bundles=sets)
        self.parts: Parts = pick(self.problem, cooler=COOLER.id, memory=f"{KIT.id}*2")
        self.needs: list[Need] = []
        for number in range(extras):
            options = sorted({(f"extra-{n}", draw.randint(1, 2)) for n in {number, draw.randrange(extras)}})
            self.needs.append(Need("test.need", f"need-{number}", "fan-splitter", tuple(options)))

    def wanted(self, held: set[Any]) -> list[Wanted]:
        """Lines to buy when sets hold some of the parts."""
        lines = [
            Wanted(tuple((c.id, c.quantity, o) for o in c.offers))
            for c in self.parts.picked
            if c.id is not None and purchase_group(c) not in held
        ]
        offers = self.problem.extra_offers
        return lines + [
            Wanted(tuple((e, n, o) for e, n in need.options for o in offers[e])) for need in self.needs
        ]

    def sets(self) -> list[Bundle]:
        groups = {purchase_group(c) for c in self.parts.picked if c.id is not None}
        return [
            b
            for b in self.problem.bundles
            if b.stock != 0
            and groups >= set(bundle_group(self.problem, b))
            and len(bundle_group(self.problem, b)) == len(b.items)
        ]

    def brute(self) -> int | None:
        """Least cost over all sets and all assignments."""
        costs = []
        for size in range(len(self.sets()) + 1):
            for chosen in combinations(self.sets(), size):
                held = [group for b in chosen for group in bundle_group(self.problem, b)]
                if len(held) == len(set(held)):
                    started: dict[str, int] = {}
                    for b in chosen:
                        started[b.seller] = started.get(b.seller, 0) + b.price
                    costs += [
                        cost
                        for cost, _ in assignments(
                            self.wanted(set(held)), dict(self.problem.sellers), started
                        )
                    ]
        return min(costs, default=None)

    def highs(self) -> int | None:
        program = Program()
        shop = Shop(program, self.problem.sellers)
        one = program.binary()
        program.add({one: 1}, 1, 1)
        columns = {b.id: shop.bundle(b.seller, b.price) for b in self.sets()}
        for c in self.parts.picked:
            if c.id is not None:
                holding = [
                    columns[b.id] for b in self.sets() if purchase_group(c) in bundle_group(self.problem, b)
                ]
                shop.line([(c.id, c.quantity, o) for o in c.offers], {one: 1}, holding)
        for line in self.wanted({purchase_group(c) for c in self.parts.picked if c.id is not None}):
            shop.line(line.ways, {one: 1})
        shop.close()
        values = program.minimise(shop.cost)
        return None if values is None else total(shop.cost, values)

    def plain(self) -> Basket | None:
        return cheapest(self.problem, self.parts, self.needs, ALLOWED)

    def model(self) -> int | None:
        """Least cost of CP-SAT with these parts fixed and the needs posted by a rule of the test."""

        def post(model: Any, picks: Any, problem: Any, on: Any) -> None:
            for need in self.needs:
                picks.need(need.rule, need.key, need.options, [picks.true], on)

        built = build(
            self.problem, [SimpleNamespace(ID="test.need", KIND="parts", SLOTS=(), post=post), *BUYING]
        )  # type: ignore[list-item]
        for slot in SLOTS:
            built.model.add(built.picks.literal(slot, self.parts.candidate(slot).key) == 1)
        built.model.minimize(built.cost)
        solved = solve(built.model, Limits())
        assert solved.status in ("optimal", "impossible")
        return solved.objective if solved.found else None


def cost(basket: Basket | None) -> int | None:
    return None if basket is None else basket.cost


@pytest.mark.parametrize("seed", range(600 if FULL else 60))
def test_every_assignment(seed: int) -> None:
    market = Market(seed, sellers=3, extras=2, offers=2, bundles=seed % 3)
    least = market.brute()
    assert cost(market.plain()) == least == market.model() == market.highs()


@pytest.mark.parametrize("seed", range(150 if FULL else 15))
def test_larger_markets_against_highs(seed: int) -> None:
    market = Market(1000 + seed, sellers=6, extras=5, offers=4, bundles=2)
    assert cost(market.plain()) == market.highs() == market.model()


@pytest.mark.parametrize("seed", range(0, 30, 3))
def test_baskets_add_up(seed: int) -> None:
    """The lines are offers of the market, in stock, and lines and deliveries sum to the cost."""
    market = Market(seed, sellers=3, extras=2, offers=3, bundles=1)
    basket = market.plain()
    if basket is None:
        assert market.brute() is None
        return
    assert (
        sum(ln.amount for ln in basket.lines) + sum(charge for _, charge in basket.deliveries) == basket.cost
    )
    taken: dict[Offer, int] = {}
    for line in basket.lines:
        if line.offer is not None:
            assert line.amount == line.quantity * line.offer.price
            taken[line.offer] = taken.get(line.offer, 0) + line.quantity
    assert all(offer.stock is None or count <= offer.stock for offer, count in taken.items())


def shop_pair(offers: Sequence[Offer], sellers: Sequence[Seller]) -> Basket:
    problem = make_problem(sellers=sellers, offers=offers)
    basket = cheapest(problem, pick(problem), (), ALLOWED)
    assert basket is not None
    return basket


def test_a_dearer_part_at_a_shop_already_in_the_order_wins() -> None:
    """Board and kit only at A; the processor costs 2.00 less at B, but B charges 4.90 for delivery."""
    sellers = [Seller("a", "A", delivery=490), Seller("b", "B", delivery=490)]
    offers = [
        Offer(BOARD.id, "a", 4000),
        Offer(KIT.id, "a", 2000),
        Offer(CPU.id, "a", 5200),
        Offer(CPU.id, "b", 5000),
    ]
    assert shop_pair(offers, sellers).cost == 4000 + 2000 + 5200 + 490
    # From a difference above the delivery charge on, B wins.
    dearer = [*offers[:2], Offer(CPU.id, "a", 5491), offers[3]]
    assert shop_pair(dearer, sellers).cost == 4000 + 2000 + 490 + 5000 + 490


def test_free_delivery_from_a_value_pulls_a_dearer_part_in() -> None:
    """A delivers free from 112.00: the dearer processor there reaches it."""
    sellers = [Seller("a", "A", delivery=490, free_from=11200), Seller("b", "B", delivery=0)]
    offers = [
        Offer(BOARD.id, "a", 4000),
        Offer(KIT.id, "a", 2000),
        Offer(CPU.id, "a", 5200),
        Offer(CPU.id, "b", 5000),
    ]
    assert shop_pair(offers, sellers).cost == 11200
    assert shop_pair([*offers[:2], Offer(CPU.id, "a", 5199), offers[3]], sellers).cost == 11000 + 490


@pytest.mark.parametrize("seed", range(400 if FULL else 25))
def test_of_many_coolers_and_pastes_the_whole_order_is_cheapest(seed: int) -> None:
    """A cooler, and the paste that some need, as a shop lists them by the dozen: least orders, free
    deliveries, short stock."""
    draw = random.Random(seed)
    shops = [
        Seller(
            f"shop-{n}",
            "Shop",
            draw.choice([0, 100, 490]),
            draw.choice([None, None, 4000, 6500, 9000]),
            draw.choice([0, 0, 0, 1200]),
        )
        for n in range(4)
    ]
    coolers = [replace(COOLER, id=f"cooler-{n}", paste_included=draw.choice([True, False])) for n in range(9)]
    pastes = [Extra(f"paste-{n}", "Paste", kind="thermal-paste") for n in range(8)]
    offers = [
        Offer(part, shop.id, max(50, price + step * draw.randint(-7, 7)), draw.choice([None, 1, 30]))
        for part, price, step in [
            (BOARD.id, 4000, 100),
            (CPU.id, 2000, 100),
            (KIT.id, 2500, 100),
            *((cooler.id, 900, 100) for cooler in coolers),
            *((paste.id, 400, 50) for paste in pastes),
        ]
        for shop in draw.sample(shops, 2)
    ]
    demanded = draw.choice([(), (), ("paste-3",)])
    problem = make_problem(
        brief=Brief(including=demanded),
        cpus=[replace(CPU, boxed_cooler=False)],
        coolers=coolers,
        extras=pastes,
        sellers=shops,
        offers=offers,
    )
    rules, parts = all_rules(), pick(problem)
    allowed = allowed_by(problem, rules)
    costs = [
        (basket.cost, place)
        for place, c in enumerate(problem.slot("cooler"))
        if c.id is not None
        and (basket := everything(problem, with_cooler(parts, c), rules, allowed)) is not None
    ]
    found = complete(problem, parts, rules, allowed)
    # Among equal costs the first cooler.
    assert (
        None if found is None else (found.cost, problem.slot("cooler").index(found.parts.candidate("cooler")))
    ) == min(costs, default=None)


@pytest.mark.parametrize("seed", range(400 if FULL else 25))
def test_of_many_coolers_some_come_in_a_set(seed: int) -> None:
    """Sets of processor, board and cooler beside coolers sold alone; some coolers come only in a set. Each
    cooler on its own by `cheapest` (which is tried against every assignment above)."""
    draw = random.Random(seed)
    shops = [
        Seller(
            f"shop-{n}",
            "Shop",
            draw.choice([0, 290, 490]),
            draw.choice([None, 6500, 9000]),
            draw.choice([0, 0, 1200]),
        )
        for n in range(3)
    ]
    coolers = [replace(COOLER, id=f"cooler-{n}") for n in range(7)]
    offers = [
        Offer(part, shop.id, price + 100 * draw.randint(-7, 7), draw.choice([None, 1]))
        for part, price in [
            (BOARD.id, 4000),
            (CPU.id, 2000),
            (KIT.id, 2500),
            *((c.id, 900) for c in coolers[draw.randint(0, 2) :]),
        ]
        for shop in draw.sample(shops, 2)
    ]
    sets = [
        Bundle(
            f"set-{n}",
            "set",
            "parts",
            tuple(sorted({(draw.choice([BOARD.id, CPU.id]), 1), (draw.choice(coolers[:4]).id, 1)})),
            draw.choice(shops).id,
            draw.randint(15, 45) * 100,
        )
        for n in range(draw.randint(1, 3))
    ]
    problem = make_problem(
        cpus=[replace(CPU, boxed_cooler=False)], coolers=coolers, sellers=shops, offers=offers, bundles=sets
    )
    rules, parts = (
        all_rules(),
        (
            pick(problem, cooler="cooler-6")
            if any(c.key == "cooler-6" for c in problem.slot("cooler"))
            else pick(problem)
        ),
    )
    allowed = allowed_by(problem, rules)
    costs = []
    for place, cooler in enumerate(problem.slot("cooler")):
        trial = with_cooler(parts, cooler)
        basket = None if cooler.id is None else buy(problem, trial, rules, allowed)
        if basket is not None:
            costs.append((basket.cost, place))
    found = complete(problem, parts, rules, allowed)
    assert found is not None
    assert (found.cost, problem.slot("cooler").index(found.parts.candidate("cooler"))) == min(costs)


def everything(
    problem: Problem, parts: Parts, rules: Sequence[Any], allowed: Allowed
) -> SimpleNamespace | None:
    """The cheapest purchase by trying every assignment of sellers and of what serves each need."""
    lines = [
        [(c.id, c.quantity, o) for o in c.offers if allowed.offer(o, c.quantity)]
        for c in parts.picked
        if c.id is not None
    ]
    lines += [
        [
            (extra, n, o)
            for extra, n in need.options
            for o in problem.extra_offers[extra]
            if allowed.offer(o, n)
        ]
        for need in all_needs(problem, parts, rules)
        if need.options
    ]
    best: int | None = None
    for chosen in product(*lines):
        goods: dict[str, int] = {}
        for _, quantity, offer in chosen:
            goods[offer.seller] = goods.get(offer.seller, 0) + quantity * offer.price
        shops = [(problem.sellers[name], value) for name, value in goods.items()]
        if any(value < shop.minimum_order for shop, value in shops) or not allowed.demanded <= {
            item for item, _, _ in chosen
        }:
            continue
        cost = sum(
            value + (0 if shop.free_from is not None and value >= shop.free_from else shop.delivery)
            for shop, value in shops
        )
        best = cost if best is None else min(best, cost)
    return None if best is None else SimpleNamespace(cost=best)


@pytest.mark.parametrize("more", [1, 400, 3000])
@pytest.mark.parametrize("seed", range(60 if FULL else 20))
def test_no_purchase_lies_below_the_bound_of_all_but_the_cooler(seed: int, more: int) -> None:
    """Every purchase with a cooler that is bought alone costs at least the bound and that cooler's least price;
    and where all deliveries stay due the bound is the rest itself."""
    market = Market(seed, 3, 2, 2, 2)
    whole = [b for b in market.problem.bundles if COOLER.id not in [item for item, _ in b.items]]
    market.problem = replace(market.problem, bundles=tuple(whole), store=Store())
    cost = market.brute()
    if cost is None:
        return
    problem, parts, needs = market.problem, market.parts, market.needs
    floor = least_price(problem, parts, needs, ALLOWED)
    below = cost + more
    least = least_beside_cooler(problem, parts, needs, ALLOWED, below, below - floor)
    assert floor <= least <= cost - least_of(parts.candidate("cooler"), ALLOWED)


def test_the_bound_of_all_but_the_cooler_counts_what_stays_due() -> None:
    """By hand: board 40.00, processor 50.00 and kit 25.00 at a shop that delivers for 4.90, free from 130.00. With
    14.99 to spend on a cooler that charge stays due, with 15.00 it may not."""
    shop = Seller("shop", "Shop", 490, 13000)
    listed = [Offer(BOARD.id, "shop", 4000), Offer(CPU.id, "shop", 5000), Offer(KIT.id, "shop", 2500)]
    problem = make_problem(sellers=[shop], offers=[*listed, Offer(COOLER.id, "shop", 1500)])
    parts = pick(problem, cooler=COOLER.id, memory=f"{KIT.id}*1")
    spent = [least_beside_cooler(problem, parts, (), ALLOWED, 10**6, spare) for spare in (1499, 1500)]
    assert spent == [11990, 11500]
