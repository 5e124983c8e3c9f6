"""Words of the port rules."""

from __future__ import annotations

from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding
from partsolver.report.words.counts import count_of
from partsolver.report.words.record import Names, RuleWords, name_of
from partsolver.rules import ports_devices, ports_fans, ports_front_audio, ports_front_panel, ports_front_usb

_PORTS = {"ps2": "PS/2", "serial": "serial", "parallel": "parallel", "usb": "rear USB"}
_PLUGS = {"usb2": "USB 2.0", "usb3": "USB 3", "usb-e": "Type-E"}
_AUDIO = {"hd": "HD Audio", "ac97": "AC'97"}
_REPIN = (
    "Never plug a maker's own front panel block in as it is: a wrong contact can short the board's supply."
    " Measure with the PC unplugged which wires the switch closes, and move contacts only with the fitting"
    " tool and the board's manual."
)
_OWN_HEADER = (
    "Never push the plugs of another case onto a maker's own front panel header by guess: a wrong contact can short"
    " the board's supply. Measure with the PC unplugged which contacts of the old plug its switch closes."
)


def _port(finding: Finding) -> str:
    return _PORTS.get(str(finding.fact("port")), str(finding.fact("port")))


def _part(finding: Finding, names: Names) -> str:
    return name_of(names, finding.parts[0]) if finding.parts else "the board"


def _devices(finding: Finding, names: Names) -> str:
    board, port = _part(finding, names), _port(finding)
    if finding.verdict == "unknown":
        if finding.question == "device.direct_hardware_access":
            return (
                f"{finding.fact('device')}: if its program writes to the {port} port directly, a lead from"
                " USB will not do."
            )
        if finding.question == "device.port":
            return f"{finding.fact('device')}: the port it needs is not known."
        if (finding.question or "").endswith(".slot_openings"):
            return (
                f"Whether the case has a slot opening left for the bracket of the {port} port is not known."
            )
        return f"Whether {board} has enough {port} ports is not known."
    if finding.fact("today"):
        return f"The devices at {port} ports are connected to this board today."
    text = f"{count_of(finding.limit, f'{port} port')} needed, {finding.value} there"
    if finding.fact("added"):
        text += f" ({finding.fact('added')} of them by what is bought)"
    if finding.fact("front"):
        text += f", {finding.fact('front')} of them in front"
    if finding.fact("leads"):
        text += f"; leads from USB take {finding.fact('leads')}"
    if finding.verdict == "fits":
        return f"{text}."
    text += f": too few on {board}."
    if finding.fact("openings"):
        text += " The case has no slot opening left for a bracket on its header."
    if finding.fact("direct"):
        text += (
            f" A lead from USB does not do for {finding.fact('direct')}: its program writes to the port"
            " itself."
        )
    return text


def _devices_need(need: Need, names: Names) -> str:
    facts = dict(need.facts)
    port = _PORTS[str(facts["port"])]
    if need.kind.endswith("-bracket"):
        return (
            f"the board has its {port} port only as a header; compare the pin order with the board's manual"
        )
    return f"the board has too few {port} ports ({facts['ports']} missing)"


def _front_usb(finding: Finding, names: Names) -> str:
    plug = _PLUGS[str(finding.fact("plug"))]
    if finding.verdict == "unknown":
        return f"Whether the front {plug} plugs find headers is not known."
    if finding.fact("today"):
        return f"The front {plug} plugs stay connected as they are."
    missing = finding.fact("missing")
    if not missing:
        return (
            f"The front {plug} plug has a header."
            if finding.value == 1
            else f"{finding.value} front {plug} plugs, each with a header."
        )
    verbs = "finds no header and stays" if missing == 1 else "find no header and stay"
    text = f"{missing} of {count_of(finding.limit, f'front {plug} plug')} {verbs} unused"
    if finding.fact("adapter"):
        adapter = name_of(names, str(finding.fact("adapter")))
        return (
            f"{text}; {adapter} would join {finding.fact('adapted')} of them at"
            f" {finding.fact('adapter_mbits')} Mbit/s."
        )
    return f"{text}."


