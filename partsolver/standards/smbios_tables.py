"""Enumerations of SMBIOS structures: code -> meaning.

Document: [DSP0134] DMTF System Management BIOS Reference Specification 3.9.0 (2025-07-07); codes compared
across three independent implementations: dmidecode 3.6 (commit b70f6ee0), edk2 SmBios.h (c5aa7e7d),
smbios-lib (59ff3058), which agree (high).  Section numbers are those that dmidecode's comments name.  Words
are dmidecode's, except 24h of the upgrade table (see there).
"""

from __future__ import annotations

from typing import Final

# fmt: off


#: Type 3, offset 05h (bits 6:0; bit 7 = lock), section 7.4.1.
CHASSIS_TYPE: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "Desktop", 0x04: "Low Profile Desktop", 0x05: "Pizza Box",
    0x06: "Mini Tower", 0x07: "Tower", 0x08: "Portable", 0x09: "Laptop", 0x0A: "Notebook",
    0x0B: "Hand Held", 0x0C: "Docking Station", 0x0D: "All In One", 0x0E: "Sub Notebook",
    0x0F: "Space-saving", 0x10: "Lunch Box", 0x11: "Main Server Chassis", 0x12: "Expansion Chassis",
    0x13: "Sub Chassis", 0x14: "Bus Expansion Chassis", 0x15: "Peripheral Chassis", 0x16: "RAID Chassis",
    0x17: "Rack Mount Chassis", 0x18: "Sealed-case PC", 0x19: "Multi-system", 0x1A: "CompactPCI",
    0x1B: "AdvancedTCA", 0x1C: "Blade", 0x1D: "Blade Enclosing", 0x1E: "Tablet", 0x1F: "Convertible",
    0x20: "Detachable", 0x21: "IoT Gateway", 0x22: "Embedded PC", 0x23: "Mini PC", 0x24: "Stick PC",
}

#: Type 2, offset 0Dh, section 7.3.2.
BOARD_TYPE: Final[dict[int, str]] = {
    0x01: "Unknown", 0x02: "Other", 0x03: "Server Blade", 0x04: "Connectivity Switch",
    0x05: "System Management Module", 0x06: "Processor Module", 0x07: "I/O Module", 0x08: "Memory Module",
    0x09: "Daughter Board", 0x0A: "Motherboard", 0x0B: "Processor+Memory Module",
    0x0C: "Processor+I/O Module", 0x0D: "Interconnect Board",
}

#: Type 4, offset 19h, section 7.5.5. 24h was renamed from BGA1155 in 2.8.0; FFh: see the socket type string.
PROCESSOR_UPGRADE: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "Daughter Board", 0x04: "ZIF Socket",
    0x05: "Replaceable Piggy Back", 0x06: "None", 0x07: "LIF Socket", 0x08: "Slot 1", 0x09: "Slot 2",
    0x0A: "370-pin Socket", 0x0B: "Slot A", 0x0C: "Slot M", 0x0D: "Socket 423",
    0x0E: "Socket A (Socket 462)", 0x0F: "Socket 478", 0x10: "Socket 754", 0x11: "Socket 940",
    0x12: "Socket 939", 0x13: "Socket mPGA604", 0x14: "Socket LGA771", 0x15: "Socket LGA775",
    0x16: "Socket S1", 0x17: "Socket AM2", 0x18: "Socket F (1207)", 0x19: "Socket LGA1366",
    0x1A: "Socket G34", 0x1B: "Socket AM3", 0x1C: "Socket C32", 0x1D: "Socket LGA1156",
    0x1E: "Socket LGA1567", 0x1F: "Socket PGA988A", 0x20: "Socket BGA1288", 0x21: "Socket rPGA988B",
    0x22: "Socket BGA1023", 0x23: "Socket BGA1224", 0x24: "Socket LGA1155", 0x25: "Socket LGA1356",
    0x26: "Socket LGA2011", 0x27: "Socket FS1", 0x28: "Socket FS2", 0x29: "Socket FM1", 0x2A: "Socket FM2",
    0x2B: "Socket LGA2011-3", 0x2C: "Socket LGA1356-3", 0x2D: "Socket LGA1150", 0x2E: "Socket BGA1168",
    0x2F: "Socket BGA1234", 0x30: "Socket BGA1364", 0x31: "Socket AM4", 0x32: "Socket LGA1151",
    0x33: "Socket BGA1356", 0x34: "Socket BGA1440", 0x35: "Socket BGA1515", 0x36: "Socket LGA3647-1",
    0x37: "Socket SP3", 0x38: "Socket SP3r2", 0x39: "Socket LGA2066", 0x3A: "Socket BGA1392",
    0x3B: "Socket BGA1510", 0x3C: "Socket BGA1528", 0x3D: "Socket LGA4189", 0x3E: "Socket LGA1200",
    0x3F: "Socket LGA4677", 0x40: "Socket LGA1700", 0x41: "Socket BGA1744", 0x42: "Socket BGA1781",
    0x43: "Socket BGA1211", 0x44: "Socket BGA2422", 0x45: "Socket LGA1211", 0x46: "Socket LGA2422",
    0x47: "Socket LGA5773", 0x48: "Socket BGA5773", 0x49: "Socket AM5", 0x4A: "Socket SP5",
    0x4B: "Socket SP6", 0x4C: "Socket BGA883", 0x4D: "Socket BGA1190", 0x4E: "Socket BGA4129",
    0x4F: "Socket LGA4710", 0x50: "Socket LGA7529", 0x51: "Socket BGA1964", 0x52: "Socket BGA1792",
    0x53: "Socket BGA2049", 0x54: "Socket BGA2551", 0x55: "Socket LGA1851", 0x56: "Socket BGA2114",
    0x57: "Socket BGA2833", 0xFF: "See Socket Type",
}

