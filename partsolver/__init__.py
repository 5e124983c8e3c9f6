"""partsolver: the best new board, processor and memory for a PC whose case, supply and drives stay.

The public API, small and typed; everything is loaded when first used, so that importing the package costs
nothing:

    import partsolver

    survey, brief = partsolver.load_survey("survey.toml")
    catalog = partsolver.load_catalog("parts")
    problem = partsolver.join(survey, catalog, brief)
    outcome = partsolver.answer(problem)      # Outcome: status, ranked plans, conflict, provenance

No public name is the name of a submodule: importing one would put the module in the name's place.
"""

from __future__ import annotations

TYPE_CHECKING = False  # as type checkers know it: while these lines run, nobody catches Ctrl-C
if TYPE_CHECKING:
    from typing import Any

    from partsolver.base.errors import InputRefused, InternalFault, PartsolverError
    from partsolver.catalog.load import load_catalog
    from partsolver.explain.why import why
    from partsolver.plan.outcome import Outcome, Plan
    from partsolver.problem.join import join
    from partsolver.problem.problem import Problem
    from partsolver.solve.answer import answer
    from partsolver.solve.left_out import answer_with_left_out
    from partsolver.solve.tradeoff import tradeoff
    from partsolver.survey.load import load_survey

__version__ = "0.2.0"

_HOMES = {
    "InputRefused": "partsolver.base.errors",
    "InternalFault": "partsolver.base.errors",
    "Outcome": "partsolver.plan.outcome",
    "PartsolverError": "partsolver.base.errors",
    "Plan": "partsolver.plan.outcome",
    "Problem": "partsolver.problem.problem",
    "answer": "partsolver.solve.answer",
    "answer_with_left_out": "partsolver.solve.left_out",
    "join": "partsolver.problem.join",
    "load_catalog": "partsolver.catalog.load",
    "load_survey": "partsolver.survey.load",
    "tradeoff": "partsolver.solve.tradeoff",
    "why": "partsolver.explain.why",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'partsolver' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOMES})


__all__ = [
    "InputRefused",
    "InternalFault",
    "Outcome",
    "PartsolverError",
    "Plan",
    "Problem",
    "__version__",
    "answer",
    "answer_with_left_out",
    "join",
    "load_catalog",
    "load_survey",
    "tradeoff",
    "why",
]
