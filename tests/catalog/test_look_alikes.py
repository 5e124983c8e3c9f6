"""Words of a title or sheet that look like another fact. All titles are invented."""

from __future__ import annotations

import pytest

from partsolver.catalog.pages.specification import read_pairs
from partsolver.catalog.titles.article import article_of


def cells(title: str, table: str) -> dict[str, str]:
    article = article_of(title)
    assert article.table == table
    return dict(article.cells)


@pytest.mark.parametrize(
    ("words", "interface"),
    [
        ('960GB U.2 NVMe 2.5"', None),
        ('960GB NVMe 2.5"', None),  # common practice: NVMe in a 2.5 inch body has U.2 or U.3
        ("1TB NVMe PCIe 3.0 x4 AIC HHHL", None),
        ("1TB NVMe add-in card PCIe 3.0 x4", None),
        ("128GB micro SATA", None),  # another plug than SATA
        ('128GB SATA 1.8"', None),
        ("256GB mSATA SATA III", None),
        ("2TB SAS/SATA 7200rpm", None),
        ("512GB M.2 2280 SATA III", "m2-sata"),
        ("512GB M.2 2280 NVMe", "m2-nvme"),
        ('512GB 2.5" SATA III', "sata"),
    ],
)
def test_the_interface_of_a_drive_is_that_of_its_plug(words: str, interface: str | None) -> None:
    """titles-and-pages 3.4 lists U.2 and SAS beside SATA and NVMe: "M.2" alone does not tell the two apart."""
    assert cells(f"SSD Orvale {words}", "drives").get("interface") == interface


@pytest.mark.parametrize(
    ("form", "interface", "cell"),
    [
        ("M.2 2280", "SATA III 6 Gb/s", "m2-sata"),
        ("M.2 2280", "PCIe 3.0 x4, NVMe", "m2-nvme"),
        ('2.5"', "SATA III 6 Gb/s", "sata"),
        ("2.5-inch U.2", "PCIe 4.0 x4, NVMe", None),
        ("Add-in card (HHHL)", "PCIe 3.0 x4, NVMe", None),
        ("mSATA", "SATA III 6 Gb/s", None),
    ],
)
def test_form_and_interface_of_a_drive_in_two_rows(form: str, interface: str, cell: str | None) -> None:
    rows = [("Form factor", form), ("Interface", interface), ("Capacity", "960 GB")]
    for pairs in (rows, rows[::-1]):
        assert {name: text for name, text, _ in read_pairs("drives", pairs).facts}.get("interface") == cell


@pytest.mark.parametrize(
    ("words", "socket"),
    [
        ("B250M-K LGA1151 2 x DDR4 mATX", "LGA1151"),
        ("B250M-K LGA1151 2 slots DDR4 mATX", None),
        ("Z390-K LGA1151-2 DDR4 ATX", "LGA1151-2"),
        ("Z390-K LGA1151 v2 DDR4 ATX", "LGA1151-2"),
        ("X79-D LGA 2011 3 x PCIe x16 ATX", "LGA2011"),
        ("X99-D LGA 2011 3 DDR4 ATX", None),
        ("X99-D ATX, LGA 2011 3", "LGA2011-3"),
        ("X99-D LGA2011-v3 ATX", "LGA2011-3"),
    ],
)
def test_a_count_behind_a_socket_is_no_version_of_it(words: str, socket: str | None) -> None:
    """Chipsets B250 and X79 belong to the first versions of their sockets (common practice)."""
    assert cells(f"Tollmere Mainboard {words}", "boards").get("socket") == socket


@pytest.mark.parametrize(
    ("words", "mib"),
    [
        ("USB4 up to 40Gbps", None),
        ("Thunderbolt supports 40 Gbit/s", None),
        ("M.2 up to 2TB SSD", None),
        ("up to 32GB per DIMM", None),
        ("up to 128GB DDR4", str(128 * 1024)),
        ("bis zu 2 TB DDR5", str(2048 * 1024)),
    ],
)
def test_what_a_board_takes_at_most_is_its_memory(words: str, mib: str | None) -> None:
    assert cells(f"Tollmere B550 Mainboard AM4 ATX {words}", "boards").get("memory_max_mib") == mib


