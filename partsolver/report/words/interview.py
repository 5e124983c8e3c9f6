"""Words of `survey new`: every question in plain words, how to find out, labels of the choices, cautions,
remarks."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from partsolver.report.page import current_page
from partsolver.report.survey import shell
from partsolver.report.words.cautions import CAUTIONS
from partsolver.report.words.interview_connected import Words
from partsolver.report.words.interview_drawings import DRAWINGS
from partsolver.report.words.interview_questions import WORDS
from partsolver.survey.interview.kinds import DONT_KNOW
from partsolver.survey.interview.questions import Question
from partsolver.survey.interview.session import LABELS, Asking, Told

WIDTH = 80


# Labels of choices: what stands behind the letter. A value without a label is shown as it is.
CHOICES: dict[str, dict[Any, str]] = {
    "brief.use": {
        "office": "writing and web",
        "photo": "photo work",
        "video": "video editing",
        "programming": "programming",
        "games": "light games",
        "server": "home server",
    },
    "brief.open_at_once": {
        "little": "a page or a document, one after another",
        "usual": "some pages, a document, the post",
        "much": "dozens of pages, or several large programs",
    },
    "os.family": {
        "desktop-2021": "bought system of 2021 or later",
        "desktop-2015": "bought system of 2015",
        "desktop-2015-32bit": "bought system of 2015, 32 bits",
        "desktop-2009": "bought system of 2009",
        "desktop-2009-32bit": "bought system of 2009, 32 bits",
        "desktop-2001-32bit": "bought system of 2001, 32 bits",
        "linux-x86-64-v1": "Linux, 64 bits, for every 64-bit processor",
        "linux-x86-64-v2": "Linux that asks for x86-64-v2",
        "linux-x86-64-v3": "Linux that asks for x86-64-v3",
        "linux-32bit": "Linux, 32 bits",
    },
    "os.licence": {
        "oem": "sold with the PC",
        "retail": "in a box of its own",
        "account": "linked to an account",
        "upgraded": "an upgrade of an older one",
        "none-needed": "a free system",
    },
    "board.firmware_modes": {"legacy": "the old way (boot sector)", "uefi": "UEFI"},
    "drive.kind": {"ssd": "solid-state", "hdd35": "3.5 inch disk", "hdd25": "2.5 inch disk"},
    "device.port": {"ps2": "round, 6 pins", "serial": "9 pins", "parallel": "25 pins"},
    "case.form_factor": {"own": "a maker's own"},
    "case.aperture": {
        "atx": "a plate that clips out",
        "fixed": "holes in the case's own wall",
        "btx": "a longer plate, ports mirrored",
        "none": "no opening at all",
    },
    "case.slot_height": {"full": "about 120 mm", "low": "about 80 mm"},
    "case.psu_place": {
        "top": "beyond the board's upper edge",
        "bottom": "below its lower edge",
        "over-board": "over the board itself",
    },
    "card.height": {"full": "about 120 mm", "low": "about 80 mm"},
    "psu.condition": {
        "good": "nothing to see, quiet",
        "noisy": "whines, rattles or hums",
        "bulged": "bulged or leaking parts, or burnt smell",
        "failed-start": "does not start every time",
    },
    "psu.pinout": {"atx": "standard", "own": "a maker's own"},
    "psu.main_plug": {"24": "24 holes, or 20 and a loose 4", "20": "20 holes", "own": "another shape"},
    "board.main_plug": {"24": "24 contacts", "20": "20 contacts", "own": "another shape"},
    "psu.cpu_plugs": {
        "4": "one of 4 holes",
        "8": "one of 8, or 4 and 4",
        "8+4": "8 and another 4",
        "8+8": "two of 8",
        "none": "there is none",
    },
    "psu.cpu_rail": {
        2: "12V2 or the second column",
        1: "12V1 or the first column",
        0: "no separate limits inside (its maker says so)",
    },
    "psu.efficiency": {"none": "no sign", "standard": "the sign without a metal"},
    "psu.form": {
        "atx": "150 x 86 mm",
        "sfx": "125 x 63.5 mm",
        "sfx-l": "125 x 63.5 mm, 130 deep",
        "tfx": "85 x 65 mm, long",
        "flex-atx": "81.5 x 40.5 mm",
        "cfx": "stepped",
        "lfx": "62 x 72 mm, long",
        "own": "another size",
    },
    "board.form_factor": {
        "atx": "305 x 244 mm",
        "microatx": "up to 244 x 244 mm",
        "flexatx": "229 x 191 mm",
        "mini-itx": "170 x 170 mm",
        "own": "a maker's own shape",
    },
    "board.memory_module": {"dimm": "about 133 mm (DIMM)", "so-dimm": "about 68 mm (SO-DIMM)"},
    "drive.power_plug": {"none": "none (M.2 or USB)"},
    "drive.sata_gbps10": {15: "1.5 Gb/s", 30: "3 Gb/s", 60: "6 Gb/s"},
    "case.front_audio": {"hd": "HD AUDIO", "ac97": "AC'97", "none": "there is none"},
    "case.front_panel": {
        "separate": "small single plugs",
        "block": "one standard block",
        "own": "one block of the maker's own",
    },
    "drive.storage_mode": {"ahci": "AHCI", "ide": "IDE, legacy or compatible", "raid": "RAID"},
    "drive.raid": {
        "none": "no set",
        "0": "level 0 (striped)",
        "1": "level 1 (mirror)",
        "5": "level 5",
        "10": "level 10",
    },
    "card.lanes": {1: "x1", 4: "x4", 8: "x8", 16: "x16"},
}
CHOICES["case.psu_form"] = CHOICES["psu.form"]

# Choices whose own name helps to recognise them stand with it.
_NAMED = ("case.aperture", "psu.form", "case.psu_form", "board.form_factor", "device.port", "psu.efficiency")

# What an answer looks like, by kind.
EXPECTED: dict[str, str] = {
    "text": "a few words",
    "word": "one word",
    "texts": "names with commas between them, or none",
    "yesno": "yes or no",
    "absent": "yes or no",
    "count": "a whole number up to 20000",
    "rows": "a whole number up to 16, 0 for none",
    "choice": "one letter, or the words",
    "several": "letters with blanks between them, or none",
    "length": "a length: 230 mm, 23 cm or 9 1/16 in (30 and more: mm)",
    "memory": "a size: 2 GB or 512 MB (GB without a unit)",
    "disk": "a size: 500 GB or 1 TB (GB without a unit)",
    "clock": "a clock: 3.0 GHz or 3000 MHz",
    "current": "a current: 14 A, or watts: 168 W (A without a unit)",
    "currents": "a current: 14 A, several as 14 + 15, or watts: 168 W",
    "power": "watts: 350",
    "year": "a year: 2009",
    "rate": "PC3-10600, DDR3-1333 or 1333",
    "letters": "letters such as C F H J, or none",
    "slots": "slots such as x16 x1 pci, or none",
    "price": "an amount such as 150.00",
}
SECTION_TITLES = {
    "wishes": "What it is for",
    "running": "While it still runs: what the PC itself tells",
    "outside": "From outside",
    "inside": "Inside, unplugged",
}
INTRO = (
    "One question at a time. Enter leaves a question for later, or takes what a file says where that is shown;"
    " later leaves it in any case, ? means don't know (never wrong), back goes to the question before, stop"
    " leaves; every answer is kept at once."
)
BEFORE_OPENING = ("mains", "supply-closed", "static", "sharp-edges")
CAUTION_END = (
    "If any of this is not possible here, type stop: the answers so far are kept, and the rest can stay open."
)
ANSWERS_HEADING = (
    'Answers of `partsolver survey new`, as typed; "?" is don\'t know. The next run goes on from here.'
)

NOTHING_YET = "left before the first answer; nothing was written"


def question_words(question: Question) -> Words:
    """Text and way to find out of a question."""
    return WORDS[question.path]


def label(question: Question, choice: Any) -> str:
    """What stands behind a choice's letter."""
    words = CHOICES.get(question.path, {}).get(choice)
    if words is None:
        return str(choice)
    return f"{choice}: {words}" if question.path in _NAMED else words


