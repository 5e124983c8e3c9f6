"""What a plan costs: items, bundles and delivery, with the seller of each line chosen so that the sum is
least.

The seller choice is the "internet shopping optimisation problem" (Blazewicz, Kovalyov, Musial, Urbanski,
Wojciechowski: Int. J. Appl. Math. Comput. Sci. 20(2), 2010, 385-390): every line from one seller, a delivery
charge per seller used, here with a value from which delivery is free and a least order value.
"""

from __future__ import annotations

from collections import defaultdict

from partsolver.model.cpsat import cp_model
from partsolver.model.picks import BoolVar, BundlePurchase, Picks
from partsolver.plan.bundles import bundle_group, purchase_group, usable_bundles
from partsolver.problem.candidates import SLOTS, Candidate


def post_purchases(picks: Picks) -> None:
    """Every picked candidate that is not kept is bought from one offer or lies in a bundle that is bought."""
    problem, model = picks.problem, picks.model
    groups: dict[tuple[str, str, int], list[tuple[Candidate, BoolVar]]] = {}
    for slot in SLOTS:
        for candidate, literal in picks.candidates(slot):
            if candidate.id is not None:
                groups.setdefault(purchase_group(candidate), []).append((candidate, literal))
    in_bundles: dict[tuple[str, str, int], list[BoolVar]] = defaultdict(list)
    for bundle in usable_bundles(problem):
        literal = model.new_bool_var(f"bundle:{bundle.id}")
        picks.bundles.append(BundlePurchase(literal, bundle))
        for item in bundle_group(problem, bundle):
            in_bundles[item].append(literal)
    for group, members in groups.items():
        candidate = members[0][0]
        assert candidate.id is not None
        wanted = sum(literal for _, literal in members)
        picks.buy(candidate.id, candidate.quantity, candidate.offers, wanted, in_bundles.get(group, ()))


def post_cost(picks: Picks) -> cp_model.IntVar:
    """The total cost in minor units as one variable. Call after every rule has posted its needs."""
    problem, model = picks.problem, picks.model
    goods: dict[str, list[tuple[BoolVar, int]]] = defaultdict(list)
    for purchase in picks.purchases:
        goods[purchase.offer.seller].append((purchase.literal, purchase.offer.price * purchase.quantity))
    for bought in picks.bundles:
        goods[bought.bundle.seller].append((bought.literal, bought.bundle.price))
    terms: list[tuple[BoolVar, int]] = [term for seller in sorted(goods) for term in goods[seller]]
    picks.seller_used = {}
    picks.seller_goods = {}
    for name in sorted(goods):
        seller = problem.sellers[name]
        if not (seller.delivery or seller.minimum_order):
            continue
        used = model.new_bool_var(f"seller:{name}")
        for literal, _ in goods[name]:
            model.add_implication(literal, used)
        model.add_bool_or([~used, *[literal for literal, _ in goods[name]]])
        value = picks.integer(sum(price for _, price in goods[name]), f"goods:{name}")
        model.add(
            value
            == cp_model.LinearExpr.weighted_sum(
                [lit for lit, _ in goods[name]], [price for _, price in goods[name]]
            )
        )
        picks.seller_used[name], picks.seller_goods[name] = used, value
        if seller.delivery:
            charged = used
            if seller.free_from is not None:
                free = model.new_bool_var(f"free:{name}")
                # As plain rows: presolve puts the prices in the place of the value, and enforced rows of
                # Booleans above 2**31 were solved wrongly (OR-tools #5293).
                most = sum(price for _, price in goods[name])
                model.add(value >= seller.free_from * free)
                model.add(value <= seller.free_from - 1 + max(0, most - seller.free_from + 1) * free)
                charged = picks.both(used, ~free)
            terms.append((charged, seller.delivery))
    cost = picks.integer(_most_cost(picks, terms), "cost")
    model.add(
        cost == cp_model.LinearExpr.weighted_sum([lit for lit, _ in terms], [amount for _, amount in terms])
    )
    return cost


def _most_cost(picks: Picks, terms: list[tuple[BoolVar, int]]) -> int:
    """No plan costs more: the dearest way per slot and need, all bundles and deliveries."""
    dearest: dict[tuple[str, int], int] = defaultdict(int)
    for purchase in picks.purchases:
        key = (purchase.item, purchase.quantity)
        dearest[key] = max(dearest[key], purchase.offer.price * purchase.quantity)
    total = 0
    counted: set[tuple[str, int]] = set()
    for slot in SLOTS:
        keys = {(c.id, c.quantity) for c, _ in picks.candidates(slot) if c.id is not None}
        total += max((dearest[key] for key in keys), default=0)
        counted |= keys
    for chosen in picks.needs.values():
        total += sum(dearest[extra, quantity] for extra, quantity, _ in chosen)
    total += sum(bought.bundle.price for bought in picks.bundles)
    total += sum(picks.problem.sellers[name].delivery for name in picks.problem.sellers)
    return min(total, sum(amount for _, amount in terms))
