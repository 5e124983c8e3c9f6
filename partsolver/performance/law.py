"""The time law, stated once: generalised Amdahl's law in exact integers.

T(m) = sum over resources k of F_k x slowness_k(m), with F_k the shares of the reference machine's time
(Hennessy & Patterson, Computer Architecture, 5th ed., section 1.9, generalised), plus the time that lack of
memory costs. Every term is an integer in millionths of the reference time, rounded half up once, so that
terms add exactly and whoever states the time (the plain sum, the CP-SAT model, the search's bounds) agrees to
the last digit. All of them are built from the terms of this module; which part decides which term stands in
``time.terms_ppm``.

* serial, parallel: one-thread and all-thread score; memory: bandwidth; streaming: what drive and port read of
  large files. Slowness = reference / own.
* waiting: small scattered reads and starts, by kind of drive (settings ``waiting_...``) or by the reads that
  were measured; the link does not matter, since access time and not transfer decides.
* graphics: 3D score, at most ``graphics_slowness_cap`` times as slow; of integrated graphics
  ``integrated_graphics_bandwidth_percent`` of the time is bound by memory bandwidth.
* other: waiting that no part changes.
* capacity: cost x x^2 / (x^2 + knee^2) with x the lacking part of the working set: nothing above it, a knee,
  and a limit, because a person who lacks memory closes pages (convex, then concave: lifetime curve of the
  working-set literature, P. J. Denning, CACM 11 (1968) 323-333 and IEEE TSE 6 (1980) 64-84, from memory).
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from functools import lru_cache
from typing import Any

from partsolver.assembly.storage import storage_mbs
from partsolver.base.quantities import PPM
from partsolver.base.records import record
from partsolver.catalog.records import Board, Cpu, Reference
from partsolver.problem.candidates import DriveChoice, MemoryChoice, SlotName
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card
from partsolver.wishes.uses import Use

# Greatest slowness that is told apart, times the reference.
MOST_SLOWNESS = 100
FALLBACK_RATE_MTS = 800
# Reads a second that no disk does at random: 55-79 across all of it, 265 within a short span were read (speed
# reference, section 1.1).
MOST_DISK_READS = 300
# Slowness in per cent of what has no score at all.
UNKNOWN_PERCENT = 200


@lru_cache(maxsize=1 << 16)
def slowed_ppm(share_permille: int, numerator: int, denominator: int, most: int = MOST_SLOWNESS) -> int:
    """A share times the slowness numerator / denominator (``most`` at most), in millionths, rounded half
    up; whole numbers all the way. Few values recur in thousands of plans."""
    if numerator > most * denominator:
        numerator, denominator = most, 1
    return (2 * share_permille * (PPM // 1000) * numerator + denominator) // (2 * denominator)


def _relative_ppm(share_permille: int, amount: int | None, reference: int) -> int:
    """A share at the speed amount / reference."""
    if amount is None:
        return slowed_ppm(share_permille, UNKNOWN_PERCENT, 100)
    return slowed_ppm(share_permille, reference, amount)


def bandwidth_kbs(rate_mts: int | None, milli: int) -> int:
    """MT/s x 8 bytes x channels, in kB/s (JESD79-3: transfers per second x eight)."""
    return (rate_mts or FALLBACK_RATE_MTS) * 8 * milli


def usable_mib(memory: MemoryChoice, limit_mib: int | None) -> int | None:
    """Capacity that the operating system uses: what it was measured to see, else what the modules hold."""
    total = memory.total_mib if memory.seen_mib is None else memory.seen_mib
    return total if total is None or limit_mib is None else min(total, limit_mib)


def waiting_percent(drive: DriveChoice, settings: Mapping[str, int]) -> int:
    """Waiting for a drive in per cent of that for a SATA solid-state drive: by its measured reads, else by
    its kind."""
    reads = measured_reads(drive)
    if reads is not None:
        exponent = settings["random_reads_exponent_percent"] / 100
        felt: float = (settings["random_reads_reference"] / reads) ** exponent
        return max(1, round(100 * felt))
    kind = waiting_kind(drive)
    return 100 if kind == "ssd" else settings[f"waiting_{kind}_percent"]


def measured_reads(drive: DriveChoice) -> int | None:
    """The reads here and there that a kept drive was measured to do a second. More than a disk can do came out of
    its cache, where the file of the measurement lay: they say nothing of a whole system's reads."""
    reads = None if drive.kept is None else drive.kept.random_reads_per_s
    turns = waiting_kind(drive) in ("hdd35", "hdd25")
    return None if turns and reads is not None and reads > MOST_DISK_READS else reads


def waiting_kind(drive: DriveChoice) -> str:
    """The kind of drive that decides how long it lets wait: ssd, nvme, hdd35, hdd25, or unknown."""
    source = drive.kept or drive.part
    if source is None or source.kind not in ("ssd", "hdd35", "hdd25"):
        return "unknown"
    return "nvme" if source.interface == "m2-nvme" else source.kind


def capacity_kind(drive: DriveChoice) -> str:
    """The kind of drive that decides what lack of memory costs: ssd, disk, or unknown."""
    return {"ssd": "ssd", "nvme": "ssd", "unknown": "unknown"}.get(waiting_kind(drive), "disk")


