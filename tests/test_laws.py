"""The laws of the code base, read off its syntax trees: who may import what, sizes, shapes of rules, declared
libraries."""

from __future__ import annotations

import ast
import graphlib
import importlib
import inspect
import re
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, fields
from importlib.metadata import packages_distributions
from pathlib import Path
from types import ModuleType
from typing import cast, get_args

import pytest

import partsolver
from partsolver.catalog.dictionary import columns, reader
from partsolver.catalog.records import TABLES
from partsolver.problem.candidates import SLOTS
from partsolver.report.words.record import RuleWords
from partsolver.rules import MODULES, all_rules
from partsolver.rules.base import Nature, needs_nothing
from partsolver.survey.load import RECORDS
from partsolver.survey.model import Survey

all_rules()  # gives the modules of rules their default methods, whichever test runs first
ROOT = Path(__file__).resolve().parents[1]
SOURCES = sorted((ROOT / "partsolver").rglob("*.py"))
EVERYTHING = sorted(
    p for top in ("partsolver", "tests", "benchmarks", "catalogs") for p in (ROOT / top).rglob("*.py")
)
RULE_FILES = sorted(
    p.stem for p in (ROOT / "partsolver/rules").glob("*.py") if p.stem not in ("__init__", "base")
)
MOST_LINES = 400
DISTRIBUTIONS = packages_distributions()  # slow: asked once


@dataclass(frozen=True)
class Import:
    """One imported module: where, in which function (outermost), and whether only for the type checker."""

    file: str
    line: int
    module: str
    function: str | None
    typing_only: bool

    @property
    def top(self) -> str:
        return self.module.partition(".")[0]

    def __str__(self) -> str:
        return f"{self.file}:{self.line} imports {self.module}"


def imports_of(path: Path) -> Iterator[Import]:
    name = path.relative_to(ROOT).as_posix()
    package = path.relative_to(ROOT).with_suffix("").parts[:-1]

    def walk(node: ast.AST, function: str | None, typing_only: bool) -> Iterator[Import]:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            function = function or node.name
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(name, node.lineno, alias.name, function, typing_only)
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            module = ".".join(part for part in (base, node.module) if part)
            yield Import(name, node.lineno, module, function, typing_only)
            # `from partsolver import cli` imports a module of that name.
            for alias in node.names:
                if (ROOT / Path(*module.split("."), alias.name)).is_dir() or (
                    ROOT / Path(*module.split("."), f"{alias.name}.py")
                ).is_file():
                    yield Import(name, node.lineno, f"{module}.{alias.name}", function, typing_only)
        for child in ast.iter_child_nodes(node):
            guarded = (
                isinstance(node, ast.If)
                and ast.unparse(node.test).endswith("TYPE_CHECKING")
                and child in node.body
            )
            yield from walk(child, function, typing_only or guarded)

    return walk(ast.parse(path.read_text(encoding="utf-8")), None, False)


IMPORTS = [found for path in SOURCES for found in imports_of(path)]


def outside(*allowed: str) -> set[str]:
    return {
        found.file
        for found in IMPORTS
        if not found.file.startswith(tuple(f"partsolver/{a}" for a in allowed))
    }


def test_the_reader_of_imports_sees_what_it_must() -> None:
    """The laws below mean nothing if the walk misses imports in functions or by `from package import
    module`."""
    assert any(i.top == "ortools" and i.file.startswith("partsolver/model/") for i in IMPORTS)
    assert any(i.top == "typer" and i.function == "run" for i in IMPORTS)
    assert any(i.module == "partsolver.cli.options" for i in IMPORTS)
    assert any(i.typing_only for i in IMPORTS)
    assert not any(
        i.typing_only and i.module == "partsolver.plan.findings" and i.file.endswith("rules/base.py")
        for i in IMPORTS
    )


@pytest.mark.parametrize(
    ("library", "allowed"),
    [
        ("typer", ("cli/",)),
        ("click", ()),
        ("jinja2", ("report/",)),
        ("matplotlib", ("report/",)),
        ("pandas", ("catalog/", "plan/outcome.py")),
        ("starlette", ("desk/",)),
        ("uvicorn", ("desk/",)),
        ("segno", ("desk/",)),
    ],
)
def test_library_only_where_it_belongs(library: str, allowed: tuple[str, ...]) -> None:
    bad = [str(i) for i in IMPORTS if i.top == library and (not allowed or i.file in outside(*allowed))]
    assert not bad


def test_the_solver_only_in_model_and_in_post() -> None:
    bad = []
    rooms = ("partsolver/model/", "partsolver/solve/fleet/")
    for found in (i for i in IMPORTS if i.top == "ortools" and not i.file.startswith(rooms)):
        in_rules = found.file.startswith("partsolver/rules/")
        if not in_rules or not (found.function == "post" or found.typing_only):
            bad.append(str(found))
    assert not bad


