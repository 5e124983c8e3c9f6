"""Articles of one seller that have one title: told apart by what is stated of them."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from partsolver.catalog.load import load_catalog
from partsolver.cli import run

TWO_MAKERS = "Name;Manufacturer;Price EUR gross\nPower supply 500W ATX;Maskell;31,00\nPower supply 500W ATX;Corvane;39,00\n"


def of_one_title(text: str) -> list[tuple[str, str, int]]:
    """Part, maker and price in minor units of the current offers, after one more list of the seller."""
    Path("north.csv").write_text(text)
    assert run(["catalog", "add", "north.csv", "--tax", "gross", "--date", "2026-11-10"]) == 0
    with closing(sqlite3.connect("parts/catalog.sqlite")) as store:
        query = (
            "SELECT o.part, s.maker, o.price_minor FROM current_offers o JOIN sightings s ON s.key = o.sighting"
            " ORDER BY o.price_minor"
        )
        return store.execute(query).fetchall()


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.mark.usefixtures("bench")
def test_two_makers_articles_of_one_title_are_two_parts() -> None:
    (one, maker, price), (other, other_maker, other_price) = of_one_title(TWO_MAKERS)
    assert one != other
    assert (maker, price, other_maker, other_price) == ("Maskell", 3100, "Corvane", 3900)
    # in another order of the rows, and read again, they are the same two
    header, first, second = TWO_MAKERS.splitlines()
    again = of_one_title("\n".join([header, second, first, ""]))
    assert [part for part, _, _ in again] == [one, other]


@pytest.mark.usefixtures("bench")
def test_an_article_whose_maker_is_stated_later_stays_one_part() -> None:
    ((part, _, _),) = of_one_title("Name;Price EUR gross\nPower supply 500W ATX;31,00\n")
    assert run(["catalog", "set", part, "year=2024"]) == 0
    ((same, maker, price),) = of_one_title("\n".join(TWO_MAKERS.splitlines()[:2]) + "\n")
    assert (same, maker, price) == (part, "Maskell", 3100)
    (supply,) = load_catalog("parts").tables["psus"]
    assert (supply.id, supply.year) == (part, 2024)


@pytest.mark.usefixtures("bench")
def test_what_an_older_version_kept_of_a_name_is_replaced() -> None:
    """It left the maker out of the key, and a wrong reading of the title (here 900 W) stands under it."""
    ((part, _, _),) = of_one_title("\n".join(TWO_MAKERS.splitlines()[:2]) + "\n")
    with closing(sqlite3.connect("parts/catalog.sqlite")) as store:
        (key,) = store.execute("SELECT key FROM sightings").fetchone()
        bare = key.rpartition("\t")[0]
        store.execute("UPDATE sightings SET key = ?", (bare,))
        for table in ("facts", "offers"):
            store.execute(f"UPDATE {table} SET sighting = ?", (bare,))
        store.execute("UPDATE facts SET value = '900' WHERE col = 'rated_w'")
        store.commit()
    assert load_catalog("parts").tables["psus"][0].rated_w == 900
    assert [row[:1] for row in of_one_title("\n".join(TWO_MAKERS.splitlines()[:2]) + "\n")] == [(part,)]
    (supply,) = load_catalog("parts").tables["psus"]
    assert (supply.id, supply.rated_w) == (part, 500)
