"""What is read from the system, on made-up trees in the form the kernel's documentation gives."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsolver.base.errors import InputRefused
from partsolver.measure import storage
from partsolver.measure.conditions import SystemFiles, others_permille, stolen_permille
from partsolver.measure.drive import DriveLink, file_system, link_of
from partsolver.measure.storage import MIB, TestFile, allowed_mib


def put(root: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text + "\n", encoding="utf-8")
    return root


CPU = "sys/devices/system/cpu"


def test_conditions(tmp_path: Path) -> None:
    files = {
        "proc/cpuinfo": (
            "processor\t: 0\nmodel name\t: Invented   4c @ 3.00GHz\nflags\t\t: fpu hypervisor sse2"
        ),
        "proc/meminfo": "MemTotal:        8048124 kB\nMemAvailable:    6048124 kB",
        "proc/loadavg": "0.25 0.10 0.05 1/200 1234",
        "proc/stat": "cpu  100 0 100 700 50 0 0 50 0 0\ncpu0 1 2 3",
        "sys/class/power_supply/AC/type": "Mains",
        "sys/class/power_supply/AC/online": "0",
        "sys/class/power_supply/BAT0/type": "Battery",
        "sys/class/hwmon/hwmon0/name": "nvme",
        "sys/class/hwmon/hwmon0/temp1_input": "99000",
        "sys/class/hwmon/hwmon1/name": "coretemp",
        "sys/class/hwmon/hwmon1/temp1_input": "61000",
        "sys/class/hwmon/hwmon1/temp2_input": "63500",
    }
    for cpu in range(4):  # two sockets' worth of last-level caches, two threads each
        files |= {
            f"{CPU}/cpu{cpu}/topology/physical_package_id": str(cpu // 2),
            f"{CPU}/cpu{cpu}/topology/core_id": "0",
            f"{CPU}/cpu{cpu}/cache/index0/level": "1",
            f"{CPU}/cpu{cpu}/cache/index0/size": "32K",
            f"{CPU}/cpu{cpu}/cache/index0/type": "Data",
            f"{CPU}/cpu{cpu}/cache/index0/shared_cpu_list": str(cpu),
            f"{CPU}/cpu{cpu}/cache/index3/level": "3",
            f"{CPU}/cpu{cpu}/cache/index3/size": "8M",
            f"{CPU}/cpu{cpu}/cache/index3/type": "Unified",
            f"{CPU}/cpu{cpu}/cache/index3/shared_cpu_list": "0-1" if cpu < 2 else "2-3",
            f"{CPU}/cpu{cpu}/cpufreq/scaling_governor": "powersave",
            f"{CPU}/cpu{cpu}/cpufreq/scaling_cur_freq": f"{1000 + cpu}000",
            f"{CPU}/cpu{cpu}/thermal_throttle/core_throttle_count": "2",
        }
    system = SystemFiles(put(tmp_path, files))
    assert system.cpu_model() == "Invented 4c @ 3.00GHz" and system.virtual() and system.cores() == 2
    assert system.last_level_cache_kib() == 2 * 8192  # STREAM: the sum of all last-level caches
    assert (system.memory_mib(), system.free_mib(), system.load_milli()) == (7859, 5906, 250)
    assert (system.governor(), system.power(), system.temperature_c()) == ("powersave", "battery", 64)
    assert (system.clock_mhz(), system.throttle_count(), system.ticks()) == (1003, 8, (1000, 750, 50))


def test_a_bare_system_is_unknown_not_guessed(tmp_path: Path) -> None:
    system = SystemFiles(tmp_path)
    for name in (
        "cores",
        "last_level_cache_kib",
        "memory_mib",
        "governor",
        "power",
        "temperature_c",
        "clock_mhz",
        "throttle_count",
        "load_milli",
        "ticks",
    ):
        assert getattr(system, name)() is None, name
    assert not system.virtual()


def test_shares_of_time() -> None:
    # 1000 ticks passed: 300 idle, 100 stolen, 600 used; at 100 ticks a second 4 s of it own, so 200 are
    # others'.
    before, after = (0, 0, 0), (1000, 300, 100)
    assert stolen_permille(before, after) == 100 and others_permille(before, after, 4.0) == 200
    assert others_permille(None, after, 1.0) is None and stolen_permille(after, after) is None


@pytest.mark.parametrize(
    ("device", "files", "expected"),
    [
        # sysfs-ata: class/ata_link/linkN/sata_spd, hw_sata_spd_limit
        (
            "devices/pci0/ata3/host2/block/sda",
            {
                "devices/pci0/ata3/host2/block/sda/queue/rotational": "0",
                "class/ata_link/link3/sata_spd": "3.0 Gbps",
                "class/ata_link/link3/hw_sata_spd_limit": "6.0 Gbps",
            },
            DriveLink(False, "sata", 30, 60),
        ),
        (
            "devices/pci0/ata1/host0/block/sda/sda2",
            {
                "devices/pci0/ata1/host0/block/sda/sda2/partition": "2",
                "devices/pci0/ata1/host0/block/sda/queue/rotational": "1",
                "class/ata_link/link1/sata_spd": "<unknown>",
            },
            DriveLink(True, "sata"),
        ),
        (
            "devices/pci0/nvme/nvme0/nvme0n1",
            {"devices/pci0/nvme/nvme0/nvme0n1/queue/rotational": "0"},
            DriveLink(False, "nvme"),
        ),
        (
            "devices/pci0/usb2/host9/block/sdb",
            {"devices/pci0/usb2/host9/block/sdb/queue/rotational": "1"},
            DriveLink(True, "usb"),
        ),
        (
            "devices/pci0/virtio1/block/vda",
            {"devices/pci0/virtio1/block/vda/queue/rotational": "1"},
            DriveLink(None, "virtual"),
        ),
    ],
)
def test_drive_link(tmp_path: Path, device: str, files: dict[str, str], expected: DriveLink) -> None:
    put(tmp_path, files)
    (tmp_path / device).mkdir(parents=True, exist_ok=True)
    block = tmp_path / "dev/block/8:0"
    block.parent.mkdir(parents=True)
    block.symlink_to(tmp_path / device)
    assert link_of(block, tmp_path) == expected
    assert link_of(tmp_path / "dev/block/9:9", tmp_path) == DriveLink()


def test_file_system() -> None:
    mounts = "/dev/sda1 / ext4 rw 0 0\ntmpfs /tmp tmpfs rw 0 0\n/dev/sdb1 /no/such\\040place xfs rw 0 0"
    found = [file_system(Path(p), mounts) for p in ("/tmp/x", "/tmpfile", "/no/such place/y", "/")]
    assert found == ["tmpfs", "ext4", "xfs", "ext4"]


@pytest.mark.parametrize(
    ("wanted", "total", "free", "size"),
    [
        (512, 100_000, 50_000, 512),
        (512, 100_000, 5_100, 100),  # 5 % of 100 000 MiB stay free
        (512, 8_000, 1_100, 76),  # at least 1 GiB stays free
        (512, 8_000, 1_040, 0),  # less than 32 MiB are left: no file
        (512, 8_000, 0, 0),
    ],
)
def test_the_drive_is_never_filled(wanted: int, total: int, free: int, size: int) -> None:
    assert allowed_mib(wanted, total * MIB, free * MIB) == size


def test_full_drive_and_bad_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputRefused, match="cannot be used"):
        TestFile(tmp_path / "nowhere", 64)
    with monkeypatch.context() as patch:
        patch.setattr(
            storage.shutil, "disk_usage", lambda folder: type("Usage", (), {"total": 10**10, "free": 10**8})
        )
        with TestFile(tmp_path, 64) as file:
            assert file.facts().cache == "skipped" and file.facts().file_mib is None
    with monkeypatch.context() as patch:
        patch.setattr(
            storage.os,
            "write",
            lambda handle, data: (_ for _ in ()).throw(OSError(28, "No space left on device")),
        )
        with pytest.raises(InputRefused, match="No space left"):
            TestFile(tmp_path, 64).__enter__()
    assert list(tmp_path.iterdir()) == []


def test_test_file(tmp_path: Path) -> None:
    """Reads come from a file without a name; in memory it is said that they do not come from a drive."""
    with TestFile(tmp_path, 32) as file:
        assert list(tmp_path.iterdir()) == []
        assert file.cache in ("direct", "dropped", "used", "memory") and file.facts().file_mib == 32
        assert file.sequential_mbs(1.0) > 0 and file.random_reads_per_s(0.05, 1) > 0
    memory = Path("/dev/shm")
    if memory.is_dir() and file_system(memory) == "tmpfs":
        with TestFile(memory, 32) as file:
            assert file.cache in ("memory", "skipped")
