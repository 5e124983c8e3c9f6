"""Words and JSON of `why`."""

from __future__ import annotations

from typing import Any, cast

from partsolver.explain.why import Reason, WayOut, Why
from partsolver.explain.whynot import WhyNot
from partsolver.plan.outcome import Look, Plan
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.report import json as report_json
from partsolver.report.document import dump
from partsolver.report.page import amount_text, decimals_text, wrap
from partsolver.report.text import names_of
from partsolver.report.words.counts import count_of
from partsolver.report.words.lookup import question_text, sentence, title
from partsolver.report.words.record import SLOT_NAMES, Names
from partsolver.rules import rule as rule_of
from partsolver.solve.conflict import Released

_WISHES = {
    "min_speedup": "give up the wanted speed-up of {value} times",
    "min_memory_gb": "give up the wanted memory of {value} GB",
    "secure_boot": "give up Secure Boot",
    "without": "allow {value} again",
    "with": "do without {value}",
    "displays": 'do without the display "{value}"',
    "devices": 'do without the device "{value}"',
    "cards": 'do without the card "{value}"',
    "drives": 'do without the drive "{value}"',
    "os": "give up the present installation ({value}) and install a system afresh",
}
_NOT_DECIDED = (
    "not decided within the limits on the work. Nothing is proved: neither that a plan exists nor that none does."
    " A smaller catalogue or fewer parts allowed to be replaced make the question smaller."
)
_HANGS = "no plan can be promised yet. Whether there is one hangs on what is looked at."
# Answers that decide, in words; others are printed as the survey has them.
_ANSWERS = {
    ("psu.pinout", "atx"): "the standard pin order",
    ("psu.main_plug", "24"): "24 contacts",
    ("psu.main_plug", "20"): "20 contacts",
    ("psu.cpu_plugs", "8"): "a plug of 8 contacts",
    ("psu.cpu_plugs", "4"): "a plug of 4 contacts",
    ("case.aperture", "atx"): "a loose shield in the usual opening",
}


def why_text(answer: Why, problem: Problem) -> str:
    """The conflict in words, then the ways out with their cost."""
    names = names_of(problem)
    name = problem.survey.pc.name
    if answer.possible:
        assert answer.plan is not None
        plan = plan_words(answer.plan, problem, names)
        return (
            wrap(f"{name}: there is a plan; the cheapest: {plan}. `partsolver recommend` ranks them.", "")
            + "\n"
        )
    if not answer.decided and not answer.reasons:
        return wrap(f"{name}: {_NOT_DECIDED}", "") + "\n"
    lines = [wrap(f"{name}: {'no plan exists. This is proved.' if answer.decided else _HANGS}", ""), ""]
    for slot in answer.empty_slots:
        lines.append(
            wrap(
                f"There is no candidate at all for the {SLOT_NAMES[slot]}: nothing is offered and the present"
                " one is not usable.",
                "",
            )
        )
    if answer.hangs_on:
        lines += [*_look_lines(answer.hangs_on), ""]
    if answer.reasons:
        lines.append(wrap(_together(answer) + ":", ""))
        for reason in answer.reasons:
            lines += _reason_lines(reason, answer.totals, names)
        lines += _further_lines(answer.released)
        lines.append("")
    none = (
        "No single change of the wishes or of the kept parts helps: look for other offers, or change several"
        " things together."
    )
    lines.append("Ways out, each solved and checked:" if answer.ways_out else wrap(none, ""))
    for way in answer.ways_out:
        lines += _way_lines(way, problem, names)
    return "\n".join(lines) + "\n"


def _look_lines(looks: tuple[Look, ...]) -> list[str]:
    """What has to be looked at before anything may be said, one question each."""
    return ["Look first:", *(wrap(question_text(look.question), "  - ", "    ") for look in looks)]


def _look_documents(looks: tuple[Look, ...]) -> list[dict[str, str]]:
    return [
        {"question": look.question, "text": question_text(look.question), "rule": look.rule} for look in looks
    ]


def _together(answer: Why) -> str:
    """How the reasons make it impossible, and without which of them there would be a plan (each tested)."""
    count = len(answer.reasons)
    if not answer.decided:
        return "Until that is known, this stands in the way"
    if count == 1:
        return "This alone makes it impossible"
    said = f"These {count} together make it impossible"
    alone = () if answer.released is None else answer.released.alone
    if len(alone) == count:
        return f"{said}; without any one of them there is a plan"
    if alone:
        names = _joined([title(rule) for rule in alone], "or")
        return f"{said}; without {names} there is a plan, without the others something else still stops it"
    return said


