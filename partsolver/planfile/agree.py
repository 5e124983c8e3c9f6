"""A plan file says many things twice: what of an order line follows from another part of the file must agree with it.

An order line stands beside the plan's parts and extras (which, how many), the offers, bundles and sellers that the
file keeps (name, price, state, delivery, days) and the plan's own day of arrival. What somebody changed in one place
only would be ordered in one way and counted in another: it is refused by name. Files of older versions and those
without the rows of their catalogue say less; what they do not say is not asked.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from partsolver.base.errors import InputRefused, refuse
from partsolver.base.quantities import format_amount, parse_amount
from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.delivery import charges
from partsolver.plan.services import UPDATE
from partsolver.planfile.rows import Remembered
from partsolver.planfile.stored import StoredPlan
from partsolver.problem.variants import OVERRIDES, sold_facts, variant_key

_HINT = (
    "Use the file as `partsolver recommend --out` wrote it; tell `partsolver replan` what has changed"
    " (--price, --gone, --ordered)"
)
_DELIVERY = "delivery:"
Entry = tuple[str, Mapping[str, Any]]  # where it stands, the line


def check_agreement(
    where: str,
    plan: Mapping[str, Any],
    stored: StoredPlan,
    rows: Remembered | None,
    digits: int,
    ordered_on: datetime.date | None,
) -> None:
    """Refuse a plan whose order lines contradict the rest of its file. ``stored``: the plan as read; ``rows``: what the
    file keeps of its catalogue, None where it keeps none; ``ordered_on``: the day that the file orders on, where it
    says one. Raises InputRefused."""
    cost = plan.get("cost")
    lines = cost.get("lines") if isinstance(cost, dict) else None
    if lines is None:
        return
    entries = [(f"{where} plans.cost.lines entry {nth}", line) for nth, line in enumerate(lines, 1)]
    for here, line in entries:
        for field in ("seller", "bundle"):
            if not isinstance(line.get(field), str | None):
                raise refuse(f"{here}.{field}", "cannot be read", line[field], "a text, or null", _HINT)
    bundles = {line.get("bundle") for line in lines} - {None}
    goods = [entry for entry in entries if not entry[1]["id"].startswith(_DELIVERY)]
    _check_parts(where, plan, stored, goods, bundles)
    # Who sells is looked at before what the seller is called.
    sources = [] if rows is None else [(entry, list(_sources(entry, rows, goods, digits))) for entry in goods]
    _check_names(where, plan, entries, rows)
    if rows is None:
        return
    _check_states(where, stored, {entry[1]["id"]: offers for entry, offers in sources}, rows)
    _check_deliveries(where, goods, [entry for entry in entries if entry not in goods], rows, digits)
    services = [row for _, row in rows.parts.values() if getattr(row, "kind", None) == UPDATE]
    _check_days(where, plan, sources, rows, ordered_on, bool(services))


def _differs(where: str, problem: str, found: object, expected: object) -> InputRefused:
    return refuse(where, problem, found, str(expected), _HINT)


# -- parts and extras --------------------------------------------------------------------------------------------------


def _check_parts(
    where: str, plan: Mapping[str, Any], stored: StoredPlan, goods: Sequence[Entry], bundles: set[Any]
) -> None:
    """Each part and extra that is bought has its lines, of its count, and nothing else has but a bundle that holds
    some of them."""
    wanted = {part.id: part.count for part in stored.parts if part.id is not None}
    extras = _extras(where, plan)
    if extras is not None:
        coolers = {part.id for part in stored.parts if part.slot == "cooler" and part.id is not None}
        if not coolers <= set(extras):
            raise _differs(f"{where} plans.extras", "lacks the cooler of the plan", None, min(coolers))
        wanted = {**extras, **wanted}
    asked = set(extras or ()) - {part.id for part in stored.parts}
    rules = {rule for rule, _ in stored.findings}
    bought = Counter[str]()
    for _, line in goods:
        bought[line["id"]] += line["count"]
    for here, line in goods:
        part = line["id"]
        if extras is not None and part not in wanted and part not in bundles:
            raise _differs(f"{here}.id", "is no part of this plan", part, ", ".join(wanted))
        if part in wanted and bought[part] != wanted[part]:
            raise _differs(
                f"{here}.count", f"is not how many of {part} the plan has", bought[part], wanted[part]
            )
        if extras is not None and "needed_by_rule" in line:
            _check_rule(f"{here}.needed_by_rule", line["needed_by_rule"], part in asked, rules)
    for part in wanted:
        if part not in bought:
            raise _differs(f"{where} plans.cost.lines", "lacks a part of the plan", None, part)
    for slot in OVERRIDES:
        own, state = plan["parts"].get(slot), plan["parts"].get(f"{slot}_variant")
        if state is not None and str(state).partition("@")[0] != own:
            raise _differs(f"{where} plans.parts.{slot}_variant", "is no state of the part", state, own)


def _check_rule(where: str, rule: Any, is_asked: bool, rules: set[str]) -> None:
    """An extra is asked for by a rule of the plan's findings, a part by none."""
    if not is_asked and rule is not None:
        raise _differs(where, "asks for a part, which is no extra", rule, "null")
    if is_asked and (rule is None or (rules and rule not in rules)):
        raise _differs(where, "is not what asks for this extra", rule, "a rule of plans.findings")


