"""`partsolver settings`: each setting and where it comes from."""

from __future__ import annotations

import sys

from partsolver.cli import options as o
from partsolver.cli.settings import settings_found, user_file


def settings(format: o.OutputFormat = "text") -> int:
    """Each setting with its value and where it comes from."""
    from partsolver.report.settings import settings_json, settings_text

    rows = [(f.setting.name, f.value, f.origin, f.setting.meaning) for f in settings_found()]
    write = settings_json if format == "json" else settings_text
    sys.stdout.write(write(rows, str(user_file())))
    return 0
