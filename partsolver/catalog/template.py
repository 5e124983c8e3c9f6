"""An empty catalogue: header lines, catalog.toml, and the column dictionary as a guide."""

from __future__ import annotations

import re
from pathlib import Path

from partsolver.base.errors import refuse
from partsolver.base.textfile import write_folder
from partsolver.catalog.dictionary import columns

_HEAD = """# Name, currency and date of this catalogue, and the machine all scores refer to.
name = "my catalogue"
currency = "{currency}"
as_of = {today}            # the day of the prices
origin = "by hand"             # where the data come from

# Scores of processors and graphics may come from any one benchmark, as long as all use the same.
# These are the scores of the reference machine on that scale, its memory bandwidth and its drive.
[reference]
serial_score = 1000
parallel_score = 4000
memory_mbs = 34133
storage_mbs = 500
graphics_score = 1000

# Rates for offers in another currency: one unit of it in {currency}.
# [rates]
# USD = "0.92"
"""


def guide() -> str:
    """The column dictionary as text (Markdown): every table and column with type, unit, what is assumed and
    meaning."""
    lines = [
        "# Columns of a catalogue",
        "",
        (
            "One CSV file per table, UTF-8, comma separated, first line = column names. Columns that are not"
            " required may be left out."
        ),
        (
            "An empty cell, or the word `unknown`, means that the fact is not known: nothing is guessed for it."
            " `none` and 0 are written. Where a value is assumed for an empty cell it stands here, and the plan"
            " that uses it says so. Words count without regard to case; values may be written as people write"
            " them: 24.4 cm, 64 GB, Micro-ATX, 20+4, 89,90 EUR, 24.12.2026."
        ),
    ]
    for table, described in columns().items():
        lines += [
            "",
            f"## {table}.csv",
            "",
            "| column | required | content | assumed | meaning |",
            "|---|---|---|---|---|",
        ]
        for column in described.values():
            required = "yes" if column.required else ""
            expected = column.expected.replace("|", "/")
            lines.append(f"| {column.name} | {required} | {expected} | {column.assumed} | {column.meaning} |")
    return "\n".join(lines) + "\n"


def write_template(folder: Path, currency: str, today: str = "2026-01-01") -> list[Path]:
    """Write the tables into a new or empty folder. Raises InputRefused when a catalogue is there already."""
    if not re.fullmatch(r"[A-Z]{3}", currency):
        raise refuse("--currency", "not a currency code", currency, "three capital letters (ISO 4217)")
    if (folder / "catalog.toml").exists():
        raise refuse(str(folder), "there is a catalogue in this folder already", hint="Choose another folder")
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise refuse(str(folder), "there is something in its place already", hint="Choose an empty folder")
    texts = {"catalog.toml": _HEAD.format(currency=currency, today=today)}
    texts |= {f"{table}.csv": ",".join(described) + "\n" for table, described in columns().items()}
    texts["COLUMNS.md"] = guide()
    write_folder(folder, texts)
    return [folder / name for name in texts]
