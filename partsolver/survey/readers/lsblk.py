"""lsblk --json of util-linux 2.27 to today (sizes as text or bytes, flags as text or booleans, flat or
nested), and its plain table."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from partsolver.survey.facts import OUTSIDE, Facts, Notes, clean
from partsolver.survey.readers.lsblk_table import table_of
from partsolver.survey.readers.text import is_broken_off, json_of
from partsolver.survey.readers.units import size_bytes

KIND = "lsblk"
_DRIVE = re.compile(r"(?:/dev/)?(sd[a-z]{1,3}|hd[a-z]|vd[a-z]|nvme\d+n\d+|sr\d+|fd\d+|mmcblk\d+\w*)$")
_MOST_GB = 1_000_000
Rows = list[tuple[dict[str, Any], str]]


def reads(data: bytes) -> bool:
    """Whether a value has the key ``blockdevices`` with a list, or a table with lsblk's head stands in it."""
    return any(_devices(value) is not None for value in json_of(data)) or bool(table_of(data))


def _devices(value: Any) -> list[Any] | None:
    listed = value.get("blockdevices") if isinstance(value, dict) else None
    return listed if isinstance(listed, list) else None


def read(data: bytes, where: str) -> Facts:
    """Facts of all drives that are built in. Never fails."""
    notes = Notes(KIND)
    rows: Rows = []
    # a second list in one file would be another run or another PC
    first = next((found for value in json_of(data) if (found := _devices(value)) is not None), [])
    for index, device in enumerate(first):
        rows += _rows(device, f"{where} $.blockdevices[{index}]", 0)
    if not rows:
        table = table_of(data)
        rows = _places(table, where)
        if table and not any("tran" in row for row, _ in table):
            notes.remark(
                f"{where} does not say how a drive is connected: leave out what is plugged in by USB"
            )
    if rows and is_broken_off(data):
        rows.pop()  # half a row may lack the key that tells a stick from a drive
        notes.remark(f"{where} is broken off: drives may be missing")
    for row, _ in rows:
        notes.hide_all(row.items())
    drives: dict[str, str] = {}
    for row, at in rows:
        name = _name(row)
        match = _DRIVE.match(name)
        if (
            match
            and row.get("type") in ("disk", "rom", None)
            and name not in drives
            and _drive(row, name, at, rows, notes)
        ):
            drives[name] = at
    _mounts(rows, drives, notes)
    return notes.done()


def _rows(device: Any, where: str, depth: int) -> Iterator[tuple[dict[str, Any], str]]:
    if not isinstance(device, dict):
        return
    yield device, where
    children = device.get("children")
    if isinstance(children, list) and depth < 20:
        for index, child in enumerate(children):
            yield from _rows(child, f"{where}.children[{index}]", depth + 1)


def _places(table: list[tuple[dict[str, Any], int]], where: str) -> Rows:
    """Rows of a table with places in which a part's begins with that of its drive, as in the tree of JSON."""
    above: list[tuple[int, str]] = []
    found: Rows = []
    for row, line in table:
        while above and above[-1][0] >= row["depth"]:
            above.pop()
        at = f"{above[-1][1]}.{line}" if above else f"{where}:{line}"
        above.append((row["depth"], at))
        found.append((row, at))
    return found


def _name(row: dict[str, Any]) -> str:
    name = row.get("kname") or row.get("name")
    return name.removeprefix("/dev/") if isinstance(name, str) else ""


def _flag(value: Any) -> bool | None:
    return {"1": True, "0": False, "true": True, "false": False}.get(str(value).strip().lower())


