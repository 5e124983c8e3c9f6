"""smartctl --json of ATA and NVMe drives: kind, form, capacity, interface rate of the drive and of the
present link."""

from __future__ import annotations

import re
from typing import Any

from partsolver.survey.facts import BEHIND, OUTSIDE, Facts, Notes, clean
from partsolver.survey.readers.text import json_of, whole

KIND = "smartctl"
_RATES = (15, 30, 60)
# Type of a disk behind a controller of several: the controller's kind and the disk's number ("megaraid,4",
# "sat+cciss,0", "areca,1/2"); "sat,12" and "nvme,1" say other things (smartmontools, man page, from memory).
_BEHIND = re.compile(r"(?:^|\+)(?!(?:sat|nvme|scsi|ata|snt)\w*,|usb)\w+,(\d+(?:[/,]\d+)*)")


def reads(data: bytes) -> bool:
    """Whether a value has smartctl's own head, or its device with name and protocol."""
    return any(_is_report(value) for value in json_of(data))


def _is_report(value: Any) -> bool:
    if not isinstance(value, dict):
        return False
    device = value.get("device")
    return isinstance(value.get("smartctl"), dict) or (
        isinstance(device, dict) and "protocol" in device and "name" in device
    )


def read(data: bytes, where: str) -> Facts:
    """Facts of all reports in the file. Never fails."""
    notes = Notes(KIND)
    for index, value in enumerate(json_of(data)):
        if _is_report(value):
            note_report(value, f"{where} $[{index}]" if index else f"{where} $", notes)
    return notes.done()


def _part(value: Any, *keys: str) -> Any:
    for key in keys:
        value = value.get(key) if isinstance(value, dict) else None
    return value


def note_report(report: dict[str, Any], where: str, notes: Notes) -> None:
    """Note one drive's report; also used for reports inside a bundle."""
    notes.hide_all(report.items())
    raw_name, kind = _part(report, "device", "name"), str(_part(report, "device", "type") or "")
    name = re.sub(r"^/dev/", "", raw_name) if isinstance(raw_name, str) else ""
    behind = _BEHIND.search(kind)
    if not name or (behind is None and not re.fullmatch(r"sd[a-z]{1,3}|hd[a-z]|nvme\d+(n\d+)?|sr\d+", name)):
        return
    if kind.startswith("usb"):
        notes.add(f"drive[{name}].{OUTSIDE}", True, where, f"device type {kind}", "doubtful")
        notes.remark(f"A USB drive is left out ({where})")
        return
    name = f"{name}n1" if re.fullmatch(r"nvme\d+", name) else name
    if behind is not None:
        # the controller's name stands for all its disks: each gets one of its own
        controller, name = name, re.sub(r"[^a-z0-9]", "", f"{name}disk{behind[1].replace('/', 'x')}".lower())
        said = f"disk {behind[1]} behind the controller of {controller} (device type {kind})"
        notes.add(f"drive[{name}].{BEHIND}", controller, f"{where}.device", said, "doubtful")
    at = f"drive[{name}]"
    model = report.get("model_name") or report.get("scsi_model_name")
    if not isinstance(model, str):
        return
    notes.add(f"{at}.seen_model", model, f"{where}.model_name", f"model {clean(model)!r}", "doubtful")
    size = whole(_part(report, "user_capacity", "bytes"))
    if size:
        notes.add(
            f"{at}.capacity_gb",
            (size + 500_000_000) // 10**9,
            f"{where}.user_capacity",
            f"{size} bytes",
            "sure",
        )
    if name.startswith("nvme"):
        notes.add(f"{at}.kind", "ssd", f"{where}.device", "NVMe device", "sure")
        notes.add(f"{at}.interface", "m2-nvme", f"{where}.device", "NVMe device")
        return
    _ata(report, at, where, notes)


def _ata(report: dict[str, Any], at: str, where: str, notes: Notes) -> None:
    rate = report.get("rotation_rate")
    form = str(_part(report, "form_factor", "name") or "")
    said = f"rotation rate {rate}, form factor {form or 'not given'}"
    turning = {"3.5 inches": "hdd35", "2.5 inches": "hdd25"}
    if rate == 0 and not isinstance(rate, bool):
        notes.add(f"{at}.kind", "ssd", f"{where}.rotation_rate", said, "sure")
    elif isinstance(rate, int) and not isinstance(rate, bool) and rate >= 3000:
        sure = form in turning
        notes.add(
            f"{at}.kind",
            turning.get(form, "hdd35"),
            f"{where}.rotation_rate",
            said,
            "sure" if sure else "doubtful",
        )
    sata = isinstance(report.get("sata_version"), dict) or _part(report, "interface_speed", "max") is not None
    if form == "M.2":
        notes.add(f"{at}.interface", "m2-sata", f"{where}.form_factor", said, "sure")
    elif sata and (form in turning or (isinstance(rate, int) and rate >= 3000)):
        notes.add(f"{at}.interface", "sata", f"{where}.sata_version", "SATA drive", "sure")
    elif sata:
        notes.add(
            f"{at}.interface",
            "sata",
            f"{where}.sata_version",
            "SATA drive; a module in an M.2 socket looks the same",
            "doubtful",
        )
    for key, path in (("max", f"{at}.sata_gbps10"), ("current", f"{at}.seen_link_gbps10")):
        speed = _part(report, "interface_speed", key)
        units, bits = whole(_part(speed, "units_per_second")), whole(_part(speed, "bits_per_unit"))
        value = (units or 0) * (bits or 0) // 10**8
        if value in _RATES:
            said = f"{'drive can do' if key == 'max' else 'link runs at'} {value / 10} Gb/s"
            notes.add(path, value, f"{where}.interface_speed.{key}", said, "sure")
