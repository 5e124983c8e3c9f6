"""All data in this file are invented: makers, parts, sockets, chipsets, families, sellers and prices.

The hand-made tables of the demo catalogue; ``make_demo.py`` turns them into ``demo/*.csv``. Magnitudes
(sizes, plugs, currents, rates) follow the published standards; names and prices do not follow anybody's. One
line is one part.
"""

# fmt: off

from __future__ import annotations

Row = dict[str, object]

# ---------------------------------------------------------------- processors
# family: maker, socket, points per MHz, year, memory rates, x86-64 level, graphics score, parallel share, on
# sale new
FAMILIES = {
    "tansy": ("Halvorn", "brig", 0.224, 2011, "ddr3:1333", 2, 250, 0.95, False),
    "yarrow": ("Halvorn", "brig", 0.250, 2013, "ddr3:1600", 3, 400, 0.95, False),
    "adze": ("Ostrelle", "quoin", 0.150, 2012, "ddr3:1866", 2, 520, 0.80, False),
    "burin": ("Ostrelle", "quoin", 0.180, 2014, "ddr3:2133", 2, 700, 0.80, False),
    "sorrel": ("Halvorn", "ketch", 0.278, 2016, "ddr4:2133", 3, 620, 0.95, False),
    "fennel": ("Halvorn", "ketch", 0.288, 2018, "ddr4:2666", 3, 680, 0.95, False),
    "gouge": ("Ostrelle", "corbel", 0.250, 2018, "ddr4:2666", 3, 1250, 0.95, False),
    "froe": ("Ostrelle", "corbel", 0.308, 2019, "ddr4:3200", 3, 1400, 0.95, False),
    "gavel": ("Ostrelle", "corbel", 0.342, 2021, "ddr4:3200", 3, 1700, 0.95, True),
    "lovage": ("Halvorn", "sloop", 0.356, 2022, "ddr4:3200 ddr5:4800", 3, 850, 0.95, True),
    "borage": ("Halvorn", "sloop", 0.366, 2023, "ddr4:3200 ddr5:5600", 3, 900, 0.95, True),
    "trammel": ("Ostrelle", "plinth", 0.384, 2023, "ddr5:5200", 4, 600, 0.95, True),
    "scriber": ("Ostrelle", "plinth", 0.405, 2024, "ddr5:5600", 4, 2600, 0.95, True),
}
# family, line, cores, boost in 0.1 GHz, flags, tdp W, power limit W (0 = not stated), price.
# flags: s = two threads per core; x = no integrated graphics; b = boxed cooler; e = nobody published scores;
# m = measured scores; 2 = entry part, x86-64 level 2 only; u = also seen used
CPUS = """
tansy Stile 2 26 - 65 65 5 | tansy Stile 2 28 m 65 65 7 | tansy Stile 2 31 - 65 65 9 | tansy Transom 2 33 s 65 65 12
tansy Transom 4 30 - 65 65 23 | tansy Transom 4 31 - 95 95 17 | tansy Transom 4 33 m 95 95 21 | tansy Mullion 4 37 s 95 0 39
yarrow Stile 2 32 2 53 53 12 | yarrow Transom 2 36 s 54 54 19 | yarrow Transom 4 33 e 65 0 31 | yarrow Transom 4 36 m 84 84 33
yarrow Mullion 4 38 s 84 105 58 | yarrow Mullion 4 39 sx 84 105 47
adze Copse 2 38 - 65 0 6 | adze Glade 4 36 - 65 0 12 | adze Glade 4 40 - 100 125 14 | adze Weald 4 41 x 95 125 10
burin Copse 2 39 - 65 0 11 | burin Glade 4 37 e 65 0 21 | burin Glade 4 39 - 95 0 24
sorrel Stile 2 33 2e 51 51 11 | sorrel Transom 2 37 s 51 51 18 | sorrel Transom 4 33 - 35 35 31 | sorrel Transom 4 36 m 65 65 34
sorrel Mullion 4 40 s 65 90 57 | sorrel Mullion 4 42 sx 91 130 52
fennel Stile 2 38 s2 54 54 23 | fennel Transom 4 36 - 65 65 38 | fennel Transom 4 40 x 65 72 30 | fennel Transom 6 41 m 65 90 63
fennel Transom 6 40 x 65 90 53 | fennel Mullion 6 46 s 65 110 96 | fennel Mullion 8 49 e 95 160 118
gouge Copse 2 32 s 35 0 25 | gouge Glade 4 35 x 65 0 18 | gouge Glade 4 37 s 65 0 38 | gouge Weald 6 36 sxm 65 88 34
gouge Weald 8 40 sx 95 128 49
froe Glade 4 39 xe 65 88 32 | froe Glade 4 40 s 65 88 57 | froe Weald 6 42 sxm 65 88 56 | froe Weald 8 44 sx 65 88 79
froe Weald 8 45 sxb 105 142 92
gavel Glade 4 41 sbm 65 88 72 | gavel Weald 6 44 sbu 65 88 104 | gavel Weald 6 46 sxbu 65 88 95 | gavel Weald 8 46 sb 65 88 145
gavel Weald 8 47 sx 105 142 149
lovage Stile 2 37 sb 46 46 48 | lovage Transom 4 43 sbm 60 89 92 | lovage Transom 4 42 sxbu 58 89 73
lovage Transom 6 44 sb 65 117 127 | lovage Mullion 8 49 s 125 241 239
borage Transom 4 45 sb 60 89 111 | borage Transom 6 46 sbe 65 110 157 | borage Transom 6 47 sxb 65 148 131
borage Mullion 10 48 sb 65 219 265
trammel Weald 6 50 sxb 65 88 129 | trammel Weald 6 51 sb 65 88 164 | trammel Weald 8 53 s 105 142 258
scriber Glade 4 49 sb 65 88 138 | scriber Weald 6 50 sbm 65 88 188 | scriber Weald 8 51 sbe 65 88 268
"""

