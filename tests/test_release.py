"""What a release is made of: the lock with hashes and the bill of materials hold what pyproject.toml asks
for."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

ROOT = Path(__file__).parent.parent
LOCK, SBOM = ROOT / ".github" / "release.lock", ROOT / ".github" / "sbom.json"
# "name==version ; marker \" with its hashes on the lines below (pip's requirements file format).
LOCKED = re.compile(r"^([a-z0-9._-]+)==([^ ;\\]+)", re.MULTILINE)
# Extras without which every command of the program works as a user has it: they are for who works on it.
FOR_DEVELOPERS = {"browser", "mutants", "fuzz", "test", "dev"}

pytestmark = pytest.mark.skipif(not LOCK.exists(), reason="not a clone")


def extras_of_users() -> dict[str, list[str]]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras: dict[str, list[str]] = project["optional-dependencies"]
    assert extras.keys() >= FOR_DEVELOPERS
    return {"": project["dependencies"]} | {name: extras[name] for name in extras.keys() - FOR_DEVELOPERS}


def asked_for() -> list[Requirement]:
    return [Requirement(text) for texts in extras_of_users().values() for text in texts]


def test_the_lock_is_made_for_every_extra_that_a_user_may_ask_for() -> None:
    command = (ROOT / ".ci" / "lock").read_text(encoding="utf-8")
    assert set(re.findall(r"--extra ([a-z]+)", command)) == extras_of_users().keys() - {""}


def test_nothing_is_locked_for_what_is_no_longer_asked_for() -> None:
    """uv writes below each package who asked for it; what this program asks for are exactly its dependencies."""
    blocks = re.split(r"^(?=[a-z0-9])", LOCK.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]
    own = {
        canonicalize_name(block.partition("==")[0])
        for block in blocks
        if "partsolver (pyproject.toml)" in block
    }
    assert own == {canonicalize_name(requirement.name) for requirement in asked_for()}
    assert all("# via" in block or "#   " in block for block in blocks)


def test_the_lock_holds_every_dependency_within_its_bounds_and_with_hashes() -> None:
    text = LOCK.read_text(encoding="utf-8")
    locked: dict[str, list[Version]] = {}
    for name, version in LOCKED.findall(text):
        locked.setdefault(canonicalize_name(name), []).append(Version(version))
    for requirement in asked_for():
        versions = locked[canonicalize_name(requirement.name)]
        assert all(version in requirement.specifier for version in versions), requirement
    for block in re.split(r"^(?=[a-z0-9])", text, flags=re.MULTILINE)[1:]:
        assert "--hash=sha256:" in block, block.splitlines()[0]


def test_the_bill_of_materials_names_what_is_locked() -> None:
    """CycloneDX 1.6 (ECMA-424): components with name and version, and the program itself."""
    bill = json.loads(SBOM.read_text(encoding="utf-8"))
    assert bill["bomFormat"] == "CycloneDX" and bill["metadata"]["component"]["name"] == "partsolver"
    named = {(canonicalize_name(c["name"]), c["version"]) for c in bill["components"]}
    locked = {(canonicalize_name(n), v) for n, v in LOCKED.findall(LOCK.read_text(encoding="utf-8"))}
    assert named == locked
