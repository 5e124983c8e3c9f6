"""PCs of three classes relative to the reference machine, for bands: old, mid (the reference itself), new.

Invented, of the usual size of their time: serial, parallel, bandwidth and 3D against a four-core PC of 2016.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from support import BOARD, CPU, make_problem, pick

from partsolver.catalog.sockets import M2Socket
from partsolver.performance.interval import interval_of, reaches
from partsolver.performance.law import law_of
from partsolver.performance.time import terms_ppm
from partsolver.plan.outcome import Interval
from partsolver.problem.candidates import SLOTS, Candidate, DriveChoice, MemoryChoice, Parts
from partsolver.survey.model import Drive
from partsolver.wishes.uses import COLD_START, USES

PROBLEM = make_problem()
# serial, parallel (points of 1000 and 4000), memory rate with two channels, 3D points
CLASSES = {"old": (470, 900, 1067, 80), "mid": (1000, 4000, 2133, 600), "new": (1700, 10000, 3200, 1600)}
DRIVES: dict[str, dict[str, Any]] = {
    "ssd": {"kind": "ssd", "interface": "sata", "sata_gbps10": 60, "read_mbs": 520},
    "hdd35": {"kind": "hdd35", "interface": "sata", "sata_gbps10": 30, "read_mbs": 130},
    "hdd25": {"kind": "hdd25", "interface": "sata", "sata_gbps10": 30, "read_mbs": 100},
    "nvme3": {"kind": "ssd", "interface": "m2-nvme", "pcie_gen": 3, "pcie_lanes": 4, "read_mbs": 3400},
    "nvme4": {"kind": "ssd", "interface": "m2-nvme", "pcie_gen": 4, "pcie_lanes": 4, "read_mbs": 7000},
    "unknown": {},
}
M2 = M2Socket("m", 80, ("nvme", "sata"), 4, 4, 2, 1)


@dataclass(frozen=True)
class Machine:
    """One PC. serial, parallel, rate_mts, graphics: figures, None = not known; gib: capacity, None = not
    known; port_gbps10: its SATA ports; drive: a key of DRIVES."""

    serial: int | None
    parallel: int | None
    rate_mts: int | None
    graphics: int | None
    channels: int = 2
    gib: int | None = 16
    drive: str = "ssd"
    port_gbps10: int | None = 60
    facts: tuple[tuple[str, Any], ...] = ()

    @property
    def parts(self) -> Parts:
        """The PC as parts of a problem; ids name all that differs."""
        name = repr(self)
        known = self.port_gbps10 is not None
        generation = "ddr3" if self.serial is not None and self.serial < 600 else "ddr4"
        ports = {p: (4 if p == self.port_gbps10 else 0) if known else None for p in (60, 30, 15)}
        board = replace(
            BOARD,
            id=f"board {name}",
            memory_channels=2,
            memory_generation=generation,
            memory_max_rate_mts=self.rate_mts,
            m2_slots=(M2,),
            sata_6g_ports=ports[60],
            sata_3g_ports=ports[30],
            sata_1g5_ports=ports[15],
        )
        cpu = replace(
            CPU,
            id=f"cpu {name}",
            serial_score=self.serial,
            parallel_score=self.parallel,
            graphics_score=self.graphics,
            memory_rates=((generation, 6000),) if self.rate_mts else (),
            **dict(self.facts),
        )
        size = None if self.gib is None else (self.gib * 1024 // self.channels,) * self.channels
        memory = MemoryChoice(
            f"memory {name}",
            None,
            1,
            False,
            generation,
            "dimm",
            size,
            self.rate_mts,
            False,
            False,
            self.channels,
        )
        drive = DriveChoice(f"drive {name}", Drive(name="drive", **DRIVES[self.drive]), None)
        made = {"board": board, "cpu": cpu, "memory": memory, "drive": drive}
        usual = pick(PROBLEM)
        return Parts(
            tuple(
                Candidate(slot, f"{slot} {name}", made[slot], None, 1, (), False)  # type: ignore[arg-type]
                if slot in made
                else usual.candidate(slot)
                for slot in SLOTS
            )
        )


def machine(kind: str, **changes: Any) -> Machine:
    """A PC of a class, with changes."""
    return replace(Machine(*CLASSES[kind]), **changes)


def law(use: str) -> Any:
    """The law for a use of the tool, or for the cold start of a program ("launch")."""
    return replace(law_of(PROBLEM), use=COLD_START if use == "launch" else USES[use])


def terms(use: str, of: Machine) -> dict[str, int]:
    """Time by resource, ppm."""
    return terms_ppm(PROBLEM, of.parts, law(use))


def ratio(use: str, before: Machine, after: Machine) -> float:
    """Expected time before over expected time after."""
    return sum(terms(use, before).values()) / sum(terms(use, after).values())


def interval(use: str, before: Machine, after: Machine) -> Interval:
    """Expected speed-up with its 95 % interval."""
    return interval_of(ratio(use, before, after), reaches(PROBLEM, before.parts, after.parts, law(use)))
