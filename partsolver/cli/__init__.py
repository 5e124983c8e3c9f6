"""The command line: parse, one library call, report, exit code. One file per command.

Exit codes: 0 done; 1 a proved "no"; 2 input refused; 3 not decided within the limit; 4 the program
contradicts itself (a bug); 130 interrupted.
"""

from __future__ import annotations

import gc
import itertools
import os
import sys
import traceback
from typing import Any

OK, NO, REFUSED, UNDECIDED, FAULT, INTERRUPTED = 0, 1, 2, 3, 4, 130
# More faults than this help nobody at once.
MOST_FAULTS = 60


def main() -> None:
    """Entry point. No traceback ever reaches a user."""
    # A command lives for seconds and makes hundreds of thousands of records, none of them in cycles:
    # searching them for such takes a fifth of its time.
    gc.disable()
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command line; returns the exit code."""
    import typer

    from partsolver.base.errors import InputRefused, InternalFault, NotDecided
    from partsolver.cli.app import app

    # Typer carries Click inside or beside it, by version; the base of its usage errors is the same class
    # either way.
    usage_error: Any = next(c for c in typer.BadParameter.__mro__ if c.__name__ == "ClickException")
    try:
        result = app(arguments, standalone_mode=False, prog_name="partsolver")
        sys.stdout.flush()
        if result == INTERRUPTED:
            print(
                "partsolver: interrupted", file=sys.stderr
            )  # typer turns the interruption into its exit code
        return result if isinstance(result, int) else OK
    except InputRefused as error:
        for fault in error.faults[:MOST_FAULTS]:
            print(f"partsolver: {fault}", file=sys.stderr)
        if len(error.faults) > MOST_FAULTS:
            print(f"partsolver: ... and {len(error.faults) - MOST_FAULTS} more faults", file=sys.stderr)
        return REFUSED
    except typer.Abort:
        print("partsolver: interrupted", file=sys.stderr)
        return INTERRUPTED
    except typer.Exit as error:
        return int(error.exit_code)
    except usage_error as error:
        where = getattr(getattr(error, "ctx", None), "command_path", "partsolver")
        if type(error).__name__ == "NoArgsIsHelpError":
            print(error.format_message(), file=sys.stderr)  # no command given: the message is the help
        else:
            message = f"{error.format_message().rstrip('.')}{_value(error, arguments)}"
            print(f"partsolver: {message}. See `{where} --help`", file=sys.stderr)
        return REFUSED
    except KeyboardInterrupt:
        print("partsolver: interrupted", file=sys.stderr)
        return INTERRUPTED
    except (BrokenPipeError, SystemExit):
        # The reader (a pager, `head`) closed the pipe: nothing is wrong. Click leaves with SystemExit(1) in
        # that case, and only in that case when it is not the one that ends the program.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK
    except NotDecided as error:
        print(f"partsolver: not decided within the limits of work: {error}", file=sys.stderr)
        return UNDECIDED
    except InternalFault as error:
        print(f"partsolver: internal fault, the result is not shown: {error}", file=sys.stderr)
        print("partsolver: please report this with the survey and the catalogue", file=sys.stderr)
        return FAULT
    except RecursionError:
        print("partsolver: internal fault: the input is nested too deeply", file=sys.stderr)
        return FAULT
    except Exception as error:
        # A bug. Nobody but us can read a traceback: what went wrong, and the line that says where.
        place = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{os.path.basename(place.filename)}:{place.lineno}"
        print(
            f"partsolver: internal fault, the result is not shown: {type(error).__name__}: {error} ({where})",
            file=sys.stderr,
        )
        print("partsolver: please report this with the survey and the catalogue", file=sys.stderr)
        return FAULT


def _value(error: Any, arguments: list[str]) -> str:
    """The refused value of an option, where the message does not show it."""
    options = getattr(getattr(error, "param", None), "opts", ())
    for option, value in itertools.pairwise(arguments):
        if option in options and value not in error.format_message():
            return f" (found {value!r})"
    return ""


__all__ = ["main", "run"]
