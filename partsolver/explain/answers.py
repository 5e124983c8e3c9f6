"""Plausible answers to the open questions of a survey: what a person may find when looking.

A fact not listed here has no small set of answers (a name, a mass) or changes no plan. Values are typical of
PCs of the last twenty years (common practice); they only serve to see whether an answer would change the
plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from partsolver.assembly.plugs import asks_for_plugs, power_plug
from partsolver.assembly.supply import early_standby
from partsolver.base.records import record
from partsolver.catalog.records import Cooler
from partsolver.standards.plugs import card_power_mw
from partsolver.survey.bounds import bounded_answers
from partsolver.survey.interview.questions import OF_SYSTEM
from partsolver.survey.model import Card, Device, Display, Drive, MemoryModule, Survey

_GIB = 1024


@record
class OpenQuestion:
    """A fact the survey does not know: its path, plausible answers, and how the survey looks with one of
    them."""

    path: str
    answers: tuple[Any, ...]
    answered: Callable[[Any], Survey]


RECORD_ANSWERS: dict[str, dict[str, tuple[Any, ...]]] = {
    "psu": {
        "pinout": ("atx", "own"),
        "main_plug": ("24", "20"),
        "cpu_plugs": (("4",), ("8",), ()),
        "cpu_lead_mm": (350, 600),
        "card_plugs": ((), ("6",), ("8", "6")),
        "rated_w": (250, 350, 500),
        "year": (2008, 2013, 2019),
        "sata_plugs": (2, 4),
        "peripheral_plugs": (0, 2, 4),
        "rail_12v_ma": ((14000,), (20000,), (30000,)),
        "rail_5v_ma": (12000, 20000),
        "rail_3v3_ma": (12000, 20000),
        "condition": ("good", "noisy", "bulged"),
        "zero_load_12v": (True, False),
    },
    "case": {
        "form_factor": ("atx", "microatx", "mini-itx", "own"),
        "max_board_width_mm": (244, 305),
        "max_board_depth_mm": (200, 230, 260),
        "aperture": ("atx", "fixed"),
        "slot_openings": (2, 4, 7),
        "slot_height": ("full", "low"),
        "max_cooler_height_mm": (60, 120, 160),
        "standoffs": (tuple("CFHJ"), tuple("BCFHJLMR"), tuple("ACFGHJKLM")),
        "standoffs_fixed": ((), ("C", "F"), ("A",)),
        "front_usb3_plugs": (0, 1),
        "front_audio": ("hd", "ac97", "none"),
        "front_panel": ("separate", "own"),
    },
    "board": {
        "memory_generation": ("ddr2", "ddr3", "ddr4"),
        "memory_slots": (2, 4),
        "memory_channels": (1, 2),
        "memory_max_mib": (8 * _GIB, 16 * _GIB, 32 * _GIB),
        "memory_max_module_mib": (2 * _GIB, 4 * _GIB, 8 * _GIB),
        "memory_max_rate_mts": (800, 1333, 1600),
        "sata_6g_ports": (0, 2),
        "sata_3g_ports": (0, 4),
        "firmware_modes": (("legacy",), ("legacy", "uefi")),
    },
    "cpu": {
        "cores": (1, 2, 4),
        "base_mhz": (1800, 2600, 3400),
        "year": (2008, 2012, 2016),
    },
    "cooler": {
        "height_mm": (60, 120, 160),
        "rated_w": (65, 95, 130),
    },
}
# Facts that count as true, or as the first answer, until somebody says otherwise: asked where nobody did.
PC_ANSWERS: dict[str, tuple[Any, ...]] = {
    "board_works": (True, False),
    "cpu_works": (True, False),
    "memory_works": (True, False),
    "always_on": (False, True),
}
MODULE_ANSWERS: dict[str, tuple[Any, ...]] = {
    "generation": ("ddr2", "ddr3", "ddr4"),
    "capacity_mib": (1 * _GIB, 2 * _GIB, 4 * _GIB),
    "rate_mts": (667, 800, 1333, 1600),
}
_MODULE_KINDS = ("dimm", "so-dimm")
# So many disks may start on one lead without a look at it: 3 x 2.8 A of 9 A (standards/plugs).
LEAD_DISKS = 4
DRIVE_ANSWERS: dict[str, tuple[Any, ...]] = {
    "system": (True, False),
    "partition_table": ("gpt", "mbr"),
    "start_mode": ("uefi", "legacy"),
    "storage_mode": ("ahci", "ide", "raid"),
    "encrypted": (True, False),
    "interface": ("sata", "pata", "m2-nvme"),
    "kind": ("ssd", "hdd35"),
    "power_plug": ("sata", "peripheral"),
}
DISPLAY_ANSWERS: dict[str, tuple[Any, ...]] = {"inputs": (("vga",), ("dvi-d",), ("hdmi-1.4",), ("dp-1.2",))}
OS_ANSWERS: dict[str, tuple[Any, ...]] = {"licence": ("oem", "retail", "account", "none-needed")}

_MONITOR: dict[str, Any] = {"width_px": 1680, "height_px": 1050, "refresh_hz": 60}
_DISK: dict[str, Any] = {"name": "system drive", "interface": "sata", "system": True, "power_plug": "sata"}
# Lists nobody mentioned: word for an answer -> the rows it stands for. "none" is an answer like the others.
LIST_ANSWERS: dict[str, dict[str, tuple[Any, ...]]] = {
    "display": {
        "none": (),
        "vga": (Display(name="monitor", inputs=("vga",), **_MONITOR),),
        "dvi-d": (Display(name="monitor", inputs=("dvi-d",), **_MONITOR),),
        "hdmi-1.4": (Display(name="monitor", inputs=("hdmi-1.4",), **_MONITOR),),
    },
    "card": {
        "none": (),
        "graphics": (Card(name="graphics card", kind="graphics", bus="pcie", lanes=16),),
        "pcie": (Card(name="card", kind="other", bus="pcie", lanes=1),),
        "pci": (Card(name="card", kind="other", bus="pci"),),
    },
    "device": {
        "none": (),
        "ps2": (Device(name="keyboard", port="ps2"),),
        "serial": (Device(name="serial device", port="serial"),),
        "parallel": (Device(name="printer", port="parallel"),),
    },
    "drive": {
        "ssd": (Drive(kind="ssd", start_mode="uefi", **_DISK),),
        "hdd35": (Drive(kind="hdd35", start_mode="legacy", **_DISK),),
        "pata": (
            Drive(
                kind="hdd35",
                start_mode="legacy",
                **{**_DISK, "interface": "pata", "power_plug": "peripheral"},
            ),
        ),
    },
}
_ROWS = {"display": "displays", "card": "cards", "device": "devices", "drive": "drives", "memory": "memory"}


def open_questions(survey: Survey, sockets: Sequence[str] = ()) -> Iterator[OpenQuestion]:
    """Every open fact that has plausible answers, in survey order. ``sockets``: those the present board may
    have."""
    yield from _pc_and_records(survey)
    yield from _rails_and_socket(survey, sockets)
    yield from _memory(survey)
    yield from _drives_and_displays(survey)
    yield from _card_loads(survey)
    yield from _lists_and_system(survey)


def _pc_and_records(survey: Survey) -> Iterator[OpenQuestion]:
    for key, answers in PC_ANSWERS.items():
        if getattr(survey.pc, key) is None or f"pc.{key}" in survey.assumed:
            yield OpenQuestion(f"pc.{key}", answers, _model_answer(survey, "pc", key))
    for table, facts in RECORD_ANSWERS.items():
        record = _record(survey, table)
        for key, listed in facts.items():
            answers = bounded_answers(survey, key, listed)
            if getattr(record, key) is None and not (key == "base_mhz" and survey.cpu.boost_mhz is not None):
                yield OpenQuestion(f"{table}.{key}", answers, _record_answer(survey, table, key))


def _rails_and_socket(survey: Survey, sockets: Sequence[str]) -> Iterator[OpenQuestion]:
    rails = survey.psu.rail_12v_ma or ()
    if len(rails) > 1 and survey.psu.combined_12v_ma is None:
        # Often less than the rails add up to (common practice: labels of ATX12V 2.x supplies).
        yield OpenQuestion(
            "psu.combined_12v_ma",
            (sum(rails) * 3 // 4, sum(rails)),
            _record_answer(survey, "psu", "combined_12v_ma"),
        )
    if len(rails) > 1 and survey.psu.cpu_rail is None:
        # Found in opened units: 12V2 or 12V1 feeds the processor, or nothing is limited singly (loads
        # reference 5a).
        yield OpenQuestion("psu.cpu_rail", (1, 2, 0), _record_answer(survey, "psu", "cpu_rail"))
    if survey.psu.rail_5vsb_ma is None and early_standby(survey.psu):
        # 0.72 to 1 A before 2004, 2 A later (loads reference section 6).
        yield OpenQuestion("psu.rail_5vsb_ma", (720, 2000), _record_answer(survey, "psu", "rail_5vsb_ma"))
    yield from _leads(survey)
    if survey.board.socket is None and sockets:
        yield OpenQuestion("board.socket", tuple(sockets), _socket_answer(survey))


def _leads(survey: Survey) -> Iterator[OpenQuestion]:
    """How many leads carry the plugs: asked where several disks start on them, or an adapter may hang
    there."""
    psu = survey.psu
    for key, plug, plugs in (
        ("sata_leads", "sata", psu.sata_plugs),
        ("peripheral_leads", "peripheral", psu.peripheral_plugs),
    ):
        disks = sum(power_plug(drive) == plug for drive in survey.drives)
        adapter = plug == "peripheral" and (
            psu.cpu_plugs == () or any(card.power_plugs for card in survey.cards)
        )
        if getattr(psu, key) is None and plugs != 0 and plugs != 1 and (disks >= LEAD_DISKS or adapter):
            yield OpenQuestion(f"psu.{key}", (1, 2), _record_answer(survey, "psu", key))


def _card_loads(survey: Survey) -> Iterator[OpenQuestion]:
    """Which plugs a graphics card has; what one with plugs draws: all that slot and plugs carry, or half
    of it (measured cards lie between)."""
    for index, card in enumerate(survey.cards):
        if asks_for_plugs(card):
            answered = _row_answer(survey, "cards", index, "power_plugs")
            yield OpenQuestion(f"card:{card.name}.power_plugs", (("8",), ("6",), ()), answered)
        if card.power_plugs and card.load_mw is None:
            most = card_power_mw(card.power_plugs)
            yield OpenQuestion(
                f"card:{card.name}.load_mw", (most, most // 2), _row_answer(survey, "cards", index, "load_mw")
            )


def _drives_and_displays(survey: Survey) -> Iterator[OpenQuestion]:
    for table, facts in (("drives", DRIVE_ANSWERS), ("displays", DISPLAY_ANSWERS)):
        for index, row in enumerate(getattr(survey, table)):
            for key, answers in facts.items():
                if getattr(row, key) is None and _asked(survey, table, key, row):
                    word = table[:-1]
                    if key == "system" and _only_disk(survey):
                        answers = (True,)
                    yield OpenQuestion(
                        f"{word}:{row.name}.{key}", answers, _row_answer(survey, table, index, key)
                    )


def _lists_and_system(survey: Survey) -> Iterator[OpenQuestion]:
    for table, lists in LIST_ANSWERS.items():
        if table in survey.unlisted:
            yield OpenQuestion(table, tuple(lists), _list_answer(survey, table, lists))
    for key, answers in OS_ANSWERS.items():
        if getattr(survey.os, key) is None:
            yield OpenQuestion(f"os.{key}", answers, _model_answer(survey, "os", key))


def _record(survey: Survey, table: str) -> Any:
    found = getattr(survey, table)
    # A survey without a [cooler] knows nothing of it.
    return Cooler(id="kept-cooler", name="present cooler") if found is None and table == "cooler" else found


def _asked(survey: Survey, table: str, key: str, row: Any) -> bool:
    """Whether a fact of a drive or display can matter: start facts of the system drive, encryption of
    disks."""
    if table != "drives":
        return True
    if key == "system":
        return survey.system_drive is None and row.kind in (None, "ssd", "hdd35", "hdd25")
    if key == "partition_table" and row.start_mode is None:
        return False  # how the system starts is easier to see, and tells as much
    if key in OF_SYSTEM:
        return bool(row.system) or (
            row.system is None and row.kind not in ("optical", "floppy") and _only_disk(survey)
        )
    return key != "encrypted" or row.kind not in ("optical", "floppy")


def _only_disk(survey: Survey) -> bool:
    """Whether one drive alone can hold the system: a PC that starts has it there (common practice)."""
    return (
        sum(
            drive.kind in (None, "ssd", "hdd35", "hdd25") and drive.interface != "usb"
            for drive in survey.drives
        )
        == 1
    )


def _memory(survey: Survey) -> Iterator[OpenQuestion]:
    """Facts of the modules. Kind and generation are those of the slots, so one answer holds for all rows."""
    if survey.board.memory_module is None:
        yield OpenQuestion("board.memory_module", _MODULE_KINDS, _kind_answer(survey))
    if "memory" in survey.unlisted:
        lists = _module_lists(survey.board.memory_generation)
        yield OpenQuestion("memory", tuple(lists), _list_answer(survey, "memory", lists))
    several = len(survey.memory) > 1
    for index, module in enumerate(survey.memory):
        for key, listed in MODULE_ANSWERS.items():
            answers = bounded_answers(survey, key, listed)
            if getattr(module, key) is None:
                path = f"memory:{index + 1}.{key}" if several else f"memory.{key}"
                yield OpenQuestion(path, answers, _row_answer(survey, "memory", index, key))


def _module_lists(generation: str | None) -> dict[str, tuple[MemoryModule, ...]]:
    def two(mib: int) -> tuple[MemoryModule, ...]:
        return (MemoryModule.model_validate({"generation": generation, "capacity_mib": mib, "count": 2}),)

    return {"none": (), "2x1024": two(1 * _GIB), "2x2048": two(2 * _GIB), "2x4096": two(4 * _GIB)}


def _record_answer(survey: Survey, table: str, key: str) -> Callable[[Any], Survey]:
    return lambda value: survey.model_copy(update={table: replace(_record(survey, table), **{key: value})})


def _model_answer(survey: Survey, table: str, key: str) -> Callable[[Any], Survey]:
    return lambda value: survey.model_copy(
        update={table: getattr(survey, table).model_copy(update={key: value})}
    )


def _row_answer(survey: Survey, table: str, index: int, key: str) -> Callable[[Any], Survey]:
    def answered(value: Any) -> Survey:
        rows = list(getattr(survey, table))
        # Who says how the system starts from a drive says that it is there.
        more = {"system": True} if table == "drives" and key in OF_SYSTEM else {}
        rows[index] = rows[index].model_copy(update={key: value, **more})
        return survey.model_copy(update={table: tuple(rows)})

    return answered


def _list_answer(survey: Survey, table: str, lists: Mapping[str, tuple[Any, ...]]) -> Callable[[Any], Survey]:
    left = tuple(name for name in survey.unlisted if name != table)
    return lambda value: survey.model_copy(update={_ROWS[table]: lists[value], "unlisted": left})


def _socket_answer(survey: Survey) -> Callable[[Any], Survey]:
    """The present processor sits in the board's socket."""

    def answered(value: Any) -> Survey:
        cpu = survey.cpu if survey.cpu.socket is not None else replace(survey.cpu, socket=value)
        return survey.model_copy(update={"board": replace(survey.board, socket=value), "cpu": cpu})

    return answered


def _kind_answer(survey: Survey) -> Callable[[Any], Survey]:
    """The present modules are of the slots' kind."""

    def answered(value: Any) -> Survey:
        rows = tuple(
            m if m.module is not None else m.model_copy(update={"module": value}) for m in survey.memory
        )
        return survey.model_copy(update={"board": replace(survey.board, memory_module=value), "memory": rows})

    return answered