def _drive(row: dict[str, Any], name: str, where: str, rows: Rows, notes: Notes) -> bool:
    """Note one drive; False for what is no built-in drive."""
    tran = row.get("tran") if isinstance(row.get("tran"), str) else None
    if name.startswith("fd"):
        notes.remark(f"The system lists a floppy drive ({where}); look whether there is one")
        return False
    if name.startswith("mmcblk") or name.startswith("vd"):
        if name.startswith("mmcblk") and re.fullmatch(r"mmcblk\d+", name):
            notes.remark(f"Storage soldered to the board or in a card reader is left out ({where})")
        return False
    if tran in ("iscsi", "fc", "fcoe"):
        notes.add(f"drive[{name}].{OUTSIDE}", True, where, f"transport {tran}", "doubtful")
        notes.remark(f"A drive that is reached over a network is left out ({where})")
        return False
    removable = _flag(row.get("rm")) and not name.startswith("sr")
    plugged = _flag(row.get("hotplug")) and tran not in ("sata", "ata", "nvme", None)
    # without a transport, a place under /media tells a stick from a drive
    media = tran is None and any(
        mount.startswith(("/media/", "/run/media/"))
        for r, at in rows
        if _within(r, at, name, where)
        for mount in _mountpoints(r)
    )
    if tran == "usb" or removable or plugged or (media and not name.startswith("sr")):
        if tran == "usb" or plugged:
            notes.add(f"drive[{name}].{OUTSIDE}", True, where, f"transport {tran}", "doubtful")
        notes.remark(f"A removable or USB drive is left out ({where})")
        return False
    model = row.get("model") if isinstance(row.get("model"), str) else ""
    at = f"drive[{name}]"
    notes.add(f"{at}.seen_name", name, where, f"device {name}", "doubtful")
    notes.add(f"{at}.seen_model", model, where, f"model {clean(model or '')!r}", "doubtful")
    optical = row.get("type") == "rom" or name.startswith("sr")
    _interface(row, name, tran, optical, where, notes)
    size = size_bytes(str(row.get("size"))) if row.get("size") is not None else None
    if size and not optical:
        bytes_, exact = size
        gigabytes = (bytes_ + 500_000_000) // 10**9
        if 0 < gigabytes <= _MOST_GB:
            close = exact or gigabytes < 1000  # "1.8T" leaves tens of GB open
            notes.add(
                f"{at}.capacity_gb",
                gigabytes,
                where,
                f"size {row.get('size')}",
                "sure" if close else "doubtful",
            )
    table = {"gpt": "gpt", "dos": "mbr"}.get(str(row.get("pttype")))
    notes.add(f"{at}.partition_table", table, where, f"partition table {row.get('pttype')}", "sure")
    return True


def _interface(
    row: dict[str, Any], name: str, tran: str | None, optical: bool, where: str, notes: Notes
) -> None:
    at, turns = f"drive[{name}]", _flag(row.get("rota"))
    if optical:
        notes.add(f"{at}.kind", "optical", where, "type rom", "sure")
    elif turns is False:
        notes.add(f"{at}.kind", "ssd", where, "does not rotate", "likely")
    elif turns is True:
        notes.add(f"{at}.kind", "hdd35", where, "rotates; 3.5 or 2.5 inch is not said", "doubtful")
    if name.startswith("nvme") or tran == "nvme":
        notes.add(f"{at}.interface", "m2-nvme", where, "NVMe device")
    elif tran == "sata":
        # an M.2 module with SATA looks the same to the system
        notes.add(
            f"{at}.interface", "sata", where, "transport sata", "likely" if optical or turns else "doubtful"
        )
    elif tran == "ata":
        notes.add(
            f"{at}.interface", "pata", where, "transport ata: PATA, or SATA of the first years", "doubtful"
        )


def _mounts(rows: Rows, drives: dict[str, str], notes: Notes) -> None:
    """System drive, start mode and encryption from the mount points. Nothing is noted where / lies on several
    drives."""
    roots: dict[str, str] = {}
    efi: dict[str, str] = {}
    locked: set[str] = set()
    for drive, start in drives.items():
        for row, at in rows:
            if not _within(row, at, drive, start):
                continue
            nested = at.startswith(f"{start}.")
            mounts = _mountpoints(row)
            if "/" in mounts:
                roots.setdefault(drive, at)
                if nested and any(
                    r.get("type") == "crypt"
                    for r, a in rows
                    if a.startswith(f"{start}.") and at.startswith(a)
                ):
                    locked.add(drive)
            if mounts & {"/boot/efi", "/efi"}:
                efi.setdefault(drive, at)
    other = [at for row, at in rows if "/" in _mountpoints(row) and at not in roots.values()]
    if len(roots) != 1 or other:
        return
    drive, at = next(iter(roots.items()))
    notes.add(f"drive[{drive}].system", True, at, "mounted as /", "sure")
    if drive in locked:
        notes.add(f"drive[{drive}].encrypted", True, at, "/ lies in an encrypted container", "sure")
    if efi:
        notes.add(
            f"drive[{drive}].start_mode",
            "uefi",
            next(iter(efi.values())),
            "an EFI system partition is mounted",
            "sure",
        )


def _within(row: dict[str, Any], at: str, drive: str, start: str) -> bool:
    """Whether a row is a drive, lies in its tree, or is named as its partition (flat lists)."""
    return (
        at == start
        or at.startswith(f"{start}.")
        or re.fullmatch(rf"{re.escape(drive)}p?\d+", _name(row)) is not None
    )


def _mountpoints(row: dict[str, Any]) -> set[str]:
    listed = row.get("mountpoints")
    values = [*(listed if isinstance(listed, list) else []), row.get("mountpoint")]
    return {value for value in values if isinstance(value, str)}
