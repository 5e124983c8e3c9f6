"""Words and numbers of the firmware's tables (DSP0134 = System Management BIOS specification 3.x; CIM's own numbers as
the documents of Win32_PhysicalMemory list them, MicrosoftDocs/win32 @ 47e64c18)."""

from __future__ import annotations

import pytest

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


@pytest.mark.parametrize(
    ("upgrade", "socket"),
    [
        ("Socket LGA775", "LGA775"),
        (" Socket LGA1150 ", "LGA1150"),
        ("Socket BGA1155", "LGA1155"),  # what firmware writes for it ([D-dmi])
        ("Socket mPGA604", "mPGA604"),
        ("Socket 478", "478"),
        ("Socket AM4", "AM4"),
        ("Socket LGA2011-3", "LGA2011-3"),
        ("Other", None),
        ("ZIF Socket", None),
        ("Slot 1", None),
        ("", None),
        (0x15, "LGA775"),
        (0x2D, "LGA1150"),
        (0x24, "LGA1155"),
        (0x01, None),  # Other
        (0x06, None),  # None
        (0xFF, None),
        (-1, None),
    ],
)
def test_sockets_by_code_and_word(upgrade: str | int, socket: str | None) -> None:
    """[DSP0134] 7.5.5, processor upgrade."""
    assert smbios.socket_of(upgrade) == socket


@pytest.mark.parametrize(
    ("text", "socket"),
    [
        ("LGA 775", "LGA775"),
        ("Socket 775", "LGA775"),
        ("skt_1155", "LGA1155"),
        ("775", None),  # a number alone is no socket
        ("CPU 1 / Socket 1150", "LGA1150"),  # the first that names one
        ("1 775 Socket AM3", "AM3"),
        ("Socket 478", "478"),
        ("AM3R2", "AM3+"),
        ("am2+", "AM2+"),
        ("FM2+", "FM2+"),
        ("Socket 9999", None),
        ("XAM3X", None),
        ("", None),
    ],
)
def test_sockets_in_free_text(text: str, socket: str | None) -> None:
    """Designations as firmware writes them (reference survey-formats, section 1.4); AM3R2 is AM3+ (common practice)."""
    assert smbios.socket_in(text) == socket


@pytest.mark.parametrize(
    ("memory_type", "generation"),
    [
        (0x0F, "sdr"), (0x12, "ddr"), (0x13, "ddr2"), (0x18, "ddr3"), (0x1A, "ddr4"), (0x22, "ddr5"),
        ("DDR", "ddr"), ("DDR4", "ddr4"), ("DDR5", "ddr5"), ("SDRAM", None), (0x02, None), (0x00, None), ("", None),
    ],
)  # fmt: skip
def test_generations_by_code_and_word(memory_type: str | int, generation: str | None) -> None:
    """[DSP0134] 7.18.2: 0Fh SDRAM, 12h DDR, 13h DDR2, 18h DDR3, 1Ah DDR4, 22h DDR5."""
    if memory_type == 0x0F:
        generation = None  # written for later generations too: it names none
    assert smbios.generation_of(memory_type) == generation


@pytest.mark.parametrize(
    ("eax", "read"),
    [
        (0, None),
        (0x1000_0000, None),  # reserved bits 31 to 28
        (0x0FFF_0FFF, (15 + 255, 255)),
        (0x0000_4000, None),  # reserved bits 15 and 14
        (0x0000_8000, None),
        (0x0000_2000, (0, 0)),  # type, bits 13 and 12: not read
        (0x000F_0650, (6, 0xF5)),  # extended model counts for families 6 and 15
        (0x000F_0F50, (15, 0xF5)),
        (0x000F_0550, (5, 5)),
        (0x000F_0750, (7, 5)),
        (0x0FF0_0650, (6, 5)),  # extended family only for 15
        (0x0010_0F42, (16, 4)),
        (0x0000_0001, (0, 0)),
    ],
)
def test_signatures(eax: int, read: tuple[int, int] | None) -> None:
    """CPUID leaf 1 EAX: stepping 3-0, model 7-4, family 11-8, type 13-12, extended model 19-16, extended family 27-20
    (both makers' manuals)."""
    assert smbios.signature(eax) == read
    assert smbios.stepping(eax) == eax % 16
