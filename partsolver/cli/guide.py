"""`partsolver guide`: the pages of the manual."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from partsolver.base.errors import refuse
from partsolver.cli import completion


def guide(
    topic: Annotated[
        str | None,
        typer.Argument(
            metavar="[TOPIC]",
            help="Page to print; without it the list of pages.",
            autocompletion=completion.topics,
        ),
    ] = None,
    document: Annotated[
        str | None, typer.Argument(metavar="[DOCUMENT]", help="With the page json: a document's JSON Schema.")
    ] = None,
) -> int:
    """The manual: a page for each task."""
    from partsolver.report.guide import page, page_text, topics_text

    if topic == "json" and document is not None:
        from partsolver.report.shapes import shipped

        sys.stdout.write(shipped(document))
        return 0
    if document is not None:
        raise refuse("guide", "one page at a time", document, "guide TOPIC, or guide json DOCUMENT")
    sys.stdout.write(topics_text() if topic is None else page_text(page(topic)))
    return 0
