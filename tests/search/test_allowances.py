"""Up to how much money rows are looked at; sets compared by a table."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from partsolver.base.quantities import FAR
from partsolver.search.allowances import FIRST_COST_WIDTH, LEAST_COST_WIDTH, Money
from partsolver.search.coolers import _Sets


def threefold(width: int) -> int:
    return 3 * width


def test_money_is_widened_until_there_is_no_more_of_it() -> None:
    money = Money(5_000, 20_000, threefold)
    seen = []
    while not seen or seen[-1] < 20_000:
        seen.append(money.limit(FAR))
        assert money.widen()
    assert seen == [5_000 + FIRST_COST_WIDTH, 8_000, 14_000, 20_000]
    assert money.limit(9_000) == 9_000


@given(st.integers(0, 60_000), st.integers(0, 60_000))
def test_money_comes_near_to_what_the_rows_allow(start: int, allowed: int) -> None:
    """The looks that are few enough rise, and end within the least width of the most that would be."""
    money, best, going = Money(start, FAR, threefold), start, True
    for _ in range(60):
        limit = money.limit(FAR)
        if limit <= start + allowed:
            assert limit > best
            best, going = limit, money.widen()
        else:
            going = money.narrow(limit)
        if not going:
            break
    assert not going and best <= start + allowed < best + 2 * LEAST_COST_WIDTH + 1


def test_money_that_is_short_is_narrowed_from_what_there_is() -> None:
    money = Money(10_000, 10_500, threefold)
    assert money.limit(FAR) == 10_500 and money.narrow(10_500)
    assert money.limit(FAR) == 10_250


@given(st.lists(st.frozensets(st.integers(0, 5)), min_size=1, max_size=8))
def test_sets_are_compared_as_sets(sets: list[frozenset[int]]) -> None:
    compared = _Sets(sets)
    for place, own in enumerate(sets):
        assert compared.holding(place).tolist() == [other >= own for other in sets]


def test_a_look_that_is_wider_by_the_least_is_worth_it() -> None:
    """Looked at up to 10.00; half the way to 14.00 is 2.00 more, half the way to 13.99 is less."""
    for limit, worth in ((1400, True), (1399, False)):
        money = Money(0, FAR, lambda width: 5000)
        assert money.widen() and money.narrow(limit) is worth
