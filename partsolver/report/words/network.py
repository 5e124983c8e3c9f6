"""Words of the current network: its places, and what its figures mean."""

from __future__ import annotations

from partsolver.assembly.network import Node

HEADING = "Currents, from the supply to each consumer"
LEAST_ROOM = "least room"
NOTE = (
    "Usual load, highest load, and what the place carries: of supply and rails what is trusted of the label at its age"
    " or what it carries today, of plugs and leads their contacts and wires. The highest load of everything at once is"
    " rare; where it passes a limit, the findings say what would settle it."
)
NOTE_RAILS = (
    " Which plug hangs on which 12 V rail of the label is drawn as the design guides have it, or as it fits: look"
    " before ordering where a finding asks."
)
CIRCUIT = "label's rail: "
_RAILS = {"12v": "12 V", "5v": "5 V", "3v3": "3.3 V"}
_GROUPS = {
    "cpu": "processor plug",
    "main": "main plug",
    "drives": "leads of the drives",
    "card": "card plugs",
}
_CIRCUIT = {"cpu": "processor plug", "main": "main plug", "drives": "drives", "card": "card plugs"}


def place_words(node: Node) -> str:
    """What a place is called."""
    if node.kind == "supply":
        return f"supply ({node.name})"
    if node.kind == "rail":
        return _RAILS[node.rail]
    if node.kind == "circuit":
        return CIRCUIT + ", ".join(_CIRCUIT[group] for group in node.name.split("+"))
    if node.kind in ("lead", "contacts"):
        return _GROUPS[node.name]
    return node.name


def narrowest_words(node: Node) -> str:
    """A place with its rail, for a sentence: ``processor plug, 12 V``."""
    if node.kind in ("supply", "rail"):
        return "in all" if node.kind == "supply" else f"at {_RAILS[node.rail]}"
    return f"at the {place_words(node)}, {_RAILS[node.rail]}"
