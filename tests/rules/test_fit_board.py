"""fit.outline, fit.holes, fit.aperture, fit.cards: against the standards' tables and facts of the trade."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from needs_check import same_needs
from support import BOARD, CASE, OLD_BOARD, agree, findings, make_problem, make_survey, pick

from partsolver.catalog.records import Case, Extra
from partsolver.catalog.sockets import Slot
from partsolver.report.words.fit import QUESTIONS, WORDS
from partsolver.report.words.record import Names
from partsolver.rules import fit_aperture, fit_cards, fit_holes, fit_outline
from partsolver.survey.model import Card
from partsolver.wishes.brief import Brief

SET = Extra(id="standoff-set", name="Ten standoffs", kind="standoffs", count=10)
PAIR = Extra(id="standoff-pair", name="Two standoffs", kind="standoffs", count=2)
ONE = Extra(id="standoff-one", name="One standoff", kind="standoffs", count=1)
SHIELD = Extra(id="shield-a", name="Shield A", kind="io-shield", takes=("board-a",))


def problem_of(case: dict | None = None, board: dict | None = None, **more):
    survey = make_survey(case=replace(CASE, **(case or {})), **more.pop("survey", {}))
    return make_problem(survey, boards=(replace(BOARD, **(board or {})),), **more)


def present(problem):
    return pick(problem, board="kept-board", cpu="kept-cpu", memory="kept-memory", cooler="kept-cooler")


def said(rule, found) -> list[str]:
    """Every finding has a sentence, every question an answer; no sentence shows a missing value."""
    sentences = [WORDS[rule.ID].sentence(f, Names()) for f in found]
    assert all("None" not in s and s.endswith(".") for s in sentences), sentences
    for finding in found:
        if finding.question:
            table, _, fact = finding.question.partition(".")
            assert f"{table.partition(':')[0]}.{fact}" in QUESTIONS
    return sentences


# -- outline ------------------------------------------------------------------------------------------------------

BOARD_SIZES = {
    "atx": (305, 244),
    "microatx": (244, 244),
    "flexatx": (229, 191),
    "mini-itx": (170, 170),
    "ssi-ceb": (305, 267),
}


@pytest.mark.parametrize(
    ("tray", "form", "verdict"),
    [
        ("atx", "atx", "fits"),
        ("atx", "microatx", "fits"),  # common practice: a microATX board goes into an ATX case ...
        (
            "microatx",
            "atx",
            "fails",
        ),  # ... and not the other way round; microATX specification 1.2, section 1.5
        ("atx", "mini-itx", "fits"),  # Mini-ITX Addendum 1.1, section 2.4.1
        ("flexatx", "microatx", "fails"),
        ("mini-itx", "flexatx", "fails"),
        ("btx", "microatx", "fails"),  # another opening and other holes
        ("atx", "own", "fails"),
        ("own", "atx", "fails"),
    ],
)
def test_form_decides(tray: str, form: str, verdict: str) -> None:
    width, depth = BOARD_SIZES.get(form, (240, 200))
    problem = problem_of(
        {"form_factor": tray, "max_board_width_mm": None, "max_board_depth_mm": 280},
        {"form_factor": form, "width_mm": width, "depth_mm": depth},
    )
    found = findings(fit_outline, problem)
    assert found[0].verdict == verdict
    if verdict == "fails":
        assert (found[0].value, found[0].limit) == (form, tray)
    said(fit_outline, found)


# A short case: the new board ran into the drive cage (case A01 of the reports).
@pytest.mark.parametrize(
    ("free", "verdict", "margin"), [(220, "fits", 0), (219, "fails", -1), (244, "fits", 24)]
)
def test_measured_depth_decides_over_the_form(free: int, verdict: str, margin: int) -> None:
    depth = findings(fit_outline, problem_of({"max_board_depth_mm": free}))[1]
    assert (depth.verdict, depth.margin, depth.value, depth.limit, depth.unit) == (
        verdict,
        margin,
        220,
        free,
        "mm",
    )
    assert depth.facts == (("basis", "measured"), ("edge", "depth"))


def test_wide_board_fails_and_unmeasured_depths() -> None:
    wide = problem_of({"max_board_width_mm": 243})
    measured = findings(fit_outline, wide)[0]
    assert (measured.margin, measured.facts) == (-1, (("basis", "measured"), ("edge", "width")))
    # A microATX case is made for boards 244 mm wide (microATX specification 1.2, section 1.5).
    nominal = findings(fit_outline, problem_of({"max_board_width_mm": None}))[0]
    assert (nominal.limit, nominal.facts) == (244, (("basis", "form"), ("edge", "width")))
    # Not measured: 220 mm is certain where the present board is as deep, 170 mm (Mini-ITX) in any such case.
    same = findings(fit_outline, problem_of({"max_board_depth_mm": None}))[1]
    assert (same.verdict, same.margin, same.fact("basis")) == ("fits", 0, "present board")
    shallow = make_survey(case=replace(CASE, max_board_depth_mm=None), board=replace(OLD_BOARD, depth_mm=185))
    asked = findings(fit_outline, make_problem(shallow))[1]
    assert (asked.verdict, asked.blocks, asked.question) == ("unknown", False, "case.max_board_depth_mm")
    assert asked.fact("certain_mm") == 185
    small = make_problem(
        shallow, boards=(replace(BOARD, form_factor="mini-itx", width_mm=170, depth_mm=170),)
    )
    assert [f.verdict for f in findings(fit_outline, small)] == ["fits", "fits"]
    said(fit_outline, (asked, same))


def test_ceb_board_needs_a_measured_atx_case() -> None:
    # SSI CEB is 266.7 mm deep: goes into an ATX case only where that depth is clear (SSI EEB 2011, secondary
    # source).
    ceb = {"form_factor": "ssi-ceb", "width_mm": 305, "depth_mm": 267}
    for free, verdict in ((267, "fits"), (266, "fails"), (None, "unknown")):
        problem = problem_of(
            {"form_factor": "atx", "max_board_width_mm": 305, "max_board_depth_mm": free}, ceb
        )
        assert findings(fit_outline, problem)[-1].verdict == verdict


def test_present_pair_stays_and_own_shape_is_tied_to_its_case() -> None:
    survey = make_survey(board=replace(OLD_BOARD, form_factor="own"), case=replace(CASE, form_factor="own"))
    other = Case(id="case-b", name="Case B", form_factor="atx", max_board_depth_mm=300, standoffs_fixed=())
    problem = make_problem(survey, Brief(budget="10000.00", replace=("case",)), cases=(other,))
    kept = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "cooler": "kept-cooler"}
    assert findings(fit_outline, problem, present(problem))[0].verdict == "fits"
    assert findings(fit_outline, problem, pick(problem, **kept, case="case-b"))[0].verdict == "fails"
    assert agree(fit_outline, problem)[1] > 0


def outline_catalogue():
    boards = (
        BOARD,
        replace(BOARD, id="b-atx", form_factor="atx", width_mm=305, depth_mm=244),
        replace(BOARD, id="b-ceb", form_factor="ssi-ceb", width_mm=305, depth_mm=267),
        replace(BOARD, id="b-deep", depth_mm=244),
        replace(BOARD, id="b-own", form_factor="own"),
    )
    cases = (
        Case(id="c-atx", name="A", form_factor="atx", max_board_depth_mm=267),
        Case(id="c-open", name="B", form_factor="atx"),
        Case(id="c-narrow", name="C", form_factor="microatx", max_board_width_mm=240),
        Case(id="c-own", name="D", form_factor="own"),
    )
    survey = make_survey(
        case=replace(CASE, max_board_depth_mm=230),
        board=replace(OLD_BOARD, form_factor=None, depth_mm=None, width_mm=None),
    )
    return make_problem(
        survey,
        Brief(budget="10000.00", replace=("case",)),
        boards=boards,
        cases=cases,
        cpus=(),
        memory=(),
        coolers=(),
    )


def test_outline_statements_agree() -> None:
    assert min(agree(fit_outline, outline_catalogue())) > 0


@settings(max_examples=8, deadline=None)
@given(
    st.integers(170, 330),
    st.one_of(st.none(), st.integers(170, 330)),
    st.sampled_from(["atx", "microatx", None, "own"]),
)
def test_outline_agrees_on_any_size(depth: int, free: int | None, tray: str | None) -> None:
    agree(fit_outline, problem_of({"form_factor": tray, "max_board_depth_mm": free}, {"depth_mm": depth}))


# -- holes --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "depth", "held", "front", "left"),
    [
        # microATX in a pure ATX tray: six holes hold it, 80 mm of the left side hang free (reference section
        # 2, derived there from [microATX specification 1.2, figure 2]); 244 - 237.49 = 6.5 mm at the front.
        (244, 244, "C F H J L M", 7, 80),
        # L and M need 242.6 mm of depth: 60 mm of the front hang free (226 - 165.1).
        (244, 226, "C F H J", 61, 80),
    ],
)
def test_microatx_board_in_an_atx_tray(width: int, depth: int, held: str, front: int, left: int) -> None:
    tray = {"form_factor": "atx", "standoffs": tuple("ACFGHJKLM"), "standoff_positions": tuple("ACFGHJKLM")}
    finding = findings(fit_holes, problem_of(tray, {"width_mm": width, "depth_mm": depth}))[0]
    assert (finding.verdict, finding.value, finding.fact("held")) == ("fits", len(held.split()), held)
    assert (finding.fact("unsupported_front_mm"), finding.fact("unsupported_left_mm")) == (front, left)
    # A, G and K stand 44 mm to the left of the board, L and M 6 mm before a shorter one: they touch nothing.
    assert finding.fact("remove") is None


@pytest.mark.parametrize(
    ("width", "depth", "removed"),
    [
        (244, 244, "B R"),  # drilled at neither place
        (215, 244, "B"),  # R at 229.87 mm, its pad to 224.79 mm: beyond 215 mm
        (225, 244, "B R"),  # and partly under 225 mm
    ],
)
def test_standoffs_under_the_board_without_a_hole_go(width: int, depth: int, removed: str) -> None:
    # They can short traces (microATX specification 1.2, page 10; case A07).
    tray = {"standoffs": tuple("ABCFHJLMR"), "standoff_positions": tuple("ABCFHJLMR")}
    board = {"width_mm": width, "depth_mm": depth, "holes": tuple("CFHJLM")}
    finding = findings(fit_holes, problem_of(tray, board))[0]
    assert finding.fact("remove") == removed
    assert "take out" in said(fit_holes, (finding,))[0]


def test_facts_of_the_base_pc() -> None:
    # 244 x 220 mm: B C F H J R S; S of a full-width board may be missing (table 4); the tray has L and M to
    # spare.
    finding = findings(fit_holes, problem_of())[0]
    assert (finding.value, finding.limit, finding.margin, finding.unit) == (6, 4, 2, "holes")
    assert dict(finding.facts) == {
        "held": "B C F H J R",
        "look": "S",
        "prop": "yes",
        "unsupported_front_mm": 55,
        "unsupported_left_mm": 14,
    }


@pytest.mark.parametrize("unmeasured", ["width_mm", "depth_mm"])
def test_no_overhang_of_a_board_that_nobody_measured(unmeasured: str) -> None:
    """It may lie over L and M, where it has no hole."""
    finding = findings(fit_holes, problem_of(board={unmeasured: None, "holes": tuple("BCFHJR")}))[0]
    assert dict(finding.facts) == {"held": "B C F H J R", "remove": "L M"}


@pytest.mark.parametrize(("places", "verdict", "margin"), [("CFHJ", "fits", 0), ("CFH", "fails", -1)])
def test_least_number_of_held_holes(places: str, verdict: str, margin: int) -> None:
    tray = {"standoffs": tuple(places), "standoff_positions": tuple(places)}
    finding = findings(fit_holes, problem_of(tray))[0]
    assert (finding.verdict, finding.margin) == (verdict, margin)
    small = findings(fit_holes, problem_of(tray, {"holes": ("C", "F", "H")}))[0]
    assert (small.verdict, small.limit) == ("fits", 3)  # a board of three holes needs its three
    said(fit_holes, (finding, small))


@pytest.mark.parametrize(
    ("fixed", "holes", "verdict", "blocks"),
    [
        ("S", "BCFHJR", "fails", False),  # a short: case A07
        ("A", None, "fits", False),  # 44 mm beyond the board
        ("L", None, "fits", False),  # L at 237.49 mm, its pad to 232.4 mm: beyond 220 mm
        ("S", None, "unknown", True),  # S may be missing on a full-width microATX board
        ("CS", None, "unknown", True),  # C has its hole: S alone is told
        ("S", "BCFHJRS", "fits", False),
        ("C", None, "fits", False),
    ],
)
def test_fixed_standoffs(fixed: str, holes: str | None, verdict: str, blocks: bool) -> None:
    case = {"standoffs_fixed": tuple(fixed)}
    found = findings(fit_holes, problem_of(case, {"holes": None if holes is None else tuple(holes)}))
    assert (found[0].verdict, found[0].blocks) == (verdict, blocks)
    assert found[0].fact("short") == (None if verdict == "fits" else "S")
    said(fit_holes, found)


def test_unknown_tray_and_board() -> None:
    dark = findings(
        fit_holes, problem_of({"standoffs": None, "standoff_positions": None, "standoffs_fixed": None})
    )
    assert [f.verdict for f in dark] == ["fits", "unknown"] and dark[1].question == "case.standoffs"
    unheld = findings(
        fit_holes, problem_of({"form_factor": "ssi-eeb", "standoffs": None, "standoff_positions": None})
    )
    assert unheld[0].question == "case.standoff_positions" and unheld[0].admits
    odd = problem_of(
        {"standoffs_fixed": ("C",)}, {"form_factor": "ssi-eeb", "width_mm": 305, "depth_mm": 330}
    )
    assert (findings(fit_holes, odd)[0].question, findings(fit_holes, odd)[0].blocks) == (
        "board:board-a.holes",
        True,
    )
    loose = findings(fit_holes, problem_of({"standoffs_fixed": None}, {"holes": tuple("CFHJR")}))
    assert [f.question for f in loose] == [None, "case.standoffs_fixed"]
    # Nothing comes out, or it is known which standoffs do: nothing to ask.
    for tray in (
        {"standoffs": tuple("CFHJ"), "standoffs_fixed": None},
        {"standoffs": tuple("CFHJS"), "standoffs_fixed": ("C",)},
    ):
        assert [f.question for f in findings(fit_holes, problem_of(tray, {"holes": tuple("CFHJR")}))] == [
            None
        ]
    said(fit_holes, (*dark, *unheld, *loose, *findings(fit_holes, odd)))
    assert findings(fit_holes, problem_of(), present(problem_of()))[0].facts == (("today", "yes"),)


def test_standoffs_are_bought_only_where_the_removed_ones_do_not_suffice() -> None:
    tray = {"standoffs": ("C", "F", "L"), "standoff_positions": tuple("BCFHJLMRS")}
    # To add B H J R, one (L) comes free: three are missing.
    problem = problem_of(tray, extras=(PAIR, SET, ONE))
    need = fit_holes.needs(pick(problem), problem)[0]
    assert need.options == (("standoff-one", 3), ("standoff-pair", 2), ("standoff-set", 1))
    assert need.facts == (("missing", 3),)
    problem = problem_of(tray, extras=(PAIR, SET))
    finding = findings(fit_holes, problem)[0]
    assert (finding.fact("add"), finding.fact("remove"), finding.fact("bought")) == (
        "B H J R",
        "L",
        "standoff-set",
    )
    nobody = problem_of(tray)
    assert fit_holes.needs(pick(nobody), nobody) == () and findings(fit_holes, nobody)[0].verdict == "fits"
    spare = problem_of({"standoffs": tuple("CFLM"), "standoff_positions": tuple("CFHJLM")}, extras=(SET,))
    assert fit_holes.needs(pick(spare), spare) == ()  # L and M go to H and J
    # L, M and R stand under the board where it has no hole: three come out, and none goes in.
    full = {"standoffs": tuple("BCFHJLMR"), "standoff_positions": tuple("BCFHJLMR")}
    more = problem_of(full, {"depth_mm": 244, "holes": tuple("BCFHJS")}, extras=(SET,))
    assert fit_holes.needs(pick(more), more) == ()


def holes_catalogue(**case):
    boards = (
        BOARD,
        replace(BOARD, id="b-itx", form_factor="mini-itx", width_mm=170, depth_mm=170),
        replace(BOARD, id="b-atx", form_factor="atx", width_mm=305, depth_mm=244),
        replace(BOARD, id="b-narrow", form_factor="atx", width_mm=280, depth_mm=244),
        replace(BOARD, id="b-eeb", form_factor="ssi-eeb", width_mm=305, depth_mm=330),
        replace(BOARD, id="z-two", holes=("C", "G")),  # behind the present board
    )
    cases = (
        Case(id="c-new", name="New", form_factor="atx"),
        Case(id="c-pegs", name="P", form_factor="atx", standoffs_fixed=("S",)),
        Case(id="c-edge", name="E", form_factor="atx", standoffs=("C",), standoffs_fixed=("A", "K")),
    )
    survey = make_survey(case=replace(CASE, **case), board=replace(OLD_BOARD, holes=None, depth_mm=None))
    return make_problem(
        survey,
        Brief(budget="10000.00", replace=("case",)),
        boards=boards,
        cases=cases,
        cpus=(),
        memory=(),
        coolers=(),
        extras=(SET, PAIR, ONE),
    )


@pytest.mark.parametrize(
    "case",
    [
        {"standoffs": tuple("CFJ"), "standoffs_fixed": ("R",), "standoff_positions": tuple("CFHJR")},
        {"standoffs": ("C",), "standoff_positions": tuple("CFH")},
        {"standoffs": ("C",), "standoff_positions": tuple("CFHJ")},  # four: just enough
        {"standoffs": None, "standoff_positions": None, "standoffs_fixed": None},
    ],
)
def test_holes_statements_agree(case: dict) -> None:
    problem = holes_catalogue(**case)
    assert min(agree(fit_holes, problem)) > 0
    same_needs(fit_holes, problem)


@pytest.mark.parametrize(
    ("board", "places", "refused"),
    [
        # S of a full-width microATX board is optional: C, F and H alone are three of the four wanted.
        ({}, "CFHS", 1),
        # A narrow ATX board that does not reach H and J: C and F are certain, and both are held; B, R and S may be
        # there, and need no standoff.
        ({"form_factor": "atx", "depth_mm": 140}, "CF", 0),
    ],
)
def test_a_hole_that_may_not_have_been_drilled_holds_nothing(board: dict, places: str, refused: int) -> None:
    tray = {"standoffs": ("C",), "standoff_positions": tuple(places)}
    problem = problem_of(tray, board, cpus=(), memory=(), coolers=())
    assert findings(fit_holes, problem)[0].verdict == ("fails" if refused else "fits")
    assert agree(fit_holes, problem) == (2 - refused, refused)


# -- rear opening -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("opening", "verdict"),
    [("atx", "fits"), ("fixed", "fails"), ("none", "fails"), ("btx", "fails"), (None, "unknown")],
)
def test_opening(opening: str | None, verdict: str) -> None:
    # A stamped panel had to be cut with a rotary tool (case A53); the BTX shield is 169.98 x 39.89 mm, the
    # ATX opening 158.75 x 44.45 mm (microATX specification 1.2, figure 4): not interchangeable.
    problem = problem_of({"aperture": opening})
    finding = findings(fit_aperture, problem)[0]
    assert (finding.verdict, finding.value) == (verdict, None if opening is None else opening)
    assert finding.admits == (verdict != "fails")
    assert findings(fit_aperture, problem, present(problem))[0].verdict == "fits"
    said(fit_aperture, (finding,))


@pytest.mark.parametrize(
    ("shield", "extras", "fact"),
    [
        ("included", (SHIELD,), "included"),
        ("integrated", (), "integrated"),
        ("missing", (SHIELD,), "bought"),
        ("missing", (), "missing"),
        (
            "missing",
            (replace(SHIELD, takes=("board-b",)),),
            "missing",
        ),  # another board's shield does not serve
    ],
)
def test_shield(shield: str, extras: tuple, fact: str) -> None:
    problem = problem_of(board={"shield": shield}, extras=extras)
    finding = findings(fit_aperture, problem)[0]
    assert (finding.verdict, finding.fact("shield"), finding.fact("bought")) == (
        "fits",
        fact,
        "shield-a" if fact == "bought" else None,
    )
    caution = WORDS["fit.aperture"].caution
    assert caution is not None and (caution(finding, Names()) is not None) == (fact == "missing")
    said(fit_aperture, (finding,))


def test_unknown_shield_is_asked() -> None:
    found = findings(fit_aperture, problem_of(board={"shield": None}, extras=(SHIELD,)))
    assert [f.question for f in found] == [None, "board:board-a.shield"]
    said(fit_aperture, found)


@pytest.mark.parametrize("opening", ["atx", "fixed", None])
def test_aperture_statements_agree(opening: str | None) -> None:
    boards = (
        replace(BOARD, shield="missing"),
        replace(BOARD, id="b-b", shield="missing"),
        replace(BOARD, id="b-c", shield=None),
    )
    cases = (Case(id="c-fixed", name="F", form_factor="atx", aperture="fixed"),)
    survey = make_survey(case=replace(CASE, aperture=opening), board=replace(OLD_BOARD, shield="missing"))
    brief = Brief(budget="10000.00", replace=("case",))
    problem = make_problem(
        survey,
        brief,
        boards=boards,
        cases=cases,
        cpus=(),
        memory=(),
        coolers=(),
        extras=(SHIELD, replace(SHIELD, id="shield-2", takes=("board-a", "kept-board"))),
    )
    assert min(agree(fit_aperture, problem)) > 0
    assert (same_needs(fit_aperture, problem)[0] > 0) == (opening != "fixed")


# -- cards --------------------------------------------------------------------------------------------------------

NETWORK = Card(
    name="network", kind="network", bus="pcie", lanes=1, height="full", width_slots=1, length_mm=120
)
TV = Card(name="tv", kind="tv", bus="pci", height="full", width_slots=1, length_mm=150)


def cards_of(*cards: Card, board: dict | None = None, case: dict | None = None):
    return problem_of(case, board, survey={"cards": cards})


def test_cards_irrelevant_and_inside() -> None:
    assert findings(fit_cards, cards_of()) == ()
    finding = findings(fit_cards, cards_of(NETWORK))[0]
    assert (finding.verdict, finding.value, finding.limit, finding.margin, finding.unit) == (
        "fits",
        1,
        1,
        0,
        "cards",
    )


@pytest.mark.parametrize(
    ("card", "board", "case", "why"),
    [
        (TV, {}, {}, "kind"),  # a board without PCI slots
        (NETWORK, {}, {"slot_height": "low"}, "bracket"),  # 120 mm bracket, 79.2 mm opening (PCI low profile)
        (NETWORK, {}, {"max_card_length_mm": 119}, "length"),
        (NETWORK.model_copy(update={"lanes": 4}), {"slots": (Slot("x1", 1),)}, {}, "kind"),
        (NETWORK.model_copy(update={"width_slots": 3}), {}, {"slot_openings": 2}, "taken"),
    ],
)
def test_a_needed_card_without_a_place_fails_and_an_optional_one_is_a_fact(
    card: Card, board: dict, case: dict, why: str
) -> None:
    finding = findings(fit_cards, cards_of(card, board=board, case=case))[0]
    assert (finding.verdict, finding.margin) == ("fails", -1)
    assert finding.facts == (("left", card.name), ("why", why))
    spare = findings(
        fit_cards, cards_of(card.model_copy(update={"required": False}), board=board, case=case)
    )[0]
    assert (spare.verdict, spare.facts) == ("fits", (("left_optional", card.name),))
    said(fit_cards, (finding, spare))


def test_cards_unknown_facts_and_present_pair() -> None:
    dark = NETWORK.model_copy(update={"bus": None, "lanes": None})
    found = findings(fit_cards, cards_of(dark, case={"slot_openings": None}))
    assert [f.question for f in found] == [None, "card.bus", "case.slot_openings"] and all(
        f.admits for f in found
    )
    problem = cards_of(TV)
    assert findings(fit_cards, problem, present(problem))[0].verdict == "fits"
    said(fit_cards, found)


def test_cards_statements_agree() -> None:
    boards = (
        BOARD,
        replace(BOARD, id="b-pci", slots=(Slot("x16", 16), Slot("pci", 0), Slot("x1", 1))),
        replace(BOARD, id="b-none", slots=()),
        replace(BOARD, id="b-dark", slots=None),
    )
    cases = (
        Case(id="c-low", name="L", form_factor="microatx", slot_height="low", slot_openings=4),
        Case(id="c-full", name="F", form_factor="atx", slot_height="full", slot_openings=2),
    )
    survey = make_survey(cards=(NETWORK, TV), board=replace(OLD_BOARD, slots=()))
    problem = make_problem(
        survey,
        Brief(budget="10000.00", replace=("case",)),
        boards=boards,
        cases=cases,
        cpus=(),
        memory=(),
        coolers=(),
    )
    assert min(agree(fit_cards, problem)) > 0
