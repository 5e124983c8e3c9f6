"""How the model forbids a plan that was shown, with all that are the same choice."""

from __future__ import annotations

from partsolver.assembly.memory import effective_rate_mts
from partsolver.model.build import Built
from partsolver.model.picks import BoolVar
from partsolver.performance.law import FALLBACK_RATE_MTS
from partsolver.plan.identity import IDENTITIES
from partsolver.problem.candidates import Parts


def forbid(built: Built, parts: Parts) -> None:
    """No plan of the same identity any more: one clause."""
    picks = built.picks
    rate = effective_rate_mts(parts.board, parts.cpu, parts.memory) or FALLBACK_RATE_MTS
    literals: list[BoolVar] = [picks.levels.rate[rate]]
    for slot, same in IDENTITIES.items():
        literals.append(picks.classes(slot, "identity", same)[same(parts.candidate(slot))])
    built.model.add_bool_or([~literal for literal in literals])
