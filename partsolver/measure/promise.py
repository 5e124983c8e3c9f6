"""What a plan promised, read from a plan file (``recommend --out``)."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import field
from pathlib import Path
from typing import Any

from partsolver.base.documents import parse_json
from partsolver.base.errors import InputRefused, refuse
from partsolver.base.records import record
from partsolver.base.textfile import read_text
from partsolver.plan.outcome import Interval
from partsolver.planfile.stored import PLAN_FILE_HINT, check_plan_file, chosen_plan
from partsolver.standards.settings import apply
from partsolver.wishes.uses import Use, find_use


@record
class Detail:
    """The promise by resource, as the plan's time model has it.

    before_ppm, after_ppm: time by resource (serial, parallel, memory, storage, graphics, capacity);
    memory_mbs: peak of all channels; channels_milli: thousandths of channels it counts on; storage_mbs: read
    rate of the system drive; threads, memory_mib: what should be there.
    """

    before_ppm: Mapping[str, int]
    after_ppm: Mapping[str, int]
    memory_mbs: int | None
    channels_milli: int
    storage_mbs: int
    threads: int | None
    memory_mib: int | None


@record
class Promise:
    """The plan's use and expected speed-up; ``detail`` is None where the catalogue of the plan could not be
    joined (``lost`` says why). settings: those that the plan's brief changes."""

    use: Use
    speedup: Interval
    rank: int
    detail: Detail | None
    lost: str | None = None
    settings: Mapping[str, int] = field(default_factory=dict)


def read_promise(path: Path, catalog: Path | None = None) -> Promise:
    """Read the promise of the plan that a plan file is about. Raises InputRefused."""
    document = parse_json(read_text(path), str(path), PLAN_FILE_HINT)
    check_plan_file(document, str(path))
    plan = chosen_plan(str(path), {"chosen": 1, **document})
    rank: int = plan["rank"]
    if plan.get("speedup") is None:
        raise refuse(
            f"{path} plans.speedup",
            "the plan promises no speed-up",
            hint="The survey's processor needs a score",
        )
    interval = _interval(path, plan["speedup"])
    settings = _settings(path, document)
    use = _use(path, document, settings)
    try:
        return Promise(use, interval, rank, _detail(path, catalog), settings=settings)
    except InputRefused as error:
        if catalog is not None:  # named by the user: what is wrong with it must be said
            raise
        return Promise(use, interval, rank, None, str(error.faults[0]), settings)


def _interval(path: Path, found: Any) -> Interval:
    try:
        values = [round(1000 * float(found[name])) for name in ("expected", "low", "high")]
    except (KeyError, TypeError, ValueError, OverflowError):
        shown = _as_json(found)
        raise refuse(
            f"{path} plans.speedup", "cannot be read", shown, "numbers expected, low and high"
        ) from None
    expected, low, high = values
    if not 0 < low <= expected <= high:
        shown = _as_json(found)
        raise refuse(
            f"{path} plans.speedup", "the bounds are not in order", shown, "0 < low <= expected <= high"
        )
    return Interval(expected, low, high)


def _as_json(found: Any) -> str:
    """A piece of the document as it stands there."""
    return json.dumps(found, default=str)[:80]


def _use(path: Path, document: dict[str, Any], settings: Mapping[str, int]) -> Use:
    """The use that was promised for, with all that the brief says of it (``problem.join.use_of``)."""
    brief = document.get("brief") if isinstance(document.get("brief"), dict) else {}
    assert isinstance(brief, dict)
    name, shares, working_set = document.get("use"), brief.get("shares"), brief.get("working_set_mib")
    open_at_once, sure = brief.get("open_at_once"), brief.get("shares_concentration")
    whole = shares is None or (isinstance(shares, dict) and all(isinstance(v, int) for v in shares.values()))
    counts = isinstance(working_set, int | None) and isinstance(sure, int | None)
    if not isinstance(name, str) or not whole or not counts or not isinstance(open_at_once, str | None):
        raise refuse(f"{path} use", "the use of the plan cannot be read", name)
    return find_use(name, shares, working_set, open_at_once, sure, settings)  # type: ignore[arg-type]


def _settings(path: Path, document: dict[str, Any]) -> dict[str, int]:
    brief = document.get("brief")
    found = brief.get("settings") if isinstance(brief, dict) else None
    try:
        apply(found or {})
    except (ValueError, TypeError, AttributeError) as error:
        raise refuse(f"{path} brief.settings", str(error), hint=PLAN_FILE_HINT) from None
    return dict(found or {})


def _detail(path: Path, catalog: Path | None) -> Detail:
    from partsolver.assembly.memory import channels, effective_rate_mts, milli_channels
    from partsolver.assembly.storage import storage_mbs
    from partsolver.performance.present import as_today, present_parts
    from partsolver.performance.time import terms_ppm
    from partsolver.planfile.plan_file import read_plan_file

    plan = read_plan_file(path, catalog)
    problem, parts = plan.problem, plan.parts
    milli = milli_channels(
        parts.memory.module_mib,
        parts.memory.modules,
        channels(parts.board, parts.cpu),
        parts.board.memory_slots,
    )
    rate = effective_rate_mts(parts.board, parts.cpu, parts.memory)
    return Detail(
        before_ppm=terms_ppm(as_today(problem), present_parts(problem)),
        after_ppm=terms_ppm(problem, parts),
        memory_mbs=None if rate is None else rate * 8 * milli // 1000,
        channels_milli=milli,
        storage_mbs=storage_mbs(parts.board, parts.drive, problem.settings),
        threads=parts.cpu.threads,
        memory_mib=parts.memory.total_mib,
    )


__all__ = ["Detail", "Promise", "read_promise"]
