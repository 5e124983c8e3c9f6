"""Sentences about records of the program, each in the situation in which a person meets it.

What takes plain values stands in `golden_said.tsv`, tables in `golden_tables.tsv`, rules in `rules/golden_*.tsv`.
"""

from __future__ import annotations

import datetime
import re
from types import SimpleNamespace as Some
from typing import Any

import pytest

from partsolver.catalog.dictionary import columns
from partsolver.catalog.store.prices import PriceNote
from partsolver.plan.outcome import Account, Interval, LeftOut, SecondOrder
from partsolver.report.words import answer, desk, interview, left_out, parcels, prices, second_order, speed
from partsolver.report.words.counts import count_of
from partsolver.report.words.extras import KIND_NAMES, kind_name
from partsolver.report.words.record import Names

TODAY = datetime.date(2026, 11, 29)
NAMES = Names({"b": "Board B", "c": "Processor C"})


@pytest.mark.parametrize(
    ("interrupted", "percent", "goal", "said"),
    [
        (True, None, "speed", "Interrupted: the best plans found so far; better ones are not ruled out."),
        (
            False,
            12,
            "speed",
            "The best plans found within the limit; better ones are not ruled out, at most 12 % less time for the same work"
            " than the first.",
        ),
        (
            False,
            3,
            "cost",
            "The best plans found within the limit; better ones are not ruled out, at most 3 % cheaper than the first.",
        ),
    ],
)
def test_an_answer_that_is_not_proven_says_how_far_off_it_can_be(
    interrupted: bool, percent: int | None, goal: str, said: str
) -> None:
    made: Any = Some(interrupted=interrupted, better_percent=percent)
    assert answer.best_found_words(made, goal) == said


def test_what_there_is_to_look_at_is_counted() -> None:
    assert answer.spare_words(0, 1) == "1 caution: on the sheet."
    assert answer.spare_words(1, 14) == "1 thing to look at before ordering, 14 cautions: on the sheet."
    assert answer.nothing_words(0) == ""
    assert answer.nothing_words(1) == "1 open question: partsolver survey questions."
    assert answer.nothing_words(3) == "3 open questions: partsolver survey questions."
    assert answer.condition_word(None) == "state not stated"
    assert answer.condition_word("refurbished") == "overhauled"


def test_what_stays_out_and_what_that_buys() -> None:
    names = ("television card", "old disk")
    first = "Left out, since the owner can do without: television card and old disk."
    known: Any = Some(speedup=Interval(2400, 2000, 2800))
    unknown: Any = Some(speedup=None)
    assert left_out.left_out_words(LeftOut(names), "") == f"{first} With it there is no plan."
    assert (
        left_out.left_out_words(LeftOut(names, known), "210.00 EUR")
        == f"{first} With it the first plan would cost 210.00 EUR and be 2.40 times as fast."
    )
    assert (
        left_out.left_out_words(LeftOut(names, unknown), "210.00 EUR")
        == f"{first} With it the first plan would cost 210.00 EUR and be of a speed that is not known."
    )
    assert (
        left_out.left_out_of_check(["old disk"])
        == "They fit without old disk, which the owner can do without; with it they do not."
    )


def test_old_and_raised_prices_and_stock_that_comes_and_goes() -> None:
    note = PriceNote(stated_on=datetime.date(2026, 11, 2), above_lowest_percent=12, sold_out=3, times=5)
    assert (
        prices.price_words(note, TODAY)
        == "price of 2026-11-02, 27 days old: ask before ordering; 12 % above its lowest in 90 days; out of stock 3 of the"
        " last 5 times"
    )
    assert prices.old_price_words(27) == "A price of plan 1 is 27 days old: ask before ordering."
    assert prices.old_price_words(14) == prices.old_price_words(0) == ""
    early = "The order is dated 1 day before the prices of plan 1 were stated: check --today."
    assert prices.old_price_words(-1) == early


def order(back: int | None, second: str | None = "b") -> SecondOrder:
    return SecondOrder("b", second, "s", 5500, TODAY, back)


@pytest.mark.parametrize(
    ("order", "said"),
    [
        (order(5000), "55.00 from Shop S, there on 2026-12-01; 50.00 come back of the first."),
        (order(0), "55.00 from Shop S, there on 2026-12-01; nothing comes back of the first."),
        (
            order(None, "c"),
            "Processor C instead, 55.00 from Shop S, there on 2026-12-01; ask the seller of the bundle what comes back of"
            " the first.",
        ),
        (
            order(0, None),
            "nobody has a second one, and no other part takes its place; nothing comes back of the first.",
        ),
    ],
)
def test_a_second_order(order: SecondOrder, said: str) -> None:
    assert second_order.second_order_words(order, NAMES, "55.00", "50.00", "2026-12-01", "Shop S") == said


