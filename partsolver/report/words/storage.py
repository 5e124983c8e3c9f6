"""Words of the storage rules."""

from __future__ import annotations

from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding
from partsolver.report.words.bays import on_sale_words
from partsolver.report.words.cautions import CAUTIONS
from partsolver.report.words.counts import count_of
from partsolver.report.words.record import Names, RuleWords, name_of
from partsolver.rules import (
    storage_accessories,
    storage_capacity,
    storage_encryption,
    storage_floppy,
    storage_link,
    storage_m2,
    storage_pata,
    storage_raid_set,
    storage_sata,
    storage_start,
)
from partsolver.sheet.context import Facts

_START = {"legacy": "the old way (legacy, MBR)", "uefi": "by UEFI", "nvme": "from an NVMe drive"}


def _added(finding: Finding) -> str:
    return f", {finding.fact('added')} of them on something added" if finding.fact("added") else ""


def _untold_card(finding: Finding) -> str:
    return (
        f'Whether the drive "{finding.fact("drive")}" hangs on the controller card is not known: on the card it needs no'
        " place on the board."
    )


def _sata(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        if finding.question == "drive.controller":
            return _untold_card(finding)
        if finding.question == "drive.interface":
            return f"How the lead of {finding.fact('drive')} connects is not known: it may need another port."
        if finding.fact("least") is not None:
            return (
                "Whether the M.2 modules switch off the same SATA ports or different ones is not known: perhaps"
                f" only {count_of(finding.fact('least'), 'port')} {'stays' if finding.fact('least') == 1 else 'stay'}."
            )
        if (finding.question or "").endswith(".slots"):
            return "The board lacks SATA ports, and whether a card with more finds a slot is not known."
        return "How many SATA ports the board has is not known."
    return f"{count_of(finding.value, 'SATA port')}{_added(finding)}, for {count_of(finding.limit, 'SATA drive')}."


def _pata(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        if finding.question == "drive.controller":
            return _untold_card(finding)
        if finding.fact("bridge") == "ide":
            return (
                "Which SATA modes the board offers is not known; the present system was installed in IDE mode and starts"
                " from the adapter in that mode only."
            )
        if finding.fact("bridge"):
            return "Whether the board has a SATA port left for the adapter of the PATA drive is not known."
        if (finding.question or "").endswith(".slots"):
            return "The board lacks a place for a PATA drive, and whether a card finds a slot is not known."
        return "How many PATA channels the board has is not known."
    if finding.fact("today"):
        return "The PATA drives are connected today."
    no_ide = (
        f" An adapter at a SATA port is none: the system ({finding.fact('family')}) has no driver for AHCI, and the board"
        " has no IDE mode."
        if finding.fact("no_ide")
        else ""
    )
    return f"Places for {count_of(finding.value, 'PATA drive')}{_added(finding)}; needed: {finding.limit}.{no_ide}"


def _m2(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        if finding.fact("module"):
            return f'Key or length of the module "{finding.fact("module")}" is not known: it may not go into the M.2 socket.'
        return "Which M.2 sockets the board has is not known."
    if finding.fact("today"):
        return "The M.2 modules sit in the board today."
    return (
        f"M.2 modules with a socket{' or card' if finding.fact('added') else ''} that takes them:"
        f" {finding.value} of {finding.limit}."
    )


def _floppy(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        if finding.question == "drive.bay":
            return (
                "The board has no header for the floppy drive; a USB floppy drive takes the place of a 3.5-inch"
                " one only, and its size is not known."
            )
        return "Whether the board has a floppy header is not known."
    if finding.fact("today"):
        return "The floppy drive is connected today."
    if finding.fact("added"):
        return "The board has no header for the floppy drive; a USB floppy drive takes its place."
    large = " No USB drive takes the place of a 5.25-inch one." if finding.fact("large") else ""
    return f"{count_of(finding.value, 'floppy header')} for {count_of(finding.limit, 'floppy drive')}.{large}"


def _link(finding: Finding, names: Names) -> str:
    now = finding.fact("now_mbs")
    before = "" if now is None else f" (now {now} MB/s)"
    if finding.fact("port_rate"):
        return (
            f"Which rate the board's SATA ports have is not known; the system drive itself reads"
            f" {finding.fact('drive_mbs')} MB/s{before}."
        )
    return (
        f"The system drive reads {finding.value} MB/s{before}; its link carries {finding.fact('link_mbs')}"
        f" MB/s, the drive itself {finding.fact('drive_mbs')}."
    )


# Start reference, section 5 (the vendor's guide to its tool; Linux: common practice).
_CONVERSION = (
    " A 64-bit system can often be changed to start by UEFI before the old board is taken out: back up first, then as"
    " its maker says, and say so in the survey. Or install it afresh."
)


def _start(finding: Finding, names: Names) -> str:
    way = _START.get(str(finding.value), "")
    if finding.verdict == "unknown":
        if finding.question == "drive.storage_mode":
            return (
                "The SATA mode that is set now is not known; the new firmware has to be set to the same one"
                " before the first start."
            )
        return "Whether the system drive starts on this board is not known."
    if finding.fact("today"):
        return "The system starts on this board today."
    if finding.verdict == "fails" and finding.fact("fresh"):
        return (
            "The board's firmware does not start from an NVMe drive, so the new drive cannot be the system"
            " drive."
        )
    if finding.verdict == "fails":
        words = f"The present system starts {way}, and this board's firmware does not: it would not start."
        return words + _CONVERSION if finding.fact("convertible") else words
    if finding.fact("lacks_start") == "nvme":
        return (
            "The board's firmware does not start from NVMe: the system has to be installed on another drive."
        )
    if finding.fact("fresh"):
        return "The system is installed afresh on this drive."
    words = f"The present system starts {way}, as this board's firmware can"
    if finding.fact("card"):
        words += (
            f'; it hangs on the card "{finding.fact("card")}": the firmware has to start from that card, so choose it in'
            " the start order"
        )
    if finding.fact("set_mode"):
        words += (
            f"; set the SATA mode {str(finding.fact('set_mode')).upper()} in the firmware before the first"
            " start"
        )
    if finding.fact("lacks_mode"):
        words += (
            f"; the board has no SATA mode {str(finding.fact('lacks_mode')).upper()}: prepare the present"
            " system for another mode before the old board is taken out"
        )
    return words + "."


def _start_caution(finding: Finding, names: Names) -> str | None:
    """Whatever changes how a system starts can cost its data."""
    return CAUTIONS["backup"] if not finding.fact("today") else None


def _capacity(finding: Finding, names: Names) -> str:
    drive = name_of(names, finding.parts[0])
    if finding.verdict == "unknown":
        return (
            f"{drive} holds {finding.fact('holds')} GB, less than the present drive: whether what is in use on that"
            " goes onto it is not known."
        )
    rest = (
        f" The system starts the old way there (MBR): of {drive} the first {finding.fact('usable_gb')} GB can be"
        " used."
        if finding.fact("usable_gb")
        else ""
    )
    if finding.verdict == "fails":
        return f"{finding.limit} GB are in use on the present drive; {drive} holds {finding.value} GB.{rest}"
    if finding.fact("fresh"):
        return f"{drive} holds {finding.value} GB; nothing has to be copied onto it.{rest}"
    return f"What is in use on the present drive goes onto {drive} ({finding.value} GB).{rest}"


def _accessories(finding: Finding, names: Names) -> str:
    text = []
    if finding.fact("leads"):
        lead = finding.fact("lead")
        on_sale = f" ({name_of(names, str(lead))} {on_sale_words(finding, names)})" if lead else ""
        text.append(
            f"{count_of(finding.fact('leads'), 'SATA data lead')} may be missing: count them, or order more{on_sale}"
        )
    if finding.fact("screws"):
        text.append(
            "look whether the small M.2 screw and its standoff are there: without them the module stands up"
        )
    sentence = "; ".join(text) or "data leads and screws for the drives are there"
    return f"{sentence[0].upper()}{sentence[1:]}."


RAID_COPY_WHY = "Another controller cannot read the set, and a set made anew is empty: without the copy the data are gone."


def raid_copy_text(f: Facts) -> str:
    """The step of the sheet, for ``drives``: names with levels; ``runs``: whether the old board starts."""
    if not f["runs"]:
        return (
            f"The RAID set has to be copied first, and its board does not start: {', '.join(f['drives'])}. Only a"
            " controller of the same maker reads it, or somebody who recovers data: ask before anything is ordered, note"
            " the order of the disks by their ports, and create or initialise nothing on them."
        )
    return (
        f"Copy everything on the RAID set to a device outside this PC: {', '.join(f['drives'])}. Note level, order and ports of"
        " its disks from the set-up screen of the old controller. On the new board the set is made anew and the data are"
        " copied back."
    )


_RAID_CAUTION = (
    "A RAID set does not survive the change of its controller: copy everything on it to a device outside this PC before"
    " the board comes out, and let no firmware create or initialise a set on disks that hold the only copy."
)


def _raid_set(finding: Finding, names: Names) -> str:
    drive, level = finding.fact("drive"), finding.fact("level")
    if finding.fact("today"):
        return f'The drive "{drive}" stays on the controller of its RAID set.'
    if finding.fact("card"):
        return f'The drive "{drive}" stays on the card "{finding.fact("card")}", which holds its RAID set and goes along.'
    if finding.question == "drive.controller":
        return (
            f'The drive "{drive}" belongs to a RAID set of level {level}: whether to one of the card or of the board is not'
            " known. A set of the card goes along with it, one of the board is lost."
        )
    if finding.question == "drive.raid":
        return (
            f'The present system runs in RAID mode: whether the drive "{drive}" is a member of a RAID set is not known. A set'
            " cannot be taken to another board: look, and copy everything first."
        )
    if finding.fact("made_anew"):
        return (
            f'The RAID set (level {level}) of the drive "{drive}" stays behind with its controller; its data are copied. On the new'
            " board a set is made anew, empty."
        )
    if finding.verdict == "unknown" and not finding.blocks:
        return (
            f'The drive "{drive}" is half of a mirror: on another board it usually reads as a plain disk. Copy everything before,'
            " and never let the new firmware create a set on it."
        )
    return (
        f'The drive "{drive}" belongs to a RAID set of level {level}: another board cannot read it. Everything on it is copied to'
        " a device outside this PC first (then say so in the survey: copied = true)."
    )


def _raid_caution(finding: Finding, names: Names) -> str | None:
    return None if finding.fact("today") or finding.fact("card") else _RAID_CAUTION


def _encryption(finding: Finding, names: Names) -> str:
    drive = finding.fact("drive")
    if finding.fact("today"):
        return f'Board and processor stay: nothing changes for the drive "{drive}".'
    if finding.verdict == "unknown":
        return (
            f'Whether the drive "{drive}" is encrypted is not known: find out, and save its recovery key'
            " first if it is."
        )
    return f'The drive "{drive}" is encrypted: it will ask for its recovery key after the change.'


def _encryption_caution(finding: Finding, names: Names) -> str | None:
    return CAUTIONS["encryption-key"] if finding.fact("save_key") else None


def _need_sata(need: Need, names: Names) -> str:
    return (
        f"the board lacks {count_of(dict(need.facts).get('missing'), 'SATA port')} for the drives that stay"
    )


def _need_pata(need: Need, names: Names) -> str:
    return f"the board has no place for {count_of(dict(need.facts).get('missing'), 'PATA drive')}"


def _need_m2(need: Need, names: Names) -> str:
    return "no M.2 socket of the board takes the NVMe module"


def _need_floppy(need: Need, names: Names) -> str:
    return "the board has no header for the floppy drive"


WORDS: dict[str, RuleWords] = {
    storage_sata.ID: RuleWords("SATA ports", _sata, _need_sata),
    storage_pata.ID: RuleWords("PATA drives", _pata, _need_pata),
    storage_m2.ID: RuleWords("M.2 sockets", _m2, _need_m2),
    storage_floppy.ID: RuleWords("floppy drive", _floppy, _need_floppy),
    storage_link.ID: RuleWords("system drive's link", _link),
    storage_start.ID: RuleWords("system start", _start, caution=_start_caution),
    storage_capacity.ID: RuleWords("system drive capacity", _capacity),
    storage_accessories.ID: RuleWords("leads and screws", _accessories),
    storage_raid_set.ID: RuleWords("RAID set", _raid_set, caution=_raid_caution),
    storage_encryption.ID: RuleWords("encryption", _encryption, caution=_encryption_caution),
}
QUESTIONS: dict[str, str] = {
    "drive.used_gb": "How much is in use on the system drive, in GB? The system's disk management says it.",
    "board.sata_6g_ports": "How many SATA ports has the board, and of which rate (board manual)?",
    "board.sata_3g_ports": "How many SATA ports of 3 Gb/s has the board (board manual)?",
    "board.sata_1g5_ports": "How many SATA ports of 1.5 Gb/s has the board (board manual)?",
    "drive.controller": "Where does the drive's data lead go: to the board, or to which card (follow the lead)?",
    "drive.m2_key": "Where are the notches of the M.2 module: key M, key B, or both (data sheet, or a look)?",
    "drive.m2_length_mm": "How long is the M.2 module (2280 is 80 mm, 22110 is 110 mm; data sheet)?",
    "board.pata_channels": "How many PATA headers (40 contacts) has the board (board manual or a look)?",
    "board.m2_slots": (
        "Which M.2 sockets has the board: key, length, NVMe or SATA, and which SATA ports they switch off"
        " (board manual)?"
    ),
    "board.floppy_headers": "Has the board a floppy header (34 contacts; board manual or a look)?",
    "board.firmware_modes": (
        "Does the firmware start in UEFI mode, in legacy mode, or in both (board manual)?"
    ),
    "board.nvme_boot": (
        "Does the firmware start from NVMe drives (board manual or the maker's firmware notes)?"
    ),
    "drive.interface": (
        "How is each drive's data lead connected: small and flat (SATA), a wide ribbon (PATA), or is it a small card"
        " screwed to the board (M.2)? A look inside says it."
    ),
    "drive.bay": "Which size has the floppy drive, 3.5 or 5.25 inches? A look at the case says it.",
    "drive.start_mode": (
        "How does the present system start, by UEFI or the old way (system information, or the disk's"
        " partition table)?"
    ),
    "drive.storage_mode": (
        "Which SATA mode is set in the present firmware: AHCI, IDE or RAID? Note it before the board is taken"
        " out."
    ),
    "drive.raid": (
        "Is the drive a member of a RAID set of the board (the RAID program or the screen at the start lists the sets and their"
        " level), or is RAID mode only switched on (none)?"
    ),
    "drive.copied": (
        "Is everything on the RAID set copied to a device outside this PC, and were a few files opened from the copy?"
    ),
    "drive.encrypted": (
        "Is the drive encrypted (drive or security settings of the system)? If so, save the recovery key on"
        " paper."
    ),
}
