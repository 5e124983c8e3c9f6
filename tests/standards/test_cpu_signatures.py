"""Signatures: the table against its reference, against worked vectors and against public dumps."""

from __future__ import annotations

import csv
import re
from dataclasses import replace
from pathlib import Path

import pytest
from survey.survey_data import DUMPS, SHARED

from partsolver.standards import cpu_signatures as table
from partsolver.survey.facts import Fact
from partsolver.survey.merge import merge
from partsolver.survey.processor import board_socket, cpu_socket
from partsolver.survey.readers import read_source
from partsolver.survey.readers.dmi_facts import cpuid_of

REFERENCE = SHARED / "reference" / "processor-signatures.tsv"


def steppings(text: str) -> list[int]:
    found = []
    for part in text.split(","):
        low, _, high = part.partition("-")
        found += range(int(low), int(high or low) + 1)
    return found


def test_every_stepping_of_a_model_has_exactly_one_row() -> None:
    by_model: dict[tuple[str, int, int], list[int]] = {}
    for row in table.table():
        by_model.setdefault((row.vendor, row.family, row.model), []).extend(steppings(row.steppings))
    assert by_model and all(sorted(found) == list(range(16)) for found in by_model.values())


def test_every_cell_of_the_table_is_read() -> None:
    """The file's columns, read a second time: spans "low-high", lists with |, "now" for what is still sold."""

    def span(text: str) -> tuple[int, int]:
        ends = [int(end) for end in text.split("-")]
        return ends[0], ends[-1]

    path = Path(str(table.__file__)).with_name("cpu_signatures.csv")
    lines = [line.split(",") for line in path.read_text(encoding="utf-8").splitlines()]
    if any('"' in cell for line in lines for cell in line):
        lines = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
    made = table.table()
    assert len(made) == len(lines) - 1
    for row, cells in zip(made, lines[1:], strict=True):
        given = dict(zip(lines[0], cells, strict=True))
        assert (row.vendor, row.family, row.model) == (
            given["vendor"][0],
            int(given["family"]),
            int(given["model"]),
        )
        assert row.years == (
            int(given["year_first"]),
            9999 if given["year_last"] == "now" else int(given["year_last"]),
        )
        assert row.sockets == tuple(given["sockets"].split("|")) and row.x86_levels == span(
            given["x86_level"]
        )
        for column, word in (("class", row.architecture_class), ("steppings", row.steppings)):
            assert word == given[column]
        for column in (
            "kind",
            "socket_rule",
            "memory_by",
            "channels",
            "ecc",
            "registered",
            "graphics",
            "legacy_video",
        ):
            assert getattr(row, column) == given[column]
        assert row.confidence == "".join(cells[-4:])
        rates: dict[str, tuple[int, int]] = {}
        for name, _, text in (word.partition(":") for word in given["memory_rates"].split()):
            plain = {"ddr3l": "ddr3", "ddr2fb": "ddr2"}.get(name, name)
            if plain in ("sdr", "ddr", "ddr2", "ddr3", "ddr4", "ddr5"):
                rates.setdefault(plain, span(text))
        assert row.memory_rates == tuple((name, *ends) for name, ends in rates.items())


def test_which_steppings_a_row_has() -> None:
    """Single numbers and spans, both ends in."""
    row = replace(table.table()[0], steppings="0-3,7,10-15")
    assert [number for number in range(-1, 17) if row.has(number)] == [0, 1, 2, 3, 7, *range(10, 16)]


def made_of(*changes: dict[str, object]) -> table.Made:
    """A first row of plain words, and changed copies of it."""
    plain = replace(
        table.table()[0],
        sockets=("A", "B"),
        socket_rule="one",
        kind="desktop",
        memory_by="cpu",
        memory_rates=(("ddr3", 1066, 1333),),
        channels="2",
        x86_levels=(2, 2),
        years=(2010, 2012),
        confidence="HHHH",
    )
    return table.Made(tuple(replace(plain, **change) for change in changes))  # type: ignore[arg-type]


