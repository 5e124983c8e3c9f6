"""Makers' sheets in houses' own words and layouts: eleven languages, labels that stand in no list whole, blocks,
lists, lines and groups beside two-column tables. All of it is invented; the labels are terms of the trade.
Written before the words of labels were understood, scored then (3 of 177 facts), and what was lost was mended
by kind."""

from __future__ import annotations

import datetime

import pytest

from partsolver.catalog.pages.labels import topic_of
from partsolver.catalog.pages.source import PageSettings, read_page
from partsolver.catalog.pages.specification import read_pairs
from partsolver.catalog.store.records import Sighting

SETTINGS = PageSettings(None, datetime.date(2026, 11, 29), "EUR", {})

# (layout, part table, name, rows of labels and values, facts)
Rows = list[tuple[str, ...]]
SHEETS: list[tuple[str, str, str, Rows, dict[str, str]]] = [
    (
        "table",
        "boards",
        "Kestevan B560M-11",
        [
            ("Produttore", "Kestevan"),
            ("Modello", "B560M-11"),
            ("Socket CPU", "LGA 1200"),
            ("Chipset", "B560"),
            ("Formato", "Micro-ATX (24,4 cm x 22,6 cm)"),
            ("Slot di memoria", "4 x DIMM DDR4, fino a 128 GB, Dual Channel"),
            ("Slot di espansione", "1 x PCIe 4.0 x16, 1 x PCIe 3.0 x1"),
            ("Porte SATA", "6 x SATA 6 Gb/s"),
            ("Uscite video", "1 x HDMI 2.0, 1 x DisplayPort 1.4"),
            ("Connettori di alimentazione", "1 x 24 pin ATX, 1 x 8 pin EPS 12V"),
            ("Pannello posteriore", "4 x USB 3.2, 2 x USB 2.0, 1 x PS/2, 1 x RJ45"),
        ],
        {
            "socket": "LGA1200",
            "chipset": "B560",
            "form_factor": "microatx",
            "width_mm": "244",
            "depth_mm": "226",
            "memory_generation": "ddr4",
            "memory_module": "dimm",
            "memory_slots": "4",
            "memory_max_mib": "131072",
            "memory_channels": "2",
            "slots": "x16:16 x1:1",
            "sata_6g_ports": "6",
            "outputs": "hdmi-2.0 dp-1.4",
            "main_plug": "24",
            "cpu_plugs": "8",
            "usb_rear_ports": "6",
            "ps2_ports": "1",
        },
    ),
    (
        "dl",
        "boards",
        "Tollmere H410M-20",
        [
            ("Merk", "Tollmere"),
            ("Model", "H410M-20"),
            ("Processorsocket", "Socket 1200"),
            ("Chipset", "H410"),
            ("Vormfactor", "mATX"),
            ("Afmetingen", "226 x 178 mm"),
            ("Geheugen", "2 x DIMM, max. 64 GB, DDR4 2933 MHz"),
            ("Geheugenkanalen", "Dual channel"),
            ("Uitbreidingssloten", "1x PCIe 3.0 x16, 2x PCIe x1"),
            ("SATA-aansluitingen", "4x SATA 6Gb/s"),
            ("Beeldschermuitgangen", "HDMI 1.4, VGA"),
            ("Stroomaansluitingen", "24-pins ATX, 4-pins 12V"),
        ],
        {
            "socket": "LGA1200",
            "chipset": "H410",
            "form_factor": "microatx",
            "width_mm": "226",
            "depth_mm": "178",
            "memory_generation": "ddr4",
            "memory_module": "dimm",
            "memory_slots": "2",
            "memory_max_mib": "65536",
            "memory_max_rate_mts": "2933",
            "memory_channels": "2",
            "slots": "x16:16 x1:1 x1:1",
            "sata_6g_ports": "4",
            "outputs": "hdmi-1.4 vga",
            "main_plug": "24",
            "cpu_plugs": "4",
        },
    ),
    (
        "div",
        "boards",
        "Virdano A520M-77",
        [
            ("Výrobce", "Virdano"),
            ("Model", "A520M-77"),
            ("Patice procesoru", "AM4"),
            ("Čipset", "A520"),
            ("Formát desky", "microATX"),
            ("Rozměry", "22,6 × 18,5 cm"),
            ("Paměť", "2× DDR4 DIMM, až 64 GB"),
            ("Rozšiřující sloty", "1× PCIe 3.0 ×16, 1× PCIe 3.0 ×1"),
            ("Grafické výstupy", "HDMI, DVI-D"),
            ("Porty SATA", "4× SATA III"),
            ("Napájení", "1× 24-pin, 1× 8-pin"),
        ],
        {
            "socket": "AM4",
            "chipset": "A520",
            "form_factor": "microatx",
            "width_mm": "226",
            "depth_mm": "185",
            "memory_generation": "ddr4",
            "memory_module": "dimm",
            "memory_slots": "2",
            "memory_max_mib": "65536",
            "slots": "x16:16 x1:1",
            "outputs": "hdmi dvi-d",
            "sata_6g_ports": "4",
            "main_plug": "24",
            "cpu_plugs": "8",
        },
    ),
    (
        "li",
        "boards",
        "Brunnach B450-31",
        [
            ("Tillverkare", "Brunnach"),
            ("Modell", "B450-31"),
            ("Processorsockel", "AM4"),
            ("Styrkrets", "B450"),
            ("Formfaktor", "ATX"),
            ("Mått", "305 x 244 mm"),
            ("Minne", "4 x DDR4 DIMM, upp till 128 GB"),
            ("Expansionsplatser", "1 x PCIe 3.0 x16 (x16), 1 x PCIe 2.0 x16 (x4 mode), 2 x PCIe 2.0 x1"),
            ("Bildskärmsutgångar", "HDMI 2.0b, DVI-D, VGA"),
            ("Strömanslutningar", "24-pin ATX, 8-pin 12V"),
        ],
        {
            "socket": "AM4",
            "chipset": "B450",
            "form_factor": "atx",
            "width_mm": "305",
            "depth_mm": "244",
            "memory_generation": "ddr4",
            "memory_module": "dimm",
            "memory_slots": "4",
            "memory_max_mib": "131072",
            "slots": "x16:16 x16:4 x1:1 x1:1",
            "outputs": "hdmi-2.0 dvi-d vga",
            "main_plug": "24",
            "cpu_plugs": "8",
        },
    ),
    (
        "table3",
        "boards",
        "Ambrosch Q270-5",
        [
            ("CPU", "Socket", "LGA1151"),
            ("CPU", "Chipset", "Q270"),
            ("Board", "Form factor", "Mini-ITX, 170 mm x 170 mm"),
            ("Memory", "Slots", "2 x SO-DIMM DDR4, up to 32 GB"),
            ("Video", "Outputs", "2 x DisplayPort 1.2, 1 x HDMI 1.4"),
            ("Storage", "SATA", "2 x SATA 6Gb/s"),
            ("Power", "Connector", "24-pin ATX, 4-pin ATX12V"),
        ],
        {
            "socket": "LGA1151",
            "chipset": "Q270",
            "form_factor": "mini-itx",
            "width_mm": "170",
            "depth_mm": "170",
            "memory_module": "so-dimm",
            "memory_generation": "ddr4",
            "memory_slots": "2",
            "memory_max_mib": "32768",
            "outputs": "dp-1.2 hdmi-1.4",
            "main_plug": "24",
            "cpu_plugs": "4",
            "sata_6g_ports": "2",
        },
    ),
    (
        "table",
        "boards",
        "Tollmere B365M-8",
        [
            ("Производитель", "Tollmere"),
            ("Модель", "B365M-8"),
            ("Сокет", "LGA1151-v2"),
            ("Чипсет", "B365"),
            ("Форм-фактор", "mATX"),
            ("Размеры", "244 x 220 мм"),
            ("Слоты памяти", "4 x DIMM DDR4, до 64 ГБ"),
            ("Видеовыходы", "HDMI, DVI-D, VGA"),
            ("Разъемы питания", "24-pin, 8-pin"),
            ("Порты SATA", "6 x SATA 6Gb/s"),
        ],
        {
            "socket": "LGA1151-2",
            "chipset": "B365",
            "form_factor": "microatx",
            "width_mm": "244",
            "depth_mm": "220",
            "memory_generation": "ddr4",
            "memory_module": "dimm",
            "memory_slots": "4",
            "memory_max_mib": "65536",
            "outputs": "hdmi dvi-d vga",
            "main_plug": "24",
            "cpu_plugs": "8",
            "sata_6g_ports": "6",
        },
    ),
    (
        "table",
        "cpus",
        "Halvorn Stile P6-44",
        [
            ("Marca", "Halvorn"),
            ("Modelo", "P6-44"),
            ("Soquete", "LGA1200"),
            ("Número de núcleos", "6"),
            ("Número de threads", "12"),
            ("Frequência base", "2,90 GHz"),
            ("Frequência turbo máx", "4,30 GHz"),
            ("TDP", "65 W"),
            ("Tipos de memória", "DDR4-2666"),
            ("Nº máximo de canais de memória", "2"),
            ("Memória máxima", "128 GB"),
        ],
        {
            "socket": "LGA1200",
            "cores": "6",
            "threads": "12",
            "base_mhz": "2900",
            "boost_mhz": "4300",
            "tdp_w": "65",
            "memory_rates": "ddr4:2666",
            "memory_channels": "2",
            "memory_max_mib": "131072",
        },
    ),
    (
        "dl",
        "cpus",
        "Ostrelle Weald V6-51",
        [
            ("CPU-Sockel", "AM4"),
            ("CPU-Kerne", "6"),
            ("CPU-Threads", "12"),
            ("Basistaktfrequenz", "3,6 GHz"),
            ("Max. Boost-Takt", "Bis zu 4,2 GHz"),
            ("Standard-TDP", "65 W"),
            ("Systemspeichertyp", "DDR4"),
            ("Max. Speichergeschwindigkeit", "Bis zu 3200 MT/s"),
        ],
        {
            "socket": "AM4",
            "cores": "6",
            "threads": "12",
            "base_mhz": "3600",
            "boost_mhz": "4200",
            "tdp_w": "65",
        },
    ),
    (
        "table",
        "memory",
        "Lumbrick M4-8877",
        [
            ("Capacità", "16 GB (2 x 8 GB)"),
            ("Tipo", "DDR4 DIMM"),
            ("Velocità", "3200 MT/s"),
            ("Tensione", "1,2 V"),
            ("ECC", "No"),
            ("Registered", "No"),
        ],
        {
            "modules": "2",
            "module_mib": "8192",
            "generation": "ddr4",
            "module": "dimm",
            "rate_mts": "3200",
            "voltage_mv": "1200",
            "ecc": "no",
            "registered": "no",
        },
    ),
    (
        "table",
        "memory",
        "Cadmora V8-3300",
        [
            ("Geheugentype", "DDR3L SO-DIMM"),
            ("Capaciteit", "8 GB (1 x 8 GB)"),
            ("Snelheid", "1600 MHz"),
            ("Spanning", "1,35 V"),
            ("Foutcorrectie", "Non-ECC"),
        ],
        {
            "modules": "1",
            "module_mib": "8192",
            "generation": "ddr3",
            "module": "so-dimm",
            "rate_mts": "1600",
            "voltage_mv": "1350",
            "ecc": "no",
        },
    ),
    (
        "table",
        "coolers",
        "Brisolet Bas 55",
        [
            ("Hauteur totale", "55 mm"),
            ("Sockets compatibles", "LGA1700, LGA1200, LGA115x, AM4, AM5"),
            ("Capacité de refroidissement (TDP)", "95 W"),
        ],
        {
            "height_mm": "55",
            "sockets": "LGA1700 LGA1200 LGA1150 LGA1151 LGA1155 LGA1156 AM4 AM5",
            "rated_w": "95",
        },
    ),
    (
        "dl",
        "coolers",
        "Brisolet Torre 155",
        [
            ("Altezza", "155 mm"),
            ("Socket supportati", "LGA1151 / LGA1200 / AM4"),
            ("TDP max", "180 W"),
        ],
        {
            "height_mm": "155",
            "sockets": "LGA1151 LGA1200 AM4",
            "rated_w": "180",
        },
    ),
    (
        "table",
        "psus",
        "Maskell Calm 550",
        [
            ("Potenza nominale", "550 W"),
            ("Formato", "ATX"),
            ("Certificazione", "80 PLUS Gold"),
            ("Corrente +12V", "45 A"),
            ("+5V", "20 A"),
            ("+3.3V", "20 A"),
            ("Connettori", "1 x 24 pin, 1 x 4+4 pin CPU, 2 x 6+2 pin PCIe, 6 x SATA, 3 x Molex"),
        ],
        {
            "rated_w": "550",
            "form": "atx",
            "efficiency": "gold",
            "rail_12v_ma": "45000",
            "rail_5v_ma": "20000",
            "rail_3v3_ma": "20000",
            "main_plug": "24",
            "cpu_plugs": "8",
            "card_plugs": "8+8",
            "sata_plugs": "6",
            "peripheral_plugs": "3",
        },
    ),
    (
        "table",
        "graphics",
        "Ferrolume Veil 7",
        [
            ("Interface", "PCI Express 3.0 x16"),
            ("Power connectors", "none"),
            ("Board power", "75 W"),
            ("Outputs", "1 x HDMI 2.0b, 1 x DisplayPort 1.4a, 1 x DVI-D"),
            ("Card length", "168 mm"),
            ("Slots occupied", "2"),
            ("Max. displays", "3"),
            ("Low profile", "yes"),
            ("Recommended power supply", "300 W"),
        ],
        {
            "bus": "pcie",
            "lanes": "16",
            "power_plugs": "none",
            "load_mw": "75000",
            "outputs": "hdmi-2.0 dp-1.4 dvi-d",
            "length_mm": "168",
            "width_slots": "2",
            "max_displays": "3",
            "height": "low",
        },
    ),
    (
        "dl",
        "graphics",
        "Ferrolume Brume 62",
        [
            ("Schnittstelle", "PCIe 4.0 x16"),
            ("Stromanschlüsse", "1x 8-Pin"),
            ("Leistungsaufnahme", "160 W"),
            ("Anschlüsse", "3x DisplayPort 1.4a, 1x HDMI 2.1"),
            ("Abmessungen", "242 x 120 x 42 mm"),
            ("Belegte Slots", "2,2"),
            ("Max. Monitore", "4"),
            ("Empfohlenes Netzteil", "550 W"),
        ],
        {
            "bus": "pcie",
            "lanes": "16",
            "power_plugs": "8",
            "load_mw": "160000",
            "outputs": "dp-1.4 hdmi-2.1",
            "length_mm": "242",
            "width_slots": "3",
            "max_displays": "4",
        },
    ),
    (
        "div",
        "graphics",
        "Ferrolume Brume 70",
        [
            ("Interfaz", "PCI Express 4.0 (x16)"),
            ("Conectores de alimentación", "2 x 8 pines"),
            ("Consumo", "230 W"),
            ("Salidas de vídeo", "HDMI 2.1, 3 x DisplayPort 1.4"),
            ("Longitud", "30,5 cm"),
            ("Ranuras", "2.5"),
        ],
        {
            "bus": "pcie",
            "lanes": "16",
            "power_plugs": "8+8",
            "load_mw": "230000",
            "outputs": "hdmi-2.1 dp-1.4",
            "length_mm": "305",
            "width_slots": "3",
        },
    ),
    (
        "table",
        "cases",
        "Carrick Box 3",
        [
            ("Formati scheda madre", "ATX, Micro-ATX, Mini-ITX"),
            ("Altezza max dissipatore CPU", "160 mm"),
            ("Lunghezza max scheda video", "330 mm"),
        ],
        {
            "form_factor": "atx",
            "max_cooler_height_mm": "160",
            "max_card_length_mm": "330",
        },
    ),
    (
        "table",
        "drives",
        "Drovane Swift 9",
        [
            ("Capacità", "1 TB"),
            ("Interfaccia", "PCIe 4.0 x4, NVMe"),
            ("Formato", "M.2 2280"),
            ("Lettura sequenziale", "5000 MB/s"),
        ],
        {
            "capacity_gb": "1000",
            "interface": "m2-nvme",
            "m2_length_mm": "80",
            "pcie_gen": "4",
            "pcie_lanes": "4",
            "read_mbs": "5000",
        },
    ),
    (
        "ptext",
        "boards",
        "Kestevan H310M-9",
        [
            ("Sockel", "LGA 1151 (300er Serie)"),
            ("Chipsatz", "H310"),
            ("Formfaktor", "Mikro-ATX"),
            ("Maße (BxT)", "22,6 cm x 18,9 cm"),
            ("Speicher", "2 x DDR4 DIMM, max. 32 GB, 2666 MHz"),
            ("Grafikausgänge", "1 x VGA (D-Sub), 1 x HDMI 1.4"),
            ("Stromanschlüsse", "24-Pin ATX; 4-Pin 12V (ATX12V)"),
        ],
        {
            "socket": "LGA1151-2",
            "chipset": "H310",
            "form_factor": "microatx",
            "width_mm": "226",
            "depth_mm": "189",
            "memory_generation": "ddr4",
            "memory_module": "dimm",
            "memory_slots": "2",
            "memory_max_mib": "32768",
            "memory_max_rate_mts": "2666",
            "outputs": "vga hdmi-1.4",
            "main_plug": "24",
            "cpu_plugs": "4",
        },
    ),
    # A second set, written after the first was read whole, and scored before it was looked at: 41 of 61 facts,
    # one of them wrong (lanes of the second slot).
    (
        "table",
        "boards",
        "Tollmere B760M-3",
        [
            ("Supported CPU", "LGA1700 socket for 12th and 13th generation"),
            ("Chipset", "B760"),
            ("Memory Slots", "4 x DDR5 U-DIMM"),
            ("Memory Capacity (Max)", "192 GB"),
            ("Memory Channel", "Dual"),
            ("Display Interface", "1x HDMI 2.1, 1x DP 1.4"),
            ("Expansion Slots", "1x PCI-E 4.0 x16 slot, 1x PCI-E 3.0 x1 slot"),
            ("SATA Ports", "4"),
            (
                "Internal Connectors",
                "1x 24-pin ATX main power, 1x 8-pin ATX 12V, 4x chassis fan, 1x USB 3.2 Gen 1 header, 2x USB 2.0 headers",
            ),
            ("Rear Panel Ports", "1x PS/2, 4x USB 2.0, 2x USB 3.2"),
            ("Form Factor", "m-ATX"),
            ("Dimension (WxD)", "24.4 x 21.5 cm"),
            ("Warranty", "3 years"),
        ],
        {
            "socket": "LGA1700",
            "chipset": "B760",
            "memory_generation": "ddr5",
            "memory_slots": "4",
            "memory_module": "dimm",
            "memory_max_mib": "196608",
            "memory_channels": "2",
            "outputs": "hdmi-2.1 dp-1.4",
            "slots": "x16:16 x1:1",
            "form_factor": "microatx",
            "width_mm": "244",
            "depth_mm": "215",
            "usb_rear_ports": "6",
            "ps2_ports": "1",
            "fan_headers": "4",
            "usb3_headers": "1",
            "usb2_headers": "2",
            "main_plug": "24",
            "cpu_plugs": "8",
        },
    ),
    (
        "dl",
        "boards",
        "Kestevan Z77-A",
        [
            ("Prozessorsockel", "1155"),
            ("Chipsatz-Modell", "Z77"),
            ("Mainboard-Format", "ATX"),
            ("Unterstützter Arbeitsspeicher", "DDR3 bis 2400(O.C.)/1600/1333 MHz"),
            ("Maximaler Arbeitsspeicher", "32 GB"),
            ("Anzahl Speicherbänke", "4"),
            ("Speicherkanäle", "2"),
            ("Grafikausgang", "HDMI, DVI-D, VGA"),
            ("Erweiterungssteckplätze", "2 x PCIe x16 (x16/x4), 2 x PCIe x1, 2 x PCI"),
            ("Anschlüsse Netzteil", "24-Pin ATX, 8-Pin EPS"),
        ],
        {
            "socket": "LGA1155",
            "chipset": "Z77",
            "form_factor": "atx",
            "memory_generation": "ddr3",
            "memory_max_rate_mts": "1600",
            "memory_max_mib": "32768",
            "memory_slots": "4",
            "memory_channels": "2",
            "outputs": "hdmi dvi-d vga",
            "main_plug": "24",
            "cpu_plugs": "8",
            "slots": "x16:16 x16:4 x1:1 x1:1 pci pci",
        },
    ),
    (
        "li",
        "cpus",
        "Halvorn Stile P8-38",
        [
            ("Number of CPU Cores", "8"),
            ("Number of Threads", "16"),
            ("Max. Boost Clock", "Up to 4.7GHz"),
            ("Base Clock", "3.8GHz"),
            ("Default TDP", "105W"),
            ("CPU Socket", "AM4"),
            ("Max. Operating Temperature (Tjmax)", "90°C"),
            ("System Memory Type", "DDR4"),
            ("Memory Channels", "2"),
            ("Graphics Model", "Discrete Graphics Card Required"),
        ],
        {
            "cores": "8",
            "threads": "16",
            "boost_mhz": "4700",
            "base_mhz": "3800",
            "tdp_w": "105",
            "socket": "AM4",
            "memory_channels": "2",
        },
    ),
    (
        "div",
        "memory",
        "Lumbrick M5-9001",
        [
            ("Capacité", "32 Go (2 x 16 Go)"),
            ("Type de mémoire", "DDR5"),
            ("Format", "DIMM"),
            ("Fréquence", "5600 MHz"),
            ("Tension", "1,1 V"),
            ("Latence CAS", "46"),
            ("Type ECC", "Non-ECC"),
        ],
        {
            "modules": "2",
            "module_mib": "16384",
            "generation": "ddr5",
            "module": "dimm",
            "rate_mts": "5600",
            "voltage_mv": "1100",
            "ecc": "no",
        },
    ),
    (
        "table",
        "psus",
        "Maskell Steady 500",
        [
            ("Maximum Power", "500 W"),
            ("PSU Form Factor", "ATX12V 2.4"),
            ("80 PLUS", "Bronze"),
            ("Main connector", "20+4 pin"),
            ("CPU connector", "4+4 pin"),
            ("PCIe connector", "2x 6+2 pin"),
            ("SATA connectors", "5"),
            ("Molex connectors", "2"),
        ],
        {
            # No rated power: what it gives at most may be for a moment.
            "efficiency": "bronze",
            "card_plugs": "8+8",
            "cpu_plugs": "8",
            "main_plug": "24",
            "peripheral_plugs": "2",
            "sata_plugs": "5",
        },
    ),
    (
        "ptext",
        "coolers",
        "Brisolet Top 67",
        [
            ("Zócalos compatibles", "AM4, AM5, LGA1151, LGA1200"),
            ("Altura total", "67 mm"),
            ("TDP máximo", "120 W"),
            ("Velocidad del ventilador", "500-2000 rpm"),
            ("Conector", "4 pines PWM"),
        ],
        {
            "sockets": "AM4 AM5 LGA1151 LGA1200",
            "height_mm": "67",
            "rated_w": "120",
        },
    ),
    (
        "table",
        "graphics",
        "Ferrolume Veil 9",
        [
            ("Graphics bus", "PCI Express 4.0 x8"),
            ("Video memory", "4 GB GDDR6"),
            ("Power consumption (max.)", "50 W"),
            ("External power connector", "Not required"),
            ("Max. Display support", "4"),
            ("Display ports", "4 x mini DisplayPort 1.4"),
            ("Card dimensions", "168 x 69 x 18 mm"),
            ("Bracket", "Low profile"),
        ],
        {
            "bus": "pcie",
            "lanes": "8",
            "load_mw": "50000",
            "power_plugs": "none",
            "max_displays": "4",
            "outputs": "dp-1.4",
            "length_mm": "168",
            "height": "low",
        },
    ),
    (
        "dl",
        "drives",
        "Drovane Base 3",
        [
            ("Speicherkapazität", "500 GB"),
            ("Schnittstelle", "SATA 6 Gb/s"),
            ("Bauform", "2,5 Zoll"),
            ("Sequenzielles Lesen bis zu", "550 MB/s"),
            ("Garantie", "3 Jahre"),
        ],
        {
            "capacity_gb": "500",
            "interface": "sata",
            "read_mbs": "550",
        },
    ),
]


