"""Words for a first plan that keeps board and processor."""

from __future__ import annotations

from partsolver.explain.nothing import Nothing
from partsolver.problem.problem import Problem
from partsolver.report.text import names_of
from partsolver.report.why import plan_words, way_sentence
from partsolver.report.words.fact_names import plain_key
from partsolver.report.words.lookup import title
from partsolver.report.words.speed import BEFORE_S, seconds_after
from partsolver.rules import buying_minimums


def nothing_lines(found: Nothing | None, problem: Problem) -> list[str]:
    """The reason and the cheapest way out, one sentence each; nothing where board or processor is bought."""
    if found is None:
        return []
    names = names_of(problem)
    lines = []
    stays = "Board and processor stay" if found.bought else "Nothing new is bought"
    if found.open_facts:
        facts = ", ".join(f"{plain_key(fact.partition('.')[2])} ({fact})" for fact in found.open_facts)
        lines.append(
            f"{stays}: until these facts are known no new board may be connected: {facts}."
            " `partsolver survey questions` tells what each answer is worth."
        )
    elif found.rules:
        rules = ", ".join(title(rule) for rule in found.rules if rule != buying_minimums.ID)
        stands = f" In the way: {rules}." if rules else ""
        lines.append(
            f"{stays}: no plan turns {BEFORE_S} seconds into {seconds_after(found.gain_milli)} or"
            f" less.{stands}"
        )
    if found.way_out is not None:
        way = way_sentence(found.way_out, problem, names)
        lines.append(f"Cheapest way out: {way}: {plan_words(found.way_out.plan, problem, names)}.")
    return lines
