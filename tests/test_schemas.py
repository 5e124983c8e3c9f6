"""Every JSON document is of the shape that its shipped JSON Schema says; validated by jsonschema (an
implementation of JSON Schema draft 2020-12 that is not ours)."""

from __future__ import annotations

import json
import re
import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pydantic
import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from measure.samples import sample
from packaging.version import Version

from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run
from partsolver.report.document import dump
from partsolver.report.guide import page
from partsolver.report.measure import measurement_json
from partsolver.report.shapes import MODELS, generated, shipped

SOURCES = Path(__file__).resolve().parents[1] / "partsolver"
Made = Callable[..., Any]


WRITTEN_WITH = (2, 14)  # pydantic; 2.7, 2.10, 2.12 and 2.13 were compared by hand


def accepted(schema: Any) -> Any:
    """A schema without what pydantic's versions write differently though it accepts the same documents of ours."""
    if isinstance(schema, list):
        return [accepted(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    if len(schema.get("allOf", ())) == 1:
        schema = {**{key: value for key, value in schema.items() if key != "allOf"}, **schema["allOf"][0]}
    kept = {key: accepted(value) for key, value in schema.items()}
    if isinstance(kept.get("description"), str):
        del kept["description"]
    if kept.get("additionalProperties") is True:
        del kept["additionalProperties"]
    if "const" in kept or kept.get("type") == "string":
        kept.pop("pattern", None)
    if "const" in kept and kept.get("enum") == [kept["const"]]:
        del kept["enum"]
    return kept


def validate(name: str, document: Any) -> None:
    Draft202012Validator(json.loads(shipped(name))).validate(document)


@pytest.fixture
def made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Made:
    """The document of a command, run in a folder with two measurements and a plan file."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "before.json").write_text(measurement_json(sample()), encoding="utf-8")
    (tmp_path / "after.json").write_text(measurement_json(sample(serial=2000.0)), encoding="utf-8")
    assert run(["recommend", "--demo", "--out", "plan.json"]) == 0

    def call(*arguments: str) -> Any:
        capsys.readouterr()
        run([*arguments, "--format", "json"])
        return json.loads(capsys.readouterr().out)

    return call


@pytest.mark.parametrize("name", list(MODELS))
def test_the_shipped_schema_is_the_generated_one_and_is_valid(name: str) -> None:
    """Byte for byte by the pydantic that it was written with; others write the same shape in other words."""
    if Version(pydantic.VERSION).release[:2] == WRITTEN_WITH:
        assert shipped(name) == dump(generated(name)), "run `python -m partsolver.report.shapes`"
    assert accepted(json.loads(shipped(name))) == accepted(json.loads(dump(generated(name))))
    Draft202012Validator.check_schema(generated(name))
    assert f"`{name}`" in page("json")


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("recommendation-1", ["recommend", "--demo"]),
        (
            "recommendation-1",
            ["recommend", "--demo", "--alternatives", "3", "--replace", "psu", "--replace", "drive"],
        ),
        ("recommendation-1", ["recommend", "--demo", "--budget", "0"]),
        ("recommendation-1", ["recommend", "--demo", "--budget", "120", "--min-speedup", "3.5"]),
        ("check-1", ["check", "--demo", "to-t10m", "weald-v8s-46", "ddr4-2x4-3200"]),
        ("why-1", ["why", "--demo", "--budget", "120", "--min-speedup", "3.5"]),
        ("why-1", ["why", "--demo"]),
        ("why-part-1", ["why", "--demo", "weald-v8s-46"]),
        ("why-part-1", ["why", "--demo", "to-t20m"]),
        ("replan-1", ["replan", "plan.json", "--gone", "transom-l6s-44"]),
        ("replan-1", ["replan", "plan.json", "--price", "to-t10m=10", "--budget", "5"]),
        ("tradeoff-1", ["tradeoff", "--demo", "--resolution", "20"]),
        ("questions-1", ["survey", "questions", "--demo"]),
        ("survey-check-1", ["survey", "check"]),
        ("catalog-check-1", ["catalog", "check"]),
        ("comparison-1", ["compare", "before.json", "after.json"]),
        ("comparison-1", ["compare", "before.json", "after.json", "--plan", "plan.json"]),
        ("measurement-1", ["measure", "--from", "before.json"]),
        ("settings-1", ["settings"]),
        ("refusal-1", ["recommend", "--demo", "--budget", "much"]),
        ("refusal-1", ["recommend", "missing.toml"]),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else value,
)
def test_documents_are_of_their_shape(made: Made, name: str, arguments: list[str]) -> None:
    document = made(*arguments)
    assert document["schema"] == f"partsolver.{name.replace('-1', '/1')}"
    validate(name, document)
    with pytest.raises(ValidationError):
        validate(name, {**document, "schema": "partsolver.another/1"})


def test_documents_of_a_catalogue_are_of_their_shape(made: Made) -> None:
    files = Path(__file__).parent / "catalog" / "files"
    shutil.copy(data_folder() / "demo-survey.toml", "pc.toml")
    given = [str(files / name) for name in ("pages", "makers", "platforms.csv", "pricelist.xlsx")]
    added = made("catalog", "add", *given, "--yes")
    assert added["read"][3]["prices"]["tax"] == "net" and added["joined"]
    part = made("catalog", "show", "gtin-9520000005085")
    assert part["offers"] and part["facts"]
    for name, document in (
        ("catalog-add-1", added),
        ("catalog-part-1", part),
        ("catalog-find-1", made("catalog", "find", "tollmere")),
        ("catalog-left-out-1", made("catalog", "show", "--left-out")),
        ("catalog-questions-1", made("catalog", "ask", "pc.toml")),
        ("catalog-check-1", made("catalog", "check", "--for", "pc.toml")),
    ):
        validate(name, document)
        assert any(isinstance(value, list) and value for value in document.values())


def test_files_that_are_read_are_of_their_shape(made: Made, tmp_path: Path) -> None:
    validate("plan-file-1", json.loads((tmp_path / "plan.json").read_text(encoding="utf-8")))
    validate("measurement-1", json.loads((tmp_path / "before.json").read_text(encoding="utf-8")))
    text = (data_folder() / "demo-survey.toml").read_text(encoding="utf-8")
    survey = json.loads(json.dumps(tomllib.loads(text), default=str))
    validate("survey-1", survey)
    for broken in (
        {**survey, "cases": {}},
        {key: value for key, value in survey.items() if key != "case"},
        {**survey, "drive": [{"kind": "tape"}]},
        {**survey, "psu": {**survey["psu"], "rated": 430}},
    ):
        with pytest.raises(ValidationError):
            validate("survey-1", broken)


def test_a_fitted_use_is_of_its_shape() -> None:
    from measure.test_fit import pairs

    from partsolver.measure.fit import fit_shares
    from partsolver.report.compare import fit_json

    validate("fit-1", json.loads(fit_json(fit_shares(pairs()))))


def test_every_schema_that_is_named_in_the_sources_is_shipped() -> None:
    named = {
        f"{name}-{version}"
        for path in SOURCES.rglob("*.py")
        for name, version in re.findall(r'"partsolver\.([a-z-]+)/([0-9]+)"', path.read_text(encoding="utf-8"))
    }
    assert named <= set(MODELS), named - set(MODELS)
    assert set(MODELS) - named <= {"plan-file-1", "survey-1"}


def test_the_command_prints_a_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["guide", "json", "check-1"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Check"
    assert run(["guide", "json", "chek-1"]) == 2
    assert "Did you mean 'check-1'?" in capsys.readouterr().err
    assert run(["guide", "answer", "check-1"]) == 2


@pytest.mark.parametrize("name", list(MODELS))
def test_no_schema_stops_half_way(name: str) -> None:
    """Every object names its fields or the kind of its values, every list the kind of its items."""
    schema = json.loads(shipped(name))
    open_places: list[str] = []

    def look(node: Any, path: str) -> None:
        if isinstance(node, dict):
            kind, plain = node.get("type"), node.get("additionalProperties") in (None, True, {})
            if kind == "object" and "properties" not in node and plain:
                open_places.append(path)
            if kind == "array" and node.get("items") in (None, True, {}) and "prefixItems" not in node:
                open_places.append(path)
            for key, held in node.items():
                if key not in ("default", "examples", "enum", "const"):
                    look(held, f"{path}/{key}")
        elif isinstance(node, list):
            for number, held in enumerate(node):
                look(held, f"{path}/{number}")

    look(schema, "")
    assert open_places == []