def page(layout: str, name: str, rows: Rows) -> bytes:
    """A saved page of one layout."""
    if layout == "table":
        body = "".join(f"<tr><th>{label}</th><td>{value}</td></tr>" for label, value in rows)
        body = f"<table>{body}</table>"
    elif layout == "table3":
        body = "".join(
            f"<tr><th>{group}</th><td>{label}</td><td>{value}</td></tr>" for group, label, value in rows
        )
        body = f"<table>{body}</table>"
    elif layout == "dl":
        body = "".join(f"<div><dt>{label}</dt><dd>{value}</dd></div>" for label, value in rows)
        body = f"<dl>{body}</dl>"
    elif layout == "div":
        body = "".join(f"<div><div>{label}</div><div>{value}</div></div>" for label, value in rows)
    elif layout == "li":
        body = (
            "<ul>" + "".join(f"<li><strong>{label}:</strong> {value}</li>" for label, value in rows) + "</ul>"
        )
    elif layout == "lines":
        body = "<p>" + "<br>".join(f"{label}: {value}" for label, value in rows) + "</p>"
    else:
        body = "".join(f"<p><b>{label}</b><br>{value}</p>" for label, value in rows)
    menu = "<nav><ul><li><a href='/'>Home</a></li><li><a href='/m'>Memory</a></li></ul></nav>"
    text = f"<!doctype html><html><head><meta charset=utf-8><title>{name}</title></head><body>{menu}<h1>{name}</h1>"
    return f"{text}{body}</body></html>".encode()


