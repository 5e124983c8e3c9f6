"""How to find out a fact of the survey: where to look, what to measure. Common practice throughout.

Keyed by table and key; ``MEANINGS`` replaces the catalogue's meaning where a survey asks something else.
"""

from __future__ import annotations

from typing import Final

MEANINGS: Final[dict[tuple[str, str], str]] = {
    ("board", "name"): "Name of the board as printed on it",
    ("board", "firmware_shipped"): "Firmware version that is on the board now",
    ("board", "year"): "Year the board came on sale",
    ("cpu", "name"): "Name of the processor",
    ("case", "name"): "Any name for the case",
    ("psu", "name"): "Any name for the supply",
}

HOW: Final[dict[tuple[str, str], str]] = {
    ("pc", "maker_model"): "label on the back or side of the case",
    ("pc", "brand"): "a maker's name and model number on the case, not of a case maker",
    (
        "case",
        "form_factor",
    ): "measure the tray, or count the card openings: 7 atx, 4 microatx, 2 or fewer mini-itx",
    ("case", "max_board_depth_mm"): "from the rear panel to the nearest obstacle in front, on the tray",
    ("case", "slot_openings"): "count the card openings at the rear",
    ("case", "slot_height"): "an opening about 120 mm high is full, about 80 mm low",
    ("case", "max_cooler_height_mm"): "from the top of the processor to the closed side panel",
    ("case", "standoffs"): "which holes of the present board are screwed down",
    ("psu", "rated_w"): "total on the label of the supply; never open it",
    ("psu", "main_plug"): "count the contacts of the widest plug",
    ("psu", "cpu_plugs"): "the square plug of 4 or 8 contacts near the processor",
    ("psu", "rail_12v_ma"): "label of the supply, column +12V, amperes x 1000",
    ("psu", "year"): "label of the supply: date, or week and year in the serial line",
    ("board", "form_factor"): "measure width and depth",
    ("board", "width_mm"): "along the edge with the rear ports",
    ("board", "depth_mm"): "from the rear edge to the front edge",
    ("board", "memory_slots"): "count the long slots beside the processor",
    ("board", "memory_max_mib"): "the board's manual",
    (
        "board",
        "memory_generation",
    ): "label of a module: PC133 is sdr, PC3200 ddr, PC2- ddr2, PC3- ddr3, PC4- ddr4, PC5- ddr5",
    ("board", "socket"): "printed on the socket or beside it, or in the board's manual",
    ("board", "main_plug"): "count the contacts of the widest power header",
    ("board", "cpu_plugs"): "the power header near the processor: 4 or 8 contacts",
    ("board", "slots"): "look at the board, beginning at the processor",
    ("board", "sata_6g_ports"): "printed beside the ports, or the board's manual",
    ("board", "sata_3g_ports"): "printed beside the ports, or the board's manual",
    ("board", "chipset"): "the board's manual",
    ("board", "firmware_modes"): "the start menu of the firmware's setup",
    ("cpu", "socket"): "the board's socket, or the maker's page of the processor",
    ("cpu", "tdp_w"): "the maker's page of the processor",
    ("cpu", "boost_mhz"): "the maker's page of the processor",
    ("memory", "generation"): "label: PC133 is sdr, PC3200 ddr, PC2- ddr2, PC3- ddr3, PC4- ddr4, PC5- ddr5",
    ("memory", "rate_mts"): "label: DDR3-1333 or PC3-10600 means 1333",
    ("memory", "capacity_mib"): "label, GB x 1024",
    ("drive", "kind"): "3.5 inch is about 100 mm wide, 2.5 inch about 70 mm",
    (
        "drive",
        "interface",
    ): "sata: two flat plugs; pata: a wide ribbon; m2: a small card screwed to the board",
    ("drive", "power_plug"): "sata: flat and L-shaped; peripheral: four round contacts in a row",
    ("os", "licence"): "a sticker on the case, a box, or an account",
}
