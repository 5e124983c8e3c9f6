"""What a part's cell says, out of all facts about it: the strongest mark wins; equals that contradict each
other are a question, and the cell is unknown until somebody looks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from partsolver.base.records import record
from partsolver.catalog.store.records import MARKS, Mark

_RANK = {mark: place for place, mark in enumerate(MARKS)}
# A property printed on the page that contradicts the title of the same article: one of both is wrong.
_MUST_AGREE: frozenset[Mark] = frozenset(("printed", "title"))


@record
class Stored:
    """One stored fact: which sighting says it, where, and since when."""

    sighting: str
    column: str
    mark: Mark
    value: str
    origin: str
    place: str
    stated_on: str


@record
class Cell:
    """A resolved cell: value (None while contradictory), the mark it stands on, the fact that says it, and
    the facts that say otherwise."""

    value: str | None
    mark: Mark
    fact: Stored
    against: tuple[Stored, ...] = ()


def _same(one: str, other: str) -> bool:
    return one.casefold() == other.casefold()


def newest_of_each(facts: Iterable[Stored]) -> list[Stored]:
    """Of each sighting and mark the newest fact: next week's list replaces this week's."""
    newest: dict[tuple[str, str], Stored] = {}
    for fact in sorted(facts, key=lambda f: (f.stated_on, f.origin, f.place, f.value)):
        newest[(fact.sighting, fact.mark)] = fact
    return sorted(newest.values(), key=lambda f: (_RANK[f.mark], f.sighting))


def resolved(facts: Iterable[Stored]) -> Cell:
    """One cell out of the facts about it (at least one).

    Typed by the person beats all; a maker's sheet beats what sellers say; printed beats title, but a title
    that contradicts a printed property is a question; platform rows only fill what nobody states.
    """
    said = list(facts)
    if len(said) == 1:
        return Cell(said[0].value, said[0].mark, said[0])
    listed = newest_of_each(said)
    best = listed[0].mark
    top = [fact for fact in listed if fact.mark == best]
    if best == "typed":
        # The newest word of the person.
        first = max(top, key=lambda f: (f.stated_on, f.origin, f.place, f.value))
        return Cell(first.value, best, first)
    rivals = top
    if best in _MUST_AGREE:
        rivals = [fact for fact in listed if fact.mark in _MUST_AGREE]
    against = tuple(fact for fact in rivals if not _same(fact.value, top[0].value))
    return Cell(None if against else top[0].value, best, top[0], against)


def resolved_cells(facts: Iterable[Stored]) -> dict[str, Cell]:
    """The cells of one part by column, in the order of columns' names."""
    by_column: dict[str, list[Stored]] = {}
    for fact in facts:
        by_column.setdefault(fact.column, []).append(fact)
    return {column: resolved(by_column[column]) for column in sorted(by_column)}


def marks_text(cells: Mapping[str, Cell]) -> str:
    """The marks of a part's cells as they are kept beside it: ``column:mark`` by blanks (contradictory ones
    with ``?``); typed ones are left out."""
    return " ".join(
        f"{column}:{'?' if cell.value is None else cell.mark}"
        for column, cell in sorted(cells.items())
        if cell.value is None or cell.mark != "typed"
    )


def read_marks(text: str) -> Mapping[str, str]:
    """What ``marks_text`` wrote."""
    pairs: Sequence[tuple[str, str, str]] = [token.partition(":") for token in text.split()]
    return {column: mark for column, _, mark in pairs}