def sighting(layout: str, name: str, rows: Rows) -> Sighting:
    (found,) = read_page(page(layout, name, rows), "x.html", "d", SETTINGS).source.sightings
    return found


def same(column: str, one: str, other: str) -> bool:
    return (
        sorted(one.split()) == sorted(other.split())
        if column in ("slots", "outputs", "sockets")
        else one == other
    )


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: f"{sheet[2]} {sheet[0]}")
def test_a_sheet_in_other_words_is_read_whole(sheet: tuple[str, str, str, Rows, dict[str, str]]) -> None:
    layout, table, name, rows, facts = sheet
    found = sighting(layout, name, rows)
    said = {fact.column: fact.value for fact in found.facts}
    assert found.table == table
    assert set(said) == set(facts)
    assert not [(column, said[column]) for column in facts if not same(column, said[column], facts[column])]


@pytest.mark.parametrize("layout", ["table", "dl", "div", "li", "lines", "paragraphs"])
def test_every_layout_says_the_same(layout: str) -> None:
    _, _, name, rows, facts = SHEETS[0]
    assert {fact.column: fact.value for fact in sighting(layout, name, rows).facts} == facts


def test_a_group_names_what_a_short_label_is_about() -> None:
    rows = [
        ("CPU", "Socket", "AM4"),
        ("Memory", "Slots", "2 x DDR4 DIMM"),
        ("Expansion", "Slots", "1 x PCIe 3.0 x16"),
    ]
    said = {fact.column: fact.value for fact in sighting("table3", "Kestevan A320M motherboard", rows).facts}
    assert said["memory_slots"] == "2" and said["slots"] == "x16:16"


