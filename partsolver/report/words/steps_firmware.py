"""Words of updating the board's firmware, at whatever step it is done."""

from __future__ import annotations

from partsolver.sheet.context import Facts


def firmware_need(f: Facts) -> str:
    """Which firmware the board needs for the processor, by way of which versions."""
    have = f" (it is shipped with {f['shipped']})" if f["shipped"] else ""
    need = f"{f['needed']} or newer for {f['cpu']}" if f["needed"] else f"that knows {f['cpu']}"
    way = f" Install {' and then '.join(f['steps'])} on the way to it." if f["steps"] else ""
    return f"{f['board']} needs firmware {need}{have}.{way}"


def revision_wanted(f: Facts) -> str:
    """For which revision of the board the file must be."""
    if f["revision"]:
        return f"Take the file for revision {f['revision']}, and see that the board has that printed on it."
    return "Boards of one name come in revisions with files of their own: look which one is printed on it."


def flash_alone(f: Facts) -> str:
    """Updating the new board's firmware without a working processor: needs the supply's plugs, so it comes at
    the first start."""
    unless = (
        " Skip this where its label shows that version or a newer one." if f["state"] == "unknown" else ""
    )
    return (
        f"{firmware_need(f)}{unless} Mains plug in, supply switch on, but leave the power button alone: use the"
        " board's function for updating without a processor (USB stick with the new firmware), exactly after"
        " its manual."
    )