def _extras(where: str, plan: Mapping[str, Any]) -> dict[str, int] | None:
    """How many of each extra; the two places that say it must agree. None where the file says nothing."""
    own = plan.get("parts")
    told = (plan.get("extras"), own.get("extras") if isinstance(own, dict) else None)
    found = [_counts(f"{where} plans.extras", extras) for extras in told if extras is not None]
    if len(found) == 2 and found[0] != found[1]:
        raise _differs(f"{where} plans.parts.extras", "are not those of plans.extras", found[1], found[0])
    return found[0] if found else None


def _counts(where: str, extras: Any) -> dict[str, int]:
    found = {}
    for item in extras if isinstance(extras, list) else [extras]:
        part, count = (item.get("id"), item.get("count")) if isinstance(item, dict) else (None, None)
        if not isinstance(part, str) or type(count) is not int:
            raise refuse(where, "cannot be read", item, "a list of extras with id and count", _HINT)
        found[part] = count
    return found


# -- names -------------------------------------------------------------------------------------------------------------


def _check_names(
    where: str, plan: Mapping[str, Any], entries: Sequence[Entry], rows: Remembered | None
) -> None:
    """One id has one name."""
    names: dict[str, str] = {}
    if rows is not None:
        names = {part: row.name for part, (_, row) in rows.parts.items()}
        names |= {bundle.id: bundle.name for bundle in rows.bundles}
        names |= {seller.id: seller.name for seller in rows.sellers}
    for here, item, name in _named(where, plan, entries):
        if name is not None and names.setdefault(item, name) != name:
            raise _differs(here, f"is not what the file calls {item} elsewhere", name, names[item])


def _named(where: str, plan: Mapping[str, Any], entries: Sequence[Entry]) -> Iterator[tuple[str, str, Any]]:
    """Where an id and its name stand side by side."""
    parts = plan["parts"]
    for field, name in parts.items():
        slot, _, rest = field.rpartition("_")
        if rest == "name" and isinstance(parts.get(slot), str):
            yield f"{where} plans.parts.{field}", parts[slot], name
    for item in parts["memory"]:
        yield f"{where} plans.parts.memory.name", item["id"], item.get("name")
    for place, extras in (("extras", plan.get("extras")), ("parts.extras", parts.get("extras"))):
        for item in extras or ():
            yield f"{where} plans.{place}.name", item["id"], item.get("name")
    for here, line in entries:
        seller = line.get("seller")
        if isinstance(seller, str):
            yield f"{here}.seller_name", seller, line.get("seller_name")
        if not line["id"].startswith(_DELIVERY):
            yield f"{here}.name", line["id"], line.get("name")
        elif line["id"] != f"{_DELIVERY}{seller}":
            raise _differs(f"{here}.seller", "is not who charges this delivery", seller, line["id"])
        elif line.get("name") not in (None, f"delivery, {line.get('seller_name')}"):
            expected = f"delivery, {line.get('seller_name')}"
            raise _differs(f"{here}.name", "does not name the seller", line["name"], expected)


# -- offers ------------------------------------------------------------------------------------------------------------


def _sources(entry: Entry, rows: Remembered, goods: Sequence[Entry], digits: int) -> Iterator[Offer | Bundle]:
    """The offers of the file that a line can be of; the bundle of one that is or is in one."""
    here, line = entry
    item, holder = line["id"], line.get("bundle")
    offers: Iterable[Offer | Bundle] = [offer for offer in rows.offers if offer.part == item]
    price = "price"
    if holder is not None:
        offers = [bundle for bundle in rows.bundles if (bundle.id == holder and item in dict(bundle.items))]
        if not offers or all(other["id"] != holder for _, other in goods):
            raise _differs(f"{here}.bundle", "is no bundle of this order with the part in it", holder, "one")
        price = "0, since a bundle holds it"
    elif not offers:
        offers = [bundle for bundle in rows.bundles if bundle.id == item]
    where = "source.rows.offers" if holder is None else "source.rows.bundles"
    if not offers:
        raise _differs(f"{here}.id", f"nobody offers it in {where}", item, "what is on offer there")
    sellers = sorted({offer.seller for offer in offers})
    offers = [offer for offer in offers if offer.seller == line.get("seller")]
    if not offers:
        problem = f"does not offer {item} in {where}"
        raise _differs(f"{here}.seller", problem, line.get("seller"), " or ".join(sellers))
    if "condition" in line:
        states = {str(offer.condition) for offer in offers}
        offers = [offer for offer in offers if offer.condition == line["condition"]]
        if not offers:
            problem = "is not the state in which the seller offers it"
            raise _differs(f"{here}.condition", problem, line["condition"], " or ".join(sorted(states)))
    if isinstance(next(iter(offers)), Bundle) and holder is None and line["count"] != 1:
        raise _differs(f"{here}.count", "a bundle is ordered once", line["count"], 1)
    amount = parse_amount(line["amount"], digits)
    prices = [0 if holder is not None else offer.price for offer in offers]
    if all(amount != line["count"] * one for one in prices):
        each = " or ".join(format_amount(one, digits) for one in sorted(set(prices)))
        problem = f"is not {line['count']} times the {price} in {where}"
        raise _differs(f"{here}.amount", problem, line["amount"], f"{each} each")
    yield from (offer for offer, one in zip(offers, prices, strict=True) if amount == line["count"] * one)