def _further_lines(found: Released | None) -> list[str]:
    """The conflicts that are left when a reason is given up, and what has to go together."""
    lines = []
    for further in () if found is None else found.further:
        without = _joined([title(rule) for rule in further.given_up], "and")
        what = _joined([title(rule) for rule in further.rules], "and")
        verb = "alone makes" if len(further.rules) == 1 else "together make"
        lines.append(wrap(f"Even without {without}: {what} {verb} it impossible.", "  - ", "    "))
    if found is not None and found.further:
        last = _joined([title(rule) for rule in found.together], "and")
        lines.append(wrap(f"Without {last} all at once there is a plan.", "    "))
    return lines


def _joined(words: list[str], last: str) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"


def _reason_lines(reason: Reason, totals: tuple[int, int, int], names: Names) -> list[str]:
    lines = [wrap(f"{title(reason.rule)}: {rule_of(reason.rule).STATEMENT}", "  - ", "    ")]
    counts = list(
        zip(
            (reason.boards, reason.cpus, reason.memory),
            totals,
            ("board", "processor", "memory choice"),
            strict=True,
        )
    )
    if not any(have for have, _, _ in counts):
        of_what = [count_of(of, word) for _, of, word in counts]
        lines.append(wrap(f"Alone it leaves nothing of {of_what[0]}, {of_what[1]} and {of_what[2]}.", "    "))
    elif left := [f"{have} of {count_of(of, word)}" for have, of, word in counts if have != of]:
        lines.append(wrap("Alone it leaves " + ", ".join(left) + ".", "    "))
    return lines + _instances(reason, names)


def _instances(reason: Reason, names: Names) -> list[str]:
    return [wrap("For instance: " + sentence(finding, names), "    ") for finding in reason.nearest_miss[:2]]


def way_sentence(way: WayOut, problem: Problem, names: Names) -> str:
    """One way out in words, without its plan."""
    if way.kind == "budget":
        text = f"raise the budget to {way.value} {problem.catalog.currency} (the least that works)"
    elif way.kind == "replace":
        chosen = way.plan.parts.candidate(cast(SlotName, way.what))
        text = f"replace the {SLOT_NAMES[way.what]}: {names.get(chosen.id or '', chosen.key)}"
        if way.what == "drive" and problem.survey.os.keep:
            text += " (the system is installed afresh on it)"
    elif way.kind == "need-by":
        text = f"wait until {way.value} (the earliest day that works)"
    elif way.kind == "answer":
        value = _ANSWERS.get((way.what, way.value), way.value)
        text = f"answer an open question: {question_text(way.what, names)} If it is {value}, there is a plan"
    else:
        text = _WISHES[way.what].format(value=names.get(way.value, way.value))
    if way.also_budget:
        text += f", and raise the budget to {_money(problem, way.plan.draft.cost)}"
    return text


def _way_lines(way: WayOut, problem: Problem, names: Names) -> list[str]:
    return [
        wrap(way_sentence(way, problem, names) + ".", "  - ", "    "),
        wrap(f"Cheapest plan then: {plan_words(way.plan, problem, names)}.", "    "),
    ]


def plan_words(plan: Plan, problem: Problem, names: Names) -> str:
    """What a plan buys, its cost and its speed-up, in a line."""
    if plan.parts.unchanged and not plan.draft.lines:
        return "buy nothing and keep the PC as it is"
    bought = [
        f"{c.quantity} x {names.get(c.id, c.id)}" if c.quantity > 1 else names.get(c.id, c.id)
        for c in plan.parts.picked
        if c.id is not None
    ]
    bought += [names.get(line.item, line.item) for line in plan.draft.lines if line.need is not None]
    speed = (
        ""
        if plan.speedup is None
        else f", {decimals_text(plan.speedup.expected_milli / 1000, 2)} times as fast"
    )
    return f"{' + '.join(bought)} for {_money(problem, plan.draft.cost)}{speed}"


def _money(problem: Problem, minor: int) -> str:
    return f"{amount_text(minor, problem.catalog.digits)} {problem.catalog.currency}"


def why_json(answer: Why, problem: Problem) -> str:
    """The same as one JSON document."""
    return dump(why_document(answer, problem))


