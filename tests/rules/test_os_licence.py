"""os.licence. Outside: a system builder's licence does not move to a new board, a retail one may (vendor
licence FAQ quoted 2007-10-12; cases A25, A39); a no-cost system has no issue."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, agree, findings, make_problem, make_survey, needs_of, pick, plain_draft

from partsolver.base.errors import InputRefused
from partsolver.catalog.records import Extra
from partsolver.report.words.os import WORDS
from partsolver.report.words.record import Names
from partsolver.rules import os_licence as rule
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief

DEAR = Extra(id="licence-b", name="both", kind="os-licence", gives=("desktop-2021", "desktop-2015"))
OTHER = Extra(id="licence-a", name="other", kind="os-licence", gives=("desktop-2021",))


def _problem(licence="oem", family="desktop-2015", keep=True, extras=(OTHER, DEAR), software=(), **tables):
    survey = make_survey(
        os=OperatingSystem(family=family, licence=licence, keep=keep, tied_software=software)
    )
    return make_problem(survey, extras=extras, **tables)


@pytest.mark.parametrize("licence", ["oem", None])
def test_tied_licence_is_bought(licence):
    problem = _problem(licence)
    draft = plain_draft(rule, problem, pick(problem))
    assert draft.bought_for("os.licence", "licence").item == "licence-b"  # the only one for the family
    first, *more = rule.admits(draft, problem)
    assert (first.verdict, first.value, first.parts) == ("fits", "bought", ("board-a", "licence-b"))
    facts = (("family", "desktop-2015"), ("licence", licence or "unknown"))
    assert first.facts == facts and [need.facts for need in needs_of(rule, pick(problem), problem)] == [facts]
    # Where the kind is not known, the answer may save the money.
    assert [f.question for f in more] == ([] if licence else ["os.licence"])


@pytest.mark.parametrize(
    ("licence", "verdict", "move"),
    [
        ("retail", "fits", "before the swap"),
        ("account", "fits", "before the swap"),
        ("upgraded", "unknown", None),
        ("none-needed", "fits", None),
    ],
)
def test_other_licences_cost_nothing(licence, verdict, move):
    problem = _problem(licence)
    assert needs_of(rule, pick(problem), problem) == ()
    (found,) = findings(rule, problem)
    assert (found.verdict, found.fact("move"), found.admits) == (verdict, move, True)


def test_no_licence_offered_never_excludes():
    problem = _problem(extras=(OTHER,))
    assert needs_of(rule, pick(problem), problem) == ()
    (found,) = findings(rule, problem)
    assert (found.verdict, found.question, found.admits, found.fact("offered")) == (
        "unknown",
        "os.licence",
        True,
        "none",
    )
    admitted, refused = agree(rule, _problem(extras=(OTHER,), coolers=()))
    assert admitted > 0 and refused == 0


@pytest.mark.parametrize(
    ("family", "keep"), [("linux-x86-64-v2", True), ("none", True), ("desktop-2015", False)]
)
def test_irrelevant(family, keep):
    problem = _problem(family=family, keep=keep)
    assert findings(rule, problem) == () and needs_of(rule, pick(problem), problem) == ()


def test_present_board_keeps_its_licence():
    problem = _problem()
    parts = pick(problem, board="kept-board")  # all other parts may be replaced
    assert findings(rule, problem, parts) == () and needs_of(rule, parts, problem) == ()


@pytest.mark.parametrize("family", ["linux-x86-64-v2", "none"])
@pytest.mark.parametrize("board", ["board-a", "kept-board"])
def test_no_licence_to_move_where_the_present_system_needs_none(family: str, board: str) -> None:
    """A commercial system in place of a free one is paid for, on the present board as well (memory reference, 5.3:
    a licence belongs to a commercial system; a no-cost one has none)."""
    survey = make_survey(os=OperatingSystem(family=family, licence="none-needed"))
    brief = Brief(budget="10000.00", os="desktop-2015")
    problem = make_problem(survey, brief, extras=(OTHER, DEAR), coolers=())
    parts = pick(problem, board=board)
    (found,) = findings(rule, problem, parts)
    assert (found.verdict, found.value, found.parts) == ("fits", "bought", (board, "licence-b"))
    assert "needs a licence, which the present system does not" in WORDS[rule.ID].sentence(found, Names())
    assert agree(rule, problem)[1] == 0
    (asked,) = findings(rule, make_problem(survey, brief, extras=(OTHER,)), parts)
    assert (asked.verdict, asked.question, asked.admits) == ("unknown", "os.licence", True)
    free = make_problem(survey, Brief(budget="10000.00", os="linux-x86-64-v1"), extras=(OTHER, DEAR))
    assert findings(rule, free, parts) == ()


# The vendor's licence is for its generation (memory reference, 5.3: a licence of a commercial system); that of 2015 serves
# 2021 as well, both widths take one (standards/operating_systems, from memory).
@pytest.mark.parametrize(
    ("family", "wanted", "stated", "short"),
    [
        ("desktop-2009", "desktop-2015", None, "perhaps"),
        ("desktop-2009-32bit", "desktop-2015", None, "perhaps"),
        ("desktop-2021", "desktop-2015", None, "perhaps"),
        ("linux-x86-64-v1", "desktop-2015", None, "perhaps"),  # a label on the case, for what nobody said
        ("desktop-2015", "desktop-2021", None, ""),
        ("desktop-2015-32bit", "desktop-2015", None, ""),
        ("desktop-2015", None, None, ""),
        (None, "desktop-2015", None, ""),
        ("desktop-2009", "desktop-2015", ("desktop-2015",), ""),
        ("desktop-2009", "desktop-2021", ("desktop-2009", "desktop-2015-32bit"), ""),
        ("desktop-2009", "desktop-2015", ("desktop-2009",), "other"),
        ("desktop-2009", "desktop-2015", (), "other"),
        ("desktop-2015", None, ("desktop-2009",), "other"),
        ("desktop-2009", "linux-x86-64-v1", None, None),  # no licence matters
    ],
)
@pytest.mark.parametrize("licence", ["oem", "retail", "upgraded", None])
@pytest.mark.parametrize("board", ["board-a", "kept-board"])
def test_a_licence_of_another_generation(family, wanted, stated, short, licence, board):
    survey = make_survey(os=OperatingSystem(family=family, licence=licence, licence_for=stated))
    brief = Brief(budget="10000.00", os=wanted)
    problem = make_problem(survey, brief, extras=(OTHER, DEAR), coolers=())
    bare = make_problem(survey, brief, coolers=())
    parts = pick(problem, board=board)
    found = findings(rule, problem, parts)
    # On the present board nothing changes where no other system is asked for.
    free = board == "kept-board" and not (short and wanted)
    if short is None or free:
        assert found == () and findings(rule, bare, pick(bare, board=board)) == ()
        return
    bought = short != "" or licence in ("oem", None)
    assert [f.value for f in found][:1] == (
        ["bought"] if bought else [None] if licence == "upgraded" else [licence]
    )
    by_kind = ["os.licence"] if licence in (None, "upgraded") else []
    asked = {"perhaps": ["os.licence_for"], "other": [], "": by_kind}[short]
    assert [f.question for f in found if f.question] == asked
    assert all(f.admits and f.fact("generation") == (short or None) for f in found)
    said = [WORDS[rule.ID].sentence(f, Names()) for f in found]
    assert any("another generation than" in sentence for sentence in said) is (short != "")
    assert agree(rule, problem)[1] == 0
    # Nobody sells one: the price is left open.
    (open_price,) = findings(rule, bare, pick(bare, board=board))[:1]
    assert open_price.fact("offered") == ("none" if bought else None)
    assert agree(rule, bare)[1] == 0


def test_a_licence_for_a_family_that_there_is_not_is_refused():
    with pytest.raises(InputRefused, match="no such family"):
        make_problem(make_survey(os=OperatingSystem(family="desktop-2009", licence_for=("desktop-1895",))))


def test_tied_programs_are_a_fact():
    (found,) = findings(rule, _problem("retail", software=("accounts", "drawing")))
    assert found.fact("tied_programs") == 2


def test_agreement():
    # The rule never refuses: it only adds the licence to what is bought.
    problem = _problem(boards=[BOARD, replace(BOARD, id="board-b")], coolers=())
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused == 0
