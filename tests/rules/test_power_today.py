"""What a kept supply carries today, where a card leaves of which nobody knows what it draws.

A card with two plugs of 6 contacts may draw 75 W through its slot and 2 x 75 W through its plugs (Intel 336521,
table 3-5); measured ones with such plugs draw 116 to 186 W (loads reference, section 3, L10). So its rating is
counted where it is fed, and is no proof of what the supply carries once it goes.
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
    admitted,
    agree,
    findings,
    make_problem,
    make_survey,
)

from partsolver.catalog.sockets import Slot
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.rules import (
    power_main_plug,
    power_rail_12v,
    power_rails_12v,
    power_startup,
    power_total,
)
from partsolver.survey.model import Card, Drive
from partsolver.wishes.brief import Brief

BRIEF = Brief(budget="10000.00", replace=("graphics", "case"))
# 2009: over 12 years old, 65 % of the label are trusted. 25 A: 16.25 A; 400 W: 260 W.
OLD = replace(PSU, year=2009, rail_12v_ma=(25000,), combined_12v_ma=25000, card_plugs=("6", "6"))
# 190 W: 189.9 W at 12 V, 15.7 A, of them a third through the slot.
NEW_CARD = replace(
    GRAPHICS, id="g-new", height="full", length_mm=200, power_plugs=("6", "6"), load_mw=190_000
)


def card(load_mw: int | None, plugs: tuple[str, ...] = ("6", "6"), required: bool = True) -> Card:
    return Card(
        name="old card", kind="graphics", bus="pcie", lanes=16, height="full", width_slots=2, length_mm=200,
        power_plugs=plugs, load_mw=load_mw, outputs=("vga",), uefi=True, required=required,
    )  # type: ignore[arg-type]  # fmt: skip


def pc(load_mw: int | None, psu: Any = OLD, brief: Brief = BRIEF, disks: int = 0, **tables: Any) -> Problem:
    survey = make_survey(
        psu=psu,
        cards=(card(load_mw),),
        board=replace(OLD_BOARD, slots=BOARD.slots),
        drives=(
            SYSTEM_DRIVE,
            *(Drive(name=f"disk {n}", kind="hdd35", interface="sata") for n in range(disks)),
        ),
    )
    few: dict[str, Any] = {"boards": [], "cpus": [], "coolers": [], "graphics": [NEW_CARD]}
    return make_problem(survey, brief, **{**few, **tables})


def exchanged(problem: Problem, **keys: str) -> Parts:
    """Today's parts with others in some slots."""
    present = problem.present()
    assert present is not None
    return Parts(
        tuple(
            next(c for c in problem.slot(own.slot) if c.key == keys[own.slot]) if own.slot in keys else own
            for own in present.picked
        )
    )


@pytest.mark.parametrize("rule", [power_rail_12v, power_total, power_startup])
def test_a_card_that_goes_proves_only_what_it_is_known_to_draw(rule: Any) -> None:
    """190 W in the place of a card of 225 W are no more than today; in the place of one of 116 W they are more
    than the supply is trusted with; where nobody knows the old one's load, it is asked before anything is
    connected."""
    # At the start a card draws 60 % and a processor half, each of three disks 2.8 A more.
    disks = 3 if rule is power_startup else 0
    for load_mw, verdict in ((225_000, "fits"), (116_000, "fails"), (None, "unknown")):
        problem = pc(load_mw, disks=disks)
        found = findings(rule, problem, exchanged(problem, graphics="g-new"))[0]
        assert (found.verdict, found.admits) == (verdict, verdict == "fits"), load_mw
        if load_mw is None:
            assert (found.question, found.blocks) == ("card:old card.load_mw", True)
            assert found.fact("gone") == "yes"
        assert agree(rule, problem)[0] > 0


@pytest.mark.parametrize("rule", [power_rail_12v, power_total])
@pytest.mark.parametrize("left_out", [False, True])
def test_a_card_without_a_place_or_left_out_is_gone_too(rule: Any, left_out: bool) -> None:
    """A slot of one lane has no place for the card. With a processor of 150 W (13.9 A at 12 V) more is drawn than
    the 7.8 A that are trusted, and less than today with a card of 225 W. With the card in its place and the
    processor of today nothing is added."""
    weak = replace(OLD, rail_12v_ma=(12000,), combined_12v_ma=12000, rated_w=200)
    survey = make_survey(
        psu=weak, cards=(card(None, required=False),), board=replace(OLD_BOARD, slots=BOARD.slots)
    )
    problem = make_problem(
        survey,
        Brief(budget="10000.00", leave_out=("old card",) if left_out else ()),
        boards=[BOARD, replace(BOARD, id="board-x1", slots=(Slot("x1", 1),))],
        cpus=[replace(CPU, id="strong", tdp_w=125, power_limit_w=150)],
        memory=[],
        coolers=[],
    )
    there = exchanged(problem, board="board-a")
    assert admitted(rule, problem, there)
    for board in ("board-a", "board-x1"):
        found = findings(rule, problem, exchanged(problem, board=board, cpu="strong"))[0]
        assert (found.verdict, found.blocks, found.question) == ("unknown", True, "card:old card.load_mw")
        gone = left_out or board == "board-x1"
        assert found.fact("gone") == ("yes" if gone else None)
    assert min(agree(rule, problem)) > 0


@pytest.mark.parametrize("load_mw", [None, 225_000, 100_000])
def test_single_rails_and_the_main_plug(load_mw: int | None) -> None:
    """Two rails of 16 A. Of 225 W a third, 5.5 A, comes through the slot and 13.1 A through the plugs, of 100 W
    2.7 and 5.5 A. In its place a card of 75 W without plugs takes 5.5 A from the slot: a main plug of 20 contacts
    (6 A, 6.6 A with a warning) carries no more than today only where the old card did so."""
    psu = replace(OLD, main_plug="20", rail_12v_ma=(16000, 16000), combined_12v_ma=None, cpu_rail=2)
    slot_card = replace(GRAPHICS, id="slot-card", height="full", power_plugs=(), load_mw=75_000)
    heavy = replace(NEW_CARD, id="heavy", power_plugs=("6", "6"), load_mw=220_000)
    survey = make_survey(psu=psu, cards=(card(load_mw),), board=replace(OLD_BOARD, slots=BOARD.slots))
    problem = make_problem(survey, BRIEF, boards=[], cpus=[], coolers=[], graphics=[slot_card, heavy])
    verdict = {None: "unknown", 225_000: "fits", 100_000: "fails"}[load_mw]
    for rule, key in ((power_main_plug, "slot-card"), (power_rails_12v, "heavy")):
        found = findings(rule, problem, exchanged(problem, graphics=key))[0]
        assert (found.verdict, found.admits) == (verdict, verdict == "fits"), (rule.ID, found)
        if load_mw is None:
            assert (found.question, found.blocks) == ("card:old card.load_mw", True)
            assert found.fact("gone") == "yes"
        agree(rule, problem)
