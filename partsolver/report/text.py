"""The text report: 80 columns, readable on a terminal and in a pipe, without a manual."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from partsolver.plan.findings import Finding
from partsolver.plan.outcome import Interval, Outcome, Plan
from partsolver.problem.problem import Problem
from partsolver.report.hoped import assumed_lines, hoped_lines
from partsolver.report.keeping import keeping_lines
from partsolver.report.looks import look_lines
from partsolver.report.network import network_lines
from partsolver.report.notable import notable
from partsolver.report.page import amount_text, current_page, date_text, wrap
from partsolver.report.text_orders import (
    changes_text,
    extras_text,
    finding_lines,
    kept_text,
    order_lines_text,
    provenance_lines,
    second_order_lines,
    times_sign,
)
from partsolver.report.words.answer import best_found_words
from partsolver.report.words.counts import count_of
from partsolver.report.words.extras import kind_name
from partsolver.report.words.left_out import left_out_of_check
from partsolver.report.words.lookup import (
    caution_text,
    finding_caution,
    question_text,
    sentence,
    title,
)
from partsolver.report.words.not_checked import not_checked_lines
from partsolver.report.words.record import SLOT_NAMES, Names
from partsolver.rules import rule

MOST_MARGINS = 5
# A wait that is worth a line (days).
LONG_WAIT_DAYS = 14


def names_of(problem: Problem) -> Names:
    """Names for the wording of a problem."""
    names = Names(problem.names)
    names.digits = problem.catalog.digits
    names.currency = problem.catalog.currency
    return names


def recommendation(outcome: Outcome, problem: Problem, show: Sequence[int] = (1,), full: bool = True) -> str:
    """The exact list of `recommend --alternatives`: the table of plans, then the plans of ``show`` (ranks);
    ``full``: with cautions, findings that fit, and where the answer comes from."""
    names = names_of(problem)
    lines = [*_heading(outcome, problem), ""]
    lines += _table(outcome, problem)
    lines += complete_lines(outcome, problem)
    lines += _waiting(outcome, problem)
    lines += _kept_all_the_same(outcome, problem)
    lines += hoped_block(outcome, problem)
    for plan in (plan for plan in outcome.plans if plan.rank in show):
        lines += ["", *plan_lines(plan, problem, names, full=full)]
    hidden = [plan.rank for plan in outcome.plans if plan.rank not in show]
    if hidden:
        shown = " or --show ".join(str(rank) for rank in hidden[:2])
        lines += ["", wrap(f"One plan: --show {shown}, or --show all; with everything: --full.", "")]
    if full:
        lines += ["", *provenance_lines(outcome, problem)]
    return "\n".join(lines) + "\n"


def plans_text(plans: Sequence[Plan], outcome: Outcome, problem: Problem, full: bool) -> str:
    """Plans of the short answer one after the other; ``full`` as above."""
    names = names_of(problem)
    lines: list[str] = []
    for plan in plans:
        lines += ["", *plan_lines(plan, problem, names, full=full)]
    if full:
        lines += ["", *provenance_lines(outcome, problem)]
    return "\n".join(lines) + "\n" if lines else ""


def _heading(outcome: Outcome, problem: Problem) -> Iterator[str]:
    brief = problem.brief
    budget = "no budget set" if problem.budget is None else f"budget {_money(problem, problem.budget)}"
    yield wrap(f"{problem.survey.pc.name}: {problem.use.title.lower()}, {budget}", "")
    if outcome.plans and outcome.plans[0].parts.board_kept and _blocking_unknown(problem):
        yield wrap(
            "Open facts of the supply block every new board until they are known: `partsolver survey"
            " questions` lists them.",
            "",
        )
    if outcome.status == "optimal":
        order = (
            f"least expected time (differences below {brief.resolution_percent} % do not count), then least"
            " cost"
            if brief.goal == "speed"
            else "least cost, then least expected time"
        )
        yield wrap(f"{count_of(len(outcome.plans), 'plan')}, proven best in this order: {order}.", "")
    elif outcome.status == "best_found":
        yield wrap(best_found_words(outcome.provenance, brief.goal), "")


def hoped_block(outcome: Outcome, problem: Problem) -> Iterator[str]:
    """The hoped plan beside the proven ones, set off by a blank line."""
    if outcome.hoped is None:
        return
    plan = outcome.hoped.plan
    yield ""
    for sentence_ in hoped_lines(
        outcome.hoped, problem, _bought_summary(plan, problem), _speedup(plan.speedup)
    ):
        yield wrap(sentence_, "  ", "     " if sentence_[0].isdigit() else "  ")


def _blocking_unknown(problem: Problem) -> bool:
    """Whether a fact of the supply is open without which no new board may be connected."""
    psu = problem.survey.psu
    return (
        psu.main_plug is None
        or psu.cpu_plugs is None
        or (psu.pinout is None and problem.survey.pc.brand is not False)
    )


def _table(outcome: Outcome, problem: Problem) -> Iterator[str]:
    if not current_page().drawings:
        yield from _rank_sentences(outcome, problem)
    else:
        yield from _rank_table(outcome, problem)
    if any(plan.equal_to_previous for plan in outcome.plans):
        yield wrap(
            "= the order against the plan above is a coin toss: the expected times differ by less than is"
            " known.",
            "  ",
        )
    if any(plan.fragile for plan in outcome.plans):
        for plan in outcome.plans:
            if plan.fragile:
                parts = ", ".join(names_of(problem).get(part, part) for part in plan.fragile)
                yield wrap(
                    f"Plan {plan.rank} hangs on one part: without {parts} nothing nearly as good is left.",
                    "  ",
                )


def _rank_sentences(outcome: Outcome, problem: Problem) -> Iterator[str]:
    for plan in outcome.plans:
        yield wrap(
            f"Plan {plan.rank}{' =' if plan.equal_to_previous else ''}: {_speedup(plan.speedup)},"
            f" {amount_text(plan.draft.cost, problem.catalog.digits)} {problem.catalog.currency},"
            f" {-(-plan.power_mw // 1000)} W. {_bought_summary(plan, problem)}.",
            "",
            "  ",
        )


def _rank_table(outcome: Outcome, problem: Problem) -> Iterator[str]:
    yield f"{'#':>2}  {'speed-up (range)':<19}{'cost':>9}  {'power':>6}  what is bought"
    for plan in outcome.plans:
        mark = "=" if plan.equal_to_previous else " "
        bought = _bought_summary(plan, problem)
        first, *rest = textwrap.wrap(
            bought, current_page().width - 42, break_long_words=False, break_on_hyphens=False
        ) or [""]
        cost = amount_text(plan.draft.cost, problem.catalog.digits)
        power = f"{-(-plan.power_mw // 1000)} W"
        yield f"{plan.rank:>2}{mark} {_speedup(plan.speedup):<19}{cost:>9}  {power:>6}  {first}"
        for more in rest:
            yield " " * 42 + more


def complete_lines(outcome: Outcome, problem: Problem, name: str = "plan 1") -> Iterator[str]:
    """Complete PCs that beat the first plan (called ``name``) on time or cost."""
    first = outcome.plans[0] if outcome.plans else None
    for pc in outcome.complete_pcs:
        cost = _money(problem, pc.cost)
        what = f"{pc.bundle.name} ({pc.bundle.condition}, complete PC) for {cost}: {_speedup(pc.speedup)}"
        if first is None:
            yield wrap(f"Without any plan there is still: {what}.", "  ")
        elif pc.time_ppm < first.draft.time_ppm:
            yield wrap(f"Faster than every plan: {what}.", "  ")
        elif pc.cost < first.draft.cost:
            yield wrap(f"Cheaper than {name}, but slower: {what}.", "  ")


def _waiting(outcome: Outcome, problem: Problem) -> Iterator[str]:
    """What waiting for plan 1 buys."""
    first = outcome.plans[0] if outcome.plans else None
    if (
        first is not None
        and first.arrival is not None
        and (first.arrival - problem.today).days > LONG_WAIT_DAYS
    ):
        sooner = next((p for p in outcome.plans if p.arrival is None or p.arrival < first.arrival), None)
        if sooner is not None and (
            sooner.arrival is None or (first.arrival - sooner.arrival).days > LONG_WAIT_DAYS // 2
        ):
            more = sooner.draft.cost - first.draft.cost
            difference = f"{amount_text(abs(more), problem.catalog.digits)} {'more' if more >= 0 else 'less'}"
            when = "at once" if sooner.arrival is None else f"on {date_text(sooner.arrival)}"
            yield wrap(
                f"Plan 1 is complete only on {date_text(first.arrival)}; plan {sooner.rank} is there {when}"
                f" for {difference}.",
                "  ",
            )


def _kept_all_the_same(outcome: Outcome, problem: Problem) -> Iterator[str]:
    """Kept parts that the brief lets be replaced and the best plan keeps."""
    if outcome.status == "optimal" and outcome.plans:
        first = outcome.plans[0].parts
        kept = [
            SLOT_NAMES[slot]
            for slot in ("psu", "case", "cooler", "drive")
            if slot in problem.brief.replace and first.candidate(slot).id is None
        ]
        if kept:
            yield wrap(f"May be replaced, and no plan gets better by it: {', '.join(kept)}.", "  ")


def _bought_summary(plan: Plan, problem: Problem) -> str:
    if plan.parts.unchanged and not plan.draft.lines:
        return "nothing: keep the PC as it is"
    words = []
    for candidate in plan.parts.picked:
        if candidate.id is not None:
            count = f"{candidate.quantity} x " if candidate.quantity > 1 else ""
            words.append(count + problem.names.get(candidate.id, candidate.id))
    words += [kind_name(line.need.kind) for line in plan.draft.lines if line.need is not None]
    return " + ".join(words)


def _speedup(interval: Interval | None) -> str:
    if interval is None:
        return "not known"
    return f"{times_sign(interval.expected_milli)}x ({times_sign(interval.low_milli)}-{times_sign(interval.high_milli)})"


def _money(problem: Problem, minor: int) -> str:
    return f"{amount_text(minor, problem.catalog.digits)} {problem.catalog.currency}"


def plan_lines(
    plan: Plan, problem: Problem, names: Names, heading: str | None = None, full: bool = True
) -> Iterator[str]:
    """One plan; ``full``: with its cautions and every finding."""
    yield heading or f"PLAN {plan.rank}"
    yield from order_lines_text(plan, problem, names)
    yield from _section("Kept", kept_text(plan.parts, problem, names))
    yield from _section("Kept or new", [] if plan.keeping is None else keeping_lines(plan.keeping, names))
    yield from _section("Extras, and why", extras_text(plan, names))
    yield from _section("What changes for the owner", changes_text(plan, problem, names))
    refused = [f for f in plan.findings if not f.admits]
    yield from _section("DOES NOT FIT", [f"{title(f.rule)}: {sentence(f, names)}" for f in refused])
    yield from _section(
        "Tightest margins", [f"{title(f.rule)}: {sentence(f, names)}" for f in tightest(plan.findings)]
    )
    yield from _section("Worth knowing", list(_remarks(plan.findings, names)))
    yield from _section("Assumed, not stated", assumed_lines(problem, plan.draft, names))
    yield from _section("To compare with its page before ordering", look_lines(problem, plan.draft))
    yield from _section("Open questions", [question_text(path, names) for path in plan.open_questions])
    yield from _section("Instead of", [_stand_in(s, problem, names) for s in plan.stand_ins])
    cautions = cautions_of_plan(plan, names)
    if full:
        yield from _section("If one arrives dead or does not fit", second_order_lines(plan, problem, names))
        yield from network_lines(problem, plan.parts)
        yield from _section("Cautions", cautions)
        yield from finding_lines(plan, names)
    elif cautions:
        yield wrap(
            f"{count_of(len(cautions), 'caution')} and {count_of(len(plan.findings), 'finding')}: --full",
            "  ",
        )


def cautions_of_plan(plan: Plan, names: Names) -> list[str]:
    """All cautions of a plan in words, each once."""
    cautions = [*(caution_text(name) for name in plan.cautions)]
    cautions += [text for text in (finding_caution(f, names) for f in plan.findings) if text]
    return list(dict.fromkeys(cautions))


def _section(heading: str, items: Sequence[str]) -> Iterator[str]:
    if items:
        yield f"  {heading}"
        for item in items:
            yield wrap(item, "    - ", "      ")


def tightest(findings: Iterable[Finding]) -> list[Finding]:
    """The findings nearest to their limit, by the share of the limit that is left (money and counts of 0 left
    out)."""
    found = []
    for finding in findings:
        if (
            finding.verdict == "fits"
            and finding.margin is not None
            and isinstance(finding.limit, int)
            and finding.limit > 0
        ):
            if rule(finding.rule).KIND == "buying" or finding.unit in (
                "ports",
                "plugs",
                "pieces",
                "slots",
                "modules",
                "cards",
                "devices",
                "displays",
            ):
                continue
            share = Fraction(finding.margin, finding.limit)
            if share < Fraction(1, 2):
                found.append((share, finding))
    found.sort(key=lambda pair: (pair[0], pair[1].rule))
    return [finding for _, finding in found[:MOST_MARGINS]]


def _remarks(findings: Sequence[Finding], names: Names) -> Iterator[str]:
    """Findings that fit with something to say, and unknowns; what is among the margins is not said twice."""
    shown = tightest(findings)
    for finding in findings:
        if (finding.verdict == "unknown" and not finding.blocks) or (
            notable(finding) and finding not in shown
        ):
            yield f"{title(finding.rule)}: {sentence(finding, names)}"


def _stand_in(stand_in: object, problem: Problem, names: Names) -> str:
    from partsolver.plan.outcome import StandIn

    assert isinstance(stand_in, StandIn)
    difference = amount_text(abs(stand_in.difference), problem.catalog.digits)
    words = (
        "at the same cost"
        if stand_in.difference == 0
        else f"{difference} {'more' if stand_in.difference > 0 else 'less'}"
    )
    count = f"{stand_in.count} x " if stand_in.count > 1 else ""
    return (
        f"{names.get(stand_in.replaces, stand_in.replaces)}: {count}{names.get(stand_in.id, stand_in.id)}"
        f" ({words})"
    )


def only_hoped(outcome: Outcome, problem: Problem) -> str:
    """The report where nothing can be promised before something is looked at."""
    head = f"{problem.survey.pc.name}: no plan can be promised yet. Whether there is one hangs on what is looked at."
    return "\n".join([wrap(head, ""), *hoped_block(outcome, problem)]) + "\n"


def impossible(outcome: Outcome, problem: Problem) -> str:
    """The report of a proved "no": what each rule alone leaves, most restrictive first."""
    lines = [wrap(f"{problem.survey.pc.name}: no plan exists. This is proved, not a time limit.", ""), ""]
    conflict = outcome.conflict
    if conflict is not None:
        for slot in conflict.empty_slots:
            lines.append(wrap(f"There is no candidate at all for: {SLOT_NAMES.get(slot, slot)}.", ""))
        boards, cpus, memory = conflict.totals
        lines.append(
            f"Of {count_of(boards, 'board')}, {count_of(cpus, 'processor')} and {count_of(memory, 'memory choice')}"
            " each rule alone leaves:"
        )
        lines.append(f"  {'boards':>7} {'processors':>11} {'memory':>7}  rule")
        for count in conflict.counts:
            lines.append(
                f"  {count.boards:>7} {count.cpus:>11} {count.memory:>7}  {title(count.rule)} ({count.rule})"
            )
        lines.append("")
        lines.append(wrap("`partsolver why` names the smallest conflict and the ways out.", ""))
    return "\n".join(lines) + "\n"


def check(plan: Plan, problem: Problem, full: bool = False, left_out: Sequence[str] = ()) -> str:
    """The report of `check`: the parts that the person chose; ``full``: with every finding and caution;
    ``left_out``: what the owner can do without and has to stay out for them."""
    word = "These parts fit." if plan.admitted else "These parts do NOT fit."
    lines = [f"{problem.survey.pc.name}: {word}"]
    if left_out:
        lines.append(wrap(left_out_of_check(left_out), ""))
    lines += ["", *plan_lines(plan, problem, names_of(problem), "THE PARTS", full)]
    return "\n".join([*lines, *not_checked_lines(plan.findings, full)]) + "\n"