def _front_audio(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return "Whether the front audio sockets suit the board is not known (HD Audio or AC'97)."
    plug = _AUDIO.get(str(finding.value), str(finding.value))
    if finding.fact("unused"):
        return "The board has no header for the front audio sockets; they stay unused."
    if finding.fact("jack_sense"):
        header = _AUDIO.get(str(finding.fact("header")), "")
        text = (
            f"The case's {plug} front audio on the board's {header} header may stay silent and does not sense"
            " plugs"
        )
        if finding.fact("adapter"):
            text += f"; {name_of(names, str(finding.fact('adapter')))} would help"
        return f"{text}."
    return f"The front audio plug ({plug}) suits the board."


def _fans(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return "Whether there is a header for every case fan is not known."
    if finding.fact("today"):
        return f"{count_of(finding.value, 'case fan')}, connected today."
    missing = finding.fact("missing")
    text = f"{finding.value} of {count_of(finding.limit, 'case fan')} with a header"
    if missing and finding.fact("splitter"):
        text += (
            f"; {finding.fact('splitters')} x {name_of(names, str(finding.fact('splitter')))} would serve the"
            " rest"
        )
        text += " (a header carries about 1 A in all)"
    elif missing:
        text += "; the rest can hang on the supply at full speed"
    if finding.fact("cooler_fan_pins"):
        text += ". The cooler's fan has 3 contacts: it may run at full speed all the time"
    return f"{text}."


def _front_panel(finding: Finding, names: Names) -> str:
    if finding.fact("header"):
        return (
            "The board that stays has a front panel header in its maker's own order: which of its contacts switch it"
            " on has to be found out before the new case is connected."
        )
    if finding.verdict == "unknown" and finding.fact("repin"):
        return (
            "The switch and lamp plugs are one block in its maker's own order: its contacts have to be moved"
            " for another board."
        )
    if finding.verdict == "unknown":
        brand = " A complete PC of a maker often has an order of its own." if finding.fact("brand") else ""
        return f"The shape of the switch and lamp plugs is not known.{brand}"
    if finding.fact("today"):
        return "The switch and lamp plugs stay connected as they are."
    if finding.value == "block":
        return "The switch and lamp plugs are a standard block; compare its order with the board's manual."
    return "The switch and lamp plugs are single and go onto any board, as its manual shows."


def _front_panel_caution(finding: Finding, names: Names) -> str | None:
    if finding.fact("header"):
        return _OWN_HEADER
    return _REPIN if finding.fact("repin") else None


WORDS: dict[str, RuleWords] = {
    ports_devices.ID: RuleWords("ports for devices", _devices, _devices_need),
    ports_front_usb.ID: RuleWords("front USB", _front_usb),
    ports_front_audio.ID: RuleWords("front audio", _front_audio),
    ports_fans.ID: RuleWords("case fans", _fans),
    ports_front_panel.ID: RuleWords("front panel plugs", _front_panel, caution=_front_panel_caution),
}
QUESTIONS: dict[str, str] = {
    "device.port": (
        "Which port does the device plug into (PS/2 round, serial 9 pins, parallel 25 holes, USB)? Look at"
        " its plug."
    ),
    "device.direct_hardware_access": (
        "Does the device's program write to the port's hardware address (usual with old machine controls "
        "and copy-protection plugs)? Ask its maker, or try it with a lead from USB."
    ),
    "board.ps2_ports": "How many PS/2 ports has the board? Count the round sockets on its rear.",
    "board.serial_ports": "How many serial ports has the board on its rear? Count the 9-pin sockets.",
    "board.serial_headers": (
        "Has the board a header for a serial port? Its manual shows it (often named COM)."
    ),
    "board.parallel_ports": "How many parallel ports has the board on its rear? Count the 25-hole sockets.",
    "board.parallel_headers": (
        "Has the board a header for a parallel port? Its manual shows it (often named LPT)."
    ),
    "board.usb_rear_ports": "How many USB ports has the board on its rear? Count them.",
    "board.usb2_headers": "How many USB 2.0 headers (9 pins) has the board? Its manual shows them.",
    "board.usb3_headers": "How many USB 3 headers (19 pins) has the board? Its manual shows them.",
    "board.usb_e_headers": "How many Type-E headers has the board? Its manual shows them.",
    "board.front_audio": "Is the board's front audio header HD Audio or AC'97? Its manual says it.",
    "board.fan_headers": "How many fan headers has the board beside the processor's? Its manual shows them.",
    "case.front_usb2_plugs": "How many front USB 2.0 plugs (9 holes, two rows) hang in the case? Count them.",
    "case.front_usb3_plugs": "How many front USB 3 plugs (19 holes, wide) hang in the case? Count them.",
    "case.front_usb_e_plugs": (
        "How many front Type-E plugs (small, metal-framed) hang in the case? Count them."
    ),
    "case.front_audio": "What is printed on the front audio plug: HD AUDIO or AC'97? Look at it.",
    "case.fans": "How many case fans need a header? Count them (without the processor's and the supply's).",
    "case.front_panel": (
        "Are the switch and lamp plugs single, a standard block, or a maker's own block? Look at the board's"
        " edge."
    ),
    "board.front_panel_order": (
        "Which contacts of the board's front panel header belong to switch and lamps? Its maker's service manual shows"
        " it, or measure with the PC unplugged which contacts of the present plug the switch closes."
    ),
    "case.front_panel_order": (
        "Which contacts of the maker's block belong to switch and lamps? Its service manual shows it, or"
        " measure with the PC unplugged which pair the switch closes."
    ),
}
