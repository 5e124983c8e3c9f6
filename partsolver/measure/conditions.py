"""The conditions of a measurement, read from what the system shows to any user. Never a host, user or serial
number.

Sources: the Linux kernel's documentation of procfs (/proc/stat, /proc/meminfo), of sysfs (ABI/testing/
sysfs-devices-system-cpu, sysfs-class-power, sysfs-class-hwmon, sysfs-class-thermal, sysfs-ata), as far as
present; on other systems most of it stays None (not known).
"""

from __future__ import annotations

import os
import platform
import re
import time
import zlib
from collections.abc import Iterable
from pathlib import Path

from partsolver.measure.records import Software
from partsolver.measure.stats import median

# hwmon drivers of processors' own sensors (kernel documentation hwmon/coretemp, k10temp, via-cputemp).
CPU_SENSORS = ("coretemp", "k10temp", "via_cputemp", "zenpower")
LAST_LEVEL_TYPES = ("Unified", "Data")


def text_of(path: Path) -> str | None:
    """First line of a system file, or None when it is not there."""
    try:
        return path.read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return None


def number_of(path: Path) -> int | None:
    """A whole number from a system file."""
    text = text_of(path)
    return int(text) if text is not None and re.fullmatch(r"-?\d+", text) else None


class SystemFiles:
    """Reads /proc and /sys below a root (tests give their own)."""

    def __init__(self, root: Path = Path("/")) -> None:
        self.proc, self.sys = root / "proc", root / "sys"
        self._cpus = self.sys / "devices/system/cpu"

    def threads(self) -> int:
        """Threads this process may use."""
        if hasattr(os, "sched_getaffinity"):
            return len(os.sched_getaffinity(0))
        return os.cpu_count() or 1

    def _cpuinfo(self, key: str) -> str | None:
        match = re.search(rf"^{key}\s*:\s*(.*)$", text_of(self.proc / "cpuinfo") or "", re.MULTILINE)
        return match[1].strip() if match else None

    def cpu_model(self) -> str | None:
        found = self._cpuinfo("model name") or platform.processor() or None
        return found if found is None else re.sub(r"\s+", " ", found)[:100]

    def virtual(self) -> bool:
        """Whether the processor says that a hypervisor is below (CPUID leaf 1, ECX bit 31, shown as a
        flag)."""
        return "hypervisor" in (self._cpuinfo("flags") or "").split()

    def cores(self) -> int | None:
        seen = {
            (text_of(folder / "physical_package_id"), text_of(folder / "core_id"))
            for folder in self._cpus.glob("cpu[0-9]*/topology")
        }
        return len(seen) or None

    def last_level_cache_kib(self) -> int | None:
        """Sum of the distinct last-level caches, KiB (STREAM's rule asks for the sum)."""
        caches: dict[tuple[int, str], int] = {}
        for index in sorted(self._cpus.glob("cpu[0-9]*/cache/index[0-9]*")):
            level, size = number_of(index / "level"), text_of(index / "size") or ""
            match = re.fullmatch(r"(\d+)([KMG]?)", size)
            if level is not None and match and text_of(index / "type") in LAST_LEVEL_TYPES:
                kib = int(match[1]) * {"": 1, "K": 1, "M": 1024, "G": 1024 * 1024}[match[2]]
                caches[(level, text_of(index / "shared_cpu_list") or str(index))] = kib
        if not caches:
            return None
        last = max(level for level, _ in caches)
        return sum(kib for (level, _), kib in caches.items() if level == last) or None

    def _meminfo_mib(self, key: str) -> int | None:
        match = re.search(rf"^{key}:\s+(\d+) kB", text_of(self.proc / "meminfo") or "", re.MULTILINE)
        return int(match[1]) // 1024 if match else None

    def memory_mib(self) -> int | None:
        return self._meminfo_mib("MemTotal")

    def free_mib(self) -> int | None:
        return self._meminfo_mib("MemAvailable")

    def governor(self) -> str | None:
        names = {text_of(path) for path in self._cpus.glob("cpu[0-9]*/cpufreq/scaling_governor")} - {None}
        return "+".join(sorted(name for name in names if name)) or None

    def power(self) -> str | None:
        """mains, battery, or that no battery is listed (a desktop)."""
        folder = self.sys / "class/power_supply"
        if not folder.is_dir():
            return None
        online, battery = False, False
        for supply in sorted(folder.iterdir()):
            kind = text_of(supply / "type")
            online |= kind in ("Mains", "USB") and text_of(supply / "online") == "1"
            # A battery of the system, not of a mouse or a headset (sysfs-class-power: scope).
            battery |= kind == "Battery" and text_of(supply / "scope") != "Device"
        return "no battery listed" if not battery else "mains" if online else "battery"

    def temperature_c(self) -> int | None:
        """Hottest reading of the processor's own sensors, degrees Celsius."""
        found: list[int] = []
        for sensor in self.sys.glob("class/hwmon/hwmon*"):
            if text_of(sensor / "name") in CPU_SENSORS:
                found += _numbers(sensor.glob("temp*_input"))
        for zone in self.sys.glob("class/thermal/thermal_zone*"):
            if (text_of(zone / "type") or "") in ("x86_pkg_temp", "cpu-thermal", "cpu_thermal"):
                found += _numbers([zone / "temp"])
        return round(max(found) / 1000) if found else None

    def clock_mhz(self) -> int | None:
        """Highest present clock of the threads."""
        found = _numbers(self._cpus.glob("cpu[0-9]*/cpufreq/scaling_cur_freq"))
        return max(found) // 1000 or None if found else None

    def clock_median_mhz(self) -> int | None:
        """Median of the threads' present clocks."""
        found = _numbers(self._cpus.glob("cpu[0-9]*/cpufreq/scaling_cur_freq"))
        return round(median(found)) // 1000 or None if found else None

    def throttle_count(self) -> int | None:
        """Times that the processor slowed down for heat, since start; where the kernel counts them."""
        found = _numbers(self._cpus.glob("cpu[0-9]*/thermal_throttle/*_throttle_count"))
        return sum(found) if found else None

    def load_milli(self) -> int | None:
        """Load average over one minute, thousandths."""
        words = (text_of(self.proc / "loadavg") or "").split()
        return round(float(words[0]) * 1000) if words else None

    def ticks(self) -> tuple[int, int, int] | None:
        """(all, idle, stolen) processor time so far, ticks (proc(5), /proc/stat: idle and iowait are
        idle)."""
        words = (text_of(self.proc / "stat") or "").split("\n")[0].split()
        if len(words) < 9 or words[0] != "cpu":
            return None
        values = [int(word) for word in words[1:9]]
        return sum(values), values[3] + values[4], values[7]

    def busy_permille(self, seconds: float) -> int | None:
        """Share of the processor that others use while this process sleeps for so long."""
        before = self.ticks()
        time.sleep(seconds)
        after = self.ticks()
        if before is None or after is None or after[0] <= before[0]:
            return None
        return min(1000, max(0, round(1000 - 1000 * (after[1] - before[1]) / (after[0] - before[0]))))


