"""The processor has the instructions the system is built for (x86-64 level).

Level and further features of the processor together must cover the features of the level the system needs;
the 2024 release of the 2021 desktop generation does not start without those of level 2. The 2015 desktop generation
needs a few that the first 64-bit processors (CMPXCHG16B, LAHF/SAHF, PREFETCHW) or older ones (NX, PAE, SSE2) may
lack: what was first sold before setting ``desktop_2015_cpu_year`` is asked about them. Fewer cores than the
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
from partsolver.standards.isa import (
    LATER_FEATURE,
    SILENT_FEATURES,
    level_features,
    normal_features,
)
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


def _missing(cpu: Cpu, system: OperatingSystem, surely_from: int) -> tuple[tuple[str, ...], str]:
    """Features the processor lacks, sorted, and the fact that is asked where it is not known what it has ("" where it
    is)."""
    has = level_features(cpu.x86_level or 0) | normal_features(cpu.features or ())
    missing = level_features(system.min_x86_level) - has
    if missing and cpu.x86_level is None:
        return (), "x86_level"
    late = LATER_FEATURE in has or (cpu.year is not None and cpu.year >= surely_from)
    further = frozenset() if late else frozenset(system.min_features) - has
    if cpu.x86_level:
        further -= {"pae"}  # 64-bit mode rests on it
    if not missing and further and (cpu.features is None or further <= SILENT_FEATURES):
        return (), "features"
    return tuple(sorted(missing | further)), ""


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
    missing, asked = _missing(cpu, system, problem.settings["desktop_2015_cpu_year"])
    free = excused(parts, problem, "cpu")
    if asked:
        if free:
            return (fits(ID, (cpu.id,), today="yes", **facts),)
        return (unknown(ID, part_question(parts.candidate("cpu"), asked), (cpu.id,), False, **facts),)
    if missing and free:
        return (fits(ID, (cpu.id,), cpu.x86_level, short="yes", **facts),)
    if missing:
        if level_features(system.min_x86_level).isdisjoint(missing):
            facts["further"] = "yes"  # its level would do
        return (
            fails(ID, (cpu.id,), cpu.x86_level, system.min_x86_level, missing=" ".join(missing), **facts),
        )
    return (fits(ID, (cpu.id,), system.min_x86_level if cpu.x86_level is None else cpu.x86_level, **facts),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    system = kept_system(problem)
    if system is None:
        return
    wanted, surely_from = level_features(system.min_x86_level), problem.settings["desktop_2015_cpu_year"]

    def lacking(candidate: Candidate) -> tuple[bool, bool]:
        cpu: Cpu = candidate.part  # type: ignore[assignment]
        own = set(level_features(cpu.x86_level or 0)).union(normal_features(cpu.features or ()))
        if not own.issuperset(wanted):
            return cpu.x86_level is not None, candidate.kept  # not known: the plan may stand
        # A list that names them not, but for what no tool names, says that an early processor lacks them.
        early = (cpu.year is None or cpu.year < surely_from) and LATER_FEATURE not in own
        told = cpu.features is not None
        by_level = {"pae"} if cpu.x86_level else set()
        lacks = set(system.min_features) - own - by_level - SILENT_FEATURES
        return early and told and bool(lacks), candidate.kept

    for (lacks, kept), literal in picks.classes("cpu", f"{ID} lacking", lacking).items():
        if lacks and not (kept and same_system(problem)):
            picks.clause([~literal], on)
