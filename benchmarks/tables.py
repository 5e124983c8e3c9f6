"""Words and small tables of the generator. Every maker, part, socket, chipset, family and seller in it is
invented.

Magnitudes (sizes, plugs, currents, data rates) follow the published standards; names and prices follow
nobody's.
"""

# fmt: off

from __future__ import annotations

Row = dict[str, object]

CPU_MAKERS = ("Halvorn", "Ostrelle")
BOARD_MAKERS = ("Brunnach", "Tollmere", "Kestevan", "Virdano", "Sprockholm", "Agnwell", "Lindqvar")
MEMORY_MAKERS = ("Lumbrick", "Cadmora", "Petrigan", "Zwirnau", "Ostmark", "Fellgate", "Quarrington", "Nibbleby")
SHOP_WORDS = ("Mill", "Hollow", "Pallet", "Bench", "Attic", "Canal", "Barn", "Harbour", "Signal", "Copper", "Lantern", "Crane")
SHOP_KINDS = ("Parts", "Components", "Crate", "Finds", "Depot", "Stores", "Trade", "Return")
SYLLABLES = ("bar", "den", "fol", "gir", "hel", "jor", "kam", "lun", "mer", "nol", "pel", "quin", "ras", "sel", "tor", "ul", "ver", "wen")

