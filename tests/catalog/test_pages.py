"""Saved pages and sheets: schema.org in every syntax, makers' tables in five languages, PDFs; and a
session from ten pages, one list and eight sheets to a recommendation."""

from __future__ import annotations

import datetime
import json
import random
import shutil
from pathlib import Path

import pytest
from catalog.files import make_files

from partsolver.catalog.adding import Added, add
from partsolver.catalog.dictionary import columns, data_folder
from partsolver.catalog.lists.limits import NotRead
from partsolver.catalog.load import load_catalog
from partsolver.catalog.pages.html import parse_page
from partsolver.catalog.pages.labels import IDENTITY, _exact, _topics
from partsolver.catalog.pages.markup import Broken, json_ld, linked, microdata, parse_json_ld, rdfa
from partsolver.catalog.pages.products import CONDITIONS, page_products, product_of
from partsolver.catalog.pages.sheets_pdf import pairs_of_pdf
from partsolver.catalog.pages.specification import _BY_TITLE, _lines, read_pairs
from partsolver.catalog.sources import Wishes, read_data
from partsolver.catalog.store.changing import changing
from partsolver.catalog.store.questions import set_cells, shown
from partsolver.catalog.store.schema import open_store
from partsolver.cli import run

FILES = Path(__file__).parent / "files"
DUMPS = Path("/work/shared/dumps/offers")
TODAY = datetime.date(2026, 11, 29)
WISHES = Wishes("EUR", TODAY, stated_on=datetime.date(2026, 11, 20))
GTIN = make_files.gtin(501)
NAME = "Tollmere B550M-99 Micro ATX AM4 DDR4 Motherboard"


def offer(**more: object) -> dict[str, object]:
    return {"@type": "Offer", "price": "64.90", "priceCurrency": "EUR", **more}


def product(offers: object, **more: object) -> dict[str, object]:
    return {"@type": "Product", "name": NAME, "offers": offers, **more}


def found(value: object, **more: object):  # type: ignore[no-untyped-def]
    page = f'<html><h1>{NAME}</h1><script type="application/ld+json">{json.dumps(value)}</script></html>'
    items, _ = json_ld(parse_page(page.encode()))
    chosen, _ = page_products(linked(items), (NAME,), None)
    return [product_of(item, "EUR", TODAY) for item in chosen]


def one(value: object):  # type: ignore[no-untyped-def]
    (product,) = found(value)
    return product


# -- scripts ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        '{"a": 1}',
        '[{"a": 1}]',
        '{"a": 1};',
        '/* x */ {"a": 1}',
        '// x\n{"a": 1}',
        '<!--\n{"a": 1}\n-->',
        '/*<![CDATA[*/ {"a": 1} /*]]>*/',
        '\ufeff{"a": 1,}',
        '{"a": 1}\n{"b": 2}',
        '{"a": "line\nbreak\ttab"}',
    ],
)
def test_scripts_that_shops_write(text: str) -> None:
    """Defects seen in public pages, survey-formats 5.2 and titles-and-pages 7."""
    values = parse_json_ld(text)
    first = values[0][0] if isinstance(values[0], list) else values[0]
    assert "a" in first


def test_a_script_that_is_no_json_is_said() -> None:
    with pytest.raises(Broken, match="line 1"):
        parse_json_ld('{"a": }')
    with pytest.raises(Broken):
        parse_json_ld("[" * 100_000)


