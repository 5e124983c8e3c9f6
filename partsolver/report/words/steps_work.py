"""Words of the steps inside the case: taking out, tray and shield, fitting, connecting."""

from __future__ import annotations

from collections.abc import Callable

from partsolver.report.words.steps import StepWords, contacts, listed, many
from partsolver.sheet.context import Facts


def _screws(f: Facts) -> str:
    count = f"the {f['screws']} screws of the board in the case (holes {' '.join(f['letters'])})" if f["screws"] else "every screw that holds the board in the case"
    return f"Take out {count}, lift the board at the front edge and slide it away from the rear panel."


def _shield(f: Facts) -> str:
    if not f["new"]:
        return "Take the shield out of the old case and clip it into the new one from inside, until all four edges click."
    old = "Push the old shield out of the rear opening, from outside inwards. "
    if f["new_case"]:
        old = "Where the new case has a plate in its rear opening, push it out. "
    if f["state"] == "integrated":
        return f"{old}The new board carries its shield with it: none to fit."
    if f["state"] == "bought":
        return f"{old}Clip in {f['item']} from inside until all four edges click."
    if f["state"] == "included":
        return f"{old}Clip in the shield from the board's box, from inside, until all four edges click."
    if f["state"] == "missing":
        return f"{old}The board comes without a shield and none is in the order: the opening stays open. Keep fingers and metal away from it."
    return f"{old}Clip in the shield of the new board, if one came with it; without one the opening stays open."


def _overhang(f: Facts) -> str:
    sides = [f"{f[key]} mm at the {name}" for key, name in (("front_mm", "front edge"), ("left_mm", "slot side")) if f[key] > 40]
    return f"The board hangs free for {listed(sides)} past its last screw: hold it from below with a finger whenever a plug or card is pushed in there."


def _fit_board(f: Facts) -> str:
    screws = f"set {many(len(f['letters']), 'screw')} ({' '.join(f['letters'])})" if f["letters"] else "set a screw in every hole above a standoff"
    maybe = f", and one at {listed(f['maybe'])} if there are hole and standoff" if f["maybe"] else ""
    return f"Lower the board onto the standoffs, ports first into the shield, and {screws}{maybe}: all loosely first, then crosswise until they just hold."


def cards(f: Facts) -> str:
    rows = [f"{name} into slot {slot}" + (f" ({kind})" if kind else "") for name, slot, kind in f["cards"]]
    return f"Push in and screw down: {listed(rows)}. Slots are counted from the processor. Take the cover off the opening at the rear first."


def _main(f: Facts) -> str:
    plug, header = f["plug"], f["header"]
    if f["adapter"]:
        return f"Main power: the supply's {contacts(plug)} plug through {listed(f['adapter'])} into the {contacts(header)} header, until its latch clicks."
    if (plug, header) == ("20", "24"):
        return (
            "Main power: the 20-contact plug goes into the 24-contact header at the end with contact 1; contacts 11, 12, 23 and 24 "
            "stay free. The latch must meet its hook."
        )
    if (plug, header) == ("24", "20"):
        return "Main power: slide the 4-contact part off the 24-contact plug, or let it hang over the end where nothing stands beside the header."
    return f"Main power: the {contacts(plug or header or '24')} plug into the main header, until its latch clicks. No contact stays free."


def _cpu_power(f: Facts) -> str:
    headers, plugs, fed = list(f["headers"]), list(f["plugs"]), list(f["fed"])
    if not headers:
        return "Processor power: look in the board's manual for its 12 V header beside the processor, and plug in every processor plug it asks for."
    if f["adapter"]:
        return f"Processor power: {listed(f['adapter'])} on the supply's peripheral plugs, into the {contacts(headers[0])} header beside the processor."
    if not fed:
        return f"Processor power: the {contacts(headers[0])} header beside the processor needs a plug; look which one the supply has."
    empty = headers[len(fed) :]
    rest = (
        f" The other header ({listed(contacts(h) for h in empty)}) stays free: the supply has no plug for it, and the board's manual must allow that."
        if empty
        else ""
    )
    if (headers[0], fed[0]) == ("8", "4"):
        return (
            "Processor power: the supply's 4-contact plug goes into the half of the 8-contact header that the board's manual names, its latch on the hook; "
            f"the other 4 contacts stay free.{rest}"
        )
    if headers[0] == "4" and "4" not in plugs:
        return f"Processor power: divide the supply's 4+4 plug; the half whose shape fits goes into the 4-contact header, the other half stays free.{rest}"
    also = f" The second header ({contacts(headers[1])}) gets the second plug." if len(fed) > 1 else ""
    return f"Processor power: the {contacts(headers[0])} plug into the header beside the processor, until its latch clicks.{also}{rest}"


