"""Two proofs of one answer: what the search found against what CP-SAT decided, compared both ways.

The search (search/) rests on the rules' plain predicates and on bounds, the model (model/) on the rules'
constraints. Neither reads the other's statement of a rule, so a mistake in one of them shows as a difference:

- *The search knows a better plan, or one more, than the model*: its plans are bought and judged by the plain
  rules, so the model is too strict (a ``post``), whether the search was exhausted or not.
- *The model knows a better plan, or one more, than an exhausted search*: a bound of the search lies above the
  truth, or the model is too loose. Of a spent search nothing follows.
- *"No plan exists"* of either is tried to be refuted by what is known: the present PC, plans that other tests
  found, and a model of the nearest candidates (`refute_impossible`).

A difference is never an answer: it stops the program with its evidence (InternalFault, exit code 4).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from partsolver.base.errors import InternalFault
from partsolver.base.quantities import format_amount
from partsolver.base.records import record
from partsolver.model.build import Built, build
from partsolver.model.solve import Limits, Solved, solve
from partsolver.performance.present import present_parts, store_of_fewer
from partsolver.plan.complete import admitted, complete, judge
from partsolver.plan.draft import Draft
from partsolver.plan.identity import identity
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule
from partsolver.search.shortlist import Found, Goals
from partsolver.search.window import nearest_window

_SEARCH_OR_MODEL = "a bound of the search is too high, or the model too loose"


def evidence(problem: Problem, draft: Draft | None) -> str:
    """A plan as evidence: its parts' keys, cost and time."""
    if draft is None:
        return "no plan"
    cost = format_amount(draft.cost, problem.catalog.digits)
    return f"{'+'.join(draft.parts.keys)} for {cost}, {draft.time_ppm} ppm"


def difference(
    problem: Problem, what: str, search: Draft | None, model: Draft | None, rules: Sequence[Rule] = ()
) -> InternalFault:
    """The fault of a difference between the two proofs, ready to raise. Where one of the rules refuses the
    plan of the model, it is named."""
    text = (
        f"search and model differ in {what}: the search has {evidence(problem, search)}; the model has"
        f" {evidence(problem, model)}"
    )
    refusing = [] if model is None else [f.rule for f in judge(problem, model, rules) if not f.admits]
    return InternalFault(
        text + (f", which the plain rules refuse: {', '.join(refusing)}" if refusing else "")
    )


def compare_least_time(problem: Problem, rules: Sequence[Rule], found: Found, model: Draft | None) -> None:
    """The fastest plan of the search against that of the model (None: the model says that no plan exists)."""
    known = found.first
    if known is not None and (model is None or model.time_ppm > known.time_ppm):
        raise difference(problem, "the least time (the model is too strict)", known, model)
    if found.exhausted and model is not None and (known is None or model.time_ppm < known.time_ppm):
        raise difference(problem, f"the least time ({_SEARCH_OR_MODEL})", known, model, rules)


def compare_ranks(
    problem: Problem,
    rules: Sequence[Rule],
    found: Found,
    model: Sequence[Draft],
    goals: Callable[[Draft], Goals],
    complete: bool,
) -> None:
    """The ranked plans of the search against those of the model, the k-th against the k-th.

    ``complete``: the model's list is proven: as many plans as were wanted, or all there are.
    """
    if not complete:
        return  # the limit was reached: the model claims nothing of what it did not find
    for place in range(max(len(found.drafts), len(model))):
        own = found.drafts[place] if place < len(found.drafts) else None
        other = model[place] if place < len(model) else None
        what = f"plan {place + 1}"
        if own is not None and (other is None or goals(other) > goals(own)):
            raise difference(problem, f"{what} (the model is too strict)", own, other)
        if found.exhausted and other is not None and (own is None or goals(other) < goals(own)):
            raise difference(problem, f"{what} ({_SEARCH_OR_MODEL})", own, other, rules)
    if found.exhausted and model:
        _compare_choices(problem, rules, found, model, goals)


