"""One fact of a catalogue part unknown at a time, for every fact in the ``READS`` of a rule: no exception,
no verdict better than with the worst value that the fact can have, none worse than with the best, and a
question that names it."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from conftest import FULL
from erasing import FACTS, RULES, same_parts, values_of, with_fact
from oracle_worlds import world_of
from pcs import WORLDS as PCS
from pcs import world
from support import combinations, needs_of

from partsolver.plan.draft import Draft, Line
from partsolver.problem.candidates import TABLE_OF_SLOT, Candidate, Parts
from partsolver.problem.problem import Problem

WORLDS = 300 if FULL else 8


def worlds() -> Iterator[Problem]:
    for name in PCS:
        yield world(name)
    for number in range(WORLDS):
        yield world_of(number).problem


@cache
def samples() -> tuple[tuple[Problem, tuple[Parts, ...]], ...]:
    """Problems, each with some of its combinations."""
    draw = random.Random(7)
    found = []
    for problem in worlds():
        if len(problem.slot("board")) > 10:
            listed = [Parts(tuple(draw.choice(problem.slot(s)) for s, _ in problem.candidates.items()))]  # type: ignore[arg-type]
        else:
            listed = list(combinations(problem))
        found.append((problem, tuple(draw.sample(listed, min(3, len(listed))))))
    return tuple(found)


def judged(rule: Any, problem: Problem, parts: Parts) -> tuple[bool, frozenset[str], frozenset[str], bool]:
    """(whether it fails, what it needs bought, what it asks, whether it bars)."""
    needs = needs_of(rule, parts, problem)
    lines = tuple(Line(n.options[0][0], n.options[0][1], 0, need=n) for n in needs if n.options)
    said = rule.admits(Draft(parts, lines, (), 0, 0), problem)
    failing = any(f.verdict == "fails" for f in said)
    asked = frozenset(f.question for f in said if f.question)
    return failing, frozenset(n.kind for n in needs), asked, any(f.blocks for f in said)


def is_named(problem: Problem, parts: Parts, slot: str, fact: str) -> bool:
    """Whether some rule asks for the fact of the part in that slot."""
    path = f"{slot}:{parts.candidate(slot).id}.{fact}"  # type: ignore[arg-type]
    return any(path in judged(rule, problem, parts)[2] for rule in RULES)


def trouble(rule: Any, slot: str, fact: str, problem: Problem, parts: Parts) -> list[str]:
    """What is wrong with what a rule says while the fact is not known."""
    candidate: Candidate[Any] = parts.candidate(slot)  # type: ignore[arg-type]
    part = str(candidate.id)
    poorer = with_fact(problem, slot, part, fact, None)
    dark = same_parts(parts, poorer)
    if dark is None:
        return []
    fails, needs, asked, _ = judged(rule, poorer, dark)
    for path in asked:
        table = path.partition(".")[0]
        if table in TABLE_OF_SLOT and not dark.candidate(table).kept and dark.candidate(table).id:  # type: ignore[arg-type]
            return [f"asks {path} of the survey where the part is bought"]
    row = next(r for r in problem.source.tables[TABLE_OF_SLOT[slot]] if r.id == part)
    found, known = [], []
    for value in values_of(slot, fact, getattr(row, fact)):
        other = with_fact(problem, slot, part, fact, value)
        bright = same_parts(parts, other)
        if bright is None:
            continue
        known.append((value, *judged(rule, other, bright)))
    for value, bad, wanted, _, _ in known:
        if (bad or wanted - needs) and not (fails or is_named(poorer, dark, slot, fact)):
            found.append(f"silent, yet {value!r} {'fails' if bad else f'needs {sorted(wanted - needs)}'}")
    if fails and known and any(not bad for _, bad, *_ in known):
        value = next(v for v, bad, *_ in known if not bad)
        found.append(f"fails, yet {value!r} does not")
    spared = [v for v, bad, wanted, *_ in known if not bad and needs - wanted]
    if spared and not is_named(poorer, dark, slot, fact):
        value = spared[0]
        found.append(f"buys {sorted(needs)}, yet {value!r} does not need it")
    return found


# Facts that the trade fills in, with the rules whose verdict then does not wait for them.
_BY_CLASS = (
    "an estimate of its class and year; what it may reach at most warns, and is asked where that decides"
)
FILLED_IN: dict[tuple[str, str], tuple[str, str]] = {
    ("board", "cpu_power_limit_w"): (
        "platform.power",
        "every desktop board of its time takes the 65 W class",
    ),
    ("board", "load_mw"): ("power.", _BY_CLASS),
    ("board", "year"): ("power.", _BY_CLASS),
    ("cpu", "power_limit_w"): ("power.", _BY_CLASS),
    ("cpu", "year"): ("power.", _BY_CLASS),
    ("board", "slots"): (
        "power. picture.",
        "a card that is not needed counts as placed until it is known to have no place; fit.cards asks",
    ),
    ("cpu", "legacy_video"): ("os.start", "graphics of early years do; of later ones it is asked"),
    ("cpu", "tdp_w"): ("platform.power", "the rated heat is never above the stated power"),
    ("psu", "condition"): ("power.condition", "goods sold as new show no damage; of used ones it is asked"),
    ("board", "firmware_modes"): (
        "picture.displays",
        "how many pictures at once; whether the card makes one at all is asked by picture.source",
    ),
    ("case", "max_board_width_mm"): ("fit.outline", "a case takes the boards of the forms that it names"),
    ("drive", "kind"): ("power.", "it counts as a disk, the most that a drive draws"),
    ("board", "memory_voltage_mv"): (
        "memory.voltage",
        "the generation's own voltage, but for sockets known to take the lower one alone",
    ),
    ("board", "memory_max_chip_mbit"): (
        "memory.organisation",
        "all chips of the generation, but for sockets known for the first ones alone",
    ),
    ("psu", "combined_12v_ma"): ("power.", "the rails of the label, at most the usual share of the rating"),
    ("psu", "year"): (
        "power.",
        "a supply sold as new counts as made this year; a used one of unknown year counts as old",
    ),
    ("psu", "peak_12v_ma"): ("power.startup", "a peak is never below the continuous current"),
}


@pytest.mark.parametrize(("slot", "fact"), FACTS, ids=lambda v: str(v))
def test_one_fact_of_a_part_on_sale_unknown(slot: str, fact: str) -> None:
    readers = [r for r in RULES if any(p.rpartition(".")[2] == fact for p in r.READS.get(slot, ()))]  # type: ignore[call-overload]
    tried = 0
    wrong: dict[str, str] = {}
    for problem, listed in samples():
        for parts in listed:
            if parts.candidate(slot).id is None:  # type: ignore[arg-type]
                continue
            for rule in readers:
                tried += 1
                if rule.ID.startswith(tuple(FILLED_IN.get((slot, fact), ("-", ""))[0].split())):
                    dark = with_fact(problem, slot, str(parts.candidate(slot).id), fact, None)  # type: ignore[arg-type]
                    assert (own := same_parts(parts, dark)) is None or judged(rule, dark, own)
                    continue
                for said in trouble(rule, slot, fact, problem, parts):
                    wrong.setdefault(f"{rule.ID}: {said}", f"{parts.keys}")
    assert not wrong, "\n".join(f"{k}   {v}" for k, v in wrong.items())
    assert tried or slot in ("psu", "case", "drive", "cooler")
