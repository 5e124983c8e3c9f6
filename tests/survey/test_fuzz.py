"""Damaged input never crashes a reader and never makes a fact that is not true of the invented PC."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from survey.survey_data import PRIVATE, all_dumps

from partsolver.base.errors import InputRefused
from partsolver.survey.facts import Merged, clean
from partsolver.survey.merge import merge
from partsolver.survey.readers import read_source
from partsolver.survey.write import render

DUMPS = all_dumps()
NAMES = sorted(DUMPS)
# Every value that is true of the invented PCs, by key; written by hand, per board.
NX41: dict[str, set[Any]] = {
    "pc.maker_model": {"Torvane Desk 300 MT"},
    "board.name": {"NX-41"},
    "board.maker": {"Torvane"},
    "board.firmware_shipped": {"NX41A07"},
    "board.memory_slots": {4},
    "board.memory_generation": {"ddr2"},
    "board.memory_module": {"dimm"},
    "board.socket": {"LGA775"},
    "cpu.name": {"Velox(R) Duo CPU V8400 @ 3.00GHz"},
    "cpu.maker": {"GenuineIntel"},
    "cpu.base_mhz": {3000},
    "cpu.cores": {2},
    "cpu.threads": {2},
    "cpu.socket": {"LGA775"},
    "cpu.x86_level": {1},
    "cpu.features": {"cmpxchg16b", "lahf-sahf", "nx", "pae", "sse3", "sse4.1", "ssse3"},
    "memory.generation": {"ddr2"},
    "memory.module": {"dimm"},
    "memory.capacity_mib": {1024, 512},
    "memory.rate_mts": {667},
    # by the processor's number (standards/cpu_signatures.csv)
    "board.memory_registered": {False},
    "memory.registered": {False},
    "cpu.architecture_class": {"core2-45nm"},
    "cpu.graphics_score": {0},
    "memory.ecc": {False},
    "memory.count": {1, 2},
}
NX62: dict[str, set[Any]] = {
    "board.name": {"NX-62"},
    "board.maker": {"Brixmore"},
    "board.firmware_shipped": {"1101"},
    "board.memory_slots": {4},
    "board.memory_generation": {"ddr3"},
    "board.memory_module": {"dimm"},
    "board.socket": {"LGA1156"},
    "cpu.name": {"Velox(R) Quad CPU V750 @ 2.67GHz"},
    "cpu.maker": {"GenuineIntel"},
    "cpu.base_mhz": {2670},
    "cpu.cores": {4},
    "cpu.threads": {4},
    "cpu.socket": {"LGA1156"},
    "memory.generation": {"ddr3"},
    "memory.module": {"dimm"},
    "memory.capacity_mib": {4096, 2048},
    "memory.rate_mts": {1066, 1600},
    # by the processor's number (standards/cpu_signatures.csv)
    "cpu.architecture_class": {"nehalem-45nm"},
    "cpu.graphics_score": {0},
    "cpu.x86_level": {2},
    "cpu.memory_rates": {"ddr3:1333"},
    "cpu.memory_channels": {2},
    "memory.ecc": {False},
    "memory.count": {1, 2},
}
DRIVES: dict[str, set[Any]] = {
    "drive.name": {
        "HOLM 250AS",
        "HOLM 250AS-9YX111",
        "HOLM 2TS",
        "ROTA DVD-16",
        "HOLM 240S",
        "sda",
        "sdc",
        "sr0",
    },
    "drive.kind": {"ssd", "hdd35", "optical"},
    "drive.interface": {"sata"},
    "drive.capacity_gb": {250, 240},
    "drive.partition_table": {"mbr", "gpt"},
    "drive.system": {True},
    "drive.encrypted": {True},
    "drive.sata_gbps10": {30},
    "drive.storage_mode": {"ahci"},
    "drive.start_mode": {"legacy"},
}
NX83: dict[str, set[Any]] = {
    "pc.maker_model": {"Torvane Desk 830 SFF"},
    "board.name": {"NX-83"},
    "board.maker": {"Torvane"},
    "board.memory_slots": {4},
    "board.memory_generation": {"ddr3"},
    "board.memory_module": {"dimm"},
    "board.socket": {"LGA1155"},
    "board.tpm": {"2.0"},
    "cpu.name": {"Velox(R) Quad CPU V3770 @ 3.40GHz"},
    "cpu.maker": {"GenuineIntel"},
    "cpu.base_mhz": {3400},
    "cpu.cores": {4},
    "cpu.threads": {8},
    "cpu.socket": {"LGA1155"},
    "memory.generation": {"ddr3"},
    "memory.module": {"dimm"},
    "memory.capacity_mib": {4096, 16384},
    "memory.rate_mts": {1600},
    # by the processor's number (standards/cpu_signatures.csv)
    "board.memory_registered": {False},
    "memory.registered": {False},
    "cpu.architecture_class": {"ivybridge"},
    "cpu.x86_level": {2},
    "cpu.memory_channels": {2},
    "memory.ecc": {False},
    "memory.count": {1, 2},
}
DISPLAY: dict[str, set[Any]] = {
    "display.name": {"Lumen 22W"},
    "display.width_px": {1680},
    "display.height_px": {1050},
    "display.refresh_hz": {60},
}
TRUTH: dict[str, set[Any]] = {}
for table in (NX41, NX62, NX83, DRIVES, DISPLAY):
    for key, values in table.items():
        TRUTH.setdefault(key, set()).update(values)
PER_FILE = {
    "dmidecode-nx41.txt": NX41,
    "dmidecode-nx62.txt": NX62,
    "raw-table.bin": NX83,
    "lshw-children.json": {**NX41, **DRIVES},
}


def read(data: bytes) -> Merged | None:
    try:
        return merge(read_source(data, "fuzz"))
    except InputRefused as refusal:
        assert str(refusal)
        return None


def false_facts(result: Merged, truth: dict[str, set[Any]]) -> list[tuple[str, Any]]:
    """Facts of a result that are not among the true ones."""
    wrong = []
    for table, content in result.survey.items():
        for row in content if isinstance(content, list) else [content]:
            for key, value in row.items():
                known = truth.get(f"{table}.{key}", set())
                if isinstance(value, list) and known.issuperset(
                    value
                ):  # a list that was broken off is true too
                    continue
                if isinstance(value, list) or value not in known:
                    wrong.append((f"{table}.{key}", value))
    return wrong


def modules(result: Merged) -> int:
    return sum(row["count"] for row in result.survey.get("memory", []))


def test_the_truth_holds_for_whole_files() -> None:
    for name in NAMES:
        result = read(DUMPS[name])
        assert result is not None and false_facts(result, PER_FILE.get(name, TRUTH)) == []


@settings(max_examples=250, deadline=None)
@given(
    name=st.sampled_from(NAMES),
    share=st.floats(0, 1),
    crlf=st.booleans(),
    encoding=st.sampled_from(["", "utf-16", "utf-8-sig"]),
)
def test_broken_off_files(name: str, share: float, crlf: bool, encoding: str) -> None:
    data = DUMPS[name]
    if not name.endswith((".bin", ".edid")):
        text = data.decode()
        text = text.replace("\n", "\r\n") if crlf else text
        data = text.encode(encoding or "utf-8")
    result = read(data[: int(len(data) * share)])
    if result is not None:
        assert false_facts(result, PER_FILE.get(name, TRUTH)) == []
        render(result)
        whole = read(DUMPS[name])
        assert whole is not None and modules(result) <= modules(whole)
        if modules(result) < modules(whole) and result.survey.get("memory") and not name.startswith("wmi"):
            assert any(q.path == "memory" for q in result.questions)  # says that modules may be missing


@settings(max_examples=150, deadline=None)
@given(
    first=st.sampled_from(NAMES),
    second=st.sampled_from(NAMES),
    between=st.sampled_from([b"", b"\n", b"\r\n\r\n"]),
)
def test_files_put_together(first: str, second: str, between: bytes) -> None:
    result = read(DUMPS[first] + between + DUMPS[second])
    if result is not None:
        assert false_facts(result, TRUTH) == []
        render(result)
        one, two = read(DUMPS[first]), read(DUMPS[second])
        assert one is not None and two is not None
        assert modules(result) <= max(modules(one), modules(two))  # two lists are never added up


@settings(max_examples=100, deadline=None)
@given(name=st.sampled_from([n for n in NAMES if n.endswith((".txt", ".json", ".csv"))]))
def test_decimal_commas(name: str) -> None:
    """Numbers with a comma give the same facts, or none."""
    import re

    text = re.sub(r"(?<=[0-9])\.(?=[0-9]+ ?(?:GHz|MHz|V|ns|G\b|T\b|GB\b|0000\b))", ",", DUMPS[name].decode())
    result = read(text.encode())
    truth = {**TRUTH, "cpu.name": {n.replace(".", ",") for n in TRUTH["cpu.name"]} | TRUTH["cpu.name"]}
    assert result is not None and false_facts(result, truth) == []


@settings(max_examples=200, deadline=None)
@given(name=st.sampled_from(NAMES), data=st.data())
def test_random_damage_never_crashes_and_leaks_nothing(name: str, data: st.DataObject) -> None:
    raw = bytearray(DUMPS[name])
    for _ in range(data.draw(st.integers(1, 8))):
        at = data.draw(st.integers(0, len(raw) - 1))
        action = data.draw(st.sampled_from(["set", "cut", "insert", "swap"]))
        if action == "set":
            raw[at] = data.draw(st.integers(0, 255))
        elif action == "cut" and len(raw) > 64:
            del raw[at : at + data.draw(st.integers(1, 40))]
        elif action == "insert":
            raw[at:at] = data.draw(st.binary(max_size=20))
        else:
            raw[at : at + 2] = raw[at : at + 2][::-1]
        raw = raw or bytearray(b"\n")
    result = read(bytes(raw))
    if result is not None:
        render(result)


@settings(max_examples=200, deadline=None)
@given(
    st.one_of(
        st.binary(max_size=400), st.text(max_size=400).map(lambda text: text.encode("utf-8", "replace"))
    )
)
def test_arbitrary_bytes(data: bytes) -> None:
    result = read(data)
    if result is not None:
        render(result)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(
                [
                    "id",
                    "class",
                    "children",
                    "blockdevices",
                    "lscpu",
                    "cpus",
                    "cpu",
                    "field",
                    "data",
                    "size",
                    "name",
                    "kname",
                    "type",
                    "device",
                    "smartctl",
                    "protocol",
                    "model_name",
                    "interface_speed",
                    "max",
                    "Capacity",
                    "DeviceLocator",
                    "capabilities",
                    "configuration",
                    "logicalname",
                    "mountpoints",
                    "handle",
                    "product",
                    "value",
                ]
            ),
            inner,
            max_size=6,
        )
    ),
    max_leaves=30,
)


@settings(max_examples=300, deadline=None)
@given(JSON)
def test_json_of_the_wrong_types(value: Any) -> None:
    import json

    result = read(json.dumps(value).encode())
    if result is not None:
        render(result)


def test_private_words_stay_hidden_in_every_prefix() -> None:
    for name in NAMES:
        data = DUMPS[name]
        for cut in range(0, len(data), max(1, len(data) // 40)):
            result = read(data[:cut])
            shown = "" if result is None else render(result).lower()
            assert not [word for word in PRIVATE if word.lower() in shown], (name, cut)


@given(st.text(min_size=1, max_size=30))
def test_a_cleaned_text_can_stand_in_a_survey(text: str) -> None:
    """A soft hyphen, a zero-width blank and the like are no control characters, and a survey holds them as
    little."""
    cleaned = clean("x" + text)
    assert cleaned.isprintable() and cleaned[0] == "x"
    assert clean("WD\xad10\u200bEZ") == "WD 10 EZ"
