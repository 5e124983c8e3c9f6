"""Options that every command takes, and what they set: --quiet, --verbose, --no-drawings, --language."""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace

from partsolver.base.errors import refuse
from partsolver.base.textfile import forget_standard_input
from partsolver.cli.terminal import page_of_terminal
from partsolver.report.page import current_page, use_page

LOG = logging.getLogger("partsolver")


@dataclass
class _Said:
    """What the person asked for with the general options of this run."""

    quiet: bool = False


_said = _Said()


def begin() -> None:
    """Start a run: the page of the terminal, nothing quiet, no log."""
    _said.quiet = False
    forget_standard_input()
    use_page(page_of_terminal())
    for handler in list(LOG.handlers):
        LOG.removeHandler(handler)
    LOG.addHandler(logging.NullHandler())
    LOG.propagate = False
    LOG.setLevel(logging.WARNING)


def is_quiet() -> bool:
    """Whether remarks and progress are not wanted."""
    return _said.quiet


def _quiet(wanted: bool) -> None:
    _said.quiet = wanted


def _verbose(wanted: bool) -> None:
    if wanted:
        handler = logging.StreamHandler(sys.stderr)
        handler.setFormatter(logging.Formatter("partsolver: %(relativeCreated)6d ms  %(message)s"))
        LOG.addHandler(handler)
        LOG.setLevel(logging.INFO)


def _without_drawings(wanted: bool) -> None:
    if wanted:
        use_page(replace(current_page(), drawings=False))


def _language(code: str) -> None:
    from partsolver.cli.settings import known_language

    use_page(replace(current_page(), language=known_language("--language", code)))


# Shown by `partsolver -h`; taken wherever they stand in a command line.
FLAGS: dict[str, Callable[[], None]] = {
    "-q": lambda: _quiet(True),
    "--quiet": lambda: _quiet(True),
    "-v": lambda: _verbose(True),
    "--verbose": lambda: _verbose(True),
    "--no-drawings": lambda: _without_drawings(True),
}
EVERYWHERE = "With every command: --quiet, --verbose, --no-drawings, --language CODE (see partsolver -h)."


def take_general_options(arguments: list[str]) -> list[str]:
    """The command line without the general options, which are acted on; what stands after ``--`` is left
    alone.

    Raises InputRefused for a language that is none.
    """
    rest: list[str] = []
    given = iter(arguments)
    for argument in given:
        if argument == "--":
            return [*rest, argument, *given]
        if argument in FLAGS:
            FLAGS[argument]()
        elif argument == "--language":
            code = next(given, None)
            if code is None:
                raise refuse("--language", "is missing its value", None, "a code such as de, en_GB or fr_CH")
            _language(code)
        elif argument.startswith("--language="):
            _language(argument.partition("=")[2])
        else:
            rest.append(argument)
    return rest
