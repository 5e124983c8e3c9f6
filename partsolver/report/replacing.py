"""Words about what replacing a kept part brings a plan."""

from __future__ import annotations

from partsolver.plan.outcome import Plan, Replaced
from partsolver.problem.candidates import Parts
from partsolver.report.page import amount_text, decimals_text
from partsolver.report.words.lookup import sentence, title
from partsolver.report.words.record import SLOT_NAMES, Names


def replaced_words(item: Replaced, plan: Plan, names: Names) -> str:
    """What one replacement lets in, and the best plan without it."""
    word = SLOT_NAMES[item.slot]
    text = _gain(item, plan, names, word)
    if item.refused:
        first = item.refused[0]
        text += (
            f" With the present {word} these parts do not fit: {title(first.rule)}: {sentence(first, names)}"
        )
    return text


def _gain(item: Replaced, plan: Plan, names: Names, word: str) -> str:
    best = item.keeping
    if best is None:
        proven = "there is no plan" if item.proven else "no plan was found"
        return f"replacing the {word} makes this plan possible: without it {proven}."
    less = best.draft.cost - plan.draft.cost
    if item.rank is not None and item.rank < plan.rank:
        cost = (
            "at the same cost"
            if less == 0
            else f"for {_money(abs(less), names)} {'more' if less > 0 else 'less'}"
        )
        return (
            f"replacing the {word} brings nothing better: plan {item.rank} keeps it ({_speed(best)}, {cost})."
        )
    if best.draft.time_ppm <= plan.draft.time_ppm and less == 0:
        return (
            f"replacing the {word} costs and brings as much as the best plan that keeps it"
            f" ({_plan(item, best, names)})."
        )
    if best.draft.time_ppm <= plan.draft.time_ppm:
        return (
            f"replacing the {word} saves {_money(less, names)} against the best plan that keeps it"
            f" ({_plan(item, best, names)})."
        )
    lets_in = _lets_in(item, plan.parts, best.parts, names)
    cost = f"for {_money(abs(less), names)} {'more' if less <= 0 else 'less'}"
    return (
        f"replacing the {word} {lets_in}{_speed(plan)} instead of {_speed(best)} of the best plan that keeps"
        f" it ({_plan(item, best, names)}), {cost}."
    )


def _lets_in(item: Replaced, new: Parts, kept: Parts, names: Names) -> str:
    """A better board where the boards differ and the present part is in its way; else a better processor, or
    just speed."""
    if item.refused and new.candidate("board").key != kept.candidate("board").key:
        return f"lets a better board in, {names.get(new.board.id, new.board.id)}: "
    if item.refused and new.candidate("cpu").key != kept.candidate("cpu").key:
        return f"lets a better processor in, {names.get(new.cpu.id, new.cpu.id)}: "
    return "brings "


def _plan(item: Replaced, best: Plan, names: Names) -> str:
    if item.rank is not None:
        return f"plan {item.rank}"
    if best.parts.unchanged:
        return "the PC as it is"
    return " + ".join(names.get(c.id, c.id) for c in best.parts.picked if c.id is not None)


def _speed(plan: Plan) -> str:
    return (
        "a speed not known"
        if plan.speedup is None
        else f"{decimals_text(plan.speedup.expected_milli / 1000, 2)}x"
    )


def _money(minor: int, names: Names) -> str:
    return f"{amount_text(minor, names.digits)} {names.currency}"


__all__ = ["replaced_words"]
