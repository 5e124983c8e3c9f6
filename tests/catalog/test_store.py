"""The store: CSV folders in and out, one part out of several sellers' words, nothing half-written."""

from __future__ import annotations

import datetime
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from partsolver.base.errors import InputRefused
from partsolver.catalog.adding import add
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.catalog.sources import Wishes
from partsolver.catalog.store import store_path
from partsolver.catalog.store.changing import changing
from partsolver.catalog.store.derive import derive
from partsolver.catalog.store.identity import gtin14, joins_sellers
from partsolver.catalog.store.questions import forget_seller, found_parts, mark_counts, set_cells, shown
from partsolver.catalog.store.records import Fact, OfferSeen, Sighting, Source
from partsolver.catalog.store.schema import open_store
from partsolver.catalog.store.tables import export_folder
from partsolver.catalog.store.write import store_seller, store_source

ROOT = Path(__file__).resolve().parents[2]
DEMO = data_folder() / "demo"
TODAY = datetime.date(2026, 11, 29)
DAY = datetime.date(2026, 11, 20)


@pytest.fixture(scope="module")
def demo_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("store") / "parts"
    add([DEMO], folder, Wishes("EUR", TODAY))
    return folder


def test_a_folder_of_tables_and_its_store_are_the_same_catalogue(demo_store: Path, tmp_path: Path) -> None:
    tables, store = load_catalog(DEMO), load_catalog(demo_store)
    assert store.tables == tables.tables
    assert store.table_of == tables.table_of
    assert store.info.digest == tables.info.digest and store.info.as_of == tables.info.as_of
    export_folder(demo_store, tmp_path / "out")
    again = load_catalog(tmp_path / "out")
    assert again.tables == tables.tables and again.info == tables.info


def test_adding_twice_is_adding_once(tmp_path: Path) -> None:
    add([DEMO], tmp_path, Wishes("EUR", TODAY))
    first = _content(tmp_path)
    add([DEMO], tmp_path, Wishes("EUR", TODAY))
    assert _content(tmp_path) == first


def test_a_row_that_left_the_tables_leaves_the_store(tmp_path: Path) -> None:
    source = tmp_path / "mine"
    export_folder(_store_of(tmp_path / "first"), source)
    add([source], tmp_path / "parts", Wishes("EUR", TODAY))
    coolers = source / "coolers.csv"
    lines = coolers.read_text().splitlines()
    gone = lines[-1].split(",")[0]
    offers = source / "offers.csv"
    offers.write_text("\n".join(x for x in offers.read_text().splitlines() if not x.startswith(gone)) + "\n")
    coolers.write_text("\n".join(lines[:-1]) + "\n")
    add([source], tmp_path / "parts", Wishes("EUR", TODAY))
    assert gone not in load_catalog(tmp_path / "parts").table_of
    assert load_catalog(tmp_path / "parts").tables == load_catalog(source).tables


def test_tables_beside_a_new_store_are_taken_along(tmp_path: Path) -> None:
    """A store in a folder of tables would hide them."""
    export_folder(_store_of(tmp_path / "first"), tmp_path / "parts")
    other = tmp_path / "other"
    export_folder(_store_of(tmp_path / "second"), other)
    add([other], tmp_path / "parts", Wishes("EUR", TODAY))
    assert load_catalog(tmp_path / "parts").table_of == load_catalog(other).table_of


def test_a_broken_folder_changes_nothing(demo_store: Path, tmp_path: Path) -> None:
    before = _content(demo_store)
    export_folder(demo_store, tmp_path / "bad")
    cpus = tmp_path / "bad" / "cpus.csv"
    cpus.write_text(cpus.read_text().replace("halvorn", "h\x00", 1).replace(",2,2,", ",toe,2,", 1))
    with pytest.raises(InputRefused):
        add([tmp_path / "bad"], demo_store, Wishes("EUR", TODAY))
    assert _content(demo_store) == before


