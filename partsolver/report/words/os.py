"""Words of the operating system rules. Families have generic names; nothing here is legal advice."""

from __future__ import annotations

from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding
from partsolver.report.page import shortest_text
from partsolver.report.words.counts import count_of
from partsolver.report.words.record import Names, RuleWords, name_of
from partsolver.rules import (
    os_disk,
    os_firmware,
    os_licence,
    os_memory,
    os_processor,
    os_start,
    os_tpm,
    os_usb_driver,
)

_WANTED = {"uefi": "start in UEFI mode", "secure-boot": "do Secure Boot"}
_BACKUP = (
    "Converting the system drive from MBR to GPT can lose everything on it: back up first and read something"
    " back."
)


def _part(finding: Finding, names: Names) -> str:
    return name_of(names, finding.parts[0]) if finding.parts else "the board"


def _family(finding: Finding) -> str:
    return f"the system ({finding.fact('family')})"


def _processor(finding: Finding, names: Names) -> str:
    cpu = _part(finding, names)
    if finding.verdict == "unknown":
        text = f"Whether {cpu} has the instructions that {_family(finding)} needs is not known."
        if (finding.question or "").endswith(".features"):
            text += " Some of 2006 and before lack one."
    elif finding.verdict == "fails":
        level = "" if finding.fact("further") else f" (x86-64 level {finding.limit} needed)"
        text = f"{cpu} is too old for {_family(finding)}: it lacks {finding.fact('missing')}{level}."
    elif finding.fact("short"):
        text = f"{cpu} stays, but lacks instructions that {_family(finding)} needs."
    elif finding.fact("today"):
        text = f"{cpu} runs {_family(finding)} today."
    else:
        text = f"{cpu} has the instructions that {_family(finding)} needs."
    if finding.fact("min_cores"):
        text += f" The vendor asks for {count_of(finding.fact('min_cores'), 'core')}."
    if finding.fact("supported_from_year"):
        text += (
            f" The vendor's support list starts at about {finding.fact('supported_from_year')}; it may run"
            " without support."
        )
    return text


def _firmware(finding: Finding, names: Names) -> str:
    board = _part(finding, names)
    name = str(finding.fact("wanted") or (finding.limit if finding.verdict == "fails" else finding.value))
    able = _WANTED.get(name, name)
    if finding.fact("system") == "no":
        text = f"{_family(finding)} cannot use Secure Boot, which is wanted: choose another system, or do without."
        return text[0].upper() + text[1:]
    if finding.verdict == "unknown":
        text = f"Whether the firmware of {board} can {able} is not known."
    elif finding.verdict == "fails":
        text = f"The firmware of {board} cannot {able}; it is wanted for {_family(finding)}."
    elif finding.fact("short"):
        text = f"{board} stays, but its firmware cannot {able}."
    else:
        text = f"The firmware of {board} can {able}."
    if finding.fact("convert") == "yes":
        text += (
            " The system drive has an MBR partition table: convert it to GPT before Secure Boot is"
            " switched on."
        )
    elif finding.fact("convert") == "maybe":
        text += " Secure Boot needs a GPT partition table on the system drive: look whether it has one."
    return text


def _firmware_caution(finding: Finding, names: Names) -> str | None:
    return _BACKUP if finding.fact("convert") == "yes" else None


def _tpm(finding: Finding, names: Names) -> str:
    board, version = _part(finding, names), finding.fact("version")
    if finding.verdict == "unknown":
        return f"Whether {board} has the platform module (TPM {version}) the system needs is not known."
    if finding.verdict == "fails":
        return (
            f"The system needs a platform module (TPM {finding.limit}); {board} has: {finding.value}, and"
            " none can be added."
        )
    if finding.fact("short"):
        return f"{board} stays, but it lacks the platform module (TPM {version}) the system asks for."
    if finding.value == "header":
        return (
            f"{board} has a header for a platform module; TPM {version} is bought. Compare pins with the"
            " board's manual first."
        )
    return f"{board} has TPM {finding.value}; it may have to be switched on in the firmware."


def _tpm_need(need: Need, names: Names) -> str:
    version = next((value for name, value in need.facts if name == "version"), "")
    return f"the system needs TPM {version} and the board has only a header for it"


