"""What a person says has happened since a plan was made: parts gone, prices moved, parts ordered. Checks and
effects."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

from partsolver.base.errors import InputRefused, nearest, refuse
from partsolver.base.quantities import given_amount
from partsolver.base.records import record
from partsolver.catalog.load import Catalog
from partsolver.catalog.records import Bundle, Offer
from partsolver.planfile.plan_file import PlanFile
from partsolver.planfile.rows import put_back
from partsolver.planfile.stored import StoredLine
from partsolver.problem.graphics_choices import needs_its_card
from partsolver.wishes.brief import Brief

KEPT = (
    "kept-board",
    "kept-cpu",
    "kept-memory",
    "kept-cooler",
    "kept-psu",
    "kept-case",
    "kept-drive",
    "kept-graphics",
)
# Tables whose parts fill a slot only when the brief lets the kept part be replaced, and the word for it.
REPLACING = {"psus": "psu", "cases": "case", "drives": "drive", "graphics": "graphics"}
_ONE_OF = {
    "boards": "board",
    "cpus": "processor",
    "memory": "kind of memory",
    "coolers": "cooler",
    "psus": "supply",
    "cases": "case",
    "drives": "system drive",
    "graphics": "graphics card",
}


@record
class Note:
    """Something to say about a change: kind, the part, and another part concerned.

    demand-dropped: the brief demands the part, and it is gone; exclusion-dropped: the brief excludes the
    part, and it is ordered; not-in-plan: what is gone was not in the plan; order-not-in-plan: nor what is
    ordered; covered: the part is bought in a bundle (other), so its own price or order is that of the bundle;
    complete-pc: a complete PC is no part of a plan, it competes with all.
    """

    kind: Literal[
        "demand-dropped", "exclusion-dropped", "not-in-plan", "order-not-in-plan", "covered", "complete-pc"
    ]
    id: str
    other: str | None = None


@record
class Happened:
    """catalog: of today with the new prices and the orders as they were placed; old: the same with the rows
    of the stored plan that have left (None when nothing has); brief: with what follows for its wishes; gone:
    ids that cannot be had (named by the person or missing)."""

    catalog: Catalog
    old: Catalog | None
    brief: Brief
    gone: frozenset[str]
    ordered: frozenset[str]
    notes: tuple[Note, ...]


def happened(
    stored: PlanFile, brief: Brief, gone: Sequence[str], prices: Mapping[str, str], ordered: Sequence[str]
) -> Happened:
    """The effects of what a person says. Raises InputRefused naming the option that cannot be followed."""
    catalog = stored.catalog
    bundles: dict[str, Bundle] = {b.id: b for b in catalog.tables["bundles"]} | {
        b.id: b for b in stored.rows.bundles
    }
    lines = {line.item: line for line in stored.plan.lines}
    covered = {part: line.bundle for part, line in lines.items() if line.bundle is not None}
    _check_gone(catalog, bundles, brief, gone)
    for first, second, options in ((gone, ordered, "ordered"), (gone, prices, "given a price")):
        both = [part for part in first if part in second]
        if both:
            raise refuse(
                f"--gone / --{'ordered' if options == 'ordered' else 'price'}",
                f"the same part is both gone and {options}",
                both[0],
            )
    _check_ordered(stored, catalog, bundles, brief, ordered)
    notes = [
        Note("complete-pc", part)
        for part in (*gone, *prices)
        if part in bundles and bundles[part].kind == "complete-pc"
    ]
    notes += [Note("covered", part, covered[part]) for part in (*prices, *ordered) if part in covered]
    orders = tuple(dict.fromkeys(covered.get(part) or part for part in ordered))
    missing = {m.id for m in stored.missing if m.state != "other-kind"} - set(orders)
    bought = set(stored.plan.bought) | {part.key for part in stored.plan.parts}
    notes += [Note("not-in-plan", part) for part in gone if part not in bought and part not in bundles]
    notes += [Note("order-not-in-plan", part) for part in orders if part not in bought]
    lost = {*gone, *missing, *stored.dropped}
    dropped = [part for part in (*brief.including, *stored.dropped) if part in lost]
    notes += [Note("demand-dropped", part) for part in dict.fromkeys(dropped)]
    notes += [Note("exclusion-dropped", part) for part in brief.without if part in orders]
    brief = brief.model_copy(
        update={
            "without": tuple(dict.fromkeys(part for part in (*brief.without, *gone) if part not in orders)),
            "including": tuple(
                dict.fromkeys(part for part in (*brief.including, *orders) if part not in lost)
            ),
        }
    )
    placed = _with_orders(catalog, stored, lines, orders)
    _check_paid(placed, bundles, orders)
    today = _with_prices(placed, prices)
    left = [m for m in stored.missing if m.id not in orders]
    old = _with_prices(_with_orders(stored.problem.source, stored, lines, orders), prices) if left else None
    return Happened(
        today, old, brief, frozenset({*gone, *missing}), frozenset(orders), tuple(dict.fromkeys(notes))
    )


def _check_gone(catalog: Catalog, bundles: Mapping[str, Bundle], brief: Brief, gone: Sequence[str]) -> None:
    for part in gone:
        if part not in catalog.table_of and part not in bundles and part not in KEPT:
            raise _unknown("--gone", part, catalog, bundles)
        slot = part.removeprefix("kept-")
        if part in KEPT and slot in REPLACING.values() and slot not in brief.replace:
            raise refuse(
                "--gone",
                "this plan can only use the present one",
                part,
                "a part that may be replaced",
                f"Add --replace {slot}",
            )


def _check_ordered(
    stored: PlanFile, catalog: Catalog, bundles: Mapping[str, Bundle], brief: Brief, ordered: Sequence[str]
) -> None:
    offered = {offer.part for offer in catalog.tables["offers"]}
    tables: dict[str, str] = {}
    for part in ordered:
        if part in bundles:
            if bundles[part].kind == "complete-pc":
                raise refuse(
                    "--ordered",
                    "a complete PC is not part of a plan, it stands in its place",
                    part,
                    "a part, an extra or a bundle",
                )
            continue
        if part in KEPT:
            continue
        table = catalog.table_of.get(part)
        if table is None:
            lost = any(m.id == part for m in stored.missing)
            if lost:
                raise refuse(
                    "--ordered",
                    "is not in the catalogue any more, and the plan file has no facts of it",
                    part,
                    None,
                    "Put its row back into the catalogue",
                )
            raise _unknown("--ordered", part, catalog, bundles)
        if part not in offered and part not in stored.plan.bought:
            raise refuse(
                "--ordered",
                "nobody offers it, and it is not in this plan",
                part,
                "a part of the plan or one on offer",
            )
        slot = REPLACING.get(table)
        free = slot == "graphics" and not needs_its_card(stored.problem.survey)
        if slot is not None and slot not in brief.replace and not free:
            raise refuse(
                "--ordered",
                f"the plan keeps the present {_ONE_OF[table]}",
                part,
                "a part that the plan may buy",
                f"Add --replace {slot}",
            )
        if table in _ONE_OF and tables.setdefault(table, part) != part:
            raise refuse(
                "--ordered",
                f"a second {_ONE_OF[table]}; the first is {tables[table]}",
                part,
                f"one {_ONE_OF[table]}",
            )


def _check_paid(catalog: Catalog, bundles: Mapping[str, Bundle], orders: Sequence[str]) -> None:
    """Refuse an order of which nobody knows the price: no plan could be bought with it."""
    offered = {offer.part for offer in catalog.tables["offers"]}
    for part in orders:
        if part not in offered and part not in bundles and part not in KEPT:
            problem = (
                "nobody offers it now, and the plan file does not say where and for how much it was bought"
            )
            raise refuse(
                "--ordered", problem, part, None, "Add its offer to the catalogue, as it was ordered"
            )


def _unknown(option: str, part: str, catalog: Catalog, bundles: Mapping[str, Bundle]) -> InputRefused:
    return refuse(
        option,
        "no such part in this catalogue",
        part,
        "an id of the catalogue",
        nearest(part, [*catalog.table_of, *bundles, *KEPT]),
    )


def _with_orders(
    catalog: Catalog, stored: PlanFile, lines: Mapping[str, StoredLine], ordered: Sequence[str]
) -> Catalog:
    """What is ordered is bought as the plan bought it: at that seller and price, whatever is offered now."""
    bundles = [replace(b, stock=None, valid_until=None) for b in stored.rows.bundles if b.id in ordered]
    if bundles:
        ids = {b.id for b in bundles}
        kept = tuple(b for b in catalog.tables["bundles"] if b.id not in ids)
        catalog = put_back(replace(catalog, tables={**catalog.tables, "bundles": kept}), {}, (), bundles)
    for part in ordered:
        line = lines.get(part)
        placed = None if line is None else _order(stored, line)
        if line is None or placed is None:
            continue
        others = tuple(o for o in catalog.tables["offers"] if o.part != part)
        still = len(others) < len(catalog.tables["offers"])
        # More than what is ordered can only be had where somebody still offers it.
        placed = replace(placed, stock=None if still else line.count, valid_until=None)
        catalog = replace(catalog, tables={**catalog.tables, "offers": (*others, placed)})
    return catalog


def _order(stored: PlanFile, line: StoredLine) -> Offer | None:
    """The offer that an order line was bought at; made from the line where the file has no rows."""
    for offer in stored.rows.offers:
        if (offer.part, offer.seller, offer.price * line.count) == (line.item, line.seller, line.amount):
            return offer
    known = any(seller.id == line.seller for seller in stored.catalog.tables["sellers"])
    return (
        Offer(line.item, line.seller, line.amount // line.count)
        if known and line.seller is not None
        else None
    )


def _with_prices(catalog: Catalog, prices: Mapping[str, str]) -> Catalog:
    """The catalogue with other prices for some parts (every offer of the part), bundles and complete PCs.

    Raises InputRefused.
    """
    if not prices:
        return catalog
    bundles = {b.id: b for b in catalog.tables["bundles"]}
    offered = {offer.part for offer in catalog.tables["offers"]}
    changed: dict[str, int] = {}
    for part, text in prices.items():
        if part not in catalog.table_of and part not in bundles:
            raise _unknown("--price", part, catalog, bundles)
        if part not in offered and part not in bundles:
            raise refuse("--price", "nobody offers it, so it has no price", part, "a part on offer")
        changed[part] = given_amount("--price", text, catalog.info.digits, catalog.info.currency)
        if changed[part] < 0:
            raise refuse("--price", "must not be negative", text)
    offers = tuple(
        replace(o, price=changed[o.part]) if o.part in changed else o for o in catalog.tables["offers"]
    )
    sets = tuple(replace(b, price=changed[b.id]) if b.id in changed else b for b in catalog.tables["bundles"])
    return replace(catalog, tables={**catalog.tables, "offers": offers, "bundles": sets})


__all__ = ["Happened", "Note", "happened"]
