"""Adapters that are in use today: that there are some follows from what the PC does, since the survey lists none.

A supply without a processor plug feeds a board that has a header for one; cards have sockets that the supply has no
plug for; more SATA drives than SATA plugs are there. What hangs on such an adapter today it carries; nobody knows its
wires (9 A at 18 AWG, 5 A at 22 AWG: AMP catalogue 82181), so for more than today another one is bought.

Highest current of a processor by hand: 80 W / (0.85 x 11.4 V) = 8.26 A, 88 W 9.08 A; of 80 W today 8.26 A and the
slack of the estimate (5 %) are 8.67 A.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import (
    BOARD,
    CPU,
    GRAPHICS,
    OLD_BOARD,
    PSU,
    SYSTEM_DRIVE,
    agree,
    findings,
    make_problem,
    make_survey,
    needs_of,
    pick,
)

from partsolver.catalog.records import DrivePart, Extra
from partsolver.plan.draft import Draft
from partsolver.problem.problem import Problem
from partsolver.report.words.power import WORDS
from partsolver.rules import power_card_plugs, power_cpu_plug, power_drive_plugs, power_leads
from partsolver.survey.model import Card, Drive
from partsolver.wishes.brief import Brief

FOR_CPU = Extra(
    id="cpu4",
    name="lead",
    kind="cpu-plug-adapter",
    takes=("peripheral",),
    gives=("4",),
    count=2,
    limit_ma=12_000,
)
FOR_CARD = Extra(
    id="card6", name="lead", kind="card-plug-adapter", takes=("peripheral",), gives=("6",), count=2
)
SPLITTER = Extra(
    id="split", name="lead", kind="sata-power-splitter", takes=("sata",), gives=("sata",), limit_ma=4500
)
BRIEF = Brief(budget="10000.00", replace=("psu", "drive", "graphics"))
NEW_PSU = replace(PSU, id="psu-n", name="new supply", cpu_plugs=(), card_plugs=(), sata_plugs=2)
DISK = DrivePart(id="disk", name="disk", kind="hdd35", interface="sata", read_mbs=150)
SSD = DrivePart(id="ssd-n", name="ssd", kind="ssd", interface="sata", read_mbs=500)


def card(load_mw: int | None, *plugs: str) -> Card:
    return Card(
        name="old card", kind="graphics", bus="pcie", lanes=16, height="full", width_slots=1, length_mm=160,
        power_plugs=plugs, load_mw=load_mw, outputs=("vga",),
    )  # type: ignore[arg-type]  # fmt: skip


def pc(
    extras: Any = (), board: Any = OLD_BOARD, psu: Any = None, tables: Any = None, **survey: Any
) -> Problem:
    supply = replace(PSU, peripheral_plugs=4, peripheral_leads=2, **(psu or {}))
    few: dict[str, Any] = {"psus": [NEW_PSU], "memory": (), "coolers": (), **(tables or {})}
    return make_problem(make_survey(board=board, psu=supply, **survey), BRIEF, extras=extras, **few)


def new_board(problem: Problem, **keys: str) -> Any:
    own = {"psu": "kept-psu", "drive": "kept-drive", "graphics": "kept-graphics", "memory": "kept-memory"}
    return pick(problem, **{**own, "board": "board-a", **keys})


def found(rule: Any, problem: Problem, parts: Any) -> Any:
    """The first finding; with nothing bought where what is needed cannot be had."""
    if any(not need.options for need in needs_of(rule, parts, problem)):
        return rule.admits(Draft(parts, (), (), 0, 0), problem)[0]
    return findings(rule, problem, parts)[0]


@pytest.mark.parametrize(
    ("now", "header", "watts", "keys", "stays"),
    [
        ("4", "4", 80, {}, True),
        ("4", "4", 83, {}, True),  # 8.57 A
        ("4", "4", 84, {}, False),  # 8.67 A and 15 mA
        ("4", "8", 80, {}, True),  # in half of it
        ("8", "8", 80, {}, True),
        ("8", "4", 80, {}, False),  # it need not divide
        ("4", "4", 80, {"psu": "psu-n"}, False),
        ("4", "4", 80, {"drive": "ssd-n"}, True),
        ("4", "4", 80, {"drive": "disk"}, False),  # more hangs on the leads
    ],
)
def test_the_adapter_of_the_processor_goes_on(
    now: str, header: str, watts: int, keys: dict[str, str], stays: bool
) -> None:
    for extras in ((), (replace(FOR_CPU, gives=(header,)),)):
        problem = pc(
            extras,
            replace(OLD_BOARD, cpu_plugs=(now,)),
            {"cpu_plugs": ()},
            {
                "boards": [replace(BOARD, cpu_plugs=(header,))],
                "cpus": [replace(CPU, power_limit_w=watts)],
                "drives": [DISK, SSD],
            },
        )
        parts = new_board(problem, **keys)
        what = found(power_cpu_plug, problem, parts)
        if stays:
            assert (what.verdict, what.fact("own"), what.fact("carried")) == ("fits", "yes", 8668)
            assert "goes on to the new board" in WORDS[power_cpu_plug.ID].sentence(what, {})
        elif extras:
            assert (what.verdict, what.fact("adapter")) == ("fits", "cpu4")
        elif keys.get("psu") or (now, header) == ("8", "4"):
            assert what.verdict == "fails"  # nothing that is there would fit
        else:  # nobody looked what the one that is there carries
            assert (what.verdict, what.blocks, what.question) == ("unknown", True, "psu.cpu_plugs")
        assert bool(needs_of(power_cpu_plug, parts, problem)) != stays
        agree(power_cpu_plug, problem)


def test_an_adapter_that_goes_on_keeps_its_plugs_from_others() -> None:
    """It takes two peripheral plugs at most, and a card's adapter two more, on two leads: 6.25 A beside 8.26 A are
    too much for one."""
    tables = {"graphics": [replace(GRAPHICS, id="new", power_plugs=("6",), load_mw=75_000)]}
    for plugs, fed in ((3, False), (4, True)):
        problem = pc([FOR_CARD], psu={"cpu_plugs": (), "card_plugs": ()}, tables=tables)
        survey = problem.survey.model_copy(
            update={"psu": replace(problem.survey.psu, peripheral_plugs=plugs)}
        )
        problem = make_problem(survey, BRIEF, extras=[FOR_CARD], memory=(), coolers=(), **tables)
        parts = new_board(problem, graphics="new")
        assert all(need.options for need in needs_of(power_card_plugs, parts, problem)) == fed
        agree(power_card_plugs, problem)


@pytest.mark.parametrize(
    ("old_mw", "sockets", "plugs", "new", "keys", "what"),
    [
        (120_000, ("6",), (), None, {}, "stays"),  # another board for the same card
        (None, ("6",), (), None, {}, "stays"),
        (120_000, ("6",), (), None, {"psu": "psu-n"}, "bought"),
        (120_000, ("6",), (), None, {"drive": "disk"}, "bought"),
        (120_000, ("6", "6"), ("6",), None, {}, "stays"),
        (120_000, ("6",), (), (120_000, ("6",)), {}, "stays"),  # a bought card in its place
        (120_000, ("6",), (), (90_000, ("6",)), {}, "stays"),
        (120_000, ("6",), (), (140_000, ("6",)), {}, "bought"),  # 93 W and not 79 W through the plug
        (120_000, ("8",), (), (120_000, ("6",)), {}, "bought"),
        (None, ("6",), (), (120_000, ("6",)), {}, "asked"),  # what the old one draws, nobody stated
    ],
)
def test_adapters_of_cards_stay(
    old_mw: int | None, sockets: Any, plugs: Any, new: Any, keys: dict[str, str], what: str
) -> None:
    """A card with plugs takes a third through its slot and two thirds through them (loads reference, section 3)."""
    tables: dict[str, Any] = {"drives": [DISK]}
    if new:
        tables["graphics"] = [replace(GRAPHICS, id="new", load_mw=new[0], power_plugs=new[1])]
        keys = {**keys, "graphics": "new"}
    for extras in ((FOR_CARD,), ()):
        problem = pc(
            extras,
            replace(OLD_BOARD, slots=BOARD.slots),
            {"card_plugs": plugs},
            tables,
            cards=(card(old_mw, *sockets),),
        )
        parts = new_board(problem, **keys)
        finding = found(power_card_plugs, problem, parts)
        needed = needs_of(power_card_plugs, parts, problem)
        if what == "stays":
            assert (finding.verdict, finding.fact("own"), needed) == ("fits", len(sockets) - len(plugs), ())
            assert "those of today stay" in WORDS[power_card_plugs.ID].sentence(finding, {})
        elif extras:
            assert finding.verdict == "fits" and finding.fact("added") == 1
        elif what == "asked":
            assert (finding.verdict, finding.blocks) == ("unknown", True)
            assert finding.question == "card:old card.load_mw"
        else:
            assert finding.verdict == "fails"
        agree(power_card_plugs, problem)


def test_the_plugs_of_a_card_that_goes_are_free_for_the_next_one() -> None:
    """The supply has two peripheral plugs, the adapter of the old card takes both; a stronger card gets another one
    there."""
    problem = pc(
        [FOR_CARD],
        replace(OLD_BOARD, slots=BOARD.slots),
        {"card_plugs": ()},
        {"graphics": [replace(GRAPHICS, id="new", load_mw=140_000, power_plugs=("6",))]},
        cards=(card(120_000, "6"),),
    )
    survey = problem.survey.model_copy(update={"psu": replace(problem.survey.psu, peripheral_plugs=2)})
    problem = make_problem(
        survey,
        BRIEF,
        extras=[FOR_CARD],
        graphics=[replace(GRAPHICS, id="new", load_mw=140_000, power_plugs=("6",))],
    )
    for board in ("board-a", "kept-board"):
        (need,) = needs_of(power_card_plugs, new_board(problem, board=board, graphics="new"), problem)
        assert need.options == (("card6", 1),)


@pytest.mark.parametrize(
    ("plug", "keys", "stays"),
    [
        ("24", {}, True),
        ("20", {}, True),
        ("own", {}, False),  # its board may feed the drives (loads reference, section 7: a maker's 12 V only)
        ("24", {"psu": "psu-n"}, False),
        ("24", {"drive": "ssd-n"}, True),
        ("24", {"drive": "disk"}, False),
    ],
)
def test_splitters_of_drives_stay(plug: str, keys: dict[str, str], stays: bool) -> None:
    """Three SATA drives on two plugs of the supply: a splitter or an adapter feeds one today."""
    others = tuple(Drive(name=f"d{n}", kind="ssd", interface="sata") for n in range(2))
    problem = pc(
        [SPLITTER],
        replace(OLD_BOARD, main_plug=plug),
        {"main_plug": plug, "sata_plugs": 2},
        {"drives": [DISK, SSD]},
        drives=(SYSTEM_DRIVE, *others),
    )
    parts = new_board(problem, **keys)
    finding = found(power_drive_plugs, problem, parts)
    assert finding.verdict == "fits"
    assert (finding.fact("own"), bool(needs_of(power_drive_plugs, parts, problem))) == (
        (1, False) if stays else (None, True)
    )
    for rule in (power_drive_plugs, power_leads):
        agree(rule, problem)


def test_a_new_adapter_for_the_processor_may_need_the_plugs_that_drives_hang_on() -> None:
    """The present board has no processor header: the new one's adapter is new on these leads."""
    others = tuple(Drive(name=f"d{n}", kind="ssd", interface="sata") for n in range(2))
    problem = pc(
        [SPLITTER, FOR_CPU],
        replace(OLD_BOARD, cpu_plugs=()),
        {"sata_plugs": 2, "cpu_plugs": ()},
        drives=(SYSTEM_DRIVE, *others),
    )
    assert needs_of(power_drive_plugs, new_board(problem), problem)
    assert needs_of(power_cpu_plug, new_board(problem), problem)
    for rule in (power_drive_plugs, power_cpu_plug):
        agree(rule, problem)
