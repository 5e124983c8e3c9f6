"""Which findings that fit are worth a line in the short report: those that ask for work, attention or a wish
given up.

A finding that fits and asks for nothing (the socket matches) is listed by `check` and in JSON only.
"""

from __future__ import annotations

from collections.abc import Callable

from partsolver.plan.findings import Finding
from partsolver.rules import (
    fit_aperture,
    fit_bays,
    fit_cards,
    fit_cooler_height,
    fit_cooler_mount,
    fit_holes,
    fit_paste,
    memory_buffering,
    memory_channels,
    memory_mixing,
    memory_os_limit,
    memory_rate,
    memory_slots,
    os_disk,
    os_firmware,
    os_licence,
    os_memory,
    os_processor,
    os_start,
    os_tpm,
    os_usb_driver,
    picture_displays,
    picture_source,
    platform_board_age,
    platform_firmware,
    platform_power,
    platform_used_board,
    ports_fans,
    ports_front_audio,
    ports_front_panel,
    ports_front_usb,
    power_condition,
    power_cpu_current,
    power_cpu_plug,
    power_lead_reach,
    power_low_load,
    power_main_plug,
    power_rail_12v,
    power_rails_low,
    power_standby,
    power_total,
    storage_accessories,
    storage_capacity,
    storage_encryption,
    storage_link,
    storage_raid_set,
    storage_start,
)


def _any_fact(*names: str) -> Callable[[Finding], bool]:
    return lambda finding: any(finding.fact(name) is not None for name in names)


def _fact_is(name: str, *values: str) -> Callable[[Finding], bool]:
    return lambda finding: finding.fact(name) in values


def _below_limit(finding: Finding) -> bool:
    return isinstance(finding.value, int) and isinstance(finding.limit, int) and finding.value < finding.limit


NOTABLE: dict[str, Callable[[Finding], bool]] = {
    fit_holes.ID: _any_fact("add", "remove", "prop"),
    fit_aperture.ID: _fact_is("shield", "missing"),
    fit_cards.ID: _any_fact("left_optional", "narrow", "low_bracket"),
    fit_cooler_height.ID: _any_fact("tight"),
    fit_paste.ID: _fact_is("paste", "missing"),
    platform_firmware.ID: _any_fact("flash"),
    platform_power.ID: _any_fact("throttles"),
    platform_used_board.ID: lambda f: True,
    platform_board_age.ID: lambda f: True,
    power_rail_12v.ID: _any_fact("warning"),
    power_rails_low.ID: _any_fact("warning"),
    power_standby.ID: _any_fact("warning"),
    power_total.ID: _any_fact("warning"),
    memory_buffering.ID: _any_fact("ecc"),
    memory_slots.ID: _any_fact("left_out"),
    memory_rate.ID: lambda f: _below_limit(f) and f.fact("by") != "module",
    memory_channels.ID: _below_limit,
    memory_mixing.ID: lambda f: True,
    memory_os_limit.ID: _below_limit,
    power_condition.ID: _any_fact("caution"),
    power_main_plug.ID: lambda f: (
        f.fact("today") is None
        and (f.fact("plug") != f.fact("header") or f.fact("warning") is not None or f.fact("isa") is not None)
    ),
    power_cpu_plug.ID: lambda f: (
        f.fact("half") is not None or f.fact("adapter") is not None or f.fact("lead_mm") is not None
    ),
    power_cpu_current.ID: _any_fact("warning"),
    power_lead_reach.ID: lambda f: True,
    power_low_load.ID: _fact_is("risk", "yes"),
    storage_link.ID: lambda f: f.fact("now_mbs") is not None and f.fact("now_mbs") != f.value,
    storage_start.ID: lambda f: any(name not in ("today",) for name, _ in f.facts),
    storage_capacity.ID: _any_fact("usable_gb"),
    storage_encryption.ID: _any_fact("save_key"),
    storage_raid_set.ID: _any_fact("level"),
    storage_accessories.ID: lambda f: bool(f.facts),
    fit_bays.ID: _any_fact("framed"),
    fit_cooler_mount.ID: lambda f: f.fact("board_out") == "yes" or f.fact("bracket") == "case",
    picture_source.ID: lambda f: f.fact("card_uefi") is not None or f.value == "board",
    picture_displays.ID: lambda f: (
        f.fact("kind") not in (None, "direct") or f.fact("fallback_hz") is not None
    ),
    ports_front_usb.ID: _below_limit,
    ports_front_audio.ID: lambda f: f.fact("plug") is not None and f.fact("plug") != f.fact("header"),
    ports_fans.ID: _any_fact("missing"),
    ports_front_panel.ID: _any_fact("repin", "brand", "header"),
    os_processor.ID: _any_fact("short", "few_cores", "older_than_list"),
    os_firmware.ID: _any_fact("short", "convert"),
    os_start.ID: _any_fact("driver", "drivers"),
    os_tpm.ID: _any_fact("short"),
    os_memory.ID: _any_fact("short"),
    os_disk.ID: _any_fact("short"),
    os_usb_driver.ID: lambda f: True,
    os_licence.ID: _any_fact("move"),
}


def notable(finding: Finding) -> bool:
    """Whether a finding that fits has something to say."""
    test = NOTABLE.get(finding.rule)
    return finding.verdict == "fits" and finding.fact("today") is None and test is not None and test(finding)
