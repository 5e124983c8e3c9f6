"""Mutation testing, from the folder ``tests``: ``python -m mutants.reach``, then ``python -m mutants.run --count 150``.

Changes one place of one module at a time (`sites.py`; the operators are cosmic-ray's) and runs tests until one
fails. A change that no test notices *survives*: either a test is missing, or the change means the same (then it
stands in `equivalent.csv` with the reason).

A change inside a function is tried in a fork of a process that has everything imported (`warm.py`), on the tests
that run the changed line (`reach.py`), those first that found most in its module so far and cost least: a fraction of
a second. Any other change is tried in a copy
of the tree (`tree.py`), where the program is imported anew, on the tests that name the module or its rule first, then on
those that name a module that imports it, with ``--breadth wide`` on the wide ones of its room (`choose.py`): a second
or two. Tests are chosen by these names for functions too where `reach.py` has not been run. A mutant that no test has noticed when ``--seconds`` of processor are used up counts as survived,
which can only make the score smaller; a test that takes much longer than usual is an endless loop, and a kill.

Output: one line per mutant on standard output, and as JSON lines in ``--out``, from which a stopped run goes on
(``--again``: survivors are tried again, after tests were added).
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import difflib
import functools
import gc
import importlib
import itertools
import json
import math
import multiprocessing
import os
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

import pytest
from mutants.choose import BREADTHS, ROOT, Breadth, Sources, dotted, read_sources
from mutants.reach import FOLDER, ROOMS, Reach, read_reach
from mutants.sites import Mutant, sample
from mutants.tree import OPTIONS, Tree
from mutants.warm import Warm, changed_functions, import_all, lines_of

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
# A test of which `reach.py` knows nothing ends after 15 s of processor (`warm.py`).
UNKNOWN_SECONDS = 1.0
# What any test costs besides its own work.
FIXED_SECONDS = 0.005


@functools.cache
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


def described(name: str, source: str, mutant: Mutant, changed: str) -> Row:
    """A mutant, and the changed text of its file, as it stands in the report."""
    before, after = changed_lines(source, changed)
    operator = mutant.operator.partition("/")[2]
    return {"module": name, "operator": operator, "at": mutant.line, "line": before, "changed": after}


def key_of(row: Row) -> tuple[str, ...]:
    """What tells a mutant from the others (the same line may stand twice in a module)."""
    return tuple(str(row[name]) for name in ("module", "at", "line", "changed"))


@dataclass(frozen=True)
class Drawn:
    """One mutant of a room's sample: its row of the report, and the file's text before and after."""

    row: Row
    before: str
    after: str

    @property
    def key(self) -> tuple[str, ...]:
        return key_of(self.row)

    @property
    def excuse(self) -> str | None:
        """Why it means the same, if it does."""
        return known_equivalents().get(
            (str(self.row["module"]), str(self.row["line"]), str(self.row["changed"]))
        )


def draw(
    room: str, count: int, seed: int, modules: Sequence[str] = (), since: str | None = None
) -> list[Drawn]:
    """The sample of one room, or of some of its modules (by their names without ``.py``).

    With ``since``, a commit: only places on lines that no line of the file said then.
    """
    files = {
        str(path.relative_to(ROOT)): path.read_text(encoding="utf-8")
        for path in sorted((ROOT / "partsolver" / room).glob("*.py"))
        if not modules or path.stem in modules
    }
    known = {name: lines_at(since, name) for name in files} if since else {}
    return [
        Drawn(described(name, files[name], mutant, changed), files[name], changed)
        for name, mutant, changed in sample(files, count, seed, known)
    ]


def lines_at(commit: str, name: str) -> frozenset[str]:
    """What the lines of a file said at a commit, without their indents; nothing where it did not exist.

    Raises SystemExit where there is no such commit.
    """
    if subprocess.run(
        ["git", "rev-parse", "--verify", "--quiet", f"{commit}^{{commit}}"], cwd=ROOT, capture_output=True
    ).returncode:
        raise SystemExit(f"there is no commit {commit}")
    asked = ["git", "show", f"{commit}:{name}"]
    told = subprocess.run(asked, cwd=ROOT, capture_output=True, text=True, encoding="utf-8")
    return frozenset(line.strip() for line in told.stdout.splitlines())


class Report:
    """The rows in ``--out``, by key."""

    def __init__(self, out: Path) -> None:
        self.out, self.log = out, out.with_suffix(".log")
        self.kills: dict[str, Counter[str]] = defaultdict(Counter)  # by module, of each test
        for row in self.rows().values():
            self._count(row)

    def _count(self, row: Row) -> None:
        if row["outcome"] == "killed":
            self.kills[str(row["module"])][str(row["by"])] += 1

    def rows(self) -> dict[tuple[str, ...], Row]:
        lines = self.out.read_text(encoding="utf-8").splitlines() if self.out.exists() else []
        return {key_of(row): row for row in map(json.loads, lines)}

    def forget_survivors(self) -> None:
        """So that they are tried again."""
        kept = [row for row in self.rows().values() if row["outcome"] != "survived"]
        self.out.write_text("".join(json.dumps(row) + "\n" for row in kept), encoding="utf-8")

    def add(self, row: Row) -> None:
        """Write and tell."""
        with self.out.open("a", encoding="utf-8") as file:
            file.write(json.dumps(row) + "\n")
        self._count(row)
        where = f"{row['module']}:{row['at']} {row['operator']}"
        print(f"{row['outcome']:8} {where} {row['seconds']} s {row['by'] or ''}", flush=True)
        if row["outcome"] == "survived":
            print(f"       - {row['line']}\n       + {row['changed']}", flush=True)


@dataclass(frozen=True)
class Run:
    """What all mutants of a run share."""

    tree: Tree
    reach: Reach
    sources: Sources
    report: Report
    seconds: float
    breadth: Breadth

    def rounds(self, module: str) -> Iterator[list[str]]:
        """Test files for a module, by what they name."""
        return self.sources.rounds(dotted(ROOT / module), self.breadth)

    def files(self, modules: Iterable[str]) -> list[str]:
        """The test files that may be asked about functions of these modules."""
        found: set[str] = set()
        for module in modules:
            if self.reach.knows(module):
                found.update(test.partition("::")[0] for test in self.reach.seconds)
            else:
                found.update(*(paths[:1] if "-k" in paths else paths for paths in self.rounds(module)))
        return sorted(found)

    def tests(self, warm: Warm, module: str, line: int, body: Sequence[int]) -> list[tuple[str, float]]:
        """The tests to be asked about a line of a function, and what each takes."""
        if self.reach.knows(module):
            return [(test, self.reach.seconds[test]) for test in self._in_order(module, line, body)]
        named = (test for paths in self.rounds(module) for test in warm.tests_in(paths))
        return [(test, UNKNOWN_SECONDS) for test in named]

    def _in_order(self, module: str, line: int, body: Sequence[int]) -> Iterator[str]:
        """The tests that run a line, then the others of their files; each part in the order of what it costs to ask.

        A test that has noticed changes of the module will notice more; what is about the module finds more than what
        only passes through it; and the tenth test of a file says little that its first nine did not.
        """
        named = set(self.sources.naming(dotted(ROOT / module)))
        kills = self.report.kills[module]
        place: Counter[str] = Counter()
        price = {}
        for part, tests in enumerate(self.reach.of_change(module, line, body)):
            for test in tests:
                file = test.partition("::")[0]
                hope = 1 + 10 * kills[test] + 5 * _is_about(test, module, named)
                price[test] = (
                    part,
                    (FIXED_SECONDS + self.reach.seconds[test]) * (1 + place[file]) / hope,
                    test,
                )
                place[file] += 1
        yield from sorted(price, key=price.__getitem__)


def _is_about(test: str, module: str, named: set[str]) -> bool:
    """Whether a test's file names a module, or its own name holds that of the module or of its rule."""
    name = Path(module).stem
    return test.partition("::")[0] in named or name in test or name.replace("_", ".", 1) in test


