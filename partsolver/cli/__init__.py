"""The command line: parse, one library call, report, exit code. One file per command.

Exit codes: 0 done; 1 a proved "no"; 2 input refused; 3 not decided within the limit; 4 the program
contradicts itself (a bug); 130 interrupted.
"""

from __future__ import annotations

import atexit
import codecs
import errno
import gc
import io
import itertools
import os
import sys
import threading
import traceback
from collections.abc import Sequence
from contextlib import nullcontext, suppress
from typing import TYPE_CHECKING, Any

from partsolver.base.preload import end_loading

if TYPE_CHECKING:
    from partsolver.base.errors import Fault

OK, NO, REFUSED, UNDECIDED, FAULT, INTERRUPTED = 0, 1, 2, 3, 4, 130
# More faults than this help nobody at once.
MOST_FAULTS = 60
# No room, quota used up, or a device that fails: about the output, nothing is wrong with the input.
# A closed output (``>&-``) is no output either.
OUTPUT_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EFBIG, errno.EBADF)
# What Python says of a name whose bytes are no text (PEP 383: they are kept as lone surrogates).
# The longest name of a file that a message repeats (POSIX: names of at most 255 bytes).
MOST_NAME = 255
# Set by the shell when it asks for completions (the name is made from the program's).
COMPLETING = "_PARTSOLVER_COMPLETE"


# Nothing here multiplies matrices, and threads that wait to do so take the core of the second process
# (base/parallel.py). No plug-in of the validators has anything to do here either, and looking for some reads
# every installed package.
ENVIRONMENT = {"OPENBLAS_NUM_THREADS": "1", "PYDANTIC_DISABLE_PLUGINS": "__all__"}


def main() -> None:
    """Entry point. No traceback ever reaches a user."""
    # A command lives for seconds and makes hundreds of thousands of records, none of them in cycles:
    # searching them for such takes a fifth of its time.
    gc.disable()
    for name, value in ENVIRONMENT.items():
        os.environ.setdefault(name, value)
    try:
        _open_what_is_closed()
        _lose_messages_quietly()
        _escape_what_the_output_lacks()
        code = run(sys.argv[1:])
    except KeyboardInterrupt:  # pressed while the libraries were loaded
        code = _interrupted()
    _end(code)


def _end(code: int) -> None:
    """End the program without taking apart what it holds piece by piece (a thirtieth of a recommendation's time);
    in the usual way where somebody watches it, other threads still run, or the last output cannot be written."""
    end_loading()
    if threading.active_count() == 1 and sys.getprofile() is None and sys.gettrace() is None:
        with suppress(OSError, ValueError, AttributeError):
            sys.stdout.flush()
            sys.stderr.flush()
            atexit._run_exitfuncs()  # what the libraries have to put in order
            os._exit(code)
    sys.exit(code)


def _open_what_is_closed() -> None:
    """A standard stream that the caller closed (``<&-``, ``>&-``, ``2>&-``): nothing comes in, what goes out is
    refused, messages go nowhere. Left closed, the next file that is opened would take its place, and get what
    is printed."""
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is None:
            handle = os.open(os.devnull, os.O_RDWR if name == "stderr" else os.O_RDONLY)
            if handle != number:
                os.dup2(handle, number)
                os.close(handle)
            mode = "r" if name == "stdin" else "w"
            setattr(sys, name, os.fdopen(number, mode, encoding="utf-8", closefd=False))


class _Messages(io.FileIO):
    """Standard error where nobody takes any more (a full device, a reader that has gone): what is said is lost, but the
    work and its exit code stay what they are."""

    def write(self, data: Any) -> int:
        with suppress(OSError):
            return super().write(data)
        return len(data)


def _lose_messages_quietly() -> None:
    with suppress(OSError, ValueError):
        sys.stderr = io.TextIOWrapper(
            io.BufferedWriter(_Messages(sys.stderr.fileno(), "w", closefd=False)),
            encoding=sys.stderr.encoding,
            errors="backslashreplace",
            line_buffering=True,
        )


def _escape_what_the_output_lacks() -> None:
    r"""A letter that the output's character set lacks, or a file name that is no text, is printed as JSON writes it
    (``\u0416``): text stays readable and JSON stays JSON."""

    def escaped(error: UnicodeError) -> tuple[str, int]:
        assert isinstance(error, UnicodeEncodeError)
        units = error.object[error.start : error.end].encode("utf-16-be", "surrogatepass")
        return "".join(f"\\u{units[at : at + 2].hex()}" for at in range(0, len(units), 2)), error.end

    codecs.register_error("escaped", escaped)
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="escaped")