def test_the_model_takes_the_solver_from_one_place() -> None:
    """Who imports it elsewhere loads pandas with it."""
    found = {
        i.file
        for i in IMPORTS
        if i.module.startswith("ortools.sat") and i.file.startswith("partsolver/model/")
    }
    assert found == {"partsolver/model/cpsat.py"}


@pytest.mark.parametrize("path", sorted((ROOT / "tests").glob("oracle*.py")), ids=lambda path: path.stem)
def test_the_oracle_takes_only_records_and_the_join(path: Path) -> None:
    """It is a second statement: no rule, bound, law or figure of the product stands in it."""
    records = {
        "problem.candidates",
        "problem.problem",
        "problem.join",
        "catalog.records",
        "catalog.sockets",
        "survey.model",
        "wishes.brief",
    }
    taken = {i.module for i in imports_of(path) if i.module.startswith("partsolver")}
    assert {".".join(name.split(".")[1:3]) for name in taken} <= records


# Who opens files without the reader of base/textfile.py, and why that never waits for what does not come.
OPENS_FILES = {
    "base/textfile.py": "the reader and writer",
    "catalog/dictionary.py": "the program's own table",
    "catalog/store/reader.py": "the program's own words and modules",
    "cli/__init__.py": "the null device and the standard streams",
    "cli/completion.py": "names for a shell, of the catalogue's own tables; any fault means no names",
    "measure/conditions.py": "the kernel's files",
    "measure/launch.py": "the program's own libraries, and what the kernel says of them",
    "measure/storage.py": "a file that it has made",
    "survey/collect.py": "the kernel's files",
}


def test_what_a_person_names_is_read_by_the_reader_that_refuses_pipes_and_endless_files() -> None:
    opening = set()
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            called = ast.unparse(node.func)
            plain = called in ("open", "os.open", "io.open") or called.endswith(".read_bytes")
            text = called.endswith(".read_text") and not called.startswith(("textfile.", "resources."))
            text = text or (called.endswith(".open") and bool(node.args or node.keywords))
            text = text and not called.startswith("webbrowser.")
            if (plain or text) and called != "textfile.read_bytes" and "resources.files" not in called:
                opening.add(path.relative_to(ROOT / "partsolver").as_posix())
    assert opening == OPENS_FILES.keys()


def test_nothing_imports_the_command_line() -> None:
    allowed = ("partsolver/cli/", "partsolver/__main__.py")
    assert not [
        str(i) for i in IMPORTS if i.module.startswith("partsolver.cli") and not i.file.startswith(allowed)
    ]


def test_nothing_imports_the_desk_but_its_command() -> None:
    """The page's libraries are an extra: who imports it elsewhere breaks every command without them."""
    users = {i.file for i in IMPORTS if i.module.startswith("partsolver.desk") and "/desk/" not in i.file}
    assert users == {"partsolver/cli/desk.py"}
    assert all(
        i.function for i in IMPORTS if i.file == "partsolver/cli/desk.py" and "partsolver.desk" in i.module
    )


@pytest.mark.parametrize("room", ["standards", "base"])
def test_the_foundations_import_nothing_of_ours(room: str) -> None:
    inside = [i for i in IMPORTS if i.file.startswith(f"partsolver/{room}/")]
    assert len(inside) > 10
    assert not [
        str(i) for i in inside if i.top == "partsolver" and not i.module.startswith(f"partsolver.{room}")
    ]


def test_no_module_of_the_survey_imports_itself_through_others() -> None:
    """Modules that need each other cannot be understood, tested or moved alone; imports inside functions
    count (they only hide the circle)."""
    needs: dict[str, set[str]] = {}
    for path in SOURCES:
        module = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        if module.startswith("partsolver.survey"):
            needs[module] = {i.module for i in imports_of(path) if i.module != module}
    order = graphlib.TopologicalSorter({m: found & needs.keys() for m, found in needs.items()})
    assert list(order.static_order())  # raises CycleError with the circle


def test_the_top_level_holds_rooms_only() -> None:
    """A public name that equals a submodule is overwritten by it at the first import of that module."""
    package = ROOT / "partsolver"
    assert sorted(p.name for p in package.glob("*.py")) == ["__init__.py", "__main__.py"]
    rooms = {p.name for p in package.iterdir() if p.is_dir()}
    assert not rooms & set(partsolver.__all__)
    assert all(
        (p / "__init__.py").is_file() for p in package.rglob("*") if p.is_dir() and list(p.glob("*.py"))
    )


