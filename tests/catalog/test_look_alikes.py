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
