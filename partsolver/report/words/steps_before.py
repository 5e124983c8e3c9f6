"""Words of the steps before the case is opened and on the board: outside the case, or on one that stays."""

from __future__ import annotations

from partsolver.report.page import date_words
from partsolver.report.words.parcels import COMPARE_NOW, OTHER_PCS, module_words, parcels_words, tools_words
from partsolver.report.words.readings import RAILS_NOW
from partsolver.report.words.steps import StepWords, listed
from partsolver.report.words.steps_data import (
    SETTINGS_BEFORE,
    backup_words,
    key_words,
    mode_look_words,
    mode_why_words,
)
from partsolver.report.words.steps_firmware import firmware_need, revision_wanted
from partsolver.report.words.storage import RAID_COPY_WHY, raid_copy_text
from partsolver.sheet.context import Facts


def _where_modules(f: Facts) -> str:
    slots = f["slots"]
    if slots is not None and f["modules"] >= slots:
        return "every slot is filled"
    if f["channels"] > 1 and f["modules"] > 1:
        return (
            "one in each channel first, in the slots that the board's manual names (often every second slot)"
        )
    return "in the slot that the board's manual names for a single module"


def _memory(f: Facts) -> str:
    count = f["modules"]
    which = (
        "old and new modules"
        if f["mixed"]
        else ("present" if f["kept"] else "new") + (" module" if count == 1 else " modules")
    )
    start = f"Push in the {str(count) + ' ' if count > 1 else ''}{which}: {_where_modules(f)}."
    if f["beside"]:
        start = (
            f"Push the new memory in beside the present one, {count} modules in all: {_where_modules(f)};"
            " move the present ones where that asks for it."
        )
    return (
        f"{start} Turn {'it' if count == 1 else 'each'} so that the notch meets the key of the slot, then"
        " press both ends down until the latches close."
    )


def _cpu(f: Facts) -> str:
    what = f"the present processor ({f['cpu']})" if f["kept"] else f["cpu"]
    return (
        f"Set {what} into the socket: open the lever, match the triangle on its corner and the notches, lay"
        " it in flat without pressing, close the lever."
    )


def _cooler(f: Facts) -> str:
    what = (
        "the present cooler"
        if f["reused"]
        else "the cooler that came in the processor's box"
        if f["boxed"]
        else f["cooler"]
    )
    wipe = "Wipe the old paste off with a lint-free cloth and alcohol. " if f["old_paste"] else ""
    paste = (
        wipe
        + {
            "ready": "Its paste is on its base (add none) or in its box (a pea-sized drop).",
            "bought": "Put a pea-sized drop of the new paste on the middle of the processor.",
            "own": (
                "Put a pea-sized drop of fresh paste on the middle of the processor (none is in this order:"
                " have some ready)."
            ),
        }[f["paste"]]
    )
    bracket = {
        True: " Its holder belongs to the case or to a bracket that stays: check that it meets the holes of the board.",
        False: "",
        None: " Where its holder belongs to the case or to a bracket that stays, check that it meets the holes of the board.",
    }[f["brackets"] if f["reused"] else False]
    return (
        f"Mount {what}. {paste} Tighten screws crosswise in turns, or close clips and pins opposite each"
        f" other; it must not tilt or wobble.{bracket}"
    )


_DRIVERS = {
    True: "Drivers stay: the system sorts them out itself.",
    False: (
        "This system does not sort drivers out itself: have those for the new board's storage, chipset and"
        " network ready, and uninstall the old board's."
    ),
    None: "Drivers stay where the system is of 2012 or later; older ones want the old board's uninstalled.",
}


def _cooler_note(f: Facts) -> str | None:
    return "A clip that needs dangerous force is not seated: stop and read its manual." + (
        " This cooler is tall: see the step about the processor lead before the board goes in."
        if f["tall"]
        else ""
    )


def _cpu_lead(f: Facts) -> str:
    where = "from the supply to its plug (4 or 8 contacts, near the processor)"
    if f["lead_mm"] is None:
        return (
            f"Measure the processor power lead {where} with a tape, laid along the way it will take to the"
            f" new board's header: usually {f['needed_mm']} mm are enough."
        )
    return (
        f"The processor power lead {where} is {f['lead_mm']} mm long, usually {f['needed_mm']} mm are needed:"
        " lay it along the way to the new board's header."
    )


_LICENCES = {
    "oem": "it was sold with this PC and usually belongs to the old board; do not count on it",
    "retail": "it was bought boxed and may usually move: have the key at hand",
    "account": "it is linked to an account: sign in before the swap and check that it is listed there",
    "upgraded": (
        "it was upgraded from an older edition; whether it survives a new board depends on the maker's"
        " current rules"
    ),
    "none-needed": "none is needed",
}


