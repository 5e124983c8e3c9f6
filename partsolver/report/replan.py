"""Words and JSON of `replan`."""

from __future__ import annotations

from partsolver.explain.replan import Replanned
from partsolver.findings import Finding
from partsolver.outcome import Plan
from partsolver.quantities import format_amount
from partsolver.report import json as report_json
from partsolver.report.text import SLOT_NAMES, names_of, plan_lines, wrap
from partsolver.report.wording import sentence, title


def _times(plan: Plan) -> str:
    return "not known" if plan.speedup is None else f"{plan.speedup.expected_milli / 1000:.2f}x"


def _key(finding: Finding) -> tuple[str, str]:
    return finding.rule, finding.verdict


def replan_text(result: Replanned) -> str:
    """Old and new side by side, then the new plan in full."""
    problem = result.problem
    names = names_of(problem)
    digits = problem.catalog.digits
    lines = []
    if result.still_stands:
        lines.append(wrap("The old plan still stands.", ""))
    else:
        lines.append(wrap("The old plan does not stand any more:", ""))
        for finding in [f for f in result.old.findings if not f.admits][:6]:
            lines.append(wrap(f"{title(finding.rule)}: {sentence(finding, names)}", "  - ", "    "))
    if result.stand_in is not None:
        changed = [
            (old, new) for old, new in zip(result.old.parts.picked, result.stand_in.parts.picked, strict=True) if old.key != new.key and old.id
        ]
        words = ", ".join(f"{names.get(new.id or '', new.key)} for {names.get(old.id or '', old.key)}" for old, new in changed)
        cost = format_amount(result.stand_in.draft.cost, digits)
        lines.append(wrap(f"Stand-in, nothing else changes: {words}; total {cost} {problem.catalog.currency}.", "  "))
    new = result.new
    if new is None:
        lines.append(wrap("There is no new plan. `partsolver why` says why.", ""))
        return "\n".join(lines) + "\n"
    lines += ["", f"{'':<16}{'old':<31}new"]
    for old, fresh in zip(result.old.parts.picked, new.parts.picked, strict=True):
        mark = " " if old.key == fresh.key else "*"
        before, after = names.get(old.id or old.key, old.key), names.get(fresh.id or fresh.key, fresh.key)
        if fresh.quantity > 1:
            after = f"{fresh.quantity} x {after}"
        if old.quantity > 1:
            before = f"{old.quantity} x {before}"
        lines.append(f"{mark} {SLOT_NAMES[old.slot]:<13} {before:<30.30} {after:<30.30}".rstrip())
    old_cost, new_cost = result.old.draft.cost, new.draft.cost
    lines.append(f"  {'cost':<13} {format_amount(old_cost, digits):<30} {format_amount(new_cost, digits)} ({_signed(new_cost - old_cost, digits)})")
    lines.append(f"  {'speed-up':<13} {_times(result.old):<30} {_times(new)}")
    old_power, new_power = (f"{-(-plan.power_mw // 1000)} W" for plan in (result.old, new))
    lines.append(f"  {'power':<13} {old_power:<30} {new_power}")
    before_keys = {_key(f) for f in result.old.findings}
    fresh_findings = [f for f in new.findings if _key(f) not in before_keys and f.verdict != "fits"]
    if fresh_findings:
        lines.append("  new findings:")
        lines += [wrap(f"{title(f.rule)}: {sentence(f, names)}", "    - ", "      ") for f in fresh_findings]
    if not result.changes:
        lines.append(wrap("Nothing changes.", "  "))
    lines += ["", *plan_lines(new, problem, names, "NEW PLAN")]
    return "\n".join(lines) + "\n"


def _signed(minor: int, digits: int) -> str:
    return ("+" if minor >= 0 else "") + format_amount(minor, digits)


def replan_json(result: Replanned) -> str:
    """The same as one JSON document."""
    problem, new = result.problem, result.new
    return report_json.dump(
        {
            "schema": "partsolver.replan/1",
            "outcome": result.outcome.status,
            "currency": problem.catalog.currency,
            "catalog_changed": result.catalog_changed,
            "old_still_stands": result.still_stands,
            "old": report_json.plan_document(result.old, problem),
            "stand_in": None if result.stand_in is None else report_json.plan_document(result.stand_in, problem),
            "new": None if new is None else report_json.plan_document(new, problem),
            "changes": [{"slot": c.slot, "before": c.before, "after": c.after} for c in result.changes],
            "cost_difference": None if new is None else format_amount(new.draft.cost - result.old.draft.cost, problem.catalog.digits),
        }
    )
