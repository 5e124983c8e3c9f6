"""Words of the steps inside the case: taking out, tray and shield, fitting, connecting."""

from __future__ import annotations

from partsolver.report.words.counts import count_of
from partsolver.report.words.parcels import GIVEN
from partsolver.report.words.steps import StepWords, contacts, listed
from partsolver.report.words.steps_plugs import (
    drive_power_words,
    fans_words,
    front_audio_words,
    front_panel_words,
    front_usb_words,
    main_power_words,
    processor_power_words,
    sata_words,
)
from partsolver.sheet.context import Facts


def _screws(f: Facts) -> str:
    count = (
        f"the {count_of(f['screws'], 'screw')} of the board in the case (holes {' '.join(f['letters'])})"
        if f["screws"]
        else "every screw that holds the board in the case"
    )
    return f"Take out {count}, lift the board at the front edge and slide it away from the rear panel."


def _shield(f: Facts) -> str:
    if not f["new"]:
        return (
            "Take the shield out of the old case and clip it into the new one from inside, until all four"
            " edges click."
        )
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
        return (
            f"{old}The board comes without a shield and none is in the order: the opening stays open. Keep"
            " fingers and metal away from it."
        )
    return (
        f"{old}Clip in the shield of the new board, if one came with it; without one the opening stays open."
    )


def _overhang(f: Facts) -> str:
    sides = [
        f"{f[key]} mm at the {name}"
        for key, name in (("front_mm", "front edge"), ("left_mm", "slot side"))
        if f[key] > 40
    ]
    return (
        f"The board hangs free for {listed(sides)} past its last screw: hold it from below with a finger"
        " whenever a plug or card is pushed in there."
    )


def _fit_board(f: Facts) -> str:
    screws = (
        f"set {count_of(len(f['letters']), 'screw')} ({' '.join(f['letters'])})"
        if f["letters"]
        else "set a screw in every hole above a standoff"
    )
    maybe = f", and one at {listed(f['maybe'])} if there are hole and standoff" if f["maybe"] else ""
    return (
        f"Lower the board onto the standoffs, ports first into the shield, and {screws}{maybe}: all loosely"
        " first, then crosswise until they just hold."
    )


def cards(f: Facts) -> str:
    rows = [f"{name} into slot {slot}" + (f" ({kind})" if kind else "") for name, slot, kind in f["cards"]]
    return (
        f"Push in and screw down: {listed(rows)}. Slots are counted from the processor. Take the cover off"
        " the opening at the rear first."
    )


def _left_over(f: Facts) -> str:
    told = []
    if f["cards"]:
        told.append(
            f"These stay out, because this board or case has no place for them: {listed(f['cards'])}."
        )
    if f["chosen"]:
        told.append(
            f"The plan leaves out {listed(f['chosen'])}: take it out or leave it unplugged, with its leads tied away."
        )
    return f"{' '.join(told)} Keep them in a bag for the owner."


def _pata(f: Facts) -> str:
    cable = (
        "Two drives on one cable: one jumper on master, one on slave, the master at the end. Red edge of the"
        " cable at pin 1."
    )
    if f["adapters"]:
        own = f" (the board has {count_of(f['channels'], 'channel')} of its own)" if f["channels"] else ""
        return (
            f"Older drives with the wide cable (PATA): {listed(f['drives'])}, through"
            f" {listed(f['adapters'])}{own}. {cable}"
        )
    return (
        f"Older drives with the wide cable (PATA): {listed(f['drives'])}, on the board's own header. {cable}"
    )


# The paste cannot be warmed by work (common practice).
_COLD = "The paste under the cooler is cold and holds fast: warm the cooler with a hair dryer, unplug its fan"