# ---------------------------------------------------------------- boards
OLD = {"main_plug": "24", "cpu_plugs": "4", "outputs": "vga dvi-d", "ps2_ports": 2, "serial_headers": 1, "usb_rear_ports": 6,
       "usb2_headers": 3, "firmware_modes": "legacy", "storage_modes": "ahci ide", "slots": "x16:16 x1:1 x1:1 pci",
       "memory_max_module_mib": 8192, "memory_channels": 2, "front_audio": "hd", "fan_headers": 1, "secure_boot": "no"}
MID = OLD | {"cpu_plugs": "8", "outputs": "vga dvi-d hdmi-1.4", "ps2_ports": 1, "usb2_headers": 2, "usb3_headers": 1, "fan_headers": 2,
             "firmware_modes": "uefi legacy", "storage_modes": "ahci", "slots": "x16:16 x1:1 x1:1", "memory_max_module_mib": 16384,
             "secure_boot": "yes", "sata_6g_ports": 4, "nvme_boot": "yes", "tpm": "2.0"}
NEW = MID | {"outputs": "hdmi-2.0 dp-1.4", "memory_max_module_mib": 32768, "usb_e_headers": 1, "firmware_modes": "uefi", "sata_6g_ports": 4,
             "fan_headers": 3, "slots": "x16:16 x1:1"}
