"""Words of the steps from the first start to the hand-over, and of the causes of a dark screen."""

from __future__ import annotations

from partsolver.report.page import date_words
from partsolver.report.words.counts import count_of
from partsolver.report.words.outputs import output_name
from partsolver.report.words.readings import (
    RAILS_THEN,
    channels_words,
    link_words,
    rate_words,
    size_words,
    speed_words,
)
from partsolver.report.words.steps import StepWords, gib, listed
from partsolver.report.words.steps_data import SETTINGS_AGAIN
from partsolver.report.words.steps_firmware import firmware_need, flash_alone
from partsolver.report.words.steps_system import SYSTEM_STEPS
from partsolver.report.words.steps_work import cards
from partsolver.report.words.system_modes import start_mode, storage_mode
from partsolver.sheet.context import Facts


def _apart(f: Facts) -> str:
    if not f["rebuilt"]:
        return (
            f"While a system is put onto its drive no other drive may be connected: unplug {listed(f['drives'])}"
            " (data and power; an M.2 module comes out of its socket), and label each lead."
        )
    items = [*f["drives"], *f["cards"]]
    parts = []
    if items:
        parts.append(f"leave {listed(items)} unplugged or out")
    if f["front"]:
        parts.append("leave the plugs of front USB and front audio off the board")
    if f["devices"]:
        parts.append(f"leave {listed(f['devices'])} disconnected")
    return (
        "For the first start only board, processor, cooler, memory, system drive, keyboard and one monitor"
        " are connected. So " + "; ".join(parts) + "."
    )


def monitor(f: Facts) -> str:
    """Which socket the monitor goes to."""
    rows = []
    for display, output, adapter, _ in f["displays"]:
        through = f" through {adapter}" if adapter else ""
        rows.append(f"{display} on {output_name(output)}{through}")
    place = f"of the graphics card ({f['card']}), not of the board" if f["card"] else "of the board"
    if rows:
        return f"Monitor: {listed(rows)}; sockets {place}. Choose that input in the monitor's own menu."
    return f"Connect the monitor to a socket {place}, and choose that input in the monitor's own menu."


def _switched_on(f: Facts) -> str:
    return _switch_on(f) + (
        " Press the key for the firmware setup (often Del or F2) again and again from the start."
        if f["setup"]
        else ""
    )


def _switch_on(f: Facts) -> str:
    if not f["board"] and not f["ddr5"]:
        return (
            "Mains plug in, supply switch on, power button once. You should see: fans turn and stay on, the"
            " picture comes as before."
        )
    wait = (
        "DDR5 memory is measured at the first start: up to five minutes without a picture are normal"
        if f["ddr5"]
        else "within a minute"
    )
    text = "Mains plug in, supply switch on, power button once. You should see: fans turn and stay on, "
    if f["ddr5"]:
        return f"{text}then the maker's picture or the firmware setup. {wait}."
    return f"{text}{wait} the maker's picture or the firmware setup. One restart by itself is normal."


def _setup(f: Facts) -> str:
    memory = f"{gib(f['total_mib'])} of memory" if f["total_mib"] is not None else "all the memory"
    return f"The firmware setup must show {f['cpu']} and {memory}."


def _returns(f: Facts) -> str:
    rows = []
    for seller, last, days in f["sellers"]:
        rows.append(
            f"{seller}: until {date_words(last)} ({count_of(days, 'day')} after arrival)"
            if days
            else f"{seller}: no returns, settle defects at once"
        )
    return "Last day to send parts back: " + "; ".join(rows) + "."


def dead_words(f: Facts) -> str:
    first = (
        "A part may be dead on arrival, used ones sooner" if f["used"] else "A part may be dead on arrival"
    )
    return (
        f"{first}: try board, processor, one module and a supply known to be good, on cardboard outside the"
        " case; then use the right to return."
    )


def _portless(f: Facts) -> str:
    names = {"ps2": "PS/2", "serial": "serial", "parallel": "parallel"}
    rows = []
    for device, port, header in f["devices"]:
        way = (
            "the board has a header for it, which needs a bracket: the one from the old board, or a new one"
            if header
            else "without an adapter it stays disconnected"
        )
        rows.append(f"{device}: no {names[port]} socket at the rear of the new board; {way}")
    return "Not every device finds its socket. " + ". ".join(row[:1].upper() + row[1:] for row in rows) + "."


