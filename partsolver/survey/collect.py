"""What the running Linux system tells of its PC: as a user what is open to all, as root more. Nothing leaves
the PC.

Serial numbers and unique ids are not asked for; where a tool prints them all the same, the readers drop them.
"""

from __future__ import annotations

import glob as _globbing
import os
import subprocess
from collections.abc import Callable, Sequence

from partsolver.base.errors import InputRefused
from partsolver.base.records import record
from partsolver.survey.facts import Facts
from partsolver.survey.readers import read_source
from partsolver.survey.readers.sysfs import EFI, TPM

# argv -> (exit status, standard output); None when the tool is not installed or does not end.
Run = Callable[[Sequence[str]], tuple[int, bytes] | None]
Read = Callable[[str], bytes]  # path -> content; raises OSError
Glob = Callable[[str], Sequence[str]]

SECONDS = 60
DMI = "/sys/class/dmi/id/"
TABLE = "/sys/firmware/dmi/tables/DMI"
_OPEN_FILES = (
    "sys_vendor",
    "product_name",
    "board_vendor",
    "board_name",
    "chassis_type",
    "bios_version",
    "bios_date",
)
_LSBLK = "NAME,KNAME,TYPE,SIZE,ROTA,TRAN,MODEL,RM,HOTPLUG,PTTYPE,MOUNTPOINT"


@record
class Closed:
    """Something that could not be read: what it would tell, why not, and what to do."""

    what: str
    why: str
    hint: str


@record
class Collected:
    """Outputs with the name shown as their origin, and what stayed closed."""

    sources: tuple[tuple[str, bytes], ...]
    closed: tuple[Closed, ...]

    def facts(self) -> list[Facts]:
        """What all outputs say. Outputs without anything readable are passed over."""
        found: list[Facts] = []
        for where, data in self.sources:
            try:
                found += read_source(data, where)
            except InputRefused:
                continue
        return found


def _run(argv: Sequence[str]) -> tuple[int, bytes] | None:
    try:
        done = subprocess.run(
            list(argv),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=SECONDS,
            env={**os.environ, "LC_ALL": "C"},
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    return done.returncode, done.stdout


def _read(path: str) -> bytes:
    with open(path, "rb") as file:
        return file.read()


def _glob(pattern: str) -> Sequence[str]:
    return sorted(_globbing.glob(pattern))


class _Gathering:
    def __init__(self, run: Run, read: Read, glob: Glob) -> None:
        self.run, self.read, self.glob = run, read, glob
        self.sources: list[tuple[str, bytes]] = []
        self.closed: list[Closed] = []

    def tool(self, where: str, argv: Sequence[str], what: str, package: str) -> bool:
        """Keep a tool's output; note what is missed where there is none."""
        done = self.run(argv)
        if done is None:
            self.closed.append(
                Closed(what, f"{argv[0]} is not installed or did not end", f"install the package {package}")
            )
            return False
        if not done[1].strip():
            self.closed.append(
                Closed(
                    what, f"{argv[0]} printed nothing (status {done[0]})", f"try `{' '.join(argv)}` yourself"
                )
            )
            return False
        self.sources.append((where, done[1]))
        return True

    def small_files(self) -> None:
        """Identity of board and firmware, start mode, TPM: open to every user."""
        lines = []
        for path in [f"{DMI}{name}" for name in _OPEN_FILES] + [TPM]:
            try:
                value = self.read(path).decode("utf-8", "replace").strip()
            except OSError:
                continue
            lines.append(f"{path}:{' '.join(value.split())}")
        if self.glob("/sys/firmware"):
            lines.append(f"{EFI}:{'present' if self.glob(EFI) else 'absent'}")
        if lines:
            self.sources.append(("/sys", "".join(f"{line}\n" for line in lines).encode()))
        else:
            self.closed.append(
                Closed("board, firmware, start mode", "/sys tells nothing of them", "is this Linux on a PC?")
            )

    def firmware_table(self) -> None:
        what = "memory modules and slots, ports, socket code"
        try:
            self.sources.append((TABLE, self.read(TABLE)))
        except PermissionError:
            self.closed.append(
                Closed(what, f"{TABLE} is open to root only", "run the import again with sudo")
            )
        except OSError:
            # old kernels do not show the table; the tool reads it from memory
            done = self.run(["dmidecode"])
            if done is not None and b"Handle 0x" in done[1]:
                self.sources.append(("dmidecode", done[1]))
            else:
                self.closed.append(
                    Closed(what, "no firmware table is shown", "run `dmidecode` as root, if it is installed")
                )

    def processor(self) -> None:
        if not self.tool("lscpu", ["lscpu", "-J"], "processor", "util-linux"):
            try:
                self.sources.append(("/proc/cpuinfo", self.read("/proc/cpuinfo")))
                self.closed.pop()
            except OSError:
                pass

    def drives(self) -> None:
        self.tool("lsblk", ["lsblk", "-J", "-b", "-o", _LSBLK], "drives", "util-linux")
        what = "kind and SATA rate of the drives"
        for block in [*self.glob("/sys/block/sd*"), *self.glob("/sys/block/nvme*n*")]:
            name = block.rpartition("/")[2]
            done = self.run(["smartctl", "--json", "-i", f"/dev/{name}"])
            if done is None:
                self.closed.append(
                    Closed(what, "smartctl is not installed", "install the package smartmontools")
                )
                return
            # the exit status is a bit mask: output may be good all the same
            if b'"model_name"' not in done[1]:
                self.closed.append(
                    Closed(f"{what}: {name}", "smartctl may not open it", "run the import again with sudo")
                )
                continue
            self.sources.append((f"smartctl {name}", done[1]))

    def monitors(self) -> None:
        for path in self.glob("/sys/class/drm/*/edid"):
            try:
                data = self.read(path)
            except OSError:
                continue
            if data:
                self.sources.append((f"monitor at {path.split('/')[-2]}", data))

    def graphics(self) -> None:
        done = self.run(["lshw", "-quiet", "-sanitize", "-json", "-class", "display"])
        if done is not None and done[1].strip():
            self.sources.append(("lshw", done[1]))


def this_pc(run: Run = _run, read: Read = _read, glob: Glob = _glob) -> Collected:
    """Everything the running system gives. ``run``, ``read`` and ``glob`` are its only ways to the outside.

    Never raises: what cannot be had is in ``closed``.
    """
    gathering = _Gathering(run, read, glob)
    gathering.small_files()
    gathering.firmware_table()
    gathering.processor()
    gathering.drives()
    gathering.monitors()
    gathering.graphics()
    return Collected(tuple(gathering.sources), tuple(gathering.closed))
