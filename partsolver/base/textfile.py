"""Reading and writing text files: clear refusals, and nothing half-written."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from partsolver.base.errors import refuse

# A path that means standard input or standard output.
STANDARD = "-"
_taken: list[bytes] = []


def forget_standard_input() -> None:
    """What was read from standard input is not wanted any more: the next command reads its own."""
    _taken.clear()


def _standard_input() -> bytes:
    """Everything on standard input; it can be read once only, and is wanted in several places."""
    if not _taken:
        _taken.append(sys.stdin.buffer.read())
    return _taken[0]


def read_text(path: Path) -> str:
    """Text of a UTF-8 file, ``-`` for standard input (a byte order mark is dropped). Raises InputRefused when it
    cannot be read."""
    try:
        data = _standard_input() if str(path) == STANDARD else path.read_bytes()
    except FileNotFoundError:
        raise refuse(str(path), "no such file", hint="Check the spelling and the folder") from None
    except IsADirectoryError:
        raise refuse(str(path), "is a folder, not a file") from None
    except OSError as error:
        raise refuse(str(path), f"cannot be read: {error.strerror}") from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise refuse(
            f"{path}:{line}",
            "the text is not UTF-8",
            data[error.start : error.start + 1].hex(),
            "UTF-8",
            "Save the file again with the encoding UTF-8",
        ) from None


def write_text(path: Path, text: str) -> None:
    """Write a file whole or not at all (temporary file beside it, then rename); ``-`` is standard output. Raises
    InputRefused when it cannot."""
    if str(path) == STANDARD:
        sys.stdout.write(text)
        return
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent or Path("."), prefix=f".{path.name}.")
    except OSError as error:
        raise refuse(
            str(path), f"cannot be written: {error.strerror}", hint="Choose a folder that exists and is yours"
        ) from None
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except OSError as error:
        Path(temporary).unlink(missing_ok=True)
        raise refuse(str(path), f"cannot be written: {error.strerror}") from None