@pytest.mark.parametrize(
    ("table", "title", "form"),
    [
        (
            "cases",
            "Vantel case Mini ATX tower",
            None,
        ),  # a size of its own, between microATX and Mini-ITX or ATX
        ("cases", "Vantel Mini-ITX Gehäuse für ATX Netzteil", "mini-itx"),
        ("cases", "Vantel case Mini-ITX with ATX power supply", "mini-itx"),
        ("cases", "Vantel ATX case with 500W PSU", "atx"),
        ("boards", "Orvale Nano ITX motherboard", None),  # 120 mm square, Mini-ITX is 170 mm
        ("boards", "Orvale H110 motherboard Thin ITX", "thin-mini-itx"),
        ("boards", "Orvale B450 motherboard AM4 24-pin ATX", None),
    ],
)
def test_the_form_is_that_of_the_part(table: str, title: str, form: str | None) -> None:
    assert cells(title, table).get("form_factor") == form


@pytest.mark.parametrize(
    ("table", "label", "value", "column", "cell"),
    [
        # A board, a cooler or a card has three sides; which one a height is, three numbers do not say.
        ("graphics", "Length", "170 x 69 x 20 mm", "length_mm", "170"),
        ("graphics", "Length", "170 x 69 mm", "length_mm", None),
        ("graphics", "Length", "170 mm without bracket", "length_mm", None),
        ("graphics", "Length", "170 mm", "length_mm", "170"),
        ("coolers", "Height", "fan 120 x 120 x 25 mm", "height_mm", None),
        ("coolers", "Height", "120 mm (without fan)", "height_mm", None),
        # Common practice: a fan may stand above the fins, and what is measured without it is lower.
        ("coolers", "Height", "120 mm (heatsink only)", "height_mm", None),
        ("coolers", "Height", "without fan: 120 mm", "height_mm", None),
        ("coolers", "Höhe", "Kühlkörper 120 mm", "height_mm", None),
        ("coolers", "Height", "120 mm, fan not included", "height_mm", None),
        ("coolers", "Height", "120 mm w/o fan / 145 mm with fan", "height_mm", "145"),
        ("coolers", "Height", "155 mm", "height_mm", "155"),
        # A case holds what fits with all that is in it.
        ("cases", "CPU cooler height", "140-160 mm", "max_cooler_height_mm", "140"),
        ("cases", "Graphics card length", "280-320 mm", "max_card_length_mm", "280"),
        ("cases", "Graphics card length", "320 mm without drive cage", "max_card_length_mm", None),
        ("cases", "Graphics card length", "320 mm (without front fan)", "max_card_length_mm", None),
        ("cases", "Graphics card length", "max. 320 mm / 12.6 in", "max_card_length_mm", "320"),
        # What a supply gives for a moment is not what it is rated for; two rails give no sum of three numbers.
        ("psus", "Output power", "550 W (peak 600 W)", "rated_w", "550"),
        ("psus", "Output power", "600 W peak", "rated_w", None),
        # What it gives at most may be for a moment (titles-and-pages 3.4); "rated" and "continuous" say that it lasts.
        ("psus", "Max. power", "600 W", "rated_w", None),
        ("psus", "Power", "max. 600 W", "rated_w", None),
        ("psus", "Leistung", "bis zu 600 W", "rated_w", None),
        ("psus", "Output power", "600 W max.", "rated_w", None),
        ("psus", "Output power", "450 W (max. 600 W)", "rated_w", "450"),
        ("psus", "Output power", "600 W (max. 450 W)", "rated_w", None),
        ("psus", "Power", "450/600 W", "rated_w", None),
        ("psus", "Power", "peak power 600 W, continuous 450 W", "rated_w", "450"),
        ("psus", "Rated power", "max. 600 W", "rated_w", "600"),
        ("psus", "Dauerleistung", "450 W", "rated_w", "450"),
        ("psus", "Total power", "600 W", "rated_w", "600"),
        # What is like a certificate is none (80 PLUS lists what it tested, boards-cases-power 13).
        ("psus", "Efficiency", "similar to 80 PLUS Gold", "efficiency", None),
        ("psus", "Efficiency", "80 PLUS Gold level", "efficiency", None),
        ("psus", "Effizienz", "vergleichbar mit 80 PLUS Gold", "efficiency", None),
        ("psus", "Efficiency", "80 PLUS Gold", "efficiency", "gold"),
        ("psus", "12V", "45 A peak", "rail_12v_ma", None),
        ("psus", "12V", "12V1 20 A, 12V2 20 A (max 30 A combined)", "rail_12v_ma", None),
        ("psus", "12V", "12V1: 18 A / 12V2: 16 A", "rail_12v_ma", "18000+16000"),
        ("psus", "+12V", "38 A at 25 °C, 32 A at 50 °C", "rail_12v_ma", None),
        ("psus", "+12V", "42 A (max. 45 A)", "rail_12v_ma", None),
        ("psus", "+12V", "max. 42 A", "rail_12v_ma", "42000"),
        # The plug of 16 contacts is called 12V-2x6; it is no two plugs of six (PCIe CEM 5.1, common knowledge).
        ("graphics", "Power connectors", "12V-2x6", "power_plugs", "16"),
        ("graphics", "Power connectors", "1 x 16-pin (12V-2x6)", "power_plugs", "16"),
        ("graphics", "Power connectors", "1 x 12VHPWR", "power_plugs", "16"),
        ("graphics", "Power connectors", "2 x 6-pin", "power_plugs", "6+6"),
        ("psus", "Connectors", "2 x 8-pin PCIe, 12V-2x6 PCIe", "card_plugs", "8+8"),
        ("boards", "Video outputs", "DVI-D (with VGA adapter)", "outputs", "dvi-d"),
        ("boards", "Internal headers", "1 x USB 3.0, 1 x USB 3.2 Type-C", "usb3_headers", "1"),
        ("boards", "Internal headers", "1 x USB 3.2 Gen 2 (Type-C)", "usb3_headers", None),
        # A long slot with fewer lanes, in words that say no more.
        ("boards", "Expansion slots", "1 x PCIe 3.0 x16 (x4, shared with M.2)", "slots", None),
        ("boards", "Expansion slots", "1 x PCIe x16 (max x4)", "slots", None),
        ("boards", "Expansion slots", "1 x PCIe x16 slot (PCIe 3.0 x4)", "slots", None),
        ("boards", "Expansion slots", "1 x PCIe x16 (x4 electrical)", "slots", "x16:4"),
        # A slot that only a riser fits takes no card (boards-cases-power 1: LPX, NLX); which ones it gives is asked.
        ("boards", "Expansion slots", "1 x PCIe x16 for riser only", "slots", None),
        ("boards", "Expansion slots", "1 x PCIe x16 (Riser-Karte), 1 x PCIe x1", "slots", None),
        # Slots of two sorts: which of them is filled decides the modules.
        ("boards", "Memory", "2 DIMM + 2 SO-DIMM", "memory_module", None),
        ("boards", "Memory slots", "4 x DIMM + 2 x SO-DIMM", "memory_slots", None),
        ("boards", "Memory", "4 x SO-DIMM", "memory_module", "so-dimm"),
        ("boards", "Expansion slots", "1 x PCIe x16, 2 x PCIe x1", "slots", "x16:16 x1:1 x1:1"),
        ("boards", "Power connectors", "24-pin, 1 x 8-pin CPU, 3 x 4-pin fan", "cpu_plugs", "8"),
        ("boards", "Power connectors", "24-pin, 4-pin 12V, 1 x 4-pin Molex", "cpu_plugs", "4"),
        ("cpus", "Memory types", "LPDDR5-6400, DDR5-5600", "memory_rates", "ddr5:5600"),
        ("cpus", "Memory types", "DDR5-5600, OC DDR5-6400", "memory_rates", "ddr5:5600"),
        ("boards", "Memory", "DDR5 7200+ (OC), 4800 MHz", "memory_max_rate_mts", "4800"),
    ],
)
def test_numbers_of_a_sheet(table: str, label: str, value: str, column: str, cell: str | None) -> None:
    assert {name: text for name, text, _ in read_pairs(table, [(label, value)]).facts}.get(column) == cell