M3 = "m:80:nvme,sata:3x4:0:1"
CHIPSETS: dict[str, Row] = {
    "keel-10": OLD | {"socket": "brig", "memory_generation": "ddr3", "memory_slots": 2, "memory_max_rate_mts": 1333, "year": 2011,
                      "cpu_families": "tansy:1.00", "sata_3g_ports": 4, "parallel_headers": 1, "cpu_power_limit_w": 95},
    "keel-20": OLD | {"socket": "brig", "memory_generation": "ddr3", "memory_slots": 4, "memory_max_rate_mts": 1600, "year": 2012,
                      "memory_two_per_channel_rate_mts": 1333, "cpu_families": "tansy:1.00 yarrow:2.10", "sata_6g_ports": 2,
                      "sata_3g_ports": 4, "usb3_headers": 1, "firmware_modes": "uefi legacy"},
    "keel-30": OLD | {"socket": "brig", "memory_generation": "ddr3", "memory_slots": 4, "memory_max_rate_mts": 1600, "year": 2013,
                      "cpu_families": "tansy:1.00 yarrow:1.00", "sata_6g_ports": 4, "sata_3g_ports": 2, "usb3_headers": 1, "tpm": "header",
                      "outputs": "vga dvi-d hdmi-1.4", "cpu_plugs": "8", "firmware_modes": "uefi legacy", "secure_boot": "yes"},
    "grout-10": OLD | {"socket": "quoin", "memory_generation": "ddr3", "memory_slots": 2, "memory_max_rate_mts": 1866, "year": 2012,
                       "cpu_families": "adze:1.00", "sata_6g_ports": 4, "parallel_headers": 1, "serial_ports": 1, "cpu_power_limit_w": 100},
    "grout-20": OLD | {"socket": "quoin", "memory_generation": "ddr3", "memory_slots": 4, "memory_max_rate_mts": 2133, "year": 2014,
                       "memory_two_per_channel_rate_mts": 1866, "cpu_families": "adze:1.00 burin:2.00", "sata_6g_ports": 6,
                       "usb3_headers": 1, "outputs": "vga dvi-d hdmi-1.4", "firmware_modes": "uefi legacy"},
    "spar-10": MID | {"socket": "ketch", "memory_generation": "ddr4", "memory_slots": 2, "memory_max_rate_mts": 2133, "year": 2016,
                      "cpu_families": "sorrel:1.00", "cpu_plugs": "4", "m2_slots": "m:80:nvme,sata:3x2:0:1", "slots": "x16:16 x1:1 x1:1 pci",
                      "cpu_power_limit_w": 95, "tpm": "header"},
    "spar-20": MID | {"socket": "ketch", "memory_generation": "ddr4", "memory_slots": 4, "memory_max_rate_mts": 2400, "year": 2017,
                      "cpu_families": "sorrel:1.00 fennel:3.10", "m2_slots": M3, "sata_6g_ports": 6},
    "spar-30": MID | {"socket": "ketch", "memory_generation": "ddr4", "memory_slots": 2, "memory_max_rate_mts": 2666, "year": 2018,
                      "cpu_families": "fennel:1.00", "m2_slots": M3, "outputs": "vga hdmi-1.4 dp++-1.2"},
    "spar-40": MID | {"socket": "ketch", "memory_generation": "ddr4", "memory_slots": 4, "memory_max_rate_mts": 2666, "year": 2018,
                      "cpu_families": "fennel:1.00", "m2_slots": f"{M3} m:110:nvme:3x4:2:0", "sata_6g_ports": 6, "outputs": "dvi-d dp++-1.2"},
    "trowel-10": MID | {"socket": "corbel", "memory_generation": "ddr4", "memory_slots": 2, "memory_max_rate_mts": 3200, "year": 2019,
                        "cpu_families": "gouge:1.00 froe:2.40 gavel:4.10", "m2_slots": M3, "outputs": "vga hdmi-1.4", "cpu_power_limit_w": 105},
    "trowel-20": MID | {"socket": "corbel", "memory_generation": "ddr4", "memory_slots": 4, "memory_max_rate_mts": 3200, "year": 2020,
                        "memory_two_per_channel_rate_mts": 2666, "memory_max_module_mib": 32768, "m2_slots": f"{M3} m:80:nvme:3x2:2:0",
                        "cpu_families": "gouge:1.00 froe:2.00 gavel:4.00", "outputs": "dvi-d hdmi-2.0", "memory_ecc": "tolerated"},
    "trowel-30": MID | {"socket": "corbel", "memory_generation": "ddr4", "memory_slots": 4, "memory_max_rate_mts": 3200, "year": 2021,
                        "memory_max_module_mib": 32768, "m2_slots": "m:110:nvme:4x4:0:0 " + M3, "cpu_families": "froe:1.00 gavel:1.30",
                        "outputs": "hdmi-2.0 dp++-1.4", "memory_ecc": "yes", "sata_6g_ports": 6, "usb_e_headers": 1, "shield": "integrated"},
    "boom-10": NEW | {"socket": "sloop", "memory_generation": "ddr4", "memory_slots": 2, "memory_max_rate_mts": 3200, "year": 2022,
                      "cpu_families": "lovage:1.00 borage:3.20", "m2_slots": M3, "usb_e_headers": 0},
    "boom-20": NEW | {"socket": "sloop", "memory_generation": "ddr5", "memory_slots": 4, "memory_max_rate_mts": 5600, "year": 2022,
                      "memory_two_per_channel_rate_mts": 4400, "cpu_families": "lovage:1.00 borage:2.40",
                      "m2_slots": "m:80:nvme:4x4:0:0 " + M3},
    "boom-40": NEW | {"socket": "sloop", "memory_generation": "ddr5", "memory_slots": 4, "memory_max_rate_mts": 6400, "year": 2023,
                      "memory_two_per_channel_rate_mts": 4800, "cpu_families": "lovage:1.00 borage:1.10", "cpu_plugs": "8+8",
                      "m2_slots": "m:110:nvme:4x4:0:0 m:80:nvme:4x4:0:0 m:80:nvme,sata:4x4:0:1", "shield": "integrated"},
    "chisel-10": NEW | {"socket": "plinth", "memory_generation": "ddr5", "memory_slots": 2, "memory_max_rate_mts": 5600, "year": 2023,
                        "cpu_families": "trammel:1.00 scriber:2.10", "m2_slots": "m:80:nvme:4x4:0:0", "outputs": "hdmi-2.1 dp-1.4"},
    "chisel-20": NEW | {"socket": "plinth", "memory_generation": "ddr5", "memory_slots": 4, "memory_max_rate_mts": 6000, "year": 2024,
                        "memory_two_per_channel_rate_mts": 3600, "cpu_families": "trammel:1.00 scriber:1.20", "memory_ecc": "yes",
                        "m2_slots": "m:80:nvme:5x4:0:0 m:80:nvme:4x4:0:0", "outputs": "hdmi-2.1 dp-1.4", "shield": "integrated"},
}
MAKERS = {"br": "Brunnach", "to": "Tollmere", "ke": "Kestevan", "vi": "Virdano"}
DOUBTFUL = "maker's list, known doubtful"
M, A, MI = "microatx", "atx", "mini-itx"
ITX = {"memory_slots": 2, "slots": "x16:16", "fan_headers": 1}
WIDE = {"slots": "x16:16 x1:1 x1:1 x16:4 pci", "fan_headers": 4}
# id, chipset, form, width mm, depth mm, firmware as sold ("" = not stated), price, differences from the
# chipset's usual
BOARDS: list[tuple[str, str, str, int, int, str, float, Row]] = [
    ("br-k10m", "keel-10", M, 226, 185, "1.20", 29, {}),
    ("to-k10m", "keel-10", M, 226, 174, "", 27, {"parallel_ports": 1, "serial_ports": 1, "outputs": "vga"}),
    ("ke-k20m", "keel-20", M, 244, 200, "1.30", 38, {}),
    ("br-k20m", "keel-20", M, 226, 190, "2.20", 43, {"flash_without_cpu": "no"}),
    ("vi-k30m", "keel-30", M, 244, 244, "1.10", 52, {}),
    ("to-k30m", "keel-30", M, 226, 220, "1.40", 61, {"load_mw": 21000}),
    ("ke-k30a", "keel-30", A, 305, 244, "1.00", 66, WIDE | {"pata_channels": 1, "floppy_headers": 1}),
    ("vi-k30i", "keel-30", MI, 170, 170, "1.20", 88, ITX | {"cpu_plugs": "4"}),
    ("brand-k20", "keel-20", "own", 250, 231, "2.30", 15,
     {"main_plug": "own", "holes": "none", "shield": "missing", "source": "taken from a brand PC; fits that case only"}),
    ("to-g10m", "grout-10", M, 226, 180, "1.10", 22, {}),
    ("br-g20m", "grout-20", M, 244, 220, "2.10", 31, {}),
    ("vi-g20m", "grout-20", M, 226, 200, "", 28, {"flash_without_cpu": "no"}),
    ("ke-g20i", "grout-20", MI, 170, 170, "1.70", 44, ITX | {"flash_without_cpu": "no"}),
    ("br-g20a", "grout-20", A, 305, 225, "2.00", 34, WIDE | {"pata_channels": 1}),
    ("br-s10m", "spar-10", M, 226, 190, "1.40", 36, {"flash_without_cpu": "no"}),
    ("to-s10m", "spar-10", M, 226, 210, "1.10", 33, {"parallel_headers": 1, "serial_ports": 1}),
    ("ke-s20m", "spar-20", M, 244, 226, "1.60", 44, {"flash_without_cpu": "yes"}),
    ("vi-s20m", "spar-20", M, 244, 244, "3.20", 47, {"load_mw": 24000}),
    ("br-s30m", "spar-30", M, 226, 211, "1.10", 51, {"load_mw": 22000}),
    ("to-s30m", "spar-30", M, 244, 229, "1.20", 48, {"cpu_families": "fennel:1.00 gavel:1.30", "source": DOUBTFUL}),
    ("ke-s30i", "spar-30", MI, 170, 170, "", 67, ITX | {"outputs": "hdmi-1.4 dp++-1.2", "sata_6g_ports": 2}),
    ("vi-s40a", "spar-40", A, 305, 244, "1.30", 74, WIDE | {"cpu_plugs": "8+4"}),
    ("br-s40m", "spar-40", M, 244, 244, "1.00", 66, {}),
    ("to-s40w", "spar-40", "ssi-ceb", 305, 267, "1.80", 95, WIDE | {"memory_ecc": "yes", "memory_registered": "yes", "outputs": "vga"}),
    ("to-t10m", "trowel-10", M, 226, 185, "3.00", 54, {"flash_without_cpu": "no", "load_mw": 18000}),
    ("br-t10m", "trowel-10", M, 226, 200, "4.20", 58, {"cpu_families": "gouge:1.00 froe:2.40 froe:2.90 gavel:4.10", "source": DOUBTFUL}),
    ("ke-t10i", "trowel-10", MI, 170, 170, "", 81, ITX | {"outputs": "hdmi-1.4 dp++-1.2", "ps2_ports": 0, "usb2_headers": 0}),
    ("ke-t10t", "trowel-10", "thin-mini-itx", 170, 170, "4.10", 92,
     {"memory_module": "so-dimm", "main_plug": "own", "cpu_plugs": "none", "slots": "none", "cpu_power_limit_w": 65, "sata_6g_ports": 2}),
    ("vi-t20m", "trowel-20", M, 244, 225, "2.60", 68, {"flash_without_cpu": "yes", "ps2_ports": 0}),
    ("br-t20m", "trowel-20", M, 244, 244, "4.00", 71, {"flash_without_cpu": "no"}),
    ("to-t20m", "trowel-20", M, 230, 220, "4.30", 67, {"outputs": "vga dvi-d hdmi-1.4", "serial_headers": 1}),
    ("ke-t20a", "trowel-20", A, 305, 244, "4.10", 84, WIDE),
    ("vi-t20a", "trowel-20", A, 305, 215, "3.90", 77, WIDE | {"flash_without_cpu": "no"}),
    ("to-t30m", "trowel-30", M, 244, 230, "1.40", 93, {"flash_without_cpu": "yes"}),
    ("ke-t30i", "trowel-30", MI, 170, 170, "1.30", 112, ITX | {"flash_without_cpu": "yes", "usb2_headers": 0}),
    ("br-t30a", "trowel-30", A, 305, 244, "1.30", 121, WIDE | {"cpu_plugs": "8+4", "flash_without_cpu": "yes"}),
    ("br-b10m", "boom-10", M, 226, 200, "1.10", 76, {"outputs": "vga hdmi-2.0", "firmware_modes": "uefi legacy", "flash_without_cpu": "no"}),
    ("to-b10m", "boom-10", M, 230, 220, "3.30", 82, {"firmware_modes": "uefi"}),
    ("vi-b10m", "boom-10", M, 244, 226, "3.20", 86, {"firmware_modes": "unknown", "ps2_ports": 0, "outputs": "vga hdmi-2.0", "load_mw": 26000}),
    ("ke-b10d", "boom-10", M, 226, 205, "3.20", 88,
     {"memory_generation": "ddr5", "memory_max_rate_mts": 5200, "firmware_modes": "uefi legacy", "outputs": "vga hdmi-2.0"}),
    ("to-b20a", "boom-20", A, 305, 244, "2.10", 113, WIDE | {"memory_generation": "ddr4", "memory_max_rate_mts": 3200, "memory_two_per_channel_rate_mts": 2666}),
    ("br-b20m", "boom-20", M, 244, 226, "", 104, {"flash_without_cpu": "yes"}),
    ("vi-b20m", "boom-20", M, 244, 244, "2.50", 109, {}),
    ("ke-b20i", "boom-20", MI, 170, 170, "2.40", 141, ITX | {"memory_two_per_channel_rate_mts": "unknown"}),
    ("vi-b40a", "boom-40", A, 305, 244, "1.20", 191, WIDE | {"flash_without_cpu": "yes", "load_mw": 38000}),
    ("to-c10m", "chisel-10", M, 226, 210, "2.30", 96, {}),
    ("br-c10m", "chisel-10", M, 244, 244, "1.20", 99, {"flash_without_cpu": "yes"}),
    ("ke-c20m", "chisel-20", M, 244, 230, "1.30", 132, {"flash_without_cpu": "yes"}),
    ("vi-c20i", "chisel-20", MI, 170, 170, "1.10", 172, ITX | {"flash_without_cpu": "yes"}),
    ("br-c20a", "chisel-20", A, 305, 244, "1.20", 161, WIDE | {"flash_without_cpu": "yes"}),
]

