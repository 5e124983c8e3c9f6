"""The ordered registry of rules. One file per rule; the order is the order of findings in every report.

Physics first (what destroys or does not fit), then the system, then money and wishes. Add a rule:
DEVELOPERS.md.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module

from partsolver.rules.base import Rule, complete_rule

MODULES = (
    "fit_facts",
    "fit_outline",
    "fit_holes",
    "fit_aperture",
    "fit_cards",
    "fit_bays",
    "fit_cooler_height",
    "fit_cooler_mount",
    "fit_cooler_power",
    "fit_cooler_memory",
    "fit_paste",
    "platform_socket",
    "platform_support",
    "platform_firmware",
    "platform_power",
    "platform_used_board",
    "platform_board_age",
    "memory_generation",
    "memory_module",
    "memory_buffering",
    "memory_slots",
    "memory_module_capacity",
    "memory_organisation",
    "memory_voltage",
    "memory_capacity",
    "memory_rate",
    "memory_channels",
    "memory_mixing",
    "memory_os_limit",
    "power_pinout",
    "power_condition",
    "power_main_plug",
    "power_cpu_plug",
    "power_cpu_current",
    "power_rail_12v",
    "power_rails_12v",
    "power_rails_low",
    "power_startup",
    "power_standby",
    "power_total",
    "power_card_plugs",
    "power_drive_plugs",
    "power_leads",
    "power_lead_reach",
    "power_low_load",
    "power_supply_size",
    "storage_sata",
    "storage_pata",
    "storage_m2",
    "storage_floppy",
    "storage_link",
    "storage_accessories",
    "storage_start",
    "storage_capacity",
    "storage_raid_set",
    "storage_encryption",
    "picture_source",
    "picture_displays",
    "ports_devices",
    "ports_front_usb",
    "ports_front_audio",
    "ports_fans",
    "ports_front_panel",
    "os_processor",
    "os_firmware",
    "os_start",
    "os_tpm",
    "os_memory",
    "os_disk",
    "os_licence",
    "os_usb_driver",
    "buying_budget",
    "buying_stock",
    "buying_arrival",
    "buying_valid",
    "buying_order",
    "buying_excluded",
    "buying_minimums",
)


@cache
def all_rules() -> tuple[Rule, ...]:
    """Every rule in report order."""
    return tuple(complete_rule(import_module(f"partsolver.rules.{name}")) for name in MODULES)


@cache
def _by_id() -> dict[str, Rule]:
    return {rule.ID: rule for rule in all_rules()}


def family_of(rule_id: str) -> str:
    """The family of a rule: the part of its id before the point."""
    return rule_id.partition(".")[0]


def rule(rule_id: str) -> Rule:
    """The rule with an id. Raises KeyError."""
    return _by_id()[rule_id]
