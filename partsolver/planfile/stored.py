"""A plan as its file has it: parts by slot, order lines and figures, read without any catalogue."""

from __future__ import annotations

import json
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from partsolver.base.documents import check_schema
from partsolver.base.errors import InputRefused, refuse
from partsolver.base.quantities import format_amount, given_amount, parse_amount
from partsolver.base.records import record
from partsolver.problem.candidates import KEPT_GRAPHICS, KEPT_MEMORY, SLOTS, SlotName
from partsolver.problem.variants import OVERRIDES

KEPT_OR_BOXED = ("kept-", "boxed-")
RECOMMENDATION = "partsolver.recommendation/1"
PLAN_FILE_HINT = "Use a file written by `partsolver recommend --out`"


@record
class StoredPart:
    """What fills a slot: key of the candidate, id of the catalogue part (None: nothing bought), how many of
    it."""

    slot: SlotName
    key: str
    id: str | None
    count: int


@record
class StoredLine:
    """One order line; amount in minor units; bundle: the bundle that covers it; seller is None where none is
    named."""

    item: str
    count: int
    amount: int
    seller: str | None
    bundle: str | None


@record
class StoredPlan:
    """parts in slot order; lines without delivery; figures are None where the file has none.

    findings: (rule, verdict) of each; speedup_milli: thousandths; power_w: continuous DC power.
    """

    parts: tuple[StoredPart, ...]
    lines: tuple[StoredLine, ...]
    cost: int | None
    speedup_milli: int | None
    power_w: int | None
    findings: tuple[tuple[str, str], ...]

    @property
    def named(self) -> list[str]:
        """The parts as a person names them for `chosen_parts`."""
        return [
            name
            for part in self.parts
            for name in (part.key.split("+") if part.slot == "memory" else [part.key])
        ]

    @property
    def bought(self) -> tuple[str, ...]:
        """Ids of everything that is bought, bundles too, in the order of the file, each once."""
        slots = [part.id for part in self.parts if part.id is not None]
        return tuple(dict.fromkeys([*slots, *(line.item for line in self.lines)]))


def check_plan_file(document: Any, where: str) -> None:
    """Refuse what is no plan file of this version. Raises InputRefused."""
    check_schema(document, where, RECOMMENDATION, "not a plan file", PLAN_FILE_HINT)


def chosen_plan(where: str, document: Mapping[str, Any]) -> Mapping[str, Any]:
    """The plan that a plan file is about. Raises InputRefused."""
    plans, chosen = document.get("plans"), document.get("chosen")
    if not isinstance(plans, list) or not all(isinstance(plan, dict) for plan in plans):
        raise refuse(f"{where} plans", "the plans cannot be read", None, "a list of plans", PLAN_FILE_HINT)
    ranks = [plan.get("rank") for plan in plans]
    if type(chosen) is not int or ranks.count(chosen) != 1:
        many = "several plans have this rank" if chosen in ranks else "no plan of this rank in the file"
        listed = ", ".join(str(rank) for rank in ranks[:9])
        raise refuse(f"{where} chosen", many, chosen, f"a rank that one plan has (here: {listed})")
    plan: Mapping[str, Any] = plans[ranks.index(chosen)]
    return plan


def stored_plan(where: str, plan: Mapping[str, Any], digits: int) -> StoredPlan:
    """Read a plan document. Raises InputRefused naming what of its parts or lines cannot be read."""
    parts = _parts(f"{where} plans.parts", plan.get("parts"))
    cost = plan.get("cost")
    lines = _lines(f"{where} plans.cost", cost, digits)
    speedup, power, findings = plan.get("speedup"), plan.get("power"), plan.get("findings")
    return StoredPlan(
        parts,
        lines,
        _amount(cost.get("total"), digits) if isinstance(cost, dict) else None,
        _milli(speedup.get("expected")) if isinstance(speedup, dict) else None,
        _whole(power.get("continuous_w")) if isinstance(power, dict) else None,
        (
            tuple((str(f.get("rule")), str(f.get("verdict"))) for f in findings if isinstance(f, dict))
            if isinstance(findings, list)
            else ()
        ),
    )


