"""Words of the rules about board and processor: socket, support list, firmware, processor power."""

from __future__ import annotations

from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding
from partsolver.report.page import date_words
from partsolver.report.words.counts import count_of
from partsolver.report.words.record import Names, RuleWords, name_of
from partsolver.rules import (
    platform_board_age,
    platform_firmware,
    platform_power,
    platform_socket,
    platform_support,
    platform_used_board,
)

_TODAY = "Board and processor stay together and work today."


def _part(finding: Finding, names: Names, position: int) -> str:
    return name_of(names, finding.parts[position]) if len(finding.parts) > position else "the part"


def _socket(finding: Finding, names: Names) -> str:
    board, cpu = _part(finding, names, 0), _part(finding, names, 1)
    if finding.verdict == "unknown":
        return (
            f"Whether {cpu} goes into the socket of {board} is not known; a processor in the wrong socket can"
            " be destroyed."
        )
    if finding.verdict == "fails":
        return f"{cpu} needs socket {finding.value}; {board} has socket {finding.limit}."
    if finding.value is None:
        return _TODAY
    return f"{cpu} and {board} share socket {finding.value}."


def _support(finding: Finding, names: Names) -> str:
    board, cpu, socket = _part(finding, names, 0), _part(finding, names, 1), finding.fact("socket")
    if finding.fact("today"):
        return _TODAY
    alone = (
        f" The same socket ({socket}) alone proves nothing."
        if socket
        else " The socket alone proves nothing."
    )
    if finding.verdict == "unknown":
        return f"Whether the maker of {board} supports {cpu} is not known.{alone}"
    if finding.verdict == "fails":
        return (
            f"{board} does not support the family {finding.value} of {cpu} (its list:"
            f" {finding.limit}).{alone}"
        )
    return f"The support list of {board} names the family {finding.value} of {cpu}."


_WAYS = {
    "needed": "update it first with the board's own function, without a processor",
    "service": "it is updated by a service that is bought",
    "present processor": "update it first with the present processor in the board",
    "none": "no way to update it is known",
}


def _used_board(finding: Finding, names: Names) -> str:
    board = _part(finding, names, 0)
    if finding.fact("used"):
        variant = (
            ", whether it is the retail board or one built for a complete PC (other firmware, plugs of its own),"
            if finding.fact("variant")
            else ""
        )
        return (
            f"{board} is bought used: ask for pictures of both sides{variant} and whether shield, frame and plate of"
            " the cooler, M.2 screws and leads come along."
        )
    if finding.fact("variant"):
        return (
            f"{board} was built for a complete PC: update files of the board's maker do not go on, its list of"
            " processors may be shorter, and plugs for front panel, fans and power may have an order of their own."
        )
    other = (
        f"revision {finding.fact('revision')}"
        if finding.fact("revision")
        else "a revision that is not stated"
    )
    return (
        f"{board} is offered in {other}; its facts hold for revision {finding.fact('row')}: firmware and list of"
        " processors may differ."
    )


def _board_age(finding: Finding, names: Names) -> str:
    board = _part(finding, names, 0)
    about = "about " if finding.fact("basis") else ""
    text = f"{board} is {about}{count_of(finding.value, 'year')} old"
    if finding.fact("capacitors"):
        return (
            f"{text}, from the years of faulty capacitors: look at their tops before ordering anything for it;"
            " where one bulges or leaks, the board gets no money."
        )
    return f"{text}: what is bought for it may outlive it; put a new coin cell in while the case is open."


def _board_age_caution(finding: Finding, names: Names) -> str | None:
    if not finding.fact("capacitors"):
        return None
    return (
        "A board with bulged or leaking capacitors may fail and take other parts with it: do not put new parts"
        " on it."
    )