def test_the_dearest_second_order() -> None:
    assert second_order.second_order_summary([], NAMES, "0.00") == ""
    assert (
        second_order.second_order_summary([order(0)], NAMES, "55.00")
        == "if one arrives dead: a second order of it costs up to 55.00"
    )
    assert (
        second_order.second_order_summary([order(0), order(0, None)], NAMES, "55.00")
        == "if one arrives dead: a second order of it costs up to 55.00; of Board B nobody has a second one"
    )
    assert (
        second_order.second_order_summary([order(0, None)], NAMES, "0.00")
        == "if one arrives dead: nobody has a second one of Board B"
    )


def test_where_a_gain_comes_from_and_what_is_lost() -> None:
    quick = Interval(3100, 2000, 4500)
    account = Account("waiting", 62, {}, {"drive": 108, "processor": 3, "memory_speed": -8}, quick)
    assert (
        speed.gain_sentence(account)
        == "of the gain 108 % from the drive, 8 % is lost by the speed of the memory"
    )
    assert (
        speed.held_back_sentence(account)
        == "what then holds the PC back most: waits for the drive (62 % of its time)"
    )
    assert speed.start_sentence(quick) == "programs start 3.1 times as fast (2.0 to 4.5)"


def test_what_an_interview_tells_between_its_questions() -> None:
    assert list(interview.intro_lines(2, 7, True))[1:] == [
        "2 answers of an earlier run are kept; it goes on from there.",
        "Only what the survey does not know yet is asked: at most 7 questions.",
    ]
    assert list(interview.intro_lines(1, 1, True))[1:] == [
        "1 answer of an earlier run is kept; it goes on from there.",
        "Only what the survey does not know yet is asked: at most 1 question.",
    ]
    first: Any = Some(what="first")
    wrong: Any = Some(what="wrong", text="lots", asking=Some(question=Some(kind="count")))
    assert interview.told(first) == "This is the first question."
    assert interview.told(wrong).startswith("Not understood: 'lots'. Expected ")
    assert interview.told(wrong).endswith("; ? for don't know.")
    assert list(interview.done_lines("pc.toml", 41, 2, 1)) == [
        "pc.toml written with 41 answers, 3 left open",
        "next: partsolver recommend pc.toml",
        "what further answers are worth: partsolver survey questions pc.toml",
    ]
    assert (
        interview.unused_line(["psu.year", "case.aperture"])
        == "not used, because another answer makes them needless or the survey knows them: psu.year, case.aperture"
    )


def test_a_question_says_what_the_enter_key_takes() -> None:
    question = Some(path="psu.rated_w", table="psu", key="rated_w", kind="power", choices=())
    asking = Some(
        question=question,
        number=3,
        total=40,
        at_most=False,
        row=None,
        name=None,
        seen=(),
        suggested=None,
        present=None,
    )
    asked: Any = asking
    assert interview.prompt(asked).endswith("; ? if you don't know\n> ")
    asking.suggested = "430"
    assert interview.prompt(asked).endswith("; ? if you don't know, Enter takes what was seen: 430\n> ")
    asking.present = "400"
    assert interview.prompt(asked).endswith("; ? if you don't know, Enter keeps: 400\n> ")


def test_what_is_compared_before_it_is_ordered() -> None:
    seen: Any = Some(table="boards", column="width_mm", value=244, mark="title")
    text = parcels.COMPARE_NOW.text
    assert callable(text)
    said = text({"parts": [("Board B", [seen])]})
    assert said is not None and said.startswith(
        "Compare with the seller's or the maker's page before ordering, and do not order what differs: \u2610 Board B: "
    )


def test_work_that_waits_for_other_work_says_so() -> None:
    assert desk.progress(Some(state="waiting")) == "Other work is done first."
    assert desk.progress(Some(state="stopped")) == "Stopped. Nothing was written."
    running = Some(state="running", stage="plans", done=2, total=5)
    assert desk.progress(running) == "2 of 5 plans found."


def test_every_kind_of_extra_has_a_name() -> None:
    """``sata-controller`` was shown as "sata controller", ``os-licence`` as "os licence"."""
    kinds = columns()["extras"]["kind"].type.partition(":")[2].split("|")
    assert set(KIND_NAMES) == set(kinds) and kind_name("sata-controller") == "SATA controller"
    assert not [
        name for name in KIND_NAMES.values() if re.search(r"\b(?:sata|pata|usb|os|io|cpu|tpm|ps2)\b", name)
    ]


def test_what_is_counted_is_one_where_it_is_one() -> None:
    assert [count_of(number, "drive") for number in (0, 1, 2)] == ["0 drives", "1 drive", "2 drives"]
    assert count_of(1, "box", "boxes") == "1 box" and count_of(3, "box", "boxes") == "3 boxes"
