"""Values as people write them, and words in any case: the same answer, byte for byte."""

from __future__ import annotations

import csv
import datetime
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from partsolver.base.quantities import parse_amount
from partsolver.base.values import Ambiguous, choice_word, date_of, number, whole_number, words_of_list
from partsolver.catalog.dictionary import columns, data_folder, listed_words, reader
from partsolver.catalog.load import load_catalog
from partsolver.catalog.records import Cpu
from partsolver.cli import run
from partsolver.performance.estimate import usual_year

# Unit of the column, what is written, whole number in that unit. SI prefixes: BIPM SI brochure (9th edition),
# table 7; inch: ISO 80000-3:2019 (25.4 mm); G = 1024 M for memory: JEDEC 100B.01.
WHOLE = [
    ("mm", "24.4 cm", 244), ("mm", "24,4cm", 244), ("mm", "0.244 m", 244), ("mm", "9.6 in", 244), ("mm", "244", 244),
    ("MiB", "64 GB", 65536), ("MiB", "64GiB", 65536), ("MiB", "8192 MB", 8192), ("MiB", "65 536", 65536),
    ("GB", "1 TB", 1000), ("GB", "1,5 TB", 1500), ("MHz", "3.2 GHz", 3200), ("MHz", "3,25 ghz", 3250),
    ("MT/s", "3200 MT/s", 3200), ("W", "65 W", 65), ("W", "65w", 65), ("mW", "20 W", 20000), ("mW", "500 mW", 500),
    ("mA", "30 A", 30000), ("mA", "1,5 A", 1500), ("mV", "1.35 V", 1350), ("g", "1.2 kg", 1200), ("d", "3 days", 3),
    ("MB/s", "3.5 GB/s", 3500), ("0.1 Gb/s", "6 Gb/s", 60), ("kHz", "165 MHz", 165000), ("", "dual", 2),
    ("", "Quad-Channel", 4), ("", "none", 0), ("", "1.234.567", 1234567), ("", "1 234", 1234), ("", "1'234", 1234),
]  # fmt: skip


@pytest.mark.parametrize(("unit", "text", "value"), WHOLE)
def test_numbers_with_units(unit: str, text: str, value: int) -> None:
    assert whole_number(text, unit) == value


@pytest.mark.parametrize(
    ("read", "text", "readings"),
    [
        (lambda text: whole_number(text, "W"), "1.234", ("1234", "1.234")),
        (lambda text: whole_number(text, "mm"), "1,234 cm", ("1234", "1.234")),
        (lambda text: whole_number(text, "MT/s"), "1600 MHz", ("1600 MT/s", "3200 MT/s")),
        (lambda text: whole_number(text, "MiB"), "8 Gb", ("bits", "bytes")),
        (date_of, "05/06/2026", ("2026-06-05", "2026-05-06")),
        (parse_amount, "1.234", ("1234", "1.234")),
        (parse_amount, "1,234", ("1234", "1,234")),
    ],
)
def test_two_readings_are_named(read: Callable[[str], object], text: str, readings: tuple[str, ...]) -> None:
    with pytest.raises(Ambiguous) as caught:
        read(text)
    shown = str(caught.value).replace(".", ",") if "," in readings[1] else str(caught.value)
    assert all(reading in shown for reading in readings)


@pytest.mark.parametrize(
    "text", ["", "-5", "1e3", "12.34.5", "1,2,3", "٣", "½", "5 W W", "W 5", "1.2345.678", "9" * 30]
)
def test_what_is_no_number(text: str) -> None:
    with pytest.raises(ValueError):
        whole_number(text, "W")
    with pytest.raises(ValueError):
        number(text + " x")


def test_amounts() -> None:
    for text in ("89,90 EUR", "89.90", "€89.90", "EUR 89,90", "89,90€", "89.9"):
        assert parse_amount(text, 2, "EUR") == 8990
    assert parse_amount("1.234,50 EUR", 2, "EUR") == parse_amount("1 234.50", 2) == 123450
    assert parse_amount("89,-", 2) == 8900
    assert parse_amount("1.234", 3) == 1234  # three decimal places are how dinars are written (ISO 4217)
    for text in ("89.90 CHF", "89.90 EURO", "EUR", "89 90"):
        with pytest.raises(ValueError):
            parse_amount(text, 2, "EUR")


def test_dates() -> None:
    day = datetime.date(2026, 12, 24)
    for text in ("2026-12-24", "24.12.2026", "24. 12. 2026", "2026/12/24", "24/12/2026", "12/24/2026"):
        assert date_of(text) == day
    for text in ("2026-02-30", "31.02.2026", "24.12.26", "soon"):
        with pytest.raises(ValueError):
            date_of(text)