def _firmware(finding: Finding, names: Names) -> str:
    board, cpu = _part(finding, names, 0), _part(finding, names, 1)
    if finding.fact("today"):
        return _TODAY
    way = _WAYS.get(str(finding.fact("flash")), "")
    if finding.verdict == "unknown":
        needed = finding.fact("needed")
        if finding.fact("shipped") is not None:
            return (
                f"{board} comes with firmware {finding.fact('shipped')}, {cpu} needs {needed}; "
                "whether the board can be updated without a processor is not known."
            )
        if finding.fact("flash") == "service":
            way = "a service on sale updates it"
        given = finding.fact("unordered")
        if given is not None:
            return (
                f"{board} is said to come with firmware {given}, {cpu} needs {needed}: whether that is new"
                f" enough cannot be told from these two numbers. Should it be older: {way}."
            )
        return (
            f"{cpu} needs firmware {needed}; which one {board} comes with is not stated. Should it be older:"
            f" {way}."
        )
    if finding.fact("dropped"):
        return (
            f"{board} comes with firmware {finding.value}, which no longer knows {cpu}: later versions dropped"
            " its family."
        )
    if finding.verdict == "fails":
        return (
            f"{board} comes with firmware {finding.value}; {cpu} needs {finding.limit}, "
            "and it cannot be updated before the processor starts."
        )
    if way:
        steps = finding.fact("steps")
        if finding.fact("send_to"):
            to = name_of(names, str(finding.fact("send_to")))
            way = (
                f"send it in to {to}, about {count_of(finding.fact('send_days'), 'day')} there and back, when it has arrived"
                f" (back on {date_words(str(finding.fact('send_back')))} at the earliest);"
                " ask before whether they take a board that they did not sell"
            )
        first = f", by way of {' and then '.join(str(steps).split())}" if steps else ""
        return f"{board} comes with firmware {finding.value}; {cpu} needs {finding.limit}: {way}{first}."
    return f"{board} comes with firmware {finding.value}; {cpu} needs {finding.limit} or later."


def _firmware_need(need: Need, names: Names) -> str:
    facts = dict(need.facts)
    return (
        f"the board comes with firmware {facts.get('shipped')} and the processor needs {facts.get('needed')}"
    )


def _firmware_caution(finding: Finding, names: Names) -> str | None:
    if finding.fact("flash") in ("needed", "present processor"):
        return (
            "Firmware update: follow the board's manual, use only the file for this very board and revision, "
            "and never cut the power while it is being written."
        )
    return None


def _power(finding: Finding, names: Names) -> str:
    cpu, board = _part(finding, names, 0), _part(finding, names, 1)
    if finding.fact("today"):
        return _TODAY
    if finding.verdict == "unknown":
        power = finding.fact("power_w")
        if power is None:
            return f"How much power {cpu} draws is not known."
        return f"{cpu} is rated at {power} W of heat; which class {board} takes is not stated."
    if finding.limit is None:
        return (
            f"{cpu} is of the {finding.fact('class_w')} W class, which every desktop board of its time"
            f" supplies; {board} states no limit."
        )
    if finding.verdict == "fails":
        return (
            f"{cpu} is rated at {finding.value} W of heat; {board} takes {finding.limit} W:"
            f" {-(finding.margin or 0)} W too much."
        )
    if finding.fact("throttles"):
        return (
            f"{cpu} is rated at {finding.value} W of heat and {board} takes {finding.limit} W. For up to half a minute such"
            f" a processor may ask for {finding.fact('short_w')} W: the board may hold it back then (it throttles and is a"
            " little slower)."
        )
    return f"{cpu} is rated at {finding.value} W of heat; {board} takes {finding.limit} W: {finding.margin} W spare."


WORDS: dict[str, RuleWords] = {
    platform_socket.ID: RuleWords("processor socket", _socket),
    platform_support.ID: RuleWords("processor support", _support),
    platform_firmware.ID: RuleWords("board firmware", _firmware, _firmware_need, _firmware_caution),
    platform_power.ID: RuleWords("processor power", _power),
    platform_used_board.ID: RuleWords("used board", _used_board),
    platform_board_age.ID: RuleWords("age of the board", _board_age, caution=_board_age_caution),
}
QUESTIONS: dict[str, str] = {
    "board.socket": "Read the socket's name on the board beside the processor, or in the board's manual.",
    "cpu.socket": "Look up the processor's model name in its maker's data sheet: which socket does it need?",
    "board.made_for": (
        "Ask the seller which firmware is on the board, which processors it knows, and for pictures of its plugs."
    ),
    "board.revision": (
        "Ask the seller which revision is printed on the board, and read its maker's list for that one."
    ),
    "board.cpu_families": (
        "Find the board's exact model and revision, and read its maker's processor support list."
    ),
    "cpu.family": (
        "Look up the processor's model name in its maker's data sheet: which family (generation) is it of?"
    ),
    "board.firmware_shipped": (
        "Ask the seller for the firmware version on the label or box, or read it in the setup screen."
    ),
    "board.flash_without_cpu": (
        "Look in the board's manual for a function that updates the firmware without a processor."
    ),
    "board.cpu_power_limit_w": (
        "Look in the board's support list for the largest processor power (W) it allows."
    ),
    "cpu.tdp_w": "Look up the processor's rated heat (W) in its maker's data sheet.",
}
