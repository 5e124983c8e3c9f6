"""The processor has the instructions the system is built for (x86-64 level).

Level and further features of the processor together must cover the features of the level the system needs;
the 2024 release of the 2021 desktop generation does not start without those of level 2. Fewer cores than the
vendor asks for and a processor older than the vendor's support list are facts of the finding, not refusals:
such systems run, without the vendor's support. Not checked: the vendor's list of processors by name.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import part_question
from partsolver.assembly.system import excused, kept_system, same_system
from partsolver.catalog.records import Cpu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.isa import level_features, normal_features
from partsolver.standards.operating_systems import OperatingSystem

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "os.processor"
STATEMENT = "The processor has the instruction level the operating system needs."
SOURCE = "x86-64 psABI, micro-architecture levels; release notes and requirement pages"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu")
READS: Reads = {"board": (), "cpu": ("cores", "features", "x86_level", "year")}
SURVEY: tuple[str, ...] = ("os",)


def _missing(cpu: Cpu, system: OperatingSystem) -> tuple[str, ...] | None:
    """Features the processor lacks, sorted; None when its level is not known and its features do not settle
    it."""
    has = level_features(cpu.x86_level or 0) | normal_features(cpu.features or ())
    missing = tuple(sorted(level_features(system.min_x86_level) - has))
    return None if missing and cpu.x86_level is None else missing


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    system = kept_system(problem)
    if system is None:
        return ()
    parts = draft.parts
    cpu = parts.cpu
    facts: dict[str, int | str] = {"family": system.id}
    if cpu.cores is not None and cpu.cores < system.min_cores:
        facts["min_cores"] = system.min_cores
    if (
        cpu.year is not None
        and system.needs_supported_cpu_year is not None
        and cpu.year < system.needs_supported_cpu_year
    ):
        facts["supported_from_year"] = system.needs_supported_cpu_year
    missing = _missing(cpu, system)
    free = excused(parts, problem, "cpu")
    if missing is None:
        if free:
            return (fits(ID, (cpu.id,), today="yes", **facts),)
        return (unknown(ID, part_question(parts.candidate("cpu"), "x86_level"), (cpu.id,), False, **facts),)
    if missing and free:
        return (fits(ID, (cpu.id,), cpu.x86_level, short="yes", **facts),)
    if missing:
        return (
            fails(ID, (cpu.id,), cpu.x86_level, system.min_x86_level, missing=" ".join(missing), **facts),
        )
    return (fits(ID, (cpu.id,), system.min_x86_level if cpu.x86_level is None else cpu.x86_level, **facts),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    system = kept_system(problem)
    if system is None:
        return
    wanted = level_features(system.min_x86_level)

    def lacking(candidate: Candidate) -> tuple[bool, bool]:
        cpu: Cpu = candidate.part  # type: ignore[assignment]
        if cpu.x86_level is None:
            return False, candidate.kept  # not known: the plan may stand
        own = set(level_features(cpu.x86_level)).union(normal_features(cpu.features or ()))
        return not own.issuperset(wanted), candidate.kept

    for (lacks, kept), literal in picks.classes("cpu", f"{ID} lacking", lacking).items():
        if lacks and not (kept and same_system(problem)):
            picks.clause([~literal], on)
