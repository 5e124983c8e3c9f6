"""What a title or a sheet says is not there is no fact: negations before and after it, and what is optional.
All titles are invented; "29 of 151 titles that say ECC mean none" is measured (titles-and-pages 1.5), the words
of the languages are common knowledge."""

from __future__ import annotations

import pytest

from partsolver.catalog.pages.specification import read_pairs
from partsolver.catalog.titles.article import article_of

MODULE = "Kestevan RAM 16GB DDR4-3200 DIMM"


def cells(title: str, table: str) -> dict[str, str]:
    article = article_of(title)
    assert article.table == table
    return dict(article.cells)


@pytest.mark.parametrize(
    "words",
    ["without ECC", "kein ECC", "zonder ECC", "senza ECC", "sem ECC", "nicht-ECC", "utan ECC", "Non-ECC"],
)
def test_a_module_without_ecc(words: str) -> None:
    assert cells(f"{MODULE} {words}", "memory")["ecc"] == "no"


@pytest.mark.parametrize(
    "words", ["ECC: no", "ECC nein", "(ECC not supported)", "ECC (on-die)", "ECC on-die", "optional ECC"]
)
def test_ecc_that_is_denied_behind_it_or_is_the_chips_own(words: str) -> None:
    assert cells(f"{MODULE} {words}", "memory").get("ecc") != "yes"
    assert cells(f"{MODULE} ECC", "memory")["ecc"] == "yes"


@pytest.mark.parametrize("words", ["non REG", "ohne REG", "nicht registriert", "non-REG"])
def test_a_module_that_is_not_registered(words: str) -> None:
    assert cells(f"{MODULE} {words}", "memory").get("registered") != "yes"


@pytest.mark.parametrize(
    ("words", "sockets"),
    [
        ("für AM4 (nicht AM5)", "AM4"),
        ("AM4/AM3, ohne LGA1700", "AM4 AM3"),
        ("LGA1366, not for AM4/AM5", "LGA1366"),
        ("LGA1366, optional AM5 kit", "LGA1366"),
        ("LGA1366 (kit AM5 en option)", "LGA1366"),
        ("AM4, LGA1700 not compatible", "AM4"),
        ("LGA1700, AM5", "LGA1700 AM5"),
        ("AM4, optional RGB", "AM4"),
    ],
)
def test_a_coolers_sockets_are_those_it_fits(words: str, sockets: str) -> None:
    assert set(cells(f"CPU-Kühler Halvern H12 {words}", "coolers")["sockets"].split()) == set(sockets.split())


@pytest.mark.parametrize(
    "words", ["no low profile", "kein Low-Profile", "ohne Low Profile Blende", "pas low profile"]
)
def test_a_card_without_a_low_bracket(words: str) -> None:
    assert "height" not in cells(f"Graphics card Wexholm W1650 4GB GDDR6 {words}", "graphics")


@pytest.mark.parametrize(
    "words",
    [
        "no incluye disipador",
        "con disipador no incluido",
        "avec ventirad non inclus",
        "with cooler (not included)",
        "incl. cooler: no",
    ],
)
def test_a_processor_whose_cooler_is_not_in_the_box(words: str) -> None:
    assert cells(f"Procesador Drune X5 6-core AM4 {words}", "cpus").get("boxed_cooler") != "yes"


def test_other_facts_beside_a_denied_one_stay() -> None:
    assert cells("SSD Orvale 512GB M.2 2280 NVMe not SATA", "drives") == {
        "capacity_gb": "512",
        "interface": "m2-nvme",
        "kind": "ssd",
        "m2_length_mm": "80",
    }
    assert cells("Vantel case Micro-ATX (no ATX)", "cases") == {"form_factor": "microatx"}


@pytest.mark.parametrize(
    ("table", "label", "value", "column", "cell"),
    [
        ("boards", "Video outputs", "1 x HDMI, VGA not available", "outputs", "hdmi"),
        ("boards", "Video outputs", "HDMI: yes, DisplayPort: no", "outputs", "hdmi"),
        ("boards", "Video outputs", "HDMI, no VGA", "outputs", "hdmi"),
        ("boards", "Form factor", "Proprietary (not ATX)", "form_factor", None),
        ("boards", "Memory", "4 x DIMM (SO-DIMM not supported)", "memory_module", "dimm"),
        ("boards", "Memory", "DDR4 DIMM, max. 64 GB (no ECC)", "memory_max_mib", "65536"),
        ("boards", "Memory type", "DDR4, DDR3 not supported", "memory_generation", "ddr4"),
        ("boards", "Expansion slots", "1 x PCIe x16, 1 x PCIe x4 (optional)", "slots", "x16:16"),
        ("boards", "Rear I/O", "1 x PS/2, 1 x serial (optional)", "serial_ports", None),
        ("cpus", "Memory types", "DDR4-3200, DDR5-4800 not supported", "memory_rates", "ddr4:3200"),
        ("memory", "Error correction", "ECC not supported", "ecc", None),
        ("coolers", "Sockets", "AM4 (not AM5)", "sockets", "AM4"),
        ("psus", "Connectors", "4 x SATA (no Molex)", "sata_plugs", "4"),
        ("cases", "Motherboard", "Mini-ITX, Micro-ATX, not ATX", "form_factor", "microatx"),
        ("graphics", "Bracket", "Full height, low profile optional", "height", None),
        ("graphics", "Bracket", "Low profile bracket not included", "height", None),
        ("graphics", "Firmware", "legacy not supported", "legacy_video", None),
    ],
)
def test_what_a_sheet_denies(table: str, label: str, value: str, column: str, cell: str | None) -> None:
    facts = {name: text for name, text, _ in read_pairs(table, [(label, value)]).facts}
    assert facts.get(column) == cell
