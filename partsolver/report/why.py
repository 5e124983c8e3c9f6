"""Words and JSON of `why`."""

from __future__ import annotations

from typing import Any

from partsolver.explain.why import Reason, WayOut, Why
from partsolver.explain.whynot import WhyNot
from partsolver.outcome import Plan
from partsolver.problem import Problem
from partsolver.quantities import format_amount
from partsolver.report import json as report_json
from partsolver.report.text import SLOT_NAMES, names_of, wrap
from partsolver.report.wording import question_text, sentence, title
from partsolver.report.words import Names
from partsolver.rules import rule as rule_of

_WISHES = {
    "min_speedup": "give up the wanted speed-up of {value}",
    "min_memory_gb": "give up the wanted memory of {value} GB",
    "secure_boot": "give up Secure Boot",
    "without": "allow {value} again",
    "with": "do without {value}",
    "displays": "do without the display {value}",
    "devices": "do without the device {value}",
    "cards": "do without the card {value}",
    "drives": "do without the drive {value}",
    "os": "do not keep the present system ({value})",
}


def why_text(answer: Why, problem: Problem) -> str:
    """The conflict in words, then the ways out with their cost."""
    names = names_of(problem)
    name = problem.survey.pc.name
    if answer.possible:
        assert answer.plan is not None
        cost = _money(problem, answer.plan.draft.cost)
        return wrap(f"{name}: there is a plan; the cheapest costs {cost}. `partsolver recommend` ranks them.", "") + "\n"
    lines = [wrap(f"{name}: no plan exists. This is proved.", ""), ""]
    for slot in answer.empty_slots:
        lines.append(wrap(f"There is no candidate at all for the {SLOT_NAMES[slot]}: nothing is offered and the present one is not usable.", ""))
    if answer.reasons:
        count = len(answer.reasons)
        lines.append("This alone makes it impossible:" if count == 1 else f"These {count} together make it impossible; without any one of them there is a plan:")
        for reason in answer.reasons:
            lines += _reason_lines(reason, answer.totals, names)
        lines.append("")
    lines.append("Ways out, each solved and checked:" if answer.ways_out else "No single change helps; combine several, or choose another PC.")
    for way in answer.ways_out:
        lines += _way_lines(way, problem, names)
    return "\n".join(lines) + "\n"


def _reason_lines(reason: Reason, totals: tuple[int, int, int], names: Names) -> list[str]:
    rule = rule_of(reason.rule)
    boards, cpus, memory = totals
    lines = [wrap(f"{title(reason.rule)}: {rule.STATEMENT}", "  - ", "    ")]
    left = []
    for have, of, word in ((reason.boards, boards, "boards"), (reason.cpus, cpus, "processors"), (reason.memory, memory, "memory choices")):
        if have != of:
            left.append(f"{have} of {of} {word}")
    if left:
        lines.append(wrap("Alone it leaves " + ", ".join(left) + ".", "    "))
    for finding in reason.nearest_miss[:2]:
        lines.append(wrap("For instance: " + sentence(finding, names), "    "))
    return lines


def way_sentence(way: WayOut, problem: Problem, names: Names) -> str:
    """One way out in words, without its plan."""
    if way.kind == "budget":
        text = f"raise the budget to {way.value} {problem.catalog.currency} (the least that works)"
    elif way.kind == "replace":
        chosen = way.plan.parts.candidate(way.what)  # type: ignore[arg-type]
        text = f"replace the {SLOT_NAMES[way.what]}: {names.get(chosen.id or '', chosen.key)}"
    elif way.kind == "need-by":
        text = f"wait until {way.value} (the earliest day that works)"
    elif way.kind == "answer":
        text = f"answer an open question: {question_text(way.what)} If the answer is {way.value}, there is a plan"
    else:
        text = _WISHES[way.what].format(value=names.get(way.value, way.value))
    if way.also_budget:
        text += f", and raise the budget to {_money(problem, way.plan.draft.cost)}"
    return text


def _way_lines(way: WayOut, problem: Problem, names: Names) -> list[str]:
    return [
        wrap(way_sentence(way, problem, names) + ".", "  - ", "    "),
        wrap(f"Cheapest plan then: {_plan_words(way.plan, problem, names)}.", "    "),
    ]


