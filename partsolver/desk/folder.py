"""The files of a desk: one folder with a survey for each PC, and beside it what belongs to it.

``NAME.toml`` the survey; ``NAME.answers.toml`` what its owner does not know, and lists not finished;
``NAME.plan.json`` the plan chosen; ``NAME.bench.json`` what was ordered, ticked and read at the bench;
``NAME.before.json`` and ``NAME.after.json`` measurements. All but the bench's notes are the files of the
commands. A PC is named by a request, and found only among the names that the folder lists: no path is made of
what was sent.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import unicodedata
from pathlib import Path
from typing import Any, Literal

from partsolver.base.documents import parse_json
from partsolver.base.errors import refuse
from partsolver.base.records import record
from partsolver.base.textfile import read_bytes, read_text, write_text
from partsolver.catalog.store import holds_store
from partsolver.survey.interview.answers import load_answers, progress_path
from partsolver.survey.load import is_survey_name, read_survey

State = Literal["new", "asked", "planned", "ordered", "bench", "measured"]
# Version of the bench's notes: no document of a command.
BENCH_SCHEMA = 1
PARTS = "parts"
MOST_PCS = 500


@record
class PcFiles:
    """The files of one PC. ``name``: as the folder lists it, without its ending."""

    folder: Path
    name: str

    @property
    def survey(self) -> Path:
        return self.folder / f"{self.name}.toml"

    @property
    def answers(self) -> Path:
        return progress_path(self.survey)

    def file_beside(self, what: str) -> Path:
        """``plan``, ``bench``, ``before`` or ``after``."""
        return self.folder / f"{self.name}.{what}.json"

    def has(self, what: str) -> bool:
        return self.file_beside(what).is_file()

    def survey_text(self) -> str:
        """The survey as it lies there. Raises InputRefused where it is none, as after a slip in an editor."""
        text = read_text(self.survey)
        read_survey(text, str(self.survey))
        return text

    def pending(self) -> dict[str, str]:
        """Answers that are not in the survey."""
        return load_answers(self.answers) if self.answers.is_file() else {}

    def bench(self) -> dict[str, Any]:
        """The notes of the bench, empty ones where there are none. Raises InputRefused."""
        path = self.file_beside("bench")
        if not path.is_file():
            return {"notes": BENCH_SCHEMA, "plan": "", "ordered": None, "done": [], "readings": {}}
        found = parse_json(read_text(path), str(path), None)
        if not isinstance(found, dict) or found.get("notes") != BENCH_SCHEMA:
            raise refuse(str(path), "not the notes of a bench", hint="Move the file away to begin anew")
        return found

    def write_bench(self, notes: dict[str, Any]) -> None:
        path = self.file_beside("bench")
        was = read_text(path) if path.is_file() else ""
        write_text(path, json.dumps(notes, ensure_ascii=False, indent=2, sort_keys=True) + "\n", was)

    def plan_digest(self) -> str:
        """Which plan the notes are about."""
        return self.digest_beside("plan")

    def digest_beside(self, what: str) -> str:
        """Which file lies beside the survey: 16 digits of its SHA-256; empty without one."""
        path = self.file_beside(what)
        return hashlib.sha256(read_bytes(path)).hexdigest()[:16] if path.is_file() else ""

    def state(self) -> State:
        """How far this PC has come, read off its files."""
        if self.has("after"):
            return "measured"
        if self.has("plan"):
            notes = self.bench()
            mine = notes.get("plan") == self.plan_digest()
            if mine and notes.get("done"):
                return "bench"
            return "ordered" if mine and notes.get("ordered") else "planned"
        return "asked" if self.answers.is_file() else "new"


def texts(value: object) -> list[str]:
    """The texts of a list in the bench's notes, which a person may have written into."""
    return [text for text in value if isinstance(text, str)] if isinstance(value, list) else []


class Folder:
    """One folder of PCs."""

    def __init__(self, root: Path) -> None:
        self.root = Path(os.path.realpath(root))

    @property
    def parts(self) -> Path:
        """Its catalogue's folder, there or not."""
        return self.root / PARTS

    @property
    def has_parts(self) -> bool:
        return (self.parts / "catalog.toml").is_file() or holds_store(self.parts)

    def names(self) -> list[str]:
        """Names of the PCs, sorted; links that lead out of the folder are none."""
        found = []
        for entry in os.scandir(self.root):
            if not is_survey_name(entry.name):
                continue
            inside = Path(os.path.realpath(entry.path)).parent == self.root
            # A link that leads round in a circle is no file (os.DirEntry.is_file would raise).
            if inside and os.path.isfile(entry.path):
                found.append(entry.name.removesuffix(".toml"))
        return sorted(found)[:MOST_PCS]

    def pc(self, name: str) -> PcFiles | None:
        """The PC of this name, None where the folder lists none."""
        return PcFiles(self.root, name) if name in self.names() else None

    def new_name(self, title: str) -> str:
        """A free file name made of a title: letters, digits and hyphens."""
        plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
        stem = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:40] or "pc"
        stem = f"{stem}-pc" if stem in ("partsolver",) else stem
        taken = {entry.name.lower() for entry in os.scandir(self.root)}
        number = 1
        name = stem
        while f"{name}.toml" in taken:
            number += 1
            name = f"{stem}-{number}"
        return name
