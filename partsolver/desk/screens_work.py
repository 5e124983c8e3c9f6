"""Screens of the work: the owner's page, the order, the bench step by step, the measurements after it."""

from __future__ import annotations

import datetime
import tempfile
from pathlib import Path

from starlette.responses import Response

from partsolver.base.errors import Fault, InputRefused, refuse
from partsolver.base.textfile import read_bytes, write_bytes
from partsolver.desk.folder import BENCH_SCHEMA, texts
from partsolver.desk.frame import Asked, go, stale
from partsolver.measure.compare import compare
from partsolver.measure.judge import read_run
from partsolver.measure.promise import read_promise
from partsolver.report.compare import comparison_text
from partsolver.report.drawings import tray_svg
from partsolver.report.owner import owner_html, owner_page
from partsolver.report.page import number_text
from partsolver.report.sheet_html import sheet_html
from partsolver.report.sheet_view import view
from partsolver.report.words import desk as words
from partsolver.report.words import owner as owner_words
from partsolver.report.words import sheet as sheet_words
from partsolver.sheet.context import Context
from partsolver.sheet.make import context_of

MOST_READING = 200


def _context(asked: Asked) -> tuple[Context, bool]:
    """The chosen plan as it is today, and whether the catalogue has changed since it was made."""
    pc = asked.pc
    if not pc.has("plan"):
        raise refuse(pc.name, words.NO_PLAN_CHOSEN, hint=words.CHOOSE_FIRST)
    file = asked.desk.warm.plan_file(pc)
    return context_of(file), file.catalog_changed


def _notes(asked: Asked) -> dict[str, object]:
    """The bench's notes about the chosen plan; those of another plan count no more."""
    pc = asked.pc
    notes, digest = pc.bench(), pc.plan_digest()
    if notes.get("plan") == digest:
        return notes
    return {
        "notes": BENCH_SCHEMA, "plan": digest, "ordered": None, "done": [], "readings": {},
        "looked": texts(notes.get("looked")),
    }  # fmt: skip


def owner_view(asked: Asked) -> Response:
    """The one page that asks for a yes or a no, and the order once it is a yes."""
    notes = _notes(asked)
    context, changed = _context(asked)
    shown = view(context)
    return asked.show(
        "owner.html",
        page=owner_page(context),
        owner=owner_words,
        orders=shown.orders,
        total=shown.total,
        cautions=shown.cautions,
        changed=changed,
        ordered=notes.get("ordered"),
        plan=notes["plan"],
        fits=context.plan.admitted,
    )


def ordered(asked: Asked) -> Response:
    """The order was placed, or was not after all."""
    with asked.desk.warm.lock(asked.pc.name):
        notes = _notes(asked)
        if asked.form.get("plan") != notes["plan"]:
            raise stale()
        notes["ordered"] = None if "undo" in asked.form else datetime.date.today().isoformat()
        asked.pc.write_bench(notes)
    return go(asked.address("owner" if "undo" in asked.form else "bench"))


def owner_file(asked: Asked) -> Response:
    """The owner's page as `sheet --for owner` writes it."""
    return _file(owner_html(_context(asked)[0]), f"{asked.pc.name}-owner.html")


def sheet_file(asked: Asked) -> Response:
    """The bench sheet as `sheet` writes it."""
    return _file(sheet_html(_context(asked)[0]), f"{asked.pc.name}-sheet.html")


def _file(text: str, name: str) -> Response:
    from urllib.parse import quote

    return Response(
        text,
        media_type="text/html",
        headers={"content-disposition": f"attachment; filename*=UTF-8''{quote(name)}"},
    )


def bench_view(asked: Asked) -> Response:
    """One step of the sheet: the one of the address, else the first that is not done."""
    context, changed = _context(asked)
    shown = view(context)
    steps = [(phase, heading, step) for phase, heading, found in shown.phases for step in found]
    notes = _notes(asked)
    done = set(texts(notes.get("done")))
    numbers = [step.number for _, _, step in steps]
    if not steps:
        return asked.show("bench_none.html")
    at = next((i for i, (_, _, step) in enumerate(steps) if step.id not in done), len(steps) - 1)
    wanted = asked.query.get("step", "")
    if wanted.isascii() and wanted.isdigit() and len(wanted) < 5 and int(wanted) in numbers:
        at = numbers.index(int(wanted))
    phase, heading, step = steps[at]
    readings = notes.get("readings")
    return asked.show(
        "bench.html",
        step=step,
        heading=heading,
        at=at,
        total=len(steps),
        before=numbers[at - 1] if at else None,
        after=numbers[at + 1] if at + 1 < len(steps) else None,
        is_done=step.id in done,
        done=done,
        reading=readings.get(step.id, "") if isinstance(readings, dict) else "",
        drawing=tray_svg(shown.tray) if shown.tray is not None and phase == "case" else None,
        cautions=shown.cautions if at == 0 else (),
        alerts=shown.alerts,
        phases=shown.phases,
        changed=changed,
        has_causes=bool(shown.suspects),
        sheet=sheet_words,
        plan=notes["plan"],
    )


