"""The registry of specs: which catalogue, which wishes, which outcome must come out.

``digest`` guards the generator: when it changes, figures are not comparable any more. ``tiny`` is the number
of parts of the smoke run. Tight and impossible ask for the planted plan's speed (see generate.py) with just
enough, or clearly too little money.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from benchmarks.generate import AS_OF, PLANTED_COST, generate

ROOT = Path(__file__).resolve().parents[1]
SURVEY = ROOT / "catalogs" / "demo-survey.toml"
DEMO = ROOT / "catalogs" / "demo"
# Generated catalogues; safe to delete.
CACHE = ROOT / ".partsolver-cache" / "benchmarks"
PHASES = ("load", "join", "prune", "build", "solve", "explain", "report")

FEASIBLE = {"budget": "230.00"}
TIGHT = {"budget": PLANTED_COST, "min_speedup": "2.3", "min_memory_gb": 16}
IMPOSSIBLE = {"budget": "84.00", "min_speedup": "2.3", "min_memory_gb": 16}

# Digests of the catalogues with seed 1.
D2000, D5000, D20000, D100000 = "1158e903e99c70ba", "3f935fa11bea9ab6", "ef2cf38f10f3b07d", "5a77d552c2627df6"


@dataclass(frozen=True)
class Spec:
    """One benchmark.

    parts: size (None: the demo catalogue); make: arguments of generate(); brief: wishes over the demo
    survey's;
    outcome: the one that must come out; limits: wall time and peak memory against the floor that are asked for;
    stored: the same catalogue from the store that it was added to, not from its tables.
    """

    name: str
    parts: int | None
    brief: Mapping[str, object]
    outcome: str = "optimal"
    make: Mapping[str, int] = field(default_factory=dict)
    digest: str = ""
    tiny: int = 80
    wall_limit: float | None = None
    memory_limit: float | None = None
    stored: bool = False

    def catalog(self, cache: Path, tiny: bool = False) -> Path:
        """The catalogue folder, generated when it is not there. Raises SystemExit when its digest is not the
        stored one."""
        tables = DEMO if self.parts is None else self._generated(cache, tiny)
        if not self.stored:
            return tables
        folder = cache / f"{tables.name}-store"
        if not (folder / "digest").is_file():
            shutil.rmtree(folder, ignore_errors=True)
            # In a process of its own: a child's peak memory begins with its parent's (getrusage(2)).
            filling = f"from benchmarks.specs import fill; fill({str(tables)!r}, {str(folder)!r})"
            subprocess.run([sys.executable, "-c", filling], cwd=ROOT, check=True)
            (folder / "digest").write_text("filled", encoding="utf-8")
        return folder

    def _generated(self, cache: Path, tiny: bool) -> Path:
        parts = self.tiny if tiny or self.parts is None else self.parts
        made = "-".join(str(value) for value in (parts, *self.make.values()))
        folder = cache / f"parts-{made}"
        stamp = folder / "digest"
        if stamp.is_file():
            found = stamp.read_text(encoding="utf-8")
        else:
            # In a process of its own, as above.
            making = f"from benchmarks.specs import made; print(made({str(folder)!r}, {parts}, {dict(self.make)!r}))"
            run = subprocess.run(
                [sys.executable, "-c", making], cwd=ROOT, check=True, text=True, stdout=subprocess.PIPE
            )
            found = run.stdout.strip()
            stamp.write_text(found, encoding="utf-8")
        if not tiny and self.digest and found != self.digest:
            raise SystemExit(
                f"{self.name}: the catalogue's digest is {found}, stored is {self.digest}. The generator"
                f" changed: empty {cache}, check the change, and store the new digest in benchmarks/specs.py"
            )
        return folder

    def options(self) -> list[str]:
        """The brief as options of ``partsolver recommend``."""
        given = []
        for name, value in self.brief.items():
            given += [f"--{name.replace('_', '-')}", str(value)]
        return given


def made(folder: str, parts: int, make: Mapping[str, Any]) -> str:
    """Generate a catalogue; its digest."""
    return generate(Path(folder), parts, **make)


def fill(tables: str, folder: str) -> None:
    """Add a folder of tables to a new store."""
    from partsolver.catalog.adding import add
    from partsolver.catalog.sources import Wishes

    add([Path(tables)], Path(folder), Wishes("EUR", AS_OF))


SPECS: tuple[Spec, ...] = (
    Spec("demo", None, {}, wall_limit=1.2, memory_limit=1.0),
    Spec("demo-store", None, {}, wall_limit=1.2, memory_limit=1.0, stored=True),
    Spec("2000", 2000, FEASIBLE, digest=D2000, wall_limit=1.6, memory_limit=1.1),
    Spec("2000-store", 2000, FEASIBLE, digest=D2000, wall_limit=1.5, memory_limit=1.1, stored=True),
    Spec("2000-tight", 2000, TIGHT, digest=D2000),
    Spec("2000-impossible", 2000, IMPOSSIBLE, "impossible", digest=D2000, wall_limit=2.5),
    Spec(
        "2000-many-extras",
        2000,
        FEASIBLE,
        make={"extras_permille": 300},
        digest="799a69f313f75f17",
        wall_limit=2.5,
    ),
    Spec(
        "2000-many-sellers",
        2000,
        FEASIBLE,
        make={"seller_count": 60, "most_offers": 6},
        digest="30823cd7a20d4f38",
        wall_limit=2.5,
    ),
    Spec("2000-graphics", 2000, FEASIBLE, make={"graphics_cards": 40}, digest="936959f353605cad"),
    Spec("5000", 5000, FEASIBLE, digest=D5000),
    Spec("20000", 20000, FEASIBLE, digest=D20000, wall_limit=3, memory_limit=1.6),
    Spec("20000-store", 20000, FEASIBLE, digest=D20000, wall_limit=2, memory_limit=1.6, stored=True),
    Spec("20000-tight", 20000, TIGHT, digest=D20000),
    Spec("20000-impossible", 20000, IMPOSSIBLE, "impossible", digest=D20000),
    Spec("100000", 100000, FEASIBLE, digest=D100000, wall_limit=8, memory_limit=3),
    Spec("100000-store", 100000, FEASIBLE, digest=D100000, wall_limit=4, memory_limit=3, stored=True),
    Spec("100000-tight", 100000, TIGHT, digest=D100000),
    Spec("100000-impossible", 100000, IMPOSSIBLE, "impossible", digest=D100000),
)


def find(names: list[str]) -> tuple[Spec, ...]:
    """Specs by name; all when none is given. Raises SystemExit for an unknown name."""
    known = {spec.name: spec for spec in SPECS}
    for name in names:
        if name not in known:
            raise SystemExit(f"no such spec: {name}. Known: {', '.join(known)}")
    return tuple(known[name] for name in names) if names else SPECS
