"""Slots, and what can fill them.

A *slot* is a place in the PC that one candidate fills: board, processor, memory, cooler, supply, case, system
drive, graphics card. What the PC has now is a candidate at price 0.
"""

from __future__ import annotations

from typing import Any, Generic, Literal, overload

from typing_extensions import TypeVar

from partsolver.base.records import record, unique_record
from partsolver.catalog.records import (
    Board,
    Case,
    Cooler,
    Cpu,
    DrivePart,
    GraphicsPart,
    MemoryKit,
    Offer,
    Psu,
)
from partsolver.survey.model import Card, Drive, MemoryModule

SlotName = Literal["board", "cpu", "memory", "cooler", "psu", "case", "drive", "graphics"]


SLOTS: tuple[SlotName, ...] = (
    "board",
    "cpu",
    "memory",
    "cooler",
    "psu",
    "case",
    "drive",
    "graphics",
)

# The catalogue table in which a slot's parts stand.
TABLE_OF_SLOT: dict[str, str] = {
    "board": "boards",
    "cpu": "cpus",
    "memory": "memory",
    "cooler": "coolers",
    "psu": "psus",
    "case": "cases",
    "drive": "drives",
    "graphics": "graphics",
}


KEPT_MEMORY = "kept-memory"


BOXED_COOLER = "boxed-cooler"


KEPT_GRAPHICS = "kept-graphics"


@record
class MemoryChoice:
    """One candidate for the memory: kits x count, with or without the kept modules.

    module_mib: capacity of each module, largest first, None where not known; rate_mts: lowest rated rate of
    all modules (all run at that of the slowest); registered / ecc: whether any module is; mixed: kept and new
    together; present: the modules of the PC that are in it, as rows of the survey; left_out: how many others
    of the PC's modules stay out; seen_mib: what the system was measured to see of it, where that is not what
    the modules say (the expected time reads it; what fits goes by the modules).
    """

    id: str
    kit: MemoryKit | None
    kits: int
    with_kept: bool
    generation: str | None
    module: str | None
    module_mib: tuple[int, ...] | None
    rate_mts: int | None
    registered: bool | None
    ecc: bool | None
    modules: int
    present: tuple[MemoryModule, ...] = ()
    left_out: int = 0
    seen_mib: int | None = None

    @property
    def total_mib(self) -> int | None:
        return None if self.module_mib is None else sum(self.module_mib)

    @property
    def kept_key(self) -> str:
        """The name of the present modules that are in it: all of them, or the best of them
        (``kept-memory*2``)."""
        return f"{KEPT_MEMORY}*{sum(row.count for row in self.present)}" if self.left_out else KEPT_MEMORY

    @property
    def mixed(self) -> bool:
        return self.with_kept and self.kit is not None


@record
class CoolerChoice:
    """A cooler candidate: the present one, the one in the processor's box, or one that is bought."""

    id: str
    cooler: Cooler | None
    boxed: bool = False


@record
class DriveChoice:
    """The system drive: the kept one (``kept``) or one that is bought (``part``); None, None when there is
    none."""

    id: str
    kept: Drive | None
    part: DrivePart | None


@record
class GraphicsChoice:
    """The graphics card: what the PC has (its own cards, or none: ``bought`` and ``card`` None), or one
    that is bought in place of its own (``card``: the part as a card of the PC, as the rules about cards
    read it). counted_score: its score where the use pays for graphics, else None: what makes it another
    choice than the next card."""

    id: str
    bought: GraphicsPart | None
    card: Card | None
    counted_score: int | None = None


AnyPart = Board | Cpu | MemoryChoice | CoolerChoice | Psu | Case | DriveChoice | GraphicsChoice
P = TypeVar("P", bound=AnyPart, default=AnyPart, covariant=True)


@unique_record
class Candidate(Generic[P]):
    """A part that can fill a slot. ``key`` is unique in its slot; ``id`` is the catalogue part (None: nothing
    bought). Compared and remembered by identity: a problem makes each once, and much is kept by candidate.

    quantity: how many of ``id`` one purchase takes (memory kits); offers: usable by seller and price order;
    kept: already in the PC (price 0).
    """

    slot: SlotName
    key: str
    part: P
    id: str | None
    quantity: int
    offers: tuple[Offer, ...]
    kept: bool


@record
class Parts:
    """One candidate per slot."""

    picked: tuple[Candidate, ...]

    @overload
    def candidate(self, slot: Literal["board"]) -> Candidate[Board]: ...
    @overload
    def candidate(self, slot: Literal["cpu"]) -> Candidate[Cpu]: ...
    @overload
    def candidate(self, slot: Literal["memory"]) -> Candidate[MemoryChoice]: ...
    @overload
    def candidate(self, slot: Literal["cooler"]) -> Candidate[CoolerChoice]: ...
    @overload
    def candidate(self, slot: Literal["psu"]) -> Candidate[Psu]: ...
    @overload
    def candidate(self, slot: Literal["case"]) -> Candidate[Case]: ...
    @overload
    def candidate(self, slot: Literal["drive"]) -> Candidate[DriveChoice]: ...
    @overload
    def candidate(self, slot: Literal["graphics"]) -> Candidate[GraphicsChoice]: ...
    @overload
    def candidate(self, slot: SlotName) -> Candidate: ...
    def candidate(self, slot: SlotName) -> Candidate[Any]:
        return self.picked[SLOTS.index(slot)]

    @property
    def board(self) -> Board:
        return self.picked[0].part  # type: ignore[return-value]

    @property
    def cpu(self) -> Cpu:
        return self.picked[1].part  # type: ignore[return-value]

    @property
    def memory(self) -> MemoryChoice:
        return self.picked[2].part  # type: ignore[return-value]

    @property
    def cooler(self) -> CoolerChoice:
        return self.picked[3].part  # type: ignore[return-value]

    @property
    def psu(self) -> Psu:
        return self.picked[4].part  # type: ignore[return-value]

    @property
    def case(self) -> Case:
        return self.picked[5].part  # type: ignore[return-value]

    @property
    def drive(self) -> DriveChoice:
        return self.picked[6].part  # type: ignore[return-value]

    @property
    def graphics(self) -> GraphicsChoice:
        return self.picked[7].part  # type: ignore[return-value]

    @property
    def board_kept(self) -> bool:
        return self.picked[0].kept

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys in slot order: the last tie-break of the total order."""
        return tuple(candidate.key for candidate in self.picked)

    @property
    def unchanged(self) -> bool:
        """Whether this is "buy nothing": every slot holds what the PC has now."""
        return all(candidate.kept for candidate in self.picked)
