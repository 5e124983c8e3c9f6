"""Real outputs (../shared/dumps, read there, never copied): each is read without a traceback, and what it
decides is asserted.

Expected values were read off the files by eye; what a file does not decide must stay open (``None`` below).
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from survey.survey_data import DUMPS

from partsolver.base.errors import InputRefused
from partsolver.survey.facts import Merged
from partsolver.survey.merge import merge
from partsolver.survey.readers import read_source
from partsolver.survey.write import render

pytestmark = pytest.mark.skipif(not DUMPS.exists(), reason="the public dumps are not here")
FILES = sorted(path for path in DUMPS.glob("*/*") if path.is_file()) if DUMPS.exists() else []


def read(name: str) -> Merged:
    path = next(path for path in FILES if path.stem == name)
    return merge(read_source(path.read_bytes(), path.name))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_file_is_read_or_refused_in_words(path: Any) -> None:
    data = path.read_bytes()
    if path.parent.name == "offers":
        with pytest.raises(InputRefused):
            read_source(data, path.name)
        return
    merged = merge(read_source(data, path.name))
    text = render(merged, [path.name])  # proves that it loads
    shown = text + repr(merged)
    assert not re.search(
        r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}", shown, re.IGNORECASE
    )
    assert not re.search(r"\b(?:[0-9a-f]{2}:){5}[0-9a-f]{2}\b", shown, re.IGNORECASE)
    for word in (
        "MyServerName",
        "NETCHAEIV",
        "workbench-live",
        "fred-",
        "alkan",
        "C02JR02WF57J",
        "56f85924",
        "WIN10-EDU",
    ):
        assert word not in shown


def board(result: Merged) -> tuple[Any, ...]:
    found = result.survey["board"]
    return tuple(found.get(key) for key in ("socket", "memory_slots", "memory_generation"))


def modules(result: Merged) -> list[tuple[Any, ...]]:
    rows = result.survey.get("memory", [])
    return [
        (row.get("generation"), row.get("capacity_mib"), row.get("rate_mts"), row["count"]) for row in rows
    ]


# file: (socket of the board, slots, generation of the slots), [(generation, MiB, MT/s, count)]. Four or more
# slots of which at most half hold a module are what firmware cannot know: open.
DMIDECODE = {
    "dmi001": (("LGA775", 4, "ddr2"), [("ddr2", 1024, 667, 3)]),
    "dmi003": ((None, 3, None), [(None, 64, None, 1), (None, 128, None, 1), (None, 256, None, 1)]),
    "dmi005": (("LGA775", 4, None), [(None, 512, None, 4)]),
    "dmi007": ((None, 4, None), [(None, 256, None, 4)]),
    "dmi009": ((None, 2, "ddr2"), [("ddr2", 2048, None, 1)]),  # 400 may be the clock of 800
    "dmi011": (("AM3+", None, "ddr3"), [("ddr3", 8192, None, 2)]),  # 667 is the clock of 1333
    "dmi013": (("AM1", 2, "ddr3"), [("ddr3", 8192, None, 1)]),
    "dmi015": (("LGA1156", None, "ddr3"), [("ddr3", 4096, 1066, 2)]),
    "dmi017": (("LGA1151", None, "ddr3"), [("ddr3", 8192, 1600, 2)]),
    "dmi019": (("AM5", 2, "ddr5"), [("ddr5", 16384, 4800, 2)]),
    "dmi021": (("LGA1700", None, "ddr5"), [("ddr5", 32768, 4800, 2)]),
    "dmi023": (("LGA1151", 2, "ddr4"), [("ddr4", 8192, 2400, 1)]),
    "dmi025": (("LGA775", None, None), [(None, 2048, None, 2)]),  # "DDR2" at 1067: the machine takes DDR3
    "dmi027": (("LGA775", 4, "ddr2"), [("ddr2", 1024, 667, 4)]),
    "dmi029": ((None, None, "ddr3"), [("ddr3", 8192, None, 1)]),
    "dmi031": ((None, 4, None), [(None, None, None, 4)]),  # 1536 MB, soldered
    "dmi033": (("FM2+", None, "ddr3"), [("ddr3", 8192, 1600, 1)]),
    "dmi035": (("LGA2011-3", None, "ddr4"), [("ddr4", 16384, 2133, 4)]),  # form factor "RIMM"
    "dmi037": ((None, 4, None), [(None, 512, None, 3), (None, 128, None, 1)]),
    "dmi041": (("LGA1155", None, "ddr3"), [("ddr3", 8192, None, 2)]),
    "dmi043": (("LGA2011-3", None, "ddr4"), [("ddr4", 32768, 2400, 2)]),  # two processors, 24 slots
    "dmi047": (("LGA775", None, "ddr3"), [("ddr3", 2048, 1333, 2)]),
    "dmi049": (
        ("LGA775", 2, None),
        [(None, 1024, None, 2)],
    ),  # code says 478, designation 775: the id decides
    "dmi051": ((None, 4, "ddr2"), [("ddr2", 1024, 800, 3)]),  # typed DDR
    "dmi053": ((None, None, None), [(None, 2048, None, 2)]),
    "dmi055": (("LGA1155", 4, "ddr3"), [("ddr3", 4096, 1600, 4)]),
    "dmi057": (("LGA1151", None, "ddr4"), [("ddr4", 8192, 2133, 1)]),
}


@pytest.mark.parametrize("name", DMIDECODE)
def test_dmidecode(name: str) -> None:
    result = read(name)
    assert (board(result), modules(result)) == DMIDECODE[name]
    assert result.survey["board"].get("name") == printed_board(name)


def printed_board(name: str) -> str | None:
    """Product name in the first board record that is a motherboard, cut out of the text without the
    reader."""
    text = next(path for path in FILES if path.stem == name).read_text(encoding="utf-8", errors="replace")
    records = [block for block in text.split("\n\n") if "\nBase Board Information" in block]
    chosen = [block for block in records if "\tType: Motherboard" in block] or records
    product = re.search(r"\tProduct Name: (.*)", chosen[0])
    shown = " ".join(product[1].split()) if product else ""
    return None if shown in ("", "Default string") else shown


@pytest.mark.parametrize("name", ["dmi039", "dmi059", "bun003", "lsh021", "lsc013"])
def test_virtual_machines_give_nothing(name: str) -> None:
    result = read(name)
    assert not any(result.survey.values()) and any("virtual machine" in remark for remark in result.remarks)


def test_single_traps_of_dmidecode_files() -> None:
    assert read("dmi023").survey["board"]["tpm"] == "1.2"
    assert read("dmi021").survey["board"]["tpm"] == "2.0"
    for name, watts in (("dmi025", "125 W"), ("dmi043", "7956 W"), ("dmi027", "300 W")):
        result = read(name)
        question = next(q for q in result.questions if q.path == "psu.rated_w")
        assert question.suggested is None and watts in question.evidence[0] and not result.survey["psu"]
    # five board records: the one of type Motherboard; maximum of 32 kB is nonsense
    assert read("dmi045").survey["board"]["name"] == printed_board("dmi045")
    assert not any(q.path == "board.memory_max_mib" for q in read("dmi007").questions)
    # the first processor record is unpopulated
    assert read("dmi029").survey["cpu"]["name"] and read("dmi029").survey["cpu"]["cores"] == 2
    # dmidecode prints LGA1155's code as BGA1155
    assert read("dmi055").survey["cpu"]["socket"] == "LGA1155"
    modes = next(q for q in read("dmi057").questions if q.path == "board.firmware_modes")
    assert modes.suggested == ["uefi", "legacy"]
    modes = next(q for q in read("dmi049").questions if q.path == "board.firmware_modes")
    assert modes.suggested == ["legacy"]


def test_what_firmware_cannot_know_is_not_stated() -> None:
    # a version of two words (a family and a number) is not cut; it stays whole, as evidence
    for name, version in (("lsh003", "786H1 v01.11"), ("lsh015", "786G1 v01.16"), ("lsh025", "786G1 v01.16")):
        result = read(name)
        assert "firmware_shipped" not in result.survey["board"]
        asked = next(q for q in result.questions if q.path == "board.firmware_shipped")
        assert version.split()[0] in asked.evidence[0] and " v" in asked.evidence[0]
    # 72 bits and an array that corrects: with registered modules certain, else a question that says so
    wide = read("dmi043")
    assert all("ecc" not in row for row in wide.survey["memory"])
    assert next(q for q in wide.questions if q.path == "memory[0].ecc").suggested is True
    assert "ecc" not in read("dmi045").survey["memory"][0]
    slots = next(q for q in read("dmi017").questions if q.path == "board.memory_slots")
    assert slots.suggested == 4 and "2 hold a module" in slots.evidence[0]


def test_what_the_file_decides_is_stated() -> None:
    # the number of the processor against firmware's words, which stay as evidence
    result = read("dmi005")
    assert result.survey["cpu"]["socket"] == "LGA775"
    assert "478" in result.origin["cpu.socket"]
    assert [(c.path, c.values[1][0]) for c in result.overruled if c.path == "cpu.socket"] == [
        ("cpu.socket", "478")
    ]
    # base clocks of names without one: as the names are sold (common practice)
    for name, mhz in (
        ("dmi009", 2800),
        ("dmi011", 4000),
        ("dmi013", 2050),
        ("dmi019", 3800),
        ("dmi053", 2900),
    ):
        assert read(name).survey["cpu"]["base_mhz"] == mhz
    assert "base_mhz" not in read("dmi021").survey["cpu"]  # the other maker's: firmware's clock is no name


# file: (board is named, slots, [(generation, MiB, MT/s, count)], [(GB, kind)])
LSHW = {
    "lsh001": (True, None, [(None, 2048, None, 2)], [(250, None), (None, "optical")]),
    "lsh003": (True, 4, [("ddr3", 2048, 1333, 4)], [(320, None), (None, "optical")]),
    "lsh005": (True, 2, [("ddr3", 4096, 1600, 1)], [(500, None)]),
    "lsh007": (True, 4, [(None, 1024, None, 3)], [(250, None), (None, "optical")]),
    "lsh009": (False, 2, [("ddr3", 2048, 1333, 1)], [(250, None), (None, "optical")]),
    "lsh011": (True, 2, [("ddr3", 4096, 1333, 1)], [(500, None), (None, "optical")]),
    "lsh013": (True, 2, [(None, 512, None, 2)], [(80, None), (None, "optical")]),
    "lsh015": (True, None, [("ddr2", 2048, 800, 1)], [(160, None), (None, "optical")]),
    "lsh017": (True, 2, [("ddr3", 4096, 1600, 1)], [(500, None), (None, "optical")]),
    "lsh019": (True, 2, [("ddr3", 4096, 1600, 1)], [(500, None), (None, "optical")]),
    "lsh025": (True, None, [("ddr2", 2048, 800, 1)], [(160, None), (None, "optical")]),
    "lsh029": (True, None, [(None, 1024, None, 4)], [(250, None), (None, "optical")]),
}


@pytest.mark.parametrize("name", LSHW)
def test_lshw(name: str) -> None:
    result = read(name)
    drives = [(d.get("capacity_gb"), d.get("kind")) for d in result.survey.get("drive", [])]
    found = result.survey["board"]
    assert ("name" in found, found.get("memory_slots"), modules(result), drives) == LSHW[name]
    text = " ".join(
        next(path for path in FILES if path.stem == name)
        .read_text(encoding="utf-8", errors="replace")
        .split()
    )
    assert found.get("name", "") in text and all(drive["name"] in text for drive in result.survey["drive"])
    assert "socket" not in found  # no second witness in these files


def test_single_traps_of_lshw_files() -> None:
    assert read("lsh005").survey["cpu"]["x86_level"] == 3
    assert read("lsh001").survey["cpu"]["x86_level"] == 1  # a 32-bit system on a 64-bit processor
    for name in ("lsh023", "lsh027"):
        assert any("portable" in remark for remark in read(name).remarks)
    assert "boost_mhz" not in read("lsh023").survey["cpu"]  # 8300 MHz wrapped at 32 bits


def test_bundle_of_several_tools() -> None:
    result = read("bun001")
    assert board(result) == ("LGA775", 2, "ddr2")
    assert modules(result) == [("ddr2", 2048, 667, 1), ("ddr2", 512, 667, 1)]
    assert result.survey["drive"][0]["capacity_gb"] == 200


# file: (cores, threads, base clock)
LSCPU = {
    "lsc001": (2, 2, 3000),
    "lsc003": (1, 1, 1600),
    "lsc005": (2, 2, 2000),
    "lsc007": (8, 8, 4000),  # four modules of two cores, sold as an "Eight-Core Processor"
    "lsc009": (4, 8, 2670),
    "lsc015": (6, 6, 3330),
    "der005": (2, 2, None),
    "der007": (2, 4, None),
}


@pytest.mark.parametrize("name", LSCPU)
def test_lscpu(name: str) -> None:
    cpu = read(name).survey["cpu"]
    assert (cpu.get("cores"), cpu.get("threads"), cpu.get("base_mhz")) == LSCPU[name]
    assert "boost_mhz" not in cpu


def test_two_sources_that_count_cores_in_another_way() -> None:
    # modules of two cores: lscpu says 4 cores with 8 threads, firmware 8 and 8, as the maker counts
    both = [
        source
        for name in ("dmi011.txt", "lsc007.txt")
        for path in FILES
        if path.name == name
        for source in read_source(path.read_bytes(), name)
    ]
    result = merge(both)
    assert (result.survey["cpu"]["cores"], result.survey["cpu"]["threads"]) == (8, 8)


# file: [(kind, interface, SATA tenths of Gb/s, GB, system, start mode)]
DRIVES = {
    "lsb001": [(None, None, None, 1000, True, "uefi"), ("optical", None, None, None, None, None)],
    "lsb007": [(None, "m2-nvme", None, 1323, True, "uefi")],
    "der001": [
        ("ssd", "m2-nvme", None, 240, None, None),
        ("ssd", None, None, 240, True, "uefi"),
        (None, None, None, 80, None, None),
    ],
    "sma001": [("hdd35", "sata", 60, 2000, None, None)],
    "sma003": [(None, None, None, 200, None, None)],  # says neither form, nor rate
    "sma005": [(None, "sata", 60, 2000, None, None)],
    "sma007": [("ssd", "m2-sata", 60, 480, None, None)],
    "sma011": [("hdd35", "sata", 60, 14001, None, None)],
    "wmi011": [("ssd", "m2-nvme", None, 512, None, None)],
}


@pytest.mark.parametrize("name", DRIVES)
def test_drives(name: str) -> None:
    keys = ("kind", "interface", "sata_gbps10", "capacity_gb", "system", "start_mode")
    assert [tuple(row.get(key) for key in keys) for row in read(name).survey["drive"]] == DRIVES[name]


@pytest.mark.parametrize("name", ["sma001", "sma009"])
def test_a_slow_link_points_at_the_board(name: str) -> None:
    question = next(q for q in read(name).questions if q.path == "board.sata_6g_ports")
    assert "6.0 Gb/s" in question.evidence[0] and "3.0 Gb/s" in question.evidence[0]


def test_windows_files() -> None:
    assert modules(read("wmi001")) == [(None, 2048, None, 2)]  # MemoryType 0
    assert modules(read("wmi007")) == [(None, 1024, None, 2)]
    assert (
        read("wmi003").survey["cpu"]["socket"] == "LGA1155"
    )  # code Other; designation and processor id agree
    assert read("wmi005").survey["board"]["memory_slots"] == 2
    two = read("wmi009")
    assert two.survey["cpu"]["socket"] == "LGA1366" and any(
        "2 processors" in remark for remark in two.remarks
    )
