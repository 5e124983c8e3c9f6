"""Words and numbers of the firmware's tables (DSP0134 = System Management BIOS specification 3.x; CIM's own numbers as
the documents of Win32_PhysicalMemory list them, MicrosoftDocs/win32 @ 47e64c18)."""

from __future__ import annotations

from partsolver.standards import smbios


def test_form_factors_of_cim() -> None:
    """FormFactor: 7 SIMM, 8 DIMM, 11 RIMM, 12 SODIMM, 13 SRIMM; what lies between is no module of a PC."""
    names = ["SIMM", "DIMM", None, None, "RIMM", "SODIMM", "SRIMM", None]
    assert [smbios.CIM_FORM_FACTOR.get(number) for number in range(7, 15)] == names
    assert set(smbios.CIM_FORM_FACTOR) <= set(range(7, 14))


def test_memory_types_of_cim() -> None:
    """MemoryType: 17 SDRAM, 20 DDR, 21 DDR2, 22 DDR2 FB-DIMM, 24 DDR3, 25 FBD2, 26 DDR4."""
    names = ["SDRAM", None, None, "DDR", "DDR2", "DDR2 FB-DIMM", None, "DDR3", "FBD2", "DDR4", None]
    assert [smbios.CIM_MEMORY_TYPE.get(number) for number in range(17, 28)] == names
    assert set(smbios.CIM_MEMORY_TYPE) <= set(range(17, 27))
