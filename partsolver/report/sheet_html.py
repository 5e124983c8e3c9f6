"""The bench sheet as one self-contained HTML file: no network; autoescaped.

Its script keeps ticks and readings in the browser and shows one step per screen; without script the sheet is
whole.
"""

from __future__ import annotations

import hashlib

from markupsafe import Markup

from partsolver.report.drawings import bar_svg, tray_svg
from partsolver.report.network import shows_label_rails
from partsolver.report.page_templates import page_environment
from partsolver.report.sheet_view import view
from partsolver.report.words import network as words_network
from partsolver.report.words import sheet as words_sheet
from partsolver.sheet.context import Context


def sheet_html(context: Context) -> str:
    """The whole document. The same plan gives the same bytes."""
    environment = page_environment()
    shown = view(context)
    # Ticks belong to this content: another plan, or the same with other steps, begins without any.
    key = hashlib.sha256(repr((shown.title, shown.orders, shown.phases)).encode()).hexdigest()[:16]
    script, _, _ = environment.loader.get_source(environment, "sheet.js")  # type: ignore[union-attr]
    drawing = None if shown.tray is None else tray_svg(shown.tray)
    return (
        environment.get_template("sheet.html").render(
            sheet=shown,
            words=words_sheet,
            network_words=words_network,
            label_rails=shows_label_rails(shown.network),
            drawing=drawing,
            bar=bar_svg,
            sheet_key=key,
            # Our own file, without any text of the plan: nothing in it to escape.
            script=Markup(script.rstrip()),
        )
        + "\n"
    )
