"""Write the schemas into ``partsolver/schemas`` (for developers, after a change of a model)."""

from __future__ import annotations

from pathlib import Path

from partsolver.base.textfile import write_text
from partsolver.report.document import dump
from partsolver.report.shapes import MODELS, generated

FOLDER = Path(__file__).resolve().parents[2] / "schemas"

if __name__ == "__main__":
    for name in MODELS:
        write_text(FOLDER / f"{name}.json", dump(generated(name)))
