"""A measurement: readings with their spread, the conditions, and a verdict. No host, user or serial number.

Quantities are whole numbers; the unit stands in the field's name or in ``unit``. A file that contradicts
itself (a median that does not follow from its values) is refused, so an edited figure does not pass as a
measured one.
"""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from partsolver.base.documents import check_schema, parse_json
from partsolver.base.errors import InputRefused
from partsolver.base.field_faults import field_fault, place
from partsolver.base.textfile import read_text
from partsolver.measure.stats import MAD_TO_SD, median, quantile

SCHEMA: Literal["partsolver.measurement/1"] = "partsolver.measurement/1"
# The fixed mix of work and the scale of the points. A change of compute.py that changes the work gets a new
# number.
YARDSTICK = "partsolver-1"

Verdict = Literal["good", "noisy"]
PositiveInt = Annotated[int, Field(gt=0, lt=10**15)]
Permille = Annotated[int, Field(ge=0, le=1000)]

# Far beyond any PC (Linux is built for at most 8,192 threads on x86), and still what a survey takes.
Threads = Annotated[int, Field(gt=0, le=10_000)]
MOST_FIGURE = 10**9

LOWER_IS_BETTER = ("launch",)


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Reading(_Frozen):
    """One quantity, measured several times.

    name: serial, parallel (points), memory, storage_sequential (MB/s, decimal), storage_random (reads/s),
    launch (ms), and the tasks of compute (``serial.zlib``, units/1000 s); values: the repetitions in the
    order they were made; median, low and high (10 % and 90 % quantile) and spread_permille (1.4826 MAD /
    median) follow from them.
    """

    name: str
    unit: str
    median: PositiveInt
    low: PositiveInt
    high: PositiveInt
    spread_permille: Annotated[int, Field(ge=0)]
    values: Annotated[tuple[PositiveInt, ...], Field(min_length=1, max_length=1000)]

    @classmethod
    def of_values(cls, name: str, unit: str, values: list[float]) -> Reading:
        """The reading of some repetitions (each at least 1 after rounding)."""
        whole = tuple(max(1, round(value)) for value in values)
        return cls(name=name, unit=unit, values=whole, **_summary(whole))

    @model_validator(mode="after")
    def _follows(self) -> Reading:
        for field, value in _summary(self.values).items():
            if getattr(self, field) != value:
                raise ValueError(f"{field} of {self.name} does not follow from its values ({value} would)")
        return self


def _summary(values: tuple[int, ...]) -> dict[str, int]:
    middle = median(values)
    deviation = MAD_TO_SD * median([abs(value - middle) for value in values])
    return {
        "median": round(middle),
        "low": round(quantile(values, 0.1)),
        "high": round(quantile(values, 0.9)),
        "spread_permille": round(1000 * deviation / middle),
    }


class Reason(_Frozen):
    """Why a run is not called good: a code, what it is about, the value, the limit and their unit."""

    code: str
    about: str = ""
    value: int | str | None = None
    limit: int | None = None
    unit: str = ""


class Software(_Frozen):
    """What did the work: the figures are only comparable between like software."""

    python: str
    numpy: str
    zlib: str
    system: str


class DriveFacts(_Frozen):
    """The drive under the file that was read.

    cache: how the operating system's page cache was kept out: ``direct`` (O_DIRECT), ``dropped`` (advised
    away and checked), ``used`` (could not be avoided: the reading is not one of the drive), ``memory`` (the
    folder is in memory), ``skipped``; link_gbps10: negotiated SATA rate in tenths of Gb/s; port_gbps10: what
    the port can do;
    interface: sata, nvme, usb, virtual or None where it cannot be told; file_mib: size of the file.
    """

    cache: Literal["direct", "dropped", "used", "memory", "skipped"]
    file_system: str | None = None
    rotational: bool | None = None
    interface: str | None = None
    link_gbps10: PositiveInt | None = None
    port_gbps10: PositiveInt | None = None
    file_mib: PositiveInt | None = None


class MemoryFacts(_Frozen):
    """How the triad was run: array size against the last-level caches (STREAM's rule) and the number of
    processes."""

    last_level_cache_kib: PositiveInt | None
    array_kib: PositiveInt
    rule_met: bool
    processes: PositiveInt


class Conditions(_Frozen):
    """The PC and its state. None = could not be read.

    busy, others, stolen: share of the processor used by other programs before and during the run, and by
    other guests of a virtual machine's host.
    """

    cpu_model: str | None
    threads: Threads
    cores: Threads | None
    memory_mib: Annotated[int, Field(gt=0, le=MOST_FIGURE)] | None
    virtual: bool
    governor: str | None
    power: Literal["mains", "battery", "no battery listed"] | None
    busy_permille: Permille | None
    others_permille: Permille | None
    stolen_permille: Permille | None
    load_milli: Annotated[int, Field(ge=0)] | None
    temperature_start_c: int | None
    temperature_most_c: int | None
    clock_one_thread_mhz: PositiveInt | None
    clock_all_threads_mhz: PositiveInt | None
    throttle_events: Annotated[int, Field(ge=0)] | None


class Measurement(_Frozen):
    """One run of ``partsolver measure``.

    reasons: why the run is noisy (empty: good); missing: what could not be measured and why; quick: made with
    little effort, for trying out.
    """

    schema_: Literal["partsolver.measurement/1"] = Field(SCHEMA, alias="schema")
    yardstick: str
    date: Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$")]
    quick: bool
    rounds: PositiveInt
    seconds: PositiveInt
    verdict: Verdict
    reasons: tuple[Reason, ...]
    missing: tuple[Reason, ...]
    readings: tuple[Reading, ...]
    memory: MemoryFacts
    drive: DriveFacts
    conditions: Conditions
    software: Software

    @model_validator(mode="after")
    def _consistent(self) -> Measurement:
        try:
            datetime.date.fromisoformat(self.date)
        except ValueError:
            raise ValueError(f"the date {self.date} is no day that exists") from None
        names = [reading.name for reading in self.readings]
        for reading in self.readings:
            # (the tasks of compute, such as serial.zlib, count in small units)
            if "." not in reading.name and reading.high > MOST_FIGURE:
                raise ValueError(f"{reading.name} of {reading.high} {reading.unit} is beyond any PC")
        if len(set(names)) != len(names):
            raise ValueError("a reading stands twice")
        for name in ("serial", "parallel"):
            if name not in names:
                raise ValueError(f"the reading {name} is missing")
        if (self.verdict == "good") != (not self.reasons):
            raise ValueError("the verdict is good exactly when no reason against it is listed")
        return self

    def reading(self, name: str) -> Reading | None:
        """A reading by name, or None when it was not made."""
        return next((reading for reading in self.readings if reading.name == name), None)

    def document(self) -> dict[str, Any]:
        """The JSON document, schema first."""
        return self.model_dump(mode="json", by_alias=True)


def read_measurement(path: Path) -> Measurement:
    """Read a measurement file. Raises InputRefused naming the field."""
    hint = "Use a file written by `partsolver measure --out`"
    text = read_text(path)
    head = parse_json(text, str(path), hint)
    check_schema(head, str(path), SCHEMA, "not a measurement", hint)
    try:
        return Measurement.model_validate_json(text)
    except ValidationError as error:
        raise InputRefused(
            [field_fault(item).placed(f"{path} {place(item)}".rstrip(), hint) for item in error.errors()]
        ) from None