#: Type 4, offset 05h, section 7.5.1.
PROCESSOR_TYPE: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "Central Processor", 0x04: "Math Processor",
    0x05: "DSP Processor", 0x06: "Video Processor",
}

#: Type 4, offset 18h, bits 2:0 (bit 6 = populated).
PROCESSOR_STATUS: Final[dict[int, str]] = {
    0x00: "Unknown", 0x01: "Enabled", 0x02: "Disabled By User", 0x03: "Disabled By BIOS", 0x04: "Idle",
    0x05: "(reserved)", 0x06: "(reserved)", 0x07: "Other",
}

#: Type 16, offset 04h, section 7.17.1.
ARRAY_LOCATION: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "System Board Or Motherboard", 0x04: "ISA Add-on Card",
    0x05: "EISA Add-on Card", 0x06: "PCI Add-on Card", 0x07: "MCA Add-on Card", 0x08: "PCMCIA Add-on Card",
    0x09: "Proprietary Add-on Card", 0x0A: "NuBus",
}

#: Type 16, offset 05h, section 7.17.2.
ARRAY_USE: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "System Memory", 0x04: "Video Memory", 0x05: "Flash Memory",
    0x06: "Non-volatile RAM", 0x07: "Cache Memory",
}

#: Type 16, offset 06h, section 7.17.3.
ERROR_CORRECTION: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "None", 0x04: "Parity", 0x05: "Single-bit ECC",
    0x06: "Multi-bit ECC", 0x07: "CRC",
}

#: Type 17, offset 0Eh, section 7.18.1.
MEMORY_FORM_FACTOR: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "SIMM", 0x04: "SIP", 0x05: "Chip", 0x06: "DIP", 0x07: "ZIP",
    0x08: "Proprietary Card", 0x09: "DIMM", 0x0A: "TSOP", 0x0B: "Row Of Chips", 0x0C: "RIMM",
    0x0D: "SODIMM", 0x0E: "SRIMM", 0x0F: "FB-DIMM", 0x10: "Die", 0x11: "CAMM", 0x12: "CUDIMM",
    0x13: "CSODIMM",
}

#: Type 17, offset 12h, section 7.18.2.
MEMORY_TYPE: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "DRAM", 0x04: "EDRAM", 0x05: "VRAM", 0x06: "SRAM", 0x07: "RAM",
    0x08: "ROM", 0x09: "Flash", 0x0A: "EEPROM", 0x0B: "FEPROM", 0x0C: "EPROM", 0x0D: "CDRAM", 0x0E: "3DRAM",
    0x0F: "SDRAM", 0x10: "SGRAM", 0x11: "RDRAM", 0x12: "DDR", 0x13: "DDR2", 0x14: "DDR2 FB-DIMM",
    0x15: "Reserved", 0x16: "Reserved", 0x17: "Reserved", 0x18: "DDR3", 0x19: "FBD2", 0x1A: "DDR4",
    0x1B: "LPDDR", 0x1C: "LPDDR2", 0x1D: "LPDDR3", 0x1E: "LPDDR4", 0x1F: "Logical non-volatile device",
    0x20: "HBM", 0x21: "HBM2", 0x22: "DDR5", 0x23: "LPDDR5", 0x24: "HBM3", 0x25: "MRDIMM",
}

