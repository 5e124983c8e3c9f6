"""Real outputs (../shared/dumps, read there, never copied): each is read without a traceback, and what it decides is asserted.

Expected values were read off the files by eye; what a file does not decide must stay open (``None`` below).
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from survey.survey_data import DUMPS

from partsolver.errors import InputRefused
from partsolver.survey.facts import Merged
from partsolver.survey.merge import merge
from partsolver.survey.readers import read_source
from partsolver.survey.write import render

pytestmark = pytest.mark.skipif(not DUMPS.exists(), reason="the public dumps are not here")
FILES = sorted(path for path in DUMPS.glob("*/*") if path.is_file()) if DUMPS.exists() else []
NO_SURVEY = {"lsb009.txt"}  # the table form of lsblk: refused with advice


def read(name: str) -> Merged:
    path = next(path for path in FILES if path.stem == name)
    return merge(read_source(path.read_bytes(), path.name))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_file_is_read_or_refused_in_words(path: Any) -> None:
    data = path.read_bytes()
    if path.parent.name == "offers" or path.name in NO_SURVEY:
        with pytest.raises(InputRefused):
            read_source(data, path.name)
        return
    merged = merge(read_source(data, path.name))
    text = render(merged, [path.name])  # proves that it loads
    shown = text + repr(merged)
    assert not re.search(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}", shown, re.IGNORECASE)
    assert not re.search(r"\b(?:[0-9a-f]{2}:){5}[0-9a-f]{2}\b", shown, re.IGNORECASE)
    for word in ("MyServerName", "NETCHAEIV", "workbench-live", "fred-macbook", "alkan", "C02JR02WF57J", "56f85924", "WIN10-EDU"):
        assert word not in shown


def board(result: Merged) -> tuple[Any, ...]:
    found = result.survey["board"]
    return tuple(found.get(key) for key in ("name", "socket", "memory_slots", "memory_generation"))


def modules(result: Merged) -> list[tuple[Any, ...]]:
    rows = result.survey.get("memory", [])
    return [(row.get("generation"), row.get("capacity_mib"), row.get("rate_mts"), row["count"]) for row in rows]


# file: (board, socket, slots, generation of the slots), [(generation, MiB, MT/s, count)]
DMIDECODE = {
    "dmi001": (("0G214D", "LGA775", 4, "ddr2"), [("ddr2", 1024, 667, 3)]),
    "dmi003": (("D815EEA", None, 3, None), [(None, 64, None, 1), (None, 128, None, 1), (None, 256, None, 1)]),
    "dmi005": (("AG8 (Intel Grantsdale-ICH6R)", None, 4, None), [(None, 512, None, 4)]),
    "dmi007": (("P4R800-VM", None, 4, None), [(None, 256, None, 4)]),
    "dmi009": (("A780GM-LE", None, 2, "ddr2"), [("ddr2", 2048, None, 1)]),  # 400 may be the clock of 800
    "dmi011": (("M5A78L-M/USB3", None, 4, "ddr3"), [("ddr3", 8192, None, 2)]),  # 667 is the clock of 1333
    "dmi013": (("AM1B-ITX", "AM1", 2, "ddr3"), [("ddr3", 8192, None, 1)]),
    "dmi015": (("P7H55-M", "LGA1156", 4, "ddr3"), [("ddr3", 4096, 1066, 2)]),
    "dmi017": (("B150 PRO GAMING D3", "LGA1151", 4, "ddr3"), [("ddr3", 8192, 1600, 2)]),
    "dmi019": (("B650M-HDV/M.2", "AM5", 2, "ddr5"), [("ddr5", 16384, 4800, 2)]),
    "dmi021": (("B760M Steel Legend WiFi", None, 4, "ddr5"), [("ddr5", 32768, 4800, 2)]),
    "dmi023": (("0JP3NX", None, 2, "ddr4"), [("ddr4", 8192, 2400, 1)]),
    "dmi025": (("LENOVO", "LGA775", 4, None), [(None, 2048, None, 2)]),  # "DDR2" at 1067: the machine takes DDR3
    "dmi027": (("D2817-A1", None, 4, "ddr2"), [("ddr2", 1024, 667, 4)]),
    "dmi029": (("AT-5000 series", None, None, "ddr3"), [("ddr3", 8192, None, 1)]),
    "dmi031": (("Intel", None, 4, None), [(None, None, None, 4)]),  # 1536 MB, soldered
    "dmi033": (("A88", None, 4, "ddr3"), [("ddr3", 8192, 1600, 1)]),
    "dmi035": (("X99 Extreme4", "LGA2011-3", 8, "ddr4"), [("ddr4", 16384, 2133, 4)]),  # form factor "RIMM"
    "dmi037": (("P3V4X", None, 4, None), [(None, 512, None, 3), (None, 128, None, 1)]),
    "dmi041": (("B75", "LGA1155", 4, "ddr3"), [("ddr3", 8192, None, 2)]),
    "dmi043": (("X10DRU-i+", "LGA2011-3", None, "ddr4"), [("ddr4", 32768, 2400, 2)]),  # two processors, 24 slots
    "dmi047": (("3646h", "LGA775", 4, "ddr3"), [("ddr3", 2048, 1333, 2)]),
    "dmi049": (("G31M-ES2L", None, 2, None), [(None, 1024, None, 2)]),  # code says 478, designation 775
    "dmi051": (("M2N-SLI", None, 4, "ddr2"), [("ddr2", 1024, 800, 3)]),  # typed DDR
    "dmi053": (("M4A87TD/USB3", None, 4, None), [(None, 2048, None, 2)]),
    "dmi055": (("3397", "LGA1155", 4, "ddr3"), [("ddr3", 4096, 1600, 4)]),
    "dmi057": ((None, "LGA1151", 4, "ddr4"), [("ddr4", 8192, 2133, 1)]),
}


@pytest.mark.parametrize("name", DMIDECODE)
def test_dmidecode(name: str) -> None:
    result = read(name)
    assert (board(result), modules(result)) == DMIDECODE[name]


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
    assert read("dmi045").survey["board"]["name"].startswith("Mac-F60DEB81")
    assert not any(q.path == "board.memory_max_mib" for q in read("dmi007").questions)
    # the first processor record is unpopulated
    assert read("dmi029").survey["cpu"]["name"].startswith("AMD C-70")
    # dmidecode prints LGA1155's code as BGA1155
    assert read("dmi055").survey["cpu"]["socket"] == "LGA1155"
    modes = next(q for q in read("dmi057").questions if q.path == "board.firmware_modes")
    assert modes.suggested == ["uefi", "legacy"]
    modes = next(q for q in read("dmi049").questions if q.path == "board.firmware_modes")
    assert modes.suggested == ["legacy"]


# file: (board, slots, [(generation, MiB, MT/s, count)], [(model, GB, kind)])
LSHW = {
    "lsh001": ("LENOVO", 4, [(None, 2048, None, 2)], [("ST3250318AS", 250, None), ("DVD-RAM GH40N", None, "optical")]),
    "lsh003": ("304Ah", 4, [("ddr3", 2048, 1333, 4)], [("WDC WD3200AAJS-6", 320, None), ("DVD-RAM GH60L", None, "optical")]),
    "lsh005": ("H81M-K", 2, [("ddr3", 4096, 1600, 1)], [("WDC WD5000AAKX-0", 500, None)]),
    "lsh007": ("P5B-VM", 4, [(None, 1024, None, 3)], [("SAMSUNG HD250HJ", 250, None), ("CD/DVDW SH-S182D", None, "optical")]),
    "lsh009": (None, 2, [("ddr3", 2048, 1333, 1)], [("ST250DM000-1BD14", 250, None), ("DVD-RW DH16ACSH", None, "optical")]),
    "lsh011": ("P8H61-M LE", 2, [("ddr3", 4096, 1333, 1)], [("ST3500413AS", 500, None), ("DVDRAM GH22NS50", None, "optical")]),
    "lsh013": ("0UG982", 2, [(None, 512, None, 2)], [("ST3808110AS", 80, None), ("DVD-ROM DDU1615", None, "optical")]),
    "lsh015": ("3031h", 4, [("ddr2", 2048, 800, 1)], [("ST3160815AS", 160, None), ("DVD A DH16A6L", None, "optical")]),
    "lsh017": ("H81M-K", 2, [("ddr3", 4096, 1600, 1)], [("WDC WD5000AAKX-6", 500, None), ("DVDRAM GH24NSB0", None, "optical")]),
    "lsh019": ("H81M-K", 2, [("ddr3", 4096, 1600, 1)], [("WDC WD5000AAKX-0", 500, None), ("DVDRAM GH24NSB0", None, "optical")]),
    "lsh025": ("3031h", 4, [("ddr2", 2048, 800, 1)], [("ST3160815AS", 160, None), ("DVD A DH16A6L", None, "optical")]),
    "lsh029": ("S2915", 8, [(None, 1024, None, 4)], [("Maxtor 6V250F0", 250, None), ("DVDRW SHW-160P6S", None, "optical")]),
}


@pytest.mark.parametrize("name", LSHW)
def test_lshw(name: str) -> None:
    result = read(name)
    drives = [(d["name"], d.get("capacity_gb"), d.get("kind")) for d in result.survey.get("drive", [])]
    found = result.survey["board"]
    assert (found.get("name"), found.get("memory_slots"), modules(result), drives) == LSHW[name]
    assert "socket" not in found  # no second witness in these files


def test_single_traps_of_lshw_files() -> None:
    assert read("lsh005").survey["cpu"]["x86_level"] == 3
    assert read("lsh001").survey["cpu"]["x86_level"] == 1  # a 32-bit system on a 64-bit processor
    for name in ("lsh023", "lsh027"):
        assert any("portable" in remark for remark in read(name).remarks)
    assert "boost_mhz" not in read("lsh023").survey["cpu"]  # 8300 MHz wrapped at 32 bits


def test_bundle_of_several_tools() -> None:
    result = read("bun001")
    assert board(result) == ("P5B-MX/WiFi-AP", "LGA775", 2, "ddr2")
    assert modules(result) == [("ddr2", 2048, 667, 1), ("ddr2", 512, 667, 1)]
    assert result.survey["drive"][0]["capacity_gb"] == 200


# file: (cores, threads, base clock)
LSCPU = {
    "lsc001": (2, 2, 3000),
    "lsc003": (1, 1, 1600),
    "lsc005": (2, 2, None),
    "lsc007": (4, 8, None),
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
    # modules of two cores: lscpu says 4 cores with 8 threads, firmware 8 and 8
    both = [source for name in ("dmi011.txt", "lsc007.txt") for path in FILES if path.name == name for source in read_source(path.read_bytes(), name)]
    result = merge(both)
    assert "cores" not in result.survey["cpu"] and result.survey["cpu"]["threads"] == 8
    assert next(q for q in result.questions if q.path == "cpu.cores").suggested == 4


# file: [(name, kind, interface, SATA tenths of Gb/s, GB, system, start mode)]
DRIVES = {
    "lsb001": [("sda", None, None, None, 1000, True, "uefi"), ("sr0", "optical", None, None, None, None, None)],
    "lsb007": [("nvme0n1", None, "m2-nvme", None, 1323, True, "uefi")],
    "der001": [
        ("KINGSTON SKC1000240G", "ssd", "m2-nvme", None, 240, None, None),
        ("KINGSTON SH103S3", "ssd", None, None, 240, True, "uefi"),
        ("WDC WD800JD-00MS", None, None, None, 80, None, None),
    ],
    "sma001": [("HGST HUS724020ALE640", "hdd35", "sata", 60, 2000, None, None)],
    "sma003": [("ST3200820AS", None, None, None, 200, None, None)],  # says neither form, nor rate
    "sma005": [("WDC WD20EFRX-68EUZN0", None, "sata", 60, 2000, None, None)],
    "sma007": [("INTEL SSDSCKKB480G8", "ssd", "m2-sata", 60, 480, None, None)],
    "sma011": [("WDC WD140EDFZ-11A0VA0", "hdd35", "sata", 60, 14001, None, None)],
    "wmi011": [("KXG50ZNV512G NVMe TOSHIBA 512GB", "ssd", "m2-nvme", None, 512, None, None)],
}


@pytest.mark.parametrize("name", DRIVES)
def test_drives(name: str) -> None:
    keys = ("name", "kind", "interface", "sata_gbps10", "capacity_gb", "system", "start_mode")
    assert [tuple(row.get(key) for key in keys) for row in read(name).survey["drive"]] == DRIVES[name]


@pytest.mark.parametrize("name", ["sma001", "sma009"])
def test_a_slow_link_points_at_the_board(name: str) -> None:
    question = next(q for q in read(name).questions if q.path == "board.sata_6g_ports")
    assert "6.0 Gb/s" in question.evidence[0] and "3.0 Gb/s" in question.evidence[0]


def test_windows_files() -> None:
    assert modules(read("wmi001")) == [(None, 2048, None, 2)]  # MemoryType 0
    assert modules(read("wmi007")) == [(None, 1024, None, 2)]
    assert read("wmi003").survey["cpu"]["socket"] == "LGA1155"  # code Other; designation and processor id agree
    assert read("wmi005").survey["board"]["memory_slots"] == 2
    two = read("wmi009")
    assert two.survey["cpu"]["socket"] == "LGA1366" and any("2 processors" in remark for remark in two.remarks)
