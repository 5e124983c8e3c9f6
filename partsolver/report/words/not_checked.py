"""What no rule looks at, in the words of the person who has to: beside the findings of `check` and of the
sheet.

One line for every rule whose module says "Not checked" (a test compares them).
"""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.plan.findings import Finding
from partsolver.report.page import wrap
from partsolver.rules import (
    fit_aperture,
    fit_bays,
    fit_cards,
    fit_cooler_height,
    fit_cooler_memory,
    fit_cooler_mount,
    fit_cooler_power,
    fit_outline,
    memory_buffering,
    memory_capacity,
    memory_channels,
    memory_module,
    memory_organisation,
    memory_os_limit,
    memory_rate,
    memory_slots,
    memory_voltage,
    os_disk,
    os_firmware,
    os_processor,
    os_start,
    os_tpm,
    picture_displays,
    picture_source,
    platform_board_age,
    platform_support,
    platform_used_board,
    ports_devices,
    ports_fans,
    ports_front_audio,
    ports_front_usb,
    power_cpu_current,
    power_drive_plugs,
    power_lead_reach,
    power_main_plug,
    power_pinout,
    power_supply_size,
    storage_accessories,
    storage_capacity,
    storage_floppy,
    storage_pata,
    storage_start,
)

HEADING = "Not checked by any rule"
NOTE = "Look at these yourself: no rule knows them."
# So many lines stand in the short answer of `check`.
SHOWN = 3

NOT_CHECKED: dict[str, str] = {
    fit_outline.ID: "tall parts of the board under a drive cage or a supply that hangs low",
    fit_aperture.ID: "paint or a thick panel around the rear opening, in which the shield's clips do not hold",
    fit_cards.ID: "coolers, memory latches or plugs under a long card; lanes that a slot loses when others are filled",
    fit_bays.ID: "bays behind a closed front; rails of a maker's own",
    fit_cooler_height.ID: "how wide the cooler is: plugs and tall parts beside it",
    fit_cooler_memory.ID: "which memory slots lie under the cooler",
    fit_cooler_mount.ID: "parts of the board under the cooler's foot; the force of a clip",
    fit_cooler_power.ID: "noise, dust, and whether air gets through the case",
    platform_used_board.ID: "damage to a used board that no picture shows",
    platform_board_age.ID: "what is worn in an old board and cannot be seen",
    platform_support.ID: "single processors that the maker left out of a supported family",
    memory_module.ID: "adapters from SO-DIMM to DIMM (unreliable)",
    memory_buffering.ID: (
        "whether a board for registered modules takes others too; whether the processor uses error correction"
    ),
    memory_slots.ID: "which slots to fill first (the board's manual says it); a slot that a large cooler covers",
    memory_organisation.ID: "modules with addressing that only one maker's controllers know",
    memory_voltage.ID: "which memory profile the firmware picks",
    memory_capacity.ID: "memory that integrated graphics take for themselves",
    memory_rate.ID: "overclocking profiles and timings",
    memory_channels.ID: "which slots belong to which channel (the board's manual says it)",
    memory_os_limit.ID: "editions of a system that reach more memory by address extension",
    power_pinout.ID: "single wires that a maker moved in a plug of the usual form",
    power_main_plug.ID: "parts beside a 20-contact header that a longer plug would touch",
    power_cpu_current.ID: "wires thinner than 18 AWG and worn or darkened contacts",
    power_lead_reach.ID: "the way of each lead through the case",
    power_drive_plugs.ID: "moulded leads from peripheral to SATA plugs (known for shorts: use crimped ones)",
    power_supply_size.ID: "supplies deeper than their form says: measure the bay",
    storage_pata.ID: "jumpers of PATA drives (device 0 and 1); whether an old system starts from a controller card",
    storage_accessories.ID: "SATA leads that are too short or have lost their latch",
    storage_floppy.ID: "programs with copy protection by the old floppy controller: they do not run with a USB drive",
    storage_start.ID: "drivers for controllers on cards",
    storage_capacity.ID: "shrinking the last partition before a copy; data on other drives",
    picture_source.ID: "old graphics cards whose firmware can be updated",
    picture_displays.ID: "sound and copy protection over the video plug",
    ports_devices.ID: "pin order of bracket plugs (two are common); what devices on a hub draw",
    ports_front_usb.ID: "whether the front USB lead reaches its header",
    ports_front_audio.ID: "front audio with single wires instead of one plug",
    ports_fans.ID: "what the fans draw (a header carries about 1 A in all)",
    os_processor.ID: "the system maker's list of processors by name",
    os_firmware.ID: "whether the start keys in the firmware are current",
    os_start.ID: "drivers for controllers on cards, and drivers that others adapted",
    os_tpm.ID: "the pin layout of a platform module for a header: compare it with the board's manual",
    os_disk.ID: "how much of the drive is free",
}


def not_checked(findings: Sequence[Finding]) -> tuple[str, ...]:
    """What the rules that judged something new leave to the person, in the order of the findings, each
    once."""
    judged = dict.fromkeys(f.rule for f in findings if f.fact("today") is None)
    return tuple(dict.fromkeys(NOT_CHECKED[rule] for rule in judged if rule in NOT_CHECKED))


def not_checked_lines(findings: Sequence[Finding], full: bool) -> list[str]:
    """The paragraph of `check`: the first lines of them, ``full`` all."""
    every = not_checked(findings)
    if not every:
        return []
    shown = every if full else every[:SHOWN]
    more = f" {len(every) - len(shown)} more: --full." if len(shown) < len(every) else ""
    return ["", f"{HEADING}:", *(wrap(text, "  - ", "    ") for text in shown), wrap(f"{NOTE}{more}", "  ")]
