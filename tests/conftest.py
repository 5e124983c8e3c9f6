"""Hypothesis profiles and the ``full`` marker.

``PARTSOLVER_FULL=1``: many examples and the tests marked ``full``; in CI (``CI=1``): few, always the same;
otherwise (at the desk): fewest, new ones each time. Speed is measured in benchmarks/, so there is no
deadline.
"""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, Phase, settings

FULL = os.environ.get("PARTSOLVER_FULL") == "1"
_COMMON = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow, HealthCheck.data_too_large]}

# Making a failing example small takes minutes (every try is a solve): at the desk, not in CI.
_QUICK = (Phase.explicit, Phase.reuse, Phase.generate)

settings.register_profile("dev", max_examples=6, phases=(*_QUICK, Phase.shrink), **_COMMON)
settings.register_profile("ci", max_examples=12, derandomize=True, print_blob=True, phases=_QUICK, **_COMMON)
settings.register_profile("full", max_examples=250, print_blob=True, phases=_QUICK, **_COMMON)
settings.load_profile("full" if FULL else "ci" if os.environ.get("CI") else "dev")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the long runs unless they are asked for."""
    if FULL:
        return
    skip = pytest.mark.skip(reason="long run: set PARTSOLVER_FULL=1")
    for item in items:
        if item.get_closest_marker("full"):
            item.add_marker(skip)