def test_a_comparison_of_models_is_no_sheet_of_one() -> None:
    rows = [("Socket", "AM4", "AM5"), ("Chipset", "B450", "B650"), ("Form factor", "ATX", "Mini-ITX")]
    text = page("table3", "Compare boards", rows).decode()
    from partsolver.catalog.lists.limits import NotRead

    with pytest.raises(NotRead):
        read_page(text.encode(), "x.html", "d", SETTINGS)


@pytest.mark.parametrize(
    ("table", "label"),
    [
        ("boards", "Package dimensions"),
        ("boards", "Power phases"),
        ("boards", "Maximum memory per slot in server mode"),
        ("boards", "Gross weight"),
        ("cpus", "Performance cores"),
        ("cpus", "Graphics base frequency"),
        ("cpus", "Configurable TDP down"),
        ("cpus", "Max memory bandwidth"),
        ("memory", "Tested XMP speed"),
        ("coolers", "Fan height"),
        ("coolers", "Radiator height"),
        ("psus", "Peak power"),
        ("psus", "Standby power"),
        ("cases", "PSU form factor"),
        ("drives", "Random read 4K"),
        ("graphics", "Recommended power supply"),
        ("graphics", "Alimentation recommandée"),
        ("graphics", "Minimum system power"),
        ("graphics", "Memory size"),
        ("graphics", "Fan size"),
        ("graphics", "Memory interface"),
    ],
)
def test_a_label_with_a_word_more_is_another_thing(table: str, label: str) -> None:
    assert topic_of(table, label, {}) is None


