"""platform.support, platform.firmware, platform.power."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from needs_check import same_needs
from support import BOARD, CPU, OLD_BOARD, OLD_CPU, agree, findings, make_problem, make_survey, pick

from partsolver.catalog.records import Extra
from partsolver.report.words.platform import QUESTIONS, WORDS
from partsolver.report.words.record import Names
from partsolver.rules import platform_firmware, platform_power, platform_socket, platform_support
from partsolver.survey.model import Pc

SERVICE = Extra(id="flash-service", name="Firmware update", kind="firmware-update")
KEPT = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "cooler": "kept-cooler"}
SMALL = {"memory": (), "coolers": ()}


def one(rule, problem, **keys: str):
    (finding,) = findings(rule, problem, pick(problem, **keys))
    sentence = WORDS[rule.ID].sentence(finding, Names())
    assert "None" not in sentence and sentence.endswith("."), sentence
    if finding.question:
        table, _, fact = finding.question.partition(".")
        assert f"{table.partition(':')[0]}.{fact}" in QUESTIONS
    return finding


def board_of(**facts):
    return make_problem(boards=(replace(BOARD, **facts),))


# -- support list -------------------------------------------------------------------------------------------------


def test_support_names_the_family() -> None:
    finding = one(platform_support, board_of(cpu_families=(("fam-0", "1.00"), ("fam-1", "1.05"))))
    assert (finding.verdict, finding.value, finding.parts) == ("fits", "fam-1", ("board-a", "cpu-a"))


def test_the_socket_alone_never_proves_a_match() -> None:
    # A processor of the next generation fits the socket of a board and starts never: 18 contacts carry power
    # that did not before (case C02, an electrical difference within one socket name).
    problem = board_of(cpu_families=(("fam-0", "1.00"), ("fam-2", "1.00")))
    assert findings(platform_socket, problem)[0].verdict == "fits"
    finding = one(platform_support, problem)
    assert (finding.verdict, finding.value, finding.limit) == ("fails", "fam-1", "fam-0 fam-2")
    assert finding.facts == (("socket", "sock-1"),)
    assert "proves nothing" in WORDS["platform.support"].sentence(finding, Names())


def test_support_unknown_stands_and_present_pair_fits() -> None:
    dark = one(platform_support, board_of(cpu_families=None))
    assert (dark.verdict, dark.blocks, dark.question) == ("unknown", False, "board:board-a.cpu_families")
    survey = make_survey(
        board=replace(OLD_BOARD, cpu_families=(("fam-9", "1"),)), cpu=replace(OLD_CPU, family=None)
    )
    problem = make_problem(survey)
    assert one(platform_support, problem, cpu="kept-cpu").question == "cpu.family"
    assert one(platform_support, problem, **KEPT).verdict == "fits"
    assert one(platform_support, board_of(cpu_families=())).limit == "none"


def platform_catalogue(rule_survey=None):
    boards = (
        BOARD,
        replace(BOARD, id="b-old", cpu_families=(("fam-1", "2.00"), ("fam-0", "1.00")), socket="sock-0"),
        replace(BOARD, id="b-flash", cpu_families=(("fam-1", "2.00"),), flash_without_cpu=True),
        replace(BOARD, id="b-late", cpu_families=(("fam-1", "2.00"),)),
        replace(BOARD, id="b-dark", cpu_families=(("fam-1", "2.00"),), firmware_shipped=None),
        replace(BOARD, id="b-none", cpu_families=None),
        replace(BOARD, id="b-twice", cpu_families=(("fam-1", "1.00"), ("fam-1", "2.00"))),
        replace(BOARD, id="b-order", cpu_families=(("fam-1", "1.A0"),)),
        replace(BOARD, id="b-file", cpu_families=(("fam-1", "7C02v1C"),), firmware_shipped="7C02v18"),
        replace(BOARD, id="b-end", cpu_families_until=(("fam-1", "1.10"),)),
        replace(BOARD, id="b-perhaps", cpu_families=(("fam-1", "2.00"),), flash_without_cpu=None),
    )
    cpus = (CPU, replace(CPU, id="cpu-x", family="fam-2"))
    return {"survey": rule_survey, "boards": boards, "cpus": cpus, **SMALL}


def test_support_statements_agree() -> None:
    assert min(agree(platform_support, make_problem(**platform_catalogue()))) > 0
    unknown = make_survey(cpu=replace(OLD_CPU, family=None), board=replace(OLD_BOARD, cpu_families=None))
    unlisted = make_survey(board=replace(OLD_BOARD, cpu_families=(("fam-9", "1.00"),)))  # and yet it runs
    for survey in (unknown, unlisted):
        assert min(agree(platform_support, make_problem(**platform_catalogue(survey)))) > 0


def test_a_processor_of_unknown_family_hides_none_that_is_not_listed() -> None:
    """The first is asked about, the second is refused on this board; on its own board the present one runs."""
    cpus = (replace(CPU, id="cpu-0", family=None), replace(CPU, id="cpu-9", family="fam-9"))
    problem = make_problem(cpus=cpus, **SMALL)
    verdicts = [one(platform_support, problem, cpu=cpu.id).verdict for cpu in cpus]
    assert verdicts == ["unknown", "fails"]
    agree(platform_support, problem)


# -- firmware -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("listed", "shipped", "verdict"),
    [
        ((("fam-1", "1.10"),), "1.10", "fits"),
        ((("fam-1", "1.11"),), "1.10", "fails"),
        ((("fam-1", "F12"),), "F12b", "fails"),  # a letter marks a beta of one maker: F12b comes before F12
        ((("fam-1", "v19"),), "v19", "fits"),
        ((("fam-1", "7B07v19"),), "7B07v1H", "fits"),  # digits run on through the letters
        ((("fam-1", "1.9"),), "1.10", "fits"),  # parts of a version are numbers: 1.9 is older than 1.10
        ((("fam-1", "F9"),), "F10", "fits"),
        ((("fam-1", "1.00"), ("fam-1", "2.00")), "1.50", "fails"),  # listed twice: the higher one counts
        ((("fam-1", "2.00"), ("fam-1", "1.00")), "2.00", "fits"),
    ],
)
def test_first_firmware_against_the_shipped_one(listed: tuple, shipped: str, verdict: str) -> None:
    finding = one(platform_firmware, board_of(cpu_families=listed, firmware_shipped=shipped))
    assert (finding.verdict, finding.value) == (verdict, shipped)
    assert finding.limit in [firmware for _, firmware in listed]


@pytest.mark.parametrize(
    ("listed", "shipped"),
    [
        ("7C02v1C", "7C02v18"),  # file names of updates: which one is on the board is not said
        ("FA", "F9"),
        ("A29", "1.2.0"),
    ],
)
def test_an_order_that_is_not_understood_is_asked(listed: str, shipped: str) -> None:
    finding = one(platform_firmware, board_of(cpu_families=(("fam-1", listed),), firmware_shipped=shipped))
    assert (finding.verdict, finding.question) == ("unknown", "board:board-a.firmware_shipped")
    assert finding.admits and finding.fact("unordered") == shipped and finding.fact("needed") == listed


@pytest.mark.parametrize(
    ("until", "verdict"), [("F29", "fails"), ("F30", "fits"), ("F31", "fits"), ("1.30", "unknown")]
)
def test_later_firmware_dropped_the_family(until: str, verdict: str) -> None:
    # Firmware reference, section 3.3: from F30 of one scheme the first processors of the socket were removed.
    facts = {"cpu_families": (("fam-1", "F2"),), "cpu_families_until": (("fam-1", until),)}
    finding = one(platform_firmware, board_of(**facts, firmware_shipped="F30", flash_without_cpu=True))
    assert finding.verdict == verdict
    if verdict == "fails":
        assert "dropped" in WORDS["platform.firmware"].sentence(finding, Names())


def test_stepping_stones_between_are_named() -> None:
    facts = {"cpu_families": (("fam-1", "F50"),), "firmware_steps": ("F2", "F31", "F60")}
    finding = one(platform_firmware, board_of(**facts, firmware_shipped="F10", flash_without_cpu=True))
    assert (finding.verdict, finding.fact("steps")) == ("fits", "F31")
    assert "by way of F31" in WORDS["platform.firmware"].sentence(finding, Names())


LATE = {"cpu_families": (("fam-1", "2.00"),), "firmware_shipped": "1.10"}
# The present processor is fam-0 in sock-0: it can start a new board of that socket which knows it as shipped.
STARTS = {
    "cpu_families": (("fam-1", "2.00"), ("fam-0", "1.00")),
    "firmware_shipped": "1.10",
    "socket": "sock-0",
}


@pytest.mark.parametrize(
    ("board", "extras", "verdict", "flash"),
    [
        (
            {**LATE, "flash_without_cpu": True},
            (SERVICE,),
            "fits",
            "needed",
        ),  # case C07: no start until updated
        (LATE, (SERVICE,), "fits", "service"),
        (LATE, (), "fails", "none"),
        (LATE, (replace(SERVICE, takes=("board-b",)),), "fails", "none"),
        (LATE, (replace(SERVICE, takes=("board-a",)),), "fits", "service"),
        (STARTS, (), "fits", "present processor"),
        (STARTS, (SERVICE,), "fits", "service"),
        ({**STARTS, "socket": "sock-1"}, (), "fails", "none"),
        # A firmware that knew the present processor once and dropped it does not start with it.
        ({**STARTS, "cpu_families_until": (("fam-0", "1.05"),)}, (), "fails", "none"),
        ({**STARTS, "cpu_families": (("fam-1", "2.00"), ("fam-0", "1.11"))}, (), "fails", "none"),
    ],
)
def test_ways_to_update(board: dict, extras: tuple, verdict: str, flash: str) -> None:
    problem = make_problem(boards=(replace(BOARD, **board),), extras=extras)
    finding = one(platform_firmware, problem)
    assert (finding.verdict, finding.value, finding.limit, finding.facts) == (
        verdict,
        "1.10",
        "2.00",
        (("flash", flash),),
    )
    needed = platform_firmware.needs(pick(problem), problem)
    assert [need.options for need in needed] == {"service": [(("flash-service", 1),)], "none": [()]}.get(
        flash, []
    )
    assert [need.facts for need in needed] == [(("needed", "2.00"), ("shipped", "1.10"))] * len(needed)


def test_a_dead_present_processor_updates_nothing_and_a_present_board_updates_itself() -> None:
    dead = make_problem(make_survey(pc=Pc(cpu_works=False)), boards=(replace(BOARD, **STARTS),))
    assert one(platform_firmware, dead).verdict == "fails"
    survey = make_survey(board=replace(OLD_BOARD, cpu_families=(("fam-0", "1.00"), ("fam-1", "9.00"))))
    problem = make_problem(survey, extras=(SERVICE,), **SMALL)
    finding = one(platform_firmware, problem, board="kept-board")
    assert (finding.verdict, finding.fact("flash")) == ("fits", "present processor")
    assert agree(platform_firmware, problem)[1] == 0
    assert one(platform_firmware, make_problem(survey), **KEPT).fact("today") == "yes"


@pytest.mark.parametrize(
    ("flash", "extras", "way"),
    [(True, (), "needed"), (False, (SERVICE,), "service"), (False, (), "none"), (None, (), "none")],
)
def test_unknown_shipped_firmware_stands_with_its_cure(flash: bool | None, extras: tuple, way: str) -> None:
    problem = make_problem(
        boards=(replace(BOARD, firmware_shipped=None, flash_without_cpu=flash),), extras=extras
    )
    finding = one(platform_firmware, problem)
    assert (finding.verdict, finding.blocks, finding.question) == (
        "unknown",
        False,
        "board:board-a.firmware_shipped",
    )
    assert finding.facts == (("flash", way), ("needed", "1.00"))
    assert platform_firmware.needs(pick(problem), problem) == ()  # nothing is bought on a guess


def test_unknown_flash_function_and_unlisted_family() -> None:
    perhaps = one(platform_firmware, board_of(**LATE, flash_without_cpu=None))
    assert (perhaps.verdict, perhaps.question) == ("unknown", "board:board-a.flash_without_cpu")
    assert perhaps.facts == (("needed", "2.00"), ("shipped", "1.10"))
    # With a service on sale the update is bought for certain; the answer may save its price.
    problem = make_problem(boards=(replace(BOARD, **LATE, flash_without_cpu=None),), extras=(SERVICE,))
    done, asked = findings(platform_firmware, problem)
    assert (done.verdict, done.facts) == ("fits", (("flash", "service"),))
    assert (asked.verdict, asked.question) == ("unknown", "board:board-a.flash_without_cpu")
    assert asked.facts == (("needed", "2.00"), ("service", "flash-service"), ("shipped", "1.10"))
    assert (
        findings(platform_firmware, board_of(cpu_families=(("fam-0", "1.00"),))) == ()
    )  # platform.support speaks
    assert findings(platform_firmware, board_of(cpu_families=None)) == ()


@pytest.mark.parametrize(
    ("works", "extras", "some_refused"),
    [
        (True, (), True),
        (False, (), True),
        (True, (SERVICE,), False),
        (False, (SERVICE, replace(SERVICE, id="flash-z")), False),
        (
            True,
            (replace(SERVICE, takes=("b-late", "b-twice", "b-order")),),
            False,
        ),  # b-old is updated with the present processor
        (False, (replace(SERVICE, takes=("b-late",)),), True),
    ],
)
def test_firmware_statements_agree(works: bool, extras: tuple, some_refused: bool) -> None:
    problem = make_problem(**platform_catalogue(make_survey(pc=Pc(cpu_works=works))), extras=extras)
    admitted, refused = agree(platform_firmware, problem)
    assert admitted > 0 and (refused > 0) == some_refused
    assert (same_needs(platform_firmware, problem)[0] > 0) == bool(extras)


def test_a_kept_processor_waits_for_firmware_of_a_new_board() -> None:
    boards = (replace(BOARD, id="b-ahead", socket="sock-0", cpu_families=(("fam-0", "2.00"),)),)
    assert agree(platform_firmware, make_problem(boards=boards, cpus=(), **SMALL)) == (1, 1)


def test_firmware_statements_agree_where_families_were_dropped() -> None:
    boards = (
        replace(BOARD, id="b-past", cpu_families_until=(("fam-1", "1.00"),), flash_without_cpu=True),
        replace(BOARD, id="b-unsure", cpu_families_until=(("fam-1", "F9"),)),
        replace(BOARD, id="b-end", cpu_families_until=(("fam-1", "1.10"), ("fam-2", "1.00"))),
    )
    assert min(agree(platform_firmware, make_problem(boards=boards, **SMALL))) > 0


def test_a_dropped_family_counts_only_where_it_was_listed_and_something_is_new() -> None:
    """The present pair runs whatever the list says; a family that is only in the list of the dropped ones is a
    matter of platform.support."""
    survey = make_survey(board=replace(OLD_BOARD, cpu_families_until=(("fam-0", "1.05"),)))
    boards = (replace(BOARD, cpu_families=(), cpu_families_until=(("fam-1", "1.05"),)),)
    assert agree(platform_firmware, make_problem(survey, boards=boards, **SMALL))[1] == 0


@pytest.mark.parametrize(
    "facts",
    [
        {"cpu_families_until": (("fam-1", "F9"),)},  # may have been dropped again
        {"cpu_families": (("fam-1", "2.00"), ("fam-1", "F9"))},  # listed twice, once in another order
    ],
)
def test_one_order_that_is_not_understood_is_enough_to_ask(facts: dict) -> None:
    """1.10 is older than 2.00, and stands in no order with F9: asked, refused by neither statement."""
    problem = make_problem(boards=(replace(BOARD, **{**LATE, **facts}),), **SMALL)
    assert one(platform_firmware, problem, memory="kept-memory").question == "board:board-a.firmware_shipped"
    assert agree(platform_firmware, problem)[1] == 0


# -- processor power ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("limit", "verdict", "margin", "throttles"),
    [(65, "fits", 0, "yes"), (79, "fits", 14, "yes"), (64, "fails", -1, None), (80, "fits", 15, None)],
)
def test_power(limit: int, verdict: str, margin: int, throttles: str | None) -> None:
    """A board's class is one of rated heat (65 W); the short-term limit (80 W) above it only holds the
    processor back."""
    finding = one(platform_power, board_of(cpu_power_limit_w=limit))
    assert (finding.verdict, finding.value, finding.limit, finding.margin, finding.unit) == (
        verdict,
        65,
        limit,
        margin,
        "W",
    )
    assert finding.fact("throttles") == throttles and finding.parts == ("cpu-a", "board-a")


def test_a_95_w_processor_on_a_95_w_board() -> None:
    cpus = (replace(CPU, tdp_w=95, power_limit_w=None, year=2013),)
    finding = one(platform_power, make_problem(boards=(replace(BOARD, cpu_power_limit_w=95),), cpus=cpus))
    assert (finding.verdict, finding.fact("throttles"), finding.fact("short_w")) == ("fits", "yes", 119)


@pytest.mark.parametrize(("heat", "verdict"), [(65, "fits"), (66, "unknown"), (35, "fits")])
def test_power_without_a_stated_limit(heat: int, verdict: str) -> None:
    problem = make_problem(boards=(replace(BOARD, cpu_power_limit_w=None),), cpus=(replace(CPU, tdp_w=heat),))
    finding = one(platform_power, problem)
    assert (finding.verdict, finding.admits) == (verdict, True)
    assert finding.question == (None if verdict == "fits" else "board:board-a.cpu_power_limit_w")


def test_power_of_a_processor_that_states_only_its_limit_and_present_pair() -> None:
    limit_only = (replace(CPU, tdp_w=None),)
    fits, above = (
        one(platform_power, make_problem(boards=(replace(BOARD, cpu_power_limit_w=limit),), cpus=limit_only))
        for limit in (80, 79)
    )
    assert fits.margin == 0
    # Its rated heat is no higher than the limit, and may be in the board's class.
    assert (above.verdict, above.question, above.blocks) == ("unknown", "cpu:cpu-a.tdp_w", False)
    agree(platform_power, make_problem(boards=(replace(BOARD, cpu_power_limit_w=79),), cpus=limit_only))
    survey = make_survey(
        cpu=replace(OLD_CPU, tdp_w=None, power_limit_w=None), board=replace(OLD_BOARD, cpu_power_limit_w=10)
    )
    problem = make_problem(survey)
    assert one(platform_power, problem, cpu="kept-cpu").question == "cpu.tdp_w"
    today = one(platform_power, problem, **KEPT)
    assert (today.fact("today"), today.value) == ("yes", None)
    assert one(platform_power, problem, board="kept-board").verdict == "fails"
    assert one(platform_power, make_problem(), **KEPT).value == 65
    # What nobody knows the heat of is refused by no board; what is bought is refused by the present one as by others.
    dark = (replace(CPU, tdp_w=None, power_limit_w=None), replace(CPU, id="cpu-b"))
    low = (replace(BOARD, cpu_power_limit_w=1),)
    admitted, refused = agree(platform_power, make_problem(survey, boards=low, cpus=dark, **SMALL))
    assert admitted and refused


@settings(max_examples=10, deadline=None)
@given(
    st.one_of(st.none(), st.integers(1, 200)), st.integers(1, 200), st.one_of(st.none(), st.integers(1, 200))
)
def test_power_statements_agree(limit: int | None, power: int, present: int | None) -> None:
    survey = make_survey(board=replace(OLD_BOARD, cpu_power_limit_w=present))
    boards = (replace(BOARD, cpu_power_limit_w=limit),)
    agree(
        platform_power,
        make_problem(survey, boards=boards, cpus=(replace(CPU, tdp_w=power),), **SMALL),
    )


def test_power_agreement_covers_both_verdicts() -> None:
    boards = (
        BOARD,
        replace(BOARD, id="b-weak", cpu_power_limit_w=64),
        replace(BOARD, id="b-dark", cpu_power_limit_w=None),
    )
    assert min(agree(platform_power, make_problem(boards=boards, **SMALL))) > 0