STEPS: dict[str, StepWords] = {
    **SYSTEM_STEPS,
    "before.send-in": StepWords(
        lambda f: (
            f"{firmware_need(f)} Ask {f['seller']} whether they update a board that they did not sell, then send it in"
            f" well packed, in its bag: about {count_of(f['days'], 'day')} there and back, back on {date_words(f['back'])} at the"
            " earliest."
        ),
        "Do not begin before it is back.",
        "Firmware after the update",
    ),
    "connect.later": StepWords(
        _apart,
        lambda f: (
            "Whatever then fails is among few parts, and no data drive is at risk."
            if f["rebuilt"]
            else "So the wrong one can neither be overwritten nor get a part of the new system."
        ),
    ),
    "start.look": StepWords(
        lambda f: (
            "Last look with a lamp: no tool or screw inside, no lead in a fan, memory latches closed"
            + (", processor power plug in" if f["cpu_plug"] else "")
            + (", nothing metal under the board." if f["board"] else ".")
        ),
    ),
    "start.flash": StepWords(
        flash_alone,
        "Do not interrupt it; the manual names the sign that it is done. Touch nothing inside meanwhile, and"
        " pull the mains plug again afterwards.",
        "Firmware before / after",
    ),
    "start.monitor": StepWords(
        lambda f: (
            "Plug monitor and keyboard in again, as in the photograph of the rear."
            if f["same"]
            else monitor(f)
            + " Connect the keyboard"
            + (" (round PS/2 plug: only while the PC is off)." if f["ps2"] else ".")
        )
    ),
    "start.on": StepWords(
        _switched_on,
        lambda f: (
            "Touch nothing inside while the mains plug is in; fingers, sleeves and hair stay away from fans."
            + (
                " A system that starts before its settings are right may not find its drive: switch off and"
                " try again."
                if f["system"]
                else ""
            )
            + " Smoke, a burnt smell, sparks or a fan that only twitches: switch off at the supply, pull the"
            " plug, and do not try again before the cause is found."
        ),
    ),
    "start.setup": StepWords(_setup, "No picture: go to the list below.", "Processor and memory shown"),
    "start.fan": StepWords(
        "Watch the processor's temperature and fan speed in the firmware setup for five minutes: it settles.",
        "Climbing past 80 \u00b0C in the setup: switch off, the cooler does not sit.",
        "Temperature after five minutes; fan speed",
    ),
    "start.date": StepWords("Set date and time."),
    "start.profile": StepWords(
        lambda f: (
            "Leave the memory on its standard profile"
            + (f" ({f['rate_mts']} MT/s expected)." if f["rate_mts"] else ".")
        ),
        "Faster profiles are overclocking: not before everything runs.",
    ),
    "start.first-display": StepWords(
        lambda f: (
            f"In the firmware setup choose the slot of the graphics card ({f['card']}) as the first display: board and"
            " processor could make a picture as well."
        )
    ),
    "start.storage-mode": StepWords(storage_mode, "Changed afterwards, the system stops at the start."),
    "start.settings": SETTINGS_AGAIN,
    "start.start-mode": StepWords(start_mode),
    "start.idle-states": StepWords(
        "This supply is older than processors with very deep idle states: switch the deepest of them (C6, C7"
        " or \u201clow current idle\u201d) off in the firmware setup.",
        "Otherwise the PC may switch itself off when it has nothing to do.",
    ),
    "start.save": StepWords(
        lambda f: (
            "Save the settings and leave the firmware setup (often F10)."
            + (
                " When the PC restarts, hold its power button for five seconds: first the rest is connected."
                if f["waits"]
                else ""
            )
        )
    ),
    "rest.mains": StepWords(
        "Switch the supply off, pull the mains plug and wait a minute: from the firmware setup, never under a running"
        " system (shut that down first). The same before every further lead or card that is pushed in or pulled out."
    ),
    "rest.drives": StepWords(
        lambda f: (
            f"Connect the other drives one at a time, data lead and power: {', '.join(f['drives'])}. In"
            " between start into the firmware setup, where each must appear."
        )
    ),
    "rest.cards": StepWords(cards),
    "rest.devices": StepWords(
        _portless,
        lambda f: (
            "Brackets exist with two orders of pins: compare with the board's manual."
            if any(header for _, _, header in f["devices"])
            else None
        ),
    ),
    "rest.seen": StepWords(
        lambda f: f"Mains plug in, start into the firmware setup: it must show {listed(f['drives'])}.",
        None,
        "Drives seen",
    ),
    "rest.order": StepWords(
        lambda f: f"Put {f['drive']} first in the start order of the firmware setup, and save."
    ),
    "checks.close": StepWords(
        "Shut down and pull the mains plug: tie leads away from the fans, close the side panel, and plug in"
        " at the rear what is still missing (photograph).",
        "Temperatures only count with the case closed.",
    ),
    "checks.memory-size": StepWords("Read the memory size in the system information.", None, size_words),
    "checks.channels": StepWords(
        "Read the number of memory channels in use, in the firmware setup or with a free tool.",
        None,
        channels_words,
    ),
    "checks.memory-rate": StepWords(
        "Read the memory's data rate in the firmware setup or with a free tool.", None, rate_words
    ),
    "checks.memory-test": StepWords(
        lambda f: (
            "Run a memory test (the system's own, or a free one started from a USB stick), one full pass"
            + (" (old and new modules together: better overnight)." if f["mixed"] else ".")
        ),
        "One error is one too many: test the modules one by one.",
        "Errors (must be 0)",
    ),
    "checks.link": StepWords(
        "Read the link of the system drive in its health record (SMART) or the system log.", None, link_words
    ),
    "checks.temperature": StepWords(
        "Read the processor's temperature with a free tool, at rest and after fifteen minutes with all cores"
        " busy.",
        "The limit stands in the processor's data sheet; falling clock rates at full load mean too little"
        " cooling.",
        "At rest / busy (\u00b0C)",
    ),
    "checks.rails": RAILS_THEN,
    "checks.plugs": StepWords(
        lambda f: (
            "After an hour of work, shut down, pull the mains plug, open the side panel and touch the power"
            " plugs from outside"
            + (f", above all those of {listed(f['adapters'])}" if f["adapters"] else "")
            + ": lukewarm is fine, hot is not."
            + (
                " Listen to the old supply and smell at its grille: buzzing or burnt means it has to go."
                if f["old"]
                else ""
            )
        ),
        "A hot plug or a noisy supply is taken out of use at once.",
    ),
    "checks.displays": StepWords(
        lambda f: f"Set every monitor to its own resolution: {listed(f['displays'])}.",
        None,
        "Resolution and rate",
    ),
    "checks.devices": StepWords(
        lambda f: f"Try what the owner uses: {listed([*f['devices'], *f['cards']])}."
    ),
    "checks.front": StepWords(
        lambda f: (
            "Try at the front:"
            f" {listed(['power button', 'reset', 'lamps', *(['USB'] if f['usb'] else []), *(['audio'] if f['audio'] else [])])}."
        )
    ),
    "checks.speed": StepWords(
        lambda f: (
            "Measure again: partsolver measure --out after.json, then partsolver compare before.json"
            f" after.json --plan {f['plan']}."
            if f["runs"]
            else "Measure the PC: partsolver measure --out after.json. There is no reading of before (it did not start),"
            " so the figure below cannot be measured; the reading is for the next time."
        ),
        "It says by itself when a run was too noisy to count. Where partsolver cannot run: time the same task"
        " by the clock.",
        speed_words,
    ),
    "after.returns": StepWords(_returns),
    "after.old-drive": StepWords(
        "When nothing is missing after some weeks, wipe the old drive before it is handed on or thrown away.",
        "Deleting is not wiping: use the drive's own erase function.",
    ),
    "after.old-psu": StepWords(
        "Keep the old supply for cross-testing until the return time is over, with all its leads in one bag."
    ),
    "after.bad-psu": StepWords(
        "The old supply is doubtful: mark it as defect and take it to the electronics-waste point. It stays"
        " closed."
    ),
    "after.owner": StepWords(
        "Show the owner what changed; hand over this sheet with its readings, the manuals, left-over parts"
        " and licence papers."
    ),
    "after.waste": StepWords(
        "Hand on what works, and take the rest to the electronics-waste point, as the list of what goes"
        " shows."
    ),
}