def _compare_choices(
    problem: Problem,
    rules: Sequence[Rule],
    found: Found,
    model: Sequence[Draft],
    goals: Callable[[Draft], Goals],
) -> None:
    """The same choices before the last goals (among equals at the end either may stand)."""
    last = goals(model[-1])
    own = {identity(d.parts): d for d in found.drafts if goals(d) < last}
    other = {identity(d.parts): d for d in model if goals(d) < last}
    for choice in own.keys() - other.keys():
        raise difference(problem, "the plans listed (missing in the model)", own[choice], None)
    for choice in other.keys() - own.keys():
        raise difference(problem, "the plans listed (missing in the search)", None, other[choice], rules)


@record
class Refutation:
    """An attempt to refute "no plan exists" that found none. combinations: those the model held; decided:
    whether it came to an end within the limits."""

    combinations: int | None
    decided: bool


def refute_impossible(
    problem: Problem, rules: Sequence[Rule], limits: Limits, known: Iterable[Parts] = ()
) -> Refutation:
    """Try to refute that no plan exists: by parts that are known, and by a model of the candidates that miss
    the limits by least. Raises InternalFault with the plan where there is one."""
    for parts in (present_parts(problem), *known):
        draft = admitted_draft(problem, rules, parts)
        if draft is not None:
            raise InternalFault(f"a plan exists where none should: {evidence(problem, draft)} is admitted")
    window = nearest_window(problem, rules)
    if not window.pool.alive:
        return Refutation(0, True)
    built = build(window.pool.restricted(), rules)
    solved = solve(built.model, limits)
    if solved.found:
        parts = picked_parts(built, solved)
        raise difference(problem, "whether a plan exists", None, completed(problem, parts, rules), rules)
    return Refutation(window.combinations, solved.status == "impossible")


def confirm_possible(problem: Problem, rules: Sequence[Rule], parts: Parts, limits: Limits) -> None:
    """The model of exactly these parts, which the plain rules admit, must admit them as well. Raises
    InternalFault where it does not."""
    picked = {
        slot: tuple(c for c in problem.slot(slot) if slot == "cooler" or c.key == parts.candidate(slot).key)
        for slot in SLOTS
    }
    built = build(replace(problem, candidates=picked, store=store_of_fewer(problem)), rules)
    if solve(built.model, limits).status == "impossible":
        raise difference(
            problem,
            "whether a plan is one (the model is too strict)",
            admitted_draft(problem, rules, parts),
            None,
        )


def admitted_draft(problem: Problem, rules: Sequence[Rule], parts: Parts) -> Draft | None:
    """The cheapest plan of some parts of the problem, None where they are none under these rules."""
    if not all(any(c.key == own.key for c in problem.slot(own.slot)) for own in parts.picked):
        return None
    draft = complete(problem, parts, rules)
    return draft if draft is not None and admitted(problem, draft, rules) else None


def picked_parts(built: Built, solved: Solved) -> Parts:
    """The picked candidates (any cooler: the plain completion chooses it)."""
    picked = []
    for slot in SLOTS:
        picked.append(next(c for c, literal in built.picks.candidates(slot) if solved.value(literal)))
    return Parts(tuple(picked))


def completed(problem: Problem, parts: Parts, rules: Sequence[Rule]) -> Draft:
    """The plain purchase of parts that the model returned."""
    draft = complete(problem, parts, rules)
    if draft is None:
        raise InternalFault(f"the model returned parts that cannot be bought: {parts.keys}")
    return draft


def compare_model_with_plain(built: Built, solved: Solved, draft: Draft) -> None:
    """The model's time and cost against the plain ones."""
    for name, variable, plain in (("time_ppm", built.time, draft.time_ppm), ("cost", built.cost, draft.cost)):
        if solved.value(variable) != plain and (name == "time_ppm" or solved.proved):
            raise InternalFault(
                f"model and plain statement differ in {name}: {solved.value(variable)} and {plain} for"
                f" {draft.parts.keys}, lines"
                f" {[(line.item, line.quantity, line.amount) for line in draft.lines]}"
            )
