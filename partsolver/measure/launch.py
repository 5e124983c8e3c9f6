"""Cold start of an application: a fresh interpreter that loads a set of libraries, its files dropped from the
cache.

A user cannot empty the whole page cache. What can be done is done: after one start that lists every file the
application loads (modules and mapped libraries), each is advised away (posix_fadvise(2),
POSIX_FADV_DONTNEED); pages that another running program maps stay. How much stayed is sampled (preadv2(2),
RWF_NOWAIT) and decides whether the start may be called cold. Program starts are bound by storage (Joo et al.,
FAST 2011), which is why they are measured.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

from partsolver.base.errors import InternalFault
from partsolver.measure.storage import resident_permille

# Libraries that are installed with this package anyway. -B and these modules write no cache file anywhere.
MODULES = ("pandas", "pydantic", "jinja2", "sqlite3", "asyncio", "email.mime.multipart", "xml.dom.minidom")
_LIST = """
import json, sys
files = set()
for module in list(sys.modules.values()):
    for name in (getattr(module, "__file__", None), getattr(module, "__cached__", None)):
        if isinstance(name, str):
            files.add(name)
try:
    for line in open("/proc/self/maps"):
        words = line.split(None, 5)
        if len(words) == 6 and words[5].startswith("/"):
            files.add(words[5].strip())
except OSError:
    pass
print(json.dumps(sorted(files)))
"""
# Above this share of pages still in the cache a start is not called cold (judgement).
COLD_PERMILLE = 250


class Application:
    """The application to start."""

    def __init__(self, modules: tuple[str, ...] = MODULES) -> None:
        self._code = "import " + ", ".join(modules)
        listed = self._run(self._code + "\n" + _LIST)
        self.files = tuple(Path(name) for name in json.loads(listed) if Path(name).is_file())

    def _run(self, code: str) -> str:
        done = subprocess.run(
            [sys.executable, "-P", "-B", "-c", code],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            encoding="utf-8",
            start_new_session=True,
        )
        if done.returncode != 0:
            last = (done.stderr.strip().splitlines() or [""])[-1]
            raise InternalFault(
                f"the application that is started as a test ended with code {done.returncode}: {last}"
            )
        return done.stdout

    def drop(self) -> bool:
        """Advise the files out of the cache; whether the system has such an advice."""
        if not hasattr(os, "posix_fadvise"):
            return False
        for path in self.files:
            with suppress(OSError), path.open("rb") as file:
                os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
        return True

    def stayed_permille(self) -> int | None:
        """Share of the files' bytes that stay in the cache after dropping them; None when it cannot be told.

        Sampling can itself make the system read ahead, so it is done once and not before each start.
        """
        if not self.drop():
            return None
        stayed, weights = 0, 0
        for path in self.files:
            with suppress(OSError), path.open("rb") as file:
                size = os.fstat(file.fileno()).st_size
                share = resident_permille(file.fileno(), size, 8)
                if share is None and size:
                    return None
                stayed += (share or 0) * size
                weights += size
        return stayed // weights if weights else None

    def start_ms(self) -> float:
        """Milliseconds from starting the process to its end."""
        start = time.perf_counter_ns()
        self._run(self._code)
        return (time.perf_counter_ns() - start) / 1e6