# Outline families: name, width mm, depths mm, share in per cent (microATX and ATX make most of a list).
FORMS = (
    ("microatx", (226, 230, 244), (170, 185, 200, 210, 220, 226, 244), 52),
    ("atx", (305,), (215, 225, 244), 33),
    ("mini-itx", (170,), (170,), 12),
    ("flexatx", (229,), (191,), 3),
)
# Memory: generation, first and last year of boards, rates in the order of years, module sizes GiB, price of a
# new GiB, mV.
GENERATIONS = (
    ("ddr2", 2004, 2008, (533, 667, 800), (1, 2, 4), 2.6, 1800),
    ("ddr3", 2009, 2014, (1066, 1333, 1600, 1866), (2, 4, 8), 1.7, 1500),
    ("ddr4", 2015, 2022, (2133, 2400, 2666, 2933, 3200), (4, 8, 16, 32), 2.4, 1200),
    ("ddr5", 2021, 2030, (4400, 4800, 5200, 5600, 6000), (8, 16, 24, 32), 3.6, 1100),
)
# kind, name, takes, gives, count, price, more facts: what a shop of old and new leads really has.
EXTRAS: tuple[tuple[str, str, str, str, int, float, Row], ...] = (
    ("display-adapter", "HDMI to VGA converter", "hdmi", "vga", 1, 9.0, {"active": "yes", "limit_khz": 165000}),
    ("display-adapter", "HDMI to VGA converter, small", "hdmi", "vga", 1, 6.0, {"active": "yes", "limit_khz": 108000}),
    ("display-adapter", "DisplayPort to VGA converter", "dp", "vga", 1, 12.0, {"active": "yes", "limit_khz": 200000}),
    ("display-adapter", "DVI-D to VGA converter", "dvi-d", "vga", 1, 14.0, {"active": "yes", "limit_khz": 165000}),
    ("display-adapter", "DVI-I to VGA plug", "dvi-i", "vga", 1, 3.0, {}),
    ("display-adapter", "HDMI to DVI-D lead", "hdmi", "dvi-d", 1, 5.0, {"limit_khz": 165000}),
    ("sata-controller", "Two-port SATA card", "x1", "sata", 2, 14.0, {"low_profile": "yes"}),
    ("sata-controller", "Four-port SATA card", "x4", "sata", 4, 28.0, {}),
    ("pata-controller", "PATA card", "x1", "pata", 1, 20.0, {}),
    ("pata-drive-adapter", "PATA drive to SATA port bridge", "sata", "pata", 1, 12.0, {}),
    ("sata-power-splitter", "SATA power splitter", "sata", "sata", 1, 4.5, {"limit_ma": 4500}),
    ("sata-power-from-peripheral", "SATA power from peripheral plug", "peripheral", "sata", 1, 3.5, {}),
    ("cpu-plug-adapter", "8-contact processor plug from two peripheral plugs", "peripheral", "8", 2, 7.0, {"limit_ma": 12000}),
    ("cpu-plug-adapter", "4-contact processor plug from two peripheral plugs", "peripheral", "4", 2, 5.5, {"limit_ma": 12000}),
    ("main-plug-adapter", "24-contact main plug from 20", "20", "24", 1, 6.0, {"limit_ma": 6000}),
    ("serial-bracket", "Serial port on a bracket", "none", "serial", 1, 5.0, {"low_profile": "yes"}),
    ("parallel-bracket", "Parallel port on a bracket", "none", "parallel", 1, 6.0, {}),
    ("usb-serial", "USB to serial lead", "usb", "serial", 1, 9.5, {}),
    ("usb-parallel", "USB to parallel printer lead", "usb", "parallel", 1, 11.0, {}),
    ("usb-ps2", "USB to two PS/2 lead", "usb", "ps2", 2, 8.0, {"active": "yes"}),
    ("front-usb-adapter", "USB 3 header to USB 2 front plug", "usb3", "usb2", 1, 4.0, {}),
    ("front-audio-adapter", "Front audio lead, old to new", "hd", "ac97", 1, 4.5, {}),
    ("tpm-module", "Platform module 2.0 for a header", "header", "2.0", 1, 18.0, {}),
    ("os-licence", "Desktop system licence, 2015 and 2021 generations", "none", "desktop-2021 desktop-2015", 1, 22.0, {}),
    ("os-licence", "Desktop system licence, 2015 generation", "none", "desktop-2015", 1, 19.5, {}),
    ("firmware-update", "Firmware update at the bench before dispatch", "none", "none", 1, 14.0, {}),
    ("thermal-paste", "Thermal paste, 2 g", "none", "none", 1, 3.5, {}),
    ("standoffs", "Ten standoffs with screws", "none", "none", 10, 3.0, {}),
    ("fan-splitter", "Fan splitter", "fan", "fan", 1, 4.0, {"limit_ma": 1000}),
    ("sata-data-cable", "SATA data lead, 50 cm", "sata", "sata", 1, 2.5, {}),
    ("system-install-media", "Installation stick", "usb", "none", 1, 6.0, {}),
    ("m2-card", "Card for one NVMe module", "x4", "m2-nvme", 1, 9.0, {"low_profile": "yes"}),
)
# W, processor plugs, card plugs, SATA, peripheral, 12 V mA, price
PSUS = ((300, "4", "none", 3, 2, 22000, 29.0), (400, "8", "6", 4, 3, 32000, 38.0), (500, "8", "8", 6, 3, 40000, 47.0),
        (550, "8+4", "8+8", 6, 4, 45000, 64.0), (650, "8", "8+8", 6, 4, 54000, 69.0), (750, "8+8", "16+8", 8, 4, 62000, 98.0))
# form, free depth mm, openings, cooler mm, price
CASES = (("microatx", 246, 4, 155, 36.0), ("atx", 275, 7, 165, 44.0), ("mini-itx", 172, 1, 120, 49.0), ("atx", 255, 7, 150, 20.0))
# kind, interface, read MB/s, GB, price, more
DRIVES: tuple[tuple[str, str, int, int, float, Row], ...] = (
    ("ssd", "sata", 510, 240, 21.0, {"sata_gbps10": 60}), ("ssd", "sata", 530, 480, 32.0, {"sata_gbps10": 60}),
    ("ssd", "m2-sata", 520, 250, 24.0, {"sata_gbps10": 60, "m2_key": "b+m", "m2_length_mm": 80}),
    ("ssd", "m2-nvme", 3200, 500, 37.0, {"pcie_gen": 3, "pcie_lanes": 4, "m2_key": "m", "m2_length_mm": 80}),
    ("ssd", "m2-nvme", 6400, 1000, 69.0, {"pcie_gen": 4, "pcie_lanes": 4, "m2_key": "m", "m2_length_mm": 80}),
    ("hdd35", "sata", 180, 1000, 36.0, {"sata_gbps10": 60}),
)
