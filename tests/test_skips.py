"""A run in CI fails on a test that is left out for a reason that nobody allowed."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

TESTS = Path(__file__).parent


@pytest.mark.parametrize("workers", [[], ["-n", "1"]])
@pytest.mark.parametrize(
    ("reason", "ci", "code"), [("because", "1", 1), ("because", "", 0), ("needs bash", "1", 0)]
)
def test_a_skip_that_nobody_allowed_fails_in_ci(
    reason: str, ci: str, code: int, workers: list[str], tmp_path: Path
) -> None:
    (tmp_path / "conftest.py").write_text(
        (TESTS / "conftest.py").read_text(encoding="utf-8"), encoding="utf-8"
    )
    (tmp_path / "test_one.py").write_text(
        f"import pytest\ndef test_one():\n    pytest.skip({reason!r})\ndef test_two():\n    pass\n",
        encoding="utf-8",
    )
    words = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *workers, "."]
    found = subprocess.run(
        words, cwd=tmp_path, env={**os.environ, "CI": ci}, capture_output=True, text=True, check=False
    )
    assert found.returncode == code, found.stdout
    assert ("does not allow: because" in found.stdout) is (reason == "because")


def test_no_reason_is_left_over() -> None:
    """Each allowed reason stands in a test (those of pytest itself name the module that is imported)."""
    allowed = re.findall(r'^    "(.+?)":', (TESTS / "conftest.py").read_text(encoding="utf-8"), re.MULTILINE)
    sources = "".join(
        path.read_text(encoding="utf-8")
        for path in TESTS.rglob("*.py")
        if path.name not in ("test_skips.py",)
    )
    for reason in allowed:
        module = re.match(r"could not import '([\w.]+)'", reason)
        needed = f'importorskip("{module[1]}"' if module else f'"{reason}"'
        assert sources.count(needed) >= (1 if module else 2), reason