#: Type 17, offset 13h, a bit each, section 7.18.3.
TYPE_DETAIL_BIT: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "Fast-paged", 0x04: "Static Column", 0x05: "Pseudo-static",
    0x06: "RAMBus", 0x07: "Synchronous", 0x08: "CMOS", 0x09: "EDO", 0x0A: "Window DRAM", 0x0B: "Cache DRAM",
    0x0C: "Non-Volatile", 0x0D: "Registered (Buffered)", 0x0E: "Unbuffered (Unregistered)", 0x0F: "LRDIMM",
}

#: Type 9, offset 05h, section 7.10.1.
SLOT_TYPE: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "ISA", 0x04: "MCA", 0x05: "EISA", 0x06: "PCI",
    0x07: "PC Card (PCMCIA)", 0x08: "VLB", 0x09: "Proprietary", 0x0A: "Processor Card",
    0x0B: "Proprietary Memory Card", 0x0C: "I/O Riser Card", 0x0D: "NuBus", 0x0E: "PCI-66", 0x0F: "AGP",
    0x10: "AGP 2x", 0x11: "AGP 4x", 0x12: "PCI-X", 0x13: "AGP 8x", 0x14: "M.2 Socket 1-DP",
    0x15: "M.2 Socket 1-SD", 0x16: "M.2 Socket 2", 0x17: "M.2 Socket 3", 0x18: "MXM Type I",
    0x19: "MXM Type II", 0x1A: "MXM Type III", 0x1B: "MXM Type III-HE", 0x1C: "MXM Type IV",
    0x1D: "MXM 3.0 Type A", 0x1E: "MXM 3.0 Type B", 0x1F: "PCI Express 2 SFF-8639 (U.2)",
    0x20: "PCI Express 3 SFF-8639 (U.2)", 0x21: "PCI Express Mini 52-pin with bottom-side keep-outs",
    0x22: "PCI Express Mini 52-pin without bottom-side keep-outs", 0x23: "PCI Express Mini 76-pin",
    0x24: "PCI Express 4 SFF-8639 (U.2)", 0x25: "PCI Express 5 SFF-8639 (U.2)",
    0x26: "OCP NIC 3.0 Small Form Factor (SFF)", 0x27: "OCP NIC 3.0 Large Form Factor (LFF)",
    0x28: "OCP NIC Prior to 3.0", 0x30: "CXL Flexbus 1.0", 0xA0: "PC-98/C20", 0xA1: "PC-98/C24",
    0xA2: "PC-98/E", 0xA3: "PC-98/Local Bus", 0xA4: "PC-98/Card", 0xA5: "PCI Express",
    0xA6: "PCI Express x1", 0xA7: "PCI Express x2", 0xA8: "PCI Express x4", 0xA9: "PCI Express x8",
    0xAA: "PCI Express x16", 0xAB: "PCI Express 2", 0xAC: "PCI Express 2 x1", 0xAD: "PCI Express 2 x2",
    0xAE: "PCI Express 2 x4", 0xAF: "PCI Express 2 x8", 0xB0: "PCI Express 2 x16", 0xB1: "PCI Express 3",
    0xB2: "PCI Express 3 x1", 0xB3: "PCI Express 3 x2", 0xB4: "PCI Express 3 x4", 0xB5: "PCI Express 3 x8",
    0xB6: "PCI Express 3 x16", 0xB7: "(reserved)", 0xB8: "PCI Express 4", 0xB9: "PCI Express 4 x1",
    0xBA: "PCI Express 4 x2", 0xBB: "PCI Express 4 x4", 0xBC: "PCI Express 4 x8", 0xBD: "PCI Express 4 x16",
    0xBE: "PCI Express 5", 0xBF: "PCI Express 5 x1", 0xC0: "PCI Express 5 x2", 0xC1: "PCI Express 5 x4",
    0xC2: "PCI Express 5 x8", 0xC3: "PCI Express 5 x16", 0xC4: "PCI Express 6+", 0xC5: "EDSFF E1",
    0xC6: "EDSFF E3",
}

#: Type 9, offset 06h, section 7.10.2.
SLOT_WIDTH: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "8 bit", 0x04: "16 bit", 0x05: "32 bit", 0x06: "64 bit",
    0x07: "128 bit", 0x08: "1x or x1", 0x09: "2x or x2", 0x0A: "4x or x4", 0x0B: "8x or x8",
    0x0C: "12x or x12", 0x0D: "16x or x16", 0x0E: "32x or x32",
}

