"""Storage on USB ports: drives of the survey that are there already, USB drives in place of floppy drives.

A USB floppy drive is a 3.5-inch one (common practice): none replaces a 5.25-inch drive, which gets the header
where there is one.
"""

from __future__ import annotations

from partsolver.base.quantities import ceil_div
from partsolver.problem.problem import Problem
from partsolver.survey.model import Drive


def floppy_drives(problem: Problem) -> list[Drive]:
    """Drives that need a floppy header."""
    return [
        d for d in problem.drives if d.required and d.interface != "usb" and "floppy" in (d.kind, d.interface)
    ]


def floppy_size(drive: Drive) -> str | None:
    """Size in inches: as stated, else as its name says it."""
    return drive.bay or next((size for size in ("5.25", "3.5") if size in drive.name), None)


def large_floppy_drives(problem: Problem) -> int:
    """How many of them no USB floppy drive replaces."""
    return sum(floppy_size(drive) == "5.25" for drive in floppy_drives(problem))


def usb_floppy_options(problem: Problem, headers: int) -> tuple[tuple[str, int], ...]:
    """USB floppy drives (extra id, pieces) for the 3.5-inch drives without a header; none where a 5.25-inch
    one lacks it too, or where no drive lacks one."""
    missing = len(floppy_drives(problem)) - headers
    if missing <= 0 or large_floppy_drives(problem) > headers:
        return ()
    return tuple((extra.id, ceil_div(missing, extra.count)) for extra in problem.extras_of("usb-floppy"))


def usb_storage_ports(problem: Problem, headers: int | None) -> int:
    """USB ports that storage takes on a new board with so many floppy headers (None: not known, counted as
    enough)."""
    plugged = sum(drive.required and drive.interface == "usb" for drive in problem.drives)
    if headers is None:
        return plugged
    return plugged + min((pieces for _, pieces in usb_floppy_options(problem, headers)), default=0)
