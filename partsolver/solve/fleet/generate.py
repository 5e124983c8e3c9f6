"""One goal of a fleet: columns are found by price until the bound closes, then CP-SAT chooses among them.

1. The relaxation over the columns known gives prices; each class is asked for plans worth more than its own
   price. When none has any, the relaxation over *all* plans is solved: its value bounds every choice.
2. CP-SAT chooses in whole numbers among the columns known.
3. What is left between the two is searched, best bound first. A choice that is better by one holds only
   columns whose worth is within the difference to the bound: where these are few, all are asked for, and what
   CP-SAT proves of them holds for all plans. Else the delivery of one seller is decided (nothing ordered,
   paid, free): a share of a delivery costs the relaxation only a share of its price, and that is most of the
   difference.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import floor
from typing import Any

from partsolver.base.errors import NotDecided
from partsolver.base.records import record
from partsolver.fleet.goals import FINE, KEPT, Measured
from partsolver.fleet.goods import OneCopy
from partsolver.fleet.prices import SCALE
from partsolver.fleet.records import Column, Goods
from partsolver.fleet.work import Answer, Ask, Question
from partsolver.model.solve import Limits
from partsolver.solve.fleet.aim import MOST_NODES, SMALL_FLEET, Aim
from partsolver.solve.fleet.close import NOTHING_MORE, ROUNDING, plans_within, undecided
from partsolver.solve.fleet.form import MUCH, Fixed, Form, Key, State, States, Supply, joint_form
from partsolver.solve.fleet.propose import FLOWS, proposed, whole_part
from partsolver.solve.fleet.relax import Relaxed, prices_of, relaxed, worth_of
from partsolver.solve.fleet.smooth import STAYS, Point, between, share_after
from partsolver.solve.fleet.whole import chosen

# Plans asked of a class in each round of prices.
WANTED, MOST_WANTED = 4, 16
# Plans of a class that are asked for to close a difference: while a seller can still be decided, and at the end.
FEW, MANY = 1000, 4000
FEW_OF_MANY, MANY_OF_MANY = 150, 400
# The share of the solver's limit that each part may take, and that the first choice of a later goal may take; after
# a goal that was left open.
SHARE, OPEN_SHARE = 8, 16
# Of a goal that is only told beside the answer (what more money would reach).
MOST_BESIDE = 3
# Larger fleets are searched to within this share of the bound.
ENOUGH = 0.004
# A large fleet's choice is looked for once the relaxation is within so many times that share of the bound,
# and again when the relaxation changed by more than so much of that share.
NEAR_ENOUGH, LEFT = 2, 0.3
# Prices are not asked again when the relaxation is within this part of that share of the bound.
NO_MORE = 0.1
# Columns of a class among which the first choice is looked for.
CORE = 40
# Plans of all classes that are known at once, of a large fleet.
MOST_KNOWN = 3000
# Plans among all of which HiGHS looks for a choice in reasonable time.
MOST_TRIED = 1200
Progress = Callable[[str], None]
# What was solved before of a question (its text is only made where something is remembered), or what is
# solved now; plain lists and whole numbers.
Remember = Callable[[Callable[[], str], Callable[[], Any]], Any]


@record
class Reached:
    """A goal reached: its value and proven bound (both as maximised), and the choice by the form's keys."""

    value: int
    bound: int
    values: Mapping[Key, int]


@record
class _Node:
    """The choices with some deliveries decided: no one is worth more than ``bound``."""

    states: States
    bound: float


