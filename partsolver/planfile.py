"""Plan files: a recommendation with what is needed to solve again (survey text, brief, catalogue folder and digest).

The document is the one of ``recommend --format json`` with three more fields: ``chosen`` (rank of the plan the file is
about), ``brief`` and ``source``. A plan file made against another state of the catalogue is accepted; what differs
is said by whoever reads it.
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from partsolver.brief import Brief
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.chosen import chosen_parts
from partsolver.errors import InputRefused, refuse
from partsolver.join import join
from partsolver.outcome import Outcome
from partsolver.problem import Parts, Problem
from partsolver.report import json as report_json
from partsolver.survey.load import parse_survey
from partsolver.textfile import read_text, write_text


@dataclass(frozen=True)
class PlanFile:
    """A plan file as read.

    problem: joined again from the embedded survey and brief and the catalogue of today; parts: the chosen plan's;
    document: as stored; chosen: rank; catalog_changed: whether the catalogue's digest differs from the stored one.
    """

    document: dict[str, Any]
    chosen: int
    problem: Problem
    parts: Parts
    catalog_changed: bool
    path: str

    @property
    def stored_plan(self) -> dict[str, Any]:
        """The chosen plan as stored."""
        found: dict[str, Any] = next(plan for plan in self.document["plans"] if plan["rank"] == self.chosen)
        return found


def write_plan_file(path: Path, outcome: Outcome, problem: Problem, rank: int, survey: Path | None, catalog: Path | None) -> None:
    """Write a plan file whole or not at all. Raises InputRefused when it cannot be written."""
    survey_path = survey or data_folder() / "demo-survey.toml"
    _write(path, outcome, problem, rank, read_text(survey_path), "demo" if catalog is None else str(catalog.resolve()))


def write_again(path: Path, stored: PlanFile, outcome: Outcome, problem: Problem) -> None:
    """Write a recommendation solved again from a plan file."""
    source = stored.document["source"]
    _write(path, outcome, problem, 1, source["survey_toml"], source["catalog"])


def _write(path: Path, outcome: Outcome, problem: Problem, rank: int, survey_toml: str, catalog: str) -> None:
    document = {
        **report_json.recommendation(outcome, problem),
        "chosen": rank,
        "brief": problem.brief.model_dump(mode="json"),
        "source": {"survey_toml": survey_toml, "catalog": catalog, "catalog_digest": problem.catalog.digest},
    }
    write_text(path, report_json.dump(document))


def read_plan_file(path: Path, catalog_dir: Path | None = None, changes: dict[str, Any] | None = None) -> PlanFile:
    """Read a plan file and join its problem again. Raises InputRefused."""
    text = read_text(path)
    try:
        document = json.loads(text, parse_float=Decimal)
    except (json.JSONDecodeError, RecursionError) as error:
        raise refuse(str(path), f"not valid JSON: {error}", hint="Use a file written by `partsolver recommend --out`") from None
    if not isinstance(document, dict) or document.get("schema") != report_json.SCHEMA:
        raise refuse(str(path), "not a plan file", hint="Use a file written by `partsolver recommend --out`")
    source, chosen = document.get("source"), document.get("chosen")
    plans = document.get("plans")
    if not isinstance(source, dict) or not isinstance(plans, list) or not all(isinstance(p, dict) for p in plans):
        raise refuse(str(path), "the plan file lacks what is needed to solve again", None, "the fields plans, chosen, brief, source")
    if not isinstance(chosen, int) or isinstance(chosen, bool) or chosen not in [plan.get("rank") for plan in plans]:
        raise refuse(f"{path} chosen", "no plan of this rank in the file", chosen)
    survey_toml = source.get("survey_toml")
    if not isinstance(survey_toml, str):
        raise refuse(f"{path} source.survey_toml", "is missing")
    try:
        data = tomllib.loads(survey_toml, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise refuse(f"{path} source.survey_toml", f"not valid TOML: {error}") from None
    survey, _ = parse_survey(data, f"{path} (survey)")
    brief = _brief(path, document.get("brief"), changes or {})
    folder = catalog_dir or _folder(path, source.get("catalog"))
    problem = join(survey, load_catalog(folder), brief)
    stored = next(plan for plan in plans if plan["rank"] == chosen)
    parts = _stored_parts(path, problem, stored)
    return PlanFile(document, int(str(chosen)), problem, parts, problem.catalog.digest != source.get("catalog_digest"), str(path))


def _folder(path: Path, stored: Any) -> Path:
    if stored == "demo":
        return data_folder() / "demo"
    if not isinstance(stored, str) or not Path(stored).is_dir():
        raise refuse(f"{path} source.catalog", "the catalogue of this plan is not there", stored, hint="Name it with --catalog DIR")
    return Path(stored)


def _brief(path: Path, stored: Any, changes: dict[str, Any]) -> Brief:
    from pydantic import ValidationError

    if not isinstance(stored, dict):
        raise refuse(f"{path} brief", "is missing")
    try:
        return Brief.model_validate_json(json.dumps({**stored}, default=str)).model_copy(update=changes)
    except ValidationError as error:
        item = error.errors()[0]
        raise refuse(f"{path} brief.{'.'.join(str(p) for p in item['loc'])}", item["msg"], item.get("input")) from None


def _stored_parts(path: Path, problem: Problem, plan: dict[str, Any]) -> Parts:
    """The stored plan's parts as candidates of the problem as it is now."""
    try:
        parts = plan["parts"]
        ids = [parts.get("board_variant") or parts["board"], parts["cpu"], parts["cooler"], parts["psu"], parts["case"], parts["drive"]]
        ids += [f"{item['id']}*{item['count']}" if item["id"] != "kept-memory" else "kept-memory" for item in parts["memory"]]
    except (KeyError, TypeError):
        raise refuse(f"{path} plans", "the parts of the plan cannot be read", hint="Use a file written by `partsolver recommend --out`") from None
    try:
        return chosen_parts(problem, [str(part) for part in ids])
    except InputRefused as error:
        raise InputRefused([replace(fault, where=f"{path} plans: {fault.where}") for fault in error.faults]) from None


__all__ = ["PlanFile", "read_plan_file", "write_again", "write_plan_file"]