# -- products and offers ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "value",
    [
        product(offer()),
        [product([offer()])],
        {"@graph": [{"@type": "WebPage"}, product(offer())]},
        {"@type": "WebPage", "mainEntity": product(offer())},
        {"@graph": [product({"@id": "#o"}), offer(**{"@id": "#o"})]},
        product(offer(price=64.9)),
        product(offer(price=None, priceSpecification={"price": "64.90", "priceCurrency": "EUR"})),
        product(
            {
                "@type": "Offer",
                "priceSpecification": [
                    {"priceType": "https://schema.org/ListPrice", "price": 99, "priceCurrency": "EUR"},
                    {"price": 64.9, "priceCurrency": "EUR"},
                ],
            }
        ),
        product({"@type": "AggregateOffer", "lowPrice": 1, "priceCurrency": "EUR", "offers": [offer()]}),
        product(
            offer(), review={"itemReviewed": {"@type": "Product", "name": "stub", "offers": offer(price=1)}}
        ),
        product(offer(), isRelatedTo=[{"@type": "Product", "name": "other", "offers": offer(price=1)}]),
        [product(offer()), {"@type": "Product", "name": "Another", "offers": offer(price=1)}],
        {**product(offer()), "@type": ["Product", "http://schema.org/IndividualProduct"]},
        product(offer(), name=[NAME, "x"]),
    ],
    ids=range(14),
)
def test_shapes_of_product_data(value: object) -> None:
    (said,) = one(value).offers
    assert said.offer is not None and (said.offer.price_minor, said.offer.currency) == (6490, "EUR")


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        ({"@type": "AggregateOffer", "lowPrice": 60, "highPrice": 90}, "from-price"),
        (offer(price="from 60"), "from-price"),
        (offer(price="60-90"), "from-price"),
        (offer(price="1.234"), "bad-price"),
        (offer(price=0), "no-price"),
        (offer(itemCondition="https://schema.org/DamagedCondition"), "defective"),
        (offer(eligibleQuantity={"@type": "QuantitativeValue", "minValue": 10}), "quantity"),
    ],
)
def test_what_is_no_price(value: object, reason: str) -> None:
    (said,) = one(product(value)).offers
    assert said.offer is None and said.reason == reason


@pytest.mark.parametrize(
    ("more", "cells"),
    [
        ({"availability": "http://schema.org/InStock"}, {}),
        ({"availability": "Outofstock"}, {"stock": "0"}),
        (
            {"availability": "https://schema.org/PreOrder", "availabilityStarts": "2026-12-24"},
            {"available_on": "2026-12-24"},
        ),
        ({"inventoryLevel": {"value": 7}}, {"stock": "7"}),
        ({"itemCondition": "https://schema.org/UsedCondition"}, {"condition": "used"}),
        ({"itemCondition": "refurbished"}, {"condition": "refurbished"}),
        ({"priceValidUntil": "2026-12-01T00:00:00Z"}, {"valid_until": "2026-12-01"}),
    ],
)
def test_what_goes_with_an_offer(more: dict[str, object], cells: dict[str, str]) -> None:
    (said,) = one(product(offer(**more))).offers
    assert said.offer is not None and dict(said.offer.cells) == cells


def test_tax_delivery_and_seller() -> None:
    shipping = {"shippingRate": {"@type": "MonetaryAmount", "value": "4.90", "currency": "EUR"}}
    value = product(
        {
            "@type": "Offer",
            "priceSpecification": {"price": "50", "priceCurrency": "EUR", "valueAddedTaxIncluded": False},
            "seller": {"name": "Lindgate"},
            "shippingDetails": shipping,
        }
    )
    (said,) = one(value).offers
    assert said.offer is not None and said.offer.tax == "net"
    assert (said.seller, said.delivery_minor) == ("Lindgate", 490)


@pytest.mark.parametrize(
    "more",
    [
        {"gtin13": GTIN},
        {"gtin13": int(GTIN)},
        {"gtin": f"https://id.gs1.org/01/0{GTIN}"},
        {"gtin14": f"0{GTIN}"},
        {"productID": f"gtin13:{GTIN}"},
    ],
)
def test_gtins_in_every_property(more: dict[str, object]) -> None:
    assert one(product(offer(), **more)).gtin == f"0{GTIN}"


def test_conditions_are_the_vocabulary() -> None:
    """schema.org release 30.0, OfferItemCondition: its four members."""
    assert set(CONDITIONS) == {"NewCondition", "UsedCondition", "RefurbishedCondition", "DamagedCondition"}


def test_a_list_of_products_is_all_of_them_and_recommendations_are_not() -> None:
    items = [{"@type": "ListItem", "item": product(offer(price=n), name=f"Kit {n}")} for n in (1, 2)]
    assert len(found({"@type": "ItemList", "itemListElement": items})) == 2
    strangers = [product(offer(), name=f"Stranger {n}") for n in (1, 2)]
    assert found(strangers) == []


def test_the_same_page_in_three_syntaxes() -> None:
    micro = f"""<div itemscope itemtype="//schema.org/Product" itemref="more"><span itemprop="name">{NAME}</span><div itemprop="offers"
    itemscope itemtype="http://schema.org/Offer"><meta itemprop="priceCurrency" content="EUR"><span itemprop="price">64,90</span>
    </div></div><p id="more" itemprop="mpn">X-1</p>"""
    rdf = f"""<div vocab="http://schema.org/" typeof="Product"><b property="name">{NAME}</b><i property="schema:mpn">X-1</i><p
    property="offers" typeof="Offer"><span property="price" content="64.90"></span><meta property="priceCurrency" content="EUR"></p></div>"""
    for items in (microdata(parse_page(micro.encode())), rdfa(parse_page(rdf.encode()))):
        (item,) = page_products(items, (), None)[0]
        said = product_of(item, "EUR", TODAY)
        assert (said.name, said.mpn) == (NAME, "X-1")
        assert said.offers[0].offer is not None and said.offers[0].offer.price_minor == 6490


