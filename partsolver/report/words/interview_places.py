"""What a question of the interview says, and the places to look that many of them name."""

from __future__ import annotations

from partsolver.base.records import record


@record
class Words:
    """A question in plain words, and where to look or what to measure."""

    text: str
    how: str


LABEL = (
    "on the supply's label: visible through the side, or after taking out the supply's four screws; never"
    " open it"
)
SYSTEM_INFO = "the system's own information page shows it while the PC runs"
SETUP = "in the setup screen, reached by a key shown for a second after switching on"
REAR = "look at the back of the PC"
IN_CASE = "look inside; leave all leads where they are"