STEPS: dict[str, StepWords] = {
    "before.questions": StepWords(
        "Answer the open questions at the end of this sheet by looking, and write the answers there: some"
        " decide whether the parts fit. A step further on repeats some of them.",
        lambda f: (
            "Do this before ordering."
            + (
                " For those about the inside, back up first, then switch off and open the case as under"
                " \u201cSwitching off and opening the case\u201d, and only look."
                if f["inside"]
                else ""
            )
        ),
    ),
    "before.compare": COMPARE_NOW,
    "before.order-dates": StepWords(
        lambda f: (
            "Order these later, or test them in another PC in time: their return time ends before the last"
            f" part is there: {'; '.join(f'{name} (until {date_words(day)})' for name, day in f['early'])}."
        ),
    ),
    "before.rails": RAILS_NOW,
    "before.order": StepWords(
        lambda f: (
            "Order what the order list shows, seller by seller"
            + (
                "; where a part is gone, its stand-in from the list."
                if f["stand_ins"]
                else "; where a part is gone, make a new plan (partsolver replan)."
            )
        ),
        lambda f: (
            "Nothing is taken apart before the last part is there."
            if not f["circle"]
            else "Nothing is taken apart before all that is ordered is there."
        ),
        "Ordered on (date)",
    ),
    "before.other-pcs": OTHER_PCS,
    "before.parcels": StepWords(
        parcels_words,
        lambda f: (
            f"Used parts ({listed(f['used'])}): look for bent pins, corrosion, and capacitors (the small cans"
            " on boards) with bulged tops; test them within the return time."
            if f["used"]
            else None
        ),
    ),
    "before.measure": StepWords(
        "Measure the PC as it is: partsolver measure --out before.json (about three minutes, nothing else"
        " running). Keep before.json and the plan file with the backup, not only on this PC.",
        "Without this reading nobody can show later what the money gained. Where partsolver cannot run: time"
        " by the clock how long the start and one usual task take.",
        "Measured on (date), or seconds by the clock",
    ),
    "before.backup": StepWords(
        backup_words,
        "Not one of the following steps may start without it.",
        "Backup made on, kept at",
    ),
    "before.raid-set": StepWords(raid_copy_text, RAID_COPY_WHY, "Copy of the set made on, kept at"),
    "before.encryption": StepWords(
        key_words,
        "What opens the drive by itself is held by the board's security chip (TPM) or the processor, and the chip may ask"
        " for the key whenever it finds other hardware: without the key the data are lost.",
        "Place where the key is kept (not the key itself)",
    ),
    "before.old-disks": StepWords(
        lambda f: f"Read the health record (SMART) of the older drives: {', '.join(f['drives'])}.",
        "Reallocated or pending sectors: copy everything first and plan a new drive.",
        "Reallocated / pending sectors",
    ),
    "before.memory-test": StepWords(
        "Run a memory test over the modules that stay, one full pass.",
        "A worn module would be blamed on the new parts.",
        "Errors (must be 0)",
    ),
    "before.tied": StepWords(
        lambda f: (
            f"Release the licence of {listed(f['programs'])} on this PC, "
            + (
                "in the program or at its maker."
                if f["runs"]
                else "at its maker: the program cannot be started."
            )
        ),
        "Afterwards the program may see another PC.",
    ),
    "before.licence": StepWords(
        lambda f: (
            "The board stays, and so does the system's licence: have its key (sticker on the case, papers) or the account"
            " at hand for the installation."
            if not f["board"] and not f["bought"]
            else "Note the licence of the system: "
            + _LICENCES.get(
                f["licence"], "find out whether it was sold with the PC, bought boxed or linked to an account"
            )
            + ("; a new one is in the order." if f["bought"] else ".")
        ),
        "The maker's current terms decide.",
    ),
    "before.old-tools": StepWords(
        lambda f: (
            "Uninstall the old board's own tools for fans, overclocking and updates. " + _DRIVERS[f["sorts"]]
            if f["runs"]
            else "The old board's tools and drivers cannot be uninstalled now: be ready to do it at the first start in"
            " the system's safe mode, or to install the system again."
        ),
        "Left-over tools of an old board can stop the system at the first start.",
    ),
    "before.storage-mode": StepWords(
        mode_look_words,
        mode_why_words,
        "SATA mode",
    ),
    "before.settings": SETTINGS_BEFORE,
    "before.start-mode": StepWords(
        lambda f: (
            "Find out how the system starts: look in its system information or the firmware setup for UEFI or legacy."
            if f["runs"]
            else "Find out how the system starts: look at the partition table of its drive in another PC (GPT: by UEFI;"
            " MBR: legacy)."
        ),
        None,
        "Start mode",
    ),
    "before.drivers": StepWords(
        lambda f: (
            "Look up whether the system's kernel knows the new board's network and graphics chips; where not,"
            " put a newer kernel or the missing firmware packages on a USB stick."
            if f["linux"]
            else (
                "Put the new board's network driver, and its chipset driver where there is one, on a USB"
                " stick."
            )
        ),
        "Without a network driver the new PC cannot fetch the others.",
    ),
    "before.storage-driver": StepWords(
        "This system does not know the drive controller of the new board by itself: have the storage driver"
        " ready on the medium that its setup asks for, or use the IDE mode."
    ),
    "before.media": StepWords(
        lambda f: (
            f"Make an installation medium of the system and start {'the old' if f['runs'] else 'another'} PC from it"
            " once."
            if f["installs"]
            else "Have an installation or rescue medium at hand, in case the kept system does not start."
        ),
    ),
    "before.firmware-file": StepWords(
        lambda f: (
            f"Put the new firmware of {f['board']}"
            + (f", {f['needed']} or newer," if f["needed"] else "")
            + " from its maker's page on a USB stick: format, file name and way as the board's manual says. "
            + revision_wanted(f)
        )
    ),
    "before.firmware": StepWords(
        lambda f: (
            firmware_need(f)
            + " Update it now, with the present processor still in, exactly after the board maker's manual; then, before"
            " the system starts, make its settings those of the photographs again."
        ),
        "An update that is interrupted can leave the board dead: mains power must be steady. Where the manual"
        " offers no way back, ask somebody who has done it.",
        "Firmware before / after",
    ),
    "before.day": StepWords(
        lambda f: (
            "Plan a whole day without this PC"
            + (f", not before {date_words(d)}: then the last part is there." if (d := f["arrival"]) else ".")
        ),
        "Public reports of such swaps tell of two to seven hours, and of days where something was missing.",
    ),
    "off.warm": StepWords(
        "Last thing before shutting down: let the PC work for ten minutes, so that the paste under the cooler"
        " is soft."
    ),
    "off.mains": StepWords(
        lambda f: (
            "Shut the system down (not standby"
            + (
                "; hold the Shift key while you choose it, or a system of 2012 and later may only sleep"
                if f["half"]
                else ""
            )
            + "), switch the supply off at its switch (where it has one), pull the mains plug, press the power button"
            " once, and wait a minute."
        ),
        lambda f: (
            (
                "A system that only sleeps wakes on other parts with its drives half written. "
                if f["half"]
                else ""
            )
            + "Keep the mains plug out until the first start. Follow the makers' manuals and your local rules on"
            " electrical safety; in doubt ask a qualified person. The supply itself stays closed: nothing inside"
            " it is for the user."
        ),
    ),
    "off.leads": StepWords(
        "Photograph the rear, then unplug every other lead there: monitor, network, USB, everything."
    ),
    "off.open": StepWords(
        "Lay the case down so that the board inside lies flat, and open the side panel (usually two screws at"
        " the rear)."
    ),
    "off.cpu-lead": StepWords(
        _cpu_lead,
        "Too short: stop here, nothing is taken apart yet. Close the case and order an extension for that"
        " plug first.",
        "Length of the processor power lead (mm)",
    ),
    "prepare.static": StepWords(
        "Work on a bare table, not on carpet. Touch bare metal of the case often or wear a wrist strap joined"
        " to it. Hold boards at their edges; parts stay in their bags until needed."
    ),
    "prepare.tools": StepWords(
        tools_words,
        lambda f: (
            f"Sheet metal {'and shields cut' if f['shield'] else 'cuts'}: take your time, wear gloves where"
            " they help."
        ),
    ),
    "bench.unpack": StepWords(
        lambda f: (
            f"Lay {f['board']} on its box or on cardboard (the outside of its bag conducts). Find contact 1"
            " marks, headers and slots in its manual."
        )
    ),
    "bench.firmware-label": StepWords(
        lambda f: "Read the firmware version on the board's label or box. " + firmware_need(f),
        "Ask the seller when it is not printed: a board whose firmware is too old stays dark.",
        "Firmware version",
    ),
    "bench.socket": StepWords(
        "Look at the socket under a lamp, from two sides, before anything goes in: no bent or missing"
        " contact. Where the pins are on the processor, look at those.",
        "Never touch the contacts. Keep the cover of the socket, and take a photograph: a board is often"
        " taken back only with them.",
    ),
    "bench.cpu": StepWords(_cpu, "Nothing needs force here except the closing lever."),
    "bench.memory": StepWords(_memory),
    "bench.m2": StepWords(module_words),
    "bench.cooler": StepWords(_cooler, _cooler_note),
    "assemble.flash": StepWords(
        lambda f: (
            firmware_need(f)
            + " The present processor starts this board: put it and its cooler on first, build up as far as"
            " the first start, update the firmware after the manual, shut down, pull the mains plug, and"
            " only then change to the new processor."
        ),
        "Do not interrupt the update. It means fitting a cooler twice: have paste for both.",
        "Firmware before / after",
    ),
    "assemble.cpu": StepWords(_cpu, "Nothing needs force here except the closing lever."),
    "assemble.memory": StepWords(_memory),
    "assemble.m2": StepWords(module_words),
    "assemble.cooler": StepWords(_cooler, _cooler_note),
}
