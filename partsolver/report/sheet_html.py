"""The bench sheet as one self-contained HTML file: no network, no script; autoescaped."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined

from partsolver.report.drawings import bar_svg, tray_svg
from partsolver.report.sheet_view import view
from partsolver.report.words import sheet as words_sheet
from partsolver.sheet.context import Context


def sheet_html(context: Context) -> str:
    """The whole document. The same plan gives the same bytes."""
    environment = Environment(
        loader=PackageLoader("partsolver.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    shown = view(context)
    drawing = None if shown.tray is None else tray_svg(shown.tray)
    return (
        environment.get_template("sheet.html").render(
            sheet=shown, words=words_sheet, drawing=drawing, bar=bar_svg
        )
        + "\n"
    )
