"""JSON Schema (draft 2020-12) of every document that is printed or read, generated from models.

The generated files are shipped in ``partsolver/schemas``; ``python -m partsolver.report.shapes`` writes them
again. A name carries its version (``recommendation-1``): fields may be added, a change of those that are
there gets a new number.
"""

from __future__ import annotations

from importlib import resources
from typing import Any

from partsolver.base.errors import nearest, refuse

# name-version: module and its model, or the function that makes the schema
MODELS = {
    "recommendation-1": ("partsolver.report.shapes.answers", "Recommendation"),
    "plan-file-1": ("partsolver.report.shapes.answers", "PlanFile"),
    "check-1": ("partsolver.report.shapes.answers", "Check"),
    "why-1": ("partsolver.report.shapes.answers", "Why"),
    "why-part-1": ("partsolver.report.shapes.answers", "WhyPart"),
    "replan-1": ("partsolver.report.shapes.answers", "Replan"),
    "tradeoff-1": ("partsolver.report.shapes.answers", "Tradeoff"),
    "fleet-1": ("partsolver.report.shapes.fleet", "Fleet"),
    "questions-1": ("partsolver.report.shapes.questions", "Questions"),
    "survey-1": ("partsolver.report.shapes.survey", "survey_schema"),
    "survey-check-1": ("partsolver.report.shapes.others", "SurveyCheck"),
    "catalog-check-1": ("partsolver.report.shapes.catalogs", "CatalogCheck"),
    "catalog-add-1": ("partsolver.report.shapes.catalogs", "CatalogAdd"),
    "catalog-questions-1": ("partsolver.report.shapes.catalogs", "CatalogQuestions"),
    "catalog-part-1": ("partsolver.report.shapes.catalogs", "CatalogPart"),
    "catalog-find-1": ("partsolver.report.shapes.catalogs", "CatalogFind"),
    "catalog-left-out-1": ("partsolver.report.shapes.catalogs", "CatalogLeftOut"),
    "measurement-1": ("partsolver.measure.records", "Measurement"),
    "comparison-1": ("partsolver.report.shapes.others", "Comparison"),
    "fit-1": ("partsolver.report.shapes.others", "Fit"),
    "settings-1": ("partsolver.report.shapes.others", "Settings"),
    "audit-1": ("partsolver.report.shapes.others", "Audit"),
    "refusal-1": ("partsolver.report.shapes.others", "Refusal"),
}


def generated(name: str) -> dict[str, Any]:
    """The schema of a document, made from its model."""
    from importlib import import_module

    module, found = MODELS[name]
    model: Any = getattr(import_module(module), found)
    if hasattr(model, "model_json_schema"):
        schema: dict[str, Any] = model.model_json_schema(by_alias=True, mode="validation")
    else:
        schema = model()
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": f"partsolver:{name}"}
    return {**head, **schema}


def shipped(name: str) -> str:
    """The text of a shipped schema. Raises InputRefused for a name that there is none of."""
    if name not in MODELS:
        raise refuse("guide json", "no such document", name, ", ".join(MODELS), nearest(name, MODELS))
    return resources.files("partsolver").joinpath("schemas", f"{name}.json").read_text(encoding="utf-8")
