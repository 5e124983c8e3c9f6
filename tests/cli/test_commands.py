"""Every command as a user meets it: output, exit codes, refusals, pipes, interruption, and the same bytes
every time."""

from __future__ import annotations

import itertools
import json
import random
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import typer.main
from strategies import minor, shuffled

from partsolver.base.errors import InternalFault
from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run
from partsolver.cli.app import COMMANDS, app
from partsolver.planfile.plan_file import read_plan_file

DEMO = data_folder() / "demo"
SURVEY = data_folder() / "demo-survey.toml"
AMOUNT = re.compile(r"-?\d+\.\d{2}")  # EUR: two decimals (ISO 4217)
PARTS = ["to-t10m", "weald-v8s-46", "ddr4-2x4-2666"]

Ask = Callable[..., tuple[int, str, str]]


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Ask:
    """Run a command line in this process: exit code, standard output, standard error."""

    def call(*arguments: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = run(list(arguments))
        printed = capsys.readouterr()
        assert "Traceback" not in printed.err
        return code, printed.out, printed.err

    return call


@pytest.fixture(scope="module")
def plan_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("plans") / "plan.json"
    assert (
        run(["recommend", "--alternatives", "2", "--out", str(path), "--rank", "1", "--format", "json"]) == 0
    )
    return path


def document(printed: str) -> Any:
    """One JSON document and nothing else."""
    return json.loads(printed)


# -- help --------------------------------------------------------------------------------------------------------------


def commands() -> list[list[str]]:
    found = []
    for name, command in typer.main.get_command(app).commands.items():  # type: ignore[attr-defined]
        found += [[name], *([name, inner] for inner in getattr(command, "commands", ()))]
    return found


def test_the_help_says_of_a_group_what_the_group_says_of_itself() -> None:
    """The program's help loads no command, so it has the sentence of each group of its own."""
    made = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    for name, (_, attribute, said) in COMMANDS.items():
        if attribute == "app":
            assert made[name].help == said


def test_the_commands_of_the_design_are_there() -> None:
    wanted = [
        "recommend",
        "check",
        "why",
        "replan",
        "tradeoff",
        "survey new",
        "survey import",
        "survey questions",
        "catalog new",
        "catalog check",
        "sheet",
        "measure",
        "compare",
    ]
    assert set(wanted) <= {" ".join(command) for command in commands()}


@pytest.mark.parametrize("command", [[], *commands()], ids=" ".join)
def test_help(ask: Ask, command: list[str]) -> None:
    code, out, err = ask(*command, "--help")
    assert code == 0 and err == ""
    assert "Usage: partsolver" in out
    # Every option says what it does.
    for line in out.partition("Options:")[2].splitlines():
        if re.match(r"  --[a-z]", line):
            assert len(line.split("  ")) > 2 or line.strip().endswith(("]", "TEXT")) or len(line) > 20, line


@pytest.mark.parametrize(
    "command",
    [
        ["recommend"],
        ["check"],
        ["why"],
        ["replan"],
        ["tradeoff"],
        ["survey", "questions"],
        ["survey", "check"],
        ["catalog", "check"],
        ["compare"],
    ],
    ids=" ".join,
)
def test_takes_format_json(ask: Ask, command: list[str]) -> None:
    """design.md section 7: these take --format text|json."""
    assert "--format" in ask(*command, "--help")[1]
    code, out, err = ask(*command, "--format", "xml")
    assert code == 2 and out == "" and "--format" in err and "xml" in err


# -- recommend ---------------------------------------------------------------------------------------------------------


def test_recommend_on_the_demo_in_text(ask: Ask) -> None:
    code, out, err = ask("recommend", "--alternatives", "5", "--full")
    assert code == 0
    assert "invented" in err, "the demo says that it is one"
    ranks = [int(m[1]) for m in re.finditer(r"^ ?(\d+)[ =] +\d\.\d\dx", out, re.M)]
    assert ranks == [1, 2, 3, 4, 5], "at least five plans for the demo (issue 2)"
    assert max(len(line) for line in out.splitlines()) <= 80
    for words in (
        "Kept",
        "Cautions",
        "What changes for the owner",
        "Mains voltage",
        "Never open the power supply",
    ):
        assert words in out


def test_recommend_json_has_the_fields_of_the_design(ask: Ask) -> None:
    code, out, _ = ask("recommend", "--format", "json")
    found = document(out)
    assert code == 0
    assert (
        found["schema"] == "partsolver.recommendation/1"
        and found["outcome"] == "optimal"
        and found["currency"] == "EUR"
    )
    assert found["conflict"] is None
    assert {"catalog_digest", "catalog_date", "solver", "limits", "bound"} <= set(found["provenance"])
    assert [plan["rank"] for plan in found["plans"]] == [1, 2, 3, 4, 5]
    for plan in found["plans"]:
        assert {
            "rank",
            "parts",
            "extras",
            "cost",
            "speedup",
            "power",
            "findings",
            "stand_ins",
            "cautions",
            "open_questions",
        } <= set(plan)
        assert {"board", "cpu", "memory", "extras"} <= set(plan["parts"])
        for item in (*plan["parts"]["memory"], *plan["extras"]):
            assert set(item) == {"id", "name", "count"} and item["count"] >= 1 and item["name"]
        lines = plan["cost"]["lines"]
        assert all(
            AMOUNT.fullmatch(amount)
            for amount in (plan["cost"]["total"], *(line["amount"] for line in lines))
        )
        assert sum(minor(line["amount"]) for line in lines) == minor(plan["cost"]["total"]) <= 23000
        assert plan["speedup"]["low"] <= plan["speedup"]["expected"] <= plan["speedup"]["high"]
        assert plan["power"]["continuous_w"] > 0 and plan["power"]["margin_w"] >= 0
        for finding in plan["findings"]:
            assert {"rule", "verdict", "value", "limit", "margin", "unit", "parts"} <= set(finding)
            assert finding["verdict"] in ("fits", "unknown") and not finding["blocks"]
            assert finding["margin"] is None or finding["margin"] >= 0
        for stand_in in plan["stand_ins"]:
            assert AMOUNT.fullmatch(stand_in["difference"])


def test_same_bytes_for_a_second_run_and_for_shuffled_rows(ask: Ask, tmp_path: Path) -> None:
    rng = random.Random(5)
    for path in sorted(DEMO.iterdir()):
        text = path.read_text(encoding="utf-8")
        (tmp_path / path.name).write_text(
            shuffled(text, rng) if path.suffix == ".csv" else text, encoding="utf-8", newline=""
        )
    assert (tmp_path / "boards.csv").read_text(encoding="utf-8").splitlines()[2] != (
        DEMO / "boards.csv"
    ).read_text(encoding="utf-8").splitlines()[1]
    first = ask("recommend", str(SURVEY), "--catalog", str(DEMO), "--format", "json")
    assert first[0] == 0
    assert ask("recommend", str(SURVEY), "--catalog", str(DEMO), "--format", "json")[1] == first[1]
    assert ask("recommend", str(SURVEY), "--catalog", str(tmp_path), "--format", "json")[1] == first[1]


@pytest.mark.parametrize("format", ["text", "json"])
def test_a_proved_no(ask: Ask, format: str) -> None:
    code, out, _ = ask("recommend", "--budget", "10", "--min-speedup", "2", "--format", format)
    assert code == 1
    if format == "json":
        found = document(out)
        assert found["outcome"] == "impossible" and found["plans"] == [] and found["provenance"]["proven"]
        left = [(c["boards"] * c["cpus"] * c["memory"]) for c in found["conflict"]["counts"]]
        assert left and left == sorted(left), "most restrictive first"
        assert "buying.budget" in {c["rule"] for c in found["conflict"]["counts"]}
    else:
        assert "impossible" in out.lower() or "no plan" in out.lower()


def test_not_decided_is_no_no(ask: Ask) -> None:
    code, out, _ = ask("recommend", "--limit", "0.000001", "--format", "json")
    assert code == 3
    found = document(out)
    assert found["outcome"] == "undecided" and found["plans"] == [] and not found["provenance"]["proven"]
    assert found["provenance"]["proof"]["by"] == []


def test_why_that_is_not_decided_is_no_fault(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    """The limit met while a conflict is sought: exit code 3 and words that claim nothing."""
    from partsolver.base.errors import NotDecided
    from partsolver.solve.conflict import Tester

    def limit(*_: Any) -> Any:
        raise NotDecided("whether some of the rules leave a plan")

    monkeypatch.setattr(Tester, "_find", limit)
    code, out, err = ask("why", "--budget", "10", "--min-speedup", "2")
    assert code == 3 and "not decided" in out and "proved: neither" in out and "fault" not in err


@pytest.mark.parametrize(
    ("arguments", "option", "told"),
    [
        (["recommend", "--budget", "abc"], "--budget", "found 'abc'); expected an amount such as 129.90"),
        (["recommend", "--budget", "-5"], "--budget", "must not be negative"),
        (["recommend", "--resolution", "fine"], "--resolution", "found 'fine'"),
        (["recommend", "--min-speedup", "x2"], "--min-speedup", "found 'x2'"),
        (["recommend", "--use", "offic"], "--use", "Did you mean 'office'?"),
        (["recommend", "--goal", "fast"], "--goal", "expected speed or cost"),
        (["recommend", "--alternatives", "0"], "--alternatives", "expected 1 or more"),
        (["recommend", "--alternatives", "many"], "--alternatives", "found 'many'"),
        (["recommend", "--min-memory-gb", "-1"], "--min-memory-gb", "found '-1'"),
        (["recommend", "--need-by", "31.2.2026"], "--need-by", "a day that exists"),
        (["recommend", "--today", "2026-02-30"], "--today", "found '2026-02-30'"),
        (["recommend", "--replace", "board"], "--replace", "psu, case, cooler, drive or graphics"),
        (["recommend", "--with", "to-t10n"], "--with", "Did you mean 'to-t10m'?"),
        (["recommend", "--without", "to-t10n"], "--without", "Did you mean 'to-t10m'?"),
        (["recommend", "--with", "to-t10m", "--without", "to-t10m"], "--with / --without", "found 'to-t10m'"),
        (["recommend", "--os", "desktop-2014"], "--os", "Did you mean"),
        (["recommend", "--limit", "0"], "--limit", "seconds above 0"),
        (["recommend", "--limit", "nan"], "--limit", "seconds above 0"),
        (["recommend", "--show", "9"], "--show", "expected one of 1, 2, 3, 5, or all"),
        (["recommend", "--show", "²"], "--show", "found '²'"),
        (["recommend", "--rank", "0"], "--rank", "found '0'"),
        (["recommend", "--alternatives", "1", "--rank", "2"], "--rank", "expected one of 1"),
        (["recommend", "--catalog", "nowhere"], "nowhere", "no such catalogue folder"),
        (["recommend", "nowhere.toml"], "nowhere.toml", "Check the spelling and the folder"),
        (["recommend", "--budgt", "5"], "--budgt", "--budget"),
        (
            ["recommend", "--alternatives", "1", "--out", "/no/such/folder/plan.json"],
            "/no/such/folder/plan.json",
            "Choose a folder that exists",
        ),
        (["check"], "ID", "is missing"),
        (["check", ""], "ID: no such part (found '')", "an id of the catalogue"),
        (
            ["tradeoff", "--picture", "/no/such/folder/x.svg"],
            "--picture",
            "there is no folder /no/such/folder",
        ),
        (["check", "to-t10n"], "to-t10n", "Did you mean 'to-t10m'?"),
        (["check", "ddr4-2x4-2666*0"], "ddr4-2x4-2666*0", "an id such as kit-a*2"),
        (["check", "ddr4-2x4-2666*²"], "ddr4-2x4-2666*²", "an id such as kit-a*2"),
        (["check", "to-t10m", "br-t10m"], "br-t10m", "a second board; the first is to-t10m"),
        (["why", "to-t10n"], "to-t10n", "Did you mean 'to-t10m'?"),
        (["why", "to-t10m", "br-t10m"], "why", "one part at a time"),
        (["tradeoff", "--from", "much"], "--from", "found 'much'"),
        (["tradeoff", "--to", "much"], "--to", "found 'much'"),
        (["tradeoff", "--from", "200", "--to", "100"], "--from", "between 0 and the amount of --to"),
        (["tradeoff", "--picture", "points.gif"], "--picture", ".svg or .png"),
        (["replan", "nowhere.json"], "nowhere.json", "no such file"),
        (
            ["catalog", "check", "--strict", "rate-of-standard"],
            "--strict",
            "Did you mean 'rate-off-standard'?",
        ),
        (["catalog", "new"], "DIR", "is missing"),
        (["nonesuch"], "nonesuch", "partsolver --help"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_refused(ask: Ask, arguments: list[str], option: str, told: str) -> None:
    """Exit code 2, nothing on standard output, and what, which value, what to do."""
    code, out, err = ask(*arguments)
    assert (code, out) == (2, "")
    last = err.strip().splitlines()[-1]
    assert last.startswith("partsolver: ") and option in last and told in last


# -- plan files and replan ---------------------------------------------------------------------------------------------


def test_replan_with_nothing_changed_is_the_same_plan(ask: Ask, plan_file: Path) -> None:
    code, out, _ = ask("replan", str(plan_file), "--format", "json")
    found = document(out)
    stored = json.loads(plan_file.read_text(encoding="utf-8"))["plans"][0]
    assert code == 0
    assert found["changes"] == [] and found["old_still_stands"] and not found["catalog_changed"]
    assert found["cost_difference"] == "0.00"
    for field in ("parts", "cost", "speedup", "power", "findings"):
        assert found["new"][field] == found["old"][field] == stored[field]


def test_replan_after_a_sell_out(ask: Ask, plan_file: Path, tmp_path: Path) -> None:
    gone = json.loads(plan_file.read_text(encoding="utf-8"))["plans"][0]["parts"]["board"]
    again = tmp_path / "again.json"
    code, out, _ = ask("replan", str(plan_file), "--gone", gone, "--out", str(again), "--format", "json")
    found = document(out)
    assert code == 0 and not found["old_still_stands"]
    assert found["new"]["parts"]["board"] != gone and "board" in {c["slot"] for c in found["changes"]}
    # The new file keeps the wish: solving it again brings the sold-out board not back.
    assert document(ask("replan", str(again), "--format", "json")[1])["new"]["parts"] == found["new"]["parts"]


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--gone", "to-t10n"], "Did you mean 'to-t10m'?"),
        (["--price", "to-t10m"], "ID=AMOUNT, such as kit-a=19.90"),
        (["--price", "to-t10m=much"], "found 'much'"),
        (["--price", "to-t10m=-1"], "must not be negative"),
        (["--gone", "to-t10m", "--ordered", "to-t10m"], "both gone and ordered"),
        (["--budget", "much"], "found 'much'"),
        (["--need-by", "soon"], "a date such as 2026-12-04"),
    ],
)
def test_replan_refuses(ask: Ask, plan_file: Path, options: list[str], told: str) -> None:
    code, out, err = ask("replan", str(plan_file), *options)
    assert (code, out) == (2, "") and told in err


def _paths(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Places in a document, not too deep."""
    items = (
        value.items() if isinstance(value, dict) else enumerate(value[:1]) if isinstance(value, list) else ()
    )
    found = [path] if path else []
    return found + [p for key, child in items if len(path) < 4 for p in _paths(child, (*path, key))]


def _set(value: Any, path: tuple[Any, ...], new: Any) -> Any:
    """The document with one place changed (or without it, when ``new`` is ...)."""
    copy = json.loads(json.dumps(value))
    here = copy
    for key in path[:-1]:
        here = here[key]
    if new is ...:
        del here[path[-1]]
    else:
        here[path[-1]] = new
    return copy


def test_damaged_plan_files_are_refused_or_read(plan_file: Path, tmp_path: Path, ask: Ask) -> None:
    """Any place of the file gone or of another kind: read all the same, or refused by name. Nothing else."""
    stored = json.loads(plan_file.read_text(encoding="utf-8"))
    needed = [
        p
        for p in _paths(stored)
        if p[0] in ("schema", "chosen", "brief", "source")
        or p[:3] == ("plans", 0, "rank")
        or p[:3] == ("plans", 0, "parts")
        or len(p) < 3
    ]
    damages = [(path, new) for path in needed for new in (..., None, "x", -1, [], {}, [{}])]
    path = tmp_path / "damaged.json"
    refused = 0
    for place, new in random.Random(7).sample(damages, 60):
        path.write_text(json.dumps(_set(stored, place, new)), encoding="utf-8")
        try:
            read_plan_file(path)
        except Exception as error:
            assert type(error).__name__ == "InputRefused", (place, new, repr(error))
            assert str(path) in str(error) or place[0] == "brief", (place, new, str(error))
            refused += 1
    assert refused > 20
    for text in ("", "[]", "{}", "null", '{"schema": "partsolver.recommendation/1"}', "[" * 100_000):
        path.write_text(text, encoding="utf-8")
        code, out, err = ask("replan", str(path))
        assert (code, out) == (2, "") and str(path) in err


# -- check, why, tradeoff ----------------------------------------------------------------------------------------------


def test_check_of_parts_that_fit(ask: Ask) -> None:
    code, out, _ = ask("check", *PARTS, "--budget", "300", "--format", "json")
    found = document(out)
    assert code == 0 and found["fits"] and found["asked"] == PARTS
    assert {f["verdict"] for f in found["findings"]} <= {"fits", "unknown"}
    assert ask("check", *PARTS, "--budget", "300")[0] == 0


@pytest.mark.parametrize(
    ("parts", "options", "rule"),
    [
        (["to-t10m"], [], "platform.socket"),  # the present processor does not go into another socket
        (
            ["to-t10m", "weald-v8s-46"],
            [],
            "memory.generation",
        ),  # DDR3 modules do not serve a DDR4 board (common practice)
        (PARTS, ["--budget", "100"], "buying.budget"),
        (PARTS, ["--min-memory-gb", "64"], "buying.minimums"),
        (PARTS, ["--without", "to-t10m"], "buying.excluded"),
        (PARTS, ["--need-by", "2026-11-20"], "buying.arrival"),
    ],
)
def test_check_of_parts_that_do_not_fit(ask: Ask, parts: list[str], options: list[str], rule: str) -> None:
    code, out, _ = ask("check", *parts, *options, "--format", "json")
    found = document(out)
    assert code == 1 and not found["fits"]
    assert rule in {f["rule"] for f in found["findings"] if f["verdict"] == "fails"}
    assert ask("check", *parts, *options)[0] == 1


def test_why_with_a_possible_and_an_impossible_budget(ask: Ask) -> None:
    wishes = ["--min-speedup", "2", "--format", "json"]
    code, out, _ = ask("why", "--budget", "230", *wishes)
    assert code == 0 and document(out)["possible"] and document(out)["plan"]["rank"] == 1
    code, out, _ = ask("why", "--budget", "20", *wishes)
    found = document(out)
    assert code == 1 and not found["possible"] and found["plan"] is None
    assert {"buying.budget", "buying.minimums"} <= {reason["rule"] for reason in found["conflict"]}
    budget = next(way["value"] for way in found["ways_out"] if way["kind"] == "budget")
    # The least budget is exact to the minor unit: it works, one cent less does not.
    assert ask("recommend", "--budget", budget, "--alternatives", "1", *wishes)[0] == 0
    less = minor(budget) - 1
    assert (
        ask("recommend", "--budget", f"{less // 100}.{less % 100:02d}", "--alternatives", "1", *wishes)[0]
        == 1
    )


def test_why_of_parts(ask: Ask) -> None:
    taken = document(ask("recommend", "--alternatives", "1", "--format", "json")[1])["plans"][0]["parts"][
        "cpu"
    ]
    code, out, _ = ask("why", taken, "--format", "json")
    assert code == 0 and document(out)["verdict"] == "taken"
    code, out, _ = ask("why", "to-k10m", "--format", "json")
    assert (code == 0) == (document(out)["verdict"] in ("taken", "worse", "not-needed"))
    assert document(out)["part"] == "to-k10m"


def test_tradeoff_rises_in_cost_and_speed(ask: Ask, tmp_path: Path) -> None:
    picture = tmp_path / "points.svg"
    code, out, err = ask(
        "tradeoff", "--to", "230", "--resolution", "5", "--picture", str(picture), "--format", "json"
    )
    found = document(out)
    assert code == 0 and found["proven"] and len(found["points"]) >= 3
    costs = [minor(p["cost"]) for p in found["points"]]
    times = [p["time_ppm"] for p in found["points"]]
    assert costs == sorted(set(costs)) and times == sorted(set(times), reverse=True)
    assert costs[0] == 0, "buy nothing is the first point"
    assert costs[-1] <= 23000
    assert all(before >= 1.05 * after for before, after in itertools.pairwise(times)), (
        "steps of the resolution"
    )
    assert picture.read_text(encoding="utf-8").lstrip().startswith("<?xml") and str(picture) in err
    within = document(
        ask(
            "tradeoff",
            "--from",
            found["points"][1]["cost"],
            "--to",
            "230",
            "--resolution",
            "5",
            "--format",
            "json",
        )[1]
    )
    assert next(p["cost"] for p in within["points"]) == found["points"][1]["cost"]


# -- pipes, interruption, bugs -----------------------------------------------------------------------------------------


def test_a_closed_pipe_is_no_error() -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "partsolver", "catalog", "check"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=Path(__file__).resolve().parents[2],
    )
    assert process.stdout is not None and process.stderr is not None
    process.stdout.close()
    err = process.stderr.read().decode()
    assert process.wait(timeout=60) == 0
    assert "Traceback" not in err and "Exception ignored" not in err and "Broken" not in err


@pytest.mark.parametrize(
    ("raised", "code", "told"),
    [
        (KeyboardInterrupt(), 130, "interrupted"),
        (
            InternalFault("cost 1 and 2 differ"),
            4,
            "internal fault, the result is not shown: cost 1 and 2 differ",
        ),
        (ZeroDivisionError("a bug"), 4, "internal fault, the result is not shown: ZeroDivisionError: a bug"),
        (RecursionError(), 4, "nested too deeply"),
    ],
    ids=lambda value: type(value).__name__,
)
def test_interruption_and_bugs(
    ask: Ask, monkeypatch: pytest.MonkeyPatch, raised: BaseException, code: int, told: str, tmp_path: Path
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise raised

    monkeypatch.setattr("partsolver.solve.answer.answer", broken)
    out_file = tmp_path / "plan.json"
    found, out, err = ask("recommend", "--format", "json", "--out", str(out_file))
    assert (found, out) == (code, "") and told in err
    assert list(tmp_path.iterdir()) == [], "nothing half-written"


def test_a_plan_that_contradicts_the_plain_rules_is_not_shown(
    ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The model and the plain statement are compared for every plan: a wrong cost of the model stops the
    program."""
    from partsolver.solve import agreement as module

    real = module.complete

    def wrong(*arguments: Any, **names: Any) -> Any:
        from dataclasses import replace

        draft = real(*arguments, **names)
        return None if draft is None else replace(draft, cost=draft.cost + 1)

    monkeypatch.setattr(module, "complete", wrong)
    code, out, err = ask("recommend", "--alternatives", "1")
    assert (code, out) == (4, "") and "differ in cost" in err