def prompt(asking: Asking) -> str:
    """The whole question as shown; the person types behind its last line."""
    question, words = asking.question, question_words(asking.question)
    of = ""
    if asking.row is not None:
        of = f", {question.table} {asking.row}" + (
            f" ({asking.name})" if asking.name and question.key != "name" else ""
        )
    lines = [
        "",
        f"[{asking.number} of {'at most ' if asking.at_most else ''}{asking.total}{of}]",
        _fill(words.text, ""),
        _fill(f"How: {words.how}.", "  "),
    ]
    lines += [_fill(f"Seen: {line}", "  ") for line in asking.seen]
    drawing = DRAWINGS.get(question.path)
    # A screen reader gets what the drawing shows from the words of the question and its choices.
    if drawing is not None and current_page().drawings:
        lines.append(textwrap.indent(drawing, "  "))
    if question.kind in ("choice", "several"):
        lines += list(_choices(question))
    seen = "" if asking.suggested is None else f", Enter takes what was seen: {asking.suggested}"
    before = (
        seen
        if asking.present is None
        else f", Enter keeps: {'don' + chr(39) + 't know' if asking.present == DONT_KNOW else asking.present}"
    )
    lines.append(f"{EXPECTED[question.kind.partition(' ')[0]]}; ? if you don't know{before}")
    return "\n".join(lines) + "\n> "