@pytest.mark.parametrize("charset", ["utf-8", "windows-1250", "iso-8859-1", "utf-16"])
def test_charsets_of_pages(charset: str) -> None:
    text = f'<!DOCTYPE html><meta charset="{charset}"><h1>Kühler für Müller</h1>'
    assert parse_page(text.encode(charset)).headings[0] == "Kühler für Müller"


# -- real pages ---------------------------------------------------------------------------------------------------


@pytest.mark.skipif(not DUMPS.is_dir(), reason="the public test pages are not on this machine")
def test_public_test_pages() -> None:
    """Pages of public test suites (W3C, Google, schema.org); what each says is read off it."""
    read = {
        path.name: read_data(path.read_bytes(), path.name, "x", TODAY, WISHES, {})
        for path in sorted(DUMPS.iterdir())
    }
    (item,) = page_products(microdata(parse_page((DUMPS / "off001.html").read_bytes())), (), None)[0]
    anvil = product_of(item, "USD", TODAY)
    assert (anvil.name, anvil.maker, anvil.mpn) == ("Executive Anvil", "ACME", "925872")
    assert anvil.offers[0].offer is not None and anvil.offers[0].offer.price_minor == 11999
    assert dict(anvil.offers[0].offer.cells) == {"condition": "used", "valid_until": "2020-11-05"}
    for name in ("off001.html", "off003.html", "off005.html"):
        assert not read[name].source.sightings and read[name].source.left_out  # an anvil, a film: no part
    assert read["off007.html"].form == "none" and read["off009.html"].form == "none"
    script = (DUMPS / "off011.txt").read_text(encoding="utf-8")
    (jacket,) = page_products(linked(json_ld(parse_page(f"<html>{script}</html>".encode()))[0]), (), None)[0]
    assert product_of(jacket, "USD", TODAY).gtin == "12345678901231"


# -- sheets ---------------------------------------------------------------------------------------------------------

SHEETS = {
    "tollmere-b550m-99.html": ("boards", {"socket": "AM4", "width_mm": "244", "depth_mm": "226", "cpu_plugs": "8", "main_plug": "24",
        "memory_slots": "4", "memory_max_mib": "131072", "memory_max_module_mib": "32768", "memory_max_rate_mts": "3200",
        "slots": "x16:16 x1:1 x1:1", "sata_6g_ports": "4", "outputs": "hdmi-2.1 dp-1.4 vga", "usb_rear_ports": "6"}),
    "kestevan-b450m-97.html": ("boards", {"socket": "AM4", "depth_mm": "185", "cpu_plugs": "4", "outputs": "dvi-d vga", "ps2_ports": "2",
        "fan_headers": "1", "serial_headers": "1", "memory_max_mib": "65536", "form_factor": "microatx"}),
    "ostrelle-v6-99.html": ("cpus", {"cores": "6", "threads": "12", "base_mhz": "3600", "boost_mhz": "4200", "tdp_w": "65",
        "memory_rates": "ddr4:3200", "memory_channels": "2", "socket": "AM4"}),
    "lumbrick-m4320099.html": ("memory", {"generation": "ddr4", "module": "dimm", "registered": "no", "modules": "2",
        "module_mib": "8192", "rate_mts": "3200", "voltage_mv": "1200"}),
    "maskell-steady-450.html": ("psus", {"rated_w": "450", "form": "atx", "efficiency": "bronze", "rail_12v_ma": "37500",
        "rail_5v_ma": "18000", "rail_3v3_ma": "18000", "main_plug": "24", "cpu_plugs": "8", "card_plugs": "8+8", "sata_plugs": "5",
        "peripheral_plugs": "3"}),
    "brisolet-flach-65.html": ("coolers", {"sockets": "AM4 LGA1700 LGA1200", "height_mm": "65", "rated_w": "95", "mass_g": "410"}),
    "ambrosch-h610m-13.pdf": ("boards", {"socket": "LGA1700", "chipset": "H610", "depth_mm": "200", "outputs": "hdmi-1.4 vga",
        "cpu_plugs": "8", "memory_slots": "2", "usb_rear_ports": "6"}),
    "halvorn-q6-98.pdf": ("cpus", {"cores": "6", "threads": "12", "base_mhz": "2500", "boost_mhz": "4400", "tdp_w": "65",
        "power_limit_w": "117", "memory_rates": "ddr4:3200 ddr5:4800"}),
}  # fmt: skip