@pytest.mark.parametrize(
    ("table", "name", "text", "value"),
    [
        ("boards", "form_factor", "Micro-ATX", "microatx"),
        ("boards", "form_factor", "mATX", "microatx"),
        ("boards", "form_factor", "Mini ITX", "mini-itx"),
        ("boards", "memory_generation", "DDR4", "ddr4"),
        ("boards", "main_plug", "24-pin", "24"),
        ("psus", "main_plug", "20+4", "24"),
        ("psus", "card_plugs", "6+2", ("8",)),
        ("psus", "card_plugs", "2x8", ("8", "8")),
        ("psus", "cpu_plugs", "8-pin", ("8",)),
        ("psus", "rail_12v_ma", "18 A + 16 A", (18000, 16000)),
        ("psus", "rail_12v_ma", "18+16 A", (18000, 16000)),
        ("memory", "module", "SODIMM", "so-dimm"),
        ("boards", "outputs", "VGA, DVI-D; HDMI 1.4", ("vga", "dvi-d", "hdmi-1.4")),
        ("boards", "outputs", "HDMI DisplayPort", ("hdmi", "dp")),
        ("boards", "outputs", "HDMI 1.3 DP 1.3", ("hdmi-1.4", "dp-1.4")),
        ("boards", "outputs", "D-Sub", ("vga",)),
        ("boards", "firmware_modes", "UEFI Legacy", ("uefi", "legacy")),
        ("boards", "socket", "Brig", "brig"),
        ("boards", "holes", "b c f h", ("B", "C", "F", "H")),
        ("boards", "cpu_families", "Tansy:F10", (("tansy", "F10"),)),
        ("boards", "slots", "X16:16 PCI", reader(columns()["boards"]["slots"])("x16:16 pci")),
        ("cpus", "memory_rates", "DDR4-2666", (("ddr4", 2666),)),
        ("boards", "secure_boot", "Yes", True),
        ("offers", "condition", "Used", "used"),
    ],
)
def test_cells(table: str, name: str, text: str, value: object) -> None:
    assert reader(columns()[table][name])(text) == value


def test_words_outside_a_closed_list_are_refused() -> None:
    for text in ("hdmi-9.9", "scart", "vga+dvi"):
        with pytest.raises(ValueError):
            words_of_list(text, listed_words("boards", "outputs"))
    with pytest.raises(ValueError):
        choice_word("baby", listed_words("boards", "form_factor"))


def shouting(folder: Path) -> None:
    """Write every word of the demo catalogue's closed and free lists in capitals, and sizes in other
    units."""
    for table, described in columns().items():
        path = folder / f"{table}.csv"
        rows = list(csv.DictReader(path.open(encoding="utf-8", newline="")))
        for row in rows:
            for name, cell in row.items():
                column = described[name]
                kind = column.type.partition(":")[0]
                if (
                    kind in ("choice", "list", "word", "words", "yesno", "rates", "slots", "m2")
                    and table != "extras"
                ):
                    row[name] = cell.upper()
                elif kind == "int" and cell and column.unit == "mm":
                    row[name] = f"{int(cell) / 10} cm".replace(".", ",")
                elif kind == "int" and cell and column.unit == "MiB" and int(cell) % 1024 == 0:
                    row[name] = f"{int(cell) // 1024} GB"
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)


# Words of the survey that are free text or name what is compared as it is.
_NO_WORDS = ("name", "tied_software", "need_by", "budget")
_WRITTEN: dict[str, Callable[[int], str]] = {
    "mm": lambda n: f"{n / 10} cm".replace(".", ","),
    "mib": lambda n: f"{n / 1024} GB",
    "ma": lambda n: f"{n / 1000} A",
    "mw": lambda n: f"{n / 1000} W",
    "mhz": lambda n: f"{n / 1000} GHz",
    "w": lambda n: f"{n} W",
    "gb": lambda n: f"{n} GB",
    "px": lambda n: f"{n} px",
    "hz": lambda n: f"{n} Hz",
}


def loud_survey(text: str) -> str:
    """A survey with all its words in capitals and its quantities in other units."""

    def written(line: str) -> str:
        key, equals, rest = line.partition(" = ")
        value, hash_, remark = rest.partition("   #") if "   #" in rest else rest.partition(" #")
        unit = key.rpartition("_")[2]
        if not equals or key in _NO_WORDS or key.startswith("#"):
            return line
        if value.strip().isdigit():
            if unit not in _WRITTEN:
                return line
            return f'{key} = "{_WRITTEN[unit](int(value))}"{hash_}{remark}'
        return f"{key} = {value.upper() if value.strip()[:1] in (chr(34), '[') else value}{hash_}{remark}"

    return "\n".join(written(line) for line in text.split("\n"))


def test_case_and_unit_change_no_byte_of_the_answer(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The demo catalogue with its words in capitals and its sizes in other units is the same catalogue,
    and the demo survey written like that the same PC."""
    folder = tmp_path / "cat"
    shutil.copytree(data_folder() / "demo", folder)
    shouting(folder)
    plain, loud = load_catalog(data_folder() / "demo"), load_catalog(folder)
    assert loud.tables == plain.tables and loud.info.digest == plain.info.digest
    survey = (data_folder() / "demo-survey.toml").read_text(encoding="utf-8")
    written = tmp_path / "pc.toml"
    answers = []
    for text in (survey, loud_survey(survey)):
        written.write_text(text, encoding="utf-8")
        assert run(["recommend", str(written), "--catalog", str(folder), "--format", "json"]) == 0
        answers.append(capsys.readouterr().out)
    assert answers[0] == answers[1]


def test_a_socket_in_any_case_has_the_same_years() -> None:
    """Sockets are kept in small letters; the table of their years has them as the trade writes them."""
    for written in ("LGA1155", "lga1155", "Lga1155"):
        assert usual_year(Cpu(id="c", name="c", socket=written)) == 2012
