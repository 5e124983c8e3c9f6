"""The questions of the interview about what is connected: monitors, devices, cards, the cooler."""

from __future__ import annotations

from partsolver.base.records import record


@record
class Words:
    """A question in plain words, and where to look or what to measure."""

    text: str
    how: str


REAR = "look at the back of the PC"
IN_CASE = "look inside; leave all leads where they are"

CONNECTED: dict[str, Words] = {
    "display": Words("How many displays are used with it?", "monitors, projectors, televisions"),
    "display.name": Words("What shall this display be called?", "its model name, or any name"),
    "display.inputs": Words(
        "Which picture inputs has the display?",
        "the sockets at its back",
    ),
    "display.width_px": Words(
        "How many pixels is its picture wide?", "the first number of its own resolution, such as 1920"
    ),
    "display.height_px": Words("How many pixels is its picture high?", "the second number, such as 1080"),
    "display.reduced_blanking": Words(
        "Does it take its own size on VGA with reduced blanking?",
        "its manual lists the mode: 1920 x 1200 at 60 Hz with 154 MHz, 74.0 kHz or RB; if it does not say, leave open",
    ),
    "device": Words(
        "How many devices with a plug of their own must still find a port?",
        "old keyboards, printers, machines; leave out what plugs into USB",
    ),
    "device.name": Words("What is this device?", "any name, such as label printer"),
    "device.port": Words("Which port does it plug into?", "the shape of its plug"),
    "device.required": Words("Must it work afterwards?", "no: a plan may leave it without a port"),
    "device.direct_hardware_access": Words(
        "Does its program write to the port's hardware address?",
        "usual with old machine controls and copy-protection plugs; its maker knows",
    ),
    "card": Words(
        "How many cards are plugged in?",
        f"{REAR}: count the screwed-in brackets with sockets of their own, beside the board's block of ports",
    ),
    "card.name": Words("What shall this card be called?", "its model name, or any name"),
    "card.kind": Words("What is the card for?", "the sockets on its bracket show it"),
    "card.bus": Words(
        "Which kind of slot is it in?",
        "pci: white, 85 mm; pcie: another height, x1 is 25 mm and x16 is 89 mm long; agp: brown, set back;"
        " isa: black, 138 mm",
    ),
    "card.lanes": Words(
        "How long is its contact edge?", "x1: 18 mm, x4: 32 mm, x8: 50 mm, x16: 82 mm, about"
    ),
    "card.height": Words("How long is its bracket?", "about 120 mm is full height, about 80 mm is low"),
    "card.width_slots": Words("How many openings does it cover?", REAR),
    "card.length_mm": Words("How long is the card?", "from the inside of its bracket to the far end"),
    "card.power_plugs": Words("Which power plugs does it need?", "sockets on the card's far edge"),
    "card.load_mw": Words(
        "How many watts does the card draw at most?",
        "its maker's data sheet (board power); ? where it is not to be found: then its slot and its plugs count",
    ),
    "card.outputs": Words("Which picture sockets has it?", "on its bracket"),
    "card.max_displays": Words(
        "How many pictures does the card make at once?",
        "its maker's data sheet; two are sure with cards from about 2004 on, ? is enough for up to two monitors",
    ),
    "card.uefi": Words(
        "Does the card make a picture at a start by UEFI?",
        "yes where it does so today; its maker's page; before 2012 none does, from about 2014 all do",
    ),
    "card.legacy_video": Words(
        "Does the card make a picture at a start the old way (legacy)?",
        "yes where it does so today; nearly all cards do",
    ),
    "card.required": Words("Must it work afterwards?", "no: a plan may do without it"),
    "cooler.height_mm": Words(
        "How high is the processor's cooler?", "from the processor's top to the highest point, fan included"
    ),
    "cooler.rated_w": Words(
        "How much heat is the cooler made for?",
        "its maker's data; for one from the processor's box: the processor's own watts",
    ),
    "cooler.fan_pins": Words("How many contacts has the plug of the cooler's fan?", IN_CASE),
}