def test_what_several_rows_say_together() -> None:
    both = made_of({}, {"sockets": ("B", "bga", "sC"), "socket_rule": "several", "years": (2009, 2011)})
    assert both.sockets == ("A", "B", "sC") and both.may_be_soldered and both.has_mobile_package
    assert both.years == (2009, 2012) and both.generations == ("ddr3",) and both.x86_level == 2
    assert both.channels == 2 and both.one("kind") == "desktop" and both.one("socket_rule") is None
    soldered = made_of({"sockets": ("bga",), "socket_rule": "soldered"})
    assert soldered.sockets == () and not soldered.may_be_soldered and not soldered.has_mobile_package
    assert made_of({"sockets": ("A",), "kind": "mobile"}).has_mobile_package
    assert not made_of({"sockets": ("A", "bga")}).may_be_soldered  # the first alone counts
    wide = made_of(
        {"memory_rates": (("ddr3", 1066, 1333), ("ddr4", 2133, 2133))},
        {
            "memory_rates": (("ddr3", 800, 1600),),
            "memory_by": "chipset",
            "channels": "3",
            "x86_levels": (2, 3),
        },
    )
    assert made_of(*({"memory_rates": (("ddr3", *ends),)} for ends in ((800, 1600), (1066, 1333)))).rates == (
        ("ddr3", 800, 1600),
    )
    assert wide.rates == (("ddr3", 800, 1600), ("ddr4", 2133, 2133)) and wide.memory_kinds == ("ddr3", "ddr4")
    assert wide.generations == () and wide.channels is None and wide.x86_level is None
    assert made_of({"channels": "c"}).channels is None and made_of({"channels": "0"}).channels is None
    assert made_of({"years": (0, 0)}).years is None and made_of({"years": (0, 0)}, {}).years == (2010, 2012)


@pytest.mark.parametrize(
    ("letters", "socket", "memory", "rest"),
    [
        ("HHHH", True, True, True),
        ("LLHH", False, True, True),
        ("HHLH", True, False, True),
        ("HHHL", True, True, False),
        ("LHHL", True, True, False),
        ("LMMM", True, True, True),
    ],
)
def test_what_the_table_is_sure_of(letters: str, socket: bool, memory: bool, rest: bool) -> None:
    """One letter each for signature, socket, memory and the rest; one row that is not sure is enough."""
    for made in (
        made_of({"confidence": letters}),
        made_of({}, {"confidence": letters}),
        made_of({"confidence": letters}, {}),
    ):
        assert (made.socket_sure, made.memory_sure, made.rest_sure) == (socket, memory, rest)


@pytest.mark.skipif(not REFERENCE.exists(), reason="the reference is not here")
def test_every_row_of_both_makers_is_there() -> None:
    """reference/processor-signatures.tsv, 212 rows of the two makers: same sockets, rates and words."""
    with REFERENCE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE))
    wanted = {"intel": "i", "amd": "a"}
    ours = {(r.vendor, r.family, r.model, r.steppings): r for r in table.table()}
    theirs = [r for r in rows if r["vendor"] in wanted]
    assert len(theirs) == len(ours)
    for row in theirs:
        made = ours[wanted[row["vendor"]], int(row["family"]), int(row["model"]), row["steppings"]]
        assert "|".join(made.sockets).replace("LGA3647-1", "LGA3647") == row["sockets"]
        assert (made.socket_rule, made.ecc, made.registered) == (
            *(row["socket_rule"], row["ecc"], row["registered"]),
        )
        assert made.confidence == "".join(
            row[f"conf_{group}"] for group in ("signature", "socket", "memory", "rest")
        )