@pytest.mark.parametrize(
    ("table", "title", "column", "cell"),
    [
        ("psus", "Power supply Brendal 700W peak ATX", "rated_w", None),
        ("psus", "Netzteil Brendal ATX Spitzenleistung 700W", "rated_w", None),
        ("psus", "Power supply Brendal 450W ATX, 550W peak", "rated_w", "450"),
        ("psus", "Power supply Brendal max 600W ATX", "rated_w", None),
        ("psus", "Power supply Brendal ATX peak power: 600W", "rated_w", None),
        ("psus", "Power supply Brendal ATX 600W max.", "rated_w", None),
        ("psus", "Netzteil Brendal ATX bis zu 600W", "rated_w", None),
        ("psus", "Power supply Brendal ATX 450W, max 600W", "rated_w", "450"),
        ("psus", "Power supply Brendal ATX 600W, max 450W", "rated_w", None),
        ("psus", "Power supply Brendal ATX 450/600W", "rated_w", None),
        ("psus", "Power supply Brendal ATX rated max. 450W", "rated_w", "450"),
        ("psus", "Power supply Brendal ATX 450W continuous, 600W max", "rated_w", "450"),
        ("psus", "Netzteil Brendal 500W ATX ähnlich 80 PLUS Gold", "efficiency", None),
        ("psus", "Power supply Brendal 500W ATX 80 PLUS Gold-like", "efficiency", None),
        ("psus", "Power supply Brendal 500W ATX 80 PLUS Gold certified", "efficiency", "gold"),
        ("coolers", "CPU cooler Halvern AM4 height 120 mm (without fan)", "height_mm", None),
        ("coolers", "CPU cooler Halvern AM4 heatsink height 120 mm", "height_mm", None),
        ("coolers", "CPU-Kühler Halvern AM4 Höhe 120 mm (nur Kühlkörper)", "height_mm", None),
        ("coolers", "CPU cooler Halvern AM4 height 145 mm with fan", "height_mm", "145"),
        ("boards", "Tollmere B550 Mainboard AM4 ATX 2 DIMM + 2 SO-DIMM", "memory_module", None),
        ("boards", "Tollmere B550 Mainboard AM4 ATX DIMM/SO-DIMM", "memory_module", None),
        ("boards", "Tollmere B550 Mainboard AM4 ATX 2 x SO-DIMM", "memory_module", "so-dimm"),
        ("memory", "Kestevan RAM DDR5 6000 16GB OC", "rate_mts", None),
        ("memory", "Kestevan RAM DDR5 5600 16GB", "rate_mts", "5600"),
        ("cpus", "Processor Drune X5 6-core AM4 no graphics card needed", "graphics_score", None),
        ("cpus", "Prozessor Drune X5 6 Kerne AM4, läuft ohne Grafikkarte", "graphics_score", None),
        ("cpus", "Prozessor Drune X5 6 Kerne AM4 ohne Grafik", "graphics_score", "0"),
        ("cpus", "Processor Drune X5 6-core pre-binned 5.1 GHz AM4", "base_mhz", None),
        ("cpus", "Processor Drune X5 6-core 3.6 GHz AM4, 5.1 GHz OC", "base_mhz", "3600"),
        ("cpus", "Processor Drune X5 6-core AM5 DDR5-6000 OC", "memory_rates", None),
        ("coolers", "CPU-Kühler Halvern RAM Höhe 40 mm AM4", "height_mm", None),
        ("coolers", "CPU cooler Halvern 155mm height, RAM height 40 mm", "height_mm", "155"),
        ("coolers", "CPU cooler Halvern AM4 3-pin ARGB", "fan_pins", None),
        ("coolers", "CPU cooler Halvern AM4 4-pin PWM", "fan_pins", "4"),
    ],
)
def test_numbers_of_a_title(table: str, title: str, column: str, cell: str | None) -> None:
    """The traps are those of titles-and-pages 3.2 (clocks of sellers), 3.3 (profiles) and 3.4 (peak watts)."""
    assert cells(title, table).get(column) == cell


