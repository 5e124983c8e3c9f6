"""`partsolver guide`: the pages of the manual."""

from __future__ import annotations

import sys
from typing import Annotated

import typer


def guide(
    topic: Annotated[
        str | None, typer.Argument(metavar="[TOPIC]", help="Page to print; without it the list of pages.")
    ] = None,
) -> int:
    """The manual: a page for each task."""
    from partsolver.report.guide import page, page_text, topics_text

    sys.stdout.write(topics_text() if topic is None else page_text(page(topic)))
    return 0
