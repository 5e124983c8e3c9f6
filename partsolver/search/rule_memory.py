"""What the rules say of some parts, remembered."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from operator import itemgetter
from typing import Any

from partsolver.base.quantities import FAR
from partsolver.plan.complete import admitted, allowed_by
from partsolver.plan.draft import Draft, Need
from partsolver.plan.identity import kind_of
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule
from partsolver.search.views import views

# Slots and sets of rules of which it is kept what these said of single candidates (a question asks of eight slots).
MOST_SCREENED = 24
# What a rule says of parts: FAR where it refuses them, 0 where it needs nothing bought, else what it needs.
Said = int | tuple[Need, ...]


class Asked:
    """A rule, where the slots it reads stand, and what it said: by kinds of parts, and by what it sees of
    them (both shared by all problems in which it says the same)."""

    __slots__ = ("key", "rule", "said", "seen", "views")

    def __init__(self, problem: Problem, rule: Rule) -> None:
        self.rule, self.said, self.seen = rule, *_said(problem, rule)
        places = [SLOTS.index(slot) for slot in rule.SLOTS]
        self.key = itemgetter(*places)
        self.views = tuple(zip(places, views(problem, rule), strict=True))


class _Round:
    """Rules that are asked together, the kinds they read, and the sum of what they need by these: ``known``
    in this problem, ``always`` whatever is offered (where they refuse or need nothing)."""

    __slots__ = ("always", "key", "known", "rules")

    def __init__(self, rules: list[Asked], always: dict[Any, int]) -> None:
        self.rules, self.always = rules, always
        self.known: dict[Any, int] = {}
        slots = sorted({SLOTS.index(slot) for asked in rules for slot in asked.rule.SLOTS})
        self.key: Callable[[Sequence[int]], Any] = itemgetter(*slots) if slots else len


class Quick:
    """Whether a rule can admit parts and what its needs cost, remembered by the kinds of the parts the rule
    reads."""

    def __init__(self, problem: Problem, rules: Sequence[Rule]) -> None:
        self.problem = problem
        self.every = tuple(rules)
        self.allowed = allowed_by(problem, rules)
        self.rules = [Asked(problem, rule) for rule in rules if rule.KIND != "buying" and rule.REFUSES]
        self._kind = problem.store.kinds.by_candidate
        self._least: dict[tuple[str, int], int] = {}
        self._needed: dict[tuple[Need, ...], int] = {}
        self._rounds: dict[Any, _Round] = {}

    def kind(self, candidate: Candidate) -> int:
        """A number that twins share: candidates whom every rule treats alike."""
        found = self._kind.get(candidate)
        return kind_of(self.problem, candidate) if found is None else found

    def kinds(self, parts: Parts) -> list[int]:
        """The kind of the candidate in every slot."""
        known = self._kind
        try:
            return [known[candidate] for candidate in parts.picked]
        except KeyError:
            return [self.kind(candidate) for candidate in parts.picked]

    def cost(self, asked: Asked, parts: Parts, kinds: Sequence[int]) -> int:
        """Least cost of what a rule needs bought, FAR when it refuses the parts (of these kinds)."""
        said = self.says(asked, parts, kinds)
        return said if isinstance(said, int) else self.priced(said)

    def says(self, asked: Asked, parts: Parts, kinds: Sequence[int]) -> Said:
        """What a rule says of parts (of these kinds): refused, nothing needed, or what it needs."""
        key = asked.key(kinds)
        said = asked.said.get(key)
        if said is None:
            said = asked.said[key] = self.told(asked, parts)
        return said

    def told(self, asked: Asked, parts: Parts) -> Said:
        """What a rule says of parts."""
        seen = tuple([view.number(parts.picked[place]) for place, view in asked.views])
        said = asked.seen.get(seen)
        if said is None:
            needs = asked.rule.needs(parts, self.problem)
            refused = not needs and not all(
                f.admits for f in asked.rule.admits(Draft(parts, (), (), 0, 0), self.problem)
            )
            said = asked.seen[seen] = FAR if refused else (needs or 0)
        return said

    def priced(self, needs: tuple[Need, ...]) -> int:
        """The least that needs cost, FAR where one cannot be bought."""
        known = self._needed.get(needs)
        if known is None:
            known = self._needed[needs] = min(FAR, sum(self._need(need) for need in needs))
        return known

    def _need(self, need: Need) -> int:
        return min((self._extra(extra, n) for extra, n in need.options), default=FAR)

    def _extra(self, extra: str, count: int) -> int:
        if (extra, count) not in self._least:
            offers = self.problem.extra_offers[extra]
            self._least[extra, count] = min(
                (count * o.price for o in offers if self.allowed.offer(o, count)), default=FAR
            )
        return self._least[extra, count]

    def least(self, parts: Parts, read: frozenset[str], without: frozenset[str] = frozenset()) -> int:
        """Least cost of the needs of the rules that read only these slots (and not only ``without``), FAR:
        refused."""
        kinds = self.kinds(parts)
        asking = self._rounds.get((read, without)) or self._round(read, without)
        key = asking.key(kinds)
        found = asking.known.get(key)
        if found is None:
            found = asking.always.get(key)
            if found is None:
                found = self._sum(asking, key, parts, kinds)
        return found

    def admitted(
        self,
        listed: Sequence[Candidate],
        others: Sequence[Candidate],
        read: frozenset[str],
        without: frozenset[str] = frozenset(),
    ) -> dict[Candidate, int]:
        """The candidates of one slot that none of these rules refuses beside others (one of every slot), with
        the least cost of what they need. Rule by rule, so that each is asked once of all that look the same
        to it."""
        place = SLOTS.index(listed[0].slot)
        asked = (self._rounds.get((read, without)) or self._round(read, without)).rules
        # What these rules said of them, and what is bought where, decides; both are kept beside their answers.
        said = [a.said for a in asked]
        beside = tuple(c for c in others if c.slot in read and c.slot != listed[0].slot)
        key = (listed[0].slot, beside, *sorted(map(id, said)))
        kept = self.allowed.screened
        if key not in kept and len(kept) >= MOST_SCREENED:
            del kept[next(iter(kept))]  # the oldest
        _, known = kept.setdefault(key, (said, {}))
        new = [candidate for candidate in listed if candidate not in known]
        if new:
            known.update(dict.fromkeys(new, FAR))
            known.update(self._admitted_of_kind(new, place, others, asked))
        return {candidate: cost for candidate in listed if (cost := known[candidate]) < FAR}

    def _admitted_of_kind(
        self, listed: Sequence[Candidate], place: int, others: Sequence[Candidate], asked: Sequence[Asked]
    ) -> dict[Candidate, int]:
        """The same. Of memory there are few kinds: the rules are asked of one of each."""
        if listed[0].slot != "memory":
            return self._admitted(listed, place, others, asked)
        first: dict[int, Candidate] = {}
        for candidate in listed:
            first.setdefault(self.kind(candidate), candidate)
        costs = {
            self.kind(c): cost
            for c, cost in self._admitted(list(first.values()), place, others, asked).items()
        }
        return {c: costs[kind] for c in listed if (kind := self.kind(c)) in costs}

    def _admitted(
        self,
        listed: Sequence[Candidate],
        place: int,
        others: Sequence[Candidate],
        rules: Sequence[Asked],
    ) -> dict[Candidate, int]:
        found = dict.fromkeys(listed, 0)
        for asked in rules:
            # Candidates are seen once here: no number is kept of them.
            look = next((view.look for own, view in asked.views if own == place), _nothing)
            costs: dict[Hashable, int] = {}
            left: dict[Candidate, int] = {}
            for candidate, cost in found.items():
                seen = look(candidate)
                own = costs.get(seen)
                if own is None:
                    own = self._told_cost(asked, Parts((*others[:place], candidate, *others[place + 1 :])))
                    costs[seen] = own
                if own < FAR:
                    left[candidate] = cost + own
            found = left
        return found

    def admitted_with_one(
        self, asked: Asked, listed: Sequence[Candidate], beside: Sequence[Sequence[Candidate]]
    ) -> list[Candidate]:
        """The candidates of one slot that a rule does not refuse with at least one of some sets of parts (one of every
        slot; the candidate takes the place of the one of its slot)."""
        place = SLOTS.index(listed[0].slot)
        look = next((view.look for own, view in asked.views if own == place), _nothing)
        admits: dict[Hashable, bool] = {}
        left: list[Candidate] = []
        for candidate in listed:
            seen = look(candidate)
            if seen not in admits:
                sets = (Parts((*others[:place], candidate, *others[place + 1 :])) for others in beside)
                admits[seen] = any(self._told_cost(asked, parts) < FAR for parts in sets)
            if admits[seen]:
                left.append(candidate)
        return left

    def _told_cost(self, asked: Asked, parts: Parts) -> int:
        said = self.told(asked, parts)
        return said if isinstance(said, int) else self.priced(said)

    def _sum(self, asking: _Round, key: Any, parts: Parts, kinds: Sequence[int]) -> int:
        total, always = 0, True
        for place, asked in enumerate(asking.rules):
            said = self.says(asked, parts, kinds)
            if not isinstance(said, int):
                said, always = self.priced(said), False
                total += said
            if said >= FAR:
                # What refuses one often refuses the next: asked first from now on.
                asking.rules.insert(0, asking.rules.pop(place))
                (asking.always if asked.said[asked.key(kinds)] == FAR else asking.known)[key] = FAR
                return FAR
        (asking.always if always else asking.known)[key] = total
        return total

    def _round(self, read: frozenset[str], without: frozenset[str]) -> _Round:
        """The rules that read only some slots."""
        asked = [
            a for a in self.rules if read.issuperset(a.rule.SLOTS) and not without.issuperset(a.rule.SLOTS)
        ]
        # What each of them said is its key, and kept with it.
        said = [a.said for a in asked]
        _, always = self.problem.store.said_together.setdefault(tuple(map(id, said)), (said, {}))
        found = self._rounds[read, without] = _Round(asked, always)
        return found

    def admits(self, draft: Draft) -> bool:
        """Whether every rule admits a draft: a bound may rest on it. (``cost`` asks a rule that needs
        something bought no more than that.)"""
        return admitted(self.problem, draft, self.every)


def _said(problem: Problem, rule: Rule) -> tuple[dict[Any, Said], dict[Any, Said]]:
    """What a rule said by kinds of parts, and by what it sees of them. All that it reads of the survey stands
    in the key, so that a changed survey asks again only those rules that it concerns (join.py drops all where
    the wishes that rules read differ)."""
    read = tuple(getattr(problem.survey, field) for field in rule.SURVEY)
    return problem.store.said.setdefault((rule.ID, read), ({}, {}))


def _nothing(candidate: Candidate) -> None:
    """What a rule sees of a slot that it does not read."""
