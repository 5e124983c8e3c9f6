"""Facts of parts and of the PC as a person reads them: name, value, unit. Columns are named for programs
(`max_board_depth_mm`); what a person would not say is put in other words here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

# Units by the end of a column's name; the longer end first.
ENDINGS = (
    ("_per_s", "per second"), ("_percent", "%"), ("_mbit", "Mbit"), ("_khz", "kHz"), ("_mhz", "MHz"),
    ("_mbs", "MB/s"), ("_mts", "MT/s"), ("_mib", "MB"), ("_mm", "mm"), ("_ma", "mA"), ("_mw", "mW"),
    ("_mv", "mV"), ("_gb", "GB"), ("_px", "pixels"), ("_hz", "Hz"), ("_w", "W"), ("_g", "g"),
)  # fmt: skip
NAMES = {
    "active": "converts actively",
    "always_on": "runs day and night",
    "aperture": "opening for the rear shield",
    "architecture_class": "class of processors",
    "available_on": "to be had from",
    "back_plate": "plate behind the board",
    "base_mhz": "clock",
    "bays_25": "2.5 inch bays",
    "bays_35": "3.5 inch bays",
    "bays_525": "5.25 inch bays",
    "board_works": "the board works",
    "boost_mhz": "highest clock",
    "boxed_cooler": "cooler comes with it",
    "boxed_cooler_mm": "height of its own cooler",
    "brand": "sold as a whole by a maker",
    "card_plugs": "plugs for graphics cards",
    "chips": "memory chips on a module",
    "combined_12v_ma": "12 V altogether",
    "combined_5v_3v3_mw": "5 V and 3.3 V together",
    "cooler_brackets": "the case or a frame that stays holds the cooler",
    "copied": "its data are copied",
    "cpu_families": "processor families it takes",
    "cpu_families_until": "processor families up to a firmware",
    "cpu_lead_mm": "length of the processor lead",
    "cpu_plugs": "processor plugs",
    "cpu_power_limit_w": "strongest processor",
    "cpu_rail": "rail of the processor",
    "cpu_works": "the processor works",
    "depth_mm": "depth",
    "direct_hardware_access": "software that drives old hardware itself",
    "ecc": "error correction",
    "fan_headers": "fan connectors",
    "fan_pins": "pins of the fan",
    "firmware_modes": "ways to start",
    "firmware_shipped": "firmware as sold",
    "firmware_steps": "firmware on the way",
    "flash_without_cpu": "firmware can be set without a processor",
    "floppy_headers": "floppy connectors",
    "front_audio": "sound at the front",
    "front_panel": "switches and lamps at the front",
    "front_usb2_plugs": "USB 2 plugs of the front",
    "front_usb3_plugs": "USB 3 plugs of the front",
    "front_usb_e_plugs": "USB-C plugs of the front",
    "free_from": "free delivery from",
    "graphics_score": "graphics points",
    "keep": "the installation stays",
    "legacy_video": "makes a picture at an old-style start",
    "limit_khz": "highest horizontal rate",
    "low_profile": "low bracket",
    "m2_key": "key of the M.2 module",
    "m2_length_mm": "length of the M.2 module",
    "m2_slots": "M.2 sockets",
    "mass_g": "mass",
    "max_board_depth_mm": "room for the depth of a board",
    "max_board_width_mm": "room for the width of a board",
    "max_card_length_mm": "room for the length of a card",
    "max_cooler_height_mm": "room for the height of a cooler",
    "max_displays": "monitors at once",
    "memory_ecc": "takes error correction",
    "memory_max_chip_mbit": "largest memory chip",
    "memory_max_mib": "most memory",
    "memory_max_module_mib": "largest module",
    "memory_max_rate_mts": "fastest memory",
    "memory_registered": "takes registered modules",
    "memory_seen_mib": "memory that the system sees",
    "memory_two_per_channel_rate_mts": "memory rate with two modules a channel",
    "memory_voltage_mv": "memory voltage",
    "memory_works": "the memory works",
    "module_mib": "size of a module",
    "nvme_boot": "starts from NVMe",
    "outputs": "picture sockets",
    "parallel_score": "points of all cores together",
    "paste_included": "paste comes with it",
    "pata_channels": "wide drive connectors (PATA)",
    "pcie_gen": "PCI Express generation",
    "pcie_lanes": "PCI Express lanes",
    "peripheral_leads": "leads with four-pin drive plugs",
    "peripheral_plugs": "four-pin drive plugs",
    "pinout": "order of the pins",
    "power_limit_w": "highest lasting power",
    "ps2_ports": "round keyboard and mouse sockets",
    "psu_form": "size of the supply",
    "rail_5vsb_ma": "standby rail",
    "random_reads_per_s": "small reads",
    "ranks": "ranks of a module",
    "rated_w": "power on the label",
    "read_mbs": "reading speed",
    "required": "is needed",
    "returns_days": "can be sent back within days",
    "sata_1g5_ports": "SATA ports of 1.5 Gb/s",
    "sata_3g_ports": "SATA ports of 3 Gb/s",
    "sata_6g_ports": "SATA ports of 6 Gb/s",
    "sata_gbps10": "SATA speed, tenths of Gb/s",
    "score_error_percent": "error of the points",
    "score_origin": "where the points come from",
    "score_scale": "yardstick of the points",
    "secure_boot": "Secure Boot",
    "serial_score": "points of one core",
    "slot_height": "height of its slots",
    "slot_openings": "openings for cards",
    "standoff_positions": "places for standoffs",
    "standoffs_fixed": "standoffs that cannot be taken out",
    "start_12v_ma": "12 V while it starts",
    "start_mode": "how it starts",
    "storage_mode": "mode of the SATA ports",
    "storage_modes": "modes of the SATA ports",
    "system": "the system starts from it",
    "tdp_w": "thermal design power",
    "tied_software": "programs tied to this PC",
    "tpm": "security chip (TPM)",
    "uefi": "starts by UEFI",
    "usb2_headers": "USB 2 connectors inside",
    "usb3_headers": "USB 3 connectors inside",
    "usb_e_headers": "USB-C connectors inside",
    "usb_rear_ports": "USB sockets at the back",
    "used_gb": "in use",
    "width_slots": "slots it covers",
    "x86_level": "level of the instruction set",
    "zero_load_12v": "runs without load on 12 V",
}  # fmt: skip
# Picture sockets as they are written on monitors.
LINKS = {
    "vga": "VGA (15 holes, often blue)", "dvi": "DVI, which kind is not known", "dvi-a": "DVI-A (analogue only)",
    "dvi-d": "DVI-D (digital only)", "dvi-d-dual": "DVI-D, dual link", "dvi-i": "DVI-I (analogue and digital)",
    "dvi-i-dual": "DVI-I, dual link", "hdmi": "HDMI, version not known", "dp": "DisplayPort, version not known",
    "dp++": "DisplayPort that also drives HDMI (++), version not known",
}  # fmt: skip


def link_name(link: str) -> str:
    """A picture socket in words: ``hdmi-1.4`` is "HDMI 1.4"."""
    kind, _, version = link.partition("-")
    plain = {"hdmi": "HDMI", "dp": "DisplayPort", "dp++": "DisplayPort that also drives HDMI (++)"}.get(kind)
    return LINKS.get(link) or (f"{plain} {version}" if plain and version else link)


def plain_key(key: str) -> str:
    """A column as a person reads it: ``max_board_depth_mm`` is "room for the depth of a board"."""
    if key in NAMES:
        return NAMES[key]
    for ending, _ in ENDINGS:
        if key.endswith(ending):
            key = key.removesuffix(ending)
            break
    return key.replace("_", " ").replace("12v", "12 V").replace("5v", "5 V").replace("3v3", "3.3 V")


def unit_of(key: str) -> str:
    """The unit that a column's name ends with."""
    return next((unit for ending, unit in ENDINGS if key.endswith(ending)), "")


def value_with_unit(key: str, value: Any) -> str:
    """A value of a column in words: "128 GB", "ddr4: 3200", "yes"."""
    if key.endswith("_mib") and isinstance(value, int) and value and value % 1024 == 0:
        return f"{value // 1024} GB"
    return f"{value_text(value)} {unit_of(key)}".strip()


def value_text(value: Any) -> str:
    """A value of a survey or part in words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(_item_text(item) for item in value) or "none"
    return str(value)


def _item_text(item: Any) -> str:
    """One item of a list; a pair is a name with its value."""
    if isinstance(item, Sequence) and not isinstance(item, str):
        return ": ".join(str(part) for part in item if part is not None)
    return str(item)
