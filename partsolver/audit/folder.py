"""A counter-example as a folder: survey, catalogue and question, nothing else. It can be sent in, and put
into ``tests/cases`` it is a test case as it is (tests/test_audit.py asks its law again)."""

from __future__ import annotations

import csv
import io
import tempfile
from collections.abc import Iterator
from pathlib import Path

import tomlkit

from partsolver.audit.laws import LAWS
from partsolver.audit.trial import OwnData, Trial, own_data, survey_of
from partsolver.base.documents import csv_rows, parse_toml
from partsolver.base.errors import refuse
from partsolver.base.textfile import read_text, write_folder
from partsolver.catalog.records import PART_TABLES, TABLES
from partsolver.catalog.store import holds_store
from partsolver.survey.load import parse_survey

QUESTION = "audit.toml"
SURVEY = "survey.toml"


def is_counter_example(folder: Path) -> bool:
    """Whether a folder holds the question of an audit."""
    return (folder / QUESTION).is_file()


def write_counter_example(target: Path, own: OwnData, trial: Trial, reason: str, version: str) -> None:
    """Write a trial with all it needs. Raises InputRefused where that cannot be done."""
    changed = survey_of(own, trial.changes)
    _, brief = parse_survey(changed, SURVEY)
    question = {"law": trial.law, "reason": reason, "version": version}
    if trial.part is not None:
        question["part"] = trial.part
    texts = {
        QUESTION: "# What broke: a law of the audit, asked of survey.toml and the tables beside it.\n"
        + tomlkit.dumps(question),
        SURVEY: tomlkit.dumps(changed),
    }
    named = frozenset({*brief.without, *brief.including})
    held = None if trial.parts is None else trial.parts | named
    if holds_store(own.folder):
        from partsolver.catalog.store.tables import export_folder

        with tempfile.TemporaryDirectory() as folder:
            export_folder(own.folder, Path(folder) / "tables")
            texts |= dict(_tables(Path(folder) / "tables", own, held))
    else:
        texts |= dict(_tables(own.folder, own, held))
    write_folder(target, texts)


def _tables(folder: Path, own: OwnData, held: frozenset[str] | None) -> Iterator[tuple[str, str]]:
    """(file name, text) of a catalogue's tables with the rows that are about the parts held."""
    yield "catalog.toml", read_text(folder / "catalog.toml")
    bundles = {
        bundle.id
        for bundle in own.catalog.tables["bundles"]
        if held is None or all(item in held for item, _ in bundle.items)
    }
    for table in TABLES:
        path = folder / f"{table}.csv"
        if not path.is_file():
            continue
        rows = [row for _, row in csv_rows(read_text(path), str(path)) if any(map(str.strip, row))]
        if not rows:
            continue
        header = [cell.strip() for cell in rows[0]]
        key = header.index("part" if table == "offers" else "id")
        wanted = bundles if table == "bundles" else held
        if table in (*PART_TABLES, "offers", "bundles") and wanted is not None:
            rows = [rows[0], *(row for row in rows[1:] if len(row) > key and row[key].strip() in wanted)]
        out = io.StringIO(newline="")
        csv.writer(out, lineterminator="\n").writerows(rows)
        yield path.name, out.getvalue()


def read_counter_example(folder: Path) -> tuple[OwnData, Trial]:
    """A folder that `write_counter_example` wrote. Raises InputRefused."""
    path = folder / QUESTION
    question = parse_toml(read_text(path), str(path))
    law, part = question.get("law"), question.get("part")
    if law not in LAWS:
        raise refuse(f"{path} law", "no such law", None if law is None else str(law), ", ".join(LAWS))
    own = own_data(folder, folder / SURVEY)
    if part is not None and part not in own.catalog.table_of:
        raise refuse(f"{path} part", "no such part", str(part), "an id of the part tables")
    return own, Trial(law, None, (), part)


__all__ = ["is_counter_example", "read_counter_example", "write_counter_example"]
