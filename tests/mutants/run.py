"""Mutation testing, from the folder ``tests``: ``python -m mutants.run --room rules --count 40``.

Changes one place of one module at a time (`sites.py`; the operators are cosmic-ray's) in a copy of the tree, and runs
tests until one fails. A change that no test notices *survives*: either a test is missing, or the change means
the same (then it stands in `equivalent.csv` with the reason).

Tests are asked in rounds (`choose.py`), each stopped at the first failure: those that name the module or its rule,
its own file first; those that name a module that imports it; with ``--wide`` the wide ones of its room. A mutant
that is killed costs a second or two. A mutant that no test has noticed when ``--seconds`` of processor are used up
counts as survived, which can only make the score smaller; a test of more than a minute is an endless loop, and a
kill.

Output: one line per mutant on standard output, and as JSON lines in ``--out``, from which a stopped run goes on
(``--again``: survivors are tried again, after tests were added).
"""

from __future__ import annotations

import argparse
import csv
import difflib
import importlib
import json
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from mutants.choose import ROOT, Sources, dotted, read_sources
from mutants.sites import Mutant, sample
from mutants.tree import Tree

ROOMS = ("rules", "standards", "assembly", "performance", "plan", "search", "model")
# In these a wrong line is a wrong verdict: no survivor is left without a reason.
STRICT = ("rules", "standards")
LEAST_PERCENT = 90
# Loaded once, before the forks.
LIBRARIES = (
    "hypothesis",
    "jsonschema",
    "lxml.etree",
    "numpy",
    "ortools.sat.python.cp_model",
    "pydantic",
    "tomlkit",
    "typer",
)

Row = dict[str, object]


def known_equivalents() -> dict[tuple[str, ...], str]:
    """Reasons by (module, line, changed line): `equivalent.csv`."""
    with (Path(__file__).parent / "equivalent.csv").open(encoding="utf-8", newline="") as file:
        return {(row["module"], row["line"], row["changed"]): row["reason"] for row in csv.DictReader(file)}


def changed_lines(before: str, after: str) -> tuple[str, str]:
    """What a change took out and put in, each as one line of text."""
    told: dict[str, list[str]] = {"-": [], "+": []}
    for line in difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm=""):
        if line[:1] in told and line[:3] not in ("---", "+++"):
            told[line[0]].append(line[1:].strip())
    return " ".join(told["-"]), " ".join(told["+"])


def described(name: str, source: str, mutant: Mutant) -> Row:
    """A mutant as it stands in the report."""
    before, after = changed_lines(source, mutant.text_of(source))
    operator = mutant.operator.partition("/")[2]
    return {"module": name, "operator": operator, "at": mutant.line, "line": before, "changed": after}


def try_one(tree: Tree, sources: Sources, row: Row, text: str, asked: argparse.Namespace) -> Row:
    """Change, test round by round, put back: the row with what happened."""
    name, outcome, rounds, used = str(row["module"]), "survived", 0, 0.0
    with tree.changed(name, text):
        for paths in sources.rounds(dotted(ROOT / name), asked.wide):
            rounds += 1
            left = asked.seconds - used
            if left <= 0:
                break
            failed, took = tree.fails(paths, asked.out.with_suffix(".log"), left)
            used += took
            if failed:
                outcome = "killed"
                break
    return row | {"outcome": outcome, "round": rounds, "seconds": round(used, 1)}


def run_room(room: str, asked: argparse.Namespace, tree: Tree, sources: Sources) -> list[Row]:
    """The sample of one room; rows that ``--out`` has already are taken from there."""
    files = {
        str(path.relative_to(ROOT)): path.read_text(encoding="utf-8")
        for path in sorted((ROOT / "partsolver" / room).glob("*.py"))
    }
    lines = asked.out.read_text(encoding="utf-8").splitlines() if asked.out.exists() else []
    done = {(row["module"], row["line"], row["changed"]): row for row in map(json.loads, lines)}
    known, rows = known_equivalents(), []
    for number, (name, mutant) in enumerate(sample(files, asked.count, asked.seed), start=1):
        row = described(name, files[name], mutant)
        key = str(row["module"]), str(row["line"]), str(row["changed"])
        if key in known:
            row |= {"outcome": "equivalent", "reason": known[key]}
        elif key in done and not (asked.again and done[key]["outcome"] == "survived"):
            row |= {"outcome": done[key]["outcome"]}
        else:
            row = try_one(tree, sources, row, mutant.text_of(files[name]), asked)
            with asked.out.open("a", encoding="utf-8") as file:
                file.write(json.dumps(row) + "\n")
        rows.append(row)
        took = f"{row['seconds']} s, round {row['round']}" if "seconds" in row else ""
        print(f"{number:4} {row['outcome']:10} {name}:{mutant.line} {row['operator']} {took}", flush=True)
        if row["outcome"] == "survived":
            print(f"       - {row['line']}\n       + {row['changed']}", flush=True)
    return rows


def passed(room: str, rows: Sequence[Row], seed: int) -> bool:
    """Whether a room's sample is as it must be; prints its score."""
    counts = {
        word: sum(row["outcome"] == word for row in rows) for word in ("killed", "equivalent", "survived")
    }
    judged = len(rows) - counts["equivalent"]
    share = 100 * counts["killed"] / max(1, judged)
    print(
        f"{room}: {len(rows)} mutants (seed {seed}), {counts}: {share:.1f} % of {judged} killed", flush=True
    )
    return counts["survived"] == 0 if room in STRICT else share >= LEAST_PERCENT


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the samples; 1 if a mutant survived in rules or standards, or fewer than 90 % were killed elsewhere."""
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument(
        "--room", choices=ROOMS, action="append", help="a folder of partsolver/ (default: all seven)"
    )
    words.add_argument("--count", type=int, default=40, help="mutants per room (default 40)")
    words.add_argument("--seed", type=int, default=19, help="which sample (default 19)")
    words.add_argument("--seconds", type=float, default=20, help="of processor per mutant (default 20)")
    words.add_argument("--wide", action="store_true", help="ask the wide tests of the room too")
    words.add_argument("--again", action="store_true", help="try recorded survivors again")
    words.add_argument("--out", type=Path, default=Path("/tmp/mutants.jsonl"), help="results, gone on from")
    asked = words.parse_args(arguments)
    for library in LIBRARIES:
        importlib.import_module(library)
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        tree, sources = Tree(Path(folder) / "program"), read_sources()
        verdicts = [
            passed(room, run_room(room, asked, tree, sources), asked.seed) for room in asked.room or ROOMS
        ]
    return 0 if all(verdicts) else 1


if __name__ == "__main__":
    sys.exit(main())
