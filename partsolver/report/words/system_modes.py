"""Words of the steps about storage mode, start mode and the system's licence."""

from __future__ import annotations

from partsolver.report.words.steps import listed
from partsolver.sheet.context import Facts


def storage_mode(f: Facts) -> str:
    mode = f["mode"]
    if mode is None and not f["runs"]:
        return "Set the SATA mode in the firmware setup to AHCI; nobody could look which one the system is used to."
    if mode is None:
        return "Set the SATA mode in the firmware setup to the one you noted before the swap."
    if f["modes"] is not None and mode not in f["modes"]:
        return (
            f"The old board ran in {mode.upper()} mode, which this board does not offer: set AHCI. A system"
            " that was not prepared for it before the swap has to be installed again."
        )
    return f"Set the SATA mode in the firmware setup to {mode.upper()}, as on the old board."


def start_mode(f: Facts) -> str:
    if f["mode"] == "legacy":
        later = (
            " Secure Boot is wanted: once the system runs and its data are backed up, convert its drive to GPT as the"
            " system's maker says, then switch the compatibility mode off and Secure Boot on."
        )
        return (
            "The present system starts the old way (legacy): switch the compatibility mode (often CSM) on and"
            " Secure Boot off, or it is not found." + (later if f["secure_boot"] else "")
        )
    if f["mode"] == "uefi":
        secure = "; switch Secure Boot on once it runs" if f["secure_boot"] else ""
        return f"The present system starts by UEFI: leave the compatibility mode (CSM) off{secure}."
    return "Set the start mode (UEFI or legacy with compatibility mode) to the one you found before the swap."


def licence(f: Facts) -> str:
    if f["bought"]:
        return f"Enter the licence from the order: {listed(f['bought'])}."
    if not f["board"]:
        return "Enter the licence's key where the installation asks for it, or sign in; check that the system is licensed."
    kinds = {
        "retail": (
            "Enter the boxed licence's key again; where the telephone or web route asks, say that the board"
            " was replaced."
        ),
        "account": "Sign in to the account and tell the system that its hardware changed.",
        "upgraded": (
            "Check whether the system is still licensed; if not, the maker's current terms decide between"
            " key, account and a new licence."
        ),
    }
    return kinds.get(
        f["licence"],
        "Check whether the system is still licensed; a licence that belongs to the old board has to be"
        " replaced by a new one.",
    )