def test_a_store_in_another_currency_is_refused(demo_store: Path, tmp_path: Path) -> None:
    export_folder(demo_store, tmp_path / "yen")
    head = tmp_path / "yen" / "catalog.toml"
    head.write_text(head.read_text().replace('"EUR"', '"GBP"'))
    with pytest.raises(InputRefused, match="another currency"):
        add([tmp_path / "yen"], demo_store, Wishes("EUR", TODAY))


def test_a_file_that_is_no_store_is_refused(tmp_path: Path) -> None:
    store_path(tmp_path).write_text("not a database, but long enough to look at" * 40)
    with pytest.raises(InputRefused, match="cannot be read as a store"):
        load_catalog(tmp_path)


# -- identity and which word counts ---------------------------------------------------------------------------


def seen(seller: str, day: datetime.date = DAY, origin: str = "", **more: object) -> Sighting:
    given = {"table": "boards", "name": "Tollmere R60", "place": "1", **more}
    return Sighting(seller=seller, origin=origin or f"{seller}.csv", stated_on=day, **given)  # type: ignore[arg-type]


def source(*sightings: Sighting, series: str | None = None) -> Source:
    first = sightings[0]
    return Source(
        first.origin,
        first.origin + str(first.stated_on),
        first.stated_on,
        first.seller,
        sightings,
        series=series,
    )


def store(folder: Path, *sources: Source, tax: str | None = None) -> Path:
    with changing(folder) as connection:
        if connection.execute("SELECT 1 FROM meta WHERE key = 'currency'").fetchone() is None:
            rows = [("currency", "EUR"), ("name", "n"), ("origin", "o"), ("as_of", "2026-01-01")]
            reference = (
                '{"serial_score":1,"parallel_score":1,"memory_mbs":1,"storage_mbs":1,"graphics_score":1}'
            )
            connection.executemany("INSERT INTO meta VALUES(?, ?)", [*rows, ("reference", reference)])
        touched: set[str] = set()
        for one in sources:
            for sighting in one.sightings:
                percent = 1900 if tax == "net" else None
                store_seller(connection, sighting.seller, sighting.seller, tax=tax, tax_percent_x100=percent)
            touched |= store_source(connection, one)
        derive(connection, touched)
    return folder


def cell(folder: Path, part: str, column: str) -> tuple[str | None, str]:
    connection = open_store(folder)
    found = dict(shown(connection, part).cells)[column]
    connection.close()
    return found.value, found.mark


def facts(mark: str, **cells: str) -> tuple[Fact, ...]:
    return tuple(Fact(column, value, mark, "1") for column, value in cells.items())  # type: ignore[arg-type]


def test_check_digits_of_published_worked_examples() -> None:
    """GS1 Hong Kong, check-digit page: 629104150021 -> 3; GS1 Sweden: 730001100001 -> 7; GS1 India:
    890400021003 -> 7 (worked examples of those pages)."""
    for right in ("6291041500213", "7300011000017", "8904000210037"):
        assert gtin14(right) == "0" + right
        for digit in set("0123456789") - {right[-1]}:
            assert gtin14(right[:-1] + digit) is None
    assert gtin14("629104150021-3") == "06291041500213"  # as printed with a hyphen


def test_numbers_of_one_shop_never_join_two() -> None:
    """GS1 General Specifications: prefixes 02, 04 and 2 are for use inside a company (from memory)."""
    for number in ("2000000000008", "0200000000004"):
        found = gtin14(number)
        assert found is not None and not joins_sellers(found)
    assert joins_sellers("06291041500213")
    assert not joins_sellers("16291041500210")  # a carton