# ---------------------------------------------------------------- memory
# generation, rates, sizes in GiB, price of a used GiB of this generation, nominal mV
MEMORY = (
    ("ddr3", (1333, 1600), (2, 4, 8), 1.15, 1500),
    ("ddr4", (2133, 2400, 2666, 3200), (4, 8, 16), 2.05, 1200),
    ("ddr5", (4800, 5200, 5600), (8, 16, 32), 3.1, 1100),
)
MEMORY_MAKERS = ("Lumbrick", "Cadmora", "Petrigan")
# id, name, price, differences: rows a catalogue really has and a planner must not fall for
ODD_MEMORY: list[tuple[str, str, float, Row]] = [
    ("ddr2-2x2-800", "Lumbrick 2 x 2 GiB PC2-6400", 9, {"generation": "ddr2", "modules": 2, "module_mib": 2048, "rate_mts": 800}),
    ("ddr3-2x4-1866-hv", "Cadmora 2 x 4 GiB PC3-14900 1.65 V", 13,
     {"generation": "ddr3", "modules": 2, "module_mib": 4096, "rate_mts": 1866, "voltage_mv": 1650}),
    ("ddr3-1x16-1600", "Petrigan 1 x 16 GiB PC3-12800", 39,
     {"generation": "ddr3", "modules": 1, "module_mib": 16384, "rate_mts": 1600, "ranks": 4, "source": "many boards take 8 GiB at most"}),
    ("ddr3-2x8-1600-lv", "Lumbrick 2 x 8 GiB PC3L-12800", 27,
     {"generation": "ddr3", "modules": 2, "module_mib": 8192, "rate_mts": 1600, "voltage_mv": 1350}),
    ("ddr3-1x4-1600-so", "Cadmora 1 x 4 GiB PC3L-12800 SO-DIMM", 5,
     {"generation": "ddr3", "module": "so-dimm", "modules": 1, "module_mib": 4096, "rate_mts": 1600, "voltage_mv": 1350}),
    ("ddr3-2x8-1333-reg", "Petrigan 2 x 8 GiB PC3-10600 registered ECC", 8,
     {"generation": "ddr3", "modules": 2, "module_mib": 8192, "rate_mts": 1333, "registered": "yes", "ecc": "yes"}),
    ("ddr4-2x16-2133-reg", "Petrigan 2 x 16 GiB PC4-17000 registered ECC", 17,
     {"generation": "ddr4", "modules": 2, "module_mib": 16384, "rate_mts": 2133, "registered": "yes", "ecc": "yes"}),
    ("ddr4-1x8-2666-ecc", "Lumbrick 1 x 8 GiB PC4-21300 ECC unbuffered", 15,
     {"generation": "ddr4", "modules": 1, "module_mib": 8192, "rate_mts": 2666, "ecc": "yes"}),
    ("ddr4-2x8-2666-so", "Cadmora 2 x 8 GiB PC4-21300 SO-DIMM", 24,
     {"generation": "ddr4", "module": "so-dimm", "modules": 2, "module_mib": 8192, "rate_mts": 2666}),
    ("ddr4-2x32-3200", "Lumbrick 2 x 32 GiB PC4-25600", 128, {"generation": "ddr4", "modules": 2, "module_mib": 32768, "rate_mts": 3200}),
    ("ddr5-2x24-5600", "Cadmora 2 x 24 GiB PC5-44800", 139, {"generation": "ddr5", "modules": 2, "module_mib": 24576, "rate_mts": 5600}),
    ("ddr5-2x16-6000", "Petrigan 2 x 16 GiB PC5-48000", 108, {"generation": "ddr5", "modules": 2, "module_mib": 16384, "rate_mts": 6000}),
]

