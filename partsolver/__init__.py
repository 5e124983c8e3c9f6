"""partsolver: the best new board, processor and memory for a PC whose case, supply and drives stay.

The public API, small and typed; everything is loaded when first used, so that importing the package costs nothing:

    from pathlib import Path
    import partsolver

    survey, brief = partsolver.load_survey(Path("survey.toml"))
    catalog = partsolver.load_catalog(Path("catalog"))
    problem = partsolver.join(survey, catalog, brief)
    outcome = partsolver.answer(problem)      # Outcome: status, ranked plans, conflict, provenance
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from partsolver.answer import answer
    from partsolver.catalog.load import load_catalog
    from partsolver.errors import InputRefused, InternalFault, PartsolverError
    from partsolver.explain.why import why
    from partsolver.join import join
    from partsolver.model.tradeoff import tradeoff
    from partsolver.outcome import Outcome, Plan
    from partsolver.problem import Problem
    from partsolver.survey.load import load_survey

_HOMES = {
    "InputRefused": "partsolver.errors",
    "InternalFault": "partsolver.errors",
    "Outcome": "partsolver.outcome",
    "PartsolverError": "partsolver.errors",
    "Plan": "partsolver.outcome",
    "Problem": "partsolver.problem",
    "answer": "partsolver.answer",
    "join": "partsolver.join",
    "load_catalog": "partsolver.catalog.load",
    "load_survey": "partsolver.survey.load",
    "tradeoff": "partsolver.model.tradeoff",
    "why": "partsolver.explain.why",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'partsolver' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


__all__ = [
    "InputRefused",
    "InternalFault",
    "Outcome",
    "PartsolverError",
    "Plan",
    "Problem",
    "answer",
    "join",
    "load_catalog",
    "load_survey",
    "tradeoff",
    "why",
]
