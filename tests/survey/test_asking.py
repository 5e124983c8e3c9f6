"""An interview of few questions: what is chosen, how many, in which order, and that nothing is asked in
vain."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import replace

import pytest
from support import CASE, PSU, make_problem, make_survey
from survey.survey_data import PC

from partsolver.explain.answers import open_questions
from partsolver.explain.asking import rounds
from partsolver.explain.questions import Worth, question_values
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.report.survey_questions import questions_text
from partsolver.report.words import interview as words
from partsolver.survey.interview.build import parsed, survey_text
from partsolver.survey.interview.questions import BY_PATH
from partsolver.survey.interview.session import Asking, Interview, Stopped, Told, interview_path
from partsolver.survey.load import parse_survey
from partsolver.survey.model import Drive, Survey
from partsolver.wishes.brief import Brief

NO_SUPPLY = replace(
    PSU, pinout=None, main_plug=None, cpu_plugs=None, rated_w=None, rail_12v_ma=None, combined_12v_ma=None
)


def quiet(event: Told) -> None:
    """The interview tells, nobody listens."""


def asked(
    interview: Interview, answers: dict[str, str], steps: Iterator[None] | tuple[None, ...] = (None,)
) -> list[str]:
    found: list[str] = []
    for _ in steps:
        interview.run(lambda asking: found.append(asking.path) or answers.get(asking.path, "?"), quiet)  # type: ignore[func-returns-value]
    return found


# -- what a choice of questions brings along -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("chosen", "most", "answers", "expected"),
    [
        (
            ["psu.main_plug", "cpu.year", "case.aperture"],
            3,
            {},
            ["cpu.year", "case.aperture", "psu.main_plug"],
        ),  # by what must be at hand
        (
            ["psu.main_plug", "cpu.year", "case.aperture"],
            2,
            {},
            ["cpu.year", "psu.main_plug"],
        ),  # the least valuable one gives way
        # several rails: what they give together is needed too, and counts
        (
            ["psu.rail_12v_ma", "psu.main_plug"],
            2,
            {"psu.rail_12v_ma": "14 + 15"},
            ["psu.rail_12v_ma", "psu.combined_12v_ma"],
        ),
        (
            ["psu.rail_12v_ma", "psu.main_plug"],
            2,
            {"psu.rail_12v_ma": "28"},
            ["psu.rail_12v_ma", "psu.main_plug"],
        ),
        # entries of a list: what has to be known of each; a graphics card's slot may wait
        (
            ["card", "case.aperture"],
            3,
            {"card": "1", "card[0].kind": "graphics"},
            ["card", "card[0].kind", "case.aperture"],
        ),
        (
            ["card", "case.aperture"],
            3,
            {"card": "1", "card[0].kind": "sound"},
            ["card", "card[0].kind", "card[0].bus"],
        ),
        (["card", "case.aperture"], 3, {"card": "0"}, ["card", "case.aperture"]),
        # the only disk holds the system, so that is not asked
        (
            ["drive"],
            9,
            {"drive": "1", "drive[0].kind": "hdd35"},
            ["drive", "drive[0].kind", "drive[0].start_mode"],
        ),
        (
            ["drive"],
            4,
            {"drive": "2", "drive[0].kind": "ssd", "drive[1].kind": "ssd"},
            ["drive", "drive[0].kind", "drive[1].kind", "drive[0].system"],
        ),
    ],
)
def test_never_more_questions_than_were_wanted(
    chosen: list[str], most: int, answers: dict[str, str], expected: list[str]
) -> None:
    interview = Interview({}, most=most)
    interview.choose(chosen)
    found = asked(interview, answers)
    assert sorted(found) == sorted(expected) and len(found) <= most
    if "drive" not in chosen:
        assert found == expected


def test_room_that_is_kept_for_later() -> None:
    interview = Interview({}, most=3)
    interview.choose(["cpu.year", "case.aperture", "case.form_factor"], keep_free=1)
    assert asked(interview, {}) == ["cpu.year", "case.aperture"] and interview.room == 1
    interview.choose(["psu.main_plug", "psu.cpu_plugs"])
    assert asked(interview, {}) == ["psu.main_plug"] and interview.room == 0 and interview.inside


def test_back_goes_to_what_was_asked_before_and_numbers_go_on() -> None:
    interview, shown = Interview({}, most=5), []
    typed = iter(["24", "back", "20", "atx"])

    def ask(asking: Asking) -> str:
        shown.append((asking.path, words.prompt(asking).split("]")[0].strip("\n[")))
        return next(typed)

    for chosen in (["psu.main_plug"], ["case.aperture"]):
        interview.choose(chosen)
        interview.run(ask, quiet)
    assert shown == [
        ("psu.main_plug", "1 of at most 5"),
        ("case.aperture", "2 of at most 5"),
        ("psu.main_plug", "1 of at most 5"),
        ("case.aperture", "2 of at most 5"),
    ]
    assert interview.answers == {"psu.main_plug": "20", "case.aperture": "atx"}


def test_answers_of_a_run_that_was_left_count() -> None:
    interview = Interview({}, {"cpu.year": "2008", "psu.main_plug": "24"}, most=3)
    interview.choose(["case.aperture", "case.form_factor"])
    assert len(asked(interview, {})) == 1 and interview.room == 0


def test_who_tells_how_the_system_starts_tells_where_it_is() -> None:
    interview = Interview(
        {}, {"drive": "1", "drive[0].kind": "hdd35", "drive[0].start_mode": "legacy"}, most=3
    )
    drives = parse_survey(tomllib.loads(survey_text(interview, None, "s").text), "s")[0].drives
    assert [(drive.system, drive.start_mode) for drive in drives] == [(True, "legacy")]
    silent = Interview({}, {"drive": "1", "drive[0].kind": "hdd35"}, most=3)
    assert parse_survey(tomllib.loads(survey_text(silent, None, "s").text), "s")[0].drives[0].system is None


# -- questions chosen by their worth, again and again ------------------------------------------------------------------------


def talk(survey: Survey, answers: dict[str, str], most: int, text: str = "[case]\n[psu]\n") -> list[str]:
    """The interview about a PC with some facts unknown: answers are put into the survey as the program
    does."""
    interview = Interview(parsed(text, "s"), most=most)
    start = make_problem(survey, Brief(budget="200.00", alternatives=1))

    def problem() -> Problem:
        now = survey
        said = parse_survey(tomllib.loads(survey_text(interview, text, "s").text), "s")[0]
        for path in interview.answers:
            table, _, key = path.partition(".")
            value = getattr(getattr(said, table), key)
            now = now.model_copy(update={table: replace(getattr(now, table), **{key: value})})
        return changed(start, survey=now)

    return asked(interview, answers, rounds(interview, interview.given, problem))


def test_outside_first_then_what_is_needed_then_by_value() -> None:
    survey = make_survey(psu=NO_SUPPLY, case=replace(CASE, aperture=None, max_board_depth_mm=None))
    found = talk(survey, PC, 10)
    needed = {
        "psu.pinout",
        "psu.rail_12v_ma",
        "psu.combined_12v_ma",
        "psu.main_plug",
        "psu.cpu_plugs",
    }  # the label has two rails
    assert found[0] == "case.aperture" and set(found[1:6]) == needed
    assert "case.max_board_depth_mm" in found[6:] and len(found) == len(set(found)) <= 10


def test_what_nobody_knows_is_asked_once_and_nothing_is_supposed_for_it() -> None:
    """With the pin order unknown for good no new board can be connected: then no question about one is
    left."""
    survey = make_survey(
        psu=replace(PSU, pinout=None),
        pc=make_survey().pc.model_copy(update={"brand": True}),
        case=replace(CASE, max_board_depth_mm=None),
    )
    assert talk(survey, {"psu.pinout": "?"}, 10) == ["psu.pinout"]
    assert talk(survey, {"psu.pinout": "atx"}, 10)[:2] == ["psu.pinout", "case.max_board_depth_mm"]


@pytest.mark.parametrize("most", [1, 3, 5, 6, 8, 20])
def test_the_first_questions_are_those_of_the_whole_ranking(most: int) -> None:
    survey = make_survey(
        psu=NO_SUPPLY,
        case=replace(CASE, max_board_depth_mm=None, aperture=None, slot_height=None, form_factor=None),
    )
    problem = make_problem(survey, Brief(budget="200.00", alternatives=1))
    whole = question_values(problem)
    expected, found = whole.first_paths(most), Worth(problem).first_paths(most)
    needed = len(whole.needed)
    if most < needed:
        assert found == expected
    else:
        assert set(found[:needed]) == set(expected[:needed]) and found[needed:] == expected[needed:]


def test_every_open_question_can_be_asked() -> None:
    empty = parse_survey(
        tomllib.loads(
            "[case]\n[psu]\nrail_12v_ma = [14000, 15000]\n[[drive]]\nname = 'disk'\nsystem ="
            " true\n[[memory]]\n[[display]]\nname = 'm'\n"
        ),
        "s",
    )[0]
    given = {"drive": [{"name": "disk"}], "display": [{"name": "m"}]}
    paths = [question.path for question in open_questions(empty, ("sock-1",))]
    assert {"psu.combined_12v_ma", "cpu.base_mhz", "drive:disk.start_mode", "board.socket"} <= set(paths)
    assert [path for path in paths if interview_path(path, given) is None] == []


def test_the_only_disk_is_the_system_s() -> None:
    """One disk beside an optical drive: how the system starts can be asked at once, and the answer says where
    it is."""
    drives = (
        Drive(name="disk", kind="hdd35", interface="sata"),
        Drive(name="dvd", kind="optical", interface="sata"),
    )
    questions = {question.path: question for question in open_questions(make_survey(drives=drives))}
    assert questions["drive:disk.system"].answers == (True,) and "drive:disk.partition_table" not in questions
    answered = questions["drive:disk.start_mode"].answered("legacy")
    assert answered.system_drive is not None and answered.system_drive.start_mode == "legacy"
    two = make_survey(drives=(drives[0], drives[0].model_copy(update={"name": "other"})))
    assert {q.path: q.answers for q in open_questions(two)}["drive:disk.system"] == (True, False)


# -- words ------------------------------------------------------------------------------------------------------------------


def test_questions_in_text_warn_before_the_case_is_opened_and_name_the_next_command() -> None:
    problem = make_problem(
        make_survey(psu=NO_SUPPLY, where="my pc.toml"), Brief(budget="200.00", alternatives=1)
    )
    text = questions_text(question_values(problem), problem, " --budget 200")
    assert "pull the mains plug" in text and "Never open the power supply" in text
    assert (
        f"partsolver survey new --from 'my pc.toml' --first {len(Worth(problem).first_paths(10))} --budget 200\n"
        in text
    )
    assert text.count("the hoped plan") > 4 and "Sata:" not in text


@pytest.mark.parametrize("path", sorted(BY_PATH))
def test_a_question_can_be_understood_alone(path: str) -> None:
    """Asked out of order it may not point at another question (those of a row have the row in their
    heading)."""
    question = BY_PATH[path]
    text = f" {words.WORDS[path].text.lower()} "
    if question.table not in ("memory", "drive", "card", "display", "device"):
        for word in (" them ", " has it", " its ", " that plug"):
            assert word not in text, word


def test_an_interrupted_talk_of_few_questions_goes_on() -> None:
    kept: dict[str, str] = {}
    first = Interview({}, keep=kept.update, most=3)
    first.choose(["cpu.year", "case.aperture", "psu.main_plug"])
    typed = iter(["2008", "stop"])
    with pytest.raises(Stopped):
        first.run(lambda asking: next(typed), quiet)
    again = Interview({}, kept, most=3)
    again.choose(["case.aperture", "psu.main_plug", "psu.cpu_plugs"])
    assert asked(again, {}) == ["case.aperture", "psu.main_plug"]