def test_two_sellers_words_on_one_article(tmp_path: Path) -> None:
    one = seen("north", maker="Tollmere", mpn="R60-M/B", facts=facts("title", memory_generation="ddr4"))
    two = seen("south", gtin="6291041500213", name="R60 board", facts=facts("printed", socket="AM4"))
    three = seen(
        "west", maker="TOLLMERE", mpn="R60 MB", gtin="6291041500213", facts=facts("sheet", depth_mm="226")
    )
    store(tmp_path, source(one), source(two), source(three))
    catalog = load_catalog(tmp_path)
    (board,) = catalog.tables["boards"]
    assert (board.socket, board.memory_generation, board.depth_mm) == (
        "AM4",
        "ddr4",
        226,
    ) or board.socket == "am4"
    assert catalog.marks[board.id] == "depth_mm:sheet memory_generation:title socket:printed"


def test_the_order_of_files_does_not_matter(tmp_path: Path) -> None:
    sources = [
        source(seen("north", maker="Tollmere", mpn="R60-M", facts=facts("title", socket="AM4"))),
        source(seen("south", gtin="6291041500213", name="B", facts=facts("printed", socket="AM4"))),
        source(seen("west", maker="Tollmere", mpn="R60-M", gtin="6291041500213", name="A")),
        source(
            seen(
                "north", TODAY, "later.csv", maker="Tollmere", mpn="R60-M", facts=facts("title", socket="AM5")
            )
        ),
    ]
    one = store(tmp_path / "a", *sources)
    other = tmp_path / "b"
    for given in reversed(sources):
        store(other, given)
    assert load_catalog(one).tables == load_catalog(other).tables


def test_contradictions_are_questions_and_a_sheet_settles_them(tmp_path: Path) -> None:
    both = facts("printed", memory_generation="ddr5") + facts("title", memory_generation="ddr4")
    store(tmp_path, source(seen("north", own_id="r60", facts=both)))
    assert cell(tmp_path, "r60", "memory_generation") == (None, "printed")
    assert load_catalog(tmp_path).tables["boards"][0].memory_generation is None
    sheet = seen("maker", own_id="r60", facts=facts("sheet", memory_generation="ddr4"))
    store(tmp_path, source(sheet))
    assert cell(tmp_path, "r60", "memory_generation") == ("ddr4", "sheet")
    other = seen(
        "maker", origin="other.pdf", own_id="r60", sku="x", facts=facts("sheet", memory_generation="ddr5")
    )
    store(tmp_path, source(seen("maker2", own_id="r60", facts=other.facts)))
    assert cell(tmp_path, "r60", "memory_generation")[0] is None
    with changing(tmp_path) as connection:
        set_cells(connection, "r60", [("memory_generation", "ddr4")], TODAY)
    assert cell(tmp_path, "r60", "memory_generation") == ("ddr4", "typed")


def test_what_is_typed_must_be_readable(tmp_path: Path) -> None:
    store(
        tmp_path,
        source(seen("north", own_id="r60")),
        source(seen("you", own_id="r60", facts=facts("typed", socket="AM4"))),
    )
    for cells in ([("memory_generation", "ddr9")], [("depth", "3")], [("id", "x")]):
        with pytest.raises(InputRefused), changing(tmp_path) as connection:
            set_cells(connection, "r60", cells, TODAY)
    with pytest.raises(InputRefused, match="r60"), changing(tmp_path) as connection:
        set_cells(connection, "r6", [("socket", "AM4")], TODAY)


# -- offers ------------------------------------------------------------------------------------------------------


def offer(price: int, day: datetime.date = DAY, **more: object) -> tuple[OfferSeen, ...]:
    return (OfferSeen(price, day, **more),)  # type: ignore[arg-type]


def test_the_newer_offer_wins_and_the_older_is_history(tmp_path: Path) -> None:
    old = seen("north", sku="1", offers=offer(8990), facts=facts("title", socket="AM4"))
    new = seen("north", TODAY, sku="1", offers=offer(9990, TODAY))
    for order in ((old, new), (new, old)):
        folder = tmp_path / str(order[0].stated_on)
        for one in order:
            store(folder, source(one, series="list"))
        assert [o.price for o in load_catalog(folder).tables["offers"]] == [9990]
        connection = open_store(folder)
        (part,) = load_catalog(folder).table_of
        assert [line.price_minor for line in shown(connection, part).offers] == [9990, 8990]
        connection.close()


