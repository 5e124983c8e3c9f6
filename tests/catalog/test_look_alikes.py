"""Words of a title or sheet that look like another fact. All titles are invented."""

from __future__ import annotations

import pytest

from partsolver.catalog.pages.specification import read_pairs
from partsolver.catalog.titles.article import article_of


def cells(title: str, table: str) -> dict[str, str]:
    article = article_of(title)
    assert article.table == table
    return dict(article.cells)


@pytest.mark.parametrize(
    ("words", "interface"),
    [
        ('960GB U.2 NVMe 2.5"', None),
        ('960GB NVMe 2.5"', None),  # common practice: NVMe in a 2.5 inch body has U.2 or U.3
        ("1TB NVMe PCIe 3.0 x4 AIC HHHL", None),
        ("1TB NVMe add-in card PCIe 3.0 x4", None),
        ("128GB micro SATA", None),  # another plug than SATA
        ('128GB SATA 1.8"', None),
        ("256GB mSATA SATA III", None),
        ("2TB SAS/SATA 7200rpm", None),
        ("512GB M.2 2280 SATA III", "m2-sata"),
        ("512GB M.2 2280 NVMe", "m2-nvme"),
        ('512GB 2.5" SATA III', "sata"),
    ],
)
def test_the_interface_of_a_drive_is_that_of_its_plug(words: str, interface: str | None) -> None:
    """titles-and-pages 3.4 lists U.2 and SAS beside SATA and NVMe: "M.2" alone does not tell the two apart."""
    assert cells(f"SSD Orvale {words}", "drives").get("interface") == interface


@pytest.mark.parametrize(
    ("form", "interface", "cell"),
    [
        ("M.2 2280", "SATA III 6 Gb/s", "m2-sata"),
        ("M.2 2280", "PCIe 3.0 x4, NVMe", "m2-nvme"),
        ('2.5"', "SATA III 6 Gb/s", "sata"),
        ("2.5-inch U.2", "PCIe 4.0 x4, NVMe", None),
        ("Add-in card (HHHL)", "PCIe 3.0 x4, NVMe", None),
        ("mSATA", "SATA III 6 Gb/s", None),
    ],
)
def test_form_and_interface_of_a_drive_in_two_rows(form: str, interface: str, cell: str | None) -> None:
    rows = [("Form factor", form), ("Interface", interface), ("Capacity", "960 GB")]
    for pairs in (rows, rows[::-1]):
        assert {name: text for name, text, _ in read_pairs("drives", pairs).facts}.get("interface") == cell


@pytest.mark.parametrize(
    ("words", "socket"),
    [
        ("B250M-K LGA1151 2 x DDR4 mATX", "LGA1151"),
        ("B250M-K LGA1151 2 slots DDR4 mATX", None),
        ("Z390-K LGA1151-2 DDR4 ATX", "LGA1151-2"),
        ("Z390-K LGA1151 v2 DDR4 ATX", "LGA1151-2"),
        ("X79-D LGA 2011 3 x PCIe x16 ATX", "LGA2011"),
        ("X99-D LGA 2011 3 DDR4 ATX", None),
        ("X99-D ATX, LGA 2011 3", "LGA2011-3"),
        ("X99-D LGA2011-v3 ATX", "LGA2011-3"),
    ],
)
def test_a_count_behind_a_socket_is_no_version_of_it(words: str, socket: str | None) -> None:
    """Chipsets B250 and X79 belong to the first versions of their sockets (common practice)."""
    assert cells(f"Tollmere Mainboard {words}", "boards").get("socket") == socket


@pytest.mark.parametrize(
    ("words", "mib"),
    [
        ("USB4 up to 40Gbps", None),
        ("Thunderbolt supports 40 Gbit/s", None),
        ("M.2 up to 2TB SSD", None),
        ("up to 32GB per DIMM", None),
        ("up to 128GB DDR4", str(128 * 1024)),
        ("bis zu 2 TB DDR5", str(2048 * 1024)),
    ],
)
def test_what_a_board_takes_at_most_is_its_memory(words: str, mib: str | None) -> None:
    assert cells(f"Tollmere B550 Mainboard AM4 ATX {words}", "boards").get("memory_max_mib") == mib


@pytest.mark.parametrize(
    ("table", "title", "form"),
    [
        (
            "cases",
            "Vantel case Mini ATX tower",
            None,
        ),  # a size of its own, between microATX and Mini-ITX or ATX
        ("cases", "Vantel Mini-ITX Gehäuse für ATX Netzteil", "mini-itx"),
        ("cases", "Vantel case Mini-ITX with ATX power supply", "mini-itx"),
        ("cases", "Vantel ATX case with 500W PSU", "atx"),
        ("boards", "Orvale Nano ITX motherboard", None),  # 120 mm square, Mini-ITX is 170 mm
        ("boards", "Orvale H110 motherboard Thin ITX", "thin-mini-itx"),
        ("boards", "Orvale B450 motherboard AM4 24-pin ATX", None),
    ],
)
def test_the_form_is_that_of_the_part(table: str, title: str, form: str | None) -> None:
    assert cells(title, table).get("form_factor") == form
