"""How many bays of each size the drives take."""

from __future__ import annotations

from collections.abc import Iterable

from partsolver.assembly.ports import drives_of
from partsolver.base.records import record
from partsolver.catalog.records import DrivePart
from partsolver.problem.candidates import DriveChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Drive

#: Size of bay by kind of drive where nobody stated one (common practice).
USUAL_BAY = {"hdd35": "3.5", "hdd25": "2.5", "ssd": "2.5", "optical": "5.25", "floppy": "3.5"}


@record
class BaysTaken:
    """Drives by the bay they are made for: 5.25, 3.5 and 2.5 inches."""

    large: int
    middle: int
    small: int

    def no_more_than(self, other: BaysTaken) -> bool:
        """Whether the larger bays hold no more than they hold in ``other``."""
        return self.large <= other.large and self.middle <= other.middle


def bay_of(drive: Drive | DrivePart) -> str | None:
    """The bay a drive is made for, inches; None for modules, USB drives and those of which nothing is
    known."""
    if drive.interface in ("m2-nvme", "m2-sata", "usb"):
        return None
    stated = drive.bay if isinstance(drive, Drive) else None
    return stated or USUAL_BAY.get(str(drive.kind))


def _count(drives: Iterable[Drive | DrivePart]) -> BaysTaken:
    sizes = [bay_of(drive) for drive in drives]
    return BaysTaken(sizes.count("5.25"), sizes.count("3.5"), sizes.count("2.5"))


def bays_taken(choice: DriveChoice, problem: Problem) -> BaysTaken:
    """Of the drives of a plan that are connected."""
    return _count(drives_of(choice, problem))


def bays_taken_today(problem: Problem) -> BaysTaken:
    """Of the PC as it is."""
    return _count(problem.survey.drives)