_SATA = {"60": "a 6 Gb/s port", "30": "a 3 Gb/s port", "15": "a 1.5 Gb/s port", "card": "a port of the added card", "": "a SATA port"}


def _sata(f: Facts) -> str:
    rows = [(drive in f["later"], f"{drive} on {_SATA[port]}") for drive, port in f["drives"]]
    now, later = [row for wait, row in rows if not wait], [row for wait, row in rows if wait]
    text = "SATA data leads: " + "; later ".join(part for part in (listed(now), listed(later)) if part)
    if not now:
        text = f"SATA data leads, later: {listed(later)}"
    leads = f" {listed(f['leads'])}: from the order." if f["leads"] else ""
    return f"{text}. The board's manual shows which port is which.{leads}"


def _drive_power(f: Facts) -> str:
    kinds = {"sata": "SATA plug", "peripheral": "peripheral plug", "floppy": "floppy plug"}
    rows = [f"{name} ({kinds[plug]}{', later' if name in f['later'] else ''})" for name, plug in f["drives"]]
    via = f" through {listed(f['adapters'])} where plugs are short" if f["adapters"] else ""
    return f"Power to the drives{via}: {listed(rows)}. A plug goes in one way round only: never force it."


def _fans(f: Facts) -> str:
    fans, headers = f["fans"], f["headers"]
    text = f"Case fans: {many(fans, 'fan')} on the board's system fan headers"
    if headers is not None and headers < fans:
        other = f"on {listed(f['splitter'])}" if f["splitter"] else "on a fan splitter, or with an adapter lead on a peripheral plug of the supply"
        return f"{text} ({headers} there); the rest {other}."
    return f"{text}. A fan with 3 contacts goes onto 4 pins at the key; the fourth pin stays free."


def _switches(f: Facts) -> str:
    if f["panel"] == "block":
        return "Switches and lamps: the one-piece plug goes onto the front panel header; the gap in it meets the missing pin."
    if f["panel"] == "own":
        return (
            "Switches and lamps: this case has a maker's own plug. Find out by continuity measurement, with the PC unplugged, which two wires are the power "
            "switch, move them to single plugs, and connect only those first."
        )
    return (
        "Switches and lamps: plug by plug after the table of the board's manual. On the usual 9-pin header: drive lamp 1 (+) and 3 (-), power lamp "
        "2 (+) and 4 (-), reset 5 and 7, power switch 6 and 8; pin 9 stays free and pin 10 is missing. Switches work either way round, lamps do not."
    )


def _usb(name: str, detail: str) -> Callable[[Facts], str]:
    def text(f: Facts) -> str:
        plugs, headers = f["plugs"], f["headers"]
        if headers == 0 and not f["adapters"]:
            return f"Front {name}: this board has no header for it; the plug stays free. Tape it up."
        if f["adapters"] and (headers is None or headers < plugs):
            return f"Front {name}: {many(plugs, 'plug')}, with {listed(f['adapters'])} where the header is of another kind. {detail}"
        if headers is not None and headers < plugs:
            short = plugs - headers
            return f"Front {name}: {many(headers, 'header')} for {many(plugs, 'plug')}; {many(short, 'plug stays', 'plugs stay')} free. Tape it up. {detail}"
        return f"Front {name}: {many(plugs, 'plug')} onto the board's {name} header{'s' if plugs > 1 else ''}. {detail}"

    return text


def _audio(f: Facts) -> str:
    if f["header"] == "none":
        return "Front audio: this board has no header for it; the plug stays free. Tape it up."
    if f["adapters"]:
        return f"Front audio: the old AC'97 plug through {listed(f['adapters'])} onto the audio header."
    if f["plug"] != f["header"] and f["header"] is not None:
        return (
            "Front audio: the plug of the case is of the other kind (AC'97 against HD Audio). It goes onto the header, but plugging in is not noticed "
            "by the system and it may stay silent; the sockets at the rear work in any case."
        )
    return "Front audio: the plug onto the audio header (9 pins, pin 8 missing)."


