"""Parts that a person named, as candidates of a problem."""

from __future__ import annotations

import re
from collections.abc import Sequence

from partsolver.base.errors import Fault, InputRefused, nearest_part, refuse
from partsolver.performance.present import present_parts
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem


def split_count(text: str) -> tuple[str, int]:
    """``"kit-a*2"`` -> ("kit-a", 2). Raises InputRefused."""
    part, star, count = text.partition("*")
    if not star:
        return part, 1
    if not re.fullmatch(r"[1-9][0-9]{0,3}", count):
        raise refuse(text, "not a part with a count", text, "an id such as kit-a*2")
    return part, int(count)


def chosen_parts(problem: Problem, ids: Sequence[str]) -> Parts:
    """The PC as it is with the named parts put in. Raises InputRefused for ids that name nothing usable."""
    picked = {c.slot: c for c in present_parts(problem).picked}
    faults: list[Fault] = []
    named: dict[str, str] = {}
    wanted = [split_count(text) for text in ids]
    keep_memory = any(part == "kept-memory" for part, _ in wanted)
    for part, count in wanted:
        if part == "kept-memory":
            continue
        found = _find(problem, part, count, keep_memory)
        if isinstance(found, Fault):
            faults.append(found)
            continue
        if found is None:
            continue  # an extra: it is added where it is needed
        if found.slot in named:
            faults.append(
                Fault(
                    part,
                    f"a second {found.slot}; the first is {named[found.slot]}",
                    part,
                    f"one {found.slot}",
                )
            )
        named[found.slot] = part
        picked[found.slot] = found
    if faults:
        raise InputRefused(faults)
    if "cooler" not in named and "cpu" in named and picked["cpu"].part.boxed_cooler:  # type: ignore[union-attr]
        picked["cooler"] = problem.slot("cooler")[0]
    return Parts(tuple(picked[slot] for slot in SLOTS))


def _find(problem: Problem, part: str, count: int, with_kept: bool) -> Candidate | Fault | None:
    same = [c for slot in SLOTS for c in problem.slot(slot) if part in (c.id, c.key)]
    if not same:
        if part in problem.extras:
            return None
        if part in problem.names:
            hint = (
                "Add --replace psu, case or drive to check a replacement" if part in problem.names else None
            )
            return Fault(
                part, "is in the catalogue but cannot be used here", part, "a part that somebody offers", hint
            )
        ids = [c.id or c.key for slot in SLOTS for c in problem.slot(slot)]
        return Fault(
            part,
            "no such part",
            part,
            "an id of the catalogue",
            nearest_part(part, {i: problem.names.get(i, i) for i in ids}),
        )
    if same[0].slot == "memory":
        exact = [c for c in same if c.quantity == count and c.part.with_kept == with_kept]  # type: ignore[union-attr]
        return (
            exact[0]
            if exact
            else Fault(
                f"{part}*{count}",
                "this many kits are no choice here",
                str(count),
                "1 to 4 kits, at most 8 modules",
            )
        )
    return same[0]
