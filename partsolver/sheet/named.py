"""What a step names: drives and the extras of the order, by kind."""

from __future__ import annotations

from partsolver.catalog.records import DrivePart
from partsolver.sheet.context import Context
from partsolver.survey.model import Drive

PATA_KINDS = ("pata-controller", "pata-drive-adapter", "usb-enclosure")


CARD_KINDS = ("sata-controller", "pata-controller", "m2-card")


def names(c: Context, *kinds: str) -> tuple[str, ...]:
    return tuple(c.name(line.item) for line in c.extras(*kinds))


def is_system(c: Context, drive: Drive | DrivePart) -> bool:
    return isinstance(drive, DrivePart) or bool(drive.system)


def drive_name(c: Context, drive: Drive | DrivePart) -> str:
    return drive.name


def other_extras(c: Context) -> tuple[str, ...]:
    """Extras without a step of their own."""
    covered = {
        *CARD_KINDS,
        *PATA_KINDS,
        "main-plug-adapter",
        "cpu-plug-adapter",
        "sata-power-splitter",
        "sata-power-from-peripheral",
        "peripheral-from-sata",
        "front-usb-adapter",
        "front-audio-adapter",
        "fan-splitter",
        "card-plug-adapter",
        "display-adapter",
        "sata-data-cable",
    }
    return tuple(c.name(ln.item) for ln in c.fitted_extras if c.problem.extras[ln.item].kind not in covered)


def interfaces(c: Context, *wanted: str) -> tuple[str, ...]:
    return tuple(drive_name(c, d) for d in c.drives if d.interface in wanted)
