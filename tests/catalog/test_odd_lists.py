"""Odd but honest lists, as shops send them: what a heading or a cell says of unit, state, day and count is read, or
asked, or said; never taken for something else. Forms: common practice where no source is named."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

import pytest
from catalog.test_lists import BOARD, DAY, WISHES, offers_of, read

from partsolver.catalog.adding import add
from partsolver.catalog.lists.columns import role_of
from partsolver.catalog.lists.source import Unsettled
from partsolver.catalog.lists.stock import day_of, stock_of
from partsolver.catalog.load import load_catalog
from partsolver.cli import run

RAM = "Cadmora {}GB DDR4 RAM"


# -- prices ------------------------------------------------------------------------------------------------------------


def test_a_thousand_has_two_readings_where_the_signs_of_a_column_differ() -> None:
    """Two lines with decimal commas and one with a point: 1.150 is 1150 or 1.15."""
    rows = ["11,50", "12,50", "13.50", "1.150", "1,150", "1.150,00"]
    text = "Name;Gross\n" + "".join(f"{RAM.format(2**n)};{cell}\n" for n, cell in enumerate(rows))
    found = read(text).source
    assert [one.offers[0].price_minor for one in found.sightings] == [1150, 1250, 115000]
    assert [(left.reason, left.detail) for left in found.left_out] == [
        ("bad-price", cell) for cell in ("13.50", "1.150", "1,150")
    ]
    # Where all agree it is one thousand one hundred and fifty.
    assert [offer[1] for offer in offers_of(text.replace("13.50", "13,50").replace("1,150", "1,15"), "x.csv")] == [
        1150, 1250, 1350, 115000, 115, 115000,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("header", "role"),
    [
        ("Price (ct)", "cents"),
        ("Preis in Cent", "cents"),
        ("Net price (ct)", "several"),
        ("Price [EUR/100]", "several"),
        ("Price (per 10 pcs)", "several"),
        ("Preis (ab 10 Stück)", "several"),
        ("Net price (per 100)", "several"),
        ("VK (pro 50)", "several"),
        ("Price (100 units)", "several"),
        ("Price (thousand)", "several"),
        # Neither a year nor a rate of tax nor one piece is such a unit.
        ("Price (2026)", "price"),
        ("Preis (inkl. 19 % MwSt.)", "price"),
        ("Price (per piece)", "price"),
        ("Price (per 1)", "price"),
        ("Price (EUR)", "price"),
        ("Preis (ab 1.12.2026)", "price"),
    ],
)
def test_a_price_of_several_or_in_other_units_is_none_of_one(header: str, role: str | None) -> None:
    assert role_of(header.casefold()) == role


def test_a_column_of_cents_is_counted_as_such_and_one_of_several_is_asked() -> None:
    assert [offer[1] for offer in offers_of(f"Name;Price (ct)\n{BOARD};5890\n", "x.csv", _gross())] == [5890]
    with pytest.raises(Unsettled) as asked:
        read("Name;Price [EUR/100]\n" + f"{BOARD};58,90\n" * 20, wishes=_gross())
    assert asked.value.questions == ("price",)


def _gross():  # type: ignore[no-untyped-def]
    from dataclasses import replace

    from catalog.test_lists import WISHES

    return replace(WISHES, tax="gross")


@pytest.mark.parametrize(
    ("header", "cell", "reason"),
    [
        ("Price unit", "100", "quantity"),
        ("Unit", "pack of 10", "quantity"),
        ("Preiseinheit", "10", "quantity"),
        ("MOQ", "10", "minimum"),
        ("Mindestbestellmenge", "5 Stk", "minimum"),
        ("Unit", "pcs", None),
        ("MOQ", "1", None),
        ("VPE", "10", None),  # of a carton; one can be ordered all the same
    ],
)
def test_what_is_not_sold_one_by_one_is_left_out(header: str, cell: str, reason: str | None) -> None:
    found = read(f"Name;Gross;{header}\n{BOARD};58,90;{cell}\n").source
    assert [left.reason for left in found.left_out] == ([] if reason is None else [reason])
    assert len(found.sightings) == (reason is None)


# -- state of the goods ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "state"),
    [
        ("New", None),
        ("Neu, OVP", None),
        ("", None),
        ("like new", "used"),
        # New in other languages; how it is packed, or nothing at all, says nothing of use.
        ("nuovo", None),
        ("Nieuw", None),
        ("nová", None),
        ("ny", None),
        ("новый", None),
        ("unused", None),
        ("-", None),
        ("n/a", None),
        ("OEM", None),
        ("tray", None),
        ("neuwertig", "used"),
        ("open box", "used"),
        ("wie neu", "used"),
        ("good", "used"),
        ("B", "used"),
        ("very good - tested", "used"),
        ("refurbished", "refurbished"),
    ],
)
def test_a_condition_that_is_not_new_is_used(cell: str, state: str | None) -> None:
    """A word or grade that nobody knows is no word for new: a used piece may lack what a new one comes with."""
    ((_, _, _, cells),) = offers_of(f"Name;Gross;Condition\n{BOARD};58,90;{cell}\n", "x.csv")
    assert cells.get("condition") == state


@pytest.mark.parametrize("cell", ["defective", "for parts", "defekt", "not working"])
def test_a_condition_that_says_broken_is_left_out(cell: str) -> None:
    found = read(f"Name;Gross;Condition\n{BOARD};8,90;{cell}\n").source
    assert [(left.reason, left.detail) for left in found.left_out] == [("defective", cell)]


def test_a_heading_inside_a_list_says_the_state_of_what_follows() -> None:
    text = (
        f"Name;Gross;Qty\n{BOARD};58,90;1\n"
        f"Used memory;;\n{RAM.format(4)};4,00;1\n{RAM.format(8)} new;9,00;1\n"
        f"Mainboards;;\n{BOARD} v2;59,90;1\n"
        f"USED PARTS;;\nMemory;;\n{RAM.format(16)};16,00;1\n"
        f"New goods;;\n{RAM.format(32)};32,00;1\n"
        f"Defective;;\n{BOARD} v3;5,00;1\n"
    )
    found = read(text).source
    states = {one.name: dict(one.offers[0].cells).get("condition") for one in found.sightings}
    assert states == {
        BOARD: None,
        RAM.format(4): "used",
        f"{RAM.format(8)} new": None,
        f"{BOARD} v2": None,
        RAM.format(16): "used",
        RAM.format(32): None,
    }
    assert [(left.text, left.reason) for left in found.left_out] == [(f"{BOARD} v3", "defective")]


# -- stock and days ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "pieces"), [("3.0", 3), ("3,00", 3), ("3.5", 3), ("12.0 pcs", 12), ("-1.0", 0)]
)
def test_a_count_with_decimals_is_a_count_and_no_day(cell: str, pieces: int) -> None:
    found = stock_of(cell, None, DAY)
    assert (found.pieces, found.available_on) == (pieces, None)


def test_of_a_day_with_two_readings_the_later_one_counts() -> None:
    """ISO 8601 was made for this; 03/04/2027 is read one way in the USA and another in Britain."""
    assert day_of("03/04/2027", DAY) == day_of("04/03/2027", DAY) == datetime.date(2027, 4, 3)
    assert day_of("12/31/2026", DAY) == day_of("31/12/2026", DAY) == datetime.date(2026, 12, 31)
    assert day_of("12/01/2026", DAY) == datetime.date(2026, 12, 1)
    assert day_of("03.04.2027", DAY) == datetime.date(2027, 4, 3)
    assert day_of("29.02.2027", DAY) is None and day_of("29/02/2028", DAY) == datetime.date(2028, 2, 29)
    assert day_of("13/25/2026", DAY) is None


def test_a_column_of_days_is_read() -> None:
    ((_, _, _, cells),) = offers_of(f"Name;Gross;Stock;Available from\n{BOARD};58,90;0;2026-12-04\n", "x.csv")
    assert cells == {"available_on": "2026-12-04"}


# -- until when prices hold, and of which day a list is ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("header", "cell", "end"),
    [
        ("Valid until", "2026-12-04", "2026-12-04"),
        ("Gültig bis", "04.12.2026", "2026-12-04"),
        ("Gültig bis", "4.12.", "2026-12-04"),
        ("Offer ends", "03/04/2027", "2027-03-04"),  # of two readings the earlier one: nobody orders too late
        ("Ważne do", "", None),
        ("Valid until", "while stocks last", None),
    ],
)
def test_a_column_says_until_when_a_price_holds(header: str, cell: str, end: str | None) -> None:
    ((_, _, _, cells),) = offers_of(f"Name;Gross;{header}\n{BOARD};58,90;{cell}\n", "x.csv")
    assert cells.get("valid_until") == end


def test_a_day_that_cannot_be_read_leaves_the_price_out() -> None:
    found = read(f"Name;Gross;Valid until\n{BOARD};58,90;31.02.2027\n").source
    assert [(left.reason, left.detail) for left in found.left_out] == [("bad-until", "31.02.2027")]
    assert not found.sightings


@pytest.mark.parametrize(
    ("line", "end", "day"),
    [
        ("Prices valid until 15.12.2026", "2026-12-15", DAY),
        ("Preise gültig vom 01.11.2026 bis 15.12.2026", "2026-12-15", datetime.date(2026, 11, 1)),
        ("List of 12.11.2026, valid until 2026-12-15", "2026-12-15", datetime.date(2026, 11, 12)),
        ("Offer ends;15.12.2026", "2026-12-15", DAY),
        ("Prices valid from 02.11.2026", None, datetime.date(2026, 11, 2)),
        # No list is written tomorrow: a day to come is none of it.
        ("Next list: 07.12.2026", None, DAY),
    ],
)
def test_a_line_above_says_until_when_all_prices_hold(line: str, end: str | None, day: datetime.date) -> None:
    """An end taken for the day of the list would make each later list of the seller an older one."""
    found = read(f"{line}\n\nName;Gross;Valid until\n{BOARD};58,90;\n{BOARD} v2;59,90;2026-12-01\n").source
    assert found.stated_on == day
    ends = [dict(one.offers[0].cells).get("valid_until") for one in found.sightings]
    assert ends == [end, "2026-12-01"]


# -- tax between the rows ---------------------------------------------------------------------------------------------


def taxes(text: str, **wishes: object) -> list[tuple[str | None, int | None]]:
    found = read(text, wishes=replace(WISHES, **wishes)).source  # type: ignore[arg-type]
    return [(one.offers[0].tax, one.offers[0].tax_percent_x100) for one in found.sightings]


MARGIN = f"Used goods, margin scheme;\n{BOARD} v2;40,00\n"


def test_a_heading_says_the_tax_of_what_follows() -> None:
    """Goods under the margin scheme stand in the lists of dealers beside others (common practice)."""
    plain = f"All prices plus 19 % VAT;\nName;Price\n{BOARD};50,00\n{MARGIN}"
    assert taxes(plain) == [("net", 1900), ("final", None)]
    assert (read(plain).tax, read(plain).tax_percent_x100) == ("net", 1900)
    assert taxes(f"Name;Net\n{BOARD};50,00\n{MARGIN}", tax_percent_x100=1900) == [
        ("net", 1900),
        ("final", None),
    ]
    both = f"Name;Price\nINCL. VAT;\n{BOARD};59,50\nPRICES NET;\n{BOARD} v2;50,00\n"
    with pytest.raises(Unsettled, match="no rate of tax"):
        taxes(both)
    assert taxes(both, tax_percent_x100=1900) == [("gross", None), ("net", 1900)]
    # The first heading stands before all rows: the list's own word; nothing is asked about the tax itself.
    assert read(both, wishes=replace(WISHES, tax_percent_x100=1900)).tax == "gross"


def test_a_heading_that_speaks_against_its_column_is_asked() -> None:
    text = f"Name;Gross\n{BOARD};59,50\nPRICES NET;\n{BOARD} v2;50,00\n"
    with pytest.raises(Unsettled, match="nothing says whether the prices hold the tax"):
        read(text)
    # No row is net then, and no rate is asked for.
    assert taxes(text, tax="gross") == [("gross", None), ("gross", None)]
    assert taxes(text, tax="net", tax_percent_x100=1900) == [("net", 1900), ("net", 1900)]


@pytest.mark.parametrize("tax", [None, "net", "gross"])
@pytest.mark.parametrize("heading", ["PRICES NET", "INCL. VAT"])
def test_where_both_prices_stand_headings_say_nothing_of_net_and_gross(heading: str, tax: str | None) -> None:
    """15 % is no standard rate of Europe, so the two columns tell none; the gross price is paid, whatever is said of
    lists with one price."""
    text = (
        f"Name;Net;Gross\n{BOARD};100,00;115,00\n{heading};;\n{BOARD} v2;40,00;46,00\n"
        f"Margin scheme;;\n{BOARD} v3;;30,00\n"
    )
    found = read(text, wishes=replace(WISHES, tax=tax)).source.sightings  # type: ignore[arg-type]
    assert [(one.offers[0].price_minor, one.offers[0].tax) for one in found] == [
        (11500, "gross"),
        (4600, "gross"),
        (3000, "final"),
    ]


@pytest.mark.parametrize(
    ("roles", "wished", "asked"),
    [
        ({"price": 1}, {}, ("tax", "rate")),
        ({"net": 1}, {}, ("rate",)),
        ({"gross": 1}, {}, ("tax",)),  # its heading speaks against it
        ({"gross": 1}, {"tax": "gross"}, None),
        ({"price": 1}, {"tax": "gross"}, ("rate",)),  # the heading's rows are net
        ({"price": 1}, {"tax": "gross", "tax_percent_x100": 1900}, None),
    ],
)
def test_a_price_column_that_the_person_names_is_asked_about_like_any_other(
    roles: dict[str, int], wished: dict[str, object], asked: tuple[str, ...] | None
) -> None:
    """It was the program's own fault, and rows below "PRICES NET" were counted without any tax."""
    text = f"Name;Foo;SKU\n{BOARD};59,50;1\nPRICES NET;;\n{BOARD} v2;50,00;2\n"
    wishes = replace(WISHES, roles=roles, **wished)  # type: ignore[arg-type]
    if asked is None:
        rates = [one.offers[0].tax_percent_x100 for one in read(text, wishes=wishes).source.sightings]
        assert rates == [None, None if "gross" in roles else 1900]
    else:
        with pytest.raises(Unsettled) as found:
            read(text, wishes=wishes)
        assert found.value.questions == asked


