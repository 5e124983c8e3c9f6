"""Reading and writing files: clear refusals, nothing half-written, nothing of somebody else's lost.

Reading looks at the size first and never waits for what does not come. Writing goes to a file beside the
target, to the disk (fsync), then takes the target's name: after a crash there is the old file or the new one.
A link is followed, a device is written into, an existing file keeps its mode and owner, a new one gets those
of the umask. Two programs that write one file are told apart by what each has read (``was``).
"""

from __future__ import annotations

import contextlib
import os
import re
import select
import shutil
import stat
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from partsolver.base.errors import Fault, InputRefused, refuse

try:
    import fcntl
except ImportError:  # Windows: two writers are then told apart only up to the moment before the rename
    fcntl = None  # type: ignore[assignment]
WINDOWS = os.name == "nt"

# Nothing a person writes or a system tool prints is larger (the largest real dump seen has 0.3 MB).
MOST_BYTES = 32 * 2**20
# A pipe that sends nothing for this long is not waited for.
MOST_WAIT_S = 4.0
_UNFINISHED = ".part"
# A path that means standard input or standard output.
STANDARD = "-"
_taken: list[bytes] = []


def forget_standard_input() -> None:
    """What was read from standard input is not wanted any more: the next command reads its own."""
    _taken.clear()


def _standard_input(most: int) -> bytes:
    """Everything on standard input; it can be read once only, and is wanted in several places."""
    if not _taken:
        found = sys.stdin.buffer.read(most + 1)
        if len(found) > most:
            raise _too_large(Path("standard input"), len(found), most)
        _taken.append(found)
    return _taken[0]


def read_bytes(path: Path, most: int = MOST_BYTES) -> bytes:
    """What a file holds; ``-`` is standard input. Raises InputRefused when it cannot be read, is larger
    than ``most``, or never ends."""
    if str(path) == STANDARD:
        return _standard_input(most)
    return read_stamped(path, most)[0]


class TooLarge(InputRefused):
    """A plain file that is larger than what is read of one."""


def read_stamped(path: Path, most: int = MOST_BYTES) -> tuple[bytes, float]:
    """What a file holds, with its time stamp (seconds since 1970): both of the file that was opened, whatever is
    put in its place meanwhile. Raises InputRefused as read_bytes does."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except FileNotFoundError:
        raise refuse(str(path), "no such file", hint="Check the spelling and the folder") from None
    except IsADirectoryError:
        raise refuse(str(path), "is a folder, not a file") from None
    except (OSError, ValueError) as error:
        raise refuse(str(path), f"cannot be read: {getattr(error, 'strerror', None) or error}") from None
    try:
        kind = os.fstat(handle)
        if stat.S_ISDIR(kind.st_mode):
            raise refuse(str(path), "is a folder, not a file")
        if stat.S_ISREG(kind.st_mode) and kind.st_size > most:
            raise TooLarge(_too_large(path, kind.st_size, most).faults)
        return _read_all(path, handle, most, stat.S_ISREG(kind.st_mode)), kind.st_mtime
    except OSError as error:
        raise refuse(str(path), f"cannot be read: {error.strerror}") from None
    finally:
        os.close(handle)


def _read_all(path: Path, handle: int, most: int, regular: bool) -> bytes:
    found = bytearray()
    while True:
        if not regular and not select.select([handle], [], [], MOST_WAIT_S)[0]:
            raise refuse(str(path), f"sends nothing for {MOST_WAIT_S:.0f} seconds", hint="Give a plain file")
        try:
            more = os.read(handle, 1 << 20)
        except BlockingIOError:
            continue
        if not more:
            return bytes(found)
        found += more
        if len(found) > most:
            raise _too_large(path, len(found), most)


def _too_large(path: Path, size: int, most: int) -> InputRefused:
    return refuse(
        str(path),
        "is too large",
        f"{size} bytes or more",
        f"at most {most} bytes",
        "Give the file that is meant",
    )


def decoded(path: Path, data: bytes) -> str:
    """UTF-8 text of a file's content, without a byte order mark. Raises InputRefused naming the line."""
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


def read_text(path: Path, most: int = MOST_BYTES) -> str:
    """Text of a UTF-8 file (a byte order mark is dropped). Raises InputRefused when it cannot be read."""
    return decoded(path, read_bytes(path, most))


def write_text(path: Path, text: str, was: str | None = None) -> None:
    """Write a text file whole or not at all. ``was``: its text when it was read; another one there now is
    somebody else's work, and is not overwritten; ``-`` is standard output. Raises InputRefused when it cannot
    be written."""
    if str(path) == STANDARD:
        sys.stdout.write(text)
        return
    write_bytes(path, text.encode("utf-8"), None if was is None else was.encode("utf-8"))


def write_bytes(path: Path, data: bytes, was: bytes | None = None) -> None:
    """The same for bytes."""
    target = Path(os.path.realpath(path))
    try:
        there = target.stat() if target.exists() else None
        if there is not None and stat.S_ISDIR(there.st_mode):
            raise refuse(str(path), "is a folder, not a file")
        if there is not None and not stat.S_ISREG(there.st_mode):
            _write_into(target, data)
            return
        with _locked(target.parent):
            _remove_unfinished(target.parent, target.name)
            temporary = target.parent / f".{target.name}.{os.getpid()}{_UNFINISHED}"
            try:
                _write_new(temporary, data, there)
                if was is not None and _differs(target, was):
                    raise refuse(
                        str(path),
                        "was changed by another program meanwhile; nothing is written",
                        hint="Run the command again: it then starts from what is there now",
                    )
                os.replace(temporary, target)
            finally:
                temporary.unlink(missing_ok=True)
            _sync_folder(target.parent)
    except OSError as error:
        hint = None if target.parent.is_dir() else "Choose a folder that exists and is yours"
        raise refuse(str(path), f"cannot be written: {error.strerror or error}", hint=hint) from None