@pytest.mark.parametrize(
    ("table", "rows", "facts"),
    [
        # Every DDR5 chip corrects itself; that makes no ECC module (JESD79-5, common knowledge).
        ("memory", [("On-die ECC", "Yes")], {}),
        ("memory", [("ECC", "Yes (on-die)")], {}),
        ("memory", [("ECC", "Yes")], {"ecc": "yes"}),
        ("cpus", [("P-cores", "6"), ("E-cores", "8")], {}),
        ("cpus", [("Cores", "14"), ("E-cores", "8")], {"cores": "14"}),
        ("psus", [("+12V", "40 A"), ("-12V", "0.3 A")], {"rail_12v_ma": "40000"}),
        ("psus", [("-5V", "0.3 A")], {}),
        (
            "boards",
            [("Max. memory", "128 GB"), ("Max memory per slot", "32 GB")],
            {"memory_max_mib": str(128 * 1024), "memory_max_module_mib": str(32 * 1024)},
        ),
        ("boards", [("Memory slot capacity", "32 GB")], {"memory_max_module_mib": str(32 * 1024)}),
    ],
)
def test_labels_beside_a_topic(table: str, rows: list[tuple[str, str]], facts: dict[str, str]) -> None:
    assert {name: text for name, text, _ in read_pairs(table, rows).facts} == facts


