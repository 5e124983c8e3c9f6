"""`partsolver sheet`: the bench sheet of a plan file."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from partsolver.cli import options as o

SheetFormat = Annotated[
    Literal["html", "text"],
    typer.Option(
        "--format", case_sensitive=False, help="html: a file to print; text: the same on the terminal."
    ),
]


def sheet(
    plan: Annotated[
        Path, typer.Argument(metavar="PLAN.json", help="File written by `partsolver recommend --out`.")
    ],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE.html", help="File to write (needed for html).")
    ] = None,
    reader: Annotated[
        Literal["bench", "owner"],
        typer.Option(
            "--for",
            case_sensitive=False,
            help="bench: the work order; owner: one page that asks for a yes or a no.",
        ),
    ] = "bench",
    catalog: o.CatalogDir = None,
    format: SheetFormat = "html",
) -> int:
    """The printable work order of a plan: what to order, how to do the work, what to check; or the owner's
    page."""
    if format == "html" and out is None:
        raise o.refuse(
            "--out",
            "is missing",
            None,
            "a file to write, such as sheet.html",
            "Or use --format text to read it here",
        )
    from partsolver.base.textfile import write_text
    from partsolver.planfile.plan_file import read_plan_file
    from partsolver.report.owner import owner_html, owner_text
    from partsolver.report.sheet_html import sheet_html
    from partsolver.report.sheet_text import sheet_text
    from partsolver.sheet.make import context_of

    file = read_plan_file(plan, catalog)
    context = context_of(file)
    if file.catalog_changed:
        o.remark("the catalogue has changed since this plan was made; the sheet shows it as it is now")
    writers = {
        ("bench", "text"): sheet_text,
        ("bench", "html"): sheet_html,
        ("owner", "text"): owner_text,
        ("owner", "html"): owner_html,
    }
    text = writers[reader, format](context)
    if out is None or str(out) == "-":
        sys.stdout.write(text)
    else:
        write_text(out, text)
        o.remark(f"{'bench sheet' if reader == 'bench' else 'page for the owner'} written to {out}")
    if not context.plan.admitted:
        o.remark("these parts do not fit (any more); the sheet says why at its top")
        return 1
    return 0