def test_of_the_prices_the_person_names_one() -> None:
    text = f"Name;Net;Gross;Special gross\n{BOARD};10;11,90;9\n"
    found = read(text, wishes=replace(WISHES, roles={"gross": 3})).source
    assert [one.offers[0].price_minor for one in found.sightings] == [900]


def test_a_rate_of_each_row_is_one_of_each_row() -> None:
    """A net price without any rate passed for what is paid; "0 %" is a rate."""
    text = f"Name;Net;VAT %\n{BOARD};100,00;19\n{BOARD} v2;50,00;0 %\n{BOARD} v3;40,00;{{}}\n{BOARD} v4;on request;\n"
    assert taxes(text.format("0,07")) == [("net", 1900), ("net", 0), ("net", 700)]
    with pytest.raises(Unsettled, match="no rate of tax"):
        read(text.format(""))
    assert taxes(text.format(""), tax_percent_x100=2000)[2] == ("net", 2000)


def test_what_a_list_says_now_beats_what_was_kept_of_the_seller(tmp_path: Path) -> None:
    """100 net with 19 % are 119; each list is counted by its own word, also after another one."""
    lists = {
        "boards 1.csv": f"Name;Net price\n{BOARD};100,00\n",
        "memory 1.csv": f"Name;Gross price\n{RAM.format(4)};20,00\n",
        "memory 2.csv": f"Name;Price\nincl. VAT;\n{RAM.format(4)};21,00\n",
        "memory 3.csv": f"All prices plus 20 % VAT;\nName;Price\n{RAM.format(4)};10,00\n",
        "memory 4.csv": f"Name;Price\n{RAM.format(4)};11,00\n",  # says nothing: as the last one
        "memory 5.csv": f"Name;Gross price\n{RAM.format(4)};10,00\n",  # the person says it is net
        "memory 6.csv": f"Name;Gross price\n{RAM.format(4)};12,00\n",  # says what it said then: so does the answer
    }
    wishes = replace(WISHES, seller="north", tax_percent_x100=1900)
    expected = [
        [11900],
        [2000, 11900],
        [2100, 11900],
        [1200, 11900],
        [1320, 11900],
        [1200, 11900],
        [1440, 11900],
    ]
    for day, ((name, text), prices) in enumerate(zip(lists.items(), expected, strict=True), 10):
        (tmp_path / name).write_text(text, encoding="utf-8")
        tax = "net" if name == "memory 5.csv" else None
        wishes = replace(wishes, stated_on=datetime.date(2026, 11, day), tax=tax)  # type: ignore[arg-type]
        if tax:
            wishes = replace(wishes, tax_percent_x100=2000)
        add([tmp_path / name], tmp_path / "parts", wishes)
        wishes = replace(wishes, tax_percent_x100=None)
        found = sorted(offer.price for offer in load_catalog(tmp_path / "parts").tables["offers"])
        assert found == prices


