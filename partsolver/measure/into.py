"""Write the scores of a measured processor into a catalogue: four cells of one row of cpus.csv, nothing else.

Scores only mean something on one scale. A catalogue whose scores were measured with this yardstick says so in
the ``origin`` of catalog.toml with the words ``yardstick partsolver-1`` (the name in ``records.YARDSTICK``);
its [reference] scores are then points of the yardstick too. Into any other catalogue nothing is written
unless the factor between the scales is given: measure a PC whose processor the catalogue has a trusted score
for; factor = that score / the measured one. The rest of the file stays as it is byte for byte, line ends and
quotes included.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

from partsolver.base.errors import InternalFault, nearest, refuse
from partsolver.base.quantities import round_half_up
from partsolver.base.records import record
from partsolver.base.textfile import decoded, read_bytes, write_bytes
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.measure.records import YARDSTICK, Measurement
from partsolver.measure.repeat import score_error_percent
from partsolver.performance.scale import is_on_scale

COLUMNS = ("serial_score", "parallel_score", "score_origin", "score_error_percent")
_BOM = "\ufeff"


@record
class Target:
    """Where the scores go: checked before anything is measured."""

    folder: Path
    catalog: Catalog
    cpu: str
    scale: Fraction


@record
class Written:
    """What was written: the file and the cells (column, old text, new text)."""

    path: Path
    cpu: str
    cells: tuple[tuple[str, str, str], ...]


def find_target(folder: Path, cpu: str, scale_by: str | None) -> Target:
    """Check catalogue, processor and scale. Raises InputRefused."""
    catalog = load_catalog(folder)
    if catalog.table_of.get(cpu) != "cpus":
        known = [row.id for row in catalog.tables["cpus"]]
        raise refuse(
            "--cpu",
            f"no such processor in {folder / 'cpus.csv'}",
            cpu,
            "an id of that table",
            nearest(cpu, known),
        )
    same = is_on_scale(catalog.info.origin, YARDSTICK)
    if scale_by is None:
        if not same:
            raise refuse(
                f"{folder / 'catalog.toml'} origin",
                "does not say that the scores are on the scale of `partsolver measure`",
                catalog.info.origin,
                f"the words 'yardstick {YARDSTICK}' in it, or --scale-by FACTOR",
                "FACTOR = score in the catalogue / score measured, for a processor that has both",
            )
        return Target(folder, catalog, cpu, Fraction(1))
    if same:
        raise refuse("--scale-by", "the catalogue is on this scale already", scale_by, "no factor")
    if not re.fullmatch(r"\d{1,6}(\.\d{1,9})?", scale_by) or Fraction(scale_by) == 0:
        raise refuse("--scale-by", "not a factor", scale_by, "a positive decimal such as 1.35")
    return Target(folder, catalog, cpu, Fraction(scale_by))


def write_scores(
    measured: Measurement, target: Target, anyway: bool = False, settings: Mapping[str, int] | None = None
) -> Written:
    """Write the scores. Refused for a noisy or virtual run unless ``anyway``, and for a processor with
    another number of threads. Raises InputRefused."""
    cpu = target.catalog.part(target.cpu)
    threads = getattr(cpu, "threads", None)
    if threads is not None and threads != measured.conditions.threads:
        raise refuse(
            "--cpu",
            f"{target.cpu} has {threads} threads in the catalogue",
            f"{measured.conditions.threads} measured",
            "the processor of this PC",
            "Check the id, and whether the firmware has switched off cores or threads",
        )
    if not anyway and (measured.verdict != "good" or measured.conditions.virtual):
        why = (
            "a virtual machine's scores are not the processor's"
            if measured.conditions.virtual
            else "the run is noisy"
        )
        codes = ", ".join(reason.code for reason in measured.reasons) or "virtual"
        raise refuse(
            "measurement",
            f"{why}, nothing is written",
            codes,
            "a good run on the PC itself",
            "Measure again, or say --anyway",
        )
    if measured.yardstick != YARDSTICK:
        raise refuse("measurement", "was made with another yardstick", measured.yardstick, YARDSTICK)
    serial, parallel = measured.reading("serial"), measured.reading("parallel")
    assert serial is not None and parallel is not None
    cells = {
        "serial_score": str(max(1, round_half_up(serial.median * target.scale))),
        "parallel_score": str(max(1, round_half_up(parallel.median * target.scale))),
        "score_origin": "measured",
        "score_error_percent": str(score_error_percent(measured, settings)),
    }
    path = target.folder / "cpus.csv"
    raw = read_bytes(path)
    text, old = edit_row(decoded(path, raw), target.cpu, cells)
    write_bytes(path, ((_BOM if raw.startswith(_BOM.encode()) else "") + text).encode(), raw)
    return Written(path, target.cpu, tuple((name, old[name], cells[name]) for name in COLUMNS))


def edit_row(text: str, row_id: str, cells: dict[str, str]) -> tuple[str, dict[str, str]]:
    """CSV text with some cells of the row ``id`` changed, and the old cells. Missing columns are added at the
    end.

    Raises InternalFault when the result does not read back as the original with just these cells changed.
    """
    records = _spans(text)
    header = [_value(text, span) for span in records[0]]
    places = {name.strip(): index for index, name in enumerate(header)}
    added = [name for name in cells if name not in places]
    edits: dict[tuple[int, int], str] = {}
    old: dict[str, str] = {}
    for number, row in enumerate(records):
        mine = number > 0 and len(row) == len(header) and _value(text, row[places["id"]]).strip() == row_id
        for name in cells if mine else ():
            if name in places:
                old[name] = _value(text, row[places[name]]).strip()
                edits[row[places[name]]] = cells[name]
        last = row[-1]
        tail = "".join("," + (name if number == 0 else cells[name] if mine else "") for name in added)
        if tail:
            edits[last] = edits.get(last, text[last[0] : last[1]]) + tail
    old |= dict.fromkeys(added, "")
    result = text
    for (start, end), new in sorted(edits.items(), reverse=True):
        result = result[:start] + new + result[end:]
    _prove(text, result, row_id, cells)
    return result, old


def _spans(text: str) -> list[list[tuple[int, int]]]:
    """Start and end of every cell (quotes included) of every record that is not blank."""
    records: list[list[tuple[int, int]]] = []
    record: list[tuple[int, int]] = []
    start, quoted = 0, False
    for index, char in enumerate(text + "\n"):
        # A quote opens a cell only at its start; a doubled one within closes and opens again.
        if char == '"' and (quoted or text[start] == '"'):
            quoted = not quoted
        elif char == "," and not quoted:
            record.append((start, index))
            start = index + 1
        elif char in "\r\n" and not quoted:
            if record or text[start:index].strip():
                record.append((start, index))
                records.append(record)
            record, start = [], index + 1
    return records


def _value(text: str, span: tuple[int, int]) -> str:
    cell = text[span[0] : span[1]]
    return cell[1:-1].replace('""', '"') if cell.startswith('"') else cell


def _prove(before: str, after: str, row_id: str, cells: dict[str, str]) -> None:
    """Read both texts with the csv module: they must differ in the named cells of one row only."""
    old, new = (list(csv.DictReader(io.StringIO(text, newline=""))) for text in (before, after))
    changed = 0
    for first, second in zip(old, new, strict=True):
        wanted = {str(k).strip(): v or "" for k, v in first.items()}
        if wanted["id"].strip() == row_id:
            changed += 1
            wanted |= cells
        else:
            wanted |= {name: "" for name in cells if name not in wanted}
        if wanted != {str(k).strip(): v or "" for k, v in second.items()}:
            raise InternalFault(
                f"editing cpus.csv would change more than {row_id}: {wanted} against {second}"
            )
    if changed != 1:
        raise InternalFault(f"editing cpus.csv would change {changed} rows of {row_id}")
