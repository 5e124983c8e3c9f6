"""Words and JSON of `replan`."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from partsolver.base.quantities import format_amount
from partsolver.catalog.dictionary import columns
from partsolver.explain.differences import Difference
from partsolver.explain.happened import Note
from partsolver.explain.replan import Purchase, Replanned
from partsolver.explain.why import Why
from partsolver.plan.findings import Finding
from partsolver.plan.outcome import Plan
from partsolver.report import json as report_json
from partsolver.report.document import dump
from partsolver.report.page import (
    amount_text,
    current_page,
    date_text,
    date_words,
    decimals_text,
    row,
    wrap,
)
from partsolver.report.text import complete_lines, names_of, plan_lines
from partsolver.report.why import why_document, why_text
from partsolver.report.words.lookup import sentence, title
from partsolver.report.words.record import SLOT_NAMES, Names
from partsolver.rules import buying_excluded

NOTES = {
    "demand-dropped": "The brief demands {name}; it is gone, so the demand is dropped.",
    "exclusion-dropped": "The brief excludes {name}; it is ordered, so the exclusion is dropped.",
    "not-in-plan": "{name} was not in the old plan.",
    "order-not-in-plan": "{name} is ordered, and the old plan does not use it.",
    "covered": (
        "{name} was bought in {other}: the bundle is what is ordered and paid; a price of its own counts only"
        " where it is bought alone."
    ),
    "complete-pc": "{name} is a complete PC: it is no part of a plan, it competes with all of them.",
}
STATES = {
    "left": "{name} is not in the catalogue any more.",
    "unsold": "Nobody offers {name} any more.",
    "other-kind": "{name} is not offered any more in the state or number that the plan uses.",
}
_MOST_FINDINGS = 6


def replan_text(result: Replanned, none: Why | None = None, full: bool = True) -> str:
    """What differs from the catalogue of then, old and new side by side, then the new plan.

    ``none``: why there is no new plan; ``full``: the new plan with its cautions and every finding.
    """
    problem = result.problem
    names = _names(result)
    digits, currency = problem.catalog.digits, problem.catalog.currency
    lines = [
        *_differences(result, names),
        *(wrap(_note(note, names), "") for note in result.notes),
        *_old_stands(result, names),
    ]
    if result.stand_in is not None and result.old is not None:
        changed = [
            (old, new)
            for old, new in zip(result.old.parts.picked, result.stand_in.parts.picked, strict=True)
            if old.key != new.key and old.id
        ]
        words = ", ".join(
            f"{f'{new.quantity} x ' if new.quantity > 1 else ''}{names.get(new.id or '', new.key)} for"
            f" {names.get(old.id or '', old.key)}"
            for old, new in changed
        )
        cost = amount_text(result.stand_in.draft.cost, digits)
        lines.append(wrap(f"Stand-in, nothing else changes: {words}; total {cost} {currency}.", "  "))
    new = result.new
    if new is None:
        lines.append(
            ""
            if none is not None
            else wrap("No new plan was found within the limit; this does not prove that there is none.", "")
        )
        lines += [] if none is None else why_text(none, problem).rstrip("\n").splitlines()
        lines += complete_lines(result.outcome, problem, "the new plan")
        return "\n".join(lines) + "\n"
    lines += ["", *_side_by_side(result, new, names)]
    fresh = _fresh_findings(result, new)
    if fresh:
        lines.append("  new findings:")
        lines += [wrap(f"{title(f.rule)}: {sentence(f, names)}", "    - ", "      ") for f in fresh]
    if not result.changes:
        lines += _bought_otherwise(result, names, digits)
    lines += complete_lines(result.outcome, problem, "the new plan")
    lines += ["", *plan_lines(new, problem, names, "NEW PLAN", full)]
    return "\n".join(lines) + "\n"


def _names(result: Replanned) -> Names:
    """Names of everything that the catalogue has or the plan file remembers."""
    names = names_of(result.problem)
    rows = result.stored.rows
    for part, name in [*((b.id, b.name) for b in rows.bundles), *((s.id, s.name) for s in rows.sellers)]:
        names.setdefault(part, name)
    return names


def _differences(result: Replanned, names: Names) -> Iterator[str]:
    if not result.catalog_changed:
        return
    made, today = result.stored.document.get("provenance"), result.problem.catalog
    then = made.get("catalog_date") if isinstance(made, dict) else None
    when = (
        f" (then {date_words(then)}, now {date_text(today.as_of)})"
        if isinstance(then, str) and then != today.as_of.isoformat()
        else ""
    )
    found = [_difference(d, result, names) for d in result.differences]
    if not found:
        yield wrap(
            f"The catalogue has changed since this plan was made{when}; nothing that this plan uses differs.",
            "",
        )
        return
    yield wrap(f"The catalogue has changed since this plan was made{when}:", "")
    yield from (wrap(text, "  - ", "    ") for text in found)


def _difference(found: Difference, result: Replanned, names: Names) -> str:
    name = names.get(found.id, found.id)
    digits = result.problem.catalog.digits
    if found.kind in STATES:
        return STATES[found.kind].format(name=name)
    seller = names.get(found.seller or "", found.seller or "")
    if found.kind == "price":
        return (
            f"{name} cost {amount_text(found.before, digits)} at {seller}, now"
            f" {amount_text(found.after, digits)}."
        )
    if found.kind == "seller":
        rest = "" if found.after is None else f"; others do, from {amount_text(found.after, digits)}"
        return f"{name}: {seller} does not offer it any more{rest}."
    column = next((table[found.field or ""] for table in columns().values() if found.field in table), None)
    unit = "" if column is None or not column.unit else f" {column.unit}"
    meaning = (found.field or "") if column is None else column.meaning
    return (
        f"{name}: {meaning} ({found.field}): {_value(found.before)}{unit} then, {_value(found.after)}{unit}"
        " now."
    )


def _value(value: Any) -> str:
    if value is None:
        return "not stated"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " ".join(_value(item) for item in value) or "none"
    return str(value)


def _note(note: Note, names: Names) -> str:
    return NOTES[note.kind].format(
        name=names.get(note.id, note.id), other=names.get(note.other or "", note.other or "")
    )


def _old_stands(result: Replanned, names: Names) -> Iterator[str]:
    if result.still_stands:
        yield wrap("The old plan still stands.", "")
        return
    reasons = result.gone or result.missing or result.old is None or _refused(result)
    yield wrap("The old plan does not stand any more" + (":" if reasons else "."), "")
    for missing in result.missing:
        if missing.id not in result.gone:
            yield wrap(STATES[missing.state].format(name=names.get(missing.id, missing.id)), "  - ", "    ")
    for part in result.gone:
        yield wrap(f"{names.get(part, part)} is gone.", "  - ", "    ")
    if result.old is None:
        yield wrap(
            "It cannot be judged again without what is gone: it is shown as the plan file has it.",
            "  - ",
            "    ",
        )
        return
    for finding in _refused(result)[:_MOST_FINDINGS]:
        yield wrap(f"{title(finding.rule)}: {sentence(finding, names)}", "  - ", "    ")


def _refused(result: Replanned) -> list[Finding]:
    """Findings that do not admit the old plan; an order that it does not use is said in a note."""
    said = {note.id for note in result.notes if note.kind == "order-not-in-plan"}
    found = () if result.old is None else result.old.findings
    return [
        f for f in found if not f.admits and not (f.rule == buying_excluded.ID and said.issuperset(f.parts))
    ]


def _side_by_side(result: Replanned, new: Plan, names: Names) -> Iterator[str]:
    digits = result.problem.catalog.digits
    stored, old = result.stored.plan, result.old
    head = "old" if old is not None else "old, as the file has it"
    yield f"{'':<16}{head:<31}new" if current_page().drawings else f"Before ({head}) and now (new):"
    for before, after in zip(stored.parts, new.parts.picked, strict=True):
        mark = " " if before.key == after.key else "*"
        was, is_now = (
            names.get(before.id or before.key, before.id or before.key),
            names.get(after.id or after.key, after.key),
        )
        was, is_now = (
            f"{count} x {name}" if count > 1 else name
            for count, name in ((before.count, was), (after.quantity, is_now))
        )
        if current_page().drawings:
            yield from row(((mark, 1), (SLOT_NAMES[before.slot], 13), (was, 30), (is_now, 30)), gap=1)
        else:
            yield _told(SLOT_NAMES[before.slot], was, is_now, before.key == after.key)
    old_cost = stored.cost if old is None else old.draft.cost
    difference = "" if old_cost is None else f" ({_signed(new.draft.cost - old_cost, digits)})"
    shown = "not known" if old_cost is None else amount_text(old_cost, digits)
    yield _told("cost", shown, f"{amount_text(new.draft.cost, digits)}{difference}")
    milli = (
        stored.speedup_milli if old is None else None if old.speedup is None else old.speedup.expected_milli
    )
    now = _times(None if new.speedup is None else new.speedup.expected_milli)
    yield _told("speed-up", _times(milli), now)
    watts = stored.power_w if old is None else -(-old.power_mw // 1000)
    yield _told("power", "not known" if watts is None else f"{watts} W", f"{-(-new.power_mw // 1000)} W")


def _told(what: str, was: str, is_now: str, same: bool = False) -> str:
    """One line of old beside new; a sentence where the reader wants no columns."""
    if current_page().drawings:
        return f"  {what:<13} {was:<30} {is_now}"
    return wrap(
        f"{what}: {is_now}, as before" if same else f"{what}: {was} before, {is_now} now", "  ", "    "
    )


def _fresh_findings(result: Replanned, new: Plan) -> list[Finding]:
    """Findings to act on that the old plan did not have."""
    before = (
        set(result.stored.plan.findings)
        if result.old is None
        else {(f.rule, f.verdict) for f in result.old.findings}
    )
    return [f for f in new.findings if f.verdict != "fits" and (f.rule, f.verdict) not in before]


def _bought_otherwise(result: Replanned, names: Names, digits: int) -> Iterator[str]:
    if not result.purchases:
        yield wrap("Nothing changes.", "  ")
        return
    yield wrap("The same parts, bought otherwise:", "  ")
    for purchase in result.purchases:
        yield wrap(
            f"{names.get(purchase.item, purchase.item)}: {_purchase(purchase, names, digits)}",
            "    - ",
            "      ",
        )


def _purchase(purchase: Purchase, names: Names, digits: int) -> str:
    words = []
    for bought, when, none in (
        (purchase.before, "before", "not bought before"),
        (purchase.after, "now", "not bought now"),
    ):
        words.append(
            none
            if bought is None
            else f"{amount_text(bought[1], digits)} at {names.get(bought[0], bought[0])} {when}"
        )
    return ", ".join(words)


def _times(milli: int | None) -> str:
    return "not known" if milli is None else f"{decimals_text(milli / 1000, 2)}x"


def _signed(minor: int, digits: int) -> str:
    return ("+" if minor >= 0 else "") + amount_text(minor, digits)


def replan_json(result: Replanned, none: Why | None = None) -> str:
    """The same as one JSON document.

    ``old`` is the stored plan judged again, or as the file has it where facts are lost (``old_as_stored``).
    """
    problem, new, old = result.problem, result.new, result.old
    digits, names = problem.catalog.digits, _names(result)
    old_cost = result.stored.plan.cost if old is None else old.draft.cost
    return dump(
        {
            "schema": "partsolver.replan/1",
            "outcome": result.outcome.status,
            "currency": problem.catalog.currency,
            "catalog_changed": result.catalog_changed,
            "differences": [_difference_document(d, digits, names) for d in result.differences],
            "notes": [
                {
                    "kind": n.kind,
                    "id": n.id,
                    "name": names.get(n.id, n.id),
                    "other": n.other,
                    "other_name": None if n.other is None else names.get(n.other, n.other),
                }
                for n in result.notes
            ],
            "old_still_stands": result.still_stands,
            "old_as_stored": old is None,
            "gone": list(result.gone),
            "gone_names": [names.get(part, part) for part in result.gone],
            "missing": [
                {"id": m.id, "name": names.get(m.id, m.id), "state": m.state} for m in result.missing
            ],
            "old": (
                _plain(result.stored.stored_plan) if old is None else report_json.plan_document(old, problem)
            ),
            "stand_in": (
                None if result.stand_in is None else report_json.plan_document(result.stand_in, problem)
            ),
            "new": None if new is None else report_json.plan_document(new, problem),
            "why_none": None if none is None else why_document(none, problem),
            "changes": [
                {
                    "slot": c.slot,
                    "before": c.before,
                    "before_name": _choice_name(c.before, names),
                    "after": c.after,
                    "after_name": _choice_name(c.after, names),
                }
                for c in result.changes
            ],
            "purchases": [
                {
                    "id": p.item,
                    "name": names.get(p.item, p.item),
                    "before": _purchase_document(p.before, digits),
                    "after": _purchase_document(p.after, digits),
                }
                for p in result.purchases
            ],
            "cost_difference": (
                None if new is None or old_cost is None else format_amount(new.draft.cost - old_cost, digits)
            ),
        }
    )


def _choice_name(key: str, names: Names) -> str:
    """The name of what fills a place: a part, or so many packs of it (``ID*2``)."""
    part, _, count = key.rpartition("*")
    if key in names or not part or not count.isdigit():
        return names.get(key, key)
    name = names.get(part, part)
    return name if count == "1" else f"{count} x {name}"


def _plain(value: Any) -> Any:
    """A document as read, its decimals as JSON numbers again."""
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return float(value) if isinstance(value, Decimal) else value


def _difference_document(found: Difference, digits: int, names: Names) -> dict[str, Any]:
    money = found.kind in ("price", "seller")
    before, after = (
        (
            format_amount(v, digits)
            if money and v is not None
            else v
            if v is None or isinstance(v, int | str)
            else _value(v)
        )
        for v in (found.before, found.after)
    )
    return {
        "kind": found.kind,
        "id": found.id,
        "name": names.get(found.id, found.id),
        "field": found.field,
        "seller": found.seller,
        "seller_name": None if found.seller is None else names.get(found.seller, found.seller),
        "before": before,
        "after": after,
    }


def _purchase_document(bought: tuple[str, int] | None, digits: int) -> dict[str, str] | None:
    return None if bought is None else {"seller": bought[0], "amount": format_amount(bought[1], digits)}
