"""Where the sheet's plan comes from, and how to make it again."""

from __future__ import annotations

from collections.abc import Iterator

from partsolver.report.page import date_text
from partsolver.report.words import sheet as w
from partsolver.sheet.context import Context


def provenance_rows(c: Context) -> Iterator[tuple[str, str]]:
    catalog = c.problem.catalog
    yield (
        "Catalogue",
        f"{catalog.name}, {date_text(catalog.as_of)}, {catalog.origin}; digest {catalog.digest}",
    )
    yield "Day of the order", date_text(c.problem.today)
    origin = c.origin
    yield (
        "Program",
        "partsolver, " + (f"version {origin.version}" if origin.version else "run from its sources"),
    )
    yield (
        "Make this plan again",
        f"partsolver replan {origin.plan_file} (survey and brief are inside the plan file)",
    )
    if origin.solver is not None:
        yield "Solver of the plan", origin.solver
    if origin.plan_digest is not None:
        yield "Catalogue digest of the plan", origin.plan_digest
    if origin.proven is not None:
        yield "Plan proven best", "yes" if origin.proven else "no, the best found within the limit"
    yield "Note", w.DISCLAIMER
