"""Cautions: first those that hurt people, then data, then parts. They defer to manuals, local rules,
qualified people."""

from __future__ import annotations

CAUTIONS: dict[str, str] = {
    "mains": (
        "Mains voltage: shut down, switch off at the supply, pull the mains plug and wait before opening the"
        " case. Follow the makers' manuals and your local rules on electrical safety; when in doubt ask a"
        " qualified person."
    ),
    "supply-closed": (
        "Never open the power supply: its capacitors stay charged. A supply with bulged parts, a burnt smell"
        " or odd noises goes to the electronics-waste point, not back into a PC."
    ),
    "sharp-edges": (
        "Sheet metal and I/O shields have sharp edges: take your time, wear gloves where they help."
    ),
    "backup": "Back up the owner's data to another device and read something back before touching the PC.",
    "encryption-key": (
        "A drive may be encrypted: save the recovery key, or suspend the encryption, before board, processor, graphics"
        " card or system drive change. Without the key the data are lost."
    ),
    "static": (
        "Static electricity destroys parts unnoticed: touch bare case metal often or wear a wrist strap, hold"
        " boards by the edges, keep parts in their bags."
    ),
    "leads-of-one-supply": (
        "Use only the leads that came with the new supply: plugs at the supply's end look alike and are wired"
        " differently."
    ),
    "standoffs": (
        "One standoff under every hole of the board and none anywhere else; no loose screw behind the board."
    ),
    "cooler-removal": (
        "Warm the old processor up first and twist the cooler gently: pulled straight off, it can tear the"
        " processor out of its socket."
    ),
    "cpu-socket-pins": (
        "Do not touch the contacts of socket or processor; set the processor in without force, as its manual"
        " shows."
    ),
    "old-supply": (
        "The supply stays and is old, of unknown age or doubtful: a failing supply can take the new parts along. Look at it"
        " from outside, listen, and consider testing with another supply first."
    ),
    "adapters": (
        "Power adapters carry more current than they look: use only sound ones, as short as possible, and"
        " feel after an hour whether a plug gets hot."
    ),
    "used-parts": (
        "Used parts: ask whether they were tested and what comes with them, test them at once, and note the"
        " last day for returns."
    ),
    "private-seller": (
        "A private seller may deliver late, something else, or nothing, and owes no return: pay in a way that"
        " can be called back, and do not take the PC apart before the part is there and tested."
    ),
    "memory-returns": (
        "Old and new modules together may run slower or not start: keep the right to return the new ones and"
        " run a memory test."
    ),
    "licences": "Release programs whose licence is tied to this PC before taking it apart.",
    "waste": (
        "Old boards and batteries belong to an electronics-waste point under your local rules; usable parts"
        " can be handed on."
    ),
}
