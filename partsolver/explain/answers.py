"""Plausible answers to the open questions of a survey: what a person may find when looking.

A fact not listed here has no small set of answers (a name, a mass) or changes no plan. Values are typical of PCs of
the last twenty years (common practice); they only serve to see whether an answer would change the plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from partsolver.survey.model import Survey

_GIB = 1024


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """A fact the survey does not know: its path, plausible answers, and how the survey looks with one of them."""

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
        "standoffs_fixed": ((), ("A",)),
        "front_usb3_plugs": (0, 1),
        "front_audio": ("hd", "ac97", "none"),
        "front_panel": ("separate", "own"),
    },
    "board": {
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
        "year": (2008, 2012, 2016),
    },
    "cooler": {
        "height_mm": (60, 120, 160),
        "rated_w": (65, 95, 130),
    },
}
DRIVE_ANSWERS: dict[str, tuple[Any, ...]] = {
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


def open_questions(survey: Survey) -> Iterator[OpenQuestion]:
    """Every open fact that has plausible answers, in survey order."""
    for table, facts in RECORD_ANSWERS.items():
        record = getattr(survey, table)
        if record is None:
            continue
        for key, answers in facts.items():
            if getattr(record, key) is None:
                yield OpenQuestion(f"{table}.{key}", answers, _record_answer(survey, table, key))
    for table, facts in (("drives", DRIVE_ANSWERS), ("displays", DISPLAY_ANSWERS)):
        for index, row in enumerate(getattr(survey, table)):
            for key, answers in facts.items():
                if getattr(row, key) is None and _asked(table, key, row):
                    word = table[:-1]
                    yield OpenQuestion(f"{word}:{row.name}.{key}", answers, _row_answer(survey, table, index, key))
    for key, answers in OS_ANSWERS.items():
        if getattr(survey.os, key) is None:
            yield OpenQuestion(f"os.{key}", answers, _os_answer(survey, key))


def _asked(table: str, key: str, row: Any) -> bool:
    """Whether a fact of a drive or display can matter: start facts of the system drive, encryption of disks."""
    if table != "drives":
        return True
    if key in ("partition_table", "start_mode", "storage_mode"):
        return bool(row.system)
    return key != "encrypted" or row.kind not in ("optical", "floppy")


# The answer a person hopes for, where it is not the last of the plausible ones.
HOPED = {
    "psu.pinout": "atx", "psu.main_plug": "24", "psu.cpu_plugs": ("8",), "psu.condition": "good", "psu.zero_load_12v": True,
    "case.form_factor": "atx", "case.aperture": "atx", "case.slot_height": "full", "case.standoffs_fixed": (),
    "case.front_panel": "separate", "case.front_audio": "hd", "os.licence": "account",
}  # fmt: skip


def hoped(question: OpenQuestion) -> Any:
    """The answer that would restrict least."""
    return HOPED.get(question.path, question.answers[-1])


def _record_answer(survey: Survey, table: str, key: str) -> Callable[[Any], Survey]:
    return lambda value: survey.model_copy(update={table: replace(getattr(survey, table), **{key: value})})


def _row_answer(survey: Survey, table: str, index: int, key: str) -> Callable[[Any], Survey]:
    def answered(value: Any) -> Survey:
        rows = list(getattr(survey, table))
        rows[index] = rows[index].model_copy(update={key: value})
        return survey.model_copy(update={table: tuple(rows)})

    return answered


def _os_answer(survey: Survey, key: str) -> Callable[[Any], Survey]:
    return lambda value: survey.model_copy(update={"os": survey.os.model_copy(update={key: value})})
