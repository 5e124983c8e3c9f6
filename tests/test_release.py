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

pytestmark = pytest.mark.skipif(not LOCK.exists(), reason="not a clone")


def asked_for() -> list[Requirement]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    return [Requirement(text) for text in (*project["dependencies"], *extras["desk"], *extras["audit"])]


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