# ---------------------------------------------------------------- coolers: id, name, sockets, height mm, W, fan pins, paste, price
HALVORN, OSTRELLE = "brig ketch", "quoin corbel"
COOLERS = [
    ("cool-flat", "Brisolet Flat 45", HALVORN, 45, 65, 4, "yes", 9), ("cool-flat-o", "Brisolet Flat 47 O", OSTRELLE, 47, 65, 4, "yes", 10),
    ("cool-disc", "Kaltwinkel Disc", HALVORN, 62, 95, 4, "yes", 12.5), ("cool-disc-o", "Kaltwinkel Disc O", OSTRELLE, 66, 95, 4, "yes", 12),
    ("cool-plain", "Brisolet Plain", "brig quoin", 58, 73, 3, "no", 5.5), ("cool-plain-4", "Brisolet Plain 4", "ketch corbel", 60, 75, 3, "no", 7),
    ("cool-stub", "Kaltwinkel Stub", "brig ketch quoin corbel sloop", 118, 130, 4, "yes", 19),
    ("cool-stub-n", "Kaltwinkel Stub N", "sloop plinth corbel", 120, 140, 4, "yes", 23), ("cool-low-n", "Brisolet Low N", "sloop plinth", 55, 80, 4, "yes", 15),
    ("cool-mast", "Kaltwinkel Mast", "ketch corbel sloop plinth", 155, 190, 4, "yes", 34), ("cool-mast-2", "Kaltwinkel Mast Twin", "corbel sloop plinth", 163, 230, 4, "yes", 49),
    ("cool-mid", "Brisolet Mid", "brig ketch quoin corbel", 136, 150, 4, "yes", 21), ("cool-slim", "Brisolet Slim 37", "corbel plinth", 37, 65, 4, "yes", 26),
    ("cool-deck", "Brisolet Deck", "ketch corbel sloop plinth", 70, 105, 4, "no", 27), ("cool-quiet", "Kaltwinkel Quiet", "brig ketch", 122, 110, 3, "yes", 24),
    ("cool-max", "Kaltwinkel Max", "sloop plinth", 168, 270, 4, "yes", 74),
]

