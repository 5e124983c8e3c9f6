"""Words of the steps about plugs and leads."""

from __future__ import annotations

from collections.abc import Callable

from partsolver.report.words.counts import count_of
from partsolver.report.words.steps import contacts, listed
from partsolver.sheet.context import Facts


def main_power_words(f: Facts) -> str:
    plug, header = f["plug"], f["header"]
    if f["adapter"]:
        return (
            f"Main power: the supply's {contacts(plug)} plug through {listed(f['adapter'])} into the"
            f" {contacts(header)} header, until its latch clicks."
        )
    if (plug, header) == ("20", "24"):
        return (
            "Main power: the 20-contact plug goes into the 24-contact header at the end with contact 1;"
            " contacts 11, 12, 23 and 24 stay free. The latch must meet its hook."
        )
    if (plug, header) == ("24", "20"):
        return (
            "Main power: slide the 4-contact part off the 24-contact plug, or let it hang over the end where"
            " nothing stands beside the header."
        )
    return (
        f"Main power: the {contacts(plug or header or '24')} plug into the main header, until its latch"
        " clicks. No contact stays free."
    )


def processor_power_words(f: Facts) -> str:
    headers, plugs, fed = list(f["headers"]), list(f["plugs"]), list(f["fed"])
    if not headers:
        return (
            "Processor power: look in the board's manual for its 12 V header beside the processor, and plug"
            " in every processor plug it asks for."
        )
    if f["adapter"]:
        return (
            f"Processor power: {listed(f['adapter'])} on the supply's peripheral plugs, into the"
            f" {contacts(headers[0])} header beside the processor."
        )
    if not fed:
        return (
            f"Processor power: the {contacts(headers[0])} header beside the processor needs a plug; look"
            " which one the supply has."
        )
    empty = headers[len(fed) :]
    rest = (
        f" The other header ({listed(contacts(h) for h in empty)}) stays free: the supply has no plug for it,"
        " and the board's manual must allow that."
        if empty
        else ""
    )
    if (headers[0], fed[0]) == ("8", "4"):
        return (
            "Processor power: the supply's 4-contact plug goes into the half of the 8-contact header that"
            f" the board's manual names, its latch on the hook; the other 4 contacts stay free.{rest}"
        )
    if headers[0] == "4" and "4" not in plugs:
        return (
            "Processor power: divide the supply's 4+4 plug; the half whose shape fits goes into the"
            f" 4-contact header, the other half stays free.{rest}"
        )
    also = f" The second header ({contacts(headers[1])}) gets the second plug." if len(fed) > 1 else ""
    return (
        f"Processor power: the {contacts(headers[0])} plug into the header beside the processor, until its"
        f" latch clicks.{also}{rest}"
    )


_SATA = {
    "60": "a 6 Gb/s port",
    "30": "a 3 Gb/s port",
    "15": "a 1.5 Gb/s port",
    "card": "a port of the added card",
    "own": "the card that it is on now",
    "": "a SATA port",
}


def sata_words(f: Facts) -> str:
    rows = [(drive in f["later"], f"{drive} on {_SATA[port]}") for drive, port in f["drives"]]
    now, later = [row for wait, row in rows if not wait], [row for wait, row in rows if wait]
    text = "SATA data leads: " + "; later ".join(part for part in (listed(now), listed(later)) if part)
    if not now:
        text = f"SATA data leads, later: {listed(later)}"
    leads = f" {listed(f['leads'])}: from the order." if f["leads"] else ""
    return f"{text}. The board's manual shows which port is which.{leads}"


def drive_power_words(f: Facts) -> str:
    kinds = {"sata": "SATA plug", "peripheral": "peripheral plug", "floppy": "floppy plug"}
    rows = [f"{name} ({kinds[plug]}{', later' if name in f['later'] else ''})" for name, plug in f["drives"]]
    via = f" through {listed(f['adapters'])} where plugs are short" if f["adapters"] else ""
    return f"Power to the drives{via}: {listed(rows)}. A plug goes in one way round only: never force it."


def fans_words(f: Facts) -> str:
    fans, headers = f["fans"], f["headers"]
    text = f"Case fans: {count_of(fans, 'fan')} on the board's system fan headers"
    if headers is not None and headers < fans:
        other = (
            f"on {listed(f['splitter'])}"
            if f["splitter"]
            else "on a fan splitter, or with an adapter lead on a peripheral plug of the supply"
        )
        return f"{text} ({headers} there); the rest {other}."
    return f"{text}. A fan with 3 contacts goes onto 4 pins at the key; the fourth pin stays free."


def front_panel_words(f: Facts) -> str:
    if f["panel"] == "block":
        return (
            "Switches and lamps: the one-piece plug goes onto the front panel header; the gap in it meets the"
            " missing pin."
        )
    if f["panel"] == "own header":
        return (
            "Switches and lamps: this board has its maker's own header. Find out by continuity measurement at the old"
            " case's plug, with the PC unplugged, which two of its contacts the power switch closes, and connect the"
            " new case's switch to these two first."
        )
    if f["panel"] == "own":
        return (
            "Switches and lamps: this case has a maker's own plug. Find out by continuity measurement, with"
            " the PC unplugged, which two wires are the power switch, move them to single plugs, and connect"
            " only those first."
        )
    return (
        "Switches and lamps: plug by plug after the table of the board's manual. On the usual 9-pin header:"
        " drive lamp 1 (+) and 3 (-), power lamp 2 (+) and 4 (-), reset 5 and 7, power switch 6 and 8; pin 9"
        " stays free and pin 10 is missing. Switches work either way round, lamps do not."
    )


def front_usb_words(name: str, detail: str) -> Callable[[Facts], str]:
    def text(f: Facts) -> str:
        plugs, headers = f["plugs"], f["headers"]
        if headers == 0 and not f["adapters"]:
            return f"Front {name}: this board has no header for it; the plug stays free. Tape it up."
        if f["adapters"] and (headers is None or headers < plugs):
            return (
                f"Front {name}: {count_of(plugs, 'plug')}, with {listed(f['adapters'])} where the header is of"
                f" another kind. {detail}"
            )
        if headers is not None and headers < plugs:
            short = plugs - headers
            return (
                f"Front {name}: {count_of(headers, 'header')} for {count_of(plugs, 'plug')};"
                f" {count_of(short, 'plug stays', 'plugs stay')} free. Tape it up. {detail}"
            )
        return (
            f"Front {name}: {count_of(plugs, 'plug')} onto the board's {name} header{'s' if plugs > 1 else ''}."
            f" {detail}"
        )

    return text


def front_audio_words(f: Facts) -> str:
    if f["header"] == "none":
        return "Front audio: this board has no header for it; the plug stays free. Tape it up."
    if f["adapters"]:
        return f"Front audio: the old AC'97 plug through {listed(f['adapters'])} onto the audio header."
    if f["plug"] != f["header"] and f["header"] is not None:
        return (
            "Front audio: the plug of the case is of the other kind (AC'97 against HD Audio). It goes onto"
            " the header, but plugging in is not noticed by the system and it may stay silent; the sockets at"
            " the rear work in any case."
        )
    return "Front audio: the plug onto the audio header (9 pins, pin 8 missing)."
