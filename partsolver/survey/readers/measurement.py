"""A measurement of this PC (`partsolver measure --out`): cores, scores, memory, both figures of the system
drive.

Measured figures take the place of stated ones (``survey/importing.py``). Scores carry the name of the
yardstick they were measured with; on a catalogue of another scale they count through the two reference
machines, with the error of that (``performance/scale.py``). A noisy run says how many cores there are, and
nothing else.
"""

from __future__ import annotations

import json
from typing import Any

from pydantic import ValidationError

from partsolver.base.field_faults import field_fault, place
from partsolver.measure.judge import judge
from partsolver.measure.records import SCHEMA, Measurement
from partsolver.measure.repeat import score_error_percent
from partsolver.measure.speeds import reads_its_cache
from partsolver.survey.facts import MEASURED_DRIVE, Facts, Notes
from partsolver.survey.readers.text import json_of

KIND = "measurement"
# A short run has few rounds: its scatter stands in the error.
ALLOWED_REASONS = {"few_rounds"}


def reads(data: bytes) -> bool:
    """Whether a value is a measurement."""
    return any(_is_measurement(value) for value in json_of(data))


def _is_measurement(value: Any) -> bool:
    return isinstance(value, dict) and value.get("schema") == SCHEMA


def read(data: bytes, where: str) -> Facts:
    """Facts of the measurements in the file. Never fails: one that cannot be read is remarked."""
    notes = Notes(KIND)
    for value in json_of(data):
        if _is_measurement(value):
            try:
                note_measurement(Measurement.model_validate_json(json.dumps(value)), where, notes)
            except ValidationError as error:
                item = error.errors()[0]
                fault = field_fault(item).placed(f"{where} {place(item)}".rstrip())
                notes.remark(f"A measurement cannot be read ({fault}); measure again")
    return notes.done()


def note_measurement(run: Measurement, where: str, notes: Notes) -> None:
    """Note what one run says of this PC."""
    state = run.conditions
    at = f"{where} of {run.date}"
    notes.add("cpu.name", state.cpu_model, at, f"processor {state.cpu_model!r}", "doubtful")
    notes.add("cpu.cores", state.cores, at, f"{state.cores} cores seen", "sure")
    notes.add("cpu.threads", state.threads, at, f"{state.threads} threads seen", "sure")
    if state.memory_mib is not None:
        notes.add(
            "pc.memory_seen_mib", state.memory_mib, at, f"the system sees {state.memory_mib} MiB", "sure"
        )
    spoilt = [reason.code for reason in judge(run.readings, state, run.rounds)]
    spoilt = sorted(set(spoilt) - ALLOWED_REASONS)
    if spoilt:
        notes.remark(
            f"The measurement {where} is noisy ({', '.join(spoilt)}): no score and no rate was taken from it;"
            " measure again on a quiet PC"
        )
        return
    if state.virtual:
        notes.remark(
            f"The measurement {where} was made in a virtual machine: its figures are those of that machine"
        )
    for score in ("serial", "parallel"):
        reading = run.reading(score)
        if reading is not None:
            notes.add(
                f"cpu.{score}_score", max(1, reading.median), at, f"measured {reading.median} points", "sure"
            )
    notes.add("cpu.score_origin", "measured", at, "measured", "sure")
    notes.add("cpu.score_error_percent", score_error_percent(run), at, "scatter of the repetitions", "sure")
    notes.add("cpu.score_scale", run.yardstick, at, f"yardstick {run.yardstick}", "sure")
    _drive(run, at, notes)


def _drive(run: Measurement, at: str, notes: Notes) -> None:
    path = f"drive[{MEASURED_DRIVE}]"
    for key, name, unit in (
        ("read_mbs", "storage_sequential", "MB/s"),
        ("random_reads_per_s", "storage_random", "reads/s"),
    ):
        reading = run.reading(name)
        if name == "storage_random" and reads_its_cache(run):
            notes.remark(
                f"The disk's small reads ({reading.median if reading else 0} a second, of {at}) came out of its own cache,"
                " more than a disk can do: they are left out, and its kind counts"
            )
        elif reading is not None and reading.median > 0:
            notes.add(f"{path}.{key}", reading.median, at, f"measured {reading.median} {unit}", "sure")
    interface = {"sata": "sata", "nvme": "m2-nvme"}.get(run.drive.interface or "")
    if interface == "m2-nvme" or run.drive.rotational is False:
        notes.add(f"{path}.kind", "ssd", at, "does not rotate", "likely")
    notes.add(f"{path}.interface", interface, at, f"link {run.drive.interface}", "doubtful")
