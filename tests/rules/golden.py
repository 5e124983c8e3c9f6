"""One sentence of each rule for every verdict and set of facts, as `golden_sentences.tsv` holds them.

The sentences come from the levers of `test_agreement.py` (each at both ends of its span), the base PC and the crowded one
(`pcs.py`), each also with one fact unknown that a rule reads, and drawn problems (`oracle_worlds.py`). Where a sentence was changed on purpose:
``python -m rules.golden`` from the folder ``tests`` (with the program on the path) writes the file again; what changed
is read in the difference, line by line.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import Any

from erasing import with_fact
from oracle_worlds import world_of
from pcs import crowded
from rules.test_agreement import LEVERS, SYSTEM
from support import BOARD, GRAPHICS, findings, make_problem, make_survey, needs_of, pick

from partsolver.audit.every_plan import combinations
from partsolver.plan.findings import Finding
from partsolver.problem.candidates import TABLE_OF_SLOT, Parts
from partsolver.problem.problem import Problem
from partsolver.report.words.record import Names
from partsolver.rules import all_rules

GOLDEN = Path(__file__).parent / "golden_sentences.tsv"
MOST_COMBINATIONS = 40
DRAWN = 60
Key = tuple[str, str, str]


def _worlds(rule: Any) -> Iterator[tuple[Problem, list[Parts]]]:
    """Problems with the parts that the rule is asked about."""
    for chosen in LEVERS.get(rule.ID, ()):
        for number in (chosen.low, chosen.high):
            problem = chosen.world(number)
            yield problem, [pick(problem, **chosen.picked)]
    no_tpm = make_problem(make_survey(os=SYSTEM), boards=[replace(BOARD, tpm="none")])
    for problem in (make_problem(graphics=[GRAPHICS]), crowded(), no_tpm):
        yield problem, list(islice(combinations(problem), MOST_COMBINATIONS))
        yield from _with_one_unknown(rule, problem)
    for number in range(DRAWN):
        problem = world_of(number).problem
        yield problem, list(islice(combinations(problem), 5))


def _with_one_unknown(rule: Any, problem: Problem) -> Iterator[tuple[Problem, list[Parts]]]:
    for slot, paths in sorted(rule.READS.items()):
        rows = problem.source.tables[TABLE_OF_SLOT[slot]] if slot in TABLE_OF_SLOT else ()
        for fact in sorted({path.rpartition(".")[2] for path in paths}):
            if rows and hasattr(rows[0], fact) and fact not in ("id", "name"):
                changed = with_fact(problem, slot, rows[0].id, fact, None)
                yield changed, [pick(changed, **({slot: rows[0].id} if slot == "graphics" else {}))]


def _asked(rule: Any, problem: Problem, parts: Parts) -> tuple[Finding, ...]:
    if any(not need.options for need in needs_of(rule, parts, problem)):
        return ()
    try:
        return findings(rule, problem, parts)
    except AssertionError:  # these parts cannot be bought for this rule
        return ()


def _marks(finding: Finding) -> list[str]:
    return ["?!" if finding.blocks else "?"] if finding.question else []


def sentences() -> dict[Key, str]:
    """Sentence by rule, verdict and names of facts ("?" marks a finding with a question, "?!" one that blocks): the first that is met."""
    found: dict[Key, str] = {}
    for rule in all_rules():
        family = rule.ID.partition(".")[0]
        words = importlib.import_module(f"partsolver.report.words.{family}").WORDS[rule.ID]
        for problem, listed in _worlds(rule):
            names = Names(problem.names)
            for parts in listed:
                for finding in _asked(rule, problem, parts):
                    facts = [*sorted(name for name, _ in finding.facts), *_marks(finding)]
                    found.setdefault(
                        (rule.ID, finding.verdict, " ".join(facts)), words.sentence(finding, names)
                    )
    return dict(sorted(found.items()))


def written(found: dict[Key, str]) -> str:
    """The file's text."""
    rows = ("\t".join((*key, " ".join(sentence.split()))) for key, sentence in found.items())
    return "".join(f"{row}\n" for row in ("rule\tverdict\tfacts\tsentence", *rows))


if __name__ == "__main__":
    GOLDEN.write_text(written(sentences()), encoding="utf-8")
