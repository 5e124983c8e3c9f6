"""Standoffs to put in and to take out, by hand (microATX interface specification 1.2, figure 2: letters and places).

A standoff under the board where it has no hole can short it out: it comes out. One beyond the edge touches nothing, and is
moved only where it is wanted elsewhere.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE

from partsolver.assembly.tray import board_holes, standing_under, standoff_changes, standoff_places

MICRO = replace(BOARD, form_factor="microatx", width_mm=244, depth_mm=244, holes=None)


def letters(text: str) -> frozenset[str]:
    return frozenset(text)


@pytest.mark.parametrize(
    ("facts", "certain", "possible"),
    [
        ({"holes": tuple("CFHJ")}, "CFHJ", "CFHJ"),
        # Of full width R is there and S may be.
        ({}, "BCFHJLMR", "BCFHJLMRS"),
        # A form of fixed size has its own set.
        ({"form_factor": "mini-itx", "width_mm": 170, "depth_mm": 170}, "CFHJ", "CFHJ"),
        # A full ATX board has A; one too narrow for it may have been drilled as a microATX board is.
        ({"form_factor": "atx", "width_mm": 305, "depth_mm": 244}, "ACFGHJKLM", "ACFGHJKLM"),
        ({"form_factor": "atx", "width_mm": 244, "depth_mm": 244}, "CFHJLM", "BCFHJLMRS"),
    ],
)
def test_holes_that_are_certain_and_that_may_be(facts: dict[str, Any], certain: str, possible: str) -> None:
    assert board_holes(replace(MICRO, **facts)) == (letters(certain), letters(possible))


@pytest.mark.parametrize(
    "facts", [{"form_factor": None}, {"form_factor": "ssi-eeb"}, {"width_mm": None}, {"depth_mm": None}]
)
def test_holes_that_nobody_knows(facts: dict[str, Any]) -> None:
    assert board_holes(replace(MICRO, **facts)) is None


def test_what_stands_under_a_board() -> None:
    """A, G and K stand at the left edge of an ATX tray, beyond a board of 244 mm; all where its size is not known."""
    everything = letters("ABCFGHJKLMRS")
    assert standing_under(MICRO, everything) == everything - letters("AGK")
    assert standing_under(replace(MICRO, width_mm=None), everything) == everything
    assert standing_under(replace(MICRO, depth_mm=None), everything) == everything


def test_places_of_a_tray() -> None:
    """Stated, else those of its form; and whatever stands there."""
    stated = replace(CASE, standoff_positions=tuple("CF"), standoffs=tuple("H"), standoffs_fixed=tuple("J"))
    assert standoff_places(stated) == letters("CFHJ")
    usual = replace(
        CASE, form_factor="mini-itx", standoff_positions=None, standoffs=None, standoffs_fixed=None
    )
    assert standoff_places(usual) == letters("CFHJ")
    assert standoff_places(replace(usual, form_factor="own")) == frozenset()


@pytest.mark.parametrize(
    ("standing", "fixed", "places", "add", "remove", "missing"),
    [
        # All that it needs stands there.
        ("BCFHJLMR", "", "BCFHJLMR", "", "", 0),
        # S may be there: it stays. G lies beyond the edge: it stays too.
        ("BCFHJLMRSG", "", "BCFHJLMRSG", "", "", -1),
        # B is missing, and G is moved to it.
        ("CFHJLMRG", "", "BCFHJLMRG", "B", "G", 0),
        # Two are missing, one is there to be moved: one has to be found.
        ("CFHJLRG", "", "BCFHJLMRG", "BM", "G", 1),
        # Nothing is put where the tray has no place for it.
        ("CFHJLMR", "", "CFHJLMR", "", "", 0),
        # Pressed into the tray: cannot be moved.
        ("CFHJLMR", "G", "BCFHJLMRG", "B", "", 1),
        ("", "BCFHJLMR", "BCFHJLMR", "", "", 0),
    ],
)
def test_standoffs_that_move(
    standing: str, fixed: str, places: str, add: str, remove: str, missing: int
) -> None:
    case = replace(
        CASE, standoffs=tuple(standing), standoffs_fixed=tuple(fixed), standoff_positions=tuple(places)
    )
    holes = board_holes(MICRO)
    assert holes is not None
    assert standoff_changes(holes, MICRO, case) == (letters(add), letters(remove), missing)


def test_a_standoff_under_the_board_without_a_hole_comes_out() -> None:
    """A board with six holes in a tray of nine: L, M and R stand under it, and S goes in nowhere."""
    board = replace(MICRO, holes=tuple("BCFHJS"))
    holes = board_holes(board)
    assert holes is not None
    case = replace(
        CASE, standoffs=tuple("BCFHJLMR"), standoffs_fixed=(), standoff_positions=tuple("BCFHJLMR")
    )
    assert standoff_changes(holes, board, case) == (frozenset(), letters("LMR"), -3)
    # S has a place there: one of the three goes to it.
    wide = replace(case, standoff_positions=tuple("BCFHJLMRS"))
    assert standoff_changes(holes, board, wide) == (letters("S"), letters("LMR"), -2)