def test_what_a_newer_list_leaves_out_is_gone(tmp_path: Path) -> None:
    first = [seen("north", sku=str(n), name=f"R{n}", offers=offer(100 * n)) for n in (1, 2)]
    later = seen("north", TODAY, sku="1", name="R1", offers=offer(150, TODAY))
    page = seen("south", sku="9", name="R9", offers=offer(900))
    store(tmp_path, source(*first, series="list"), source(page), source(later, series="list"))
    assert sorted(o.price for o in load_catalog(tmp_path).tables["offers"]) == [150, 900]
    # A page of another article does not make the other pages' offers old.
    store(tmp_path, source(seen("south", TODAY, sku="8", name="R8", offers=offer(800, TODAY))))
    assert sorted(o.price for o in load_catalog(tmp_path).tables["offers"]) == [150, 800, 900]


def test_net_prices_are_counted_gross(tmp_path: Path) -> None:
    """119.00 = 100.00 with 19 % (arithmetic); 0.05 with 19 % is 0.0595, half up 0.06."""
    store(
        tmp_path,
        source(
            seen("north", sku="1", name="R1", offers=offer(10000)),
            seen("north", sku="2", name="R2", offers=offer(5)),
            seen("north", sku="3", name="R3", offers=offer(10000, tax="gross")),
            seen("north", sku="4", name="R4", offers=offer(10000, tax="final")),
        ),
        tax="net",
    )
    assert sorted(o.price for o in load_catalog(tmp_path).tables["offers"]) == [6, 10000, 10000, 11900]


def test_a_forgotten_seller_leaves_nothing_but_what_was_typed(tmp_path: Path) -> None:
    store(tmp_path, source(seen("north", sku="1", offers=offer(100), facts=facts("title", socket="AM4"))))
    (part,) = load_catalog(tmp_path).table_of
    with changing(tmp_path) as connection:
        assert forget_seller(connection, "north") == 1
    assert not load_catalog(tmp_path).table_of and not load_catalog(tmp_path).tables["sellers"]
    with pytest.raises(InputRefused), changing(tmp_path) as connection:
        forget_seller(connection, "north")
    del part


def test_words_are_found_in_what_any_seller_calls_it(demo_store: Path) -> None:
    connection = open_store(demo_store)
    assert [row[0] for row in found_parts(connection, ["brunnach", "k10m"])] == ["br-k10m"]
    connection.close()


# -- whole or not at all -----------------------------------------------------------------------------------------


IMPORT_AND_HANG = """
import sys, time
from pathlib import Path
from partsolver.catalog.store.changing import changing
folder = Path(sys.argv[1])
with changing(folder) as connection:
    connection.execute("DELETE FROM facts")
    connection.execute("DELETE FROM offers")
    (folder / "begun").touch()
    time.sleep(60)
"""


def test_a_killed_import_leaves_the_state_before(demo_store: Path) -> None:
    before = _content(demo_store)
    with subprocess.Popen([sys.executable, "-c", IMPORT_AND_HANG, str(demo_store)], cwd=ROOT) as process:
        for _ in range(1200):
            if (demo_store / "begun").exists() or process.poll() is not None:
                break
            time.sleep(0.05)
        assert (demo_store / "begun").exists()
        # Meanwhile a reader sees the state before.
        assert load_catalog(demo_store).table_of
        process.kill()
    assert _content(demo_store) == before


def test_an_error_inside_an_import_takes_all_of_it_back(demo_store: Path) -> None:
    before = _content(demo_store)
    with pytest.raises(RuntimeError), changing(demo_store) as connection:
        connection.execute("DELETE FROM facts")
        raise RuntimeError
    with pytest.raises(InputRefused, match="nothing was changed"), changing(demo_store) as connection:
        connection.execute("DELETE FROM facts")
        connection.execute("PRAGMA max_page_count = 1")
        for number in range(20000):
            connection.execute("INSERT INTO meta VALUES(?, ?)", (f"key {number}", "x" * 500))
    assert _content(demo_store) == before


