"""Which cautions belong to a plan: names only; the words are in report/words/cautions.py.

A caution applies by what the work touches (everyone opens the case), by facts of the survey and by findings.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from partsolver.base.records import record
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import family_of

# Kinds of drive that hold the owner's data (None: of a kind that nobody wrote down).
DATA_KINDS = ("ssd", "hdd35", "hdd25", None)
# What may make an encrypted drive ask for its recovery key: the key may be sealed in the board's module or in the
# processor's (start reference, section 2.7), and the module also watches the firmware of cards and the drive that is
# started from (from memory).
KEY_SLOTS: tuple[SlotName, ...] = ("board", "cpu", "graphics", "drive")


@record
class Caution:
    """A caution's name and when it applies. The order of CAUTIONS is by damage: people, data, parts."""

    name: str
    applies: Callable[[Problem, Draft, Sequence[Finding]], bool]


def _changes(draft: Draft) -> bool:
    return not draft.parts.unchanged


def _board_changes(problem: Problem, draft: Draft, findings: Sequence[Finding]) -> bool:
    return not draft.parts.board_kept


def _data_at_risk(problem: Problem, draft: Draft, findings: Sequence[Finding]) -> bool:
    # A PC of which no drive was written down has one all the same.
    drives = problem.survey.drives
    return _changes(draft) and (not drives or any(d.kind in DATA_KINDS for d in drives))


def _encrypted(problem: Problem, draft: Draft, findings: Sequence[Finding]) -> bool:
    changed = not all(draft.parts.candidate(slot).kept for slot in KEY_SLOTS)
    return changed and any(d.encrypted is not False for d in problem.survey.drives if d.kind in DATA_KINDS)


def _old_supply(problem: Problem, draft: Draft, findings: Sequence[Finding]) -> bool:
    psu, kept = draft.parts.psu, draft.parts.candidate("psu").kept
    # An unknown year counts as old, as for its power (assembly/supply.py).
    old = psu.year is None or problem.today.year - psu.year > 8
    return kept and _changes(draft) and (old or psu.condition not in ("good", None))


def _cooler_comes_off(problem: Problem, draft: Draft, findings: Sequence[Finding]) -> bool:
    return not all(draft.parts.candidate(slot).kept for slot in ("board", "cpu", "cooler"))


def _used(problem: Problem, draft: Draft, findings: Sequence[Finding]) -> bool:
    sources = [line.offer or line.bundle for line in draft.lines]
    return any(source is not None and source.condition != "new" for source in sources)


def _private_seller(problem: Problem, draft: Draft, findings: Sequence[Finding]) -> bool:
    sources = [line.offer or line.bundle for line in draft.lines]
    return any(s is not None and problem.sellers[s.seller].kind == "private" for s in sources)


def _leaves_installation(problem: Problem, draft: Draft, findings: Sequence[Finding]) -> bool:
    """Whether programs tied to the PC meet another board, or a drive on which the system is installed again."""
    system, wanted = problem.survey.os, problem.brief.os
    again = not draft.parts.candidate("drive").kept and not (system.keep and wanted in (None, system.family))
    return (again or not draft.parts.board_kept) and bool(system.tied_software)


CAUTIONS: tuple[Caution, ...] = (
    Caution("mains", lambda p, d, f: _changes(d)),
    Caution("supply-closed", lambda p, d, f: _changes(d)),
    Caution("sharp-edges", lambda p, d, f: _changes(d)),
    Caution("backup", _data_at_risk),
    Caution("encryption-key", _encrypted),
    Caution("static", lambda p, d, f: _changes(d)),
    Caution("leads-of-one-supply", lambda p, d, f: not d.parts.candidate("psu").kept),
    Caution("standoffs", _board_changes),
    Caution("cooler-removal", _cooler_comes_off),
    Caution("cpu-socket-pins", lambda p, d, f: not d.parts.board_kept or not d.parts.candidate("cpu").kept),
    Caution("old-supply", _old_supply),
    Caution(
        "adapters",
        lambda p, d, f: any(ln.need is not None and family_of(ln.need.rule) == "power" for ln in d.lines),
    ),
    Caution("used-parts", _used),
    Caution("private-seller", _private_seller),
    Caution("memory-returns", lambda p, d, f: d.parts.memory.mixed),
    Caution("licences", _leaves_installation),
    Caution("waste", lambda p, d, f: _changes(d)),
)


def cautions_of(problem: Problem, draft: Draft, findings: Sequence[Finding]) -> tuple[str, ...]:
    """Names of the cautions of a plan, most damaging first."""
    return tuple(c.name for c in CAUTIONS if c.applies(problem, draft, findings))