def test_words_between_few_rows_are_not_those_of_all() -> None:
    """The last lines of a list are those below all its prices."""
    text = f"Name;Price\n{BOARD};59,50\nPRICES NET;\n{BOARD} v2;50,00\n"
    with pytest.raises(Unsettled, match="nothing says whether the prices hold the tax"):
        read(text)
    assert read(f"Name;Price\n{BOARD};59,50\nAll prices incl. VAT;\n").tax == "gross"


def test_a_price_of_several_is_named_where_prices_are_asked_for() -> None:
    with pytest.raises(Unsettled, match=r"a price in 'eur/100' is not of one piece"):
        read(f"Name;EUR/100\n{BOARD};5890\n")


# -- nothing at all ----------------------------------------------------------------------------------------------------


def test_what_gives_nothing_is_refused_and_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As `survey import` of files that no tool prints: exit 2 (design.md 7: input refused), and no empty store that
    would hide the catalogue of the settings."""
    monkeypatch.chdir(tmp_path)
    Path("empty.csv").write_bytes(b"")
    Path("pages").mkdir()
    Path("pages/prose.txt").write_text("We are closed on Sunday.\n", encoding="utf-8")
    assert run(["catalog", "add", "empty.csv", "pages"]) == 2
    said = capsys.readouterr().err
    assert "empty.csv" in said and "pages/prose.txt" in said and "cannot be read" in said
    assert not Path("parts").exists()
    # Beside one that can be read it is left out and said.
    Path("north.csv").write_text(f"Name;Gross\n{BOARD};58,90\n", encoding="utf-8")
    assert run(["catalog", "add", "north.csv", "empty.csv"]) == 0
    assert "empty.csv" in capsys.readouterr().out
    # Next week's file arrives empty: what the shop said before stays.
    Path("north.csv").write_bytes(b"")
    assert run(["catalog", "add", "north.csv"]) == 2
    assert run(["catalog", "find", "tollmere"]) == 0
