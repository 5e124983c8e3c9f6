"""Which open facts count as well as they can while they are not known, and the answer that restricts
least."""

from __future__ import annotations

from typing import Any

from partsolver.explain.answers import RECORD_ANSWERS, OpenQuestion
from partsolver.rules import fit_facts

# The answer a person hopes for, where it is not the last of the plausible ones.
HOPED: dict[str, Any] = {
    "pc.board_works": True,
    "pc.cpu_works": True,
    "pc.memory_works": True,
    "pc.always_on": False,
    "psu.pinout": "atx",
    "psu.main_plug": "24",
    "psu.cpu_plugs": ("8",),
    "psu.condition": "good",
    "psu.zero_load_12v": True,
    "case.form_factor": "atx",
    "case.aperture": "atx",
    "case.slot_height": "full",
    "case.standoffs_fixed": (),
    "case.front_usb3_plugs": 0,
    "case.front_panel": "separate",
    "case.front_audio": "hd",
    "board.memory_module": "dimm",
    "cooler.height_mm": 60,
    "drive.system": True,
    "drive.partition_table": "gpt",
    "drive.start_mode": "uefi",
    "drive.storage_mode": "ahci",
    "drive.encrypted": False,
    "drive.interface": "sata",
    "drive.kind": "ssd",
    "drive.power_plug": "sata",
    "display.inputs": ("hdmi-1.4",),
    "display": "none",
    "card": "none",
    "device": "none",
    "drive": "ssd",
    "os.licence": "account",
}


# Facts of which the rules take the most favourable value while they are unknown: an answer only ever takes
# plans away or makes them dearer or slower, never the reverse (tests/properties/test_questions.py tries it).
# ``TABLE`` alone is the list.
FAVOURABLE: frozenset[str] = frozenset(
    {
        f"psu.{key}"
        for key in (
            "card_plugs",
            "sata_plugs",
            "peripheral_plugs",
            "rail_5v_ma",
            "rail_3v3_ma",
            "condition",
            "cpu_lead_mm",
        )
    }
    | {
        f"case.{key}"
        for key in RECORD_ANSWERS["case"]
        if key not in ("max_board_width_mm", "max_board_depth_mm", "slot_height")
    }
    | {
        f"board.{key}"
        for key in (
            "memory_slots",
            "memory_max_mib",
            "memory_max_module_mib",
            "memory_max_rate_mts",
            "firmware_modes",
        )
    }
    | {
        "cooler.height_mm",
        "cooler.rated_w",
        "pc.board_works",
        "pc.cpu_works",
        "pc.memory_works",
        "pc.always_on",
    }
    | {"drive.encrypted", "drive.power_plug", "drive.storage_mode", "device"}
) - {
    # Not known, a fit fact bars a purchase: an answer can let one in.
    f"{slot}.{fact}"
    for slot in ("board", "case", "psu")
    for fact in fit_facts.READS[slot]
}


def favourable(question: OpenQuestion) -> bool:
    """Whether an answer can only make the unknown worse."""
    return _general(question.path) in FAVOURABLE


def _general(path: str) -> str:
    """``drive:NAME.kind`` as ``drive.kind``."""
    table, dot, key = path.rpartition(".")
    return f"{table.partition(':')[0]}{dot}{key}"


def hoped(question: OpenQuestion) -> Any:
    """The answer that would restrict least."""
    return HOPED.get(_general(question.path), question.answers[-1])