class Generator:
    """The columns known of each class, growing goal by goal."""

    def __init__(
        self,
        supply: Supply,
        columns: Sequence[Sequence[Column]],
        bundled: Sequence[Goods],
        ask: Ask,
        limits: Limits,
        progress: Progress,
        remember: Remember = lambda question, solve: solve(),
    ) -> None:
        self.remember = remember
        self._one_copy = OneCopy()
        self.supply, self.ask = supply, ask
        self.bundled = tuple(map(self._one_copy.goods, bundled))
        self.limits, self.progress = limits, progress
        self.columns = [
            dict.fromkeys(map(self._one_copy.column, sorted(listed, key=lambda c: c.order)))
            for listed in columns
        ]
        self.standing = [[c for c in listed if c.kind != "plan"] for listed in columns]
        self.values: Mapping[Key, int] = {}
        self._value = -MUCH
        self._exact = True
        # The relaxation's value when a choice was last looked for near it.
        self._dived_at = float("inf")
        # How many parts of the choices of a goal are looked at, at most.
        self.most_nodes = MOST_NODES
        # Whether a goal before was left open: then what follows is not searched to its end.
        self.is_open = False

    def reach(self, fixed: Sequence[Fixed], goal: Measured | None, most: int = MUCH) -> Reached:
        """The best value of a goal among what the fixed ones leave. ``most``: none is better (proven before)."""
        aim = Aim(fixed, goal, sum(self.supply.sizes), most)
        self._exact = goal == KEPT or not self.is_large
        form = self._form(aim, {})
        # The choice of the goal before keeps what is reached.
        self._value = form.value_of(self.values) if self.values else -MUCH
        bound = min(self._search(aim), aim.most)
        if not self.values or self._value == -MUCH:
            raise NotDecided("how the stock is best shared among the PCs")
        return Reached(self._value, max(bound, self._value), self.values)

    def may_reach(self, fixed: Sequence[Fixed], goal: Measured, count: int) -> bool:
        """Whether the relaxation leaves so much of a goal possible."""
        aim = Aim(fixed, goal, sum(self.supply.sizes))
        self._exact = not self.is_large
        self._value = -MUCH
        bound, _, _ = self._relax(aim, {}, "", wanted=count)
        return floor(bound + ROUNDING) >= count

    # -- the search ------------------------------------------------------------------------------------------------

    def _search(self, aim: Aim) -> int:
        """A bound of the goal; the best choice found is noted on the way."""
        waiting: list[tuple[float, int, _Node]] = [(0.0, 0, _Node({}, float(MUCH)))]
        left, looked = -float(MUCH), 0
        while waiting:
            _, _, node = heapq.heappop(waiting)
            if self._is_enough(node.bound):
                left = max(left, node.bound)
                break
            if looked >= (1 if self.is_open else min(aim.most_nodes, self.most_nodes)):
                left = max(left, node.bound)
                break
            bound, more = self._look(aim, node, first=not looked)
            looked += 1
            if not more:
                left = max(left, bound)
            for place, states in enumerate(more):
                heapq.heappush(waiting, (-bound, 3 * looked + place, _Node(states, bound)))
        return floor(left + ROUNDING)

    def _is_enough(self, bound: float) -> bool:
        """Whether nothing is left between the best choice and a bound (or too little to look for: of a
        large fleet, unless what is asked is how many plans can stay)."""
        return floor(bound + ROUNDING) <= self._value + self._slack(bound)

    def _slack(self, bound: float) -> float:
        """What is too little to look for: nothing in a small fleet."""
        return 0.0 if self._exact else ENOUGH * abs(bound)

    @property
    def is_large(self) -> bool:
        return sum(self.supply.sizes) > SMALL_FLEET

    def _look(self, aim: Aim, node: _Node, first: bool) -> tuple[float, list[States]]:
        """The bound of a node as far as it was closed, and the nodes into which it falls apart."""
        words = f", {len(node.states)} deliveries decided" if node.states else ""
        above, found, form = self._relax(aim, node.states, words)
        bound = min(node.bound, above)
        if first and not self._is_enough(bound):
            self._first_choice(aim, found, form, bound)
        if self._is_enough(bound):
            return bound, []
        seller = undecided(found, node.states, self.supply.sellers)
        few, many = (FEW, MANY) if aim.is_narrow else (FEW_OF_MANY, MANY_OF_MANY)
        closed = self._close(aim, node, form, found, bound, few if seller else many)
        if closed is not None:
            return min(bound, closed), []
        if seller is None:
            return bound, []
        states: list[State] = ["paid", "closed"]
        if ("free", seller) in form.index:
            states.append("free")
        return bound, [{**node.states, seller: state} for state in states]

    def _first_choice(self, aim: Aim, found: Relaxed, form: Form, bound: float) -> None:
        """Look for a choice among all that is known. What CP-SAT proves at once, it proves sooner than HiGHS; where it
        does not, it goes on best from what HiGHS finds. Of many PCs and of a gain it proves nothing."""
        if not aim.is_narrow:
            self._propose(aim, found, form)
            if aim.is_of_gain and self.values:
                return
        proven = None
        if not (self.is_large and self.values) and not self._is_enough(bound):
            proven = self._choose(form, self._share(), floor(bound + ROUNDING))
        if aim.is_narrow and proven is None and not (self.is_open and aim.goal == FINE):
            self._propose(aim, found, form)

    def _share(self) -> Limits:
        share = OPEN_SHARE if self.is_open else SHARE
        return replace(self.limits, deterministic_s=self.limits.deterministic_s / share)

    def _propose(self, aim: Aim, found: Relaxed, form: Form) -> None:
        """Look for a better choice with HiGHS: of a small fleet among the columns that the relaxation leaves
        out for little, of a large one among all; where they are too many, for the PCs that the relaxation does not
        serve whole."""
        if not self.is_large:
            core = [
                sorted(listed, key=lambda c: (found.left_out.get(("pcs", i, c), MUCH), c.order))[:CORE]
                for i, listed in enumerate(self.columns)
            ]
            form = self._form(aim, {}, core)
        elif sum(map(len, self.columns)) > MOST_TRIED:
            if self._dived_at != found.value:
                self._take(form, proposed(form, self._gap(aim), whole_part(form, found, None)))
            return
        self._take(form, self._proposed(form, self._gap(aim)))

    def _proposed(self, form: Form, gap: float) -> Sequence[int]:
        found: Sequence[int] = self.remember(
            lambda: f"propose {gap} {form.numbers()}",
            lambda: proposed(form, gap, flows=FLOWS if self.is_large else ()),
        )
        return found

    def _gap(self, aim: Aim) -> float:
        """The share of the bound that HiGHS may leave."""
        return 0.0 if self._exact and aim.goal != FINE else ENOUGH / 2

    def _choose(self, form: Form, limits: Limits, most: int) -> int | None:
        """Look for a choice better than the best known; what CP-SAT proves, if it proves it."""
        above = self._value if self.values else None
        asked = [self.values.get(key, 0) for key in form.keys] if self.values else []
        numbers, bound = self.remember(
            lambda: f"choose {limits} {above} {most} {asked} {form.numbers()}",
            lambda: chosen(form, limits, self.values, above, most).plain,
        )
        self._take(form, numbers)
        return bound if bound < MUCH else None

    def _take(self, form: Form, numbers: Sequence[int]) -> None:
        """Note a choice that is better than the best known."""
        if numbers:
            values = form.whole(numbers)
            worth = form.value_of(values)
            if not self.values or worth > self._value:
                self.values, self._value = values, worth
                for key, count in values.items():
                    if key[0] == "pcs" and count:
                        self.columns[key[1]][key[2]] = None

    def _close(
        self, aim: Aim, node: _Node, form: Form, found: Relaxed, bound: float, most: int
    ) -> float | None:
        """The bound that CP-SAT proves where the columns within the difference are few; None where it is
        open."""
        if not self.values:
            return None
        prices, worth = prices_of(form, found, self.supply), worth_of(aim.goal, aim.fixed, found)
        floors = [found.of_class(i) for i in range(len(self.columns))]

        def ask(allowance: int) -> Sequence[Answer]:
            return self.ask(
                [Question(i, worth, prices, floor - allowance, most) for i, floor in enumerate(floors)]
            )

        above = max(bound, found.value)
        answers = plans_within(ask, floors, self.supply.sizes, found.value, above, self._value)
        if not all(complete for _, complete in answers):
            return None
        # Only those that are chosen stay (_take): all of them would make every later relaxation slow.
        listed = [
            [*standing, *(self._one_copy.column(column) for _, column in plans)]
            for standing, (plans, _) in zip(self.standing, answers, strict=True)
        ]
        fewer = self._form(aim, node.states, listed)
        return self._choose(fewer, self._share(), floor(bound + ROUNDING))

    # -- the relaxation --------------------------------------------------------------------------------------------

    def _form(self, aim: Aim, states: States, listed: Sequence[Sequence[Column]] | None = None) -> Form:
        """The joint choice among columns (all known ones where none are listed), in their total order."""
        ordered = [sorted(found, key=lambda c: c.order) for found in listed or self.columns]
        form = joint_form(self.supply, ordered, self.bundled, aim.fixed, aim.goal)
        form.decide(states)
        return form

    def _wanted(self, number: int) -> int:
        """Plans asked of a class in each round: more of one with many PCs, which share out short parts."""
        return min(MOST_WANTED, max(WANTED, self.supply.sizes[number]))

    def _dive(self, aim: Aim, form: Form, found: Relaxed, bound: float) -> bool:
        """Whether a choice near enough to the bound is known; looked for, once the relaxation is near it, for
        the PCs that it does not serve whole."""
        if self._is_enough(bound):
            return True
        slack = self._slack(bound)
        if found.value < bound - NEAR_ENOUGH * slack or abs(self._dived_at - found.value) < LEFT * slack:
            return False
        self._dived_at = found.value
        # First what the relaxation says alone, then what the best choice says, too: that leaves it possible.
        looks = (None,) if aim.is_last_of_many else (None, self.values)
        for known in looks:
            # Near the relaxation only a better bound helps.
            if self._value < found.value - LEFT * slack:
                self._take(form, proposed(form, self._gap(aim), whole_part(form, found, known)))
        return self._is_enough(bound)

    def _relax(
        self, aim: Aim, states: States, words: str, wanted: int | None = None
    ) -> tuple[float, Relaxed, Form]:
        """The least bound of all rounds, the last relaxation, and its form. ``wanted``: no more is asked than
        whether so much is possible."""
        best = float("inf")
        centre: Point | None = None
        stays, self._dived_at = STAYS, float("inf")
        last: tuple[Relaxed, Form] | None = None
        for number in range(aim.most_rounds):
            form = self._form(aim, states)
            found = relaxed(form)
            if found is None:
                break  # the rounds before hold
            last = found, form
            plans = sum(map(len, self.columns))
            self.progress(f"round {number + 1} of prices{words}, {plans} plans")
            self._forget(found)
            newest = self._point(aim, form, found)
            mixed = newest if centre is None else between(centre, newest, stays)
            above, new = self._plans_at(mixed, found if mixed is newest else None)
            stays = share_after(stays, above < best)
            if above < best:
                best, centre = above, mixed if self._smooth else None
            best = min(best, float(aim.most))
            if wanted is not None and not found.value < wanted - ROUNDING <= best:
                break  # the plans known reach it, or none do
            if wanted is None and not self._exact and self._dive(aim, form, found, best):
                break
            if best - found.value < max(ROUNDING, NO_MORE * self._slack(best)):
                break
            if not new and mixed is newest:
                break
            if not new:
                centre = None  # the mixture has nothing more to say: the newest prices alone
        if last is None:
            raise NotDecided("how the stock is best shared among the PCs")
        return best, *last

    def _forget(self, found: Relaxed) -> None:
        """Forget plans that the relaxation leaves out for most, where so many are known that it becomes slow:
        those worth asking for again come again."""
        if not self._smooth or sum(map(len, self.columns)) <= MOST_KNOWN:
            return
        for i, listed in enumerate(self.columns):
            used = {c for c in listed if c.kind != "plan" or ("pcs", i, c) in found.values}
            used |= {c for c in listed if self.values.get(("pcs", i, c))}
            by_loss = sorted(listed, key=lambda c: (found.left_out.get(("pcs", i, c), MUCH), c.order))
            used |= set(by_loss[:CORE])
            self.columns[i] = dict.fromkeys(c for c in listed if c in used)

    @property
    def _smooth(self) -> bool:
        """Whether prices are mixed: of a large fleet whose PCs have no plans to keep."""
        return not self._exact and not self.supply.former

    def _point(self, aim: Aim, form: Form, found: Relaxed) -> Point:
        of_classes = sum(size * found.duals[("class", i)] for i, size in enumerate(self.supply.sizes))
        return Point(
            prices_of(form, found, self.supply),
            worth_of(aim.goal, aim.fixed, found),
            found.value - of_classes,
        )

    def _plans_at(self, point: Point, found: Relaxed | None) -> tuple[float, bool]:
        """Note the plans worth most at some prices; the bound that these prices prove, and whether any plan
        is new. ``found``: the relaxation of which they are, where they are no mixture."""
        floors = [
            point.of_standing(self.supply.figures[i], standing) if found is None else found.of_class(i)
            for i, standing in enumerate(self.standing)
        ]
        answers = self.ask(
            [
                Question(i, point.worth, point.prices, floor + NOTHING_MORE, self._wanted(i), spread=True)
                for i, floor in enumerate(floors)
            ]
        )
        above, new = point.shared, False
        for i, (plans, _) in enumerate(answers):
            best = max([floors[i], *(value for value, _ in plans[:1])])
            above += self.supply.sizes[i] * best / SCALE
            for _, column in plans:
                if column not in self.columns[i]:
                    new = True
                    self.columns[i][self._one_copy.column(column)] = None
        return above, new
