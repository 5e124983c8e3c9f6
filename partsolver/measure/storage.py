"""Storage: sequential and random 4 KiB reads of a file of random bytes that is made for it and never has a
name.

The file loses its name as soon as it is open, so nothing stays behind whatever ends the program. Its bytes
are
random: drives and file systems that compress or deduplicate cannot cheat. The page cache is kept out with
O_DIRECT (open(2)); where the file system refuses it, pages are advised away (posix_fadvise(2),
POSIX_FADV_DONTNEED) and whether they went is checked with preadv2(2) RWF_NOWAIT; where neither works, the
reading says that it is one of the cache. A drive's own cache and a virtual machine's host are beyond reach.
Queue depth is one, as when one program reads; sequential reads are 4 MiB each, which the system splits and
queues.
"""

from __future__ import annotations

import errno
import mmap
import os
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Literal

from partsolver.base.errors import refuse
from partsolver.measure.drive import IN_MEMORY, DriveLink, drive_link, file_system
from partsolver.measure.records import DriveFacts

MIB = 1024 * 1024
CHUNK = 4 * MIB
PAGE = 4096
LEAST_MIB = 32
# Left free on the drive whatever happens, the larger of the two (judgement: a system drive must not run
# full).
RESERVE_MIB = 1024
RESERVE_PERCENT = 5
Cache = Literal["direct", "dropped", "used", "memory", "skipped"]
# Folders tried in turn for the file when none is named.
FOLDERS = ("/var/tmp", "~", tempfile.gettempdir())


