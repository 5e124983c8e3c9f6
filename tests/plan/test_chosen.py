"""Parts that a person named: which candidates they are, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, COOLER, CPU, GRAPHICS, KIT, MEMORY, PSU, SELLER, make_problem, make_survey

from partsolver.base.errors import InputRefused
from partsolver.catalog.records import Bundle, DrivePart, Extra, Offer
from partsolver.plan.chosen import chosen_draft, chosen_parts, split_count
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.wishes.brief import Brief


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("kit-a", ("kit-a", 1)),
        ("kit-a*2", ("kit-a", 2)),
        ("kit-a*9999", ("kit-a", 9999)),
        ("kit-a*10", ("kit-a", 10)),
    ],
)
def test_a_part_with_a_count(text: str, found: tuple[str, int]) -> None:
    assert split_count(text) == found


@pytest.mark.parametrize(
    "text", ["kit-a*0", "kit-a*", "kit-a*x", "kit-a*10000", "kit-a*-1", "kit-a*1.5", "kit-a*2 "]
)
def test_no_count(text: str) -> None:
    with pytest.raises(InputRefused, match="not a part with a count"):
        split_count(text)


def pc(**tables: Any) -> Problem:
    return make_problem(
        make_survey(memory=(MEMORY.model_copy(update={"generation": "ddr4", "count": 2}),)),
        Brief(budget="10000.00", replace=("psu", "graphics")),
        **{
            "memory": [KIT, replace(KIT, id="a-kit")],
            "psus": [replace(PSU, id="psu-a", name="Supply A")],
            "graphics": [GRAPHICS],
            "extras": [Extra("paste", "Paste", kind="paste")],
            "drives": [DrivePart("drive-a", "Drive A", kind="ssd", interface="sata")],
            **tables,
        },
    )


PRESENT = (
    "kept-board",
    "kept-cpu",
    "kept-memory",
    "kept-cooler",
    "kept-psu",
    "kept-case",
    "kept-drive",
    "kept-graphics",
)


@pytest.mark.parametrize(
    ("ids", "changed"),
    [
        ((), {}),
        (("board-a",), {0: "board-a"}),
        (("kit-a",), {2: "kit-a*1"}),
        (("kit-a*2",), {2: "kit-a*2"}),
        (("+kit-a",), {2: "kit-a*1+kept-memory"}),
        (("kit-a", "kept-memory"), {2: "kit-a*1+kept-memory"}),
        (("kept-memory", "kit-a"), {2: "kit-a*1+kept-memory"}),
        (("kept-memory",), {}),
        (("kept-memory", "kept-memory"), {}),
        (("a-kit",), {2: "a-kit*1"}),
        (("a-kit*2", "kept-memory"), {2: "a-kit*2+kept-memory"}),
        (("psu-a",), {4: "psu-a"}),
        (("graphics-a",), {7: "graphics-a"}),
        (("+graphics-a",), {7: "graphics-a"}),
        (("cooler-a",), {3: "cooler-a"}),
        (("cpu-a",), {1: "cpu-a", 3: "boxed-cooler"}),  # its box has a cooler
        (("cpu-a", "cooler-a"), {1: "cpu-a", 3: "cooler-a"}),
        (("cpu-a", "kept-cooler"), {1: "cpu-a"}),
        (("kept-cpu",), {}),
        (("paste",), {}),  # an extra is bought where it is needed
        (("board-a", "cpu-a", "kit-a"), {0: "board-a", 1: "cpu-a", 2: "kit-a*1", 3: "boxed-cooler"}),
    ],
)
def test_the_pc_with_these_parts(ids: tuple[str, ...], changed: dict[int, str]) -> None:
    expected = tuple(changed.get(place, key) for place, key in enumerate(PRESENT))
    assert chosen_parts(pc(), ids).keys == expected


def test_a_processor_without_a_box() -> None:
    problem = pc(cpus=[replace(CPU, boxed_cooler=False)])
    assert chosen_parts(problem, ("cpu-a",)).keys[3] == "kept-cooler"
    unknown = pc(cpus=[replace(CPU, boxed_cooler=None)])
    assert chosen_parts(unknown, ("cpu-a",)).keys[3] == "kept-cooler"


@pytest.mark.parametrize(
    ("ids", "where", "words"),
    [
        (("board-b",), "board-b", "no such part"),
        (("drive-a",), "drive-a", "cannot be used here"),
        (("+board-a",), "+board-a", "only memory and a graphics card"),
        (("+cooler-a",), "+cooler-a", "only memory and a graphics card"),
        (("kit-a*5",), "kit-a*5", "this many kits are no choice here"),
        (("+kit-a*5",), "kit-a*5", "beside the present modules"),
        (("board-a", "board-b", "nothing"), "board-b", "no such part"),
        (("board-a", "kept-board"), "kept-board", "a second board; the first is board-a"),
        (("kit-a", "kit-b"), "kit-b", "a second memory; the first is kit-a"),
    ],
)
def test_what_names_nothing_usable(ids: tuple[str, ...], where: str, words: str) -> None:
    problem = pc(memory=[KIT, replace(KIT, id="kit-b")])
    with pytest.raises(InputRefused) as refused:
        chosen_parts(problem, ids)
    fault = refused.value.faults[0]
    assert fault.where == where and words in fault.problem, fault


def test_all_faults_at_once() -> None:
    with pytest.raises(InputRefused) as refused:
        chosen_parts(pc(), ("nothing", "board-a", "other"))
    assert [fault.where for fault in refused.value.faults] == ["nothing", "other"]


def test_part_of_the_present_modules_stays() -> None:
    """A board of three slots beside a kit of two: the better one of the present modules."""
    problem = pc(boards=[replace(BOARD, memory_slots=3)])
    assert chosen_parts(problem, ("kit-a", "kept-memory*1")).keys[2] == "kit-a*1+kept-memory*1"
    with pytest.raises(InputRefused):
        chosen_parts(problem, ("kept-memory*5",))  # of two
    with pytest.raises(InputRefused, match="beside the present modules"):
        chosen_parts(problem, ("kit-a", "kept-memory*5"))


def offers(*boards: Offer) -> list[Offer]:
    return [
        *boards,
        Offer("cpu-a", "shop", 5000),
        Offer("kit-a", "shop", 2000),
        Offer("cooler-a", "shop", 900),
    ]


IDS = ("board-a", "cpu-a", "kit-a")


def test_an_extra_hides_no_part_after_it() -> None:
    assert chosen_parts(pc(), ("paste", "board-a")).keys[0] == "board-a"


def test_a_part_in_the_first_state_it_is_sold_in() -> None:
    problem = pc(
        offers=[
            Offer("board-a", "shop", 5000),
            Offer("board-a", "shop", 4000, condition="used", firmware="0.90"),
        ]
    )
    states = [c.key for c in problem.slot("board") if c.id == "board-a"]
    assert len(states) == 2 and chosen_parts(problem, ("board-a",)).keys[0] == states[0]


def test_of_several_states_the_cheapest_that_fits() -> None:
    """Used without its shield and firmware 0.90 for less: the processor needs 1.00."""
    new = Offer("board-a", "shop", 6000)
    old = replace(new, price=4000, condition="used", shield="included", firmware="0.90")
    good = replace(old, firmware="1.10", price=5000)
    board = replace(BOARD, flash_without_cpu=False)
    for listed, price in (((new,), 6000), ((new, old), 6000), ((new, old, good), 5000), ((old,), 4000)):
        problem = pc(boards=[board], offers=offers(*listed), sellers=(SELLER,))
        draft = chosen_draft(problem, IDS, all_rules())
        assert next(line.amount for line in draft.lines if line.slot == "board") == price
        assert draft.parts.keys[1:4] == ("cpu-a", "kit-a*1", "boxed-cooler")


def test_a_state_that_nobody_sells_alone_comes_last() -> None:
    """New only in a set with another kit; used from the shop: the used one has a line."""
    used = Offer("board-a", "shop", 5000, condition="used", shield="included", firmware="1.11")
    kit = Bundle("set", "Set", "parts", (("board-a", 1), ("a-kit", 1)), "shop", 9000)
    problem = pc(offers=offers(used), sellers=(SELLER,), bundles=[kit])
    assert len([c for c in problem.slot("board") if c.id == "board-a"]) == 2
    draft = chosen_draft(problem, IDS, all_rules())
    assert [line.amount for line in draft.lines if line.slot == "board"] == [5000]


def test_a_named_cooler_stays_whatever_it_costs() -> None:
    problem = pc(coolers=[COOLER, replace(COOLER, id="cooler-b")], offers=None)
    for cooler in ("cooler-a", "cooler-b"):
        assert chosen_draft(problem, (*IDS, cooler), all_rules()).parts.cooler.id == cooler
    assert chosen_draft(problem, IDS, all_rules()).parts.cooler.boxed
