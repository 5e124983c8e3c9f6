"""Trials drawn by hypothesis from a person's own data: a few parts that can go together (or all), wishes,
and facts of the survey changed. The only module that imports hypothesis (extra ``audit``)."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from partsolver.audit.laws import LAWS, SMALL_ONLY
from partsolver.audit.trial import GONE, Change, OwnData, Trial
from partsolver.base.quantities import format_amount
from partsolver.catalog.dictionary import UNKNOWN
from partsolver.wishes.uses import USES

# Trials of one law before the next.
BATCH = 4
# Of so many trials one asks the whole catalogue.
WHOLE_ONE_IN = 12
_TABLES = ("case", "psu", "board", "cpu", "cooler")
_LISTS = ("memory", "drive", "card", "display", "device")
# A year varies downwards only: a part of a year to come is refused (problem/years.py).
MOST_YEARS_OLDER = 15
# Names and what follows from them are no facts to vary.
_FIXED = ("name", "maker", "source", "id", "socket", "family")


def each_trial(own: OwnData, start: int, ask: Callable[[Trial], bool]) -> None:
    """Ask drawn trials, law by law, until ``ask`` says that it is enough. The same for the same start."""
    enough = False
    batch = start
    while not enough:

        @seed(batch)
        @settings(
            max_examples=BATCH,
            database=None,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(trials(own, sorted(LAWS)[batch % len(LAWS)]))
        def run(trial: Trial) -> None:
            nonlocal enough
            enough = enough or ask(trial)

        run()
        batch += 1


@st.composite
def trials(draw: st.DrawFn, own: OwnData, law: str) -> Trial:
    """One trial of a law."""
    whole = law not in SMALL_ONLY and draw(st.integers(1, WHOLE_ONE_IN)) == WHOLE_ONE_IN
    parts = None if whole else draw(_few_parts(own))
    held = sorted(own.catalog.table_of if parts is None else parts)
    part = draw(st.sampled_from(held)) if law == "part-removed" and held else None
    changes = (*draw(_wishes(own)), *draw(_facts(own)))
    return Trial(law, parts, changes, part)


@st.composite
def _few_parts(draw: st.DrawFn, own: OwnData) -> frozenset[str]:
    """Up to a handful of each kind; most of them go with a board that is there or was drawn."""
    tables, present = own.catalog.tables, own.survey
    ids: set[str] = set()

    def some(rows: Any, most: int) -> list[Any]:
        if not rows:
            return []
        found = draw(st.lists(st.sampled_from(rows), max_size=most, unique_by=lambda row: row.id))
        ids.update(row.id for row in found)
        return found

    boards = some(tables["boards"], 3)
    sockets = {board.socket for board in boards} | {present.get("board", {}).get("socket")}
    generations = {board.memory_generation for board in boards}
    generations.add(present.get("board", {}).get("memory_generation"))
    some([c for c in tables["cpus"] if c.socket in sockets] or tables["cpus"], 4)
    some([m for m in tables["memory"] if m.generation in generations] or tables["memory"], 2)
    some([c for c in tables["coolers"] if set(c.sockets or ()) & sockets], 2)
    some(tables["extras"], 12)
    for table in ("psus", "cases", "drives"):
        some(tables[table], 1)
    for bundle in some([b for b in tables["bundles"] if b.kind == "parts"], 1):
        ids.discard(bundle.id)
        ids.update(item for item, _ in bundle.items)
    return frozenset(ids)


@st.composite
def _wishes(draw: st.DrawFn, own: OwnData) -> tuple[Change, ...]:
    """Some keys of the brief set otherwise."""
    info = own.catalog.info
    prices = sorted(offer.price for offer in own.catalog.tables["offers"]) or [10_000]
    most = 6 * prices[len(prices) * 3 // 4]
    days = st.integers(0, 40).map(lambda n: info.as_of + datetime.timedelta(days=n))
    kinds: dict[str, st.SearchStrategy[Any]] = {
        "budget": st.integers(0, most).map(lambda minor: format_amount(minor, info.digits)),
        "use": st.sampled_from(sorted(USES)),
        "goal": st.sampled_from(["speed", "cost"]),
        "resolution_percent": st.sampled_from(["0", "1", "2.5", "10"]),
        "min_speedup": st.sampled_from([GONE, "1.1", "1.5", "2.2"]),
        "min_memory_gb": st.sampled_from([GONE, 8, 16]),
        "need_by": st.one_of(st.just(GONE), days),
        "replace": st.sampled_from([[], ["psu"], ["drive"], ["case", "psu"], ["cooler"]]),
        "secure_boot": st.booleans(),
        "open_at_once": st.sampled_from(["little", "usual", "much"]),
    }
    chosen = draw(st.lists(st.sampled_from(sorted(kinds)), max_size=5, unique=True))
    wanted = [Change("brief", None, key, draw(kinds[key])) for key in chosen]
    return (*wanted, Change("brief", None, "alternatives", draw(st.integers(1, 4))))


@st.composite
def _facts(draw: st.DrawFn, own: OwnData) -> tuple[Change, ...]:
    """Up to four facts of the survey unknown, a number up to half less or more, a year earlier, or a row left out."""
    places = list(_places(own.survey))
    if not places:
        return ()
    chosen = draw(
        st.lists(st.sampled_from(places), max_size=4, unique_by=lambda place: (place[0], place[1], place[2]))
    )
    found = []
    for table, row, key, value in chosen:
        if key == "":
            found.append(Change(table, row, "", GONE))
        elif isinstance(value, bool):
            found.append(Change(table, row, key, draw(st.sampled_from([not value, UNKNOWN]))))
        elif isinstance(value, int) and draw(st.booleans()):
            other = (
                value - draw(st.integers(0, MOST_YEARS_OLDER))
                if key == "year"
                else value * draw(st.integers(50, 150)) // 100
            )
            found.append(Change(table, row, key, other))
        else:
            found.append(Change(table, row, key, UNKNOWN))
    return tuple(found)


def _places(survey: Any) -> Iterator[tuple[str, int | None, str, Any]]:
    """(table, row, key, value) of what may be varied; key "" for a whole row."""
    for table in _TABLES:
        for key, value in survey.get(table, {}).items():
            if key not in _FIXED:
                yield table, None, key, value
    for table in _LISTS:
        for place, row in enumerate(survey.get(table, ())):
            yield table, place, "", GONE
            for key, value in row.items():
                if key not in _FIXED and key not in ("kind", "count", "system"):
                    yield table, place, key, value
