"""A shared library loaded on a thread of its own, while the interpreter reads modules.

Loading the solver's library takes 45 ms, none of it Python: called through `ctypes` it lets other threads run
meanwhile, the import statement does not. The import afterwards finds the library loaded. It is help, no more:
whatever goes wrong here, the import does (and tells) itself.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from importlib.machinery import EXTENSION_SUFFIXES, PathFinder

_threads: list[threading.Thread] = []


def begin_loading(extension: str, first: Sequence[str]) -> None:
    """Start to load the library of an extension module (its dotted name), where a second core can do it.
    ``first``: modules with libraries that what is imported meanwhile would wait for, since the system's loader
    takes one library at a time."""
    wanted = extension not in sys.modules and not _threads
    if wanted and sys.platform == "linux" and len(os.sched_getaffinity(0)) > 1:
        for name in first:
            import_module(name)
        _threads.append(threading.Thread(target=_load, args=(extension,), daemon=True))
        _threads[0].start()


def end_loading() -> None:
    """Wait until they are loaded: a process may only be forked while it has one thread."""
    while _threads:
        _threads.pop().join()


def _load(extension: str) -> None:
    from ctypes import CDLL

    with suppress(Exception):
        # The system's own function: `ctypes` calls it without the interpreter's lock, its ``CDLL`` does not.
        CDLL(None).dlopen(_file_of(extension).encode(), os.RTLD_NOW)


def _file_of(name: str) -> str:
    """The file of an extension module, found without importing its packages. Raises LookupError."""
    package, *inner = name.split(".")
    found = PathFinder.find_spec(package)
    folders = [] if found is None else found.submodule_search_locations or []
    for folder in folders:
        for suffix in EXTENSION_SUFFIXES:
            path = os.path.join(folder, *inner) + suffix
            if os.path.exists(path):
                return path
    raise LookupError(name)


__all__ = ["begin_loading", "end_loading"]