@pytest.mark.parametrize(
    ("table", "label", "topic"),
    [
        ("boards", "Anzahl der DDR4-Speichersteckplätze", "memory"),
        ("boards", "Nombre d'emplacements mémoire", "memory"),
        ("boards", "Liczba slotów pamięci", "memory"),
        ("boards", "Prozessor-Sockel:", "socket"),
        ("boards", "Dimensioni della scheda madre", "size"),
        ("cpus", "Aantal kernen", "cores"),
        ("cpus", "Počet jader procesoru", "cores"),
        ("memory", "Kapazität des Kits", "kit"),
        ("graphics", "Länge der Karte", "length"),
        ("graphics", "Consommation de la carte", "power"),
        ("graphics", "Emplacements occupés", "slots"),
        ("graphics", "Hauteur", "bracket"),
        ("graphics", "Bauform", "bracket"),
        ("graphics", "Auxiliary power", "plugs"),
        ("graphics", "Abmessungen (L x B x H)", "size"),
    ],
)
def test_labels_are_understood_by_their_words(table: str, label: str, topic: str) -> None:
    assert topic_of(table, label, {}) == topic


def test_a_shared_socket_name_is_told_by_the_chipset_of_the_same_sheet() -> None:
    for chipset, socket in (("Z170", "LGA1151"), ("Z390", "LGA1151-2")):
        said = read_pairs("boards", [("Socket", "LGA1151"), ("Chipset", chipset)])
        assert {column: value for column, value, _ in said.facts}["socket"] == socket
    assert not read_pairs("boards", [("Socket", "LGA1151")]).facts


