"""Places of a source file that can be changed, and the changed text: the operators are cosmic-ray's.

One place is changed by several operators (a ``<`` becomes ``<=``, ``>``, ``==`` ...); a sample takes one of them
per place, so that it says more of the file than of one comparison. Left out is what cannot change what the
program does:

- annotations (never evaluated: every module has ``from __future__ import annotations``);
- ``if TYPE_CHECKING`` and ``@overload``;
- ``@lru_cache`` and its size (the same results, later);
- ``==`` against ``is`` and ``!=`` against ``is not`` (the same for None, small integers and words);
- operators that invent names (VariableReplacer, VariableInserter).
"""

from __future__ import annotations

import ast
import contextlib
import hashlib
import itertools
import random
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from operator import itemgetter
from types import MappingProxyType

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

LEFT_OUT = {"VariableReplacer", "VariableInserter", "NoOp"} | {
    f"ReplaceComparisonOperator_{pair}" for pair in ("Eq_Is", "Is_Eq", "NotEq_IsNot", "IsNot_NotEq")
}
OPERATORS = [name for name in sorted(operator_names()) if name.partition("/")[2] not in LEFT_OUT]

SILENT_DECORATORS = {"overload", "lru_cache", "cache"}

# Leaves that no operator changes: most of a file, skipped for speed.
NEVER_CHANGED = {"name", "string", "newline", "endmarker", "fstring_start", "fstring_string", "fstring_end"}
PUNCTUATION = set("()[]{},:.=;")

Position = tuple[int, int]


@dataclass(frozen=True)
class Mutant:
    """One change: ``occurrence`` counts the places of ``operator`` in the file (cosmic-ray's own counting)."""

    operator: str
    occurrence: int
    line: int
    column: int

    def text_of(self, source: str) -> str:
        """The whole changed file."""
        changed = mutate_code(source, get_operator(self.operator)(), self.occurrence)
        assert changed is not None, self
        return changed


def _name(node: ast.AST) -> str | None:
    """Of a name or of what is called by its name."""
    called = node.func if isinstance(node, ast.Call) else node
    return called.id if isinstance(called, ast.Name) else None


def _silent_spans(source: str) -> list[tuple[Position, Position]]:
    """Spans of annotations and of ``if TYPE_CHECKING``: changes there are never run."""
    silent: list[ast.AST] = []
    for node in ast.walk(ast.parse(source)):
        for name in ("annotation", "returns"):
            part = getattr(node, name, None)
            if part is not None:
                silent.append(part)
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            silent.append(node)
        silent += [one for one in getattr(node, "decorator_list", ()) if _name(one) in SILENT_DECORATORS]
    lines = [line.encode() for line in source.splitlines()]

    def place(line: int, byte: int) -> Position:
        return line, len(lines[line - 1][:byte].decode())

    spans = []
    for node in silent:
        at = node.col_offset - (_name(node) in SILENT_DECORATORS)  # type: ignore[attr-defined]
        spans.append((place(node.lineno, at), place(node.end_lineno, node.end_col_offset)))  # type: ignore[attr-defined]
    return spans


def mutants(source: str) -> dict[Position, list[Mutant]]:
    """Every change of a file, by place (line from 1, column from 0)."""
    silent = _silent_spans(source)
    tree = get_ast(source)
    kinds = [(name, get_operator(name)()) for name in OPERATORS]
    counts: dict[str, int] = defaultdict(int)
    found: dict[Position, list[Mutant]] = defaultdict(list)
    for node in ast_nodes(tree):
        if node.type in NEVER_CHANGED or getattr(node, "value", None) in PUNCTUATION:
            continue
        for name, kind in kinds:
            for start, _ in kind.mutation_positions(node):
                mutant = Mutant(name, counts[name], *start)
                counts[name] += 1
                if not any(low <= start < high for low, high in silent):
                    found[start].append(mutant)
    return dict(sorted(found.items()))


def _rank(seed: int, name: str, line: str, column: int, repeats: int) -> str:
    """Where a place stands in the draw: it hangs on its own line only, so an edit elsewhere moves no other."""
    return hashlib.sha256(f"{seed}\0{name}\0{line.strip()}\0{column}\0{repeats}".encode()).hexdigest()


def sample(
    files: dict[str, str], count: int, seed: int, known: Mapping[str, frozenset[str]] = MappingProxyType({})
) -> list[tuple[str, Mutant, str]]:
    """``count`` places drawn evenly from all places of ``files`` (name to text), one change of each, and the changed text.

    The same files, count and seed give the same changes; a larger count adds to those of a smaller one. ``known``:
    lines of a file, without their indents, of which nothing is drawn.
    """
    drawn: list[tuple[str, str, list[Mutant]]] = []
    for name, text in sorted(files.items()):
        lines = text.splitlines()
        seen: dict[tuple[str, int], int] = defaultdict(int)
        for (line, column), changes in mutants(text).items():
            words = lines[line - 1].strip()
            if words not in known.get(name, ()):
                drawn.append((_rank(seed, name, words, column, seen[words, column]), name, changes))
            seen[words, column] += 1
    made = (
        (name, *change)
        for rank, name, changes in sorted(drawn, key=itemgetter(0))
        for change in _one_of(changes, files[name], rank)
    )
    return list(itertools.islice(made, count))


def _one_of(changes: list[Mutant], source: str, rank: str) -> list[tuple[Mutant, str]]:
    """One change of a place that is still a program, with its text; none where none is (``{*one}`` of ``{**one}``)."""
    draw, left = random.Random(rank), list(changes)
    while left:
        mutant = draw.choice(left)
        with contextlib.suppress(SyntaxError):
            changed = mutant.text_of(source)
            ast.parse(changed)
            return [(mutant, changed)]
        left.remove(mutant)
    return []
