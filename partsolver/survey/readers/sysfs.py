"""Lines "path:value" of small kernel files, as `grep . /sys/class/dmi/id/*` prints them (no root needed)."""

from __future__ import annotations

import re

from partsolver.standards.smbios_tables import CHASSIS_TYPE
from partsolver.survey.facts import Facts, Notes, is_placeholder
from partsolver.survey.readers.dmi_facts import bios_year, note_firmware_version
from partsolver.survey.readers.text import lines_of, whole

KIND = "sysfs"
_LINE = re.compile(r"(/sys/[A-Za-z0-9_./:-]+?):(.*)$")
_DMI = ("/sys/class/dmi/id/", "/sys/devices/virtual/dmi/id/")
EFI = "/sys/firmware/efi"
TPM = "/sys/class/tpm/tpm0/tpm_version_major"


def reads(data: bytes) -> bool:
    """Whether a line names a kernel file that a survey uses."""
    return any(line.startswith((*_DMI, f"{EFI}:", f"{TPM}:")) for line in lines_of(data))


def read(data: bytes, where: str) -> Facts:
    """Facts of the lines. Never fails."""
    notes = Notes(KIND)
    values: dict[str, tuple[str, str]] = {}
    for number, line in enumerate(lines_of(data), 1):
        match = _LINE.match(line)
        if match:
            key = match[1]
            for folder in _DMI:
                key = key.removeprefix(folder)
            values.setdefault(key, (match[2].strip(), f"{where}:{number}"))
    notes.hide_all((key, value) for key, (value, _) in values.items())

    def get(key: str) -> tuple[str, str]:
        return values.get(key, ("", where))

    for key, path, said in (
        ("board_name", "board.name", "board product"),
        ("board_vendor", "board.maker", "board maker"),
    ):
        value, at = get(key)
        notes.add(path, value, at, f"{said} {value!r}")
    (maker, at), (model, _) = get("sys_vendor"), get("product_name")
    if not is_placeholder(maker) and not is_placeholder(model):
        notes.add("pc.maker_model", f"{maker} {model}", at, f"system {maker!r} {model!r}")
    if "virtual" in model.lower():
        notes.add("pc.seen_virtual", True, at, "system of a virtual machine", "sure")
    version, at = get("bios_version")
    note_firmware_version(notes, version, at)
    date, at = get("bios_date")
    notes.add("board.seen_firmware_year", bios_year(date), at, f"firmware dated {date}", "doubtful")
    code, at = get("chassis_type")
    word = CHASSIS_TYPE.get((whole(code) or 0) & 0x7F)
    notes.add("case.seen_chassis", word, at, f"chassis type {word}", "doubtful")
    efi, at = get(EFI)
    if efi in ("present", "absent"):
        mode = "uefi" if efi == "present" else "legacy"
        notes.add(
            "os.seen_start_mode", mode, at, f"{EFI} is {efi}: this system started by {mode} firmware", "sure"
        )
    major, at = get(TPM)
    if major in ("1", "2"):
        notes.add("board.tpm", "2.0" if major == "2" else "1.2", at, f"TPM of major version {major}", "sure")
    return notes.done()
