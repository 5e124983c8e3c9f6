"""What a bench sheet is made from: one plan, its problem, its findings and the PC as it is; questions steps
ask of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Any

from partsolver.assembly.cards import Placement, graphics_card, placement
from partsolver.assembly.firmware import firmware_state, first_firmware, stepping_stones
from partsolver.assembly.memory import channels, effective_rate_mts
from partsolver.assembly.ports import drives_of
from partsolver.assembly.start import copy_starts, start_mode
from partsolver.base.records import record
from partsolver.catalog.records import Board, Case, Cooler, Cpu, DrivePart, Psu
from partsolver.performance.present import present_parts
from partsolver.plan.cautions import DATA_KINDS
from partsolver.plan.draft import Line
from partsolver.plan.findings import Finding
from partsolver.plan.keeping import keeping
from partsolver.plan.outcome import Keeping, Plan
from partsolver.plan.services import SentIn, sent_in
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import platform_firmware
from partsolver.standards.memory import best_layout
from partsolver.survey.model import Card, Drive

Facts = Mapping[str, Any]
# From this height on a cooler hides the processor header and the memory slots under it (common practice).
TALL_COOLER_MM = 100
# Registered extras that are only a service or paper: nothing of them is fitted.
NOT_FITTED = (
    "os-licence",
    "firmware-update",
    "thermal-paste",
    "standoffs",
    "io-shield",
    "system-install-media",
)


@record
class Origin:
    """Where a plan comes from, for the last section of the sheet.

    plan_file: name of the plan file (no folder: that may carry a person's name); version: of this program,
    None when it is not installed; stored_cost: cost in the plan file, decimal string; catalog_changed:
    whether the catalogue is another one than when the plan was made; solver, plan_digest, proven: as the plan
    file says, None where it does not;
    missing: ids of the plan's parts that nobody offers today (they are shown as the plan file has them).
    """

    plan_file: str
    version: str | None = None
    stored_cost: str | None = None
    catalog_changed: bool = False
    solver: str | None = None
    plan_digest: str | None = None
    proven: bool | None = None
    missing: tuple[str, ...] = ()


@record
class Passing:
    """What passes between this PC and others of its fleet.

    given: (slot, pieces, the PC that gets them); again: (slot, modules) that go back into this PC as its new ones;
    got: (item, pieces, the PC they come out of); circle: whether PCs, this one among them, wait for one another.
    """

    given: tuple[tuple[str, int, str], ...] = ()
    again: tuple[tuple[str, int], ...] = ()
    got: tuple[tuple[str, int, str], ...] = ()
    circle: bool = False

    def gives(self, *slots: str) -> bool:
        """Whether another PC gets a part out of one of these places."""
        return any(slot in slots for slot, _, _ in self.given)


@record
class Context:
    """One plan ready for the sheet."""

    problem: Problem
    plan: Plan
    origin: Origin
    memo: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)
    passing: Passing = Passing()

    # -- parts ----------------------------------------------------------------------------------------------------

    @property
    def parts(self) -> Parts:
        return self.plan.parts

    @property
    def old(self) -> Parts:
        """The PC as it is."""
        if "old" not in self.memo:
            self.memo["old"] = present_parts(self.problem)
        found: Parts = self.memo["old"]
        return found

    @property
    def keeping(self) -> Keeping:
        """The kept-or-new account of the plan."""
        if "keeping" not in self.memo:
            self.memo["keeping"] = keeping(self.problem, self.plan)
        found: Keeping = self.memo["keeping"]
        return found

    @property
    def board(self) -> Board:
        return self.parts.board

    @property
    def cpu(self) -> Cpu:
        return self.parts.cpu

    @property
    def psu(self) -> Psu:
        return self.parts.psu

    @property
    def case(self) -> Case:
        return self.parts.case

    def new(self, *slots: SlotName) -> bool:
        """Whether any of these slots gets something else than the PC has now."""
        return any(not self.parts.candidate(slot).kept for slot in slots)

    @property
    def changes(self) -> bool:
        """Whether anything at all is replaced."""
        return not self.parts.unchanged

    @property
    def runs(self) -> bool:
        """Whether the PC starts as it is, as far as anybody says."""
        return self.problem.survey.pc.board_works and self.problem.survey.pc.cpu_works

    @property
    def rebuilt(self) -> bool:
        """Whether most leads come off: a first start with few parts follows."""
        return self.new("board", "psu", "case")

    @property
    def cooler_off(self) -> bool:
        """Whether the present cooler has to come off its processor.

        Where board, processor and cooler are all replaced, the old three stay together: nothing is torn.
        """
        return self.new("board", "cpu", "cooler") and not self.old_three_stay

    @property
    def flash_with_present(self) -> bool:
        """Whether the new board's firmware is updated with the present processor before the new one goes
        in."""
        way = self.fact(platform_firmware.ID, "flash")
        return (
            self.new("board")
            and self.new("cpu")
            and self.firmware_state != "enough"
            and way == "present processor"
        )

    @property
    def old_three_stay(self) -> bool:
        """Whether old board, processor and cooler leave the PC as one set: no other PC gets one of them."""
        new = self.new("board") and self.new("cpu") and self.new("cooler")
        return new and not self.flash_with_present and not self.passing.gives("board", "cpu", "cooler")

    @property
    def cpu_on_bench(self) -> bool:
        """Whether the processor goes into the new board before anything is taken apart."""
        return self.new("board") and self.new("cpu") and not self.flash_with_present

    @property
    def cooler_on(self) -> bool:
        """Whether a cooler is fitted."""
        return self.new("board", "cpu", "cooler")

    @property
    def cooler_record(self) -> Cooler | None:
        return self.parts.cooler.cooler

    @property
    def card(self) -> Card | None:
        """The graphics card that makes the picture; None = the processor's graphics."""
        return graphics_card(self.problem, self.board, self.case, self.parts.graphics)

    @property
    def placement(self) -> Placement:
        return placement(self.problem, self.board, self.case, self.parts.graphics)

    @property
    def kept_cards(self) -> tuple[Card, ...]:
        """The PC's own cards that stay in it."""
        stay = set(self.problem.cards_with(self.parts.graphics)) - {self.parts.graphics.card}
        return tuple(c for c in self.problem.survey.cards if c in stay and c.name not in self.placement.left)

    @property
    def replaced_cards(self) -> tuple[Card, ...]:
        """The PC's graphics cards that a bought one replaces."""
        if not self.new("graphics"):
            return ()
        return tuple(c for c in self.problem.survey.cards if c.kind == "graphics")

    @property
    def drives(self) -> tuple[Drive | DrivePart, ...]:
        """The drives of the finished PC that need a connection."""
        return drives_of(self.parts.drive, self.problem)

    def kept_drives(self) -> tuple[Drive, ...]:
        """The present drives, a replaced system drive left out."""
        replaced = self.new("drive")
        return tuple(d for d in self.problem.drives if not (d.system and replaced))

    def kept_modules(self) -> tuple[str, ...]:
        """Kept M.2 modules by name."""
        return tuple(d.name for d in self.kept_drives() if d.interface in ("m2-nvme", "m2-sata"))

    @property
    def later_drives(self) -> tuple[str, ...]:
        """Kept drives that stay disconnected until the first start went well; where a system is put onto its
        drive, until that is done, M.2 modules too: nothing else can be taken for that drive then."""

        def waits(d: Drive) -> bool:
            if d.system or d.interface == "usb":
                return False
            if d.interface in ("m2-nvme", "m2-sata"):
                return self.fresh
            return self.rebuilt or (self.fresh and d.kind in DATA_KINDS)

        return tuple(d.name for d in self.kept_drives() if waits(d))

    @property
    def later_cards(self) -> tuple[str, ...]:
        """Cards that have a place and are not needed for a picture."""
        card = self.card
        return tuple(name for name, _ in self.placement.placed if card is None or name != card.name)

    @property
    def data_drives(self) -> tuple[Drive, ...]:
        """Present drives with data of the owner."""
        return tuple(d for d in self.problem.survey.drives if d.kind in DATA_KINDS)

    # -- what the plan says ---------------------------------------------------------------------------------------

    def name(self, part: str) -> str:
        return self.problem.names.get(part, part)

    def findings(self, rule: str) -> tuple[Finding, ...]:
        return tuple(f for f in self.plan.findings if f.rule == rule)

    def fact(self, rule: str, name: str) -> str | int | None:
        """The first value of a fact among a rule's findings."""
        return next((v for f in self.findings(rule) if (v := f.fact(name)) is not None), None)

    def extras(self, *kinds: str) -> tuple[Line, ...]:
        """Order lines of extras of these kinds."""
        found = []
        for line in self.plan.draft.lines:
            extra = self.problem.extras.get(line.item)
            if line.need is not None and extra is not None and extra.kind in kinds:
                found.append(line)
        return tuple(found)

    @property
    def fitted_extras(self) -> tuple[Line, ...]:
        """Extras that are plugged in or screwed on somewhere."""
        kinds = sorted({e.kind for e in self.problem.extras.values()} - set(NOT_FITTED))
        return self.extras(*kinds)

    # -- memory ---------------------------------------------------------------------------------------------------

    @property
    def channel_count(self) -> int:
        return channels(self.board, self.cpu)

    @property
    def layout(self) -> tuple[int, ...] | None:
        """Modules in each channel, or None when sizes or slots are not known."""
        memory = self.parts.memory
        if memory.module_mib is None or self.board.memory_slots is None:
            return None
        found = best_layout(memory.module_mib, self.channel_count, self.board.memory_slots)
        return None if found is None else tuple(len(channel) for channel in found)

    @property
    def rate_mts(self) -> int | None:
        return effective_rate_mts(self.board, self.cpu, self.parts.memory)

    # -- system ---------------------------------------------------------------------------------------------------

    @property
    def keeps_system(self) -> bool:
        """Whether the present installation is started again on the kept system drive."""
        survey, wanted = self.problem.survey, self.problem.brief.os
        same = survey.os.keep and wanted in (None, survey.os.family)
        return same and not self.new("drive") and survey.system_drive is not None

    @property
    def installs(self) -> bool:
        """Whether a system is installed afresh: another one is wanted, the present one is not to stay, or a
        copy of it would not start on the board."""
        survey, wanted = self.problem.survey, self.problem.brief.os
        other = not survey.os.keep or wanted not in (None, survey.os.family)
        if self.new("drive") and not other and survey.system_drive is not None:
            return not copy_starts(self.problem, self.board, self.parts.drive)
        return self.new("board", "drive") and other and self.problem.os is not None

    @property
    def may_copy(self) -> bool:
        """Whether the present installation may be copied onto a new system drive."""
        return self.new("drive") and not self.installs and self.problem.survey.system_drive is not None

    @property
    def fresh(self) -> bool:
        """Whether a system is put onto the system drive: other drives stay disconnected until that is done."""
        return self.installs or self.may_copy

    @property
    def start_mode(self) -> str | None:
        """How the kept system starts."""
        drive = self.problem.survey.system_drive
        if drive is None:
            return None
        return start_mode(self.problem, drive)

    # -- firmware -------------------------------------------------------------------------------------------------

    @property
    def firmware_needed(self) -> str | None:
        """First firmware that surely knows the processor; None when the support list does not say."""
        return first_firmware(self.board, self.cpu.family)

    @property
    def board_revision(self) -> str | None:
        """The board's revision: what its offer says that arrives, else what its row or the survey holds
        for."""
        offer = next((line.offer for line in self.plan.draft.lines if line.slot == "board"), None)
        stated = None if offer is None else offer.revision
        return stated or self.board.revision

    @property
    def firmware_steps(self) -> tuple[str, ...]:
        """Versions to install on the way to the one that is needed."""
        return stepping_stones(self.board, self.cpu.family)

    @property
    def sent_in(self) -> SentIn | None:
        """The trip of the board to the seller of its firmware update, where that is another one."""
        return sent_in(self.plan.draft, self.problem)

    @property
    def trip_facts(self) -> Facts:
        """To whom the board is sent in, the days there and back, and the day on which it is back."""
        trip = self.sent_in
        if trip is None:
            return {}
        return {"seller": self.name(trip.seller), "days": trip.days, "back": trip.back.isoformat()}

    @property
    def front_panel(self) -> str | None:
        """How switches and lamps are plugged: the case's way, or "own header" where the board that moves into
        another case has its maker's own."""
        moves = self.new("case") and not self.new("board")
        return "own header" if moves and self.old.case.front_panel == "own" else self.case.front_panel

    @property
    def firmware_state(self) -> str:
        """ "enough", "old" or "unknown": the firmware as it arrives against what the processor needs."""
        if not self.new("board", "cpu"):
            return "enough"
        if self.extras("firmware-update"):
            return "enough"
        state = firmware_state(self.board, self.cpu.family)
        return {"knows": "enough", "old": "old", "dropped": "old"}.get(state, "unknown")