# ---------------------------------------------------------------- extras: id, kind, name, takes, gives, count, price, more
EXTRAS: list[tuple[str, str, str, str, str, int, float, Row]] = [
    ("vga-from-hdmi", "display-adapter", "HDMI to VGA converter", "hdmi", "vga", 1, 9.9, {"active": "yes", "limit_khz": 165000}),
    ("vga-from-hdmi-small", "display-adapter", "HDMI to VGA converter, small", "hdmi", "vga", 1, 5.9, {"active": "yes", "limit_khz": 108000, "source": "too slow for 1680 x 1050 at 60 Hz"}),
    ("vga-from-dp", "display-adapter", "DisplayPort to VGA converter", "dp", "vga", 1, 12.5, {"active": "yes", "limit_khz": 200000}),
    ("vga-from-dvi-d", "display-adapter", "DVI-D to VGA converter", "dvi-d", "vga", 1, 13.9, {"active": "yes", "limit_khz": 165000}),
    ("vga-from-dvi-i", "display-adapter", "DVI-I to VGA plug", "dvi-i", "vga", 1, 2.9, {}),
    ("dvi-from-dp-dual", "display-adapter", "DisplayPort dual mode to DVI lead", "dp++", "dvi-d", 1, 7.5, {"limit_khz": 165000}),
    ("dvi-from-hdmi", "display-adapter", "HDMI to DVI-D lead", "hdmi", "dvi-d", 1, 4.9, {"limit_khz": 165000}),
    ("hdmi-from-dp", "display-adapter", "DisplayPort to HDMI converter", "dp", "hdmi", 1, 14.9, {"active": "yes", "limit_khz": 600000}),
    ("shield-k10", "io-shield", "Rear shield for K10 boards", "br-k10m to-k10m", "none", 1, 6.5, {}),
    ("shield-s10", "io-shield", "Rear shield for S10 and S30 boards", "br-s10m to-s10m br-s30m", "none", 1, 6.9, {}),
    ("shield-t", "io-shield", "Rear shield for T10 and T20 boards", "to-t10m br-t10m to-t20m vi-t20m", "none", 1, 8.5, {}),
    ("sata-card-2", "sata-controller", "Two-port SATA card, x1", "x1", "sata", 2, 13.9, {"low_profile": "yes"}),
    ("sata-card-4", "sata-controller", "Four-port SATA card, x4", "x4", "sata", 4, 27.9, {"low_profile": "yes"}),
    ("pata-card", "pata-controller", "PATA card, x1", "x1", "pata", 1, 19.9, {}),
    ("pata-bridge", "pata-drive-adapter", "PATA drive to SATA port bridge", "sata", "pata", 1, 11.9, {}),
    ("sata-split", "sata-power-splitter", "SATA power splitter", "sata", "sata", 1, 4.5, {"limit_ma": 4500}),
    ("sata-from-perip", "sata-power-from-peripheral", "SATA power from peripheral plug", "peripheral", "sata", 1, 3.5, {}),
    ("perip-from-sata", "peripheral-from-sata", "Peripheral plug from SATA power", "sata", "peripheral", 1, 3.9, {}),
    ("cpu4-from-perip", "cpu-plug-adapter", "4-contact processor plug from two peripheral plugs", "peripheral", "4", 2, 5.5, {"limit_ma": 12000}),
    ("cpu8-from-perip", "cpu-plug-adapter", "8-contact processor plug from two peripheral plugs", "peripheral", "8", 2, 6.9, {"limit_ma": 12000}),
    ("main24-from-20", "main-plug-adapter", "24-contact main plug from 20", "20", "24", 1, 5.9, {"limit_ma": 6000}),
    ("card6-from-perip", "card-plug-adapter", "6-contact card plug from two peripheral plugs", "peripheral", "6", 2, 4.9, {"limit_ma": 6250}),
    ("bracket-serial", "serial-bracket", "Serial port on a bracket", "none", "serial", 1, 4.9, {"low_profile": "yes"}),
    ("bracket-parallel", "parallel-bracket", "Parallel port on a bracket", "none", "parallel", 1, 5.9, {}),
    ("usb-serial-lead", "usb-serial", "USB to serial lead", "usb", "serial", 1, 9.5, {}),
    ("usb-parallel-lead", "usb-parallel", "USB to parallel printer lead", "usb", "parallel", 1, 10.9, {}),
    ("usb-ps2-lead", "usb-ps2", "USB to two PS/2 lead", "usb", "ps2", 2, 7.9, {"active": "yes"}),
    ("usb-floppy-box", "usb-floppy", "USB floppy drive", "usb", "floppy", 1, 18.9, {}),
    ("usb-box-sata", "usb-enclosure", "USB case for one SATA drive", "usb", "sata", 1, 14.5, {}),
    ("usb-box-pata", "usb-enclosure", "USB case for one PATA drive", "usb", "pata", 1, 16.9, {}),
    ("front-2-on-3", "front-usb-adapter", "USB 3 header to USB 2 front plug", "usb3", "usb2", 1, 3.9, {}),
    ("front-3-on-2", "front-usb-adapter", "USB 2 header to USB 3 front plug", "usb2", "usb3", 1, 4.9, {}),
    ("front-ac97-on-hd", "front-audio-adapter", "Front audio lead, old to new", "hd", "ac97", 1, 4.5, {}),
    ("m2-in-x4", "m2-card", "Card for one NVMe module, x4", "x4", "m2-nvme", 1, 8.9, {"low_profile": "yes"}),
    ("tpm-board", "tpm-module", "Platform module 2.0 for a header", "header", "2.0", 1, 17.9, {}),
    ("licence-desktop", "os-licence", "Desktop system licence, 2015 and 2021 generations", "none", "desktop-2021 desktop-2015", 1, 22, {}),
    ("licence-2015", "os-licence", "Desktop system licence, 2015 generation", "none", "desktop-2015", 1, 19.5, {}),
    ("flash-service", "firmware-update", "Firmware update at the bench before dispatch", "none", "none", 1, 14, {}),
    ("paste", "thermal-paste", "Thermal paste, 2 g", "none", "none", 1, 3.5, {}),
    ("standoff-set", "standoffs", "Ten standoffs with screws", "none", "none", 10, 2.9, {}),
    ("fan-split", "fan-splitter", "Fan splitter, two fans on one header", "fan", "fan", 1, 3.9, {"limit_ma": 1000}),
    ("sata-lead", "sata-data-cable", "SATA data lead, 50 cm", "sata", "sata", 1, 2.5, {}),
    ("install-stick", "system-install-media", "Installation stick", "usb", "none", 1, 6, {}),
]

