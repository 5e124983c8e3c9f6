"""A plan as its file has it: parts by slot, order lines and figures, read without any catalogue."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from partsolver.base.errors import refuse
from partsolver.base.quantities import parse_amount
from partsolver.base.records import record
from partsolver.problem.candidates import KEPT_GRAPHICS, KEPT_MEMORY, SLOTS, SlotName
from partsolver.problem.variants import OVERRIDES

KEPT_OR_BOXED = ("kept-", "boxed-")
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


def stored_plan(where: str, plan: Mapping[str, Any], digits: int) -> StoredPlan:
    """Read a plan document. Raises InputRefused when its parts or lines cannot be read."""
    try:
        parts = _parts(plan["parts"])
    except (KeyError, TypeError, AttributeError):
        raise refuse(f"{where} plans", "the parts of the plan cannot be read", hint=PLAN_FILE_HINT) from None
    cost = plan.get("cost")
    try:
        lines = _lines(cost, digits)
    except (KeyError, TypeError, ValueError, AttributeError):
        raise refuse(
            f"{where} plans.cost", "the order lines of the plan cannot be read", hint=PLAN_FILE_HINT
        ) from None
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


def _parts(parts: Any) -> tuple[StoredPart, ...]:
    found: dict[SlotName, StoredPart] = {}
    memory = [(_text(item["id"]), item["count"]) for item in parts["memory"]]
    kept = [part for part, _ in memory if part.partition("*")[0] == KEPT_MEMORY]
    kits = [(part, _count(count)) for part, count in memory if part not in kept]
    if len(kits) > 1 or not memory:
        raise TypeError
    if kits:
        mixed = f"+{kept[0]}" if kept else ""
        found["memory"] = StoredPart("memory", f"{kits[0][0]}*{kits[0][1]}{mixed}", *kits[0])
    else:
        found["memory"] = StoredPart("memory", kept[0], None, 0)
    for slot in SLOTS:
        if slot != "memory":
            # Files of before graphics cards could be bought name none.
            part = _text(parts.get(slot, KEPT_GRAPHICS) if slot == "graphics" else parts[slot])
            # Files of before 0.2.0 name the state only of boards.
            state = _text(parts.get(f"{slot}_variant") or part) if slot in OVERRIDES else part
            key = state if state.partition("@")[0] == part else part
            found[slot] = StoredPart(slot, key, None if part.startswith(KEPT_OR_BOXED) else part, 1)
    return tuple(found[slot] for slot in SLOTS)


def _lines(cost: Any, digits: int) -> tuple[StoredLine, ...]:
    if not isinstance(cost, dict):
        return ()
    found = []
    for line in cost.get("lines", ()):
        item = _text(line["id"])
        if not item.startswith("delivery:"):
            seller, bundle = line.get("seller"), line.get("bundle")
            amount = parse_amount(_text(line["amount"]), digits)
            found.append(StoredLine(item, _count(line["count"]), amount, _or_none(seller), _or_none(bundle)))
    return tuple(found)


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value:
        raise TypeError
    return value


def _or_none(value: Any) -> str | None:
    return value if isinstance(value, str) else None


def _count(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 1:
        raise TypeError
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


__all__ = ["PLAN_FILE_HINT", "StoredLine", "StoredPart", "StoredPlan", "stored_plan"]
