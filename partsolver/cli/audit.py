"""`partsolver audit`: property checks on one's own catalogue and survey."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from partsolver.cli import options as o

# More than a night.
MOST_MINUTES = 24 * 60
# Where hypothesis keeps what it learns about the program's constants (its manual, "Configuration").
STORAGE = "HYPOTHESIS_STORAGE_DIRECTORY"


def audit(
    catalog: Annotated[
        Path | None,
        typer.Argument(
            metavar="[CATALOG]", help="Catalogue folder, or a folder that audit wrote; else the demo."
        ),
    ] = None,
    survey: Annotated[
        Path | None, typer.Option("--survey", metavar="FILE", help="Survey file; without it the demo PC.")
    ] = None,
    minutes: Annotated[float, typer.Option("--minutes", metavar="N", help="How long to go on.")] = 5,
    trials: Annotated[
        int | None, typer.Option("--trials", metavar="N", min=1, help="So many trials, in place of a time.")
    ] = None,
    start: Annotated[
        int, typer.Option("--start", metavar="N", min=0, help="Other trials: each number draws its own.")
    ] = 0,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="New folder for what breaks a law.")
    ] = Path("counter-example"),
    format: o.OutputFormat = "text",
) -> int:
    """Random budgets, dates, uses, sold-out parts and facts on your own data: do the answers keep the
    laws?"""
    from partsolver.catalog.dictionary import data_folder

    if not 0 < minutes <= MOST_MINUTES:
        raise o.refuse("--minutes", "not a time", minutes, f"minutes above 0, at most {MOST_MINUTES}")
    if catalog is None:
        o.remark("no catalogue given: this is the demo, whose data are invented")
        catalog = data_folder() / "demo"
    elif (catalog / "audit.toml").is_file():
        return _again(catalog, format)
    o.check_out(out, new_folder=True)
    if survey is None:
        o.remark("no survey given: the demo PC is put in, which is invented")
        survey = data_folder() / "demo-survey.toml"
    try:
        import hypothesis  # noqa: F401
    except ImportError:
        raise o.refuse(
            "audit",
            "needs hypothesis, which is not installed",
            hint='Install it: pip install "partsolver[audit]"',
        ) from None
    from partsolver import __version__
    from partsolver.audit.folder import write_counter_example
    from partsolver.audit.run import audit as run_audit
    from partsolver.audit.trial import own_data
    from partsolver.cli.progress import working
    from partsolver.report.audit import audit_json, audit_text

    with working("reading the data") as doing, _scratch_of_hypothesis():
        own = own_data(catalog, survey)
        found = run_audit(
            own, minutes, trials, start, lambda done, what: doing(f"audit: {done} trials, {what}")
        )
        if found.broken is not None:
            write_counter_example(out, own, found.broken, found.reason or "", __version__)
    written = None if found.broken is None else str(out)
    sys.stdout.write(
        audit_json(found, written) if format == "json" else audit_text(found, own.catalog.info.name, written)
    )
    # A broken law is the program's own contradiction.
    return 0 if found.broken is None else 4


@contextmanager
def _scratch_of_hypothesis() -> Iterator[None]:
    """What hypothesis keeps for itself goes into a folder that is gone afterwards, not into ``.hypothesis`` where the
    person stands."""
    with tempfile.TemporaryDirectory(prefix="partsolver-audit-") as folder:
        before = os.environ.get(STORAGE)
        os.environ[STORAGE] = folder
        try:
            yield
        finally:
            if before is None:
                del os.environ[STORAGE]
            else:
                os.environ[STORAGE] = before


def _again(folder: Path, format: o.Format) -> int:
    """Ask the law of a counter-example again."""
    from partsolver.audit.folder import read_counter_example
    from partsolver.audit.laws import reason_of
    from partsolver.report.audit import again_json, again_text

    own, trial = read_counter_example(folder)
    reason = reason_of(own, trial)
    sys.stdout.write(again_json(trial.law, reason) if format == "json" else again_text(trial.law, reason))
    return 0 if reason is None else 4
