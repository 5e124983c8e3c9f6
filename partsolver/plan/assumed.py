"""What a plan rests on that nobody stated: the assumed values of the column dictionary, of what the plan
uses."""

from __future__ import annotations

from typing import Any

from partsolver.base.records import record
from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.draft import Draft
from partsolver.problem.problem import Problem


@record
class Assumption:
    """One value that is assumed: table, id of the row, column, value as the program uses it."""

    table: str
    id: str
    column: str
    value: Any


def assumptions(problem: Problem, draft: Draft) -> tuple[Assumption, ...]:
    """What is assumed of the sellers, extras and sets of a plan, and which goods are taken to be new,
    sorted."""
    catalog = problem.source
    if catalog is None:
        return ()
    found: set[tuple[str, str, str]] = set()
    rows: dict[tuple[str, str], Any] = {}
    for line in draft.lines:
        source: Offer | Bundle | None = line.offer or line.bundle
        if source is None:
            continue
        rows["sellers", source.seller] = problem.sellers[source.seller]
        if line.item in problem.extras:
            rows["extras", line.item] = problem.extras[line.item]
        if line.bundle is not None:
            rows["bundles", line.bundle.id] = line.bundle
        if _condition_silent(problem, source):
            found.add(("offers" if line.offer else "bundles", line.item, "condition"))
            rows["offers" if line.offer else "bundles", line.item] = source
    found |= {entry for entry in catalog.assumed if (entry[0], entry[1]) in rows}
    found = {entry for entry in found if _matters(problem, entry[1], entry[2])}
    return tuple(
        Assumption(table, part, column, getattr(rows[table, part], column))
        for table, part, column in sorted(found)
    )


# A column of an extra that says something of some kinds only: whether an adapter converts, whether a bracket
# fits a low opening. Nothing is assumed of a licence's bracket.
_ONLY_OF = {
    "active": ("display-adapter",),
    "low_profile": ("sata-controller", "pata-controller", "serial-bracket", "parallel-bracket", "m2-card"),
}
# Work that is done on a part is neither new nor used.
_WORK = ("firmware-update",)


def _matters(problem: Problem, part: str, column: str) -> bool:
    """Whether the assumed value says something of this part."""
    extra = problem.extras.get(part)
    if extra is None:
        return True
    if column == "condition":
        return extra.kind not in _WORK
    return extra.kind in _ONLY_OF.get(column, (extra.kind,))


def _condition_silent(problem: Problem, source: Offer | Bundle) -> bool:
    """Whether nobody stated the state of these goods, and they are taken to be new."""
    if source.condition != "new":
        return False
    if isinstance(source, Bundle):
        return any(b.id == source.id and b.condition is None for b in problem.source.tables["bundles"])
    return any(
        o.condition is None
        for o in problem.source.tables["offers"]
        if (o.part, o.seller, o.price) == (source.part, source.seller, source.price)
    )
