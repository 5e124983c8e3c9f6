"""Words of the steps that keep data and the way the system starts: copies, keys, settings of the firmware."""

from __future__ import annotations

from partsolver.report.words.counts import count_of
from partsolver.report.words.steps import StepWords, listed
from partsolver.sheet.context import Facts


def backup_words(f: Facts) -> str:
    drives = (
        f"{count_of(len(f['drives']), 'drive')}: {', '.join(f['drives'])}"
        if f["drives"]
        else "every drive in it"
    )
    if f["runs"]:
        return (
            f"Back up the owner's data to a device that is not in this PC ({drives}), and open a few files from the"
            " copy."
        )
    return (
        "The PC does not start: take out every drive with data, mains plug out as under \u201cSwitching off and opening"
        f" the case\u201d, and connect one at a time to another PC through an adapter ({drives}). Copy the owner's data to"
        " a third device, open a few files from the copy, and put the drives back. Let that PC format, repair or"
        " initialise nothing on them."
    )


def key_words(f: Facts) -> str:
    if not f["runs"]:
        return (
            f"These drives are encrypted or may be: {', '.join((*f['known'], *f['unknown']))}. The PC does not start, so"
            " no key can be saved from it now: find the recovery key in the owner's account or papers before anything is"
            " ordered."
        )
    parts = []
    if f["known"]:
        parts.append(
            f"Save the recovery key on paper, or suspend the encryption, of: {', '.join(f['known'])}"
        )
    if f["unknown"]:
        parts.append(
            f"Look in the system whether it has encrypted one of these drives: {', '.join(f['unknown'])}; if"
            " so, save the recovery key on paper or suspend the encryption"
        )
    return ". ".join(parts) + "."


def mode_look_words(f: Facts) -> str:
    stated = f"; the survey says {f['mode'].upper()}." if f["mode"] else "."
    if not f["runs"]:
        return (
            "The old board does not start, so nobody can look which SATA mode (AHCI, IDE or RAID) the system is used to"
            + (stated if f["mode"] else ": ask the owner whether anybody noted it.")
        )
    return (
        "Look in the firmware setup of the old board for the SATA mode (AHCI, IDE or RAID), note it and leave without"
        f" saving{stated}"
    )


def mode_why_words(f: Facts) -> str:
    if not f["runs"]:
        return (
            "In another mode it stops soon after its start, and nothing is lost: try AHCI first, then what else the new"
            " board offers, but let its RAID mode create or initialise nothing. None of them: install it again."
        )
    modes = f["modes"] or ()
    offers = ""
    if modes and f["mode"] not in modes:
        offers = (
            f" The new board offers {listed(sorted(mode.upper() for mode in modes))}: with another mode"
            " noted, prepare the system for AHCI now (its maker describes how), or be ready to install it"
            " again."
        )
    return f"The new board must be set to the same mode, or the system does not start.{offers}"


# What an update, another processor or an empty cell sets back (start reference, sections 2.5 and 3.3).
SETTINGS_BEFORE = StepWords(
    "Photograph every page of the firmware setup, above all SATA mode (AHCI, IDE or RAID), start mode (UEFI or legacy),"
    " Secure Boot and the security chip, and leave without saving.",
    "An update of the firmware or another processor can set them back: in another SATA or start mode the system does not"
    " start.",
)
SETTINGS_AGAIN = StepWords(
    "Hold the firmware setup against the photographs: SATA mode, start mode, Secure Boot and security chip as they were,"
    " before the system starts.",
    "In another SATA or start mode it stops; that alone loses no data: set it as it was.",
)
