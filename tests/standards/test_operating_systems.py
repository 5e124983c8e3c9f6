"""Operating systems: the 2021 generation's requirements page (commit 00ef75cd, 2023-02-13) and the trade's
licence practice.
"""

import pytest

from partsolver.standards.isa import level_features
from partsolver.standards.operating_systems import (
    OPERATING_SYSTEMS,
    requirements,
)


def test_desktop_2021():
    # 64-bit, 2 cores, 4 GB, 64 GB, UEFI and Secure Boot capable, TPM 2.0; 2024 update: SSE4.2 and POPCNT.
    s = requirements("desktop-2021")
    assert (s.bits, s.min_cores, s.min_memory_mib, s.min_disk_gb, s.needs_tpm) == (64, 2, 4096, 64, "2.0")
    assert s.min_clock_mhz == 1000  # the same page: 1 GHz or faster
    assert s.needs_uefi and s.needs_secure_boot_capable and s.licence_kind_matters
    assert {"sse4.2", "popcnt"} <= level_features(s.min_x86_level)
    assert s.needs_supported_cpu_year == 2018
    assert requirements("desktop-2021", {"desktop_2021_cpu_year": 2017}).needs_supported_cpu_year == 2017


# psABI levels in release notes: one enterprise family needs level 2 since release 9 and level 3 since release
# 10.
@pytest.mark.parametrize(
    ("system", "level", "bits"),
    [
        ("linux-x86-64-v1", 1, 64),
        ("linux-x86-64-v2", 2, 64),
        ("linux-x86-64-v3", 3, 64),
        ("linux-32bit", 0, 32),
    ],
)
def test_linux(system, level, bits):
    s = requirements(system)
    assert (s.min_x86_level, s.bits) == (level, bits)
    assert not s.licence_kind_matters and s.needs_tpm is None and not s.needs_secure_boot_capable


def test_32bit_limit():  # 4 GiB of address space: common practice
    for system in OPERATING_SYSTEMS.values():
        assert system.memory_limit_mib == (4096 if system.bits == 32 else None)
        assert (system.min_x86_level == 0) is (system.bits == 32)


# Setup of the 2009 generation with keyboard and mouse dead on a 100-series chipset: field report of 2015. The
# 2015 generation and Linux bring an xHCI driver: common practice.
def test_setup_without_usb3_driver():
    troubled = [name for name, system in OPERATING_SYSTEMS.items() if system.usb3_only_trouble]
    assert troubled == ["desktop-2009", "desktop-2009-32bit", "desktop-2001-32bit"]


def test_settings_and_refusals():
    assert requirements("linux-x86-64-v1", {"linux_min_memory_mib": 1024}).min_memory_mib == 1024
    with pytest.raises(ValueError, match="known are desktop-2021"):
        requirements("desktop-2030")