def test_what_a_card_needs_is_read_and_what_its_system_should_have_is_not() -> None:
    said = read_pairs(
        "graphics",
        [
            ("Power connectors", "1 x 6+2-pin, 1 x 6-pin"),
            ("Power consumption", "160 W"),
            ("Recommended power supply", "550 W"),
            ("UEFI", "Yes"),
            ("Low profile", "No"),
        ],
    )
    facts = {column: value for column, value, _ in said.facts}
    assert facts == {"power_plugs": "8+6", "load_mw": "160000", "uefi": "yes", "height": "full"}
    assert ("Recommended power supply", "550 W") in said.unknown


@pytest.mark.parametrize(
    ("said", "slots"),
    [
        ("1 x PCIe 3.0 x16 (x4)", "x16:4"),
        ("2 x PCIe x16 (x16/x4)", "x16:16 x16:4"),
        ("2 x PCIe 4.0 x16 (x8/x8)", "x16:8 x16:8"),
        ("3 x PCIe x16 (x16/x8/x4)", None),
        ("2 x PCIe x16 (x16 or x8/x8)", "x16:8 x16:8"),  # at the worse end
    ],
)
def test_lanes_in_brackets_are_those_of_each_slot(said: str, slots: str | None) -> None:
    facts = {column: value for column, value, _ in read_pairs("boards", [("Expansion slots", said)]).facts}
    assert facts.get("slots") == slots