# ---------------------------------------------------------------- supplies, cases, drives
# id, name, W, processor plugs, card plugs, SATA, peripheral, 12 V rails mA, combined mA, year, price, more
PSUS: list[tuple[str, str, int, str, str, int, int, str, int, int, float, Row]] = [
    ("psu-wh300", "Wattenholm 300", 300, "4", "none", 3, 2, "22000", 22000, 2025, 29, {"efficiency": "standard"}),
    ("psu-wh400", "Wattenholm 400", 400, "8", "6", 4, 3, "32000", 32000, 2025, 38, {"efficiency": "bronze"}),
    ("psu-wh500", "Wattenholm 500", 500, "8", "8", 6, 3, "40000", 40000, 2025, 47, {"efficiency": "bronze", "cpu_lead_mm": 600}),
    ("psu-wh650", "Wattenholm 650", 650, "8", "8+8", 6, 4, "54000", 54000, 2026, 69, {"efficiency": "gold", "zero_load_12v": "yes"}),
    ("psu-dy450", "Dynorra 450", 450, "8", "8", 5, 3, "18000+20000", 36000, 2024, 42, {"efficiency": "silver"}),
    ("psu-dy550", "Dynorra 550", 550, "8+4", "8+8", 6, 4, "45000", 45000, 2025, 64, {"efficiency": "gold", "zero_load_12v": "yes"}),
    ("psu-dy750", "Dynorra 750", 750, "8+8", "16+8", 8, 4, "62000", 62000, 2026, 98, {"efficiency": "platinum", "zero_load_12v": "yes"}),
    ("psu-sfx300", "Dynorra S300", 300, "4", "none", 3, 2, "20000", 20000, 2024, 44, {"form": "sfx", "efficiency": "bronze"}),
    ("psu-sfx450", "Dynorra S450", 450, "8", "8", 4, 2, "37500", 37500, 2025, 71, {"form": "sfx", "efficiency": "gold", "cpu_lead_mm": 400}),
    ("psu-tfx250", "Wattenholm T250", 250, "4", "none", 3, 1, "12000+10000", 18000, 2023, 41, {"form": "tfx", "efficiency": "standard"}),
    ("psu-used350", "Wattenholm 350, used", 350, "4", "6", 4, 4, "16000+14000", 0, 2016, 12, {"efficiency": "none"}),
    ("psu-used500", "Dynorra 500, used", 500, "8", "8", 5, 4, "18000+18000", 34000, 2019, 21, {"efficiency": "bronze"}),
    ("psu-old300", "Wattenholm 300 P, used", 300, "4", "none", 2, 6, "15000", 0, 2006, 5, {"main_plug": "20", "condition": "noisy", "source": "no combined limit on its label"}),
]
# id, name, form, free depth mm ("" = not measured), slot openings, cooler mm, front USB 2/3/E plugs, fans,
# price, more
CASES: list[tuple[str, str, str, object, int, int, tuple[int, int, int], int, float, Row]] = [
    ("case-hg-m1", "Holmgate M1", M, 246, 4, 155, (1, 1, 0), 1, 36, {}),
    ("case-hg-m2", "Holmgate M2 Flat", M, 244, 4, 85, (1, 0, 0), 1, 33, {"slot_height": "low", "psu_form": "tfx", "max_card_length_mm": 170}),
    ("case-hg-a1", "Holmgate A1", A, 275, 7, 165, (1, 1, 0), 2, 44, {}),
    ("case-hg-a2", "Holmgate A2", A, 280, 7, 170, (0, 1, 1), 3, 62, {}),
    ("case-ch-i1", "Chassard I1", MI, 172, 1, 120, (0, 1, 0), 1, 49, {"psu_form": "sfx"}),
    ("case-ch-m3", "Chassard M3", M, "", 4, 150, (1, 1, 0), 2, 41, {}),
    ("case-ch-old", "Chassard Tower, used", A, 250, 7, 150, (1, 0, 0), 1, 10, {"front_audio": "ac97", "source": "used; the front audio lead is the old kind"}),
    ("case-brand", "Brand tower, used", "own", "", 4, 110, (1, 0, 0), 1, 8, {"aperture": "fixed", "front_panel": "own", "psu_form": "own", "source": "used; takes its maker's board only"}),
]
# id, name, kind, interface, read MB/s, GB, price, more
DRIVES: list[tuple[str, str, str, str, int, int, float, Row]] = [
    ("ssd-sata-240", "Silvanta S 240", "ssd", "sata", 510, 240, 21, {"sata_gbps10": 60}), ("ssd-sata-480", "Silvanta S 480", "ssd", "sata", 530, 480, 32, {"sata_gbps10": 60}),
    ("ssd-sata-960", "Silvanta S 960", "ssd", "sata", 540, 960, 54, {"sata_gbps10": 60}), ("ssd-sata-old", "Silvanta 120, used", "ssd", "sata", 260, 120, 8, {"sata_gbps10": 30}),
    ("ssd-m2s-250", "Silvanta MS 250", "ssd", "m2-sata", 520, 250, 24, {"sata_gbps10": 60, "m2_key": "b+m", "m2_length_mm": 80}),
    ("ssd-nv3-250", "Silvanta N3 250", "ssd", "m2-nvme", 2400, 250, 26, {"pcie_gen": 3, "pcie_lanes": 4, "m2_key": "m", "m2_length_mm": 80}),
    ("ssd-nv3-500", "Silvanta N3 500", "ssd", "m2-nvme", 3200, 500, 37, {"pcie_gen": 3, "pcie_lanes": 4, "m2_key": "m", "m2_length_mm": 80}),
    ("ssd-nv4-1000", "Silvanta N4 1000", "ssd", "m2-nvme", 6400, 1000, 69, {"pcie_gen": 4, "pcie_lanes": 4, "m2_key": "m", "m2_length_mm": 80}),
    ("ssd-nv3-long", "Silvanta N3 960 long, used", "ssd", "m2-nvme", 2800, 960, 35, {"pcie_gen": 3, "pcie_lanes": 4, "m2_key": "m", "m2_length_mm": 110}),
    ("hdd-1000", "Rotundo 1000", "hdd35", "sata", 180, 1000, 36, {"sata_gbps10": 60}), ("hdd-2000", "Rotundo 2000", "hdd35", "sata", 190, 2000, 52, {"sata_gbps10": 60}),
    ("hdd-25-500", "Rotundo P 500, used", "hdd25", "sata", 100, 500, 9, {"sata_gbps10": 30}),
]

