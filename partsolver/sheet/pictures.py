"""What the power picture and the speed picture show, as numbers."""

from __future__ import annotations

from partsolver.assembly.loads import total_load
from partsolver.assembly.plugs import label_12v_ma, usable
from partsolver.base.records import record
from partsolver.performance.present import present_parts
from partsolver.performance.time import TERM_NAMES, terms_ppm
from partsolver.rules.power_rails_low import demand
from partsolver.rules.power_total import limit_mw
from partsolver.sheet.context import Context


@record
class RailLoad:
    """One row of the power picture: load, what may be used of the label (limit), the label; mA or mW; None =
    not known."""

    rail: str
    unit: str
    load: int
    limit: int | None
    label: int | None


@record
class ResourceTime:
    """Time on one resource, per mille of the present total (halves up), now and then."""

    resource: str
    now_permille: int
    then_permille: int


def rail_loads(context: Context) -> tuple[RailLoad, ...]:
    """12 V, 5 V, 3.3 V, the last two together, and the whole supply. The numbers are those of the power
    rules."""
    problem, psu = context.problem, context.psu
    load = total_load(problem, context.parts)
    ma_5v, ma_3v3, mw_low = demand(problem, context.parts.drive)
    watts = None if psu.rated_w is None else psu.rated_w * 1000
    rows = (
        RailLoad("12v", "mA", load.ma_12v, usable(problem, psu, label_12v_ma(psu)), label_12v_ma(psu)),
        RailLoad("5v", "mA", ma_5v, usable(problem, psu, psu.rail_5v_ma), psu.rail_5v_ma),
        RailLoad("3v3", "mA", ma_3v3, usable(problem, psu, psu.rail_3v3_ma), psu.rail_3v3_ma),
        RailLoad(
            "5v+3v3", "mW", mw_low, usable(problem, psu, psu.combined_5v_3v3_mw), psu.combined_5v_3v3_mw
        ),
        RailLoad("total", "mW", load.mw, limit_mw(problem, psu), watts),
    )
    return rows


def times(context: Context) -> tuple[ResourceTime, ...]:
    """Where the time goes now and with the plan; resources that take no time in either are left out."""
    if context.plan.speedup is None:
        return ()
    now = terms_ppm(context.problem, present_parts(context.problem))
    then = terms_ppm(context.problem, context.parts)
    total = sum(now.values())
    rows = []
    for resource in TERM_NAMES:
        shares = [(2000 * terms[resource] + total) // (2 * total) for terms in (now, then)]
        if any(shares):
            rows.append(ResourceTime(resource, shares[0], shares[1]))
    return tuple(rows)
