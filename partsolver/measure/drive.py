"""Which drive a folder is on and how it is linked, as far as the system shows it to any user (Linux
sysfs)."""

from __future__ import annotations

import os
import re
from pathlib import Path

from partsolver.base.records import record
from partsolver.measure.conditions import text_of

# File systems that live in memory: reading from them says nothing about a drive.
IN_MEMORY = ("tmpfs", "ramfs", "rootfs")
# Names of links in libata's sysfs ("1.5 Gbps", "3.0 Gbps", "6.0 Gbps"), Documentation/ABI/testing/sysfs-ata.
_RATE = re.compile(r"(\d+)\.(\d) Gbps")


@record
class DriveLink:
    """rotational: a disk; interface: sata, nvme, usb, virtual; link and port in tenths of Gb/s. None = not
    known."""

    rotational: bool | None = None
    interface: str | None = None
    link_gbps10: int | None = None
    port_gbps10: int | None = None


def file_system(folder: Path, mounts: str | None = None) -> str | None:
    """Type of the file system a folder is on; ``mounts`` is the text of /proc/mounts."""
    text = text_of(Path("/proc/mounts")) if mounts is None else mounts
    best, found = -1, None
    where = os.path.realpath(folder)
    for line in (text or "").splitlines():
        words = line.split()
        if len(words) < 3:
            continue
        point = re.sub(r"\\(\d{3})", lambda m: chr(int(m[1], 8)), words[1])
        inside = where == point or where.startswith(point.rstrip("/") + "/")
        if inside and len(point) >= best:
            best, found = len(point), words[2]
    return found


def drive_link(folder: Path, sys: Path = Path("/sys")) -> DriveLink:
    """The drive under a folder. Where the file system spans drives or hides them, nothing is known."""
    device = os.stat(folder).st_dev
    return link_of(sys / "dev/block" / f"{os.major(device)}:{os.minor(device)}", sys)


def link_of(block: Path, sys: Path = Path("/sys")) -> DriveLink:
    """The link of a block device's folder in sysfs."""
    try:
        real = block.resolve(strict=True)
    except OSError:
        return DriveLink()
    if (real / "partition").exists():
        real = real.parent
    flag = text_of(real / "queue/rotational")
    rotational = None if flag is None else flag == "1"
    name, path = real.name, str(real)
    ata = re.search(r"/ata(\d+)/", path)
    if ata:
        link = sys / "class/ata_link" / f"link{ata[1]}"
        return DriveLink(rotational, "sata", _rate(link / "sata_spd"), _rate(link / "hw_sata_spd_limit"))
    if name.startswith("nvme"):
        return DriveLink(rotational, "nvme")
    if "/usb" in path:
        return DriveLink(rotational, "usb")
    # A virtual machine says nothing true about what turns below it.
    return DriveLink(None, "virtual") if name.startswith(("vd", "xvd")) else DriveLink(rotational)


def _rate(path: Path) -> int | None:
    match = _RATE.search(text_of(path) or "")
    return int(match[1]) * 10 + int(match[2]) if match else None
