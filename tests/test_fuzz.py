"""Every reader takes or refuses whatever bytes it is given (``fuzz_targets``): a little of it here, the same
in every run; ``tests/long/fuzz.py`` goes on by coverage. What fuzzing found stands below, each as its smallest
input."""

from __future__ import annotations

import csv
import os
import random
import re

import fuzz_targets
import pytest
from fuzz_targets import FILES, TARGETS, changed, refused
from hypothesis import given, settings
from hypothesis import strategies as st

from partsolver.base.errors import InputRefused
from partsolver.catalog.sources import FileRead

INPUTS = 400 if os.environ.get("PARTSOLVER_FULL") == "1" else 25


@pytest.mark.parametrize("name", TARGETS)
def test_whole_inputs_are_read_and_changed_ones_are_read_or_refused(name: str) -> None:
    target, chance = TARGETS[name], random.Random(f"fuzz {name}")
    seeds = target.seeds()
    assert not all(refused(target.read, seed) for seed in seeds)
    for _ in range(INPUTS):
        refused(target.read, changed(chance.choice(seeds), chance, seeds))


@settings(max_examples=INPUTS)
@given(
    name=st.sampled_from(sorted(TARGETS)),
    data=st.binary(max_size=300) | st.text(max_size=100).map(str.encode),
)
def test_any_bytes_are_read_or_refused(name: str, data: bytes) -> None:
    refused(TARGETS[name].read, data)


def test_what_is_written_elsewhere_is_found(tmp_path: object) -> None:
    """The watch of the long run sees a file beside the folder."""
    fuzz_targets.written.clear()
    fuzz_targets._watch("open", (f"{tmp_path}/beside", "w", fuzz_targets.WRITES))
    fuzz_targets._watch("open", (f"{fuzz_targets.folder()}/inside", "w", fuzz_targets.WRITES))
    fuzz_targets._watch("open", (f"{tmp_path}/read", "r", 0))
    assert fuzz_targets.written == [f"open {tmp_path}/beside"]


LONG = b"x" * 200_000  # longer than a cell that the csv library takes


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("table-catalog", b"as_of = " + b"9" * 400, "too large"),
        ("measurement", b'{"schema": 1e99999999999999999999}', "too long"),
        ("survey", b"[pc]\nname = 1e99999999999999999999\n", "too long"),
        ("shelf", b'part,count\r"x"y\r\rz,3', "no such part"),
        ("shelf", b"part,count\nboard-x,3," + LONG, "cannot be read as CSV"),
        ("pairs", b"before,after,before_s,after_s\n" + LONG, "cannot be read as CSV"),
    ],
)
def test_what_fuzzing_found_is_a_message(name: str, data: bytes, said: str) -> None:
    csv.field_size_limit(131_072)  # the library's own, which a list that was read before makes larger
    with pytest.raises(InputRefused, match=said):
        TARGETS[name].read(data)


def test_a_count_of_superscripts_is_no_count() -> None:
    """Python calls a superscript two a digit and reads no number from it."""
    (whole, _) = TARGETS["shelf"].seeds()
    with pytest.raises(InputRefused, match="not a count"):
        TARGETS["shelf"].read(whole.replace(b",3,", ",²,".encode()))


def test_a_sheet_whose_numbers_no_library_holds_is_not_read() -> None:
    data = (FILES / "makers" / "halvorn-q6-98.pdf").read_bytes()
    found = TARGETS["pdf"].read(re.sub(rb"startxref\s+\d+", b"startxref\n99999999999999999999", data))
    assert isinstance(found, FileRead)


@pytest.mark.parametrize("number", ["1e999", "-1e999", "1" + 400 * "0"])
@pytest.mark.parametrize("column", ["stock", "price", "delivery"])
def test_a_list_with_a_number_beyond_all_numbers_is_read(column: str, number: str) -> None:
    row = {"name": '"16 GB DDR4-3200 (2x8GB)"', "price": '"31.00"', "currency": '"EUR"', column: number}
    data = "[{" + ", ".join(f'"{key}": {value}' for key, value in row.items()) + "}]"
    assert isinstance(TARGETS["sheet"].read(data.encode()), FileRead)


@pytest.mark.parametrize("cell", range(60))
def test_a_store_with_a_cell_of_another_kind_is_read_or_damaged(cell: int) -> None:
    """A number, bytes or nothing where the program writes text: never a fault of the program."""
    for kind in range(4):
        for text in (b"4", b"\xff\x00", b"[1]"):
            refused(TARGETS["store-cell"].read, bytes([cell, cell // 3, cell // 5, kind]) + text)
