"""--lan from another host: two network namespaces with a cable between them (ip-netns(8), veth(4)), the
desk in one, curl in the other. Where namespaces may not be made, or there is no curl, this is left out."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk.desk_client import demo_folder

# RFC 2544 addresses: of test networks only.
DESK, PHONE = "198.18.7.1", "198.18.7.2"


def _ip(*arguments: str) -> bool:
    return subprocess.run(["ip", *arguments], capture_output=True).returncode == 0


@pytest.fixture
def hosts() -> Iterator[tuple[str, str]]:
    """Names of two namespaces that see each other."""
    if shutil.which("ip") is None or shutil.which("curl") is None:
        pytest.skip("no ip or no curl here")
    ours, theirs = f"desk{os.getpid()}", f"phone{os.getpid()}"
    made = [_ip("netns", "add", name) for name in (ours, theirs)]
    ends = f"v{os.getpid()}a", f"v{os.getpid()}b"
    joined = all(made) and _ip(
        "link", "add", ends[0], "netns", ours, "type", "veth", "peer", "name", ends[1], "netns", theirs
    )
    for name, end, own, other in ((ours, ends[0], DESK, PHONE), (theirs, ends[1], PHONE, DESK)):
        joined = (
            joined
            and _ip("-n", name, "addr", "add", f"{own}/24", "dev", end)
            and _ip("-n", name, "link", "set", end, "up")
            and _ip("-n", name, "route", "add", "default", "via", other)
        )
    if joined:
        yield ours, theirs
    for name in (ours, theirs):
        _ip("netns", "delete", name)
    if not joined:
        pytest.skip("no network namespace may be made here")


def begun(host: str, folder: Path, *options: str) -> subprocess.Popen[str]:
    """A desk that runs on a host."""
    command = [sys.executable, "-m", "partsolver", "desk", str(folder), *options, "--no-browser"]
    return subprocess.Popen(["ip", "netns", "exec", host, *command], stdout=subprocess.PIPE, text=True)


def test_a_phone_on_the_network_gets_in_by_its_code_and_no_other_name_does(
    hosts: tuple[str, str], tmp_path: Path
) -> None:
    ours, theirs = hosts
    demo_folder(tmp_path)
    desk = begun(ours, tmp_path, "--lan")
    try:
        assert desk.stdout is not None
        said = ""
        while "type" not in said:
            line = desk.stdout.readline()
            assert line, said
            said += line
        found = re.search(rf"open http://({DESK}:\d+)/ and type (\d{{4}}) (\d{{4}})", said)
        assert found is not None, said
        assert "Open to everyone on this network" in said
        address, code = found[1], found[2] + found[3]

        def asked(*arguments: str) -> tuple[int, str]:
            command = [
                "ip",
                "netns",
                "exec",
                theirs,
                "curl",
                "-s",
                "-m",
                "60",
                "-w",
                "\n%{http_code}",
                *arguments,
            ]
            text = subprocess.run(command, capture_output=True, text=True).stdout
            page, _, status = text.rpartition("\n")
            return int(status), page

        here, jar = f"http://{address}/", str(tmp_path / "jar")
        assert asked(here)[0] == 403 and "code" in asked(here)[1]
        assert asked("-H", "Host: evil.example", here)[0] == 421
        assert asked("-H", f"Host: evil.example:{address.partition(':')[2]}", f"{here}?code={code}")[0] == 421
        wrong = "00000000" if code != "00000000" else "11111111"
        assert asked(f"{here}?code={wrong}")[0] == 403
        status, page = asked("-L", "-c", jar, "-b", jar, f"{here}?code={code}")
        assert status == 200 and "/pc/choir" in page
        assert asked("-b", jar, f"{here}pc/choir")[0] == 200
        origin = asked("-b", jar, "-H", "Origin: http://evil.example", "-d", "title=x", f"{here}new")
        assert origin[0] == 403 and not (tmp_path / "x.toml").exists()
    finally:
        desk.kill()
        desk.wait()


def test_loopback_only_is_not_seen_from_the_network(hosts: tuple[str, str], tmp_path: Path) -> None:
    ours, theirs = hosts
    assert _ip("-n", ours, "link", "set", "lo", "up")
    demo_folder(tmp_path)
    desk = begun(ours, tmp_path)
    try:
        assert desk.stdout is not None
        found = re.search(r"127\.0\.0\.1:(\d+)", desk.stdout.readline() + desk.stdout.readline())
        assert found is not None
        command = ["ip", "netns", "exec", theirs, "curl", "-s", "-m", "20", f"http://{DESK}:{found[1]}/"]
        # curl(1), exit code 7: failed to connect to host
        assert subprocess.run(command, capture_output=True).returncode == 7
    finally:
        desk.kill()
        desk.wait()
