"""A plain search for a few good plans. They only steer the pruning (an upper bound) and are never shown.

Rows (model/rows.py) are looked at in the order of their lower bounds; what a rule says of some parts is remembered, so
most rows cost a few dictionary look-ups. The search ends when no row left can be better, or at a limit on its work:
then the bound is weaker and the model has more to prove, but nothing is lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import islice, product
from typing import Any

import numpy as np

from partsolver.model.identity import facts_of, identity
from partsolver.model.objective import step_of
from partsolver.model.pool import FAR, REST, Pool
from partsolver.model.rows import Columns, Rows
from partsolver.performance.time import time_ppm
from partsolver.planner import allowed_by, complete, judge
from partsolver.problem import BOXED_COOLER, SLOTS, Candidate, Draft, Need, Parts, Problem
from partsolver.purchase import bundles_within
from partsolver.rules.base import Rule, needs_of

# Drafts bought and judged in full, and rows looked at, in one search.
MOST_DRAFTS, MOST_LOOKS = 60, 4_000
# Ways to fill the slots of supply, case and drive that are tried.
MOST_RESTS = 12
# Minor units above the least cost up to which rows are looked at first.
FIRST_COST_WIDTH = 1000
# Rows of a processor that are tried in the first pass.
MOST_FIRST = 20


class Quick:
    """Whether a rule can admit parts and what its needs cost, remembered by the keys of the slots the rule reads."""

    def __init__(self, problem: Problem, rules: Sequence[Rule]) -> None:
        self.problem = problem
        self.every = tuple(rules)
        self.rules = [rule for rule in rules if not rule.ID.startswith("buying.")]
        self.allowed = allowed_by(problem, rules)
        self.buying = [rule for rule in rules if rule.ID.startswith("buying.")]
        # FAR: refused; else the least its needs cost. By kind: rules treat twins alike.
        self._known: dict[Any, int] = {}
        self._kinds: dict[Any, int] = {}
        self._kind: dict[tuple[str, str], int] = {}
        self.slots = [(rule, tuple(SLOTS.index(s) for s in rule.SLOTS)) for rule in self.rules]
        self._least: dict[tuple[str, int], int] = {}
        self._rounds: dict[Any, list[tuple[Rule, tuple[int, ...]]]] = {}

    def kind(self, candidate: Candidate) -> int:
        """A number that twins share: candidates whom every rule treats alike."""
        key = (candidate.slot, candidate.key)
        found = self._kind.get(key)
        if found is None:
            facts = (candidate.slot, facts_of(candidate))
            found = self._kind[key] = self._kinds.setdefault(facts, len(self._kinds))
        return found

    def cost(self, rule: Rule, slots: tuple[int, ...], parts: Parts) -> int:
        """Least cost of what the rule needs bought, FAR when it refuses the parts."""
        picked = parts.picked
        key = (rule.ID, *[self.kind(picked[i]) for i in slots])
        known = self._known.get(key)
        if known is None:
            needs = needs_of(rule, parts, self.problem)
            if needs:
                known = min(FAR, sum(self._need(need) for need in needs))
            else:
                known = 0 if all(f.admits for f in rule.admits(Draft(parts, (), (), 0, 0), self.problem)) else FAR
            self._known[key] = known
        return known

    def _need(self, need: Need) -> int:
        return min((self._extra(extra, n) for extra, n in need.options), default=FAR)

    def _extra(self, extra: str, count: int) -> int:
        if (extra, count) not in self._least:
            offers = self.problem.extra_offers[extra]
            self._least[extra, count] = min((count * o.price for o in offers if self.allowed.offer(o, count)), default=FAR)
        return self._least[extra, count]

    def least(self, parts: Parts, read: frozenset[str], without: frozenset[str] = frozenset()) -> int:
        """Least cost of the needs of the rules that read only these slots (and not only ``without``), FAR: refused."""
        total = 0
        listed = self._reading(read, without)
        for place, (rule, slots) in enumerate(listed):
            total += self.cost(rule, slots, parts)
            if total >= FAR:
                # What refuses one often refuses the next: asked first from now on.
                listed.insert(0, listed.pop(place))
                return FAR
        return total

    def _reading(self, read: frozenset[str], without: frozenset[str]) -> list[tuple[Rule, tuple[int, ...]]]:
        key = (read, without)
        if key not in self._rounds:
            self._rounds[key] = [(r, s) for r, s in self.slots if read.issuperset(r.SLOTS) and not without.issuperset(r.SLOTS)]
        return self._rounds[key]

    def bought_well(self, draft: Draft) -> bool:
        """Whether the buying rules admit a draft whose parts all other rules admit."""
        return all(f.admits for f in judge(self.problem, draft, self.buying))


class CostBound:
    """A close lower bound of what a plan costs: goods, needs, the cheapest cooler that serves, deliveries."""

    def __init__(self, pool: Pool, quick: Quick, most_cost: int) -> None:
        self.pool, self.quick, self.most_cost = pool, quick, most_cost
        self._coolers = sorted(pool.left["cooler"], key=lambda c: pool.price["cooler", c.key])
        self._cooler_rules = [(r, s) for r, s in quick.slots if "cooler" in r.SLOTS]
        self._least_cooler: dict[tuple[str, str, str], int] = {}
        self._sellers: dict[str, dict[str, int]] = {}

    def least_cost(self, parts: Parts, rounds: Sequence[frozenset[str]]) -> int:
        """No plan of these parts costs less, whatever the cooler; FAR when a rule refuses them."""
        total, before = 0, frozenset[str]()
        for read in rounds:
            total += self.quick.least(parts, read, before)
            if total >= FAR:
                return FAR
            before = read
        total += self._cooler(parts)
        if total >= FAR:
            return FAR
        return total + self._goods(parts, total)

    def _cooler(self, parts: Parts) -> int:
        """The least a cooler costs that the rules admit on these parts (what it needs left out)."""
        key = (parts.picked[0].key, parts.picked[1].key, parts.picked[5].key)
        if key not in self._least_cooler:
            self._least_cooler[key] = self._find_cooler(parts)
        return self._least_cooler[key]

    def _find_cooler(self, parts: Parts) -> int:
        place = SLOTS.index("cooler")
        for cooler in self._coolers:
            if cooler.key == BOXED_COOLER and (parts.picked[1].kept or not parts.cpu.boxed_cooler):
                continue
            picked = list(parts.picked)
            picked[place] = cooler
            trial = Parts(tuple(picked))
            if all(self.quick.cost(rule, slots, trial) < FAR for rule, slots in self._cooler_rules):
                return self.pool.price["cooler", cooler.key]
        return FAR

    def _goods(self, parts: Parts, others: int) -> int:
        """Board, processor, memory, supply, case and drive from the sellers that make goods and deliveries cheapest.

        A delivery counts unless all money left over could lift the seller's goods to where delivery is free.
        """
        problem = self.pool.problem
        ways: list[dict[str, int]] = []
        for candidate in parts.picked:
            if candidate.slot == "cooler" or candidate.id is None:
                continue
            ways.append(self._offers(candidate))
        if not ways:
            return 0
        if problem.bundles and bundles_within(problem, parts, self.quick.allowed):
            return sum(self.pool.price[c.slot, c.key] for c in parts.picked if c.slot != "cooler")
        best = FAR
        for sellers in product(*(w.items() for w in ways)):
            goods: dict[str, int] = {}
            for name, price in sellers:
                goods[name] = goods.get(name, 0) + price
            cost = sum(goods.values())
            if cost >= best:
                continue
            spare = max(0, self.most_cost - cost - others) + others
            for name, value in goods.items():
                seller = problem.sellers[name]
                if seller.free_from is None or value + spare < seller.free_from:
                    cost += seller.delivery
            best = min(best, cost)
        return best

    def _offers(self, candidate: Candidate) -> dict[str, int]:
        """Cheapest allowed price at each seller."""
        key = f"{candidate.slot} {candidate.key}"
        if key not in self._sellers:
            found: dict[str, int] = {}
            for offer in candidate.offers:
                if offer.seller not in found and self.quick.allowed.offer(offer, candidate.quantity):
                    found[offer.seller] = offer.price * candidate.quantity
            self._sellers[key] = found
        return self._sellers[key]


class Search:
    """One search over the rows of a pool."""

    def __init__(self, pool: Pool, quick: Quick, most_time: int, most_cost: int) -> None:
        self.pool, self.quick = pool, quick
        self.most_time, self.most_cost = most_time, most_cost
        self.columns = Columns(pool)
        self.bounds = CostBound(pool, quick, most_cost)
        self.drafted = self.looked = 0
        self._drafts: dict[tuple[int, int, int], Draft | None] = {}
        several = frozenset(s for s in SLOTS if len(pool.left[s]) > 1)
        fixed = frozenset(SLOTS) - several
        # Rules in rounds, so that the first refusal of a pair spares all rows with it.
        self._rounds = [fixed | {"board", "cpu"}, fixed | {"board", "cpu", "memory"}, frozenset(SLOTS) - {"cooler"}]
        choices = [sorted(pool.left[s], key=lambda c: (pool.cost[s, c.key], not c.kept, c.key)) for s in REST]
        listed = list(islice(product(choices[0][:1], *(c[:MOST_RESTS] for c in choices[1:])), 4000))
        self._rests: list[tuple[Candidate, ...]] = sorted(listed, key=self._rest_cost)[:MOST_RESTS]

    def _rest_cost(self, rest: tuple[Candidate, ...]) -> int:
        return sum(self.pool.cost[c.slot, c.key] for c in rest)

    def rest(self) -> None:
        """Begin a new search with the full limit; what was found stays known."""
        self.drafted = self.looked = 0

    @property
    def spent(self) -> bool:
        """Whether the limit on the work is reached."""
        return self.drafted >= MOST_DRAFTS or self.looked >= MOST_LOOKS

    def _draft(self, rows: Rows, row: Any, below: int, most_time: int) -> Draft | None:
        """The plan of a row if there is one that costs less than ``below`` and is no slower, as far as was looked."""
        b, c, m = int(rows.board[row]), int(rows.cpu[row]), int(rows.memory[row])
        key = (b, c, m)
        known = self._drafts.get(key, self)
        if known is None or (known is not self and known.time_ppm <= most_time and known.cost < below):  # type: ignore[attr-defined]
            return known  # type: ignore[return-value]
        columns = self.columns
        main = (columns.boards[b], columns.cpus[c], columns.memory[m])
        below = min(below, self.most_cost + 1)
        refused = True
        for rest in self._rests:
            parts = Parts((*main, *rest))
            least = self.bounds.least_cost(parts, self._rounds)
            refused &= least > self.most_cost
            if least >= below:
                continue
            if time_ppm(self.pool.problem, parts) > most_time:
                continue
            self.drafted += 1
            draft = complete(self.pool.problem, parts, self.quick.every, self.quick.allowed, below)
            if draft is not None and self.quick.bought_well(draft):
                self._drafts[key] = draft
                return draft
        self.looked += not refused
        if refused:
            self._drafts[key] = None
        return None

    def refused(self, rows: Rows, row: int, most_time: int, most_cost: int) -> bool:
        """Whether no plan of a row can be had within a time and a cost (asked only where one candidate fills each other slot)."""
        if len(self._rests) > 1:
            return False
        columns = self.columns
        main = (columns.boards[rows.board[row]], columns.cpus[rows.cpu[row]], columns.memory[rows.memory[row]])
        parts = Parts((*main, *self._rests[0]))
        return self.bounds.least_cost(parts, self._rounds) > most_cost or time_ppm(self.pool.problem, parts) > most_time

    def fastest(self) -> Draft | None:
        """The fastest plan found; the true one unless the search is spent."""
        best: Draft | None = None
        columns = self.columns
        order = [int(i) for i in np.argsort(columns.cpu_bound, kind="stable") if columns.cpu_bound[i] <= self.most_time]
        # First the cheapest way to each processor, which fails at once where the money is short ...
        for number in order:
            rows = columns.of_cpu(number, self.most_time, self.most_cost, self._boards)
            for row in np.argsort(rows.cost, kind="stable")[:MOST_FIRST]:
                best = self._draft(rows, row, FAR, self.most_time)
                if best is not None or self.spent:
                    break
            if best is not None or self.spent:
                break
        # ... then everything that could be faster.
        self.rest()
        for number in order:
            most = self.most_time if best is None else best.time_ppm - 1
            if columns.cpu_bound[number] > most or self.spent:
                break
            rows = columns.of_cpu(number, most, self.most_cost, self._boards)
            for row in np.lexsort((rows.cost, rows.time_ppm)):
                if self.spent or (best is not None and rows.time_ppm[row] >= best.time_ppm):
                    break
                draft = self._draft(rows, row, FAR, most if best is None else best.time_ppm - 1)
                best = draft or best
        return best

    def _boards(self, board: int, cpu: int) -> bool:
        """Whether the rules about board and processor admit a pair (asked only where one candidate fills the others)."""
        if len(self._rests) > 1:
            return True
        pair = Parts((self.columns.boards[board], self.columns.cpus[cpu], self.columns.memory[0], *self._rests[0]))
        return self.quick.least(pair, self._rounds[0]) < FAR

    def best(self, least_ppm: int, resolution: Fraction, wanted: int) -> list[Draft]:
        """Different plans, those of few steps above the least time and of low cost first; ``wanted`` at most."""
        found: dict[Any, Draft] = {}
        width = 0
        while not self.spent:
            most = min(self.most_time, _step_end(least_ppm, resolution, width))
            rows = self.columns.within(most, self.most_cost)
            if rows is None:
                break
            steps = steps_of(rows.time_ppm, least_ppm, resolution)
            self._look(rows, steps, least_ppm, resolution, wanted, found)
            if len(found) >= wanted or most >= self.most_time:
                break
            width = 2 * width + 1
        return _first(found, least_ppm, resolution, wanted)

    def _look(self, rows: Rows, steps: Any, least_ppm: int, resolution: Fraction, wanted: int, found: dict[Any, Draft]) -> None:
        def value(draft: Draft) -> tuple[int, int]:
            return step_of(max(draft.time_ppm, least_ppm), least_ppm, resolution), draft.cost

        for row in np.lexsort((rows.cost, steps)):
            if self.spent:
                return
            below = FAR
            if len(found) >= wanted:
                worst = sorted(map(value, found.values()))[wanted - 1]
                if worst < (steps[row], rows.cost[row]):
                    return
                below = worst[1] if steps[row] == worst[0] else FAR
            draft = self._draft(rows, row, below, self.most_time)
            if draft is not None:
                key = identity(draft.parts)
                if key not in found or value(draft) < value(found[key]):
                    found[key] = draft

    def cheap(self, wanted: int, start: int = 0) -> list[Draft]:
        """Different plans, the cheapest first; ``wanted`` at most. ``start``: no plan costs less."""
        found: dict[Any, Draft] = {}
        width = FIRST_COST_WIDTH
        while not self.spent:
            most = min(self.most_cost, start + width)
            rows = self.columns.within(self.most_time, most)
            if rows is None:
                break
            self._look_cheap(rows, wanted, found)
            if len(found) >= wanted or most >= self.most_cost:
                break
            width *= 3
        return sorted(found.values(), key=lambda d: (d.cost, d.time_ppm))[:wanted]

    def _look_cheap(self, rows: Rows, wanted: int, found: dict[Any, Draft]) -> None:
        for row in np.lexsort((rows.time_ppm, rows.cost)):
            worst = sorted(d.cost for d in found.values())[wanted - 1] if len(found) >= wanted else FAR
            if self.spent or worst < rows.cost[row]:
                return
            draft = self._draft(rows, row, worst, self.most_time)
            if draft is not None:
                key = identity(draft.parts)
                if key not in found or (draft.cost, draft.time_ppm) < (found[key].cost, found[key].time_ppm):
                    found[key] = draft


def _step_end(least_ppm: int, resolution: Fraction, step: int) -> int:
    """The longest time of a step."""
    if resolution == 0:
        return least_ppm + step
    return least_ppm + int(Fraction(step + 1) * resolution * least_ppm / 100)


def steps_of(times: Any, least_ppm: int, resolution: Fraction) -> Any:
    """Step of every time (those below the least one count 0)."""
    values, place = np.unique(times, return_inverse=True)
    steps = [step_of(max(int(value), least_ppm), least_ppm, resolution) for value in values]
    return np.array(steps, dtype=np.int64)[place]


def _first(found: dict[Any, Draft], least_ppm: int, resolution: Fraction, wanted: int) -> list[Draft]:
    ranked = sorted(found.values(), key=lambda d: (step_of(max(d.time_ppm, least_ppm), least_ppm, resolution), d.cost))
    return ranked[:wanted]