@pytest.mark.parametrize("name", list(SHEETS))
def test_a_makers_sheet(name: str) -> None:
    table, facts = SHEETS[name]
    done = read_data((FILES / "makers" / name).read_bytes(), name, "x", TODAY, WISHES, {})
    (sighting,) = done.source.sightings
    cells = {fact.column: fact.value for fact in sighting.facts}
    assert (
        done.form == "sheet"
        and sighting.table == table
        and {fact.mark for fact in sighting.facts} == {"sheet"}
    )
    assert {column: set(cells.get(column, "").split()) for column in facts} == {
        c: set(v.split()) for c, v in facts.items()
    }


def test_labels_that_nobody_knows_are_shown_and_mapped_once(tmp_path: Path) -> None:
    done = add([FILES / "makers"], tmp_path, WISHES)
    assert ("Beleuchtung", "keine") in done.read[0].labels
    page = tmp_path / "x.html"
    page.write_text("<html><h1>Kestevan B450M-97</h1><table><tr><td>Sockel<td>AM4<tr><td>Chipsatz<td>B450<tr><td>Formfaktor<td>mATX<tr><td>Baujahr"
                    "<td>2019</table></html>")  # fmt: skip
    mapped = add([page], tmp_path, Wishes("EUR", TODAY, labels={"baujahr": "year"}))
    assert not mapped.read[0].labels
    assert not add([page], tmp_path, WISHES).read[0].labels  # remembered


def test_what_two_labels_state_differently_is_no_fact() -> None:
    said = read_pairs("cpus", [("Cores", "6"), ("CPU cores", "8"), ("Threads", "12")])
    assert [fact[0] for fact in said.facts] == ["threads"] and len(said.unknown) == 2
    # The shorter edge first tells nothing about which is the rear one.
    assert not read_pairs("boards", [("Dimensions", "185 x 226 mm")]).facts


def test_patterns_of_sheets_name_topics_and_columns_that_exist() -> None:
    exact = {(table, topic) for (table, _), topic in _exact().items()}
    by_words = {(one.table, one.topic) for topics in _topics().values() for one in topics}
    assert exact <= by_words  # what stands whole in the one table is understood by its words in the other
    for table, topic in by_words - {("*", topic) for topic in IDENTITY}:
        lines = _lines(table, topic)
        assert lines or (table, topic) in _BY_TITLE or topic == "m2", (table, topic)
        for line in lines:
            for column in line.columns:
                tables = [table] if table != "*" else ["boards"]
                assert column == "-" or all(column in columns()[t] for t in tables)


def test_a_scanned_sheet_is_said() -> None:
    with pytest.raises(NotRead, match="unreadable"):
        pairs_of_pdf(b"%PDF-1.4\n%%EOF")


# -- the whole session ----------------------------------------------------------------------------------------------


def session(folder: Path, order: list[str], join_sure: bool = True) -> Added:
    return add([FILES / name for name in order], folder, WISHES, join_sure=join_sure)


ORDER = ["pages", "pricelist.xlsx", "makers", "platforms.csv"]


def test_ten_pages_and_one_list_become_a_catalogue(tmp_path: Path) -> None:
    done = session(tmp_path, ORDER)
    pages = done.read[0]
    assert (pages.files, pages.offers, dict(pages.tables)) == (
        10,
        8,
        {"boards": 2, "cpus": 2, "memory": 3, "coolers": 2},
    )
    assert {reason for reason, _ in pages.left_out} == {"from-price", "no-product", "bundle"}
    assert {near.name for near in done.joined} == {"Halvorn Stile Q6-98 Processor", "Kestevan B450M-97"}
    marks = dict(done.marks)
    assert all(marks[mark] > 50 for mark in ("sheet", "title", "platform")) and not marks["contradictory"]


def test_the_order_of_files_and_reading_twice_change_nothing(tmp_path: Path) -> None:
    session(tmp_path / "a", ORDER)
    first = load_catalog(tmp_path / "a")
    session(tmp_path / "a", ORDER)
    assert load_catalog(tmp_path / "a").tables == first.tables
    names = list(ORDER)
    random.Random(7).shuffle(names)
    for name in names:
        session(tmp_path / "b", [name])
    session(tmp_path / "b", ["makers"])
    other = load_catalog(tmp_path / "b")
    assert other.tables == first.tables and other.marks == first.marks