def test_the_core_reads_no_clock_environment_or_network() -> None:
    """design.md section 3: the core has no file, clock, environment, network or print in it."""
    core = (
        "assembly/",
        "explain/",
        "model/",
        "performance/",
        "plan/",
        "problem/",
        "rules/",
        "search/",
        "solve/",
        "standards/",
        "wishes/",
    )
    bad = []
    for path in SOURCES:
        name = path.relative_to(ROOT / "partsolver").as_posix()
        if not name.startswith(core):
            continue
        bad += [
            str(i)
            for i in imports_of(path)
            if i.top in ("os", "socket", "urllib", "http", "time", "requests", "subprocess", "pathlib")
        ]
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) in (
                "print",
                "open",
                "input",
                "datetime.date.today",
                "datetime.datetime.now",
            ):
                bad.append(f"{name}:{node.lineno} calls {ast.unparse(node.func)}")
    assert not bad


def test_no_module_is_too_long() -> None:
    long = {
        p.relative_to(ROOT).as_posix(): n
        for p in SOURCES
        if (n := len(p.read_text(encoding="utf-8").splitlines())) > MOST_LINES
    }
    assert not long


def test_every_import_stands_in_pyproject() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    groups = {"run": project["dependencies"], **project["optional-dependencies"]}
    declared = {
        group: {re.split(r"[\[<>=!~; ]", text)[0].lower() for text in listed}
        for group, listed in groups.items()
    }
    local = (
        {p.stem for p in EVERYTHING}
        | {p.parent.name for p in EVERYTHING}
        | {"partsolver", "tests", "benchmarks", "catalogs"}
    )
    bad = []
    for path in EVERYTHING:
        allowed = (
            declared["run"] | (declared["desk"] if "desk" in path.parts else set())
            if path.is_relative_to(ROOT / "partsolver")
            else declared["run"] | declared["test"]
        )
        # What a command, or a file of tests, needs that is an extra of its own name.
        stem = path.stem.removeprefix("test_")
        allowed = allowed | declared.get(stem, set()) | declared.get(path.parent.name, set())
        for found in imports_of(path):
            if found.top in sys.stdlib_module_names or found.top in local:
                continue
            names = {name.lower().replace("_", "-") for name in DISTRIBUTIONS.get(found.top, [found.top])}
            if not names & allowed:
                there = found.top in DISTRIBUTIONS
                bad.append(
                    f"{found}, {'which is not declared' if there else 'of no package that is installed'}"
                )
    assert not bad


def test_every_declared_library_is_used() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    used = {name.lower().replace("_", "-") for i in IMPORTS for name in DISTRIBUTIONS.get(i.top, [i.top])}
    # pandas stands on numpy; pandas itself is the form in which a catalogue table is handed out.
    assert {re.split(r"[\[<>=!~; ]", d)[0].lower() for d in project["dependencies"]} <= used


# -- rules -------------------------------------------------------------------------------------------------------------


def test_every_rule_file_is_registered() -> None:
    assert sorted(MODULES) == RULE_FILES
    assert len(set(MODULES)) == len(MODULES)


@pytest.mark.parametrize("name", RULE_FILES)
def test_rule_module_has_the_shape(name: str) -> None:
    rule = importlib.import_module(f"partsolver.rules.{name}")
    family, _, rest = name.partition("_")
    assert rule.ID.replace("-", "_") == f"{family}.{rest}"
    assert rule.STATEMENT.endswith(".") and "\n" not in rule.STATEMENT and len(rule.STATEMENT) > 15
    assert len(rule.SOURCE) > 5
    assert rule.NATURE in get_args(Nature)
    assert set(rule.SLOTS) <= set(SLOTS) and len(set(rule.SLOTS)) == len(rule.SLOTS)
    assert set(rule.SURVEY) <= set(Survey.model_fields)
    # A rule is asked through modules, so that arguments are found by place.
    shapes = {
        "admits": ["draft", "problem"],
        "post": ["model", "picks", "problem", "on"],
        "needs": ["parts", "problem"],
    }
    for function, expected in shapes.items():
        if function != "needs" or rule.needs is not needs_nothing:
            assert list(inspect.signature(getattr(rule, function)).parameters) == expected
    assert rule.__doc__ and rule.__doc__.strip()


@pytest.mark.parametrize("name", RULE_FILES)
def test_rule_has_words(name: str) -> None:
    rule = importlib.import_module(f"partsolver.rules.{name}")
    words = importlib.import_module(f"partsolver.report.words.{name.partition('_')[0]}").WORDS.get(rule.ID)
    assert isinstance(words, RuleWords)
    assert 1 <= len(words.title.split()) <= 5 and not words.title.endswith(".")
    if rule.needs is not needs_nothing:
        assert words.need is not None, "something is bought for this rule, but nothing says why"


