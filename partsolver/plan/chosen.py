"""Parts that a person named, as candidates of a problem."""

from __future__ import annotations

import re
from collections.abc import Container, Sequence
from itertools import product
from typing import Any

from partsolver.base.errors import Fault, InputRefused, nearest_part, refuse
from partsolver.performance.present import present_parts
from partsolver.plan.complete import draft_of, judge
from partsolver.plan.draft import Draft
from partsolver.plan.purchase import with_cooler
from partsolver.problem.candidates import KEPT_MEMORY, SLOTS, Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.problem.variants import OVERRIDES
from partsolver.rules.base import Rule

# What may be named with a + in front: beside the present modules, or as the card that the PC has not.
ADDED: tuple[SlotName, ...] = ("memory", "graphics")


def split_count(text: str) -> tuple[str, int]:
    """``"kit-a*2"`` -> ("kit-a", 2). Raises InputRefused."""
    part, star, count = text.partition("*")
    if not star:
        return part, 1
    if not re.fullmatch(r"[1-9][0-9]{0,3}", count):
        raise refuse(text, "not a part with a count", text, "an id such as kit-a*2")
    return part, int(count)


def chosen_parts(problem: Problem, ids: Sequence[str]) -> Parts:
    """The PC as it is with the named parts put in, each in the first state it is sold in. Raises InputRefused
    for ids that name nothing usable."""
    return _chosen(problem, ids)[0]


def chosen_draft(problem: Problem, ids: Sequence[str], rules: Sequence[Rule]) -> Draft:
    """The named parts, bought as well as it can be: of the states that a part is sold in
    (problem/variants.py) the cheapest with which everything fits, else the cheapest that somebody sells.
    Raises InputRefused for ids that name nothing usable."""
    parts, named = _chosen(problem, ids)
    slots = [slot for slot in OVERRIDES if slot in named]
    best: tuple[Any, Draft] | None = None
    for states in product(*(named[slot] for slot in slots)):
        picked = {c.slot: c for c in parts.picked} | {c.slot: c for c in states}
        trial = _with_box(problem, Parts(tuple(picked[slot] for slot in SLOTS)), named)
        draft = draft_of(problem, trial, rules, exact_cooler="cooler" in named)
        refused = sum(not finding.admits for finding in judge(problem, draft, rules))
        key = (refused > 0, not _is_bought(draft), draft.cost, refused, draft.parts.keys)
        if best is None or key < best[0]:
            best = key, draft
    assert best is not None  # the product of no slots is one empty choice
    return best[1]


def _is_bought(draft: Draft) -> bool:
    """Whether every part that is not kept has a line: what nobody sells in that state costs nothing."""
    lines = {line.slot for line in draft.lines}
    return all(c.slot in lines for c in draft.parts.picked if c.id is not None)


def _chosen(problem: Problem, ids: Sequence[str]) -> tuple[Parts, dict[SlotName, list[Candidate]]]:
    """The named parts in the PC, and by slot the states that the named ones are sold in."""
    picked = {c.slot: c for c in present_parts(problem).picked}
    faults: list[Fault] = []
    by_name: dict[SlotName, str] = {}
    named: dict[SlotName, list[Candidate]] = {}
    added = [text.startswith("+") for text in ids]
    wanted = [split_count(text.removeprefix("+")) for text in ids]
    keep = next((text for text in ids if text.partition("*")[0] == KEPT_MEMORY), None)
    kits = any(c.id == part for part, _ in wanted for c in problem.slot("memory"))
    for (part, count), beside in zip(wanted, added, strict=True):
        if part == KEPT_MEMORY and (kits or keep == KEPT_MEMORY):
            continue
        found = _find(problem, part, count, keep or (KEPT_MEMORY if beside else None))
        if not isinstance(found, Fault) and beside and found and found[0].slot not in ADDED:
            what = "only memory and a graphics card are added to what is there"
            found = Fault(f"+{part}", what, part, f"{part} without the +")
        if isinstance(found, Fault):
            faults.append(found)
            continue
        if not found:
            continue  # an extra: it is added where it is needed
        slot = found[0].slot
        if slot in by_name:
            faults.append(Fault(part, f"a second {slot}; the first is {by_name[slot]}", part, f"one {slot}"))
        by_name[slot], named[slot], picked[slot] = part, found, found[0]
    if faults:
        raise InputRefused(faults)
    parts = Parts(tuple(picked[slot] for slot in SLOTS))
    return _with_box(problem, parts, named), named


def _with_box(problem: Problem, parts: Parts, named: Container[SlotName]) -> Parts:
    """With the cooler that comes with a named processor, where none is named."""
    if "cooler" in named or "cpu" not in named or not parts.cpu.boxed_cooler:
        return parts
    return with_cooler(parts, problem.slot("cooler")[0])


def _find(problem: Problem, part: str, count: int, keep: str | None) -> list[Candidate] | Fault:
    """The candidates that an id names: one, or the states it is sold in; none for an extra. ``keep``: the
    present modules beside them, all (``kept-memory``) or the best of them (``kept-memory*2``)."""
    same = [c for slot in SLOTS for c in problem.slot(slot) if part in (c.id, c.key)]
    if not same:
        if part in problem.extras:
            return []
        if part in problem.names:
            hint = "Add --replace psu, case, drive or graphics to check a replacement"
            return Fault(
                part, "is in the catalogue but cannot be used here", part, "a part that somebody offers", hint
            )
        ids = [c.id or c.key for slot in SLOTS for c in problem.slot(slot)]
        return Fault(
            part or "ID",
            "no such part",
            part,
            "an id of the catalogue",
            nearest_part(part, {i: problem.names.get(i, i) for i in ids}),
        )
    if same[0].slot == "memory":
        wanted = keep if part == KEPT_MEMORY else f"{part}*{count}" + (f"+{keep}" if keep else "")
        exact: list[Candidate] = [c for c in problem.slot("memory") if c.key == wanted]
        beside = " beside the present modules" if keep else ""
        return exact or Fault(
            f"{part}*{count}",
            f"this many kits are no choice here{beside}",
            str(count),
            "1 to 4 kits, at most 8 modules and no more than some board has slots for, of the generation and form of"
            " what they stand beside; of the present modules as many as a board has slots left for",
        )
    return same