def _store_of(folder: Path) -> Path:
    add([DEMO], folder, Wishes("EUR", TODAY))
    return folder


def _content(folder: Path) -> list[str]:
    connection = sqlite3.connect(store_path(folder))
    lines = list(connection.iterdump())
    connection.close()
    return lines


def test_a_store_made_before_a_column_was_known_is_read_and_changed(tmp_path: Path) -> None:
    """What it cannot know is unknown; reading does not change the file."""
    folder = _store_of(tmp_path / "parts")
    with closing(sqlite3.connect(store_path(folder))) as connection:
        connection.execute("ALTER TABLE wide_boards DROP COLUMN ps2_ports")
    before = store_path(folder).read_bytes()
    boards = load_catalog(folder).tables["boards"]
    assert boards and all(board.ps2_ports is None for board in boards)
    with closing(open_store(folder)) as connection:
        counts = mark_counts(connection)
        assert "ps2_ports" in shown(connection, boards[0].id).unknown or counts["unknown"] > 0
    assert store_path(folder).read_bytes() == before
    with changing(folder) as connection:
        set_cells(connection, boards[0].id, [("ps2_ports", "2")], TODAY)
    assert load_catalog(folder).part(boards[0].id).ps2_ports == 2  # type: ignore[union-attr]


# -- platform rows -----------------------------------------------------------------------------------------------

PLATFORMS = """table,by,word,column,value,source
boards,chipset,B450,memory_generation,ddr4,s
boards,chipset,B450,memory_max_rate_mts,2666..3200,s
boards,form_factor,microatx,depth_mm,226..244,s
cpus,name,ostrelle weald v*,family,weald,s
cpus,family,weald,memory_rates,ddr4:3200,s
"""


def test_platform_rows_fill_what_nobody_states_at_the_worse_end(tmp_path: Path) -> None:
    board = facts("title", chipset="B450", form_factor="microatx", socket="AM4")
    stated = (*board, *facts("printed", memory_max_rate_mts="3466"))
    cpu = seen(
        "north", table="cpus", name="Ostrelle Weald V6s-42, 6 cores", sku="2", facts=facts("title", cores="6")
    )
    store(
        tmp_path,
        source(seen("north", sku="1", facts=board), cpu, seen("north", sku="3", name="C", facts=stated)),
    )
    (tmp_path / "platforms.csv").write_text(PLATFORMS)
    add([tmp_path / "platforms.csv"], tmp_path, Wishes("EUR", TODAY))
    catalog = load_catalog(tmp_path)
    plain = next(b for b in catalog.tables["boards"] if b.name == "Tollmere R60")
    assert (plain.memory_generation, plain.memory_max_rate_mts, plain.depth_mm) == ("ddr4", 2666, 244)
    assert "memory_max_rate_mts:platform" in catalog.marks[plain.id]
    assert next(b for b in catalog.tables["boards"] if b.name == "C").memory_max_rate_mts == 3466
    assert catalog.tables["cpus"][0].family == "weald"
    assert catalog.tables["cpus"][0].memory_rates == (("ddr4", 3200),)


@pytest.mark.parametrize("column", ["main_plug", "outputs", "firmware_shipped", "sata_6g_ports", "cpu_plugs"])
def test_what_differs_from_board_to_board_is_never_inherited(column: str, tmp_path: Path) -> None:
    path = tmp_path / "platforms.csv"
    path.write_text(f"table,by,word,column,value,source\nboards,chipset,B450,{column},1,s\n")
    with pytest.raises(InputRefused, match="a platform does not fix this"):
        add([path], tmp_path / "parts", Wishes("EUR", TODAY))
    assert not store_path(tmp_path / "parts").exists()