def _left_over(f: Facts) -> str:
    return f"These stay out, because this board or case has no place for them: {listed(f['cards'])}. Keep them in a bag for the owner."


def _pata(f: Facts) -> str:
    cable = "Two drives on one cable: one jumper on master, one on slave, the master at the end. Red edge of the cable at pin 1."
    if f["adapters"]:
        own = f" (the board has {many(f['channels'], 'channel')} of its own)" if f["channels"] else ""
        return f"Older drives with the wide cable (PATA): {listed(f['drives'])}, through {listed(f['adapters'])}{own}. {cable}"
    return f"Older drives with the wide cable (PATA): {listed(f['drives'])}, on the board's own header. {cable}"


STEPS: dict[str, StepWords] = {
    "out.photos": StepWords(
        "Photograph the inside from three sides, and label each front panel lead with tape before it comes off (power switch, reset, lamps, USB, audio).",
        lambda f: "This case has a maker's own front panel plug: photograph its wire colours closely." if f["panel"] == "own" else None,
    ),
    "out.cards": StepWords(
        lambda f: f"Unscrew and pull out the cards ({', '.join(f['cards'])}); long slots have a latch at their end. Each into a bag of its own."
    ),
    "out.leads": StepWords(
        lambda f: (
            "Unplug everything from the board: main and processor power, drive leads, fans, front panel (labelled). Press the latch of each power plug; pull plugs, never wires."
            if f["all"]
            else "Unplug the main and processor power plugs and the drive power plugs. Press each latch; pull plugs, never wires."
        ),
    ),
    "out.m2": StepWords(lambda f: f"Unscrew {listed(f['drives'])} from the old board and put it into an antistatic bag.", "It holds the owner's data."),
    "out.cooler": StepWords(
        lambda f: (
            "Take the cooler off while it is still lukewarm: unplug its fan, open its holder, twist it gently to and fro, then lift."
            + (" Clean its base at once." if f["reused"] else "")
        ),
        "Pulled straight up it can tear the processor out of its socket and bend the contacts.",
    ),
    "out.cpu": StepWords(
        lambda f: (
            "Open the socket lever and lift the processor straight out"
            + (", clean it and lay it in its tray." if f["reused"] else "; put it into the new one's box.")
        ),
    ),
    "out.memory": StepWords(lambda f: "Open the latches and take the memory modules out" + (" for the new board." if f["reused"] else ".")),
    "out.board": StepWords(_screws, "Count the screws into the bowl. If something holds, a screw is left: look again, do not bend."),
    "out.together": StepWords("Leave the old processor and cooler on the old board and put the set into the new board's bag: it can be handed on as it is, and nothing gets torn."),
    "out.psu": StepWords(
        "Take the old supply out with every one of its leads: four screws at the rear.",
        "Leads of one supply never go onto another: their ends look alike and are wired differently.",
    ),
    "out.move": StepWords(
        lambda f: (
            "Take out what moves to the new case: " + listed([*(["the supply"] if f["psu"] else []), *f["drives"]]) + "."
            if f["psu"] or f["drives"]
            else "Empty the old case."
        ),
    ),
    "out.system-drive": StepWords(
        "Take the old system drive out, label it, and leave it untouched until the new system has run for some weeks.",
        "It is the last copy when all else fails.",
    ),
    "out.clean": StepWords(
        "Brush and blow the dust out of the case, its filters and fans; hold fans still meanwhile.",
        "Leave the supply closed: dust in it is blown out from outside only.",
    ),
    "case.screws": StepWords("With the board out, tilt the case to both sides and listen, and look behind the tray: no loose screw may stay in it."),
    "case.standoffs-remove": StepWords(
        lambda f: f"Unscrew the standoffs at {listed(f['letters'])}: the board has no hole there and they would short it.", "See the drawing of the tray.", None
    ),
    "case.standoffs-fixed": StepWords(
        lambda f: f"STOP: fixed standoffs at {listed(f['letters'])} touch the board where it has no hole. Do not fit it; ask before going on."
    ),
    "case.standoffs-add": StepWords(
        lambda f: (
            f"Screw standoffs in at {listed(f['letters'])}" + (f", from {listed(f['bought'])}." if f["bought"] else ", from the bag of the new case." if f["new_case"] else ", first those that came out elsewhere.")
        ),
        "Hand-tight with pliers; all of one height (usually 6.5 mm).",
    ),
    "case.standoffs-keep": StepWords(lambda f: f"Check that the standoffs at {listed(f['letters'])} are there and tight."),
    "case.standoffs-open": StepWords(lambda f: f"The tray has no position under {listed(f['letters'])}: those holes stay without a screw."),
    "case.standoffs-look": StepWords(
        lambda f: (
            "Hold the board over the tray and compare by eye"
            + (f", above all at {listed(f['letters'])}" if f["letters"] else "")
            + ": one standoff under every hole, none anywhere else."
        ),
        "A standoff where the board has no hole shorts it.",
    ),
    "fit.support": StepWords(_overhang),
    "fit.kept-drives": StepWords(lambda f: f"Screw into the bays of the new case: {listed(f['drives'])}. Four short screws each; no lead yet."),
    "fit.tight": StepWords(
        lambda f: (
            f"Only {f['room_mm']} mm stay free in front of the board: plug the leads at that edge in while the board is half in, and use flat or angled ones."
        )
    ),
    "case.shield": StepWords(
        _shield, lambda f: "Its edges are sharp." + (" Bend springs away that would reach into a socket." if f["state"] in ("bought", "included") else "")
    ),
    "case.psu": StepWords(
        lambda f: (
            ("Screw the new supply in, its fan to the free side" if f["new"] else "Screw the supply into the new case")
            + "; four screws. Use only the leads that came with it."
        ),
    ),
    "fit.cpu-lead-early": StepWords("This cooler hides the processor power header: lead the plug to its corner now and push it in while the board goes down."),
    "fit.board": StepWords(
        _fit_board,
        "No lead may be trapped under it. No spring of the shield may sit inside a socket.",
    ),
    "fit.cards": StepWords(cards),
    "fit.cards-left": StepWords(_left_over),
    "fit.extra-cards": StepWords(lambda f: f"Push {listed(f['cards'])} into a free slot of its kind."),
    "fit.drive": StepWords(
        lambda f: f"Screw {f['drive']} into a bay" + (" with its 2.5-inch frame." if f["kind"] in ("ssd", "hdd25") else "."),
    ),
    "connect.main": StepWords(
        _main, lambda f: "A maker's own plug of the same shape is another thing: never force or mix." if f["plug"] in ("own", None) else None
    ),
    "connect.cpu": StepWords(_cpu_power, "A card plug (8 contacts as 6+2) looks alike and has the opposite polarity: it never goes here."),
    "connect.card-power": StepWords(
        lambda f: (
            f"Card power: {listed(f'a {contacts(s)} plug' for s in f['sockets'])} into the graphics card"
            + (f", with {listed(f['adapters'])}." if f["adapters"] else ".")
        ),
        "A processor plug (4 or 8 contacts) never goes here.",
    ),
    "connect.cpu-fan": StepWords(
        lambda f: (
            "Processor fan onto the header marked for it (often CPU_FAN)" + ("; its plug has 3 contacts: the fourth pin stays free." if f["pins"] == 3 else ".")
        ),
        "Many boards halt when this header sees no turning fan.",
    ),
    "connect.case-fans": StepWords(_fans),
    "connect.sata": StepWords(_sata),
    "connect.sata-lost": StepWords(lambda f: f"The M.2 module switches off {many(f['lost'], 'SATA port')}: the board's manual says which. Leave those free."),
    "connect.pata": StepWords(_pata),
    "connect.floppy": StepWords("Floppy drive: cable with the twist at the drive, red edge at pin 1."),
    "connect.drive-power": StepWords(_drive_power, lambda f: "Only the leads that came with the new supply." if f["new_psu"] else None),
    "connect.switches": StepWords(_switches, "The plan of the board's manual decides: makers differ, and +5 V may be on a pin."),
    "rest.usb2": StepWords(
        _usb("USB 2.0", "9 pins; the missing one (9) is the key, pin 10 carries nothing."), "Turned round it burns the device: check the key."
    ),
    "rest.usb3": StepWords(_usb("USB 3", "19 pins, a notch as key: push straight, the pins bend.")),
    "rest.usb-e": StepWords(_usb("Type-E", "A short metal collar; it latches.")),
    "rest.audio": StepWords(_audio),
    "rest.extras": StepWords(
        lambda f: f"Also from the order: {listed(f['extras'])}. Connect each as its leaflet and the board's manual show; the order list says what it is for.",
        lambda f: "Brackets exist with two orders of pins: compare with the board's manual." if f["bracket"] else None,
    ),
}
