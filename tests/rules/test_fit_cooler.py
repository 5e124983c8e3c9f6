"""fit.cooler_height, fit.cooler_mount, fit.cooler_power, fit.paste."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from needs_check import same_needs
from support import (
    BOARD,
    CASE,
    COOLER,
    CPU,
    KIT,
    MEMORY,
    OLD_BOARD,
    OLD_COOLER,
    OLD_CPU,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
)

from partsolver.catalog.records import Case, Extra, Offer
from partsolver.plan.complete import complete
from partsolver.report.words.fit import QUESTIONS, WORDS
from partsolver.report.words.record import Names
from partsolver.rules import (
    fit_cooler_height,
    fit_cooler_memory,
    fit_cooler_mount,
    fit_cooler_power,
    fit_paste,
)
from partsolver.survey.model import Pc
from partsolver.wishes.brief import Brief

PASTE = Extra(id="paste", name="Thermal paste", kind="thermal-paste")
KEPT = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "cooler": "kept-cooler"}
SMALL = {"memory": ()}  # fewer combinations: memory does not matter here


def one(rule, problem, **keys: str):
    """The only finding; it has a sentence, and its question an answer."""
    (finding,) = findings(rule, problem, pick(problem, **keys))
    sentence = WORDS[rule.ID].sentence(finding, Names())
    assert "None" not in sentence and sentence.endswith("."), sentence
    if finding.question:
        table, _, fact = finding.question.partition(".")
        assert f"{table.partition(':')[0]}.{fact}" in QUESTIONS or fact == "socket" or fact == "tdp_w"
    return finding


def low(**facts):
    return make_survey(case=replace(CASE, **facts))


# -- height -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("limit", "verdict", "margin", "tight"),
    [(150, "fits", 30, None), (120, "fits", 0, "yes"), (119, "fails", -1, None), (123, "fits", 3, None)],
)
def test_height(limit: int, verdict: str, margin: int, tight: str | None) -> None:
    finding = one(fit_cooler_height, make_problem(low(max_cooler_height_mm=limit)), cooler="cooler-a")
    assert (finding.verdict, finding.value, finding.limit, finding.margin, finding.unit) == (
        verdict,
        120,
        limit,
        margin,
        "mm",
    )
    assert finding.fact("tight") == tight and finding.parts == ("cooler-a", "kept-case")


def test_height_of_the_boxed_cooler_is_below_a_full_height_card() -> None:
    # A full-height card is 106.68 mm high (PCI; secondary source); boxed coolers are lower: common practice.
    for limit, height, verdict in (
        (107, "low", "fits"),
        (106, "low", "unknown"),
        (None, "low", "unknown"),
        (None, "full", "fits"),
        (80, "full", "unknown"),
        (40, "full", "unknown"),
        (39, "full", "fails"),  # no boxed cooler is as low as that (from memory, a setting)
    ):
        finding = one(
            fit_cooler_height,
            make_problem(low(max_cooler_height_mm=limit, slot_height=height)),
            cooler="boxed-cooler",
        )
        assert (finding.verdict, finding.admits) == (verdict, verdict != "fails")


@pytest.mark.parametrize(
    ("stated", "verdict", "margin"), [(52, "fails", -1), (51, "fits", 0), (50, "fits", 1)]
)
def test_a_measured_height_counts_for_the_boxed_cooler_too(stated: int, verdict: str, margin: int) -> None:
    problem = make_problem(low(max_cooler_height_mm=51), cpus=(replace(CPU, boxed_cooler_mm=stated),))
    finding = one(fit_cooler_height, problem, cooler="boxed-cooler")
    assert (finding.verdict, finding.value, finding.margin) == (verdict, stated, margin)


def test_height_not_measured_or_not_known() -> None:
    problem = make_problem(
        low(max_cooler_height_mm=None),
        coolers=(
            COOLER,
            replace(COOLER, id="cooler-low", height_mm=60),
            replace(COOLER, id="cooler-lower", height_mm=59),
        ),
    )
    assert one(fit_cooler_height, problem, cooler="cooler-a").question == "case.max_cooler_height_mm"
    proved = one(fit_cooler_height, problem, cooler="cooler-low")
    assert (proved.verdict, proved.limit, proved.fact("basis")) == (
        "fits",
        60,
        "present cooler",
    )  # as high as today's
    lower = one(fit_cooler_height, problem, cooler="cooler-lower")
    assert (lower.verdict, lower.limit, lower.margin) == ("fits", 60, 1)
    assert one(fit_cooler_height, problem, **KEPT).fact("today") == "yes"
    other = Case(id="case-b", name="B", form_factor="atx", max_cooler_height_mm=50)
    moved = make_problem(
        make_survey(cooler=None), Brief(budget="10000.00", replace=("case",)), cases=(other,)
    )
    assert one(fit_cooler_height, moved, cooler="kept-cooler", case="case-b").question == "cooler.height_mm"


@pytest.mark.parametrize(
    ("panel", "place", "under", "cooler", "verdict", "limit"),
    [
        # A supply over the board (flat cases, small towers: common practice) leaves less than the side panel.
        (150, "over-board", 119, "cooler-a", "fails", 119),
        (150, "over-board", 120, "cooler-a", "fits", 120),
        (119, "over-board", 150, "cooler-a", "fails", 119),
        (None, "over-board", 119, "cooler-a", "fails", 119),
        (150, "over-board", None, "cooler-a", "unknown", None),
        (120, "over-board", None, "cooler-a", "unknown", None),  # as high as the panel allows
        (119, "over-board", None, "cooler-a", "fails", 119),
        (150, "top", None, "cooler-a", "fits", 150),
        (150, "over-board", 39, "boxed-cooler", "fails", 39),
        (150, "over-board", None, "boxed-cooler", "unknown", None),
        (40, "over-board", None, "boxed-cooler", "unknown", None),
        (39, "over-board", None, "boxed-cooler", "fails", 39),
    ],
)
def test_a_supply_over_the_board_limits_the_height(
    panel: int | None, place: str, under: int | None, cooler: str, verdict: str, limit: int | None
) -> None:
    survey = low(max_cooler_height_mm=panel, psu_place=place, height_under_psu_mm=under)
    finding = one(fit_cooler_height, make_problem(survey), cooler=cooler)
    assert (finding.verdict, finding.limit) == (verdict, limit)
    if verdict == "unknown":
        assert finding.question == "case.height_under_psu_mm"


@pytest.mark.parametrize(
    ("height", "clearance", "expected"),
    [
        (None, None, None),
        (32, None, None),  # plain modules: 30.0 and 31.25 mm (JEDEC MO-269, MO-309, from memory)
        (33, None, "cooler:cooler-a.memory_clearance_mm"),
        (44, 44, "fits"),
        (45, 44, "cooler:cooler-a.over_memory"),
        (None, 32, None),
        (None, 31, "memory:kit-a.module_height_mm"),
    ],
)
def test_tall_modules_beside_the_cooler(
    height: int | None, clearance: int | None, expected: str | None
) -> None:
    problem = make_problem(
        coolers=(replace(COOLER, memory_clearance_mm=clearance),),
        memory=(replace(KIT, module_height_mm=height),),
    )
    parts = pick(problem, cooler="cooler-a")
    if expected is None:
        assert findings(fit_cooler_memory, problem, parts) == ()
        return
    finding = one(fit_cooler_memory, problem, cooler="cooler-a")
    assert finding.admits and expected == (finding.question or finding.verdict)
    assert findings(fit_cooler_memory, problem, pick(problem, cooler="boxed-cooler")) == ()
    assert agree(fit_cooler_memory, problem)[1] == 0


def test_present_modules_beside_a_new_cooler_are_looked_at_and_what_stays_together_is_not() -> None:
    cooler = replace(OLD_COOLER, memory_clearance_mm=40)
    survey = make_survey(cooler=cooler, memory=(MEMORY.model_copy(update={"module_height_mm": 45}),))
    new = replace(COOLER, sockets=("sock-0",), memory_clearance_mm=44)
    problem = make_problem(survey, coolers=(new,))
    assert findings(fit_cooler_memory, problem, pick(problem, **KEPT)) == ()
    found = one(fit_cooler_memory, problem, **{**KEPT, "cooler": "cooler-a"})
    assert (found.fact("height_mm"), found.fact("clearance_mm")) == (45, 44)
    # Of a present cooler that nobody looked at, nothing is said.
    dark = make_problem(make_survey(cooler=None), memory=(replace(KIT, module_height_mm=45),))
    assert findings(fit_cooler_memory, dark, pick(dark, cooler="kept-cooler", memory="kit-a*1")) == ()


def test_a_panel_that_is_too_low_counts_whatever_the_present_cooler_and_the_supply() -> None:
    """The room under the supply is not known, the side panel is measured: too low stays too low."""
    survey = make_survey(
        case=replace(CASE, max_cooler_height_mm=119, psu_place="over-board"),
        cooler=replace(OLD_COOLER, height_mm=150),
    )
    problem = make_problem(survey)
    assert one(fit_cooler_height, problem, cooler="cooler-a").verdict == "fails"
    assert min(agree(fit_cooler_height, problem)) > 0


def test_height_statements_agree() -> None:
    cases = (
        Case(id="c-50", name="C", form_factor="atx", max_cooler_height_mm=59),
        replace(CASE, id="c-over", max_cooler_height_mm=None, psu_place="over-board", height_under_psu_mm=55),
        Case(id="c-open", name="O", form_factor="atx"),
    )
    coolers = (COOLER, replace(COOLER, id="cooler-low", height_mm=50))
    problem = make_problem(
        low(max_cooler_height_mm=40),
        Brief(budget="10000.00", replace=("case",)),
        cases=cases,
        coolers=coolers,
        **SMALL,
    )
    assert min(agree(fit_cooler_height, problem)) > 0


# -- mounting -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cooler", "keys", "verdict"),
    [
        (OLD_COOLER, {"cooler": "boxed-cooler"}, "fits"),
        (OLD_COOLER, {"cooler": "cooler-a"}, "fits"),
        (OLD_COOLER, {"cooler": "kept-cooler"}, "fails"),  # made for sock-0
        (OLD_COOLER, {"cooler": "cooler-a", "board": "kept-board"}, "fails"),  # made for sock-1
        (OLD_COOLER, KEPT, "fits"),
        (replace(OLD_COOLER, sockets=None), {"cooler": "kept-cooler"}, "unknown"),
        (None, {"cooler": "kept-cooler"}, "unknown"),
        (None, KEPT, "fits"),
    ],
)
def test_mount(cooler, keys: dict, verdict: str) -> None:
    finding = one(fit_cooler_mount, make_problem(make_survey(cooler=cooler)), **keys)
    assert (finding.verdict, finding.blocks) == (verdict, False)
    if verdict == "fails":
        assert (finding.value, finding.limit) in (("sock-1", "sock-0"), ("sock-0", "sock-1"))


def test_mount_on_another_board_of_the_same_socket() -> None:
    survey = make_survey(cooler=replace(OLD_COOLER, sockets=None), pc=Pc(cooler_brackets=True))
    problem = make_problem(survey, boards=(replace(BOARD, socket="sock-0"),))
    finding = one(fit_cooler_mount, problem, cooler="kept-cooler")
    assert (finding.verdict, finding.value, finding.facts) == (
        "fits",
        "sock-0",
        (("bracket", "stays"), ("same_socket", "yes")),
    )
    dark = make_problem(make_survey(board=replace(OLD_BOARD, socket=None)))
    assert one(fit_cooler_mount, dark, board="kept-board", cooler="cooler-a").question == "board.socket"


@pytest.mark.parametrize(
    "cooler", [None, OLD_COOLER, replace(OLD_COOLER, sockets=None), replace(OLD_COOLER, sockets=("sock-9",))]
)
def test_mount_statements_agree(cooler) -> None:
    boards = (BOARD, replace(BOARD, id="b-0", socket="sock-0"))
    problem = make_problem(make_survey(cooler=cooler), boards=boards, cpus=(CPU,), **SMALL)
    assert min(agree(fit_cooler_mount, problem)) > 0


# -- cooling power ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rated", "verdict", "margin"), [(65, "fits", 0), (64, "fails", -1), (95, "fits", 30)]
)
def test_power(rated: int, verdict: str, margin: int) -> None:
    finding = one(
        fit_cooler_power, make_problem(coolers=(replace(COOLER, rated_w=rated),)), cooler="cooler-a"
    )
    assert (finding.verdict, finding.value, finding.limit, finding.margin, finding.unit) == (
        verdict,
        rated,
        65,
        margin,
        "W",
    )


def test_power_of_boxed_kept_and_unrated_coolers() -> None:
    hot = make_problem(cpus=(replace(CPU, tdp_w=125),))
    assert one(fit_cooler_power, hot, cooler="boxed-cooler").verdict == "fits"
    assert one(fit_cooler_power, hot, cooler="kept-cooler").margin == 70 - 125
    unrated = make_survey(cooler=None, cpu=replace(OLD_CPU, tdp_w=65))
    assert (
        one(fit_cooler_power, make_problem(unrated), cooler="kept-cooler").fact("basis")
        == "present processor"
    )
    hotter = one(
        fit_cooler_power, make_problem(unrated, cpus=(replace(CPU, tdp_w=66),)), cooler="kept-cooler"
    )
    assert (hotter.verdict, hotter.question, hotter.admits) == ("unknown", "cooler.rated_w", True)
    dark = make_problem(make_survey(cpu=replace(OLD_CPU, tdp_w=None)))
    assert one(fit_cooler_power, dark, cpu="kept-cpu", cooler="cooler-a").question == "cpu.tdp_w"
    assert one(fit_cooler_power, dark, **KEPT).fact("today") == "yes"


@pytest.mark.parametrize(
    ("cpu", "cooler", "box", "asked"),
    [
        ("cpu-a", "cooler-a", None, True),  # a cooler in the box would save this one
        ("cpu-a", "boxed-cooler", None, True),
        ("cpu-a", "kept-cooler", None, False),  # costs nothing either way
        ("kept-cpu", "cooler-a", None, False),
        ("cpu-a", "cooler-a", False, False),
        ("cpu-a", "cooler-a", True, False),
    ],
)
def test_whether_a_cooler_lies_in_the_box_is_asked_where_one_is_bought(
    cpu: str, cooler: str, box: bool | None, asked: bool
) -> None:
    problem = make_problem(
        make_survey(cpu=replace(OLD_CPU, boxed_cooler=None)), cpus=(replace(CPU, boxed_cooler=box),)
    )
    found = findings(fit_cooler_power, problem, pick(problem, cpu=cpu, cooler=cooler))
    assert [f.question for f in found[1:]] == (["cpu:cpu-a.boxed_cooler"] if asked else [])


@settings(max_examples=10, deadline=None)
@given(
    st.integers(1, 200), st.one_of(st.none(), st.integers(1, 200)), st.one_of(st.none(), st.integers(1, 200))
)
def test_power_statements_agree(heat: int, rated: int | None, present: int | None) -> None:
    survey = make_survey(cooler=replace(OLD_COOLER, rated_w=rated), cpu=replace(OLD_CPU, tdp_w=present))
    agree(fit_cooler_power, make_problem(survey, boards=(), cpus=(replace(CPU, tdp_w=heat),), **SMALL))


def test_power_agreement_covers_both_verdicts() -> None:
    cpus = (
        CPU,
        replace(CPU, id="cpu-hot", tdp_w=95, boxed_cooler=False),
        replace(CPU, id="cpu-hotter", tdp_w=96),
    )
    hot_today = make_survey(cpu=replace(OLD_CPU, tdp_w=130))  # over the cooler's rating, and runs
    for survey in (make_survey(), hot_today):
        assert min(agree(fit_cooler_power, make_problem(survey, boards=(), cpus=cpus, **SMALL))) > 0


# -- paste --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("keys", "paste", "extras", "said"),
    [
        (KEPT, True, (PASTE,), "today"),
        ({**KEPT, "memory": "kit-a*1"}, True, (PASTE,), "today"),  # the cooler stays on: no new paste
        ({**KEPT, "board": "board-a"}, True, (PASTE,), "bought"),
        ({**KEPT, "cpu": "cpu-a"}, True, (PASTE,), "bought"),
        ({"cooler": "kept-cooler"}, True, (), "missing"),
        ({"cooler": "cooler-a"}, True, (PASTE,), "included"),
        ({"cooler": "cooler-a"}, False, (PASTE,), "bought"),
        ({"cooler": "boxed-cooler"}, False, (PASTE,), "included"),
        ({"cooler": "cooler-a"}, None, (PASTE,), None),
    ],
)
def test_paste(keys: dict, paste: bool | None, extras: tuple, said: str | None) -> None:
    problem = make_problem(coolers=(replace(COOLER, paste_included=paste),), extras=extras)
    finding = one(fit_paste, problem, **keys)
    assert finding.verdict == ("unknown" if said is None else "fits")
    assert (finding.fact("today") == "yes") == (said == "today") and (
        said == "today" or finding.fact("paste") == said
    )
    needed = fit_paste.needs(pick(problem, **keys), problem)
    assert [need.options for need in needed] == ([(("paste", 1),)] if said == "bought" else [])


@pytest.mark.parametrize(
    ("extras", "price", "chosen"),
    [
        ((PASTE,), 1004, "cooler-a"),  # the cooler costs 10.03, the present one with paste 10.04
        ((PASTE,), 1002, "kept-cooler"),
        ((), 0, "kept-cooler"),  # nobody sells paste: it has to be at hand
    ],
)
def test_paste_is_part_of_the_price_of_a_moved_cooler(extras: tuple, price: int, chosen: str) -> None:
    survey = make_survey(cooler=replace(OLD_COOLER, sockets=("sock-1",)))
    offers = tuple(Offer(part="paste", seller="shop", price=price) for _ in extras)
    problem = make_problem(
        survey, cpus=(replace(CPU, boxed_cooler=False),), extras=extras, more_offers=offers
    )
    draft = complete(problem, pick(problem, cooler="kept-cooler"), [fit_cooler_mount, fit_paste])
    assert draft is not None and draft.parts.cooler.id == chosen
    assert (draft.bought_for("fit.paste", "paste") is not None) == (price == 1002)


@pytest.mark.parametrize(
    "survey", [make_survey(), make_survey(pc=Pc(board_works=False)), make_survey(pc=Pc(cpu_works=False))]
)
def test_paste_statements_agree(survey) -> None:
    coolers = (
        COOLER,
        replace(COOLER, id="cooler-dry", paste_included=False),
        replace(COOLER, id="cooler-dark", paste_included=None),
    )
    problem = make_problem(survey, coolers=coolers, extras=(PASTE, replace(PASTE, id="paste-2")), **SMALL)
    assert agree(fit_paste, problem)[0] > 0
    assert min(same_needs(fit_paste, problem)) > 0


@pytest.mark.parametrize(
    ("brackets", "cooler", "said", "asked"),
    [
        (True, "kept-cooler", "stays", []),  # held by the case or by a frame, as the survey says
        (False, "kept-cooler", None, []),
        (None, "kept-cooler", None, ["pc.cooler_brackets"]),  # unknown stays unknown
        (True, "cooler-a", None, []),
        (False, "cooler-a", None, []),
        (None, "cooler-a", None, []),
    ],
)
def test_a_bracket_that_stays(brackets: bool | None, cooler: str, said: str | None, asked: list[str]) -> None:
    own = replace(OLD_COOLER, sockets=("sock-0", "sock-1"))
    for of_cooler in (own, replace(own, sockets=None)):
        problem = make_problem(
            make_survey(pc=Pc(cooler_brackets=brackets), cooler=of_cooler),
            boards=(BOARD if of_cooler is own else replace(BOARD, socket="sock-0"),),
        )
        if of_cooler is not own and cooler == "cooler-a":
            continue  # made for the other socket
        found, *more = findings(fit_cooler_mount, problem, pick(problem, cooler=cooler))
        assert (found.verdict, found.fact("bracket")) == ("fits", said)
        assert [(f.verdict, f.question, f.blocks) for f in more] == [("unknown", a, False) for a in asked]
        agree(fit_cooler_mount, problem)


@pytest.mark.parametrize(
    ("brackets", "case", "said"),
    [
        (True, "case-n", {"bracket": "case"}),  # makers screw coolers through the board into the tray
        (True, "kept-case", {"today": "yes"}),
        (False, "case-n", {"today": "yes"}),
        (None, "case-n", {"today": "yes"}),
        (None, "kept-case", {"today": "yes"}),
    ],
)
def test_a_case_that_may_hold_the_cooler_of_a_board_that_stays(
    brackets: bool | None, case: str, said: dict[str, str]
) -> None:
    """Board and cooler move into another case (common practice: coolers of makers' PCs on the tray)."""
    problem = make_problem(
        make_survey(pc=Pc(cooler_brackets=brackets)),
        Brief(budget="10000.00", replace=("case",)),
        cases=[replace(CASE, id="case-n", name="new case")],
    )
    keys = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "cooler": "kept-cooler"}
    parts = pick(problem, case=case, **keys)
    found, *more = findings(fit_cooler_mount, problem, parts)
    assert (found.verdict, dict(found.facts)) == ("fits", said)
    asked = brackets is None and case == "case-n"
    assert [f.question for f in more] == (["pc.cooler_brackets"] if asked else [])
    assert min(agree(fit_cooler_mount, problem)) > 0


def test_a_plate_behind_a_board_that_stays() -> None:
    """A plate goes behind the board: with a new board before it is fitted, else the board comes out (start
    reference, section 6.1; common practice)."""
    for plate, kept, said in (
        (True, True, "yes"),
        (None, True, "perhaps"),
        (False, True, None),
        (True, False, None),
    ):
        cooler = replace(COOLER, sockets=("sock-0", "sock-1"), back_plate=plate)
        problem = make_problem(coolers=[cooler])
        keys = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory"} if kept else {}
        (found,) = findings(fit_cooler_mount, problem, pick(problem, cooler="cooler-a", **keys))
        assert (found.verdict, found.fact("board_out")) == ("fits", said)
