"""Words of the owner's page: for somebody who knows nothing of parts."""

from __future__ import annotations

WHAT, WHY, COST, STAYS, BEFORE, OFFER = (
    "What we propose",
    "Why",
    "What it costs",
    "What stays",
    "Before the work, please",
    "This offer",
)
NOTHING = "Keep the PC as it is: nothing is bought."
DOES_NOT_FIT = "These parts do not fit: nothing is to be ordered. {reason}"
# Used parts are not called new.
NEW = "New {what}: {names}."
PARTLY_USED = "Another {what}, not all of it new: {names}."
ESTIMATE = "An estimate, no promise."
PARTS = {"board": "board", "cpu": "processor", "memory": "memory", "cooler": "cooler", "psu": "power supply"}
BACKUP = "Save your data on another device, and open a saved file there."
KEY = "If a drive is encrypted, write its recovery key down. Without it the data are lost."
TIED = "Have the licence papers of {what} at hand: it is tied to this PC."
INSTALL = "The system is installed afresh: list the programs you need, with their papers."
LICENCE = "A system licence is in the price: the present one belongs to the old board."
OLD_SUPPLY = "The power supply stays and is {years} years old: if it fails, it can take new parts along."
NO_ANSWER = "Not decided yet? Nothing is ordered without your yes."
YES_NO = "Yes, please do it.", "No, thank you."
SIGN = "Date and name"


def title(pc: str) -> str:
    return f"For the owner: {pc}"
