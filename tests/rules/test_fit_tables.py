"""Small decisions of the fit rules at their edges: room above the processor, depth that is free unmeasured, tall modules."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import (
    BOARD,
    CASE,
    COOLER,
    CPU,
    KIT,
    MEMORY,
    OLD_BOARD,
    findings,
    make_problem,
    make_survey,
    pick,
)

from partsolver.rules import fit_cooler_height, fit_cooler_memory, fit_outline
from partsolver.wishes.brief import Brief


@pytest.mark.parametrize(
    ("place", "panel", "under", "room", "heights"),
    [
        (None, 150, None, (150, ""), (150,)),
        (None, None, None, (None, "max_cooler_height_mm"), ()),
        ("over-board", 150, None, (150, "height_under_psu_mm"), (150,)),
        ("over-board", None, None, (None, "height_under_psu_mm"), ()),
        ("over-board", 150, 80, (80, ""), (150, 80)),
        ("over-board", 80, 150, (80, ""), (80, 150)),
        ("over-board", None, 80, (80, ""), (80,)),
        ("bottom", 150, 0, (150, ""), (150,)),  # no supply over it
        ("bottom", 150, None, (150, ""), (150,)),
    ],
)
def test_room_above_the_processor(
    place: str | None,
    panel: int | None,
    under: int | None,
    room: tuple[int | None, str],
    heights: tuple[int, ...],
) -> None:
    """The lower of side panel and supply, and which of the two has to be measured first."""
    case = replace(CASE, psu_place=place, max_cooler_height_mm=panel, height_under_psu_mm=under)
    assert fit_cooler_height._room(case) == room and fit_cooler_height._heights(case) == heights


@pytest.mark.parametrize(
    ("height", "verdict", "margin", "tight"),
    [
        (146, "fits", 4, None),
        (147, "fits", 3, None),
        (148, "fits", 2, "yes"),
        (150, "fits", 0, "yes"),
        (151, "fails", -1, None),
    ],
)
def test_a_cooler_that_nearly_touches(height: int, verdict: str, margin: int, tight: str | None) -> None:
    """Keep 3 mm at least (start reference, section 6.2: 3 to 8; common practice)."""
    problem = make_problem(coolers=[replace(COOLER, height_mm=height)])
    (found,) = findings(fit_cooler_height, problem, pick(problem, cooler="cooler-a"))
    assert (found.verdict, found.value, found.limit, found.margin, found.fact("tight")) == (
        verdict, height, 150, margin, tight
    )  # fmt: skip


@pytest.mark.parametrize(
    ("limit", "stated", "slots", "said"),
    [
        (
            107,
            None,
            "full",
            ("fits", None, None, None),
        ),  # a full card is 106.68 mm high: no boxed cooler is higher
        (106, None, "full", ("unknown", None, None, "cpu:cpu-a.boxed_cooler_mm")),
        (None, None, "full", ("fits", None, None, None)),
        (None, None, "low", ("unknown", None, None, "case.max_cooler_height_mm")),
        (60, 60, "full", ("fits", 60, 60, None)),
        (60, 61, "full", ("fails", 61, 60, None)),
    ],
)
def test_the_cooler_in_the_box(
    limit: int | None, stated: int | None, slots: str, said: tuple[Any, ...]
) -> None:
    case = replace(CASE, max_cooler_height_mm=limit, slot_height=slots)
    problem = make_problem(make_survey(case=case), cpus=[replace(CPU, boxed_cooler_mm=stated)], coolers=[])
    (found,) = findings(fit_cooler_height, problem, pick(problem, cooler="boxed-cooler"))
    assert (found.verdict, found.value, found.limit, found.question) == said
    least = problem.settings["boxed_cooler_least_mm"]
    for room, verdict in ((least - 1, "fails"), (least, "unknown")):
        low = make_problem(make_survey(case=replace(case, max_cooler_height_mm=room)), coolers=[])
        (found,) = findings(fit_cooler_height, low, pick(low, cooler="boxed-cooler"))
        assert (found.verdict, found.fact("boxed")) == (verdict, "least" if verdict == "fails" else None)


@pytest.mark.parametrize(
    ("form", "present", "kept", "certain"),
    [
        ("microatx", 200, True, (200, "present board")),
        ("microatx", 170, True, (170, "smallest board")),  # Mini-ITX, 170 mm deep, goes into every such case
        ("microatx", 171, True, (171, "present board")),
        ("microatx", 200, False, (170, "smallest board")),
        ("microatx", None, True, (170, "smallest board")),
        ("own", 200, True, (200, "present board")),
        ("own", None, True, (0, "smallest board")),
        (None, 200, False, (0, "smallest board")),
    ],
)
def test_depth_that_is_free_without_measuring(
    form: str | None, present: int | None, kept: bool, certain: tuple[int, str]
) -> None:
    case = replace(CASE, id="case-n", form_factor=form, max_board_depth_mm=None)
    survey = make_survey(board=replace(OLD_BOARD, depth_mm=present), case=case if kept else CASE)
    problem = make_problem(survey)
    assert fit_outline._certain_depth(case, kept, problem) == certain
    if form == "own":
        return
    deep = [replace(BOARD, depth_mm=certain[0]), replace(BOARD, id="board-b", depth_mm=certain[0] + 1)]
    problem = make_problem(
        survey, Brief(budget="10000.00", replace=("case",)), boards=deep, cases=[] if kept else [case]
    )
    for board, verdict in (("board-a", "fits"), ("board-b", "unknown")):
        found = findings(fit_outline, problem, pick(problem, board=board, case=case.id))
        (depth,) = (f for f in found if f.fact("edge") == "depth")
        assert depth.verdict == verdict
        assert (depth.fact("basis"), depth.fact("certain_mm")) == (
            (certain[1], None) if verdict == "fits" else (None, certain[0])
        )


@pytest.mark.parametrize(
    ("clearance", "new", "kept", "said"),
    [
        (None, 34, None, None),  # plain modules under any cooler
        (None, None, None, None),
        (None, 35, None, ("unknown", "cooler:cooler-a.memory_clearance_mm", 35)),
        (40, 40, None, ("fits", None, 40)),
        (40, 41, None, ("unknown", "cooler:cooler-a.over_memory", 41)),
        (40, 34, 41, ("unknown", "cooler:cooler-a.over_memory", 41)),
        (33, None, None, ("unknown", "memory:kit-a.module_height_mm", None)),
        (33, 30, None, ("fits", None, 30)),
        (34, None, None, None),
    ],
)
def test_modules_under_the_cooler(
    clearance: int | None, new: int | None, kept: int | None, said: tuple[Any, ...] | None
) -> None:
    plain = make_problem().settings["plain_module_height_mm"]
    shift = plain - 34  # the rows are written for plain modules of 34 mm
    height, room, other = (None if mm is None else mm + shift for mm in (new, clearance, kept))
    memory = MEMORY.model_copy(update={"generation": "ddr4", "module_height_mm": other})
    problem = make_problem(
        make_survey(memory=(memory,)),
        memory=[replace(KIT, module_height_mm=height)],
        coolers=[replace(COOLER, memory_clearance_mm=room)],
    )
    chosen = "kit-a*1" if kept is None else "kit-a*1+kept-memory"
    found = findings(fit_cooler_memory, problem, pick(problem, memory=chosen, cooler="cooler-a"))
    told = [(f.verdict, f.question, f.value if f.verdict == "fits" else f.fact("height_mm")) for f in found]
    assert told == ([] if said is None else [(*said[:2], None if said[2] is None else said[2] + shift)])
    assert all(f.margin == f.limit - f.value for f in found if f.verdict == "fits")


@pytest.mark.parametrize(
    ("new", "kept", "asked"),
    [
        (30, None, "memory.module_height_mm"),
        (None, 30, "memory:kit-a.module_height_mm"),
        (None, None, "memory:kit-a.module_height_mm"),
        (30, 30, None),
    ],
)
def test_the_modules_of_unknown_height_are_asked(
    new: int | None, kept: int | None, asked: str | None
) -> None:
    """New ones beside present ones under a cooler that leaves a millimetre less than a plain module needs."""
    room = make_problem().settings["plain_module_height_mm"] - 1
    memory = MEMORY.model_copy(update={"generation": "ddr4", "module_height_mm": kept})
    problem = make_problem(
        make_survey(memory=(memory,)),
        memory=[replace(KIT, module_height_mm=new)],
        coolers=[replace(COOLER, memory_clearance_mm=room)],
    )
    parts = pick(problem, memory="kit-a*1+kept-memory", cooler="cooler-a")
    (found,) = findings(fit_cooler_memory, problem, parts)
    assert (found.verdict, found.question) == ("fits" if asked is None else "unknown", asked)