def test_recommend_answers_on_what_was_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    session(Path("parts"), ORDER)
    shutil.copy(data_folder() / "demo-survey.toml", "pc.toml")
    with changing(Path("parts")) as connection:
        set_cells(connection, "ostrelle-ov699", [("graphics_score", "320")], TODAY)
    command = ["recommend", "pc.toml", "--today", "2026-11-29", "--format", "json"]
    assert run(command) == 0
    found = json.loads(capsys.readouterr().out)
    # The sheets of board and kit say DIMM; the plan stands on them.
    first = found["plans"][0]["parts"]
    assert first["cpu"] == "ostrelle-ov699"
    with changing(Path("parts")) as connection:
        set_cells(connection, first["board"], [("memory_module", "unknown")], TODAY)
        for kit in {plan["parts"]["memory"][0]["id"] for plan in found["plans"]} - {"kept-memory"}:
            set_cells(connection, kit, [("module", "unknown")], TODAY)
    assert run(command) == 0
    found = json.loads(capsys.readouterr().out)
    # Where that is not known nothing is bought on a guess, and what to look at is said.
    assert "ostrelle-ov699" not in {plan["parts"]["cpu"] for plan in found["plans"]}
    hoped = found["hoped_plan"]
    assert not hoped["proven"] and hoped["plan"]["parts"]["cpu"] == "ostrelle-ov699"
    kit = hoped["plan"]["parts"]["memory"][0]["id"]
    with changing(Path("parts")) as connection:
        set_cells(connection, hoped["plan"]["parts"]["board"], [("memory_module", "dimm")], TODAY)
        set_cells(connection, kit, [("module", "dimm"), ("registered", "no")], TODAY)
    assert run(command) == 0
    plans = json.loads(capsys.readouterr().out)["plans"]
    bought = {plan["parts"]["cpu"] for plan in plans}
    assert "ostrelle-ov699" in bought
    store = open_store(Path("parts"))
    board = next(plan["parts"]["board"] for plan in plans if plan["parts"]["cpu"] == "ostrelle-ov699")
    marks = {cell.mark for _, cell in shown(store, board.split("@")[0]).cells}
    store.close()
    assert "sheet" in marks and "platform" in marks


@pytest.mark.parametrize(
    ("rows", "cells"),
    [
        (
            [
                ("Schnittstelle", "PCI Express 3.0 x16"),
                ("Videospeicher", "4 GB GDDR5, 128 bit"),
                ("Videoausgänge", "1x HDMI 2.0, 2x DisplayPort 1.4a"),
                ("Leistungsaufnahme", "120 W"),
                ("Stromanschluss", "1x 6-polig"),
                ("Empfohlenes Netzteil", "450 W"),
                ("Abmessungen (L x B x H)", "242 x 112 x 40 mm"),
                ("Slotbreite", "2 Slots"),
                ("Bauform", "Full Height"),
            ],
            {"bus": "pcie", "lanes": "16", "outputs": "hdmi-2.0 dp-1.4", "load_mw": "120000", "power_plugs": "6",
             "length_mm": "242", "width_slots": "2", "height": "full"},
        ),
        (
            [
                ("Bus type", "PCIe 4.0 x8 (x16 physical)"),
                ("Board power", "53 W"),
                ("Auxiliary power", "Not required"),
                ("Card length", "6.6 in"),
                ("Slot occupancy", "Single slot"),
                ("Bracket", "Low profile bracket installed, ATX bracket in box"),
                ("Minimum PSU", "300 W"),
            ],
            {"bus": "pcie", "lanes": "8", "load_mw": "53000", "power_plugs": "none", "length_mm": "168",
             "width_slots": "1", "height": "low"},
        ),
    ],
)  # fmt: skip
def test_a_text_pdf_of_a_graphics_card(rows: list[tuple[str, str]], cells: dict[str, str]) -> None:
    """The supply that is recommended is not what the card draws. 6.6 in are 167.64 mm (ISO 80000-3: 25.4 mm)."""
    lines = make_files.sheet_lines("Quarrington Flint 60 graphics card", rows)
    pairs, _ = pairs_of_pdf(make_files.pdf(lines))
    assert dict(fact[:2] for fact in read_pairs("graphics", pairs).facts) == cells
