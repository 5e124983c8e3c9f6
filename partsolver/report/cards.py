"""The short answer of `recommend`: a card of at most four lines per plan, 25 lines in all."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.plan.choices import Choice, Choices
from partsolver.plan.outcome import CompletePc, Outcome, Plan
from partsolver.problem.problem import Problem
from partsolver.report.looks import look_lines, oldest_price
from partsolver.report.page import amount_text, bold, current_page, date_text, green, wrap
from partsolver.report.text import cautions_of_plan, names_of, tightest
from partsolver.report.words.answer import (
    ALL_PROVEN,
    KEEP,
    MEMORY_ONLY,
    MORE,
    NOT_KNOWN,
    NOT_NOTICED,
    NOT_PROVEN,
    bought_names,
    condition_word,
    look_words,
    margin_words,
    nothing_words,
    spare_words,
)
from partsolver.report.words.left_out import left_out_words
from partsolver.report.words.prices import old_price_words
from partsolver.report.words.speed import gain_words, ten_seconds
from partsolver.solve.choices import CLEAR_GAINS_MILLI

MOST_CARD_LINES = 4
# Rule families whose open questions decide whether parts fit, before those that only change the work.
_FITTING = ("power", "fit", "platform", "memory", "picture", "ports")


def short_answer(outcome: Outcome, found: Choices, problem: Problem, nothing: Sequence[str] = ()) -> str:
    """The plans as cards, and what to look at. ``nothing``: why nothing new is bought, in sentences."""
    budget = "" if problem.budget is None else f", at most {_money(problem, problem.budget)}"
    lines = [bold_wrap(f"{problem.survey.pc.name}: {problem.use.title.lower()}{budget}"), ""]
    width = max(len(_amount(problem, cost)) for cost in _costs(found))
    said: set[str] = set()
    for rank, item in by_rank(found):
        card = (
            _pc_card(item, rank, problem, width)
            if isinstance(item, CompletePc)
            else _card(item, problem, width, said)
        )
        lines += card
    if outcome.left_out.names:
        lines += ["", wrap(left_out_text(outcome, problem), "")]
    lines += ["", *(wrap(text, "") for text in nothing)]
    return "\n".join([*lines, *_footer(outcome, found, problem)]) + "\n"


def left_out_text(outcome: Outcome, problem: Problem) -> str:
    """Which optional cards and drives stay out, and what that buys."""
    kept = outcome.left_out.kept
    return left_out_words(outcome.left_out, "" if kept is None else _money(problem, kept.draft.cost))


def bold_wrap(text: str) -> str:
    """Wrapped text in bold, line by line."""
    return "\n".join(bold(line) for line in wrap(text, "").splitlines())


def _costs(found: Choices) -> list[int]:
    costs = [choice.plan.draft.cost for choice in found.plans]
    return costs if found.complete_pc is None else [*costs, found.complete_pc.cost]


def by_rank(found: Choices) -> list[tuple[int, Choice | CompletePc]]:
    """The plans and the complete PC with their places, in order."""
    items: list[tuple[int, Choice | CompletePc]] = [(c.plan.rank, c) for c in found.plans]
    if found.complete_pc is not None:
        items.append((found.pc_rank, found.complete_pc))
    return sorted(items, key=lambda pair: pair[0])


def _card(choice: Choice, problem: Problem, width: int, said: set[str]) -> list[str]:
    plan = choice.plan
    if plan.parts.unchanged and not plan.draft.lines:
        return _lines(plan.rank, plan.draft.cost, KEEP, [], problem, width)
    bought = ", ".join(bought_names(plan, names_of(problem)))
    below = [bought]
    remark = remark_of(plan, problem, said)
    if remark is not None:
        below.append(remark)
    return _lines(plan.rank, plan.draft.cost, headline(choice), below, problem, width)


def headline(choice: Choice) -> str:
    """What a plan does to the speed, and what it is among the plans."""
    plan = choice.plan
    if plan.speedup is None:
        speed = NOT_KNOWN
    else:
        speed = ten_seconds(plan.speedup, short=choice.plan.rank > 1)
    reasons = []
    if "fastest" in choice.kinds:
        reasons.append("the fastest for the money")
    if "clear-gain" in choice.kinds:
        reasons.append(f"least money for {gain_words(choice.gain_milli)}")
    if "memory-only" in choice.kinds:
        small = plan.speedup is not None and plan.speedup.expected_milli < CLEAR_GAINS_MILLI[-1]
        reasons.append(MEMORY_ONLY + (f", {NOT_NOTICED}" if small else ""))
    return speed + (": " + "; ".join(reasons) if reasons else "")


def remark_of(plan: Plan, problem: Problem, said: set[str]) -> str | None:
    """The one thing to look at before ordering that was not named yet, else the tightest margin."""
    for path in looks_of(plan):
        if path not in said:
            said.add(path)
            return look_words(path, problem.names)
    near = tightest(plan.findings)
    return margin_words(near[0], names_of(problem)) if near else None


def looks_of(plan: Plan) -> list[str]:
    """Open questions of a plan: first those that decide whether it fits."""
    rules = {f.question: f.rule.partition(".")[0] for f in reversed(plan.findings) if f.question is not None}
    order = {family: i for i, family in enumerate(_FITTING)}
    fitting = [path for path in plan.open_questions if rules.get(path, "") in order]
    return sorted(fitting, key=lambda path: order[rules[path]])


def _pc_card(pc: CompletePc, rank: int, problem: Problem, width: int) -> list[str]:
    speed = NOT_KNOWN if pc.speedup is None else ten_seconds(pc.speedup, short=True)
    head = f"{speed}: another PC, {condition_word(pc.bundle.condition)}; case and supply go"
    seller = problem.sellers[pc.bundle.seller].name
    return _lines(rank, pc.cost, head, [f"{pc.bundle.name}, from {seller}"], problem, width)


def _lines(rank: int, cost: int, head: str, below: Sequence[str], problem: Problem, width: int) -> list[str]:
    """A card: place, cost and headline, then what stands below, in at most four lines."""
    amount = _amount(problem, cost)
    if not current_page().drawings:
        said = [f"{s[:1].upper()}{s[1:]}" for s in (head, *below)]
        text = " ".join(s if s.endswith("?") else f"{s}." for s in said)
        return [wrap(f"Plan {rank}: {amount} {problem.catalog.currency}. {text}", "", "")]
    lead = f"{rank:>2}  {amount:>{width}}   "
    first = wrap(head, " " * len(lead), " " * len(lead)).splitlines()
    first[0] = bold(lead) + (green(first[0][len(lead) :]) if rank == 1 else first[0][len(lead) :])
    lines = list(first)
    for i, text in enumerate(below):
        more = wrap(text, "    ").splitlines()
        if i == 0 or len(lines) + len(more) <= MOST_CARD_LINES:
            lines += more
    return lines


def _footer(outcome: Outcome, found: Choices, problem: Problem) -> list[str]:
    plan = next(choice.plan for choice in found.plans if choice.plan.rank == 1)
    proven = outcome.status == "optimal" and found.proven
    looks = len(plan.open_questions) + len(look_lines(problem, plan.draft))
    cautions = len(cautions_of_plan(plan, names_of(problem)))
    bought = not (plan.parts.unchanged and not plan.draft.lines)
    words = [ALL_PROVEN if proven else NOT_PROVEN]
    words.append(spare_words(looks, cautions) if bought else nothing_words(looks))
    if bought and plan.arrival is not None:
        ordered = f"when ordered on {date_text(problem.today)}"
        words.append(f"Plan 1 is complete on {date_text(plan.arrival)} {ordered}.")
    words.append(old_price_words(oldest_price(problem, plan.draft)))
    ranks = [choice.plan.rank for choice in found.plans if choice.plan.rank > 1]
    show = f"--show {ranks[0] if ranks else 1}"
    return [
        wrap(" ".join(word for word in words if word), ""),
        wrap(MORE.format(show=show), ""),
    ]


def _amount(problem: Problem, minor: int) -> str:
    return amount_text(minor, problem.catalog.digits)


def _money(problem: Problem, minor: int) -> str:
    return f"{_amount(problem, minor)} {problem.catalog.currency}"


__all__ = ["MOST_CARD_LINES", "short_answer"]