# Worked vectors of reference/processor-signatures.md, section 11 (checked there against public dumps): (id
# bytes, maker) -> socket (None: the number does not decide), generations of the processor's own controller.
VECTORS = [
    ("43 0F 00 00", "i", "LGA775", ()),
    ("34 0F 00 00", "i", None, ()),  # 478 or LGA775
    ("B2 0F 06 00", "a", "AM2", ("ddr2",)),
    ("33 0F 04 00", "a", "AM2", ("ddr2",)),
    ("20 0F 60 00", "a", "AM3+", ("ddr3",)),
    ("01 0F 70 00", "a", None, ("ddr3",)),  # AM1 or soldered
    ("E5 06 01 00", "i", "LGA1156", ("ddr3",)),
    ("E3 06 05 00", "i", "LGA1151", ("ddr4", "ddr3")),
    ("12 0F A6 00", "a", "AM5", ("ddr5",)),
    ("71 06 0B 00", "i", "LGA1700", ("ddr5", "ddr4")),
    ("A9 06 03 00", "i", "LGA1155", ("ddr3",)),
    ("7A 06 01 00", "i", "LGA775", ()),
    ("FB 06 00 00", "i", "LGA775", ()),
    ("FD 06 00 00", "i", "LGA775", ()),
    ("F2 06 03 00", "i", "LGA2011-3", ("ddr4", "ddr3")),
    # section 4: one model, two sockets that do not go together; the stepping decides
    ("EA 06 09 00", "i", "LGA1151-2", ("ddr4",)),
    ("ED 06 09 00", "i", "LGA1151-2", ("ddr4",)),
    ("E9 06 09 00", "i", None, ("ddr4", "ddr3")),  # first LGA1151, or a few parts for LGA2066
]


@pytest.mark.parametrize(("raw", "vendor", "socket", "generations"), VECTORS)
def test_worked_vectors(raw: str, vendor: str, socket: str | None, generations: tuple[str, ...]) -> None:
    found = cpuid_of(f"{raw} FF FB EB BF")
    assert found is not None
    made = table.made_for(vendor, *found)
    assert made is not None and made.generations == generations
    decided = made.sockets[0] if len(made.sockets) == 1 and not made.may_be_soldered else None
    assert decided == socket


@pytest.mark.parametrize(
    ("family", "model", "rates"),
    [
        # Makers' data sheets, chapter on the memory interface (as the reference names them; lowest and highest rate).
        (6, 26, (("ddr3", 1066, 1333),)),
        (6, 42, (("ddr3", 1066, 1333),)),
        (6, 58, (("ddr3", 1333, 1600),)),
        (6, 60, (("ddr3", 1333, 1600),)),
        (6, 94, (("ddr4", 2133, 2133), ("ddr3", 1600, 1600))),
    ],
)
def test_official_memory_rates(family: int, model: int, rates: tuple[tuple[str, int, int], ...]) -> None:
    made = table.made_for("i", family, model)
    assert made is not None and made.rates == rates


def test_soldered_processors_have_no_socket_and_neighbours_lend_nothing() -> None:
    assert table.made_for("i", 6, 92) is not None and table.made_for("i", 6, 92).sockets == ()  # type: ignore[union-attr]
    assert table.made_for("a", 20, 2).sockets == ()  # type: ignore[union-attr]
    assert table.made_for("i", 6, 61 * 4) is None and table.made_for(None, 6, 60) is None
    # swapped halves of the id (vector dmi029)
    assert cpuid_of("FF FB 8B 17 20 0F 50 00") == (20, 2, 0)
    assert cpuid_of("00 00 00 00 00 00 00 00") is None


def words(signature: str, code: str = "", text: str = "", chassis: str = "") -> list[Fact]:
    given = {
        "cpu.seen_signature": signature,
        "cpu.seen_upgrade": code,
        "cpu.seen_designation": text,
        "case.seen_chassis": chassis,
    }
    return [Fact(path, value, "x:1", "doubtful", value) for path, value in given.items() if value]


