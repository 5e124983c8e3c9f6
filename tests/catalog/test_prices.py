"""What is said of a price beside it: its age, its lowest in 90 days, how often it was out of stock."""

from __future__ import annotations

import datetime
import os
import re
import shutil
import sqlite3
import time
from pathlib import Path

import pytest

from partsolver.base import textfile
from partsolver.catalog.adding import add
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.catalog.sources import Wishes
from partsolver.catalog.store.prices import PriceNote
from partsolver.cli import run
from partsolver.report.words.prices import old_price_words, price_words

HEADER = "Name;Price EUR gross;Stock\n"
NAME = "Lumbrick 8GB (2x4GB) DDR4-2666 CL22"


def weeks(*told: tuple[str, str, int]) -> None:
    for day, price, stock in told:
        Path("north.csv").write_text(f"{HEADER}{NAME};{price};{stock}\nLumbrick 4GB DDR4-2666 CL19;9,00;3\n")
        assert run(["catalog", "add", "north.csv", "--tax", "gross", "--date", day]) == 0


def test_prices_are_compared_with_tax_and_in_one_currency() -> None:
    """30.00 net at 20 % are 36.00, 12 % over 32.00; beside 5.00 in another currency nothing is said."""
    weeks(("2026-10-01", "32,00", 1))
    Path("north.csv").write_text(f"{HEADER.replace('gross', 'net')}{NAME};30,00;1\n")
    told = ["--tax", "net", "--rate", "20", "--date", "2026-10-08"]
    assert run(["catalog", "add", "north.csv", *told]) == 0
    assert note_of().above_lowest_percent == 12
    for day, currency, price in (("2026-10-15", "USD", "5,00"), ("2026-10-22", "EUR", "36,00")):
        Path("north.csv").write_text(f"{HEADER.replace('EUR', currency)}{NAME};{price};1\n")
        told = ["--tax", "gross", "--date", day, "--exchange", "USD=0.5"]
        assert run(["catalog", "add", "north.csv", *told]) == 0
    assert note_of().above_lowest_percent == 12


def note_of() -> PriceNote:
    catalog = load_catalog("parts")
    part = next(row.id for row in catalog.tables["memory"] if row.name == NAME)
    return catalog.price_notes[part, "north"]


@pytest.fixture(autouse=True)
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_a_price_is_compared_with_its_lowest_of_90_days() -> None:
    # 10.00 lies more than 90 days back: 28.00 over 25.00 are 12 %.
    weeks(("2026-06-01", "10,00", 1), ("2026-09-10", "25,00", 1), ("2026-11-01", "28,00", 1))
    assert note_of().above_lowest_percent == 12
    weeks(("2026-11-08", "24,00", 1))
    assert note_of() == PriceNote(datetime.date(2026, 11, 8), 0, 4, 0)


def test_how_often_it_was_out_of_stock() -> None:
    days = ("2026-10-01", "2026-10-08", "2026-10-15", "2026-10-22", "2026-10-29", "2026-11-05")
    weeks(*((day, "25,00", stock) for day, stock in zip(days, (0, 0, 4, 0, 0, 2), strict=True)))
    note = note_of()
    assert (note.times, note.sold_out) == (5, 3)
    assert price_words(note, datetime.date(2026, 11, 6)) == "out of stock 3 of the last 5 times"


def test_what_is_older_than_14_days_is_said() -> None:
    note = PriceNote(datetime.date(2026, 11, 1))
    assert price_words(note, datetime.date(2026, 11, 15)) == ""
    assert price_words(note, datetime.date(2026, 11, 16)).startswith("price of 2026-11-01, 15 days old")
    assert old_price_words(14) == "" and "15 days old" in old_price_words(15)