def choice_of_label(question: Question, text: str) -> str:
    """The choice whose shown words were typed; anything else as typed."""
    if question.kind == "choice":
        for choice in question.choices:
            if text.strip().casefold() == label(question, choice).casefold():
                return str(choice)
    return text


def _choices(question: Question) -> Iterator[str]:
    shown = [f"{LABELS[i]}  {label(question, choice)}" for i, choice in enumerate(question.choices)]
    widest = max(len(text) for text in shown) + 3
    columns = max(1, min(4, (WIDTH - 4) // widest)) if len(shown) > 5 else 1
    for start in range(0, len(shown), columns):
        yield ("    " + "".join(text.ljust(widest) for text in shown[start : start + columns])).rstrip()


def told(event: Told) -> str:
    """Words of what the interview tells between questions."""
    if event.what == "section":
        assert event.section is not None
        title = SECTION_TITLES[event.section]
        return f"\n{title}\n{'=' * len(title)}"
    if event.what == "cautions":
        lines = ["", "BEFORE THE CASE IS OPENED"]
        lines += [
            textwrap.fill(CAUTIONS[name], WIDTH, initial_indent="  - ", subsequent_indent="    ")
            for name in BEFORE_OPENING
        ]
        return "\n".join([*lines, _fill(CAUTION_END, "  ")])
    if event.what == "first":
        return "This is the first question."
    assert event.asking is not None
    return (
        f"Not understood: {event.text!r}. Expected {EXPECTED[event.asking.question.kind.partition(' ')[0]]};"
        " ? for don't know."
    )


def _fill(text: str, indent: str) -> str:
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent + "  " if indent else "",
        break_on_hyphens=False,
    )


def intro_lines(resumed: int, total: int, known: bool) -> Iterator[str]:
    """What stands before the first question."""
    yield _fill(INTRO, "")
    if resumed:
        yield (
            f"{resumed} {'answer' if resumed == 1 else 'answers'} of an earlier run"
            f" {'is' if resumed == 1 else 'are'} kept; it goes on from there."
        )
    if known:
        yield (
            f"Only what the survey does not know yet is asked: at most {total}"
            f" {'question' if total == 1 else 'questions'}."
        )


def saved_line(path: str, answers: int, command: str) -> str:
    """Where an interview that was left is kept."""
    return f"{answers} {'answer is' if answers == 1 else 'answers are'} kept in {path}; go on with: {command}"


def done_lines(out: str, answers: int, unknown: int, left: int, options: str = "") -> Iterator[str]:
    """The end of an interview: what was written and what to do next. ``options``: those that the next command
    needs too."""
    open_words = f", {unknown + left} left open" if unknown + left else ""
    yield f"{out} written with {answers} {'answer' if answers == 1 else 'answers'}{open_words}"
    yield f"next: partsolver recommend {shell(out)}{options}"
    yield f"what further answers are worth: partsolver survey questions {shell(out)}{options}"


def unused_line(paths: Sequence[str]) -> str:
    """Answers that were not needed."""
    return (
        f"not used, because another answer makes them needless or the survey knows them: {', '.join(paths)}"
    )
