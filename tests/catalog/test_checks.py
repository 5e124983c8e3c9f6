"""Every named data check finds what it is for, and nothing in rows that are in order."""

from __future__ import annotations

import datetime
import json
import shutil
from collections.abc import Mapping
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from strategies import write_catalog
from support import BOARD, COOLER, CPU, KIT, PSU, SELLER, TODAY, make_catalog

from partsolver.base.errors import InputRefused
from partsolver.catalog.checks import CHECKS, run_checks
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.catalog.records import Bundle, Offer
from partsolver.catalog.store.questions import mark_counts
from partsolver.catalog.store.schema import open_store
from partsolver.cli import run
from partsolver.report.catalog import doubt_sentence

SUPPLY = replace(PSU, id="psu-a", rated_w=400, rail_12v_ma=(30000,), combined_12v_ma=30000)
DAY = datetime.timedelta(days=1)


def offer(part: str, **facts: Any) -> Offer:
    return Offer(part, "shop", 1000, **facts)


# Three sellers' prices of the board; one of each of the rest.
PRICES = [
    *(Offer("board-a", "shop", price) for price in (2790, 2890, 3190)),
    *(Offer(part, "shop", 1000) for part in ("cpu-a", "kit-a", "cooler-a")),
]


# check: (tables that are in order, tables that are doubtful, table, part, column, value)
CASES: dict[str, tuple[dict[str, Any], dict[str, Any], str, str, str, str]] = {
    # microATX 1.2: 244 x 244 mm; lists round up to whole millimetres.
    "board-larger-than-outline": (
        {"boards": (replace(BOARD, width_mm=245, depth_mm=244),)},
        {"boards": (replace(BOARD, depth_mm=246),)},
        "boards",
        "board-a",
        "depth_mm",
        "246",
    ),
    "family-of-another-socket": (
        {
            "boards": (replace(BOARD, cpu_families=(("fam-1", "1.00"), ("fam-7", "2.00"))),)
        },  # nothing is known of fam-7
        {
            "boards": (replace(BOARD, cpu_families=(("fam-2", "1.00"),)),),
            "cpus": (replace(CPU, socket="sock-2", family="fam-2"),),
        },
        "boards",
        "board-a",
        "cpu_families",
        "fam-2",
    ),
    "family-twice": (
        {},
        {"boards": (replace(BOARD, cpu_families=(("fam-1", "1.00"), ("fam-1", "1.20"))),)},
        "boards",
        "board-a",
        "cpu_families",
        "fam-1",
    ),
    # One model as two sellers write it, and no fact in which they differ; another model of the series is
    # another board.
    "may-be-the-same": (
        {
            "boards": (
                replace(BOARD, name="Tollmere B550M-99 mATX"),
                replace(BOARD, id="board-b", name="TOLLMERE B550M-98 mainboard, mATX"),
            )
        },
        {
            "boards": (
                replace(BOARD, name="Tollmere B550M-99 mATX", ps2_ports=None),
                replace(BOARD, id="board-b", name="TOLLMERE B550M-99 mainboard, micro ATX"),
            )
        },
        "boards",
        "board-b",
        "id",
        "board-b",
    ),
    "module-over-board-limit": (
        {"boards": (replace(BOARD, memory_slots=4, memory_max_module_mib=16384, memory_max_mib=65536),)},
        {"boards": (replace(BOARD, memory_slots=2, memory_max_module_mib=16384, memory_max_mib=65536),)},
        "boards",
        "board-a",
        "memory_max_mib",
        "65536",
    ),
    "never-offered": (
        {
            "offers": (),
            "bundles": (
                Bundle(
                    "set",
                    "Set",
                    "parts",
                    (("board-a", 1), ("cpu-a", 1), ("kit-a", 1), ("cooler-a", 1)),
                    "shop",
                    900,
                ),
            ),
        },
        {"offers": (offer("board-a"), offer("cpu-a"), offer("cooler-a"))},
        "memory",
        "kit-a",
        "id",
        "kit-a",
    ),
    "price-expired": (
        {"offers": [offer(p, valid_until=TODAY) for p in ("board-a", "cpu-a", "kit-a", "cooler-a")]},
        {
            "offers": [
                offer("board-a"),
                offer("cpu-a", valid_until=TODAY - DAY),
                offer("kit-a"),
                offer("cooler-a"),
            ]
        },
        "offers",
        "cpu-a",
        "valid_until",
        "2026-11-19",
    ),
    # A price in which the decimal sign was lost: 2,890.00 for 28.90 (titles-and-pages 10.3 has such a list).
    "price-out-of-line": (
        {"offers": [*PRICES, Offer("board-a", "shop", 4500)]},
        {"offers": [*PRICES, Offer("board-a", "shop", 289000)]},
        "offers",
        "board-a",
        "price",
        "2890.00",
    ),
    # JESD79-4: DDR4 up to 3200 MT/s; 3600 is an overclocking profile.
    "rate-off-standard": (
        {"memory": (replace(KIT, rate_mts=3200),)},
        {"memory": (replace(KIT, rate_mts=3600),)},
        "memory",
        "kit-a",
        "rate_mts",
        "3600",
    ),
    "score-against-cores": (
        {"cpus": (replace(CPU, serial_score=1000, parallel_score=8000, threads=8),)},
        {"cpus": (replace(CPU, serial_score=1000, parallel_score=8001, threads=8),)},
        "cpus",
        "cpu-a",
        "parallel_score",
        "8001",
    ),
    # 16.666 A x 12 V = 199.99 W, just below half of 400 W.
    "supply-rails-below-label": (
        {"psus": (replace(SUPPLY, combined_12v_ma=16667),)},
        {"psus": (replace(SUPPLY, combined_12v_ma=16666),)},
        "psus",
        "psu-a",
        "rail_12v_ma",
        "16666",
    ),
}


