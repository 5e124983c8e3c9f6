"""Words of the picture rules."""

from __future__ import annotations

from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding
from partsolver.report.page import decimals_text
from partsolver.report.words.outputs import output_names
from partsolver.report.words.record import Names, RuleWords, name_of
from partsolver.rules import picture_displays, picture_source

_MISSING = {
    "outputs": "the board has no video outputs",
    "graphics": "the processor has no graphics of its own",
}


def _mhz(value: int | str | None) -> str:
    """kHz as MHz, one decimal."""
    return f"{decimals_text(int(value or 0) / 1000, 1)} MHz"


def _card(finding: Finding) -> str:
    return f'the {"new" if finding.fact("bought") else "kept"} graphics card "{finding.fact("card")}"'


def _uefi_only(finding: Finding) -> str:
    """Why the board starts in UEFI mode alone: by its firmware, or with Secure Boot on."""
    with_secure_boot = finding.fact("secure_boot") == "yes"
    return "with Secure Boot " * with_secure_boot + "this board starts in UEFI mode only"


def _source(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown" and finding.fact("card"):
        return (
            f"Whether {_card(finding)} has a UEFI part in its firmware is not"
            f" known; {_uefi_only(finding)}, and nothing else makes a picture."
        )
    if finding.verdict == "unknown":
        return "Whether processor and board give a picture without a graphics card is not known."
    if finding.verdict == "fails" and finding.fact("missing") == "uefi":
        return (
            f"No picture: {_card(finding)} has no UEFI part in its firmware, {_uefi_only(finding)},"
            " and nothing else makes a picture."
        )
    if finding.verdict == "fails" and finding.fact("missing") == "legacy":
        return (
            f"No picture: {_card(finding)} makes none at a legacy start, this board knows no"
            " other start, and nothing else makes a picture."
        )
    if finding.verdict == "fails":
        return (
            f"No picture: {_MISSING.get(str(finding.fact('missing')), 'nothing makes one')}, and no"
            " graphics card has a place."
        )
    if finding.fact("today"):
        return "There is a picture today."
    if finding.value == "board":
        return "The board's own graphics make the picture: the monitor stays on the board's output."
    if finding.value != "card":
        return "The processor's own graphics make the picture on the board's outputs."
    words = f"T{_card(finding)[1:]} makes the picture"
    if finding.fact("card_uefi"):
        state = (
            "has no UEFI part in its firmware"
            if finding.fact("card_uefi") == "no"
            else "may have no UEFI part in its firmware"
        )
        words += f"; it {state}, and {_uefi_only(finding)}: it may stay dark until the system runs"
    elif finding.fact("card_legacy"):
        words += "; it makes none at a legacy start, the only one that this board knows"
    return words + "."


def _sent(finding: Finding) -> str:
    """That the graphics send less than their socket says."""
    digital, analogue = finding.fact("tmds_khz"), finding.fact("analogue_khz")
    if digital:
        return f" The processor's graphics send {_mhz(digital)} at most over HDMI and DVI."
    return f" The analogue output carries {_mhz(analogue)} at most." if analogue else ""


def _displays(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        which = finding.fact("display")
        if finding.fact("sure"):
            return (
                f"How many pictures the graphics make at once is not known: {finding.fact('wanted')} displays are wanted,"
                f" {finding.fact('sure')} are sure."
            )
        if finding.question == "display.width_px":
            return f'The size of the picture of the display "{which}" is not known: a link may be too slow for it.'
        if finding.question == "display.reduced_blanking":
            return (
                f'Whether the display "{which}" takes reduced blanking on VGA is not known: its size needs'
                f" {_mhz(finding.fact('usual_khz'))} with the usual timing, more than the output carries, and"
                f" {_mhz(finding.fact('reduced_khz'))} with reduced blanking."
            )
        return (
            f'The inputs of the display "{which}" are not known.'
            if which
            else "The video outputs are not known."
        )
    if finding.fact("today"):
        return "The displays are connected today."
    which = finding.fact("display")
    most = finding.fact("max_displays")
    if finding.verdict == "fails" and finding.value == "dark" and finding.fact("clocks"):
        return (
            f'The display "{which}" stays dark: the processor\'s graphics have {finding.fact("clocks")} clock generators,'
            f" one for each picture, and one for all those on DisplayPort together (outputs"
            f" {output_names(str(finding.fact('outputs')))})."
        )
    if finding.verdict == "fails" and finding.value == "dark" and most is not None:
        return (
            f'The display "{which}" stays dark: the graphics make {most} picture{"" if most == 1 else "s"} at once'
            f" on the outputs {output_names(str(finding.fact('outputs')))}, and none of them can reach it as well."
        )
    if finding.verdict == "fails" and finding.value == "dark":
        return (
            f'The display "{which}" stays dark: no output ({output_names(str(finding.fact("outputs")))}) reaches it at its own'
            f" size, not even slower or with an adapter on sale.{_sent(finding)}"
        )
    adapter = finding.fact("adapter")
    by = f" through {name_of(names, str(adapter))}" if adapter else " with a plain cable"
    need = f" at {_mhz(finding.value)}" if finding.value else ""
    limit = f" of {_mhz(finding.limit)}" if finding.unit == "kHz" else ""
    slower = finding.fact("fallback_hz")
    rate = f" It runs at {slower} Hz there, not at its own {finding.fact('own_hz')} Hz." if slower else ""
    return f'The display "{which}" hangs on the output {output_names(str(finding.fact("output")))}{by}{need}{limit}.{rate}'


def _need_display(need: Need, names: Names) -> str:
    facts = dict(need.facts)
    if "output" not in facts:
        return f'no output reaches the display "{facts.get("display")}"'
    return (
        f'the display "{facts.get("display")}" ({output_names(str(facts.get("input")))}) hangs on the output'
        f" {output_names(str(facts.get('output')))}"
    )


WORDS: dict[str, RuleWords] = {
    picture_source.ID: RuleWords("picture source", _source),
    picture_displays.ID: RuleWords("displays", _displays, _need_display),
}
QUESTIONS: dict[str, str] = {
    "board.graphics_score": (
        "Has the board's chipset graphics of its own (board manual; a video output on a board before about 2010)?"
    ),
    "card.uefi": (
        "Has the graphics card a UEFI part in its firmware (maker's page; cards from about 2014 have one)?"
    ),
    "board.max_displays": "How many pictures do the board's graphics make at once (board manual)?",
    "card.max_displays": "How many pictures does the graphics card make at once (maker's page)?",
    "cpu.max_displays": "How many pictures do the processor's graphics make at once (maker's data sheet)?",
    "graphics.max_displays": "How many pictures does the graphics card make at once (maker's page)?",
    "graphics.outputs": "Which video outputs has the graphics card (seller's page or picture of its bracket)?",
    "graphics.uefi": (
        "Has the graphics card a UEFI part in its firmware (maker's page; cards from about 2014 have one)?"
    ),
    "cpu.graphics_score": "Has the processor graphics of its own (maker's data sheet)?",
    "board.outputs": "Which video outputs has the board (rear panel or board manual)?",
    "card.outputs": "Which video outputs has the graphics card (look at its bracket)?",
    "display.width_px": "How many pixels wide and high is the display's own picture (its data sheet or menu)?",
    "display.inputs": "Which video inputs has the display (look at its rear)?",
    "display.reduced_blanking": (
        "Does the display take its own size on VGA with reduced blanking (its manual lists the mode, such as"
        " 1920 x 1200 at 60 Hz with 154 MHz, 74.0 kHz or RB)?"
    ),
}