@pytest.mark.parametrize(
    ("title", "table"),
    [
        ("Vantel case ATX, 2x 120mm fan, CPU cooler max 160 mm", None),
        ("Vantel Gehäuse Micro-ATX, CPU-Kühler bis 160 mm", None),
        ("Halvern tower CPU cooler AM4 155 mm", "coolers"),
        ("Halvern CPU-Kühler AM4, für kleine Gehäuse", "coolers"),
    ],
)
def test_a_case_that_speaks_of_its_cooler_is_none(title: str, table: str | None) -> None:
    """Signs of two kinds: ask (titles-and-pages 6, step 7)."""
    assert article_of(title).table == table


@pytest.mark.parametrize(
    ("words", "cell"),
    [("with stock cooler", "yes"), ("works with stock cooler", None), ("compatible with 95W cooler", None)],
)
def test_a_cooler_that_a_processor_works_with_is_none_in_its_box(words: str, cell: str | None) -> None:
    assert cells(f"Vantor C5-4400 LGA1200 6C/12T {words}", "cpus").get("boxed_cooler") == cell


@pytest.mark.parametrize(
    ("words", "form"), [("Flex ATX 250W", "flex-atx"), ("1U Flex 250W ATX", None), ("250W ATX", "atx")]
)
def test_a_supply_of_two_forms_is_of_none(words: str, form: str | None) -> None:
    """Common practice: Flex ATX supplies are sold as "Flex" and as "1U"; one does not fit an ATX opening."""
    assert cells(f"Corvane PSU {words}", "psus").get("form") == form
