"""What is assumed is said only of what it says something of."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import SELLER, make_catalog, make_survey, pick

from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.plan.assumed import assumptions
from partsolver.plan.draft import Draft, Line, Need
from partsolver.problem.join import join
from partsolver.report.hoped import assumed_lines
from partsolver.solve.recommend import recommend
from partsolver.survey.load import load_survey
from partsolver.wishes.brief import Brief


def test_nothing_is_assumed_of_a_licence_that_only_an_adapter_has() -> None:
    survey, brief = load_survey(data_folder() / "demo-survey.toml")
    problem = join(survey, load_catalog(data_folder() / "demo"), brief)
    plans = recommend(problem).plans
    bought = {line.item for plan in plans for line in plan.draft.lines}
    assert {problem.extras[item].kind for item in bought if item in problem.extras} >= {"os-licence"}
    for plan in plans:
        for item in assumptions(problem, plan.draft):
            if item.table == "extras":
                kind = problem.extras[item.id].kind
                assert item.column != "active" or kind == "display-adapter"
                assert item.column != "low_profile" or kind.endswith(("controller", "bracket", "card"))
        said = " ".join(assumed_lines(problem, plan.draft, problem.names))
        assert "converts" not in said and "convert actively" not in said and "0.00" not in said


# -- each kind of entry, on a problem made for it -------------------------------------------------------------------


def said(
    lines: tuple[Line, ...], entries: frozenset[tuple[str, str, str]] = frozenset(), **tables: Any
) -> list[tuple[str, str, str, object]]:
    """What is assumed of a draft with these lines, in a catalogue with these assumed cells."""
    catalog = replace(make_catalog(**tables), assumed=entries)
    problem = join(make_survey(), catalog, Brief(budget="10000.00"))
    draft = Draft(pick(problem), lines, (), 0, 0)
    return [(one.table, one.id, one.column, one.value) for one in assumptions(problem, draft)]


OTHER = Seller(id="other", name="Other", delivery_days=9)
SILENT = Offer(part="board-a", seller="shop", price=1000, condition=None)
NEW = Offer(part="board-a", seller="shop", price=1000, condition="new")


def board_line(offer: Offer | None = NEW, bundle: Bundle | None = None) -> Line:
    return Line("board-a" if bundle is None else bundle.id, 1, 1000, "board", None, offer, bundle)


def test_only_of_the_sellers_of_the_plan() -> None:
    entries = frozenset({("sellers", name, "delivery_days") for name in ("shop", "other")})
    assert said((board_line(),), entries, sellers=(SELLER, OTHER), offers=[NEW]) == [
        ("sellers", "shop", "delivery_days", 3)
    ]
    elsewhere = replace(NEW, seller="other")
    assert said((board_line(elsewhere),), entries, sellers=(SELLER, OTHER), offers=[elsewhere]) == [
        ("sellers", "other", "delivery_days", 9)
    ]
    assert said((), entries, offers=[NEW]) == []


def test_goods_whose_state_nobody_stated_are_taken_to_be_new() -> None:
    """What a shop says nothing of is new, and that is said; what it says, and what is used, is not assumed."""
    assert said((board_line(),), offers=[SILENT]) == [("offers", "board-a", "condition", "new")]
    assert said((board_line(),), offers=[NEW]) == []
    used = replace(NEW, condition="used")
    assert said((board_line(used),), offers=[used]) == []
    # Of another price, of another seller, of another part: not this offer.
    for other in ({"price": 999}, {"seller": "other"}, {"part": "cpu-a"}):
        assert said((board_line(),), sellers=(SELLER, OTHER), offers=[NEW, replace(SILENT, **other)]) == []


@pytest.mark.parametrize(("stated", "assumed"), [(None, True), ("new", False)])
def test_a_set_whose_state_nobody_stated(stated: str | None, assumed: bool) -> None:
    bundle = Bundle("set", "Set", "parts", (("board-a", 1),), "shop", 900, condition=stated)
    found = said((board_line(None, replace(bundle, condition="new")),), bundles=(bundle,))
    assert found == ([("bundles", "set", "condition", "new")] if assumed else [])
    # What the dictionary assumes of a set; a part that it covers has no source of its own.
    entries = frozenset({("bundles", "set", "stock")})
    covered = Line("board-a", 1, 0, "board")
    lines = (board_line(None, replace(bundle, condition="new")), covered)
    assert [row[:3] for row in said(lines, entries, bundles=(bundle,)) if row[2] == "stock"] == [
        ("bundles", "set", "stock")
    ]


@pytest.mark.parametrize(
    ("kind", "column", "says"),
    [
        ("display-adapter", "active", True),
        ("sata-lead", "active", False),
        ("sata-controller", "low_profile", True),
        ("m2-card", "low_profile", True),
        ("display-adapter", "low_profile", False),
        ("sata-lead", "count", True),
        ("os-licence", "count", True),
    ],
)
def test_what_is_assumed_of_an_extra_says_something_of_its_kind(kind: str, column: str, says: bool) -> None:
    extra = Extra("extra-a", "Extra A", kind=kind)
    offer = Offer(part="extra-a", seller="shop", price=500, condition="new")
    line = Line("extra-a", 1, 500, None, Need("r.r", "k", kind, ()), offer)
    found = said((line,), frozenset({("extras", "extra-a", column)}), extras=(extra,))
    assert found == ([("extras", "extra-a", column, getattr(extra, column))] if says else [])


@pytest.mark.parametrize(
    ("kind", "says"), [("firmware-update", False), ("os-licence", True), ("paste", True)]
)
def test_work_is_neither_new_nor_used(kind: str, says: bool) -> None:
    extra = Extra("extra-a", "Extra A", kind=kind)
    silent = Offer(part="extra-a", seller="shop", price=500, condition=None)
    line = Line("extra-a", 1, 500, None, Need("r.r", "k", kind, ()), replace(silent, condition="new"))
    found = said((line,), extras=(extra,), offers=[silent, NEW])
    assert found == ([("offers", "extra-a", "condition", "new")] if says else [])
