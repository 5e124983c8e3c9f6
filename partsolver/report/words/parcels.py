"""Words of the steps about what was delivered and what is to hand."""

from __future__ import annotations

from partsolver.report.words.cells import look_words
from partsolver.report.words.counts import count_of
from partsolver.report.words.record import SLOT_NAMES
from partsolver.report.words.steps import StepWords, listed
from partsolver.sheet.context import Facts


def module_words(f: Facts) -> str:
    where = (
        "into the slot card, or into a fitting M.2 socket where the board has one,"
        if f["card"]
        else "into the M.2 socket of the board"
    )
    return (
        f"Push {listed(f['drives'])} {where} at a slant, lay it down and fix it with its screw; not tight."
        " Peel the film off a heat pad."
    )


def parcels_words(f: Facts) -> str:
    extra = [
        w
        for w, wanted in (
            ("rear shield", f["shield"]),
            ("cooler in the processor's box", f["boxed"]),
            ("all mounting parts of the cooler", f["cooler"]),
        )
        if wanted
    ]
    also = f" In the boxes must also be: {listed(extra)}." if extra else ""
    return (
        f"Check the parcels against the order list ({count_of(f['count'], 'item')}): name, number, damage.{also}"
        " Download the board's manual and keep it at hand, on paper or on another device."
    )


def tools_words(f: Facts) -> str:
    more = (
        ("pliers or a nut driver for standoffs", f["pliers"]),
        ("a continuity tester", f["tester"]),
        ("a soft brush", f["brush"]),
        ("thermal paste", f["paste"]),
        ("alcohol and a lint-free cloth", f["cloth"]),
    )
    tools = [
        "a Phillips screwdriver of size 2",
        "a bowl for screws",
        "a lamp",
        "a camera or telephone",
        "a felt pen and tape for labels",
    ]
    return f"Lay out: {', '.join([*tools, *(name for name, wanted in more if wanted)])}."


# Parts out of other PCs of a fleet.
OTHER_PCS = StepWords(
    lambda f: (
        "These parts come out of other PCs: "
        + listed(f"{piece(name, pieces)} out of {pc}" for name, pieces, pc in f["got"])
        + (
            ". Some of these PCs wait for parts out of this one: take the parts out of all of them before anything goes"
            " in, and label each."
            if f["circle"]
            else ". They are opened first, by their own sheets."
        )
    ),
    "The data of those PCs are copied before they are opened, too.",
)
_GIVEN = {"memory": "memory module", "cooler": "cooler with all its mounting parts"}
GIVEN = StepWords(
    lambda f: (
        "Keep for other PCs, each in an antistatic bag with the name of its PC on it: "
        + listed(
            f"{piece(_GIVEN.get(slot, SLOT_NAMES[slot]), pieces)} for {pc}" for slot, pieces, pc in f["given"]
        )
        + "."
    ),
    "They are not handed on: another plan counts on them.",
)


def piece(name: str, pieces: int) -> str:
    """A part with how many of it."""
    return f"{pieces} x {name}" if pieces > 1 else name


# What stands in the seller's words only.
COMPARE_NOW = StepWords(
    lambda f: (
        "Compare with the seller's or the maker's page before ordering, and do not order what differs: "
        + "; ".join(
            f"\u2610 {name}: " + look_words((x.table, x.column, x.value, x.mark) for x in facts)
            for name, facts in f["parts"]
        )
        + "."
    ),
    "What was read from a title or taken from a platform row is no statement of the maker.",
)
