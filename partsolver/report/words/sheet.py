"""Small words of the bench sheet: rails, resources, where things belong, terms for beginners."""

from __future__ import annotations

from partsolver.report.words.not_checked import HEADING, NOTE

RAILS = {
    "12v": "12 V, all together",
    "5v": "5 V",
    "3v3": "3.3 V",
    "5v+3v3": "5 V and 3.3 V together",
    "total": "Whole supply, continuous",
}
RESOURCES = {
    "serial": "One core at a time",
    "parallel": "All cores together",
    "memory": "Waiting for memory",
    "waiting": "Waiting for the drive (small reads, starts)",
    "streaming": "Reading large files",
    "graphics": "Graphics",
    "other": "Waiting that no part changes",
    "capacity": "Too little memory (paging)",
}
WHERE = {
    "hand-on": "works: hand it on (give away, sell, keep as a spare); else electronics-waste point",
    "waste": "defect or doubtful: electronics-waste point, unopened",
    "wipe": "keep untouched for some weeks, then wipe it and hand it on; else electronics-waste point",
}


def where_words(where: str, pc: str | None) -> str:
    """Where a part that leaves belongs; ``pc``: that of the fleet which gets it."""
    return WHERE[where] if pc is None else f"{pc} gets it: label it, and keep it with that PC's parts"


def tested_words(tested: bool | None, own: bool) -> str:
    """Whether a used part was tested; ``own``: it comes out of another PC of the fleet."""
    if tested is None:
        return ", test not stated"
    return (", worked in its PC" if own else ", tested by the seller") if tested else ", not tested"


GROUPS = {"people": "People", "data": "Data", "parts": "Parts", "order": "Order and waste"}
#: Caution names by what they protect; names not listed here protect parts.
CAUTION_GROUPS = {
    "mains": "people",
    "supply-closed": "people",
    "sharp-edges": "people",
    "backup": "data",
    "encryption-key": "data",
    "licences": "data",
    "used-parts": "order",
    "memory-returns": "order",
    "waste": "order",
}
INTRO = (
    "Read this sheet once from start to end before you begin; then work from top to bottom and tick each box."
    " Write readings into the fields. Where a maker's manual says something else, the manual is right."
)
DRAWING_NOTE = (
    "Seen from above, as you look into the open case lying down. Printed at 100 % the 100 mm of its ruler"
    " are 40 mm long on the paper."
)
ACTIONS = {
    "keep": "standoff stays",
    "add": "add a standoff",
    "remove": "take the standoff out",
    "fixed": "STOP: fixed standoff without a hole",
    "open": "no position in the tray",
    "look": "look whether hole and standoff match",
}
POWER_NOTE = (
    "Load is what this plan draws at most over longer time. Usable is what is trusted of the label after the"
    " supply's age, with a reserve; it is common practice, not a standard. The mark in each bar is the usable"
    " limit, the end of the bar the label."
)
SPEED_NOTE = (
    "Shares of the present time for this use. What the use spends its time on is engineering judgement;"
    " measuring before and after replaces it."
)
NO_PICTURE_INTRO = (
    "Beeps, lamps or a number on the board name the fault: the board's manual has the table. Otherwise the"
    " likeliest cause for this plan comes first; after each, try again. Pull the mains plug before you touch"
    " anything inside."
)
ANSWER = "Answer"
FITTING = "findings that fit"
NOT_CHECKED, NOT_CHECKED_NOTE = HEADING, NOTE
DRAWING = "Drawing of the tray, and its holes"
ONE_BY_ONE, BACK, ALL_STEPS, DONE = "Step by step", "Back", "All", "Done, next"
DISCLAIMER = (
    "Figures are estimates from the data named here. Makers' manuals, local rules and qualified people"
    " decide."
)

TERMS: dict[str, tuple[tuple[str, ...], str]] = {
    "board": (("board",), "the large circuit board (mainboard) that processor, memory and plugs go into"),
    "supply": (("supply",), "the metal box inside the case that the mains lead goes into; it stays closed"),
    "standoff": (("standoff",), "brass or steel spacer in the tray that a screw of the board goes into"),
    "tray": (("tray",), "the metal wall of the case that the board is screwed to"),
    "shield": (("shield",), "the metal plate with the openings for the rear ports"),
    "header": (("header",), "a group of pins on the board that a plug goes onto"),
    "firmware setup": (
        ("firmware setup",),
        (
            "the menus of the board itself, opened with a key (often Del or F2) right after switching on;"
            " also called BIOS or UEFI setup"
        ),
    ),
    "UEFI and legacy": (("UEFI", "legacy"), "the newer and the older way in which a board starts a system"),
    "CSM": (("CSM",), "switch in the firmware setup that lets a newer board start a system the older way"),
    "AHCI, IDE, RAID": (("AHCI",), "modes of the SATA ports; system and setting have to match"),
    "SATA": (
        ("SATA",),
        "the usual connection of drives: a flat data lead and a flat power plug, each with an L-shaped key",
    ),
    "M.2": (("M.2",), "a small socket on the board for a drive as narrow as a strip of chewing gum"),
    "driver": (("driver",), "the program by which a system uses a part"),
    "SMART": (("SMART",), "a drive's own record of its health, shown by many free tools"),
    "channel": (
        ("channel",),
        "a lane between processor and memory; two filled ones are about twice as fast as one",
    ),
    "MT/s": (("MT/s",), "million transfers per second: the data rate of memory"),
    "peripheral plug": (
        ("peripheral plug", "peripheral plugs"),
        "the older power plug with four round contacts in a row",
    ),
}
