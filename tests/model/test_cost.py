"""What the model says that lines, bundles and deliveries cost: every way to buy of tiny shops, with its cost by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from enumerated import solutions
from ortools.sat.python import cp_model
from support import BOARD, CPU, KIT, make_problem

from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.model.cost import post_cost, post_purchases
from partsolver.model.picks import Picks

PASTE = Extra(id="paste", name="Paste", kind="paste")
ONLY_BOARDS: dict[str, Any] = {"cpus": (), "memory": (), "coolers": ()}


def costed(sellers: Sequence[Seller], offers: Sequence[Offer], **tables: Any) -> Picks:
    picks = Picks(
        cp_model.CpModel(), make_problem(**{"sellers": sellers, "offers": offers, **ONLY_BOARDS, **tables})
    )
    post_purchases(picks)
    picks.cost = post_cost(picks)
    return picks


def ways(picks: Picks) -> set[tuple[tuple[str, ...], int]]:
    """Every way to buy: what is bought from whom, and the cost."""
    names = [f"{p.item}*{p.quantity}@{p.offer.seller}" for p in picks.purchases]
    names += [b.bundle.id for b in picks.bundles]
    literals = [p.literal for p in picks.purchases] + [b.literal for b in picks.bundles]
    found = solutions(picks.model, *literals, picks.cost)
    return {(tuple(n for n, on in zip(names, row[:-1], strict=True) if on), row[-1]) for row in found}


def test_each_part_comes_from_one_seller_and_brings_its_delivery() -> None:
    """A board for 10.00 at `near` (delivery 1.00) or 9.00 at `far` (delivery 3.00), or none."""
    sellers = [Seller("near", "Near", 100), Seller("far", "Far", 300)]
    picks = costed(sellers, [Offer(BOARD.id, "near", 1000), Offer(BOARD.id, "far", 900)])
    assert ways(picks) == {((), 0), (("board-a*1@near",), 1100), (("board-a*1@far",), 1200)}
    assert set(picks.seller_used) == set(picks.seller_goods) == {"near", "far"}
    # The dearest way, and both deliveries.
    assert picks.most[picks.cost.index] == 1000 + 100 + 300
    assert {name: picks.most[v.index] for name, v in picks.seller_goods.items()} == {"far": 900, "near": 1000}


@pytest.mark.parametrize("price, cost", [(2999, 3489), (3000, 3000), (3001, 3001)])
def test_a_delivery_is_free_from_its_value_on(price: int, cost: int) -> None:
    shop = Seller("shop", "Shop", 490, 3000)
    assert ways(costed([shop], [Offer(BOARD.id, "shop", price)])) == {((), 0), (("board-a*1@shop",), cost)}


def test_goods_of_one_seller_are_added_up() -> None:
    """17.00 and 13.00: free together; alone each is delivered for 4.90."""
    shop = Seller("shop", "Shop", 490, 3000)
    picks = costed([shop], [Offer(BOARD.id, "shop", 1700), Offer(CPU.id, "shop", 1300)], cpus=[CPU])
    both = ("board-a*1@shop", "cpu-a*1@shop")
    assert ways(picks) == {((), 0), (both[:1], 2190), (both[1:], 1790), (both, 3000)}
    used, goods = picks.seller_used["shop"], picks.seller_goods["shop"]
    assert solutions(picks.model, used, goods) == {(0, 0), (1, 1700), (1, 1300), (1, 3000)}
    # 17.00 + 13.00 + 4.90.
    assert picks.most[picks.cost.index] == 3490


def test_two_sellers_that_share_an_order() -> None:
    sellers = [Seller("near", "Near", 100, 2000), Seller("far", "Far", 0)]
    offers = [Offer(BOARD.id, "near", 1500), Offer(CPU.id, "near", 500), Offer(CPU.id, "far", 450)]
    picks = costed(sellers, offers, cpus=[CPU])
    assert ways(picks) == {
        ((), 0),
        (("board-a*1@near",), 1600),
        (("cpu-a*1@near",), 600),
        (("cpu-a*1@far",), 450),
        (("board-a*1@near", "cpu-a*1@near"), 2000),
        (("board-a*1@near", "cpu-a*1@far"), 2050),
    }
    # Nothing hangs on whether `far` is used: no delivery, no least order.
    assert set(picks.seller_used) == {"near"}


def test_a_least_order_alone_has_its_seller_told_apart() -> None:
    picks = costed([Seller("shop", "Shop", 0, None, 5000)], [Offer(BOARD.id, "shop", 1000)])
    assert set(picks.seller_used) == {"shop"} and ways(picks) == {((), 0), (("board-a*1@shop",), 1000)}


def test_kits_are_priced_by_their_number() -> None:
    picks = costed([Seller("shop", "Shop", 90)], [Offer(KIT.id, "shop", 700)], boards=(), memory=[KIT])
    assert ways(picks) == {((), 0), (("kit-a*1@shop",), 790), (("kit-a*2@shop",), 1490)}
    assert picks.most[picks.cost.index] == 1490


def test_what_lies_in_a_bundle_is_not_bought_again() -> None:
    shop = Seller("shop", "Shop", 0)
    pair = Bundle("set", "Set", "parts", ((BOARD.id, 1), (CPU.id, 1)), "shop", 2500)
    offers = [Offer(BOARD.id, "shop", 2000), Offer(CPU.id, "shop", 1000)]
    picks = costed([shop], offers, cpus=[CPU], bundles=[pair])
    assert ways(picks) == {
        ((), 0),
        (("board-a*1@shop",), 2000),
        (("cpu-a*1@shop",), 1000),
        (("board-a*1@shop", "cpu-a*1@shop"), 3000),
        (("set",), 2500),
    }
    assert picks.most[picks.cost.index] == 2000 + 1000 + 2500


def test_a_bundle_counts_as_goods_of_its_seller() -> None:
    shop = Seller("shop", "Shop", 400, 2500)
    pair = Bundle("set", "Set", "parts", ((BOARD.id, 1), (CPU.id, 1)), "shop", 2499)
    offers = [Offer(BOARD.id, "shop", 2000), Offer(CPU.id, "shop", 400)]
    found = dict(ways(costed([shop], offers, cpus=[CPU], bundles=[pair])))
    assert found["set",] == 2899 and found["board-a*1@shop", "cpu-a*1@shop"] == 2800


def test_needs_are_part_of_the_cost_and_of_its_most() -> None:
    """Paste for 3.00 or 2.00 with the board: the dearest counts for the most cost."""
    sellers = [Seller("near", "Near", 50), Seller("far", "Far")]
    offers = [Offer(BOARD.id, "near", 1000), Offer("paste", "near", 300), Offer("paste", "far", 200)]
    picks = Picks(
        cp_model.CpModel(), make_problem(sellers=sellers, offers=offers, extras=[PASTE], **ONLY_BOARDS)
    )
    picks.need("rule.x", "key", [("paste", 2)], [picks.literal("board", BOARD.id)], picks.true)
    post_purchases(picks)
    picks.cost = post_cost(picks)
    assert ways(picks) == {
        ((), 0),
        (("paste*2@near", "board-a*1@near"), 1650),
        (("paste*2@far", "board-a*1@near"), 1450),
    }
    assert picks.most[picks.cost.index] == 1000 + 600 + 50


def test_the_most_cost_is_no_more_than_all_terms_together() -> None:
    """Of boards for 10.00 and 8.00 the dearest counts, or all that is for sale where that is less: here both
    are delivered by one of two sellers, and the other sells nothing."""
    boards = [BOARD, replace(BOARD, id="board-b", name="Board B")]
    sellers = [Seller("shop", "Shop", 100), Seller("idle", "Idle", 5000)]
    offers = [Offer("board-a", "shop", 1000), Offer("board-b", "shop", 800)]
    picks = costed(sellers, offers, boards=boards)
    assert picks.most[picks.cost.index] == min(1000 + 100 + 5000, 1000 + 800 + 100)
    picks = costed(sellers[:1], offers, boards=boards)
    assert picks.most[picks.cost.index] == 1100


@pytest.mark.parametrize("free_from", [500, 1000, 1001, 4000])
def test_whether_a_delivery_is_free_hangs_on_the_goods_alone(free_from: int) -> None:
    """Nothing bought is never free; what is above the value always is."""
    picks = costed([Seller("shop", "Shop", 90, free_from)], [Offer(BOARD.id, "shop", 1000)])
    names = [v.name for v in picks.model.proto.variables]
    free = picks.model.get_bool_var_from_proto_index(names.index("free:shop"))
    assert solutions(picks.model, picks.seller_used["shop"], free) == {(0, 0), (1, int(free_from <= 1000))}