def _check_states(
    where: str, stored: StoredPlan, sources: Mapping[str, Sequence[Offer | Bundle]], rows: Remembered
) -> None:
    """A part is in the plan in the state (firmware, shield, what is in its box) in which it is ordered."""
    for part in stored.parts:
        if part.id is None or part.slot not in OVERRIDES or part.id not in rows.parts:
            continue
        row = rows.parts[part.id][1]
        keys = {
            variant_key(part.slot, row, sold_facts(part.slot, row, source)) for source in sources[part.id]
        }
        if part.key not in keys:
            problem = "is not the state in which the part is ordered"
            raise _differs(
                f"{where} plans.parts.{part.slot}_variant", problem, part.key, " or ".join(sorted(keys))
            )


def _check_deliveries(
    where: str, goods: Sequence[Entry], deliveries: Sequence[Entry], rows: Remembered, digits: int
) -> None:
    """Each seller of the goods charges one delivery, by the seller's own row."""
    values = Counter[str]()
    for _, line in goods:
        values[line["seller"]] += parse_amount(line["amount"], digits)
    due = {
        seller: charge
        for seller, charge in charges({s.id: s for s in rows.sellers}, values).items()
        if charge
    }
    seen: set[str] = set()
    for here, line in deliveries:
        seller = line["seller"]
        if seller not in due or seller in seen:
            raise _differs(f"{here}.id", "this seller charges no such delivery", line["id"], "none")
        seen.add(seller)
        if line.get("count", 1) != 1:
            raise _differs(f"{here}.count", "a delivery is charged once", line["count"], 1)
        for field in ("bundle", "condition", "arrival", "needed_by_rule"):
            if line.get(field) is not None:
                raise _differs(f"{here}.{field}", "a delivery has none", line[field], "null")
        expected = format_amount(due[seller], digits)
        if parse_amount(line["amount"], digits) != due[seller]:
            raise _differs(f"{here}.amount", "is not what the seller charges", line["amount"], expected)
    for seller in due.keys() - seen:
        raise _differs(f"{where} plans.cost.lines", "lacks a delivery", None, f"{_DELIVERY}{seller}")


# -- days --------------------------------------------------------------------------------------------------------------


def _check_days(
    where: str,
    plan: Mapping[str, Any],
    sources: Sequence[tuple[Entry, Sequence[Offer | Bundle]]],
    rows: Remembered,
    ordered_on: datetime.date | None,
    is_serviced: bool,
) -> None:
    """Each line is there after the days of its seller, from one day of order, and the plan with its last line
    (``is_serviced``: or later, when a board comes back from its seller)."""
    if any("arrival" not in line for (_, line), _ in sources):
        return
    days = {seller.id: datetime.timedelta(days=seller.delivery_days) for seller in rows.sellers}
    there = [_day(f"{here}.arrival", line["arrival"]) for (here, line), _ in sources]
    sent = [day - days[line["seller"]] for day, ((_, line), _) in zip(there, sources, strict=True)]
    for day, ((here, line), offers) in zip(sent, sources, strict=True):
        right = {max(ordered_on or day, offer.available_on or day.min) for offer in offers}
        if day not in right:
            expected = (min(right) + days[line["seller"]]).isoformat()
            raise _differs(
                f"{here}.arrival", "is not the day by its seller's days", line["arrival"], expected
            )
    if "arrival" in plan and there:
        told = _day(f"{where} plans.arrival", plan["arrival"])
        if told < max(there) or (told > max(there) and not is_serviced):
            problem = "is not the day on which the last line is there"
            raise _differs(f"{where} plans.arrival", problem, plan["arrival"], max(there).isoformat())


def order_day(where: str, document: Mapping[str, Any], today: datetime.date | None) -> datetime.date | None:
    """The day on which a file orders: its provenance and its wishes (``today``) must agree. None where it says none.
    Raises InputRefused."""
    made = document.get("provenance")
    told = made.get("order_date") if isinstance(made, dict) else None
    if told is None:
        return today
    day = _day(f"{where} provenance.order_date", told)
    if today is not None and day != today:
        raise _differs(f"{where} provenance.order_date", "is not the day of brief.today", told, today)
    return day


def _day(where: str, told: Any) -> datetime.date:
    try:
        return datetime.date.fromisoformat(told)
    except (TypeError, ValueError):
        raise refuse(where, "cannot be read", told, "a day as 2026-11-30", _HINT) from None


__all__ = ["check_agreement", "order_day"]