def try_warm(one: Drawn, run: Run, warm: Warm) -> bool:
    """Exchange a function and test, in a fork of the warm process; False where more than functions changed."""
    module, line = str(one.row["module"]), int(str(one.row["at"]))
    path = run.tree.folder / module
    old, new = (compile(text, str(path), "exec", dont_inherit=True) for text in (one.before, one.after))
    pairs = changed_functions(old, new)
    if not pairs or not warm.can_try(path, pairs):
        return False
    tests = run.tests(warm, module, line, [number for code, _ in pairs for number in lines_of(code)])
    killer, asked, used = warm.tests_that_fail(path, pairs, tests, run.report.log, run.seconds)
    told = {"seconds": round(used, 1), "by": killer, "asked": asked, "of": len(tests)}
    run.report.add(one.row | {"outcome": "killed" if killer else "survived"} | told)
    return True


def try_anew(one: Drawn, run: Run) -> None:
    """Change the file, test round by round in processes that import it anew, put it back."""
    name, outcome, rounds, used = str(one.row["module"]), "survived", 0, 0.0
    with run.tree.changed(name, one.after):
        for paths in run.rounds(name):
            rounds += 1
            failed, took = run.tree.fails(paths, run.report.log, run.seconds - used)
            used += took
            if failed or used > run.seconds:
                outcome = "killed" if failed else "survived"
                break
    run.report.add(one.row | {"outcome": outcome, "seconds": round(used, 1), "by": f"round {rounds}"})