def test_rule_ids_are_unique() -> None:
    ids = [rule.ID for rule in all_rules()]
    assert len(set(ids)) == len(ids)


# Where the same words are something else: ids of steps, questions of the interview, paths of the survey.
OTHER_IDS = (
    "sheet/steps",
    "sheet/suspects.py",
    "report/words/steps",
    "report/words/interview",
    "survey/",
    "explain/answers.py",
    "explain/favourable.py",
)


def test_nobody_else_names_a_rule_as_a_string() -> None:
    """A rule is named by its module (``power_total.ID``): a misspelt one is then an error, not a silence."""
    ids = {rule.ID for rule in all_rules()}
    bad = []
    for path in SOURCES:
        name = path.relative_to(ROOT / "partsolver").as_posix()
        if name.startswith(("rules/", *OTHER_IDS)):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and (node.value in ids or node.value in ("buying.", "power.")):
                bad.append(f"{name}:{node.lineno} {node.value}")
    assert not bad


def test_every_rule_says_what_it_judges() -> None:
    assert {rule.KIND for rule in all_rules()} == {"parts", "buying"}
    assert all((rule.KIND == "buying") == rule.ID.startswith("buying.") for rule in all_rules())
    assert all(set(rule.SUMS) <= {"time", "power", "cost"} for rule in all_rules())


def _is_sentence(text: str) -> bool:
    return " " in text.strip() and text.rstrip().endswith((".", "!", "?"))


@pytest.mark.parametrize("name", RULE_FILES)
def test_rule_holds_no_sentence(name: str) -> None:
    """Sentences stand in report/ only: here in docstrings, STATEMENT and SOURCE, never among facts."""
    tree = ast.parse((ROOT / f"partsolver/rules/{name}.py").read_text(encoding="utf-8"))
    docstrings = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    allowed = {
        id(child)
        for node in tree.body
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) in ("STATEMENT", "SOURCE")
        for child in ast.walk(node.value)
    }
    found = [
        f"{node.lineno}: {node.value}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in docstrings | allowed
        and _is_sentence(node.value)
    ]
    assert not found


# -- records and the column dictionary ---------------------------------------------------------------------------------


@pytest.mark.parametrize("table", list(TABLES))
def test_record_fields_are_the_columns(table: str) -> None:
    assert list(columns()[table]) == [f.name for f in fields(TABLES[table])]


def test_dictionary_describes_exactly_the_tables() -> None:
    assert list(columns()) == list(TABLES)
    described = [column for table in columns().values() for column in table.values()]
    assert all(column.meaning and column.expected for column in described)
    # A required cell has nothing to assume; what is assumed must be readable by its own column. Of a part it
    # is the least that it may be able to do.
    assert not [c for c in described if c.required and c.assumed]
    assumed = [column for column in described if column.assumed]
    assert {column.table for column in assumed} == {"extras", "sellers", "bundles"}
    for column in assumed:
        reader(column)(column.assumed)


@pytest.mark.parametrize("table", list(TABLES))
def test_units_stand_in_the_names(table: str) -> None:
    """Quantities carry their unit in the name (columns of points and days say so in other words)."""
    endings = {
        "mm": "_mm",
        "MiB": "_mib",
        "MT/s": "_mts",
        "W": "_w",
        "mA": "_ma",
        "mW": "_mw",
        "MHz": "_mhz",
        "mV": "_mv",
        "Mbit": "_mbit",
        "g": "_g",
        "kHz": "_khz",
        "MB/s": "_mbs",
        "GB": "_gb",
        "%": "_percent",
        "0.1 Gb/s": "_gbps10",
        "d": "_days",
        "points": "_score",
    }
    for name, column in columns()[table].items():
        if column.unit:
            assert name.endswith(endings[column.unit]), name
        assert column.unit or not name.endswith(tuple(set(endings.values()) - {"_score"})), (
            f"{name} lacks its unit"
        )


def test_survey_uses_the_same_columns() -> None:
    for record, table, part_id in RECORDS.values():
        assert TABLES[table] is record and part_id.startswith("kept-")


def test_a_rule_that_refuses_nothing_says_so() -> None:
    """``REFUSES`` is False just where nothing is posted and nothing needed: no search asks such a rule."""
    for rule in (rule for rule in all_rules() if rule.KIND == "parts"):
        tree = ast.parse(Path(cast(ModuleType, rule).__file__ or "").read_text(encoding="utf-8"))
        (post,) = (n for n in tree.body if isinstance(n, ast.FunctionDef) and n.name == "post")
        body = [n for n in post.body if not (isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant))]
        says_only = rule.needs is needs_nothing and not body
        assert rule.REFUSES is not says_only, rule.ID