@pytest.mark.parametrize(
    "said", ["1 x 4-pin CPU fan header", "1 x 4-pin 12V RGB header", "2 x 4-pin system fan, 1 x 9-pin USB"]
)
def test_plugs_of_fans_and_lights_are_no_power_plugs(said: str) -> None:
    facts = {column for column, _, _ in read_pairs("boards", [("Internal connectors", said)]).facts}
    assert not facts & {"cpu_plugs", "main_plug"}


@pytest.mark.parametrize(
    "around",
    [
        "<aside>{}</aside>",
        "<div class='related-products'>{}</div>",
        "<section id=customersAlsoBought>{}</section>",
    ],
)
def test_what_other_articles_are_like_is_no_fact(around: str) -> None:
    """A page recommends others beside its own article; their sockets and outputs are theirs."""
    _, _, name, rows, facts = SHEETS[0]
    other = "<ul><li><b>Video outputs:</b> DVI-D</li><li><b>Weight:</b> 900 g</li></ul><table><tr><td>Year</td><td>1999</td></tr></table>"
    whole = page("table", name, rows).replace(b"</body>", around.format(other).encode() + b"</body>")
    (found,) = read_page(whole, "x.html", "d", SETTINGS).source.sightings
    assert {fact.column: fact.value for fact in found.facts} == facts