def test_the_answer_says_that_a_price_is_old(capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copy(data_folder() / "demo-survey.toml", "pc.toml")
    assert run(["catalog", "add", str(data_folder() / "demo")]) == 0
    day = load_catalog("parts").info.as_of + datetime.timedelta(days=20)
    capsys.readouterr()
    assert run(["recommend", "pc.toml", "--today", day.isoformat(), "--show", "1"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "A price of plan 1 is 20 days old: ask before ordering." in told and ", 20 days old" in told


def test_a_list_older_than_the_last_one_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    """A clock of another zone, or a file saved before: its prices do not count, and "nothing changed" was all
    that was said."""
    weeks(("2026-11-08", "24,00", 1))
    capsys.readouterr()
    weeks(("2026-11-07", "39,00", 1))
    told = " ".join(capsys.readouterr().out.split())
    assert "older than the last list, of 2026-11-08: where that one says a price, it stays" in told
    assert max(offer.price for offer in load_catalog("parts").tables["offers"]) == 2400
    weeks(("2026-11-09", "39,00", 1))
    told = " ".join(capsys.readouterr().out.split())
    assert "older than" not in told and "1 dearer" in told


@pytest.mark.parametrize(
    ("days", "told"),
    [
        (14, None),
        (15, "A price of plan 1 is 15 days old: ask before ordering."),
        (-1, "The order is dated 1 day before the prices of plan 1"),
    ],
)
def test_the_prices_of_tables_are_of_the_catalogues_day(
    days: int, told: str | None, capsys: pytest.CaptureFixture[str]
) -> None:
    """``as_of``: the day of the prices (catalog.toml's template). Months later, or before, nothing was said."""
    day = load_catalog(data_folder() / "demo").info.as_of + datetime.timedelta(days=days)
    assert run(["recommend", "--demo", "--today", day.isoformat(), "--need-by", "2027-02-01"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert re.search(rf"Plan 1 is complete on [0-9-]+ when ordered on {day}\.", text)
    assert ("of plan 1 is" in text or "prices of plan 1" in text) is (told is not None)
    assert told is None or told in text


def listed(*options: str) -> tuple[int, list[str]]:
    """Exit code of reading one list, and the days of the store's offers."""
    code = run(["catalog", "add", "north.csv", "--tax", "gross", *options])
    notes = load_catalog("parts").price_notes.values() if code == 0 else ()
    return code, sorted({note.stated_on.isoformat() for note in notes})


@pytest.mark.parametrize("day", ["{tomorrow}", "2027-02-30", "0026-11-01", "1979-12-31"])
def test_no_list_is_of_a_day_that_cannot_be(day: str, capsys: pytest.CaptureFixture[str]) -> None:
    tomorrow = datetime.date.today() + datetime.timedelta(days=1)
    Path("north.csv").write_text(f"{HEADER}{NAME};25,00;1\n")
    assert listed("--date", day.format(tomorrow=tomorrow)) == (2, [])
    assert "--date" in capsys.readouterr().err
    assert not Path("parts").exists()


# Seconds since 1970 (POSIX.1-2017, section 4.16), and days in a year.
@pytest.mark.parametrize("stamp", [0, 315_532_800, "to come", 10**13])
def test_a_time_stamp_that_cannot_be_is_said(stamp: int | str, capsys: pytest.CaptureFixture[str]) -> None:
    """None (the first moment of POSIX, of FAT and ZIP: 1 January 1980, UTC), to come, and beyond the year 9999: a fault of
    the program where the file system keeps it."""
    Path("north.csv").write_text(f"{HEADER}{NAME};25,00;1\n")
    seconds = time.time() + 2 * 366 * 86_400 if isinstance(stamp, str) else stamp
    os.utime("north.csv", (seconds, seconds))
    assert listed() == (0, [datetime.date.today().isoformat()])
    assert "time stamp of north.csv is none, or to come" in capsys.readouterr().err
    assert listed("--date", "2026-11-08")[0] == 0
    assert "time stamp" not in capsys.readouterr().err


def test_a_file_is_looked_at_once(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is put in its place, or done to its time stamp, once it is open changes neither what is read, nor its day,
    nor what is said of it."""
    Path("north.csv").write_text(f"{HEADER}{NAME};25,00;1\n")
    day = datetime.datetime(2026, 11, 3, 12).timestamp()
    os.utime("north.csv", (day, day))
    real = textfile._read_all

    def replaced(path: Path, *rest: object) -> bytes:
        if path.name == "north.csv":
            Path("new.csv").write_text(f"{HEADER}{NAME};99,00;1\n")
            os.utime("new.csv", (10**11, 10**11))  # far in the future
            os.replace("new.csv", "north.csv")
        return real(path, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(textfile, "_read_all", replaced)
    assert listed() == (0, ["2026-11-03"])
    assert "time stamp" not in capsys.readouterr().err
    prices = sqlite3.connect("parts/catalog.sqlite").execute("SELECT price_minor FROM offers").fetchall()
    assert prices == [(2500,)]


def test_prices_from_a_day_to_come_are_said(capsys: pytest.CaptureFixture[str]) -> None:
    """A store that was filled while the clock was ahead, or a clock that was set back."""
    Path("north.csv").write_text(f"{HEADER}{NAME};25,00;1\n")
    wishes = Wishes("EUR", datetime.date(2098, 1, 1), stated_on=datetime.date(2097, 5, 6), tax="gross")
    add([Path("north.csv")], Path("parts"), wishes)
    assert listed()[0] == 0
    told = capsys.readouterr().err
    assert "prices of north of 2097-05-06" in told and "clock" in told