def _plan_words(plan: Plan, problem: Problem, names: Names) -> str:
    bought = [names.get(c.id, c.id) for c in plan.parts.picked if c.id is not None]
    speed = "" if plan.speedup is None else f", {plan.speedup.expected_milli / 1000:.2f} times as fast"
    return f"{' + '.join(bought) or 'keep the PC as it is'} for {_money(problem, plan.draft.cost)}{speed}"


def _money(problem: Problem, minor: int) -> str:
    return f"{format_amount(minor, problem.catalog.digits)} {problem.catalog.currency}"


def why_json(answer: Why, problem: Problem) -> str:
    """The same as one JSON document."""
    boards, cpus, memory = answer.totals
    return report_json.dump(
        {
            "schema": "partsolver.why/1",
            "possible": answer.possible,
            "currency": problem.catalog.currency,
            "totals": {"boards": boards, "cpus": cpus, "memory": memory},
            "empty": list(answer.empty_slots),
            "conflict": [_reason_document(reason) for reason in answer.reasons],
            "ways_out": [
                {
                    "kind": way.kind, "what": way.what, "value": way.value, "also_budget": way.also_budget,
                    "plan": report_json.plan_document(way.plan, problem),
                }
                for way in answer.ways_out
            ],
            "plan": None if answer.plan is None else report_json.plan_document(answer.plan, problem),
        }
    )  # fmt: skip


def _reason_document(reason: Reason) -> dict[str, Any]:
    return {
        "rule": reason.rule,
        "leaves": {"boards": reason.boards, "cpus": reason.cpus, "memory": reason.memory},
        "nearest_miss": [report_json.finding_document(finding) for finding in reason.nearest_miss],
    }


def why_not_text(found: WhyNot, problem: Problem) -> str:
    """Why a part is not in the first plan, in words."""
    names = names_of(problem)
    name = names.get(found.part, found.part)
    if found.verdict == "taken":
        return wrap(f"{name} is in the first plan.", "") + "\n"
    if found.verdict == "not-offered":
        return wrap(f"{name} cannot be bought: nobody in this catalogue offers it.", "") + "\n"
    if found.verdict == "not-needed":
        return wrap(f"{name} is an extra: it is bought only where something needs it, and no plan does.", "") + "\n"
    lines = []
    if found.verdict == "ruled-out":
        lines.append(wrap(f"{name} is ruled out: with it, no plan exists. This is proved.", ""))
        for reason in found.reasons:
            lines += _reason_lines(reason, (-1, -1, -1), names)[:1]
            lines += [wrap("For instance: " + sentence(f, names), "    ") for f in reason.nearest_miss[:2]]
        return "\n".join(lines) + "\n"
    assert found.best is not None
    lines.append(wrap(f"{name} is possible, but the first plan is better.", ""))
    if found.dominated_by is not None:
        lines.append(wrap(f"{names.get(found.dominated_by, found.dominated_by)} does at least as much for no more money.", "  "))
    lines.append(wrap(f"Best plan with it: {_plan_words(found.best, problem, names)}.", "  "))
    if found.first is not None:
        lines.append(wrap(f"First plan: {_plan_words(found.first, problem, names)}.", "  "))
        cost = found.best.draft.cost - found.first.draft.cost
        watts = (found.best.power_mw - found.first.power_mw) // 1000
        slower = 100 * (found.best.draft.time_ppm - found.first.draft.time_ppm) / found.first.draft.time_ppm
        lines.append(
            wrap(
                f"Difference: {slower:+.1f} % expected time, {format_amount(cost, problem.catalog.digits)} {problem.catalog.currency}, "
                f"{watts:+d} W.", "  ",
            )
        )  # fmt: skip
    return "\n".join(lines) + "\n"


def why_not_json(found: WhyNot, problem: Problem) -> str:
    """The same as one JSON document."""
    return report_json.dump(
        {
            "schema": "partsolver.why-part/1",
            "part": found.part,
            "verdict": found.verdict,
            "dominated_by": found.dominated_by,
            "conflict": [_reason_document(reason) for reason in found.reasons],
            "best_with_it": None if found.best is None else report_json.plan_document(found.best, problem),
            "first_plan": None if found.first is None else report_json.plan_document(found.first, problem),
        }
    )
