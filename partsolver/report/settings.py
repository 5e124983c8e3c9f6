"""Words and JSON of `settings`."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.report.document import dump
from partsolver.report.page import wrap

Row = tuple[str, str | None, str, str]


def settings_text(rows: Sequence[Row], user_file: str) -> str:
    """Each setting: value, origin, meaning; then where files are looked for."""
    lines = []
    for name, value, origin, meaning in rows:
        shown = "not set" if value is None else value
        lines += [wrap(f"{name} = {shown}  ({origin})", "", "    "), wrap(f"{meaning}.", "    ")]
    lines += [
        "",
        wrap(
            "Options come first, then the environment (PARTSOLVER_CATALOG and so on), then partsolver.toml in this"
            f" folder or the nearest one above it, then {user_file}.",
            "",
        ),
    ]
    return "\n".join(lines) + "\n"


def settings_json(rows: Sequence[Row], user_file: str) -> str:
    """The same as one JSON document."""
    return dump(
        {
            "schema": "partsolver.settings/1",
            "settings": [
                {"name": name, "value": value, "origin": origin, "meaning": meaning}
                for name, value, origin, meaning in rows
            ],
            "user_file": user_file,
        }
    )
