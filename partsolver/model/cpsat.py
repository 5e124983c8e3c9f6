"""CP-SAT's Python interface, without what it loads for an interface that nothing here uses.

``cp_model`` imports pandas for its series of variables: two thirds of the time that loading it takes
(measured, benchmarks/README.md). Of pandas it reads two names while it loads, for an annotation. Those are
stood in for; whoever uses the series later gets the real pandas, loaded then. Every module of the model takes
``cp_model`` from here.
"""

from __future__ import annotations

import importlib
import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

from partsolver.base.preload import end_loading

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


class _Later(ModuleType):
    """pandas, loaded when something of it is wanted."""

    def __getattr__(self, name: str) -> Any:
        return getattr(importlib.import_module("pandas"), name)


def _load() -> ModuleType:
    end_loading()
    name = "ortools.sat.python.cp_model"
    if name in sys.modules or "pandas" in sys.modules:
        return importlib.import_module(name)
    standing_in = ModuleType("pandas")
    vars(standing_in).update(Index=type("Index", (), {}), Series=type("Series", (), {}))
    sys.modules["pandas"] = standing_in
    try:
        loaded = importlib.import_module(name)
    except (ImportError, AttributeError, TypeError):
        loaded = None  # another version, that reads more of it
    finally:
        del sys.modules["pandas"]
    if loaded is None:
        return importlib.import_module(name)
    vars(loaded)["pd"] = _Later("pandas")
    return loaded


if not TYPE_CHECKING:
    cp_model = _load()

__all__ = ["cp_model"]
