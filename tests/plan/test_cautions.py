"""Each caution just inside and just outside of what it is for, and in which order they stand (people, data, parts).

What is dangerous about a piece of work is common practice; the words stand in report/words/cautions.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, OLD_CPU, PSU, SELLER, SYSTEM_DRIVE, TODAY, make_problem, make_survey, pick

from partsolver.catalog.records import Bundle, Offer
from partsolver.performance.present import present_parts
from partsolver.plan.cautions import CAUTIONS, cautions_of
from partsolver.plan.draft import Draft, Line, Need
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem

WORK = ("mains", "supply-closed", "sharp-edges", "static", "waste")


def made(
    problem: Problem, bought: tuple[SlotName, ...], lines: tuple[Line, ...] = (), **parts: Any
) -> tuple[str, ...]:
    """Cautions of the PC with some slots bought; ``parts``: facts of the part in a slot."""
    new, old = pick(problem), present_parts(problem)
    picked = []
    for candidate in old.picked:
        chosen = new.candidate(candidate.slot) if candidate.slot in bought else candidate
        if candidate.slot in parts:
            chosen = replace(chosen, part=replace(chosen.part, **parts[candidate.slot]))  # type: ignore[type-var]
        if candidate.slot in bought and chosen.kept:
            chosen = replace(chosen, kept=False, id="bought")
        picked.append(chosen)
    return cautions_of(problem, Draft(Parts(tuple(picked)), lines, (), 0, 0), ())


def test_nothing_is_touched_where_nothing_changes() -> None:
    problem = make_problem()
    assert made(problem, ()) == ()
    assert set(WORK) <= set(made(problem, ("memory",)))


def test_the_order_is_by_damage() -> None:
    """What hurts people first, then data, then parts, then money."""
    names = [caution.name for caution in CAUTIONS]
    assert names == [
        *(
            "mains",
            "supply-closed",
            "sharp-edges",
            "backup",
            "encryption-key",
            "static",
            "leads-of-one-supply",
        ),
        *("standoffs", "cooler-removal", "cpu-socket-pins", "old-supply", "adapters", "used-parts"),
        *("private-seller", "memory-returns", "licences", "waste"),
    ]
    found = made(make_problem(), ("board", "cpu", "memory", "psu"))
    assert list(found) == [name for name in names if name in found]


@pytest.mark.parametrize(
    ("bought", "said"),
    [
        (("memory",), ()),
        (("cpu",), ("cooler-removal", "cpu-socket-pins")),
        (("board",), ("standoffs", "cooler-removal", "cpu-socket-pins")),
        (("board", "cpu"), ("standoffs", "cooler-removal", "cpu-socket-pins")),
        (("psu",), ("leads-of-one-supply",)),
        (("cooler",), ("cooler-removal",)),
    ],
)
def test_what_is_exchanged(bought: tuple[SlotName, ...], said: tuple[str, ...]) -> None:
    about = {"standoffs", "cooler-removal", "cpu-socket-pins", "leads-of-one-supply"}
    assert tuple(name for name in made(make_problem(), bought) if name in about) == tuple(
        caution.name for caution in CAUTIONS if caution.name in said
    )


@pytest.mark.parametrize("kind", ["ssd", "hdd35", "hdd25", None, "optical", "floppy"])
def test_a_copy_of_the_data_where_there_are_data(kind: str | None) -> None:
    """A drive of a kind that nobody wrote down may hold data as well."""
    survey = make_survey(drives=(SYSTEM_DRIVE.model_copy(update={"kind": kind, "encrypted": True}),))
    problem, holds = make_problem(survey), kind in ("ssd", "hdd35", "hdd25", None)
    found = made(problem, ("board",))
    assert ("backup" in found) is holds and ("encryption-key" in found) is holds
    assert "backup" not in made(problem, ())


def test_a_pc_without_a_drive_in_its_survey_has_data_all_the_same() -> None:
    assert "backup" in made(make_problem(make_survey(drives=())), ("memory",))


@pytest.mark.parametrize(("encrypted", "said"), [(True, True), (None, True), (False, False)])
def test_the_key_of_an_encrypted_drive(encrypted: bool | None, said: bool) -> None:
    """Another board asks for the key, and another processor, which may hold it in its firmware module (start
    reference, section 2.7), and a graphics card or another system drive may (from memory); that nobody knows
    whether a drive is encrypted is no no."""
    survey = make_survey(drives=(SYSTEM_DRIVE.model_copy(update={"encrypted": encrypted}),))
    problem = make_problem(survey)
    assert ("encryption-key" in made(problem, ("board",))) is said
    assert ("encryption-key" in made(problem, ("cpu",))) is said
    assert ("encryption-key" in made(problem, ("graphics",))) is said
    assert ("encryption-key" in made(problem, ("drive",))) is said
    assert "encryption-key" not in made(problem, ("memory",))


@pytest.mark.parametrize(
    ("years", "condition", "said"),
    [
        (8, "good", False),
        (9, "good", True),
        (8, "noisy", True),
        (8, None, False),
        (None, "good", True),  # of unknown age: it is trusted like an old one, too
        (None, "bulged", True),
    ],
)
def test_a_supply_of_more_than_eight_years_or_of_a_state(
    years: int | None, condition: str | None, said: bool
) -> None:
    psu = replace(PSU, year=None if years is None else TODAY.year - years, condition=condition)
    problem = make_problem(make_survey(psu=psu))
    assert ("old-supply" in made(problem, ("memory",))) is said
    assert "old-supply" not in made(problem, ())  # nobody opens the case
    assert "old-supply" not in made(problem, ("memory", "psu"))  # it goes


OFFER = Offer(part="board-a", seller="shop", price=1000, condition="new")
NEED: Callable[[str], Need] = lambda rule: Need(rule, "key", "adapter", ())  # noqa: E731
BUNDLE = Bundle("bundle", "Bundle", "parts", (("board-a", 1),), "shop", 900)


@pytest.mark.parametrize(
    ("line", "kind", "said"),
    [
        (Line("board-a", 1, 1000, "board", offer=OFFER), "shop", ()),
        (Line("board-a", 1, 1000, "board", offer=replace(OFFER, condition="used")), "shop", ("used-parts",)),
        (Line("board-a", 1, 1000, "board", offer=OFFER), "private", ("private-seller",)),
        (Line("bundle", 1, 900, bundle=BUNDLE), "private", ("private-seller",)),
        (Line("bundle", 1, 900, bundle=BUNDLE), "shop", ()),
        (Line("bundle", 1, 900, bundle=replace(BUNDLE, condition="used")), "shop", ("used-parts",)),
        (Line("board-a", 1, 0, "board"), "private", ()),  # in a bundle that has a line of its own
        (Line("lead", 1, 100, need=NEED("power.leads"), offer=OFFER), "shop", ("adapters",)),
        (Line("lead", 1, 100, need=NEED("storage.sata"), offer=OFFER), "shop", ()),
    ],
)
def test_what_is_bought_and_of_whom(line: Line, kind: str, said: tuple[str, ...]) -> None:
    problem = make_problem(sellers=(replace(SELLER, kind=kind),))
    about = ("adapters", "used-parts", "private-seller")
    assert tuple(name for name in made(problem, ("board",), (line,)) if name in about) == said


@pytest.mark.parametrize(("mixed", "said"), [(True, True), (False, False)])
def test_old_and_new_modules_together_may_come_back(mixed: bool, said: bool) -> None:
    kit = {"kit": object() if mixed else None, "with_kept": True}
    problem = make_problem()
    assert present_parts(problem).memory.with_kept and not present_parts(problem).memory.mixed
    assert ("memory-returns" in made(problem, ("cpu",), memory={"kits": 1} | kit)) is said


@pytest.mark.parametrize(("tied", "said"), [(("drawing",), True), ((), False), (None, False)])
def test_licences_that_hang_on_the_board(tied: tuple[str, ...] | None, said: bool) -> None:
    survey = make_survey(os=make_survey().os.model_copy(update={"tied_software": tied}))
    problem = make_problem(survey, boards=(BOARD,))
    assert ("licences" in made(problem, ("board",))) is said
    assert "licences" not in made(problem, ("cpu",))
    # A copy keeps the installation; a system installed again on a new drive loses it.
    assert "licences" not in made(problem, ("drive",))
    again = make_survey(os=survey.os.model_copy(update={"keep": False}))
    assert ("licences" in made(make_problem(again), ("drive",))) is said
    assert present_parts(problem).cpu == OLD_CPU