# id, name, height, slots, mm, plugs, mW, score, outputs, at once, UEFI part, year, price, more
GRAPHICS: list[tuple[str, str, str, int, int, str, int, int, str, int, str, int, float, Row]] = [
    ("veil-2", "Ferrolume Veil 2, used", "low", 1, 150, "none", 24000, 420, "vga dvi-d hdmi-1.4", 2, "yes", 2015, 49, {}),
    ("veil-5", "Ferrolume Veil 5", "low", 1, 155, "none", 30000, 980, "hdmi-2.0 dvi-d", 2, "yes", 2021, 64, {}),
    ("brume-40", "Optivane Brume 40, used", "full", 2, 175, "none", 75000, 2450, "hdmi-2.0 dp-1.4 dvi-d", 4, "yes", 2017, 58, {}),
    ("brume-60", "Optivane Brume 60, used", "full", 2, 235, "6", 120000, 3900, "hdmi-2.0 dp-1.4 dp-1.4 dp-1.4", 4, "yes", 2017, 89, {}),
    ("brume-80", "Optivane Brume 80", "full", 2, 272, "8", 190000, 6400, "hdmi-2.1 dp-1.4 dp-1.4 dp-1.4", 4, "yes", 2024, 229, {}),
    ("ember-9", "Ferrolume Ember 9, used", "full", 2, 255, "6", 108000, 760, "dvi-i-dual dvi-i-dual hdmi-1.4", 2, "no", 2010, 12, {"source": "used; its firmware has no UEFI part"}),
]

# ---------------------------------------------------------------- sellers, hand-written offers, bundles
SELLERS = [  # id, name, delivery, free from, minimum order, days, returns, kind
    ("millrace", "Millrace Parts", "4.90", "120.00", "", 2, 30, "shop"),
    ("hollow-lane", "Hollow Lane Components", "5.90", "90.00", "", 3, 14, "shop"),
    ("pallet-crate", "Pallet and Crate", "3.90", "", "40.00", 7, 14, "shop"),
    ("second-bench", "Second Bench", "6.50", "150.00", "", 3, 30, "workshop"),
    ("attic-finds", "Attic Finds", "4.50", "", "", 6, 0, "private"),
]
# part, seller, price, stock, and further columns: the offers that the story of the demo survey needs
HAND_OFFERS: list[tuple[str, str, str, object, Row]] = [
    ("transom-t4-33", "second-bench", "22.90", 3, {"condition": "used", "tested": "yes"}),
    ("transom-t4-30", "second-bench", "24.50", 2, {"condition": "used", "tested": "yes"}),
    ("mullion-t4s-37", "attic-finds", "38.00", 1, {"condition": "used", "tested": "no"}),
    ("ddr3-2x4-1333", "second-bench", "11.90", 6, {"condition": "used", "tested": "yes"}),
    ("to-t10m", "second-bench", "46.90", 2, {"condition": "refurbished", "tested": "yes", "firmware": "4.30"}),
    ("to-t10m", "attic-finds", "44.00", 1, {"condition": "used", "tested": "no", "shield": "missing", "firmware": "unknown"}),
    ("br-s30m", "second-bench", "49.90", 2, {"condition": "refurbished", "tested": "yes", "shield": "missing"}),
    ("br-s10m", "attic-finds", "29.00", 1, {"condition": "used", "shield": "missing"}),
    ("to-k30m", "hollow-lane", "98.00", 1, {"condition": "new", "source": "last piece of old stock"}),
    ("vi-k30i", "pallet-crate", "129.00", 2, {"condition": "new", "source": "old stock"}),
    ("weald-v6s-44", "pallet-crate", "99.90", 0, {}),
    ("weald-v6s-44", "hollow-lane", "96.90", 9, {}),
    ("weald-v6s-44", "millrace", "97.50", 5, {"available_on": "2027-01-15"}),
    ("transom-l4s-43", "hollow-lane", "84.90", 10, {"valid_until": "2026-11-05", "source": "autumn price, has ended"}),
    ("to-t20m", "millrace", "64.90", 12, {}),
    ("br-b10m", "hollow-lane", "74.90", 8, {}),
    ("glade-v4s-41", "attic-finds", "74.90", 1, {"condition": "used", "source": "dearer used than new: legal, not wise"}),
    ("licence-desktop", "millrace", "22.00", "", {}),
    ("licence-2015", "hollow-lane", "19.50", "", {}),
    ("vga-from-hdmi", "millrace", "9.90", 40, {}),
    ("usb-ps2-lead", "millrace", "7.90", 15, {}),
    ("shield-s10", "millrace", "6.90", 3, {}),
]
# id, name, kind, items, seller, price, stock, condition, more
BUNDLES: list[tuple[str, str, str, str, str, str, int, str, Row]] = [
    ("set-corbel-6", "Six-core set, tested", "parts", "br-t10m weald-f6s-42x ddr4-2x8-3200", "second-bench", "119.00", 2, "refurbished", {"source": "no integrated graphics: needs a card"}),
    ("set-corbel-4", "Four-core set, tested", "parts", "br-t10m glade-f4s-40 ddr4-2x8-2666 cool-plain-4", "second-bench", "124.00", 2, "refurbished", {}),
    ("set-corbel-g", "Set with graphics, new", "parts", "to-t20m glade-v4s-41 ddr4-2x8-3200", "millrace", "162.00", 4, "new", {"valid_until": "2026-12-31"}),
    ("set-ketch-4", "Four-core set with cooler", "parts", "br-s10m transom-s4-36 ddr4-1x8-2133*2 cool-disc", "second-bench", "99.00", 3, "used", {}),
    ("set-brig-4", "Old four-core set", "parts", "br-k20m transom-y4-36 ddr3-2x4-1600", "attic-finds", "82.00", 1, "used", {}),
    ("set-sloop-4", "Four-core set, this year's", "parts", "br-b10m transom-l4s-43 ddr4-2x8-3200", "hollow-lane", "194.00", 0, "new", {"available_on": "2026-12-08"}),
    ("pc-ketch", "Office PC, four cores, overhauled", "complete-pc", "br-s10m transom-s4-36 ddr4-1x8-2133 ssd-sata-240", "second-bench", "149.00", 5, "refurbished", {"mass_g": 7200}),
    ("pc-corbel", "Office PC, six cores, overhauled", "complete-pc", "to-t20m weald-v6s-44 ddr4-2x8-3200 ssd-nv3-500", "second-bench", "289.00", 2, "refurbished", {"mass_g": 7900}),
]
NOT_OFFERED = {"vi-b40a", "mullion-b10s-48", "hdd-25-500"}