def test_every_check_has_a_case() -> None:
    assert list(CASES) == list(CHECKS)


@pytest.mark.parametrize("name", CASES)
def test_check_finds_what_it_is_for_and_nothing_else(name: str) -> None:
    good, bad, table, part, column, value = CASES[name]
    assert [d for d in run_checks(make_catalog(**good)) if d.check == name] == []
    found = run_checks(make_catalog(**bad))
    assert [(d.check, d.table, d.part, d.column, d.value) for d in found] == [
        (name, table, part, column, value)
    ]
    assert not found[0].refuses and value.removeprefix(part) in doubt_sentence(found[0])


def test_a_catalogue_in_order_has_no_doubts() -> None:
    assert run_checks(make_catalog(psus=(SUPPLY,))) == ()


@pytest.mark.parametrize("facts", [{"serial_score": None}, {"parallel_score": None}])
def test_unknown_facts_are_no_doubt(facts: Mapping[str, Any]) -> None:
    assert (
        run_checks(
            make_catalog(
                cpus=(replace(CPU, **facts),), boards=(replace(BOARD, form_factor="own", width_mm=400),)
            )
        )
        == ()
    )


def blank(row: Any) -> Any:
    """A row of which only id and name are known."""
    return type(row)(id=row.id, name=row.name)


def test_rows_of_which_nothing_is_known_are_no_doubt() -> None:
    catalog = make_catalog(
        boards=(blank(BOARD), replace(BOARD, id="board-b", name="Board B")),
        cpus=(blank(CPU), replace(CPU, id="cpu-b", name="Processor B")),
        memory=(blank(KIT),),
        coolers=(blank(COOLER),),
        psus=(blank(SUPPLY), replace(SUPPLY, id="psu-b", name="Supply B", rated_w=None)),
    )
    assert run_checks(catalog) == ()


def test_two_rows_that_differ_in_a_fact_are_two_products() -> None:
    rows = (
        replace(BOARD, name="Tollmere B550M-99", depth_mm=226),
        replace(BOARD, id="board-b", name="Tollmere B550M-99", depth_mm=244),
    )
    assert not [d for d in run_checks(make_catalog(boards=rows)) if d.check == "may-be-the-same"]


