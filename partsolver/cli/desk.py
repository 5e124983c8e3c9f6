"""`partsolver desk`: the tool as a page on this machine."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import Annotated

import typer

from partsolver.cli import options as o

# What the page stands on (the extra `desk`).
LIBRARIES = ("starlette", "uvicorn", "python_multipart", "segno")


def desk(
    folder: Annotated[
        Path | None,
        typer.Argument(
            metavar="[FOLDER]", help="Folder of surveys, with the catalogue in parts; default: here."
        ),
    ] = None,
    port: Annotated[int, typer.Option(metavar="N", min=0, max=65535, help="Port; 0: any free one.")] = 0,
    lan: Annotated[
        bool, typer.Option("--lan", help="Also for a phone on this network; prints a code and a QR drawing.")
    ] = False,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Only print the address.")] = False,
) -> int:
    """The tool as a page on this machine, for the browser here or a phone on the bench.

    Everything stays in FOLDER, in the files that the commands read and write.
    """
    from partsolver.cli.settings import catalog_folder, setting
    from partsolver.report.words import desk as words

    missing = [name for name in LIBRARIES if find_spec(name) is None]
    if missing:
        raise o.refuse("desk", words.MISSING, ", ".join(missing), None, words.MISSING_HINT)
    from partsolver.desk.serve import serve

    serve(
        folder or Path(),
        port,
        lan,
        not no_browser,
        lambda text: print(text, flush=True),
        setting("use").value,
        catalog_folder(),
    )
    return 0
