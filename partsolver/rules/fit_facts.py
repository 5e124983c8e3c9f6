"""Nothing is bought that may turn out useless because its basic fit is not known.

For each thing that is bought these *fit facts* must be known, of it and of what it goes into: generation,
form, buffering and places of memory modules; the outlines of board and case; slots for the cards that stay;
the bays of case and supply; the port of a drive; slots, power plugs and outputs for a graphics card. What
stays together works today and bounds them: as many modules as sit in the board now go in again, and a drive
like the present one finds its port. Socket, cooler and plugs bar a purchase in rules of their own. A purchase
that this rule alone bars is looked for as the hoped plan (explain/hoped.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from partsolver.assembly.modules import memory_question, part_question
from partsolver.catalog.records import Board
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.problem.candidates import Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.facts"
STATEMENT = "Nothing is bought whose basic fit is not known."
SOURCE = "common practice: a part of the wrong generation, form or size is useless, however cheap"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory", "psu", "case", "drive", "graphics")
READS: Reads = {
    "board": (
        "depth_mm", "form_factor", "m2_slots", "memory_generation", "memory_module", "memory_registered",
        "memory_slots", "sata_1g5_ports", "sata_3g_ports", "sata_6g_ports", "slots", "width_mm",
    ),
    "memory": ("generation", "kit.registered", "module", "modules", "with_kept"),
    "psu": ("form",),
    "case": ("form_factor", "psu_form"),
    "drive": ("kept", "part.interface"),
    "graphics": ("card",),
}  # fmt: skip
SURVEY: tuple[str, ...] = ("cards", "displays", "drives", "memory")
# (question, slots of what is bought on the strength of it)
Missing = tuple[str, tuple[SlotName, ...]]


def _modules_today(problem: Problem) -> int:
    return sum(module.count for module in problem.survey.memory)


def _needs_slots(problem: Problem) -> bool:
    return any(card.required for card in problem.survey.cards)


def _bought(parts: Parts, *slots: SlotName) -> tuple[SlotName, ...]:
    return tuple(slot for slot in slots if not parts.candidate(slot).kept)


def _memory(parts: Parts, problem: Problem) -> Iterator[str]:
    board, memory = parts.board, parts.memory
    for fact, of_modules, of_board in (
        ("generation", memory.generation, board.memory_generation),
        ("module", memory.module, board.memory_module),
    ):
        if of_board is None:
            yield part_question(parts.candidate("board"), f"memory_{fact}")
        if of_modules is None:
            yield memory_question(memory, fact)
    if memory.kit is not None:
        if memory.kit.registered is None:
            yield memory_question(memory, "registered", False)
        elif memory.kit.registered and board.memory_registered is None:
            yield part_question(parts.candidate("board"), "memory_registered")
    as_today = parts.board_kept and memory.modules <= _modules_today(problem)
    if board.memory_slots is None and not as_today:
        yield part_question(parts.candidate("board"), "memory_slots")


def _outline(parts: Parts, problem: Problem) -> Iterator[str]:
    board = parts.candidate("board")
    for fact in ("form_factor", "width_mm", "depth_mm"):
        if getattr(parts.board, fact) is None:
            yield part_question(board, fact)
    if parts.case.form_factor is None:
        yield part_question(parts.candidate("case"), "form_factor")
    if _needs_slots(problem) and parts.board.slots is None:
        yield part_question(board, "slots")


def _bay(parts: Parts, problem: Problem) -> Iterator[str]:
    if parts.psu.form is None:
        yield part_question(parts.candidate("psu"), "form")
    if parts.case.psu_form is None:
        yield part_question(parts.candidate("case"), "psu_form")


def _drive(parts: Parts, problem: Problem) -> Iterator[str]:
    drive = parts.drive.part
    if drive is None:
        return
    if drive.interface is None:
        yield part_question(parts.candidate("drive"), "interface")
    elif not (parts.board_kept and _port_today(drive.interface, problem)):
        column = _unknown_port(drive.interface, parts.board)
        if column:
            yield part_question(parts.candidate("board"), column)


def _port_today(interface: str, problem: Problem) -> bool:
    """Whether the present system drive leaves such a port free."""
    present = problem.survey.system_drive
    return present is not None and present.interface == interface


def _unknown_port(interface: str, board: Board) -> str:
    """The board's column that would say whether it has such a port; "" where it is known."""
    if interface.startswith("m2"):
        return "m2_slots" if board.m2_slots is None else ""
    if interface != "sata":
        return ""
    ports = {name: getattr(board, name) for name in ("sata_6g_ports", "sata_3g_ports", "sata_1g5_ports")}
    if any(ports.values()):
        return ""
    return next((name for name, count in ports.items() if count is None), "")


def _card(parts: Parts, problem: Problem) -> Iterator[str]:
    card = parts.graphics.card
    if card is None:
        return
    shown = any(display.required for display in problem.survey.displays)
    if parts.board.slots is None:
        yield part_question(parts.candidate("board"), "slots")
    if card.power_plugs is None:
        yield part_question(parts.candidate("graphics"), "power_plugs")
    if card.outputs is None and shown:
        yield part_question(parts.candidate("graphics"), "outputs")


