"""The ordered registry of rules. One file per rule; the order is the order of findings in every report.

Physics first (what destroys or does not fit), then the system, then money and wishes. Add a rule: DEVELOPERS.md.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from typing import cast

from partsolver.rules.base import Rule

MODULES = (
    "platform_socket",
    "power_pinout",
    "power_condition",
    "power_main_plug",
    "power_cpu_plug",
    "power_cpu_current",
    "power_rail_12v",
    "power_rails_low",
    "power_startup",
    "power_total",
    "power_card_plugs",
    "power_drive_plugs",
    "power_low_load",
    "power_supply_size",
    "storage_sata",
    "storage_pata",
    "storage_m2",
    "storage_floppy",
    "storage_link",
    "storage_start",
    "storage_encryption",
    "picture_source",
    "picture_displays",
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
    return tuple(cast(Rule, import_module(f"partsolver.rules.{name}")) for name in MODULES)


def rule(rule_id: str) -> Rule:
    """The rule with an id. Raises KeyError."""
    return next(r for r in all_rules() if rule_id == r.ID) if any(rule_id == r.ID for r in all_rules()) else _missing(rule_id)


def _missing(rule_id: str) -> Rule:
    raise KeyError(rule_id)
