"""Which bought coolers can still matter: a shop lists hundreds, a plan needs the cheapest that serves.

Rules see few facts of the other parts when they judge a cooler (search/views.py). So every cooler is
described by what it serves among the boards, processors and cases that are left, and one that serves no more
than another and never costs less is left out. A needless cooler may still pay where it lifts an order to a
seller's least value or free delivery (dominance.py): then it stays. The plain completion (planner.py) chooses
among all coolers all the same: the model only has to know the least cost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import product
from typing import Any

from partsolver.base.records import record
from partsolver.catalog.records import Offer
from partsolver.plan.bundles import bundle_group, usable_bundles
from partsolver.plan.dominance import NOTHING, Way, beaten, best_ways
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import fit_paste
from partsolver.rules.base import Rule
from partsolver.search.pool import FAR, Pool
from partsolver.search.rule_memory import Quick
from partsolver.search.views import views


@record
class _Serves:
    """What a cooler serves, as sets of facts: boards, cases, processors that need a cooler, and those that
    come with one, by the rules that read one of them; together: what the rules that read several at once
    admit; paste: what the cooler itself needs bought."""

    boards: frozenset[Any]
    cases: frozenset[Any]
    cpus: frozenset[Any]
    boxed: frozenset[Any]
    together: frozenset[Any]
    paste: int

    def covers(self, other: _Serves) -> bool:
        """Whether it serves all that another serves, processors with a cooler of their own aside, and needs
        no more."""
        return (
            self.boards >= other.boards
            and self.cases >= other.cases
            and self.cpus >= other.cpus
            and self.together >= other.together
            and self.paste in (0, other.paste)
        )


def drop_coolers(pool: Pool, quick: Quick) -> None:
    """Drop the bought coolers that serve nothing that is left, or nothing that another does not serve for
    less."""
    problem = pool.problem
    protected = set(problem.brief.including)
    protected |= {g[1] for b in usable_bundles(problem) for g in bundle_group(problem, b) if g[0] == "cooler"}
    boxed = any(c.key == BOXED_COOLER for c in pool.left["cooler"])
    own = [c for c in pool.left["cpu"] if boxed and not c.kept and c.part.boxed_cooler]  # type: ignore[union-attr]
    need = [c for c in pool.left["cpu"] if c not in own]
    asked = [asked.rule for asked in quick.rules if "cooler" in asked.rule.SLOTS]
    others = {slot: _different(problem, asked, slot, pool.left[slot]) for slot in ("board", "case")}
    others |= {
        name: _different(problem, asked, "cpu", listed) for name, listed in (("need", need), ("own", own))
    }
    wide = {rule.ID: _several(pool, rule) for rule in asked if len(rule.SLOTS) > 2}
    groups: dict[_Serves, list[Candidate]] = defaultdict(list)
    for cooler in pool.left["cooler"]:
        if cooler.key != BOXED_COOLER:
            groups[_serves(pool, quick, cooler, others, wide)].append(cooler)
    ways: dict[_Serves, list[Way]] = {}
    for serves, group in groups.items():
        ways[serves] = best_ways(problem, [c for c in group if c.id is not None], quick.allowed)
        if any(c.id is None for c in group):
            ways[serves].append(NOTHING)
    dropped: set[str] = set()
    for serves, group in groups.items():
        better = [other for other in groups if other.covers(serves)]
        rivals = sorted(way for other in better for way in ways[other])
        # Beside a processor with a cooler of its own a rival must serve that one too, or nothing is bought.
        wider = sorted(way for other in better if other.boxed >= serves.boxed for way in ways[other])
        refused = not (serves.boards and serves.cases and (serves.cpus or serves.boxed))
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


def _serves(
    pool: Pool,
    quick: Quick,
    cooler: Candidate,
    others: dict[str, dict[Any, Candidate]],
    wide: dict[str, dict[tuple[Any, ...], dict[SlotName, Candidate]]],
) -> _Serves:
    base = {slot: pool.left[slot][0] for slot in SLOTS} | {"cooler": cooler}

    def facts_served(name: str, slot: str) -> frozenset[Any]:
        read = frozenset((slot, "cooler"))
        return frozenset(
            facts for facts, c in others[name].items() if quick.least(_exchanged(base, slot, c), read) < FAR
        )

    board = next((c for c in others["board"].values() if not c.kept), base["board"])
    parts = _exchanged(base, "board", board)
    paste = sum(
        quick.cost(asked, parts, quick.kinds(parts)) for asked in quick.rules if asked.rule.ID == fit_paste.ID
    )
    together = frozenset(
        (asked.rule.ID, facts)
        for asked in quick.rules
        for facts, chosen in wide.get(asked.rule.ID, {}).items()
        if quick.cost(asked, (parts := _chosen(base, chosen)), quick.kinds(parts)) < FAR
    )
    return _Serves(
        facts_served("board", "board"),
        facts_served("case", "case"),
        facts_served("need", "cpu"),
        facts_served("own", "cpu"),
        together,
        paste,
    )


def _exchanged(base: dict[Any, Candidate], slot: Any, candidate: Candidate) -> Parts:
    return _chosen(base, {slot: candidate})


def _chosen(base: dict[Any, Candidate], chosen: dict[SlotName, Candidate]) -> Parts:
    return Parts(tuple(chosen.get(slot, base[slot]) for slot in SLOTS))
