"""What the page that a command prints on is like: told from the terminal and the environment, in one
place."""

from __future__ import annotations

import os
import shutil
import sys

from partsolver.report.page import NARROWEST, USUAL_WIDTH, WIDEST, Page


def page_of_terminal(drawings: bool = True) -> Page:
    """The page of standard output.

    A pipe or a file gets 80 columns without emphasis, so that the same input gives the same bytes. NO_COLOR
    (any value but empty) and TERM=dumb turn emphasis off (no-color.org, an informal standard; terminfo
    `dumb`).
    """
    if not sys.stdout.isatty():
        return Page(drawings=drawings)
    width = shutil.get_terminal_size((USUAL_WIDTH, 24)).columns
    plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    return Page(max(NARROWEST, min(WIDEST, width)), not plain, drawings)
