"""Complete PCs are judged by what is in them: with a graphics card and a cooler of their own too."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, CASE, COOLER, CPU, GRAPHICS, KIT, PSU, make_problem, make_survey

from partsolver.catalog.records import Bundle
from partsolver.plan.refurbished import complete_pcs
from partsolver.rules import all_rules
from partsolver.survey.model import Card
from partsolver.wishes.brief import Brief

OWN = Card(
    name="own card",
    kind="graphics",
    bus="pcie",
    outputs=("vga",),
    graphics_score=90,
    uefi=True,
    power_plugs=(),
)
CPU_PLAIN = replace(CPU, graphics_score=0)


def time_of(*more: str, score: int = 900) -> int:
    """Expected time of games on a complete PC with these parts beside board, processor and memory."""
    items = tuple((part, 1) for part in ("board-a", "cpu-a", "kit-a", "case-x", *more))
    bundle = Bundle("whole", "Whole PC", "complete-pc", items, "shop", 20000, condition="refurbished")
    problem = make_problem(
        make_survey(cards=(OWN,)),
        Brief(use="games"),
        boards=(BOARD,),
        cpus=(CPU_PLAIN,),
        memory=(KIT,),
        coolers=(COOLER,),
        cases=(replace(CASE, id="case-x"),),
        psus=(replace(PSU, id="psu-x"),),
        graphics=(replace(GRAPHICS, graphics_score=score),),
        bundles=(bundle,),
    )
    (found,) = complete_pcs(problem, all_rules())
    return found.time_ppm


def test_its_own_graphics_card_draws() -> None:
    # Time law: the share of graphics is reference score / score; the PC's own card has a tenth of it.
    assert time_of("graphics-a") < time_of()
    assert time_of("graphics-a", score=90) == time_of()


@pytest.mark.parametrize("other", ["cooler-a", "psu-x"])
def test_what_adds_no_time_changes_none(other: str) -> None:
    assert time_of(other) == time_of()