def tick(asked: Asked) -> Response:
    """A step done or not done after all, and what was read at it."""
    pc, form = asked.pc, asked.form
    shown = view(_context(asked)[0])
    steps = [step for _, _, found in shown.phases for step in found]
    step = next((step for step in steps if step.id == form.get("step")), None)
    if step is None:
        raise refuse("step", words.NO_SUCH_FACT, form.get("step"))
    with asked.desk.warm.lock(pc.name):
        notes = _notes(asked)
        if form.get("plan") != notes["plan"]:
            raise stale()
        readings = notes.get("readings")
        readings = dict(readings) if isinstance(readings, dict) else {}
        if "reading" in form:
            text = form["reading"].strip()[:MOST_READING]
            if form.get("was", "") != readings.get(step.id, ""):
                raise stale()
            readings.pop(step.id, None)
            if text:
                readings[step.id] = text
        done = {text for text in texts(notes.get("done")) if text != step.id}
        if "undo" not in form:
            done.add(step.id)
        pc.write_bench({**notes, "done": sorted(done), "readings": readings})
    if "undo" in form:
        return go(asked.address("bench") + f"?step={step.number}")
    later = [other.number for other in steps if other.number > step.number]
    return go(asked.address("bench") + (f"?step={later[0]}" if later else "?end=1"))


def dark_view(asked: Asked) -> Response:
    """No picture: the causes in the order in which they are looked at."""
    shown = view(_context(asked)[0])
    back = asked.query.get("step", "")
    return asked.show(
        "dark.html",
        causes=shown.suspects,
        sheet=sheet_words,
        step=back if back.isdigit() and back.isascii() else "",
    )


# -- measured ----------------------------------------------------------------------------------------------------------


def measure_view(asked: Asked) -> Response:
    """Both measurements, and promise against measured once both are there."""
    pc = asked.pc
    text, outcome, speedup = "", None, ""
    both = pc.has("before") and pc.has("after")
    if both:
        promise = (
            read_promise(pc.file_beside("plan"), asked.desk.warm.catalog_folder) if pc.has("plan") else None
        )
        found = compare(
            read_run(pc.file_beside("before")),
            read_run(pc.file_beside("after")),
            promise,
            None,
            {} if promise is None else promise.settings,
        )
        text, outcome = comparison_text(found), words.OUTCOMES[found.outcome]
        main = found.main.speedup
        speedup = words.measured_words(
            number_text(f"{main.expected_milli / 1000:.2f}"),
            None if promise is None else number_text(f"{promise.speedup.expected_milli / 1000:.2f}"),
        )
    return asked.show(
        "measure.html",
        there={which: pc.digest_beside(which) for which in ("before", "after")},
        text=text,
        outcome=outcome,
        speedup=speedup,
    )


def take_measurement(asked: Asked) -> Response:
    """A measurement dropped in, read before it is kept."""
    pc, which = asked.pc, asked.form.get("which", "")
    if which not in ("before", "after"):
        raise refuse("which", words.NO_SUCH_FACT, which, "before or after")
    if len(asked.files) != 1:
        raise refuse(words.FILES_NAME, words.NO_FILES)
    name, data = asked.files[0]
    with tempfile.TemporaryDirectory(prefix="partsolver-desk-") as place:
        path = Path(place) / "measurement.json"
        path.write_bytes(data)
        try:
            read_run(path)
        except InputRefused as error:
            raise InputRefused(
                [
                    Fault(f.where.replace(str(path), name), f.problem, f.value, f.expected, f.hint)
                    for f in error.faults
                ]
            ) from None
    target, other = pc.file_beside(which), pc.file_beside("after" if which == "before" else "before")
    with asked.desk.warm.lock(pc.name):
        if asked.form.get("was", "") != pc.digest_beside(which):
            raise stale()  # no run is lost without a word: after the work none can be made of before it
        if other.is_file() and read_bytes(other) == data:
            raise refuse(name, words.SAME_RUN, hint=words.SAME_RUN_HINT)
        write_bytes(target, data, read_bytes(target) if target.is_file() else b"")
    return go(asked.address("measure"))