STEPS: dict[str, StepWords] = {
    "out.photos": StepWords(
        "Photograph the inside from three sides, and label each front panel lead with tape before it comes"
        " off (power switch, reset, lamps, USB, audio).",
        lambda f: (
            "This case has a maker's own front panel plug: photograph its wire colours closely."
            if f["panel"] == "own"
            else None
        ),
    ),
    "out.cards": StepWords(
        lambda f: (
            f"Unscrew and pull out the cards ({', '.join(f['cards'])}); long slots have a latch at their end."
            " Each into a bag of its own."
        )
    ),
    "out.leads": StepWords(
        lambda f: (
            "Unplug everything from the board: main and processor power, drive leads, fans, front panel"
            " (labelled). Press the latch of each power plug; pull plugs, never wires."
            if f["all"]
            else (
                "Unplug the main and processor power plugs and the drive power plugs. Press each latch; pull"
                " plugs, never wires."
            )
        ),
    ),
    "out.m2": StepWords(
        lambda f: f"Unscrew {listed(f['drives'])} from the old board and put it into an antistatic bag.",
        "It holds the owner's data.",
    ),
    "out.cooler": StepWords(
        lambda f: (
            ("Take the cooler off while it is still lukewarm: unplug its fan" if f["runs"] else _COLD)
            + ", open its holder, twist it gently to and fro, then lift."
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
    "out.memory": StepWords(
        lambda f: (
            "Open the latches and take the memory modules out"
            + (" for the new board." if f["reused"] else ".")
            + (
                f" {count_of(f['left_out'], 'module stays', 'modules stay')} out, the smallest; the capacity stands on the label of each."
                if f.get("left_out")
                else ""
            )
        )
    ),
    "out.board": StepWords(
        _screws,
        "Count the screws into the bowl. If something holds, a screw is left: look again, do not bend.",
    ),
    "out.given": GIVEN,
    "out.back-plate": StepWords(
        lambda f: (
            ("The new cooler is" if f["certain"] else "Where the new cooler is (look now)")
            + " screwed to a plate of its own behind the board: look whether the tray has an opening behind the"
            " processor. Where it has none, take the board out: photographs, every lead off, cards out, the screws"
            " counted; set the plate, and put the board back on all its standoffs."
        ),
        "This takes about an hour more. Do not bend the board and do not slide it over the standoffs.",
    ),
    "out.together": StepWords(
        lambda f: (
            "Leave the old processor and cooler on the old board and put the set into the new board's bag: "
            + ("it can be handed on as it is, and nothing gets torn." if f["runs"] else "nothing gets torn.")
        )
    ),
    "out.psu": StepWords(
        "Take the old supply out with every one of its leads: four screws at the rear.",
        "Leads of one supply never go onto another: their ends look alike and are wired differently.",
    ),
    "out.move": StepWords(
        lambda f: (
            "Take out what moves to the new case: "
            + listed([*(["the supply"] if f["psu"] else []), *f["drives"]])
            + "."
            if f["psu"] or f["drives"]
            else "Empty the old case."
        ),
    ),
    "out.system-drive": StepWords(
        "Take the old system drive out, label it, and leave it untouched until the new system has run for"
        " some weeks.",
        "It is the last copy when all else fails.",
    ),
    "out.clean": StepWords(
        "Brush and blow the dust out of the case, its filters and fans; hold fans still meanwhile.",
        "Leave the supply closed: dust in it is blown out from outside only.",
    ),
    "case.screws": StepWords(
        "With the board out, tilt the case to both sides and listen, and look behind the tray: no loose screw"
        " may stay in it."
    ),
    "case.standoffs-remove": StepWords(
        lambda f: (
            f"Unscrew the standoffs at {listed(f['letters'])}: the board has no hole there and they would"
            " short it."
        ),
        "See the drawing of the tray.",
        None,
    ),
    "case.standoffs-fixed": StepWords(
        lambda f: (
            f"STOP: fixed standoffs at {listed(f['letters'])} touch the board where it has no hole. Do not"
            " fit it; ask before going on."
        )
    ),
    "case.standoffs-add": StepWords(
        lambda f: (
            f"Screw standoffs in at {listed(f['letters'])}"
            + (
                f", from {listed(f['bought'])}."
                if f["bought"]
                else (
                    ", from the bag of the new case."
                    if f["new_case"]
                    else ", first those that came out elsewhere."
                )
            )
        ),
        "Hand-tight with pliers; all of one height (usually 6.5 mm).",
    ),
    "case.standoffs-keep": StepWords(
        lambda f: f"Check that the standoffs at {listed(f['letters'])} are there and tight."
    ),
    "case.standoffs-open": StepWords(
        lambda f: f"The tray has no position under {listed(f['letters'])}: those holes stay without a screw."
    ),
    "case.standoffs-look": StepWords(
        lambda f: (
            "Hold the board over the tray and compare by eye"
            + (f", above all at {listed(f['letters'])}" if f["letters"] else "")
            + ": one standoff under every hole, none anywhere else."
        ),
        "A standoff where the board has no hole shorts it.",
    ),
    "fit.support": StepWords(_overhang),
    "fit.kept-drives": StepWords(
        lambda f: (
            f"Screw into the bays of the new case: {listed(f['drives'])}. Four short screws each, coarse"
            " ones (6-32) into 3.5-inch disks, fine ones (M3) into 2.5-inch and optical drives; no lead yet."
        )
    ),
    "fit.tight": StepWords(
        lambda f: (
            f"Only {f['room_mm']} mm stay free in front of the board: plug the leads at that edge in while"
            " the board is half in, and use flat or angled ones."
        )
    ),
    "case.shield": StepWords(
        _shield,
        lambda f: (
            "Its edges are sharp."
            + (
                " Bend springs away that would reach into a socket."
                if f["state"] in ("bought", "included")
                else ""
            )
        ),
    ),
    "case.psu": StepWords(
        lambda f: (
            (
                "Screw the new supply in, its fan to the free side"
                if f["new"]
                else "Screw the supply into the new case"
            )
            + "; four screws. Use only the leads that came with it."
        ),
    ),
    "fit.cpu-lead-early": StepWords(
        "This cooler hides the processor power header: lead the plug to its corner now and push it in while"
        " the board goes down."
    ),
    "fit.board": StepWords(
        _fit_board,
        "No lead may be trapped under it. No spring of the shield may sit inside a socket.",
    ),
    "fit.cards": StepWords(cards),
    "fit.cards-left": StepWords(_left_over),
    "fit.extra-cards": StepWords(lambda f: f"Push {listed(f['cards'])} into a free slot of its kind."),
    "fit.drive": StepWords(
        lambda f: (
            f"Screw {f['drive']} into a bay"
            + (" with its 2.5-inch frame." if f["kind"] in ("ssd", "hdd25") else ".")
        ),
    ),
    "connect.main": StepWords(
        main_power_words,
        lambda f: (
            "A maker's own plug of the same shape is another thing: never force or mix."
            if f["plug"] in ("own", None)
            else None
        ),
    ),
    "connect.cpu": StepWords(
        processor_power_words,
        "A card plug (8 contacts as 6+2) looks alike and has the opposite polarity: it never goes here.",
    ),
    "connect.card-power": StepWords(
        lambda f: (
            f"Card power: {listed(f'a {contacts(s)} plug' for s in f['sockets'])} into the graphics card"
            + (f", with {listed(f['adapters'])}." if f["adapters"] else ".")
        ),
        "A processor plug (4 or 8 contacts) never goes here.",
    ),
    "connect.cpu-fan": StepWords(
        lambda f: (
            "Processor fan onto the header marked for it (often CPU_FAN)"
            + ("; its plug has 3 contacts: the fourth pin stays free." if f["pins"] == 3 else ".")
        ),
        "Many boards halt when this header sees no turning fan.",
    ),
    "connect.case-fans": StepWords(fans_words),
    "connect.sata": StepWords(sata_words),
    "connect.sata-lost": StepWords(
        lambda f: (
            f"The M.2 module switches off {count_of(f['lost'], 'SATA port')}: the board's manual says which."
            " Leave those free."
        )
    ),
    "connect.pata": StepWords(_pata),
    "connect.floppy": StepWords("Floppy drive: cable with the twist at the drive, red edge at pin 1."),
    "connect.drive-power": StepWords(
        drive_power_words, lambda f: "Only the leads that came with the new supply." if f["new_psu"] else None
    ),
    "connect.switches": StepWords(
        front_panel_words, "The plan of the board's manual decides: makers differ, and +5 V may be on a pin."
    ),
    "rest.usb2": StepWords(
        front_usb_words("USB 2.0", "9 pins; the missing one (9) is the key, pin 10 carries nothing."),
        "Turned round it burns the device: check the key.",
    ),
    "rest.usb3": StepWords(
        front_usb_words("USB 3", "19 pins, a notch as key: push straight, the pins bend.")
    ),
    "rest.usb-e": StepWords(front_usb_words("Type-E", "A short metal collar; it latches.")),
    "rest.audio": StepWords(front_audio_words),
    "rest.extras": StepWords(
        lambda f: (
            f"Also from the order: {listed(f['extras'])}. Connect each as its leaflet and the board's manual"
            " show; the order list says what it is for."
        ),
        lambda f: (
            "Brackets exist with two orders of pins: compare with the board's manual."
            if f["bracket"]
            else None
        ),
    ),
}