def _parts(where: str, parts: Any) -> tuple[StoredPart, ...]:
    if not isinstance(parts, dict):
        raise _unread(where, parts, "the parts by slot")
    found: dict[SlotName, StoredPart] = {"memory": _memory(f"{where}.memory", parts.get("memory"))}
    for slot in SLOTS:
        if slot != "memory":
            # Files of before graphics cards could be bought name none.
            part = _text(f"{where}.{slot}", parts.get(slot, KEPT_GRAPHICS if slot == "graphics" else None))
            # Files of before 0.2.0 name the state only of boards.
            state = _text(f"{where}.{slot}_variant", parts.get(f"{slot}_variant") or part)
            key = state if slot in OVERRIDES and state.partition("@")[0] == part else part
            found[slot] = StoredPart(slot, key, None if part.startswith(KEPT_OR_BOXED) else part, 1)
    return tuple(found[slot] for slot in SLOTS)


def _memory(where: str, items: Any) -> StoredPart:
    if not isinstance(items, list) or not items or not all(isinstance(item, dict) for item in items):
        raise _unread(where, items, "a list of kits with id and count")
    ids = [_text(f"{where}.id", item.get("id")) for item in items]
    kept = [part for part in ids if part.partition("*")[0] == KEPT_MEMORY]
    kits = [item for item in items if item["id"] not in kept]
    if len(kits) > 1:
        raise refuse(where, "more than one kind of kit", ", ".join(ids)[:80], "one, with its count")
    if not kits:
        return StoredPart("memory", kept[0], None, 0)
    part, count = kits[0]["id"], _count(f"{where}.count", kits[0].get("count"))
    mixed = f"+{kept[0]}" if kept else ""
    return StoredPart("memory", f"{part}*{count}{mixed}", part, count)


def _lines(where: str, cost: Any, digits: int) -> tuple[StoredLine, ...]:
    if not isinstance(cost, dict):
        return ()
    lines = cost.get("lines", [])
    if not isinstance(lines, list) or not all(isinstance(line, dict) for line in lines):
        raise _unread(f"{where}.lines", lines, "a list of order lines")
    found, total = [], 0
    for number, line in enumerate(lines, 1):
        here = f"{where}.lines entry {number}"
        item = _text(f"{here}.id", line.get("id"))
        amount = given_amount(f"{here}.amount", _text(f"{here}.amount", line.get("amount")), digits)
        if amount < 0:
            raise refuse(f"{here}.amount", "must not be negative", line["amount"], "an amount of 0 or more")
        total += amount
        if not item.startswith("delivery:"):
            count = _count(f"{here}.count", line.get("count"))
            seller, bundle = line.get("seller"), line.get("bundle")
            found.append(StoredLine(item, count, amount, _or_none(seller), _or_none(bundle)))
    stated = _amount(cost.get("total"), digits)
    if lines and stated is not None and stated != total:
        # An edited figure does not pass as what the plan costs.
        added = format_amount(total, digits)
        raise refuse(f"{where}.total", "is not the sum of the lines", cost["total"], added, PLAN_FILE_HINT)
    return tuple(found)


def _unread(where: str, found: Any, expected: str) -> InputRefused:
    shown = None if found is None else json.dumps(found, default=str)[:80]
    return refuse(where, "is missing" if found is None else "cannot be read", shown, expected, PLAN_FILE_HINT)


def _text(where: str, value: Any) -> str:
    if not isinstance(value, str) or not value:
        raise _unread(where, value, "a text")
    return value


def _or_none(value: Any) -> str | None:
    return value if isinstance(value, str) else None


def _count(where: str, value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 1:
        raise _unread(where, value, "a whole number from 1 on")
    return value


def _amount(value: Any, digits: int) -> int | None:
    try:
        return parse_amount(value, digits) if isinstance(value, str) else None
    except ValueError:
        return None


def _milli(value: Any) -> int | None:
    try:
        return round(1000 * Fraction(value))
    except (TypeError, ValueError, OverflowError):
        return None


def _whole(value: Any) -> int | None:
    return value if isinstance(value, int) and not isinstance(value, bool) else None


__all__ = [
    "PLAN_FILE_HINT",
    "RECOMMENDATION",
    "StoredLine",
    "StoredPart",
    "StoredPlan",
    "check_plan_file",
    "chosen_plan",
    "stored_plan",
]
