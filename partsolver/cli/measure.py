"""`partsolver measure`: measure this PC, or put a measurement's scores into a catalogue."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from partsolver.cli import options as o

if TYPE_CHECKING:
    from partsolver.measure.records import Measurement

LABEL = 32  # width of the progress bar's label


def measure(
    out: Annotated[
        Path | None, typer.Option(metavar="FILE.json", help="Write the measurement to a file.")
    ] = None,
    quick: Annotated[
        bool, typer.Option("--quick", help="About 20 s instead of three minutes; never called good.")
    ] = False,
    first_look: Annotated[
        bool,
        typer.Option("--first-look", help="Under 30 s, safe on an old PC: figures for `survey import`."),
    ] = False,
    folder: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="Folder on the drive to measure; default: one on the system drive."),
    ] = None,
    source: Annotated[
        Path | None,
        typer.Option(
            "--from", metavar="FILE.json", help="Use a measurement made before instead of measuring."
        ),
    ] = None,
    into: Annotated[
        Path | None,
        typer.Option(metavar="CATALOG", help="Write the scores into this catalogue's cpus.csv (with --cpu)."),
    ] = None,
    cpu: Annotated[
        str | None, typer.Option(metavar="ID", help="The processor's id in that catalogue.")
    ] = None,
    scale_by: Annotated[
        str | None, typer.Option(metavar="FACTOR", help="Points of that catalogue per point measured.")
    ] = None,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Write scores of a noisy run or a virtual machine too.")
    ] = False,
    setting: o.Settings = None,
    format: o.OutputFormat = "text",
) -> int:
    """Measure this PC: processor, memory, drive, start of an application. Takes about three minutes; installs
    nothing.

    Close other programs first, connect the mains, and let the PC idle for a minute.
    """
    from partsolver.base.textfile import write_text
    from partsolver.measure.into import find_target, write_scores
    from partsolver.measure.judge import read_run
    from partsolver.report import measure as words

    if (into is None) != (cpu is None):
        raise o.refuse(
            "--into",
            "goes together with --cpu",
            hint="Give the catalogue's folder and the processor's id, or neither",
        )
    if into is None and (scale_by is not None or anyway):
        raise o.refuse(
            "--scale-by" if scale_by is not None else "--anyway", "only has a meaning with --into and --cpu"
        )
    if source is not None and (quick or first_look or folder is not None):
        raise o.refuse(
            "--from", "nothing is measured then", hint="Leave out --quick, --first-look and --folder"
        )
    if quick and first_look:
        raise o.refuse("--first-look", "is another way than --quick", hint="Give one of them")
    settings = o.read_settings(setting)
    # Everything that can be refused is refused before three minutes are spent.
    target = None if into is None or cpu is None else find_target(into, cpu, scale_by)
    o.check_out(out)
    measured = read_run(source) if source is not None else _measure(quick, first_look, folder)
    if out is not None:
        write_text(out, words.measurement_json(measured))
        o.remark(f"measurement written to {out}")
        if first_look:
            o.remark(words.into_survey(str(out)))
    sys.stdout.write(
        words.measurement_json(measured) if format == "json" else words.measurement_text(measured, settings)
    )
    sys.stdout.flush()
    if target is not None:
        written = words.written_text(write_scores(measured, target, anyway, settings))
        (sys.stderr if format == "json" else sys.stdout).write(written)
    return 0


def _measure(quick: bool, first_look: bool, folder: Path | None) -> Measurement:
    from partsolver.measure.run import FIRST_LOOK
    from partsolver.measure.run import measure as run
    from partsolver.report.measure import STEPS

    steps = 1000
    bar: Any = typer.progressbar(length=steps, label=f"{STEPS['idle']:<{LABEL}}", file=sys.stderr)
    with bar:

        def progress(share: float, step: str) -> None:
            bar.label = f"{STEPS[step]:<{LABEL}}"
            bar.update(max(0, round(share * steps) - bar.pos))

        effort = FIRST_LOOK if first_look else None
        return run(datetime.date.today().isoformat(), quick or first_look, folder, progress, effort)
