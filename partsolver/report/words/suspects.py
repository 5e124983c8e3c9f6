"""What to suspect when there is no picture or no start."""

from __future__ import annotations

from typing import Any

from partsolver.report.words.steps_start import dead_words, monitor

# Causes of a dark screen: (question or look, what to do).
SUSPECTS: dict[str, Any] = {
    "nothing-turns": lambda f: (
        "Nothing turns: mains plug and supply switch; main power plug fully in"
        + (
            "; power switch lead on the right two pins (to test the switch itself, put the reset button's"
            " lead there and press reset)."
            if f["front"] and f["panel"] != "block"
            else "."
        )
    ),
    "monitor": lambda f: "Fans turn, screen dark. " + monitor(f),
    "cpu-plug": lambda f: "The processor power plug (12 V, beside the processor) is missing or not fully in.",
    "memory": lambda f: (
        "Memory not fully in: take it out, push it in until the latches close"
        + (", then try one module alone in the slot the manual names." if f["modules"] > 1 else ".")
    ),
    "training": lambda f: (
        "DDR5 measures its memory at the first start: wait five minutes before touching anything."
    ),
    "firmware": lambda f: (
        (
            "The board may carry older firmware than stated"
            if f["state"] == "enough"
            else "The board's firmware is older than the processor"
        )
        + (
            f" (needed: {f['needed']}"
            + (f", stated: {f['shipped']})" if f["shipped"] else ", not stated by the seller)")
            if f["needed"]
            else ""
        )
        + ": read the version on its label, update it as its manual shows, or ask the seller."
    ),
    "card": lambda f: (
        f"The graphics card ({f['card']}) is not fully in its slot, or its power plug is missing."
    ),
    "card-uefi": lambda f: (
        f"{f['card']} may have firmware from before UEFI, which this board cannot start: try the board's own"
        " picture, or another card."
    ),
    "standoff": lambda f: (
        "A standoff or screw under the board: take the board out, compare with the drawing, try it on"
        " cardboard."
    ),
    "main-plug": lambda f: "The main power plug has not latched: press until it clicks.",
    "old-supply": lambda f: (
        "The old supply cannot start the new parts: try a supply known to be good, with all its own leads."
        " Never open it."
    ),
    "setup-memory": lambda f: (
        "Old settings: clear the firmware settings as the board's manual shows (mains plug out)."
    ),
    "socket": lambda f: (
        "Contacts of the socket: take the processor out and look under a lamp; do not touch or bend anything"
        " yourself, send it back."
    ),
    "dead": dead_words,
}