@lru_cache(maxsize=1 << 12)
def lacking_ppm(cost_percent: int, knee_percent: int, usable: int, working_set_mib: int) -> int:
    """Time that lack of memory costs: cost x d^2 / (d^2 + (knee W)^2) with d = W - usable (0 when it is
    enough), in millionths of the reference time, rounded half up."""
    lacking = working_set_mib - usable
    if lacking <= 0:
        return 0
    numerator = cost_percent * (PPM // 100) * (100 * lacking) ** 2
    denominator = (100 * lacking) ** 2 + (knee_percent * working_set_mib) ** 2
    return (2 * numerator + denominator) // (2 * denominator)


@record
class Law:
    """The terms of one problem: its use on the catalogue's reference machine. All in millionths of its
    time."""

    use: Use
    reference: Reference
    settings: Mapping[str, int]
    memory_limit_mib: int | None = None

    # -- by single parts ------------------------------------------------------------------------------------

    @property
    def other_ppm(self) -> int:
        """Waiting that no part changes."""
        return slowed_ppm(self.use.share("other"), 1, 1)

    def serial_ppm(self, cpu: Cpu) -> int:
        """Serial compute: the one-thread score against the reference."""
        return _relative_ppm(self.use.share("serial"), cpu.serial_score, self.reference.serial_score)

    def parallel_ppm(self, cpu: Cpu) -> int:
        """Parallel compute: the all-thread score against the reference."""
        return _relative_ppm(self.use.share("parallel"), cpu.parallel_score, self.reference.parallel_score)

    def compute_ppm(self, cpu: Cpu) -> int:
        """Both kinds of compute."""
        return self.serial_ppm(cpu) + self.parallel_ppm(cpu)

    def waiting_ppm(self, drive: DriveChoice) -> int:
        """Waiting for the system drive, whatever its port."""
        return slowed_ppm(self.use.share("waiting"), waiting_percent(drive, self.settings), 100)

    # -- by two parts ---------------------------------------------------------------------------------------

    def streaming_ppm(self, board: Board, drive: DriveChoice) -> int:
        """Large files: what the system drive reads through its port."""
        read = storage_mbs(board, drive, self.settings)
        return _relative_ppm(self.use.share("streaming"), read, self.reference.storage_mbs)

    def drive_ppm(self, board: Board, drive: DriveChoice) -> int:
        """All that waits for the system drive."""
        return self.waiting_ppm(drive) + self.streaming_ppm(board, drive)

    def capacity_ppm(self, memory: MemoryChoice, drive: DriveChoice) -> int:
        """Time added when the memory is below the working set. Unknown capacity adds none (an open
        question)."""
        usable = usable_mib(memory, self.memory_limit_mib)
        if usable is None:
            return 0
        cost = self.settings[f"capacity_cost_{capacity_kind(drive)}_percent"] * self.use.capacity_percent
        return lacking_ppm(
            cost // 100, self.settings["capacity_knee_percent"], usable, self.use.working_set_mib
        )

    # -- by the memory's bandwidth --------------------------------------------------------------------------

    def memory_ppm(self, bandwidth: int) -> int:
        """Memory: bandwidth in kB/s against the reference."""
        return _relative_ppm(self.use.share("memory"), bandwidth, self.reference.memory_mbs * 1000)

    @property
    def graphics_cap(self) -> int:
        """Greatest slowness of graphics for this use."""
        return self.settings["graphics_3d_slowness_cap" if self.use.is_3d else "graphics_slowness_cap"]

    def card_ppm(self, card: Card) -> int:
        """Graphics made by a kept card, which has memory of its own."""
        if card.graphics_score is None:
            return slowed_ppm(self.use.share("graphics"), UNKNOWN_PERCENT, 100, self.graphics_cap)
        return slowed_ppm(
            self.use.share("graphics"),
            self.reference.graphics_score,
            card.graphics_score,
            self.graphics_cap,
        )

    def integrated_ppm(self, score: int | None, bandwidth: int) -> int:
        """Graphics made by the processor (or the board), partly bound by memory bandwidth (kB/s): slowness
        = ((1 - b) + b / m) / s with s the score, m the bandwidth against the reference, b the bound share."""
        bound = self.settings["integrated_graphics_bandwidth_percent"]
        own, reference = (100, UNKNOWN_PERCENT) if score is None else (score, self.reference.graphics_score)
        reference_kbs = self.reference.memory_mbs * 1000
        return slowed_ppm(
            self.use.share("graphics"),
            reference * ((100 - bound) * bandwidth + bound * reference_kbs),
            100 * bandwidth * own,
            self.graphics_cap,
        )

    def graphics_ppm(self, card: Card | None, score: int | None, bandwidth: int) -> int:
        """Graphics by a card where there is one, else by the processor of a score."""
        return self.integrated_ppm(score, bandwidth) if card is None else self.card_ppm(card)


def law_of(problem: Problem) -> Law:
    """The law of a problem (made once)."""
    found = problem.store.law
    if found is None:
        found = problem.store.law = Law(
            problem.use, problem.catalog.reference, problem.settings, problem.memory_limit_mib
        )
    return found


# -- what the terms read of a part: parts that agree in it take the same time ------------------------------------


def streaming_facts(board: Any) -> Hashable:
    """What streaming reads of a board."""
    return board.sata_6g_ports, board.sata_3g_ports, board.sata_1g5_ports, board.m2_slots


def bandwidth_facts(slot: SlotName, part: Any) -> tuple[Hashable, ...]:
    """What the memory's bandwidth reads of a board, a processor or a memory choice (of that the capacity
    too)."""
    if slot == "board":
        return (
            part.memory_channels,
            part.memory_slots,
            part.memory_generation,
            part.memory_max_rate_mts,
            part.memory_two_per_channel_rate_mts,
        )
    if slot == "cpu":
        return part.memory_channels, part.memory_rates
    return part.module_mib, part.modules, part.rate_mts, part.generation, part.seen_mib


def compute_facts(cpu: Any) -> Hashable:
    """What compute reads of a processor."""
    return cpu.serial_score, cpu.parallel_score
