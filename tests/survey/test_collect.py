"""Gathering from a running system, with its ways to the outside replaced."""

from __future__ import annotations

from collections.abc import Sequence

from survey.survey_data import dump, monitor, raw_table

from partsolver.survey.collect import this_pc
from partsolver.survey.merge import merge

FILES = {
    "/sys/class/dmi/id/board_name": b"NX-83\n",
    "/sys/class/dmi/id/board_vendor": b"Torvane\n",
    "/sys/class/dmi/id/product_serial": b"SN-RAW-77120\n",
    "/sys/class/dmi/id/chassis_type": b"3\n",
    "/sys/class/drm/card0-HDMI-A-1/edid": monitor(),
    "/sys/class/drm/card0-DP-1/edid": b"",
    "/proc/cpuinfo": dump("cpuinfo.txt"),
}
GLOBS = {
    "/sys/firmware": ["/sys/firmware"],
    "/sys/firmware/efi": ["/sys/firmware/efi"],
    "/sys/block/sd*": ["/sys/block/sda"],
    "/sys/class/drm/*/edid": ["/sys/class/drm/card0-DP-1/edid", "/sys/class/drm/card0-HDMI-A-1/edid"],
}


class Pc:
    """A pretended PC: which files are there, which are closed, which tools are installed."""

    def __init__(self, root: bool, tools: dict[str, bytes]) -> None:
        self.root, self.tools = root, tools
        self.asked: list[list[str]] = []

    def run(self, argv: Sequence[str]) -> tuple[int, bytes] | None:
        self.asked.append(list(argv))
        return (0, self.tools[argv[0]]) if argv[0] in self.tools else None

    def read(self, path: str) -> bytes:
        self.asked.append([path])
        if path == "/sys/firmware/dmi/tables/DMI":
            if not self.root:
                raise PermissionError(path)
            return raw_table()
        if path not in FILES:
            raise FileNotFoundError(path)
        return FILES[path]

    def glob(self, pattern: str) -> Sequence[str]:
        return GLOBS.get(pattern, [])


def test_as_root() -> None:
    pc = Pc(
        True,
        {
            "lscpu": dump("lscpu-comma.txt"),
            "lsblk": dump("lsblk-text.json"),
            "smartctl": dump("smartctl-sda.json"),
        },
    )
    found = this_pc(pc.run, pc.read, pc.glob)
    assert found.closed == ()
    result = merge(found.facts())
    assert result.survey["board"]["name"] == "NX-83" and len(result.survey["memory"]) == 2
    assert (
        result.survey["drive"][0]["start_mode"] == "uefi" and result.survey["drive"][0]["sata_gbps10"] == 30
    )
    assert result.survey["display"][0]["name"] == "Lumen 22W"
    # serial numbers and ids are not even asked for
    words = " ".join(word for argv in pc.asked for word in argv).lower()
    assert "serial" not in words and "uuid" not in words


def test_as_a_user_it_says_what_stays_closed() -> None:
    refused = (
        b'{"smartctl":{"messages":[{"string":"Smartctl open device: /dev/sda failed: Permission'
        b' denied"}],"exit_status":2}}'
    )
    pc = Pc(False, {"lscpu": dump("lscpu-comma.txt"), "lsblk": dump("lsblk-text.json"), "smartctl": refused})
    found = this_pc(pc.run, pc.read, pc.glob)
    assert [(closed.what.split(",")[0], "sudo" in closed.hint) for closed in found.closed] == [
        ("memory modules and slots", True),
        ("kind and SATA rate of the drives: sda", True),
    ]
    result = merge(found.facts())
    assert result.survey["board"]["name"] == "NX-83" and "memory" not in result.survey


def test_without_tools() -> None:
    pc = Pc(False, {})
    found = this_pc(pc.run, pc.read, pc.glob)
    assert [name for name, _ in found.sources] == ["/sys", "/proc/cpuinfo", "monitor at card0-HDMI-A-1"]
    assert {closed.what for closed in found.closed} == {
        "memory modules and slots, ports, socket code",
        "drives",
        "kind and SATA rate of the drives",
    }
    assert merge(found.facts()).survey["cpu"]["cores"] == 2


def test_this_machine_never_raises() -> None:
    merge(this_pc().facts())
