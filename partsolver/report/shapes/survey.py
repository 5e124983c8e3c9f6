"""Shape of a survey file: tables with the columns of the catalogue, and the lists of the survey's own models.

Generated from what reads the file: the column dictionary, and the models of drives, cards and so on. A cell
may be written as a catalogue writes it ("24", "8+4") or as TOML has it (24, [8, 4]); any fact may be absent
or "unknown".
"""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from partsolver.catalog.dictionary import columns
from partsolver.survey.load import LISTS, MODELS, RECORDS
from partsolver.wishes.brief import Brief

UNKNOWN = {"const": "unknown"}
# What a cell may be in TOML; the reader of its column decides what it means.
CELL = ["string", "integer", "number", "boolean", "array"]


def survey_schema() -> dict[str, Any]:
    """The schema of a survey file as it is read from TOML (dates as texts)."""
    tables: dict[str, Any] = {name: _columns(table) for name, (_, table, _) in RECORDS.items()}
    tables |= {name: _model(model) for name, model in MODELS.items()}
    tables |= {name: {"type": "array", "items": _model(model)} for name, model in LISTS.items()}
    tables["brief"] = _brief()
    return {
        "title": "Survey",
        "description": "A PC as it is, with what its owner wants.",
        "type": "object",
        "properties": tables,
        "required": ["case", "psu"],
        "additionalProperties": False,
    }


def _columns(table: str) -> dict[str, Any]:
    described = columns()[table]
    return {
        "type": "object",
        "properties": {
            name: {"type": CELL, "description": f"{column.meaning} ({column.expected})"}
            for name, column in described.items()
            if name != "id"
        },
        "additionalProperties": False,
    }


def _model(model: type[BaseModel]) -> dict[str, Any]:
    """The model's own schema, each fact also ``unknown``."""
    schema = model.model_json_schema(mode="validation")
    schema["properties"] = {
        name: {
            "description": held.get("description", ""),
            "anyOf": [
                *(dict(option.items()) for option in held.get("anyOf", [held]) if option != {"type": "null"}),
                UNKNOWN,
            ],
        }
        for name, held in schema["properties"].items()
    }
    return schema


def _brief() -> dict[str, Any]:
    schema = Brief.model_json_schema(mode="validation")
    for name in ("budget", "min_speedup", "resolution_percent", "tariff_per_kwh"):
        schema["properties"][name] = {
            "description": schema["properties"][name].get("description", ""),
            "type": ["string", "number", "integer"],
        }
    return schema