@pytest.mark.parametrize(
    ("signature", "code", "text", "socket", "against"),
    # reference/processor-signatures.md, sections 4 to 6: words of firmware and what is certain all the same
    [
        ("i 6 60 3", "Socket BGA1155", "", "LGA1150", ()),  # 4,476 boards; a word that stands for it
        ("i 15 4 3", "Socket 478", "Socket 775", "LGA775", ("478",)),
        ("a 15 107 2", "Socket 940", "CPUSocket", "AM2", ("940",)),
        ("i 6 26 5", "Socket LGA771", "", "LGA1366", ("LGA771",)),
        ("i 6 167 1", "Socket LGA1151", "", "LGA1200", ("LGA1151",)),
        ("a 21 2 0", "Socket AM3", "AM3R2", "AM3+", ()),
        ("a 22 0 1", "Socket FS1", "", "AM1", ()),
        ("a 21 96 1", "Socket FM2", "P0", "FM2+", ()),
        ("i 6 158 10", "Socket LGA1151", "", "LGA1151-2", ()),
        ("i 6 158 9", "Socket LGA1151", "", "LGA1151", ()),
        ("i 6 158", "Socket LGA1151", "", None, ()),  # without the stepping both are possible
        ("i 15 3 4", "Socket 478", "CPU 1", None, ()),  # 478 is also written on LGA775
        ("i 15 3 4", "", "LGA 775", "LGA775", ()),
        ("i 15 3 4", "Socket 478", "LGA 775", "LGA775", ()),  # the text goes first
        ("a 16 5 3", "Other", "AM3", "AM3", ()),
        ("a 16 5 3", "Socket AM2", "", None, ()),  # written on AM3 boards as well
        ("a 23 8 2", "Socket SP3r2", "", "TR4", ()),
        ("a 23 17 0", "None", "", None, ()),  # AM4, or soldered
        ("a 23 17 0", "Socket AM4", "", "AM4", ()),
        ("i 6 92 9", "Socket LGA775", "", None, ()),  # soldered, whatever the word
        ("i 6 94 3", "Other", "U3E1", "LGA1151", ()),
        ("i 6 62 4", "ZIF Socket", "", None, ()),
    ],
)
def test_number_and_words(
    signature: str, code: str, text: str, socket: str | None, against: tuple[str, ...]
) -> None:
    judged = cpu_socket(words(signature, code, text))
    assert (judged.value, judged.against) == (socket, against)
    assert judged.value or judged.why


@pytest.mark.parametrize(
    ("signature", "text", "generation", "socket", "suggested"),
    [
        ("a 21 2 0", "AM3R2", None, "AM3+", None),
        ("a 21 2 0", "", None, None, "AM3+"),
        ("a 16 5 3", "AM3", "ddr2", None, "AM2+"),  # the modules show it (common practice)
        ("a 16 5 3", "AM3", "ddr3", None, "AM3"),
        ("a 21 16 1", "FM2", None, None, "FM2"),
        ("i 6 60 3", "", None, "LGA1150", None),
    ],
)
def test_boards_of_neighbouring_sockets(
    signature: str, text: str, generation: str | None, socket: str | None, suggested: str | None
) -> None:
    said = words(signature, "", text)
    judged = board_socket(cpu_socket(said), said, generation)
    assert (judged.value, judged.suggested) == (socket, suggested)


def test_a_number_in_a_portable_pc_is_no_desktop_socket() -> None:
    judged = cpu_socket(words("i 6 94 3", chassis="Notebook"))
    assert judged.value is None and judged.suggested == "LGA1151"


def test_weak_rows_suggest_only() -> None:
    weak = [row for row in table.table() if row.confidence[1] == "L" and row.socket_rule == "one"]
    assert weak
    for row in weak:
        step = steppings(row.steppings)[0]
        judged = cpu_socket(words(f"{row.vendor} {row.family} {row.model} {step}"))
        assert judged.value is None


@pytest.mark.skipif(not DUMPS.exists(), reason="the public dumps are not here")
def test_one_signature_one_socket_over_the_dumps() -> None:
    """Sockets that the import states for equal signatures are equal, and allowed by the reference's row."""
    with REFERENCE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE))
    allowed = {
        (r["vendor"][0], int(r["family"]), int(r["model"]), step): r["sockets"].split("|")
        for r in rows
        if r["vendor"] in ("intel", "amd")
        for step in steppings(r["steppings"])
    }
    seen: dict[tuple[str, int, int, int], set[str]] = {}
    for path in sorted(DUMPS.glob("dmidecode/*.txt")):
        text = path.read_text(encoding="utf-8", errors="replace")
        numbers = re.search(r"\tSignature: .*?Family (\d+), Model (\d+), Stepping (\d+)", text)
        survey = merge(read_source(path.read_bytes(), path.name)).survey
        socket = (survey.get("cpu") or {}).get("socket")
        if numbers and socket:
            maker = "a" if "AMD" in text else "i"
            key = (maker, *(int(n) for n in numbers.groups()))
            seen.setdefault(key, set()).add(socket)  # type: ignore[arg-type]
            assert socket in allowed[key]  # type: ignore[index]
    assert len(seen) >= 15 and all(len(sockets) == 1 for sockets in seen.values())