def check_writable(path: Path, option: str, new_folder: bool = False) -> None:
    """Refuse a file (or a new folder, with those above it) that cannot be written, before the work for it is done.
    ``option``: what named it. What changes until then is told when it is written."""
    target = Path(os.path.realpath(path))
    if str(path) == STANDARD or (target.exists() and not target.is_file() and not target.is_dir()):
        return
    if not new_folder and target.is_dir():
        raise refuse(option, "is a folder, not a file", str(path), "the name of a file")
    if new_folder and target.exists() and not _is_empty_folder(target):
        raise refuse(option, "is there already and not empty", str(path), "a new or an empty folder")
    near = target.parent
    while new_folder and not near.exists() and near != near.parent:
        near = near.parent
    why = None
    if not near.exists():
        why = f"there is no folder {near}"
    elif not near.is_dir():
        why = f"{near} is no folder"
    elif not os.access(near, os.W_OK | os.X_OK):
        why = f"nothing may be written into {near}"
    if why is not None:
        raise refuse(
            option, f"cannot be written: {why}", str(path), hint="Choose a folder that exists and is yours"
        )


def _is_empty_folder(path: Path) -> bool:
    """Whether it is a folder that holds nothing, as far as one may look into it."""
    try:
        return path.is_dir() and not any(path.iterdir())
    except OSError:
        return False


def write_folder(folder: Path, texts: dict[str, str]) -> None:
    """Make a new folder with some text files, all or nothing. ``folder`` may exist where it is empty.
    Raises InputRefused when it cannot be made."""
    target = Path(os.path.realpath(folder))
    temporary = target.parent / f".{target.name}.{os.getpid()}{_UNFINISHED}"
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _remove_unfinished(target.parent, target.name)
        temporary.mkdir()
        try:
            for name, text in texts.items():
                _write_new(temporary / name, text.encode("utf-8"), None)
            _sync_folder(temporary)
            if target.is_dir():
                shutil.copymode(target, temporary)
                target.rmdir()
            os.rename(temporary, target)
        finally:
            shutil.rmtree(temporary, ignore_errors=True)
        _sync_folder(target.parent)
    except OSError as error:
        raise refuse(
            str(folder),
            f"cannot be made: {error.strerror or error}",
            hint="Choose a new folder, or an empty one, that is yours",
        ) from None


def _write_into(target: Path, data: bytes) -> None:
    """Write into what is no regular file (a device, a pipe): it stays what it is."""
    with open(target, "wb", buffering=0) as file:
        view = memoryview(data)
        while view:
            view = view[file.write(view) or 0 :]


def _write_new(path: Path, data: bytes, like: os.stat_result | None) -> None:
    """A new file on the disk, with the mode and owner of the one it replaces."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(handle, "wb") as file:
        if like is not None and hasattr(os, "fchmod"):
            if (like.st_uid, like.st_gid) != (os.geteuid(), os.getegid()):
                with contextlib.suppress(PermissionError):  # not ours to give away
                    os.fchown(handle, like.st_uid, like.st_gid)
            os.fchmod(handle, stat.S_IMODE(like.st_mode))
        file.write(data)
        file.flush()
        os.fsync(handle)


def _differs(target: Path, was: bytes) -> bool:
    """Whether a file holds something else than what was read (line ends and a byte order mark aside)."""
    try:
        now = target.read_bytes()
    except FileNotFoundError:
        return bool(was)
    return _plain(now) != _plain(was)


def _plain(data: bytes) -> bytes:
    return data.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n")


@contextlib.contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """One writer of ours at a time in a folder."""
    if fcntl is None:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        deadline = time.monotonic() + MOST_WAIT_S
        while True:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except OSError:
                if time.monotonic() > deadline:
                    break  # a file system without locks, or a writer that hangs: the comparison still guards
                time.sleep(0.02)
        yield
    finally:
        os.close(handle)


def _remove_unfinished(folder: Path, name: str) -> None:
    """Remove what writers of this file left that were killed."""
    pattern = re.compile(re.escape(f".{name}.") + r"(\d+)" + re.escape(_UNFINISHED))
    for entry in os.scandir(folder):
        found = pattern.fullmatch(entry.name)
        if found and not _runs(int(found.group(1))):
            if entry.is_dir(follow_symlinks=False):
                shutil.rmtree(entry.path, ignore_errors=True)
            else:
                with contextlib.suppress(OSError):
                    os.unlink(entry.path)


def _runs(process: int) -> bool:
    if process == os.getpid() or WINDOWS:
        # Signal 0 is Ctrl-C on Windows; there a file that a running writer holds open cannot be removed anyway.
        return False
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True


def _sync_folder(folder: Path) -> None:
    """The new name on the disk too, where the system can do that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def name_is_text(name: str) -> bool:
    """Whether a file's name is text in the system's character set; else its bytes are kept as lone surrogates (PEP 383),
    which no text file, store or document can hold."""
    return not any("\ud800" <= letter <= "\udfff" for letter in name)


def no_text(name: str) -> Fault:
    """What is said of a file or folder whose name is no text."""
    hint = "Rename it, with letters of your system's character set (UTF-8 on most)"
    return Fault(ascii(name), "has a name that cannot be written as text", hint=hint)