_CHECKS = (
    (("board", "memory"), _memory),
    (("board", "case"), _outline),
    (("psu", "case"), _bay),
    (("drive",), _drive),
    (("graphics",), _card),
)


def missing_facts(parts: Parts, problem: Problem) -> tuple[Missing, ...]:
    """The fit facts that are not known for what is bought, each once, with the slots bought on their
    strength."""
    found: dict[str, tuple[SlotName, ...]] = {}
    for slots, check in _CHECKS:
        bought = _bought(parts, *slots)
        for path in check(parts, problem) if bought else ():
            found[path] = tuple(dict.fromkeys((*found.get(path, ()), *bought)))
    return tuple(found.items())


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    if parts.unchanged:
        return ()
    missing = missing_facts(parts, problem)
    if not missing:
        return (fits(ID),)
    return tuple(
        unknown(
            ID, path, tuple(parts.candidate(s).id or s for s in slots), blocks=True, slots=" ".join(slots)
        )
        for path, slots in missing
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    today = _modules_today(problem)

    def board_of_memory(candidate: Candidate) -> tuple[bool, bool, bool | None, int | None]:
        board: Board = candidate.part  # type: ignore[assignment]
        known = board.memory_generation is not None and board.memory_module is not None
        return candidate.kept, known, board.memory_registered, board.memory_slots

    def of_modules(candidate: Candidate) -> tuple[bool, bool, str, int]:
        memory = candidate.part
        known = memory.generation is not None and memory.module is not None  # type: ignore[union-attr]
        kit = memory.kit  # type: ignore[union-attr]
        buffered = "none" if kit is None else {None: "?", True: "yes", False: "no"}[kit.registered]
        return candidate.kept, known, buffered, memory.modules  # type: ignore[union-attr]

    def goes(board: tuple[Any, ...], memory: tuple[Any, ...]) -> bool:
        (board_kept, slots_known, takes_registered, slots), (kept, modules_known, buffered, count) = (
            board,
            memory,
        )
        if board_kept and kept:
            return True
        if not (slots_known and modules_known) or buffered == "?":
            return False
        if buffered == "yes" and takes_registered is None:
            return False
        return slots is not None or (board_kept and count <= today)

    def sure(*slots_and_keys: Any) -> None:
        """Two slots of which one may be bought only when both are known."""
        (first, knows_first), (second, knows_second) = slots_and_keys
        picks.support(
            (first, second),
            (f"{ID} {first} {second}", f"{ID} {second} {first}"),
            (lambda c: (c.kept, knows_first(c.part)), lambda c: (c.kept, knows_second(c.part))),
            lambda one, other: (one[0] and other[0]) or (one[1] and other[1]),
            on,
        )

    picks.support(
        ("board", "memory"), (f"{ID} slots", f"{ID} modules"), (board_of_memory, of_modules), goes, on
    )
    cards = _needs_slots(problem)
    sizes = ("form_factor", "width_mm", "depth_mm", *(("slots",) if cards else ()))
    sure(
        ("board", lambda b: all(getattr(b, name) is not None for name in sizes)),
        ("case", lambda c: c.form_factor is not None),
    )
    sure(("psu", lambda p: p.form is not None), ("case", lambda c: c.psu_form is not None))
    _post_drive(picks, problem, on)
    shown = any(display.required for display in problem.survey.displays)

    def card_known(candidate: Candidate) -> tuple[bool, bool]:
        card = candidate.part.card  # type: ignore[union-attr]
        return candidate.kept, card is None or (
            card.power_plugs is not None and (card.outputs is not None or not shown)
        )

    picks.support(
        ("graphics", "board"),
        (f"{ID} card", f"{ID} slots of cards"),
        (card_known, lambda c: c.part.slots is not None),
        lambda card, slots: card[0] or (card[1] and slots),
        on,
    )


def _post_drive(picks: Picks, problem: Problem, on: BoolVar) -> None:
    present = problem.survey.system_drive
    free = None if present is None else present.interface

    def plug(candidate: Candidate) -> str:
        part = candidate.part.part  # type: ignore[union-attr]
        return "none" if part is None else part.interface or "?"

    def ports(candidate: Candidate) -> tuple[bool, bool, bool]:
        board: Board = candidate.part  # type: ignore[assignment]
        sata = [board.sata_6g_ports, board.sata_3g_ports, board.sata_1g5_ports]
        return candidate.kept, board.m2_slots is not None, None not in sata or any(sata)

    def port_known(plug: str, board: tuple[bool, bool, bool]) -> bool:
        kept, m2, sata = board
        if plug == "?":
            return False
        if (kept and plug == free) or plug not in ("m2-nvme", "m2-sata", "sata"):
            return True
        return sata if plug == "sata" else m2

    picks.support(("drive", "board"), (f"{ID} plug", f"{ID} ports"), (plug, ports), port_known, on)