def stolen_permille(before: tuple[int, int, int] | None, after: tuple[int, int, int] | None) -> int | None:
    """Share of processor time that a host gave to others meanwhile."""
    if before is None or after is None or after[0] <= before[0]:
        return None
    return min(1000, max(0, round(1000 * (after[2] - before[2]) / (after[0] - before[0]))))


def others_permille(
    before: tuple[int, int, int] | None, after: tuple[int, int, int] | None, own_s: float
) -> int | None:
    """Share of the processor that other programs used meanwhile; own_s: what this one and its workers
    used."""
    if before is None or after is None or after[0] <= before[0] or not hasattr(os, "sysconf"):
        return None
    # /proc/stat counts in ticks of USER_HZ (proc(5)).
    used = (
        (after[0] - before[0])
        - (after[1] - before[1])
        - (after[2] - before[2])
        - own_s * os.sysconf("SC_CLK_TCK")
    )
    return min(1000, max(0, round(1000 * used / (after[0] - before[0]))))


def _numbers(paths: Iterable[Path]) -> list[int]:
    return [number for path in sorted(paths) if (number := number_of(path)) is not None]


def software() -> Software:
    """Versions of what does the work."""
    from importlib.metadata import version

    return Software(
        python=platform.python_version(),
        numpy=version("numpy"),
        zlib=zlib.ZLIB_RUNTIME_VERSION,
        system=f"{platform.system()} {platform.machine()}".strip(),
    )