def _memory(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        least = int(finding.fact("least_mib") or 0) / 1024
        return f"Whether there is enough memory for {_family(finding)} ({shortest_text(least)} GiB) is not known."
    have = int(finding.value or 0) / 1024
    if finding.fact("short"):
        least = int(finding.fact("least_mib") or 0) / 1024
        return f"Memory {shortest_text(have)} GiB; {_family(finding)} asks for {shortest_text(least)} GiB. It stays as it is today."
    least = int(finding.limit or 0) / 1024
    text = f"Memory {shortest_text(have)} GiB; {_family(finding)} needs at least {shortest_text(least)} GiB"
    return f"{text}." if finding.verdict == "fits" else f"{text}: too little."


def _disk(finding: Finding, names: Names) -> str:
    if finding.fact("today"):
        return f"The system drive runs {_family(finding)} today."
    if finding.verdict == "unknown":
        return f"Whether the system drive holds the {finding.fact('least_gb')} GB {_family(finding)} needs is not known."
    if finding.fact("short"):
        least = finding.fact("least_gb")
        return f"System drive {finding.value} GB; {_family(finding)} asks for {least} GB. It stays as it is today."
    text = f"System drive {finding.value} GB; {_family(finding)} needs at least {finding.limit} GB"
    return f"{text}." if finding.verdict == "fits" else f"{text}: too small."


def _licence(finding: Finding, names: Names) -> str:
    other = finding.fact("generation")
    if other and finding.verdict == "unknown":
        price = ", and the catalogue has none: find out and plan its price" if finding.fact("offered") else ""
        may = "is" if other == "other" else "may be"
        text = (
            f"The licence of the present system {may} for another generation than {_family(finding)}{price}."
        )
        if other == "perhaps" and not price:
            text += " If it serves this one too, no new one is needed."
    elif other:
        may = "is" if other == "other" else "may be"
        text = f"The licence of the present system {may} for another generation than {_family(finding)}: a new one is in the plan."
    elif finding.verdict == "unknown":
        if finding.fact("licence") == "upgraded":
            text = (
                "The licence was upgraded from an older one; whether it moves to a new board depends on the"
                " vendor's present terms."
            )
        elif finding.fact("licence") == "none-needed":
            text = (
                f"{_family(finding).capitalize()} needs a licence, which the present system does not, and the"
                " catalogue has none: plan its price."
            )
        elif finding.fact("offered") == "none":
            text = (
                f"The licence of {_family(finding)} may not move to a new board, and the catalogue has none:"
                " find out and plan its price."
            )
        else:
            text = (
                "The kind of licence is not known; if it is a boxed or account licence, no new one is needed."
            )
    elif finding.value == "bought" and finding.fact("licence") == "none-needed":
        text = f"{_family(finding).capitalize()} needs a licence, which the present system does not: it is in the plan."
    elif finding.value == "bought":
        bound = "belongs" if finding.fact("licence") == "oem" else "may belong"
        text = f"The licence of {_family(finding)} {bound} to the old board; a new one is in the plan."
    elif finding.fact("move"):
        kind = "linked to an account" if finding.value == "account" else "boxed"
        text = f"The licence is {kind} and may move: release it or link it to the account before the swap."
    else:
        text = "The system needs no licence."
    tied = finding.fact("tied_programs")
    if tied:
        more = "1 program is" if tied == 1 else f"{tied} programs are"
        text += f" {more} licensed to this very PC: release {'it' if tied == 1 else 'them'} before the swap."
    return text


def _licence_need(need: Need, names: Names) -> str:
    facts = dict(need.facts)
    if facts.get("generation"):
        return "the present licence is, or may be, for another generation of the system than is asked for"
    if facts.get("licence") == "oem":
        return "the system was sold with the old board, and its licence stays with that board"
    if facts.get("licence") == "none-needed":
        return "the system that is asked for needs a licence, which the present one does not"
    return "the kind of licence is not known, so a new one is counted; if it may move, this cost falls away"


def _usb_driver(finding: Finding, names: Names) -> str:
    help_ = (
        "use a PS/2 keyboard"
        if finding.fact("ps2_ports")
        else "prepare a set-up medium that holds the USB driver"
    )
    return (
        f"If the system ({finding.fact('family')}) has to be installed on this board of {finding.value},"
        f" keyboard and mouse may be dead in its set-up program: {help_}."
    )


def _start(finding: Finding, names: Names) -> str:
    if finding.fact("video") == "card":
        return (
            "The system starts the old way (legacy), and the graphics card makes no picture then: another card is"
            " needed, or a fresh installation that starts by UEFI."
        )
    if finding.fact("video"):
        cpu = name_of(names, finding.parts[1])
        if finding.verdict == "unknown":
            return (
                f"The system starts the old way (legacy): whether the graphics of {cpu} make a picture then is"
                " not known; those of some processors from 2021 on do not."
            )
        return (
            f"The system starts the old way (legacy), and the graphics of {cpu} make no picture then: a"
            " graphics card is needed, or a fresh installation that starts by UEFI."
        )
    family = _family(finding)
    if finding.fact("driver"):
        return _start_driver(finding, names)
    if finding.fact("drivers"):
        what = " and ".join(name_of(names, part) for part in finding.parts)
        if finding.verdict == "unknown":
            return f"Whether {family} has drivers for {what} depends on its year, which is not known."
        if finding.fact("card"):
            return (
                f"{what} ({finding.value}) is younger than the last graphics cards with drivers for {family}"
                f" ({finding.fact('last_year')}): expect none, and a coarse, slow picture."
            )
        return (
            f"{what} ({finding.value}) {'are' if len(finding.parts) > 1 else 'is'} younger than the last platforms with drivers for {family}"
            f" ({finding.fact('last_year')}): expect none for chipset, graphics, network and USB."
        )
    board = _part(finding, names)
    if finding.verdict == "unknown":
        return f"Whether the firmware of {board} can start {family} the old way (legacy) is not known."
    needs = (
        "needs the old video service for its start screen"
        if finding.fact("start") == "legacy-video"
        else "cannot start in UEFI mode"
    )
    return f"The firmware of {board} starts in UEFI mode only, and {family} {needs}."


def _start_driver(finding: Finding, names: Names) -> str:
    board, family = _part(finding, names), _family(finding)
    if finding.fact("driver") == "nvme":
        if finding.limit == "uefi":
            return (
                f"Firmware starts from an NVMe drive in UEFI mode only, and {family} cannot start so: take a SATA"
                " drive for it."
            )
        if finding.verdict == "fails":
            return f"{family.capitalize()} has no driver for an NVMe drive and cannot start from one."
        return (
            f"{family.capitalize()} has no driver for an NVMe drive as delivered: it needs updates on the"
            " set-up medium first, and starts from it in UEFI mode only."
        )
    if finding.verdict == "unknown":
        return f"Which SATA modes {board} offers is not known; {family} was installed in IDE mode."
    if finding.verdict == "fails":
        return (
            f"{family.capitalize()} was installed in IDE mode and has no driver for {board}, which offers"
            f" {str(finding.limit).upper()} only: it would stop at the start. Install another system afresh,"
            " or take a board with IDE mode."
        )
    return (
        f"{family.capitalize()} has no driver for the drive controller of {board} as delivered: its set-up"
        " needs one from a driver disk or from the medium."
    )


WORDS: dict[str, RuleWords] = {
    os_usb_driver.ID: RuleWords("old system's USB driver", _usb_driver),
    os_processor.ID: RuleWords("processor for the system", _processor),
    os_firmware.ID: RuleWords("firmware for the system", _firmware, caution=_firmware_caution),
    os_start.ID: RuleWords("start and drivers", _start),
    os_tpm.ID: RuleWords("platform module", _tpm, _tpm_need),
    os_memory.ID: RuleWords("memory for the system", _memory),
    os_disk.ID: RuleWords("room for the system", _disk),
    os_licence.ID: RuleWords("system licence", _licence, _licence_need),
}
QUESTIONS: dict[str, str] = {
    "drive.capacity_gb": "How large is the system drive? Its label says it, or the system's disk management.",
    "cpu.x86_level": (
        "Which x86-64 level has the processor? Its features in the system information show it (AVX2: level 3;"
        " SSE4.2: 2)."
    ),
    "cpu.features": (
        "Which instructions has the processor: CMPXCHG16B (cx16), LAHF/SAHF (lahf_lm), PREFETCHW, NX, PAE, SSE2? A tool"
        " that lists its features (flags) shows them, or its maker's data."
    ),
    "board.firmware_modes": (
        "Can the board's firmware start in UEFI mode, legacy mode or both? Its manual or setup screen"
        " shows it."
    ),
    "board.storage_modes": (
        "Which SATA modes has the board's firmware: AHCI, IDE, RAID? Its manual or setup screen shows it."
    ),
    "board.year": "In which year was the board first sold? Its maker's page or its manual says it.",
    "cpu.legacy_video": (
        "Do the processor's graphics make a picture at a legacy start (board manual: compatibility mode without"
        " a graphics card)?"
    ),
    "cpu.year": "In which year was the processor first sold? Its maker's data say it.",
    "board.secure_boot": "Can the board's firmware do Secure Boot? Look into its manual or setup screen.",
    "board.tpm": (
        "Has the board a platform module (TPM), built in, in its firmware, or a header for one? Its manual"
        " says it."
    ),
    "os.licence_for": (
        "For which systems is the licence at hand? Its papers, the label on the case or the activation page name one; the"
        " vendor's present terms decide whether it serves another."
    ),
    os_licence.ID: (
        "What kind of licence has the system: sold with the PC, boxed, linked to an account, upgraded?"
        " Receipt, label on the case, or the activation page show it; the vendor's present terms decide"
        " whether it moves."
    ),
}