def try_all(todo: Sequence[Drawn], run: Run) -> None:
    """One after the other, in the order drawn: a run that is stopped has tried the first of each room.

    The warm process is a fork of this one, and sends back what it cannot try.
    """
    gc.freeze()  # what is known about the tests is large: no fork copies it for the collector's sake
    ours, theirs = multiprocessing.Pipe()
    child = os.fork()
    if child == 0:
        ours.close()
        _be_warm(todo, run, theirs)
    theirs.close()
    with contextlib.suppress(EOFError):
        while True:
            try_anew(todo[ours.recv()], run)
            ours.send("tried")
    os.waitpid(child, 0)


def _be_warm(todo: Sequence[Drawn], run: Run, asker: Connection) -> None:
    def work(warm: Warm) -> None:
        for number, one in enumerate(todo):
            if not try_warm(one, run, warm):
                asker.send(number)
                asker.recv()

    try:
        run.tree.enter()
        scratch = run.tree.folder.parent
        files = run.files({str(one.row["module"]) for one in todo})
        paths = [path for room in ROOMS for path in sorted((ROOT / "partsolver" / room).glob("*.py"))]
        warm = Warm(work, scratch, import_all([dotted(path) for path in paths]))
        pytest.main([*OPTIONS, f"--basetemp={scratch / 'scratch'}", *files], plugins=[warm])
    finally:
        sys.stdout.flush()
        os._exit(0)


def interval(killed: int, judged: int) -> tuple[float, float]:
    """95 % interval of a share in percent: Wilson's score interval.

    Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference, Journal of the
    American Statistical Association 22 (1927), p. 209: (p + z2/2n +- z sqrt(p(1-p)/n + z2/4n2)) / (1 + z2/n).
    """
    z, n = 1.959964, max(1, judged)
    share, middle = killed / n, killed / n + z * z / (2 * n)
    half = z * math.sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    return tuple(round(100 * (middle + way * half) / (1 + z * z / n), 1) for way in (-1, 1))  # type: ignore[return-value]


def passed(room: str, drawn: Sequence[Drawn], rows: dict[tuple[str, ...], Row], seed: int) -> bool:
    """Whether a room's sample is as it must be; prints its score."""
    outcomes = ["equivalent" if one.excuse else rows[one.key]["outcome"] for one in drawn]
    counts = {word: outcomes.count(word) for word in ("killed", "equivalent", "survived")}
    judged = len(drawn) - counts["equivalent"]
    share = 100 * counts["killed"] / max(1, judged)
    low, high = interval(counts["killed"], judged)
    print(
        f"{room}: {len(drawn)} mutants (seed {seed}), {counts}: {share:.1f} % of {judged} killed "
        f"(95 % interval {low} to {high})",
        flush=True,
    )
    return counts["survived"] == 0 if room in STRICT else share >= LEAST_PERCENT


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the samples; 1 if a mutant survived in rules or standards, or fewer than 90 % were killed elsewhere."""
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument(
        "--room", choices=ROOMS, action="append", help="a folder of partsolver/ (default: all seven)"
    )
    words.add_argument("--module", action="append", default=[], help="only this module of the rooms")
    words.add_argument("--since", help="only lines that were not there at this commit")
    words.add_argument("--count", type=int, default=40, help="mutants per room (default 40)")
    words.add_argument("--seed", type=int, default=19, help="which sample (default 19)")
    words.add_argument("--seconds", type=float, default=20, help="of processor per mutant (default 20)")
    words.add_argument("--breadth", choices=BREADTHS, default="near", help="which tests (default near)")
    words.add_argument("--again", action="store_true", help="try recorded survivors again")
    words.add_argument("--reach", type=Path, default=FOLDER, help="what mutants.reach kept")
    words.add_argument("--out", type=Path, default=Path("/tmp/mutants.jsonl"), help="results, gone on from")
    asked = words.parse_args(arguments)
    report = Report(asked.out)
    drawn = {
        room: draw(room, asked.count, asked.seed, asked.module, asked.since) for room in asked.room or ROOMS
    }
    rooms = {room: mutants for room, mutants in drawn.items() if mutants}
    if not rooms:
        raise SystemExit(
            f"no module of {', '.join(asked.room or ROOMS)} is called {' or '.join(asked.module)}"
        )
    if asked.again:
        report.forget_survivors()
    rows = report.rows()
    by_number = (one for turn in itertools.zip_longest(*rooms.values()) for one in turn)
    todo = [one for one in by_number if one and not one.excuse and one.key not in rows]
    if todo:
        for library in LIBRARIES:
            importlib.import_module(library)
        with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
            tree = Tree(Path(folder) / "program")
            try_all(
                todo, Run(tree, read_reach(asked.reach), read_sources(), report, asked.seconds, asked.breadth)
            )
    rows = report.rows()
    missing = sum(one.key not in rows and not one.excuse for drawn in rooms.values() for one in drawn)
    if missing:
        raise SystemExit(f"{missing} not tried: the warm process ended early, its reason stands above")
    verdicts = [passed(room, drawn, rows, asked.seed) for room, drawn in rooms.items()]
    return 0 if all(verdicts) else 1


if __name__ == "__main__":
    sys.exit(main())