# What two general tools print for our signatures, recorded from the Debian packages cpuid 20230120-1 (`cpuid
# -1 -f -` on the identification leaves 0 and 1: core and process) and inxi 3.3.26-1-1 (cp_cpu_arch: process
# and first year). One stepping of each row; rows that neither knows are left out.
ELSEWHERE = Path(__file__).parent / "data" / "signatures-elsewhere.tsv"
# Cores that cpuid names otherwise than the class: the class is the family that a board's support list names.
OTHER_CORE_NAMES = {
    "core": {"Yonah"},
    "core2": {"Merom", "Penryn"},
    "cascadelake": {"Skylake"},
    "cooperlake": {"Skylake"},
    "skylake-x": {"Skylake"},
    "coffeelake": {"Kaby Lake"},
    "cometlake": {"Kaby Lake"},
    "rocketlake": {"Cypress Cove"},
    "cannonlake": {"Palm Cove"},
    "icelake": {"Sunny Cove"},
    "icelake-x": {"Sunny Cove"},
    "lakefield": {"Tremont"},
    "tigerlake": {"Willow Cove"},
    "alderlake": {"Golden Cove", "Raptor Cove"},
    "raptorlake": {"Raptor Cove"},
    "meteorlake": {"Redwood Cove"},
    "gracemont": {"Golden Cove"},
    "zen3+": {"Zen 3"},
}
# Where inxi differs and cpuid agrees with us, or inxi speaks of a whole family by its first member.
INXI_PROCESS_DIFFERS = {("intel", 6, 44), ("intel", 6, 47), ("amd", 6, 7)}
INXI_YEAR_DIFFERS = {("intel", 6, 142), ("amd", 25, 33)}


def elsewhere() -> list[dict[str, str]]:
    with ELSEWHERE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter="\t"))


def row_of(record: dict[str, str]) -> table.Row:
    family, model, stepping = (int(record[name]) for name in ("family", "model", "stepping"))
    (found,) = (
        row
        for row in table.table()
        if (row.vendor, row.family, row.model) == (record["vendor"][0], family, model)
        and stepping in steppings(row.steppings)
    )
    return found


def test_cores_are_those_that_cpuid_names() -> None:
    """The class of each signature is the core that cpuid prints for it."""
    compared = 0
    for record in elsewhere():
        name, row = record["cpuid_core"], row_of(record)
        if not name:
            continue
        plain = re.sub(r"-\d+nm$", "", row.architecture_class)
        same = plain.replace("-", "") in name.lower().replace(" ", "")
        # Dothan, Northwood ...: the class says maker's family and process, cpuid the core.
        by_process = bool(re.search(r"\d+nm$", row.architecture_class))
        assert same or by_process or name in OTHER_CORE_NAMES.get(plain, ()), (record, row.architecture_class)
        compared += same or name in OTHER_CORE_NAMES.get(plain, ())
    assert compared >= 120


def test_processes_and_years_are_those_that_cpuid_and_inxi_print() -> None:
    compared = 0
    for record in elsewhere():
        row = row_of(record)
        key = (record["vendor"], row.family, row.model)
        process = re.search(r"(\d+)nm$", row.architecture_class)
        if process and record["cpuid_nm"]:
            assert process[1] == record["cpuid_nm"], (record, row.architecture_class)
            compared += 1
        if process and record["inxi_nm"] and key not in INXI_PROCESS_DIFFERS:
            low, _, high = record["inxi_nm"].partition("-")
            assert int(low) <= int(process[1]) <= int(high or low), (record, row.architecture_class)
        if record["inxi_year_first"] and row.years[0] and key not in INXI_YEAR_DIFFERS:
            # inxi gives the first year of the core, the table that of the model.
            assert int(record["inxi_year_first"]) <= row.years[0] + 1, (record, row.years[0])
    assert compared >= 80
