"""The reports of `measure`: a measurement and what was written into a catalogue, as text and JSON."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping

from partsolver.measure.into import Written
from partsolver.measure.records import Measurement, Reading, Reason
from partsolver.measure.repeat import bounds
from partsolver.report.document import dump
from partsolver.report.page import current_page, date_words, decimals_text, wrap
from partsolver.report.words.counts import count_of

# Steps of a measurement, for the progress bar.
STEPS = {
    "idle": "watching the idle PC",
    "file": "writing the test file",
    "start": "starting the measuring processes",
    "serial": "processor, one thread",
    "parallel": "processor, all threads",
    "memory": "memory",
    "storage": "drive",
    "launch": "start of an application",
    "done": "done",
}
READING_NAMES = {
    "serial": "processor, one thread",
    "parallel": "processor, all threads",
    "memory": "memory, triad",
    "storage_sequential": "drive, one after another",
    "storage_random": "drive, here and there (4 KiB)",
    "launch": "cold start of an application",
}
TASK_NAMES = {
    "zlib": "compression, fast",
    "lzma": "compression, dense",
    "blake2b": "hashing",
    "sort": "sorting and counting",
    "numeric": "numbers (Fourier transform)",
}
_REASONS = {
    "few_rounds": "only {value} rounds were made; {limit} are needed to judge the spread",
    "busy": (
        "other programs used {value} of the processor before the start (limit {limit}); close them and wait"
        " for updates to end"
    ),
    "others": "other programs used {value} of the processor during the run (limit {limit}); close them",
    "stolen": "the host of this virtual machine took {value} of the processor's time (limit {limit})",
    "battery": "the PC ran on battery; connect the mains",
    "throttled": "the processor slowed itself down {value} times for heat; look at cooler, paste and dust",
    "spread": "{about}: the repetitions differ by {value} (limit {limit})",
    "sag": (
        "{about}: the last rounds reached only {value} of the first (limit {limit}); heat, a power limit or"
        " (in a virtual machine) other guests slow it down"
    ),
}
_MISSING = {
    "memory_short": (
        "memory: not measured, because too little memory is free for arrays of four times the caches"
        " (STREAM's rule)"
    ),
    "cache_used": (
        "drive: not measured, because the page cache could not be avoided on this file system ({value})"
    ),
    "cache_memory": (
        "drive: not measured, because the folder is in memory ({value}); name one on the drive with --folder"
    ),
    "cache_skipped": (
        "drive: not measured, because it is too full: a test file of {limit} MiB would leave less than 5 % or"
        " 1 GiB free"
    ),
    "left_out": "start of an application: left out of a first look",
    "not_cold": (
        "start of an application: not measured, because {value} of its files stay in the page cache (limit"
        " {limit}); close programs that use them"
    ),
}
_CACHE = {
    "direct": "read past the page cache",
    "dropped": "dropped from the page cache before each reading",
    "used": "page cache not avoided",
    "memory": "in memory",
    "skipped": "no file made",
}
VIRTUAL = (
    "This is a virtual machine: the figures are its share of the host, and the host's cache may stand behind"
    " the drive."
)


def _amount(value: int | str | None, unit: str) -> str:
    if unit == "permille" and isinstance(value, int):
        return f"{decimals_text(value / 10, 1)}\N{NO-BREAK SPACE}%"
    return "unknown" if value is None else str(value)


def reason_text(reason: Reason) -> str:
    """Why a run is noisy, in a sentence."""
    if reason.code not in _REASONS:  # of another version: data, and no sentence to be filled in
        return reason.code
    return _REASONS[reason.code].format(
        about=READING_NAMES.get(reason.about, reason.about),
        value=_amount(reason.value, reason.unit),
        limit=_amount(reason.limit, reason.unit),
    )


def missing_text(reason: Reason) -> str:
    """What was not measured and why."""
    if reason.code not in _MISSING:
        return f"{reason.about}: {reason.code}"
    return _MISSING[reason.code].format(
        value=_amount(reason.value, reason.unit), limit=_amount(reason.limit, reason.unit)
    )


def _number(value: int) -> str:
    return f"{value:,}".replace(",", " ") if value >= 10000 else str(value)


def into_survey(path: str) -> str:
    """How a first look goes on."""
    return f"into a survey: partsolver survey import {shlex.quote(path)} --out pc.toml"


def measurement_text(measured: Measurement, settings: Mapping[str, int] | None = None) -> str:
    """A measurement for people; settings: of ``measure.repeat``."""
    return "\n".join(_lines(measured, settings)) + "\n"


def _lines(m: Measurement, settings: Mapping[str, int] | None) -> Iterator[str]:
    state = m.conditions
    cores = "" if state.cores is None else f"{count_of(state.cores, 'core')}, "
    memory = "memory size unknown" if state.memory_mib is None else f"{state.memory_mib} MiB of memory"
    yield wrap(
        f"{state.cpu_model or 'processor unknown'}: {cores}{count_of(state.threads, 'thread')}, {memory}", ""
    )
    kind = "quick try" if m.quick else "measurement"
    yield f"{date_words(m.date)}, {kind} of {count_of(m.rounds, 'round')} in {m.seconds} s, {m.yardstick}"
    yield ""
    if m.verdict == "good":
        yield "GOOD: the repetitions agree and the PC was quiet."
    else:
        yield "NOISY: do not rely on these figures."
        for reason in m.reasons:
            yield wrap(reason_text(reason), "  - ", "    ")
    yield ""
    drawn = current_page().drawings
    if drawn:
        yield f"{'':<31}{'median':>9} {'unit':<9}{'another run (95 %)':>21}{'spread':>9}"
    for name in READING_NAMES:
        reading = m.reading(name)
        if reading is not None:
            yield _reading_line(READING_NAMES[name], reading, bounds(m, reading, settings))
    for missing in m.missing:
        yield wrap(missing_text(missing), "  ", "    ")
    tasks = [task for task in TASK_NAMES if m.reading(f"serial.{task}") and m.reading(f"parallel.{task}")]
    if tasks:
        yield ""
        yield (
            f"{'units of work per second':<31}{'one':>9} {'all':>9}" if drawn else "Units of work per second"
        )
    for task, name in TASK_NAMES.items():
        one, every = m.reading(f"serial.{task}"), m.reading(f"parallel.{task}")
        if one is not None and every is not None:
            alone, together = (decimals_text(found.median / 1000, 1) for found in (one, every))
            if drawn:
                yield f"  {name:<29}{alone:>9} {together:>9}"
            else:
                yield f"  {name}: one thread {alone}, all together {together}"
    yield ""
    yield "Conditions"
    for line in _conditions(m):
        yield wrap(line, "  - ", "    ")


def _reading_line(name: str, reading: Reading, another: tuple[int, int]) -> str:
    reach = " to ".join(_number(value) for value in another)
    if not current_page().drawings:
        said = f"{name}: {_number(reading.median)} {reading.unit}; another run gives {reach} (95 %), spread"
        return wrap(f"{said} {decimals_text(reading.spread_permille / 10, 1)} %", "  ", "    ")
    return (
        f"  {name:<29}{_number(reading.median):>9}"
        f" {reading.unit:<9}{reach:>21}{decimals_text(reading.spread_permille / 10, 1):>7} %"
    )


def _conditions(m: Measurement) -> Iterator[str]:
    state, drive = m.conditions, m.drive
    if state.virtual:
        yield VIRTUAL
    busy = "not known" if state.busy_permille is None else _amount(state.busy_permille, "permille")
    load = "" if state.load_milli is None else f" (load average {decimals_text(state.load_milli / 1000, 2)})"
    others = (
        ""
        if state.others_permille is None
        else f"; during the run: {_amount(state.others_permille, 'permille')}"
    )
    yield f"processor used by other programs before the start: {busy}{load}{others}"
    yield f"clock governor: {state.governor or 'not known'}; power: {state.power or 'not known'}"
    if state.temperature_most_c is None:
        yield "temperature: no sensor of the processor can be read"
    else:
        yield (
            f"temperature: {state.temperature_start_c} °C at the start, {state.temperature_most_c} °C at most"
        )
    if state.clock_one_thread_mhz and state.clock_all_threads_mhz:
        yield (
            f"clock: {state.clock_one_thread_mhz} MHz with one thread, {state.clock_all_threads_mhz} MHz"
            " with all"
        )
    cache = (
        "unknown caches"
        if m.memory.last_level_cache_kib is None
        else f"{m.memory.last_level_cache_kib} KiB of last-level cache"
    )
    yield (
        f"memory: three arrays of {m.memory.array_kib} KiB against {cache}, {m.memory.processes} processes;"
        " 24 bytes counted per element"
    )
    link = "" if drive.link_gbps10 is None else f", link at {decimals_text(drive.link_gbps10 / 10, 1)} Gb/s"
    size = "" if drive.file_mib is None else f", file of {drive.file_mib} MiB"
    yield (
        f"drive: {drive.interface or 'interface not known'}{link},"
        f" {drive.file_system or 'file system not known'}{size}, {_CACHE[drive.cache]}"
    )
    yield (
        f"software: Python {m.software.python}, numpy {m.software.numpy}, zlib {m.software.zlib},"
        f" {m.software.system}"
    )


def measurement_json(measured: Measurement) -> str:
    """The document that `compare` reads."""
    return dump(measured.document())


def written_text(written: Written) -> str:
    """What was written into a catalogue."""
    lines = [f"{written.path}: {written.cpu}"]
    lines += [f"  {name:<21}{old or '(empty)':>10} -> {new}" for name, old, new in written.cells]
    return "\n".join(lines) + "\n"