def allowed_mib(wanted_mib: int, total_bytes: int, free_bytes: int) -> int:
    """Size of the file that leaves the reserve free; 0 when less than LEAST_MIB would be left for it."""
    reserve = max(RESERVE_MIB * MIB, total_bytes * RESERVE_PERCENT // 100)
    size = min(wanted_mib, (free_bytes - reserve) // MIB) // 4 * 4
    return size if size >= LEAST_MIB else 0


def default_folder() -> Path:
    """The first folder that can be written and is not in memory; the last one otherwise."""
    for name in FOLDERS:
        folder = Path(name).expanduser()
        if folder.is_dir() and os.access(folder, os.W_OK) and file_system(folder) not in IN_MEMORY:
            return folder
    return Path(tempfile.gettempdir())


class TestFile:
    """A nameless file to read from; a context manager.

    size_mib: 0 when there is not enough free space (nothing is made then). Raises InputRefused when the
    folder cannot be written.
    """

    __test__ = False  # not a test, whatever a test runner takes from the name

    def __init__(
        self, folder: Path, wanted_mib: int, progress: Callable[[float], None] = lambda share: None
    ) -> None:
        self._folder, self._progress = folder, progress
        try:
            usage = shutil.disk_usage(folder)
        except OSError as error:
            raise refuse(
                str(folder),
                f"cannot be used: {error.strerror}",
                hint="Name a folder on the drive to be measured",
            ) from None
        self.size_mib = allowed_mib(wanted_mib, usage.total, usage.free)
        self.file_system = file_system(folder)
        self.link = DriveLink() if os.name != "posix" else drive_link(folder)
        self.cache: Cache = "skipped"
        self._file = self._direct = -1
        self._buffer: mmap.mmap | None = None

    def __enter__(self) -> TestFile:
        if self.size_mib == 0:
            return self
        try:
            self._make()
        except BaseException as error:
            self._close()
            if isinstance(error, OSError):
                raise refuse(
                    str(self._folder),
                    f"no file can be made there: {error.strerror}",
                    hint="Name another folder",
                ) from None
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._close()

    def _close(self) -> None:
        for handle in (self._file, self._direct):
            if handle >= 0:
                os.close(handle)
        self._file = self._direct = -1
        if self._buffer is not None:
            self._buffer.close()
            self._buffer = None

    def _make(self) -> None:
        if os.name == "nt":  # deleted by the system when closed
            path = Path(tempfile.mktemp(dir=self._folder, prefix="partsolver-"))
            flags = (
                os.O_RDWR
                | os.O_CREAT
                | os.O_EXCL
                | getattr(os, "O_BINARY", 0)
                | getattr(os, "O_TEMPORARY", 0)
            )
            self._file = os.open(path, flags, 0o600)
        else:
            self._file, name = tempfile.mkstemp(dir=self._folder, prefix="partsolver-")
            try:
                if self.file_system not in IN_MEMORY and hasattr(os, "O_DIRECT"):
                    try:
                        self._direct = os.open(name, os.O_RDONLY | os.O_DIRECT)
                    except OSError as error:
                        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
                            raise
            finally:
                os.unlink(name)
        for done in range(0, self.size_mib, CHUNK // MIB):
            os.write(self._file, os.urandom(CHUNK))
            self._progress(done / self.size_mib)
        os.fsync(self._file)
        self._buffer = mmap.mmap(-1, CHUNK)  # page aligned, as O_DIRECT asks for
        self.cache = self._cache()

    def _cache(self) -> Cache:
        if self.file_system in IN_MEMORY:
            return "memory"
        if self._direct >= 0:
            try:
                os.preadv(self._direct, [memoryview(self._buffer)[:PAGE]], 0)  # type: ignore[arg-type]
                return "direct"
            except OSError:  # opened, but reads are refused
                os.close(self._direct)
                self._direct = -1
        if sys.platform == "darwin":
            import fcntl

            fcntl.fcntl(self._file, 48, 1)  # F_NOCACHE of <fcntl.h>, from memory
        self._drop()
        return "dropped" if resident_permille(self._file, self.size_mib * MIB) == 0 else "used"

    def _drop(self) -> None:
        if self._direct < 0 and hasattr(os, "posix_fadvise"):
            os.posix_fadvise(self._file, 0, 0, os.POSIX_FADV_DONTNEED)

    def _read(self, offset: int, size: int) -> None:
        assert self._buffer is not None
        handle = self._direct if self._direct >= 0 else self._file
        with memoryview(self._buffer) as whole, whole[:size] as view:
            if hasattr(os, "preadv"):
                got = os.preadv(handle, [view], offset)
            else:
                os.lseek(handle, offset, os.SEEK_SET)
                got = len(os.read(handle, size))
        if got != size:
            raise OSError(errno.EIO, "short read")

    def sequential_mbs(self, seconds: float) -> float:
        """MB/s (10^6 B/s) from the start of the file to its end, or until the time is up."""
        self._drop()
        start, done = time.perf_counter_ns(), 0
        while done < self.size_mib * MIB:
            self._read(done, CHUNK)
            done += CHUNK
            if time.perf_counter_ns() - start > seconds * 1e9:
                break
        return done * 1e3 / (time.perf_counter_ns() - start)

    def random_reads_per_s(self, seconds: float, seed: int) -> float:
        """4 KiB reads per second at aligned places drawn from a seed."""
        self._drop()
        if self._direct < 0 and hasattr(os, "posix_fadvise"):
            os.posix_fadvise(self._file, 0, 0, os.POSIX_FADV_RANDOM)
        draw, pages = random.Random(seed), self.size_mib * MIB // PAGE
        start, count, end = time.perf_counter_ns(), 0, 0
        while end - start < seconds * 1e9:
            self._read(draw.randrange(pages) * PAGE, PAGE)
            count += 1
            end = time.perf_counter_ns()
        if self._direct < 0 and hasattr(os, "posix_fadvise"):
            os.posix_fadvise(self._file, 0, 0, os.POSIX_FADV_NORMAL)
        return count * 1e9 / (end - start)

    def facts(self) -> DriveFacts:
        """What was read from."""
        return DriveFacts(
            cache=self.cache,
            file_system=self.file_system,
            rotational=self.link.rotational,
            interface=self.link.interface,
            link_gbps10=self.link.link_gbps10,
            port_gbps10=self.link.port_gbps10,
            file_mib=self.size_mib or None,
        )


def resident_permille(handle: int, size: int, samples: int = 64) -> int | None:
    """Share of sampled pages of a file that are in the page cache; None where the system cannot tell."""
    flag = getattr(os, "RWF_NOWAIT", None)
    if flag is None or size == 0:
        return None
    buffer = [bytearray(1)]
    found, taken = 0, min(samples, -(-size // PAGE))
    for index in range(taken):
        try:
            os.preadv(handle, buffer, index * size // taken, flag)
            found += 1
        except BlockingIOError:
            pass
        except OSError:  # this file system does not know the flag
            return None
    return 1000 * found // taken
