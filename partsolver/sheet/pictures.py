"""What the power picture and the speed picture show, as numbers."""

from __future__ import annotations

from partsolver.assembly.bought_cards import plan_load
from partsolver.assembly.supply import Quantity, amount, label_of, limit_of
from partsolver.assembly.unproven import shown_today
from partsolver.base.records import record
from partsolver.performance.present import as_today, present_parts
from partsolver.performance.time import TERM_NAMES, terms_ppm
from partsolver.sheet.context import Context


@record
class RailLoad:
    """One row of the power picture: usual and highest load, what the supply is trusted with (limit), the
    label; mA or mW; None = not known."""

    rail: str
    unit: str
    load: int
    most: int
    limit: int | None
    label: int | None


@record
class ResourceTime:
    """Time on one resource, per mille of the present total (halves up), now and then."""

    resource: str
    now_permille: int
    then_permille: int


_QUANTITIES: tuple[Quantity, ...] = ("12v", "5v", "3v3", "5v+3v3", "total")


def rail_loads(context: Context) -> tuple[RailLoad, ...]:
    """12 V, 5 V, 3.3 V, the last two together, and the whole supply. The numbers are those of the power
    rules."""
    problem, parts = context.problem, context.parts
    load, supply = plan_load(problem, parts), parts.candidate("psu")
    unproven = shown_today(problem, parts)
    rows = []
    for quantity in _QUANTITIES:
        limit = limit_of(problem, supply, quantity, unproven)
        rows.append(
            RailLoad(
                quantity,
                "mW" if quantity in ("5v+3v3", "total") else "mA",
                amount(load, quantity),
                amount(load, quantity, highest=True),
                None if limit is None else limit.value,
                label_of(parts.psu, quantity, problem.settings),
            )
        )
    return tuple(rows)


def times(context: Context) -> tuple[ResourceTime, ...]:
    """Where the time goes now and with the plan; resources that take no time in either are left out."""
    if context.plan.speedup is None:
        return ()
    now = terms_ppm(as_today(context.problem), present_parts(context.problem))
    then = terms_ppm(context.problem, context.parts)
    total = sum(now.values())
    rows = []
    for resource in TERM_NAMES:
        shares = [(2000 * terms[resource] + total) // (2 * total) for terms in (now, then)]
        if any(shares):
            rows.append(ResourceTime(resource, shares[0], shares[1]))
    return tuple(rows)