def run(arguments: list[str]) -> int:
    """Run one command line; returns the exit code."""
    import typer

    from partsolver.base.errors import InputRefused, InternalFault, NotDecided
    from partsolver.cli.app import app
    from partsolver.cli.general import begin, take_general_options
    from partsolver.cli.words import page_setting
    from partsolver.report.page import plain_language

    # Typer carries Click inside or beside it, by version; the base of its usage errors is the same class
    # either way.
    usage_error: Any = next(c for c in typer.BadParameter.__mro__ if c.__name__ == "ClickException")
    try:
        begin()
        page_setting()
        rest = take_general_options(arguments)
        with plain_language() if _wants_document(arguments) else nullcontext():
            result = app(rest, standalone_mode=False, prog_name="partsolver")
        sys.stdout.flush()
        if result == INTERRUPTED:
            _say("interrupted")  # typer turns the interruption into its exit code
        return result if isinstance(result, int) else OK
    except InputRefused as error:
        return _refused(error.faults, arguments)
    except (typer.Abort, KeyboardInterrupt):
        return _interrupted()
    except typer.Exit as error:
        return int(error.exit_code)
    except usage_error as error:
        return _wrong_usage(error, arguments)
    except (SystemExit, BrokenPipeError) as left:
        return _left(left)
    except NotDecided as error:
        _say(f"not decided within the limits of work: {error}")
        return UNDECIDED
    except InternalFault as error:
        return _fault(str(error))
    except RecursionError:
        _say("internal fault: the input is nested too deeply")
        return FAULT
    except OSError as error:
        return _system_refuses(error, arguments)
    except Exception as error:
        unwritten = _unwritten(error)
        return _broken(error) if unwritten is None else _no_text(arguments, unwritten)


def _unwritten(error: BaseException) -> str | None:
    """The text that could not be written down because it holds bytes that are no text (a name of a file); None where
    something else went wrong."""
    from partsolver.base.textfile import name_is_text

    if not isinstance(error, UnicodeEncodeError) or name_is_text(error.object[error.start : error.end]):
        return None
    return error.object


def _no_text(arguments: list[str], unwritten: str) -> int:
    """A file or folder whose name is no text in the system's character set, where it would have to be written down."""
    from partsolver.base.textfile import name_is_text, no_text

    named = [argument for argument in arguments if not name_is_text(argument)]
    name = unwritten if len(unwritten) <= MOST_NAME and "\n" not in unwritten else "a file of the folder"
    return _refused((no_text(named[0] if named else name),), arguments)


def _wrong_usage(error: Any, arguments: list[str]) -> int:
    """A command line that typer does not take."""
    from partsolver.cli.usage import usage_fault

    if type(error).__name__ == "NoArgsIsHelpError":
        print(error.format_message(), file=sys.stderr)  # no command given: the message is the help
        return REFUSED
    return _refused((usage_fault(error, arguments),), arguments)


def _left(error: SystemExit | BrokenPipeError) -> int:
    """Typer leaves so when it has completed a word; else the reader of the output has gone."""
    if COMPLETING not in os.environ or not isinstance(error, SystemExit):
        return _pipe_closed()
    sys.stdout.flush()
    return int(error.code or 0)


def _output_lost(error: OSError) -> int:
    """Standard output is full or gone: what is left of it must not be written again when the program ends."""
    _pipe_closed()
    _say(f"the output cannot be written: {error.strerror}. Free some room, or write it elsewhere")
    return REFUSED


def _system_refuses(error: OSError, arguments: list[str]) -> int:
    """A file or folder that the system does not let be looked at (not ours, a name too long, gone meanwhile);
    an output that takes no more."""
    from partsolver.base.errors import Fault

    if error.errno in OUTPUT_FULL:
        return _output_lost(error)
    if error.filename is None:
        return _broken(error)
    hint = "Check its name, and that it and its folder are yours to use"
    return _refused((Fault(str(error.filename), f"cannot be used: {error.strerror}", hint=hint),), arguments)


def _broken(error: Exception) -> int:
    """A bug: what went wrong, and the line that says where."""
    # Nobody but us can read a traceback: what went wrong, and the line that says where.
    place = traceback.extract_tb(error.__traceback__)[-1]
    return _fault(f"{type(error).__name__}: {error} ({os.path.basename(place.filename)}:{place.lineno})")


def _wants_document(arguments: list[str]) -> bool:
    return "--format=json" in arguments or ("--format", "json") in itertools.pairwise(arguments)


def _say(text: str) -> None:
    from partsolver.base.controls import controls_escaped

    print(f"partsolver: {controls_escaped(text, lines=True)}", file=sys.stderr)


def _pipe_closed() -> int:
    """The reader (a pager, `head`) closed the pipe: nothing is wrong. Click leaves with SystemExit(1) in
    that case, and only in that case when it is not the one that ends the program."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return OK


def _interrupted() -> int:
    _say("interrupted")
    return INTERRUPTED


def _fault(what: str) -> int:
    _say(f"internal fault, the result is not shown: {what}")
    _say("please report this with the survey and the catalogue")
    return FAULT


def _refused(faults: Sequence[Fault], arguments: list[str]) -> int:
    """Every fault on standard error; with --format json also as a document on standard output."""
    for fault in faults[:MOST_FAULTS]:
        _say(str(fault))
    if len(faults) > MOST_FAULTS:
        _say(f"... and {len(faults) - MOST_FAULTS} more faults")
    if _wants_document(arguments):
        from partsolver.report.document import dump, refusal_document

        sys.stdout.write(dump(refusal_document(faults)))
    return REFUSED


__all__ = ["main", "run"]