#: Type 9, offset 07h, section 7.10.3.
SLOT_USAGE: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "Available", 0x04: "In Use", 0x05: "Unavailable",
}

#: Type 9, offset 08h, section 7.10.4.
SLOT_LENGTH: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "Short", 0x04: "Long", 0x05: '2.5" drive form factor',
    0x06: '3.5" drive form factor',
}

#: Type 9, slot height (3.5+).
SLOT_HEIGHT: Final[dict[int, str]] = {
    0x00: "Not applicable", 0x01: "Other", 0x02: "Unknown", 0x03: "Full height", 0x04: "Low-profile",
}

#: Type 8, offsets 05h and 07h, section 7.9.2.
CONNECTOR_TYPE: Final[dict[int, str]] = {
    0x00: "None", 0x01: "Centronics", 0x02: "Mini Centronics", 0x03: "Proprietary", 0x04: "DB-25 male",
    0x05: "DB-25 female", 0x06: "DB-15 male", 0x07: "DB-15 female", 0x08: "DB-9 male", 0x09: "DB-9 female",
    0x0A: "RJ-11", 0x0B: "RJ-45", 0x0C: "50 Pin MiniSCSI", 0x0D: "Mini DIN", 0x0E: "Micro DIN",
    0x0F: "PS/2", 0x10: "Infrared", 0x11: "HP-HIL", 0x12: "Access Bus (USB)", 0x13: "SSA SCSI",
    0x14: "Circular DIN-8 male", 0x15: "Circular DIN-8 female", 0x16: "On Board IDE",
    0x17: "On Board Floppy", 0x18: "9 Pin Dual Inline (pin 10 cut)",
    0x19: "25 Pin Dual Inline (pin 26 cut)", 0x1A: "50 Pin Dual Inline", 0x1B: "68 Pin Dual Inline",
    0x1C: "On Board Sound Input From CD-ROM", 0x1D: "Mini Centronics Type-14",
    0x1E: "Mini Centronics Type-26", 0x1F: "Mini Jack (headphones)", 0x20: "BNC", 0x21: "IEEE 1394",
    0x22: "SAS/SATA Plug Receptacle", 0x23: "USB Type-C Receptacle", 0xA0: "PC-98", 0xA1: "PC-98 Hireso",
    0xA2: "PC-H98", 0xA3: "PC-98 Note", 0xA4: "PC-98 Full", 0xFF: "Other",
}

#: Type 8, offset 08h, section 7.9.3.
PORT_TYPE: Final[dict[int, str]] = {
    0x00: "None", 0x01: "Parallel Port XT/AT Compatible", 0x02: "Parallel Port PS/2",
    0x03: "Parallel Port ECP", 0x04: "Parallel Port EPP", 0x05: "Parallel Port ECP/EPP",
    0x06: "Serial Port XT/AT Compatible", 0x07: "Serial Port 16450 Compatible",
    0x08: "Serial Port 16550 Compatible", 0x09: "Serial Port 16550A Compatible", 0x0A: "SCSI Port",
    0x0B: "MIDI Port", 0x0C: "Joystick Port", 0x0D: "Keyboard Port", 0x0E: "Mouse Port", 0x0F: "SSA SCSI",
    0x10: "USB", 0x11: "Firewire (IEEE P1394)", 0x12: "PCMCIA Type I", 0x13: "PCMCIA Type II",
    0x14: "PCMCIA Type III", 0x15: "Cardbus", 0x16: "Access Bus Port", 0x17: "SCSI II", 0x18: "SCSI Wide",
    0x19: "PC-98", 0x1A: "PC-98 Hireso", 0x1B: "PC-H98", 0x1C: "Video Port", 0x1D: "Audio Port",
    0x1E: "Modem Port", 0x1F: "Network Port", 0x20: "SATA", 0x21: "SAS",
    0x22: "MFDP (Multi-Function Display Port)", 0x23: "Thunderbolt", 0xA0: "8251 Compatible",
    0xA1: "8251 FIFO Compatible", 0xFF: "Other",
}

#: Type 39, characteristics bits 13:10, section 7.40.1.
SUPPLY_TYPE: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "Linear", 0x04: "Switching", 0x05: "Battery", 0x06: "UPS",
    0x07: "Converter", 0x08: "Regulator",
}

#: Type 39, characteristics bits 9:7, section 7.40.1.
SUPPLY_STATUS: Final[dict[int, str]] = {
    0x01: "Other", 0x02: "Unknown", 0x03: "OK", 0x04: "Non-critical", 0x05: "Critical",
}
