"""Which bought coolers can still matter: a shop lists hundreds, a plan needs the cheapest that serves.

Rules see few facts of the other parts when they judge a cooler (search/views.py). So every cooler is
described by what it serves among the boards, processors and cases that are left, and one that serves no more
than another and never costs less is left out. A needless cooler may still pay where it lifts an order to a
seller's least value or free delivery (dominance.py): then it stays. The plain completion (planner.py) chooses
among all coolers all the same: the model only has to know the least cost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import product
from typing import Any

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.catalog.records import Offer
from partsolver.plan.bundles import bundle_group, usable_bundles
from partsolver.plan.dominance import NOTHING, Way, beaten, best_ways
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import fit_paste
from partsolver.rules.base import Rule
from partsolver.search.bounds import Array, Numbers
from partsolver.search.pool import Pool
from partsolver.search.rule_memory import Asked, Quick
from partsolver.search.views import View, views


@record
class _Serves:
    """What a cooler serves, as sets of facts: boards, cases, processors that need a cooler, and those that
    come with one, by the rules that read one of them; together: what each of the rules that read several at once
    admits; paste: what the cooler itself needs bought."""

    boards: frozenset[Any]
    cases: frozenset[Any]
    cpus: frozenset[Any]
    boxed: frozenset[Any]
    together: tuple[frozenset[Any], ...]
    paste: int


class _Sets:
    """Sets compared with one another: few of many are different, so a table of what each of these holds tells."""

    def __init__(self, sets: Sequence[frozenset[Any]]) -> None:
        each, elements = Numbers(), Numbers()
        self._own = each.numbered(sets)
        held = [[elements[element] for element in own] for own in each]  # type: ignore[attr-defined]
        self._holds = np.zeros((len(held), len(elements)), dtype=np.float32)
        for row, numbers in zip(self._holds, held, strict=True):
            row[numbers] = 1
        self._lacks = np.ascontiguousarray((1 - self._holds).T)

    def holding(self, place: int) -> Array:
        """A mask of the sets that hold all that one of them holds."""
        lacked = self._holds[self._own[place]] @ self._lacks
        return (lacked == 0)[self._own]


def _covering(groups: Sequence[_Serves]) -> Iterator[Array]:
    """For each a mask of those that serve all that it serves, processors with a cooler of their own aside, and need
    no more."""
    pastes = frozenset(one.paste for one in groups)
    # Who needs nothing serves beside any paste.
    needed = [pastes if one.paste == 0 else frozenset((one.paste,)) for one in groups]
    sets = zip(*((one.boards, one.cases, one.cpus, *one.together) for one in groups), strict=True)
    compared = [_Sets(own) for own in (*sets, needed)]
    for place in range(len(groups)):
        yield np.logical_and.reduce([own.holding(place) for own in compared])


def drop_coolers(pool: Pool, quick: Quick) -> None:
    """Drop the bought coolers that serve nothing that is left, or nothing that another does not serve for
    less."""
    problem = pool.problem
    protected = set(problem.brief.including)
    protected |= {goods for b in usable_bundles(problem) for _, goods, _ in bundle_group(problem, b)}
    boxed = any(c.key == BOXED_COOLER for c in pool.left["cooler"])
    own = [c for c in pool.left["cpu"] if boxed and not c.kept and c.part.boxed_cooler]  # type: ignore[union-attr]
    need = [c for c in pool.left["cpu"] if c not in own]
    asked = [asked.rule for asked in quick.rules if "cooler" in asked.rule.SLOTS]
    others = {slot: _different(problem, asked, slot, pool.left[slot]) for slot in ("board", "case")}
    others |= {
        name: _different(problem, asked, "cpu", listed) for name, listed in (("need", need), ("own", own))
    }
    wide = {rule.ID: _several(pool, rule) for rule in asked if len(rule.SLOTS) > 2}
    serves_of = _Serving(pool, quick, others, wide)
    groups: dict[_Serves, list[Candidate]] = defaultdict(list)
    for cooler in pool.left["cooler"]:
        if cooler.key != BOXED_COOLER:
            groups[serves_of(cooler)].append(cooler)
    # All ways to buy a cooler, the cheapest first, each with its group.
    ways: list[tuple[Way, int]] = []
    for place, group in enumerate(groups.values()):
        bought = [c for c in group if c.id is not None]
        own_ways = best_ways(problem, bought, quick.allowed) + [NOTHING for c in group if c.id is None]
        ways += [(way, place) for way in own_ways]
    ways.sort()
    group_of_way = np.array([place for _, place in ways], dtype=np.int64)
    boxed_sets = _Sets([serves.boxed for serves in groups])
    dropped: set[str] = set()
    for place, (covering, (serves, group)) in enumerate(
        zip(_covering(list(groups)), groups.items(), strict=True)
    ):
        rivals = [ways[i][0] for i in np.flatnonzero(covering[group_of_way]).tolist()]
        # Beside a processor with a cooler of its own a rival must serve that one too, or nothing is bought.
        covering &= boxed_sets.holding(place)
        wider = [ways[i][0] for i in np.flatnonzero(covering[group_of_way]).tolist()]
        single = serves.boards and serves.cases and (serves.cpus or serves.boxed)
        refused = not (single and all(serves.together))
        for cooler in group:
            if cooler.id is None or not protected.isdisjoint((cooler.id, cooler.key)):
                continue
            offers = quick.allowed.offers(cooler)

            def loses(ways: list[Way], cooler: Candidate = cooler, offers: Sequence[Offer] = offers) -> bool:
                return all(beaten(problem, offer, cooler, ways) for offer in offers)

            if refused or loses(wider) or (loses([NOTHING]) and (not serves.cpus or loses(rivals))):
                dropped.add(cooler.key)
    pool.keep(["cooler"], lambda c: c.key not in dropped)


def _different(
    problem: Problem, rules: Sequence[Rule], slot: SlotName, listed: Iterable[Candidate]
) -> dict[Any, Candidate]:
    """One of all candidates that look the same to the rules about coolers, by what these see."""
    sees = [
        view
        for rule in rules
        for own, view in zip(rule.SLOTS, views(problem, rule), strict=True)
        if own == slot
    ]
    return {tuple(view.number(c) for view in sees): c for c in listed}


def _several(pool: Pool, rule: Rule) -> dict[tuple[Any, ...], dict[SlotName, Candidate]]:
    """What a rule that reads several slots beside the cooler may be asked of: one choice of candidates for
    all that look the same to it."""
    slots = [slot for slot in rule.SLOTS if slot != "cooler"]
    each = [_different(pool.problem, [rule], slot, pool.left[slot]) for slot in slots]
    return {
        facts: dict(zip(slots, (listed[seen] for listed, seen in zip(each, facts, strict=True)), strict=True))
        for facts in product(*each)
    }


# What a cooler serves by the rules that read it and one other slot: name, slot.
_NAMED: dict[str, SlotName] = {"board": "board", "case": "case", "need": "cpu", "own": "cpu"}


class _AskedOnce:
    """Rules that are asked once of all coolers that look the same to them."""

    def __init__(self, rules: Sequence[Asked], looks: Sequence[View], about: Sequence[Any]) -> None:
        self._rules, self._looks, self._about = rules, looks, about
        self._known: dict[tuple[int, ...], Any] = {}

    def said(self, cooler: Candidate, say: Callable[..., Any]) -> Any:
        """What the rules say of a cooler."""
        seen = tuple([look.number(cooler) for look in self._looks])
        if seen not in self._known:
            self._known[seen] = say(cooler, self._rules, *self._about)
        return self._known[seen]


class _Serving:
    """What coolers serve. Of those that look the same to some of the rules these are asked once."""

    def __init__(
        self,
        pool: Pool,
        quick: Quick,
        others: dict[str, dict[Any, Candidate]],
        wide: dict[str, dict[tuple[Any, ...], dict[SlotName, Candidate]]],
    ) -> None:
        self._quick, self._others, self._wide = quick, others, wide
        self._base = {slot: pool.left[slot][0] for slot in SLOTS}
        # A board that is bought, to ask about paste: what stays together has its own.
        board = next((c for c in others["board"].values() if not c.kept), self._base["board"])
        self._bought: dict[SlotName, Candidate] = {"board": board}
        self._pool = pool
        self._facts_asked = [
            self._asked(lambda one, slot=slot: {slot, "cooler"}.issuperset(one.SLOTS), name, slot)  # type: ignore[misc]
            for name, slot in _NAMED.items()
        ]
        self._wide_asked = [self._asked(lambda one, id=id: id == one.ID) for id in wide]  # type: ignore[misc]
        self._paste_asked = self._asked(lambda one: one.ID == fit_paste.ID)

    def __call__(self, cooler: Candidate) -> _Serves:
        """What a cooler serves."""
        boards, cases, cpus, boxed = (asked.said(cooler, self._facts) for asked in self._facts_asked)
        together = tuple(asked.said(cooler, self._together) for asked in self._wide_asked)
        paste = self._paste_asked.said(cooler, self._paste)
        return _Serves(boards, cases, cpus, boxed, together, paste)

    def _asked(self, wanted: Callable[[Rule], bool], *about: Any) -> _AskedOnce:
        """The rules to ask together."""
        rules = [asked for asked in self._quick.rules if wanted(asked.rule)]
        looks = [
            view
            for asked in rules
            for slot, view in zip(asked.rule.SLOTS, views(self._pool.problem, asked.rule), strict=True)
            if slot == "cooler"
        ]
        return _AskedOnce(rules, looks, about)

    def _facts(self, cooler: Candidate, asked: Sequence[Asked], name: str, slot: SlotName) -> frozenset[Any]:
        """The facts of the others of a slot that no rule refuses which reads them and a cooler alone."""
        read = frozenset((slot, "cooler"))
        return frozenset(
            facts
            for facts, c in self._others[name].items()
            if self._quick.least(self._parts(cooler, {slot: c}), read) < FAR
        )

    def _together(self, cooler: Candidate, asked: Sequence[Asked]) -> frozenset[Any]:
        """The facts of the others that a rule which reads several of them admits."""
        return frozenset(
            facts
            for one in asked
            for facts, chosen in self._wide[one.rule.ID].items()
            if self._cost(one, self._parts(cooler, chosen)) < FAR
        )

    def _paste(self, cooler: Candidate, asked: Sequence[Asked]) -> int:
        parts = self._parts(cooler, self._bought)
        return sum(self._cost(one, parts) for one in asked)

    def _cost(self, asked: Asked, parts: Parts) -> int:
        return self._quick.cost(asked, parts, self._quick.kinds(parts))

    def _parts(self, cooler: Candidate, chosen: Mapping[SlotName, Candidate]) -> Parts:
        """A cooler beside some candidates."""
        own = self._base | {"cooler": cooler, **chosen}
        return Parts(tuple(own[slot] for slot in SLOTS))