def test_prices_are_compared_with_parts_like_it_where_one_seller_has_it() -> None:
    kits = [replace(KIT, id=f"kit-{n}", name=f"Kit {n}x", maker=f"M{n}") for n in range(7)]
    prices = [1900, 2100, 2000, 2500, 1800, 2200]
    offers = [Offer(kit.id, "shop", price) for kit, price in zip(kits, [*prices, 150], strict=True)]
    found = [
        d for d in run_checks(make_catalog(memory=kits, offers=offers)) if d.check == "price-out-of-line"
    ]
    assert [(d.part, d.value) for d in found] == [("kit-6", "1.50")]
    assert "20.00 usual in 6 other offers of parts like it" in doubt_sentence(found[0])
    used = [replace(offer, condition="used") for offer in offers[6:]]  # nothing used to compare it with
    assert not [
        d
        for d in run_checks(make_catalog(memory=kits, offers=[*offers[:6], *used]))
        if d.check == "price-out-of-line"
    ]


def test_marks_and_blanks_that_decide_are_counted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The counts of a loaded catalogue are those that its store counts; the folder here is taken by
    itself."""
    files = Path(__file__).parent / "files"
    monkeypatch.chdir(tmp_path)
    shutil.copy(data_folder() / "demo-survey.toml", "pc.toml")
    assert (
        run(["catalog", "add", str(files / "pages"), str(files / "makers"), str(files / "platforms.csv")])
        == 0
    )
    capsys.readouterr()
    assert run(["catalog", "check", "--for", "pc.toml", "--format", "json"]) == 0
    document = json.loads(capsys.readouterr().out)
    with closing(open_store(tmp_path / "parts")) as connection:
        assert document["facts"] == mark_counts(connection)
    assert document["facts"]["sheet"] > 0 and document["facts"]["unknown"] > 0
    catalog = load_catalog("parts")
    for blank_column in document["blank"]:
        rows = catalog.tables[blank_column["table"]]
        assert len(rows) == blank_column["rows"]
        assert sum(getattr(row, blank_column["column"]) is None for row in rows) == blank_column["blank"] > 0
    assert document["name"] == "parts" and isinstance(document["matter"], list)
    assert run(["catalog", "check"]) == 0
    said = capsys.readouterr().out
    assert "from makers' sheets" in said and "Blank facts that decide" in said and "--for SURVEY" in said


def test_score_below_the_one_thread_score_is_doubtful() -> None:
    assert [
        d.check for d in run_checks(make_catalog(cpus=(replace(CPU, serial_score=1000, parallel_score=900),)))
    ] == ["score-against-cores"]


def test_strict_names_the_checks_that_refuse() -> None:
    catalog = make_catalog(memory=(replace(KIT, rate_mts=3600),))
    assert [d.refuses for d in run_checks(catalog, ["rate-off-standard"])] == [True]
    assert [d.refuses for d in run_checks(catalog, ["family-twice"])] == [False]
    with pytest.raises(InputRefused, match="Did you mean 'family-twice'"):
        run_checks(catalog, ["familytwice"])


@pytest.mark.parametrize(
    ("strict", "code"), [([], 0), (["--strict", "rate-off-standard"], 2), (["--strict", "family-twice"], 0)]
)
def test_command_line(
    tmp_path: Path, strict: list[str], code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = write_catalog(
        tmp_path,
        {
            "boards": (BOARD,),
            "cpus": (CPU,),
            "memory": (replace(KIT, rate_mts=3600),),
            "sellers": (SELLER,),
            "offers": [offer(p) for p in ("board-a", "cpu-a", "kit-a")],
        },
    )
    assert run(["catalog", "check", str(folder), *strict]) == code
    text = capsys.readouterr().out
    assert "rate-off-standard (1 " + ("REFUSED" if code else "doubtful") in text and "3600 MT/s" in text
    assert run(["catalog", "check", str(folder), *strict, "--format", "json"]) == code
    document = json.loads(capsys.readouterr().out)
    assert document["schema"] == "partsolver.catalog-check/1" and document["tables"]["memory"] == 1
    assert [(d["check"], d["part"], d["refuses"]) for d in document["doubts"]] == [
        ("rate-off-standard", "kit-a", code == 2)
    ]


def test_empty_tables_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "mine"
    assert run(["catalog", "new", str(folder)]) == 0
    capsys.readouterr()
    assert run(["catalog", "check", str(folder)]) == 0
    said = capsys.readouterr().out
    assert "Still empty: boards, cpus, memory, sellers, offers." in said and "in what there is" in said