def why_document(answer: Why, problem: Problem) -> dict[str, Any]:
    """The conflict and the ways out as a document."""
    boards, cpus, memory = answer.totals
    return {
        "schema": "partsolver.why/1",
        "possible": answer.possible,
        "currency": problem.catalog.currency,
        "decided": answer.decided,
        "hangs_on": _look_documents(answer.hangs_on),
        "proof": report_json.proof_document(answer.proof),
        "totals": {"boards": boards, "cpus": cpus, "memory": memory},
        "empty": list(answer.empty_slots),
        "conflict": [_reason_document(reason, problem) for reason in answer.reasons],
        "released": _released_document(answer.released),
        "ways_out": [
            {
                "kind": way.kind,
                "what": way.what,
                "value": way.value,
                "also_budget": way.also_budget,
                "plan": report_json.plan_document(way.plan, problem),
            }
            for way in answer.ways_out
        ],
        "plan": None if answer.plan is None else report_json.plan_document(answer.plan, problem),
    }


def _released_document(found: Released | None) -> dict[str, Any] | None:
    return (
        None
        if found is None
        else {
            "alone": list(found.alone),
            "further": [{"given_up": list(f.given_up), "rules": list(f.rules)} for f in found.further],
            "together": list(found.together),
        }
    )


def _reason_document(reason: Reason, problem: Problem) -> dict[str, Any]:
    return {
        "rule": reason.rule,
        "leaves": {"boards": reason.boards, "cpus": reason.cpus, "memory": reason.memory},
        "nearest_miss": [report_json.finding_document(finding, problem) for finding in reason.nearest_miss],
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
        return (
            wrap(f"{name} is an extra: it is bought only where something needs it, and no plan does.", "")
            + "\n"
        )
    if found.verdict == "undecided":
        return wrap(f"{name}: {_NOT_DECIDED}", "") + "\n"
    lines = []
    if found.verdict == "barred":
        lines.append(wrap(f"{name} can be promised in no plan yet: it hangs on what is looked at.", ""))
        lines += _look_lines(found.hangs_on)
        return "\n".join(lines) + "\n"
    if found.verdict == "ruled-out":
        together = "" if len(found.reasons) < 2 else f" These {len(found.reasons)} together stand in the way:"
        lines.append(wrap(f"{name} is ruled out: with it, no plan exists. This is proved.{together}", ""))
        for reason in found.reasons:
            lines.append(wrap(f"{title(reason.rule)}: {rule_of(reason.rule).STATEMENT}", "  - ", "    "))
            lines += _instances(reason, names)
        return "\n".join(lines) + "\n"
    assert found.best is not None
    lines.append(wrap(f"{name} is possible, but the first plan is better.", ""))
    if found.dominated_by is not None:
        lines.append(
            wrap(
                f"{names.get(found.dominated_by, found.dominated_by)} does at least as much for no more"
                " money.",
                "  ",
            )
        )
    lines.append(wrap(f"Best plan with it: {plan_words(found.best, problem, names)}.", "  "))
    if found.first is not None:
        lines.append(wrap(f"First plan: {plan_words(found.first, problem, names)}.", "  "))
        lines.append(wrap(f"With it: {_difference(found.best, found.first, problem)}.", "  "))
    return "\n".join(lines) + "\n"


def _difference(best: Plan, first: Plan, problem: Problem) -> str:
    """Time, cost and power of one plan against another, in words."""
    time = best.draft.time_ppm - first.draft.time_ppm
    cost = best.draft.cost - first.draft.cost
    watts = -(-best.power_mw // 1000) - -(-first.power_mw // 1000)
    return ", ".join(
        (
            _more(time, f"{decimals_text(100 * abs(time) / first.draft.time_ppm, 1)} %", "expected time"),
            _more(cost, _money(problem, abs(cost)), "cost"),
            _more(watts, f"{abs(watts)} W", "power"),
        )
    )


def _more(value: int, shown: str, what: str) -> str:
    return f"the same {what}" if value == 0 else f"{shown} {'more' if value > 0 else 'less'} {what}"


def why_not_json(found: WhyNot, problem: Problem) -> str:
    """The same as one JSON document."""
    return dump(
        {
            "schema": "partsolver.why-part/1",
            "part": found.part,
            "part_name": report_json.name(problem, found.part),
            "verdict": found.verdict,
            "hangs_on": _look_documents(found.hangs_on),
            "dominated_by": found.dominated_by,
            "dominated_by_name": report_json.name(problem, found.dominated_by),
            "conflict": [_reason_document(reason, problem) for reason in found.reasons],
            "best_with_it": None if found.best is None else report_json.plan_document(found.best, problem),
            "first_plan": None if found.first is None else report_json.plan_document(found.first, problem),
        }
    )
