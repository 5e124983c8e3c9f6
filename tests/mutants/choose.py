"""Which tests are asked about a module, in which order."""

from __future__ import annotations

import ast
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, get_args

ROOT = Path(__file__).resolve().parents[2]

# Asked of every module of a room first, and last (sharp and cheap ones before others).
AGREEMENT = "tests/rules/test_agreement.py"
_FIGURES = "tests/standards/test_figures.py"
FIRST = {
    "standards": ["tests/standards/test_typed_tables.py", "tests/standards/test_smbios.py"],
    "performance": [_FIGURES, "tests/performance/test_hand_computed.py"],
    "assembly": [_FIGURES],
    "plan": [_FIGURES],
}
_PLANS = ["tests/test_cases.py", "tests/properties/test_oracle.py"]
LAST = {
    "rules": _PLANS,
    "standards": ["tests/standards"],
    "assembly": ["tests/properties/test_network.py", *_PLANS],
    "performance": ["tests/performance", *_PLANS],
    "plan": ["tests/plan", "tests/test_replacing.py", "tests/test_keeping.py", *_PLANS],
    "search": ["tests/search", "tests/properties/test_lossless.py", *_PLANS],
    "model": ["tests/model", *_PLANS],
}
# They look at the text of the program, at a machine, or for minutes.
NEVER = {
    "test_laws",
    "test_documents",
    "test_mutants",
    "test_browser",
    "test_killed",
    "test_schemas",
    "test_release",
}


def dotted(path: Path) -> str:
    """The name under which a file of the program is imported."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


# Tests that name the module itself; those too that name a module that imports it; and the wide ones of its room.
Breadth = Literal["own", "near", "wide"]
BREADTHS: tuple[Breadth, ...] = get_args(Breadth)


@dataclass(frozen=True)
class Sources:
    """Who imports whom: of every file of the tests and of ``partsolver``, the modules that it names."""

    tests: dict[str, set[str]]
    product: dict[str, set[str]]

    def naming(self, module: str) -> list[str]:
        """Test files that import a module (dotted) or name its rule: its own, those of its room, then by size."""
        room, name = module.split(".")[1], module.rpartition(".")[2]

        def order(path: str) -> tuple[bool, bool, bool, int]:
            return (
                name not in path,
                f"/{room}/" not in path,
                "/properties/" in path,
                os.path.getsize(ROOT / path),
            )

        return sorted((path for path, names in self.tests.items() if module in names), key=order)

    def rounds(self, module: str, breadth: Breadth) -> Iterator[list[str]]:
        """The tests for a module, round by round; no file twice."""
        room = module.split(".")[1]
        users = [user for user, names in sorted(self.product.items()) if module in names and "." in user]
        near = [] if breadth == "own" else [path for user in users for path in self.naming(user)]
        asked: set[str] = set()
        if room == "rules" and (ROOT / AGREEMENT).exists():  # both statements at the edge, of this rule alone
            yield [AGREEMENT, "-k", module.rpartition(".")[2].replace("_", ".", 1)]
        for paths in (
            FIRST.get(room, []),
            self.naming(module),
            near,
            LAST[room] if breadth == "wide" else [],
        ):
            fresh = [path for path in dict.fromkeys(paths) if path not in asked and (ROOT / path).exists()]
            asked.update(fresh)
            if fresh:
                yield fresh


def _named(path: Path, rule_ids: dict[str, str]) -> set[str]:
    """The modules of ``partsolver`` that a file imports, and those of the rules whose id it holds as a word."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            near = ".".join(dotted(path).split(".")[: -node.level]) if node.level else ""
            base = f"{near}.{node.module}" if near else node.module
            names |= {base} | {f"{base}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in rule_ids:
            names.add(rule_ids[node.value])
    return {name for name in names if name.startswith("partsolver.")}


def read_sources() -> Sources:
    """Who imports whom, read off the files."""
    rule_ids = {}
    for path in (ROOT / "partsolver" / "rules").glob("*.py"):
        family, _, rest = path.stem.partition("_")
        for name in (rest, rest.replace("_", "-")):
            rule_ids[f"{family}.{name}"] = dotted(path)
    tests = {
        str(path.relative_to(ROOT)): _named(path, rule_ids)
        for path in sorted((ROOT / "tests").rglob("test_*.py"))
        if path.stem not in NEVER
    }
    product = {dotted(path): _named(path, {}) for path in sorted((ROOT / "partsolver").rglob("*.py"))}
    return Sources(tests, product)
