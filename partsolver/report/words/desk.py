"""Words of the desk that are not in its templates: titles, states, remarks, refusals."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

STATES = {
    "new": "begun",
    "asked": "being asked",
    "planned": "planned",
    "ordered": "ordered",
    "bench": "on the bench",
    "measured": "measured",
}
STATE_ORDER = tuple(STATES)
NO_PARTS = "there is no catalogue in this folder yet"
NO_PARTS_HINT = "Drop pages or price lists under Parts and prices"
PARTS_NAME = "parts"
STALE_WHERE = "nothing was written"
STALE = "somebody else has changed this meanwhile"
STALE_HINT = "Go back, load the screen again and look at what is there now"
REFUSALS = {
    "host": (
        "Not this address",
        "The desk only answers under the address that it printed when it was started.",
    ),
    "origin": (
        "Not from here",
        "This came from another page than the desk's own. Nothing was done. Open the desk under the address that it"
        " printed when it was started.",
    ),
    "token": (
        "The desk is closed for you",
        "Open it with the whole address that `partsolver desk` printed when it was started. Each start makes a new"
        " one.",
    ),
    "too-much": (
        "Too much at once",
        "What was sent is larger than the desk takes (48 MB in all), or came too slowly. Nothing was kept. Send"
        " fewer files.",
    ),
    "400": ("Not understood", "The request could not be read. Nothing was done."),
    "403": (
        "Not from here",
        "The form is from an earlier start of the desk. Nothing was done. Go back, load the page again, and repeat.",
    ),
    "404": ("Nothing here", "There is no such page, or no such PC in the folder."),
    "405": ("Not this way", "This page cannot be asked for in this way."),
    "413": ("Too much at once", "What was sent is larger than the desk takes. Nothing was kept."),
    "415": ("Not understood", "The desk reads its own forms only. Nothing was done."),
    "500": (
        "A fault of the program",
        "Something went wrong that is not your doing. Nothing was half-written; the terminal where the desk runs"
        " says where it happened. What you entered before is kept.",
    ),
}
# Units a person may choose, by kind of question; the first is offered first.
UNITS: Mapping[str, tuple[str, ...]] = {
    "length": ("mm", "cm", "in"),
    "memory": ("GB", "MB"),
    "disk": ("GB", "TB"),
    "clock": ("GHz", "MHz"),
    "current": ("A", "W"),
    "currents": ("A", "W"),
    "power": ("W", "kW"),
}
UNIT_NAMES = {
    "mm": "mm",
    "cm": "cm",
    "in": "inch",
    "A": "ampere",
    "W": "watt",
    "kW": "kilowatt",
    "GB": "GB",
    "MB": "MB",
    "TB": "TB",
    "GHz": "GHz",
    "MHz": "MHz",
}
NOT_READ = "Not understood: {text}. Expected: {expected}."
NOT_SURVEY_YET = "not known yet"
FACT_TABLES = {
    "pc": "The PC",
    "case": "Case",
    "psu": "Power supply",
    "board": "Board",
    "cpu": "Processor",
    "cooler": "Cooler",
    "memory": "Memory",
    "drive": "Drive",
    "card": "Card",
    "display": "Monitor",
    "device": "Device",
    "os": "System",
}
KEEPS = {"case": "case", "psu": "supply", "drive": "drives", "cooler": "cooler"}
OUTCOMES = {
    "held": "The promise held.",
    "better": "It is faster than promised.",
    "worse": "It is slower than promised.",
    "undecided": "The measurements cannot tell whether the promise held.",
    None: "Measured before and after; without a chosen plan there is no promise to compare with.",
}
DRAWING_KNOWN = "The case from its open side. Known: {known}. Nobody has looked yet: {unknown}."
DRAWING_NEW = " New: {new}."
DRAWING_PARTS = {
    "psu": "supply",
    "board": "board",
    "cpu": "processor",
    "cooler": "cooler",
    "memory": "memory",
    "card": "cards",
    "drive": "drives",
}
NEW = "new"
NOT_LOOKED = "?"


def not_decided(text: str) -> str:
    """What is said where the limit on the work came first."""
    return f"Not decided within the limit on the work: {text}. Nothing is claimed."


FILES_NAME = "files"
SAME_RUN = "is the same run as the one that is there for the other time"
SAME_RUN_HINT = "Measure before the work and again after it, and keep each file in its own place"
NO_FILES = "no file was sent; choose one first"
NOT_OURS = "Check that the folder is still there, and that it is yours to use"
UNSEEN_NAME = "This file has characters in its name that do not show. Rename it."
NO_SUCH_FACT = "nothing of this name can be changed here"
UNREADABLE = "cannot be read"
OTHER_PC = (
    "the files name another board or processor than this survey: nothing is written. If it is the same PC, tick that"
    " your own facts stay"
)
WORTH_LATER = "What hangs on it is told once there are parts and prices."
WORTH_NONE = "Nothing changes with it in the plan that is first today."
WORTH_RISK = "{amount} hang on it: with one of the answers the order would not fit."
WORTH_NEEDED = "Without it the best plan cannot be told."
WORTH_MONEY = "{amount} hang on it: the best plan costs that much more or less."
WORTH_TIME = "{percent} % of the time hang on it."


def uncertain(amount: str, questions: int) -> str:
    """The measure of progress: money that is not certain yet."""
    if not questions:
        return "No money hangs on an open question any more."
    asked = "1 question" if questions == 1 else f"{questions} questions"
    return (
        f"{amount} still hang on {asked}." if amount else f"{asked} may still change the plan, not its money."
    )


TABLES = {
    "boards": "boards",
    "cpus": "processors",
    "memory": "memory kits",
    "coolers": "coolers",
    "psus": "supplies",
    "cases": "cases",
    "drives": "drives",
    "graphics": "graphics cards",
    "extras": "small parts",
    "bundles": "bundles and complete PCs",
}
BY_TABLE = "from the table {table}.csv"

NO_SUCH_PLAN = "there is no plan of this number in the answer"
NO_PLAN_CHOSEN = "no plan is chosen yet"
CHOOSE_FIRST = "Choose one under Answers first"
NO_NEW_PLAN = "there is no new plan to keep"
NO_MEASUREMENT = "both measurements are needed, before and after the work"
VERDICTS = {
    "taken": "{name} is in the first plan.",
    "not-offered": "{name} cannot be bought: nobody in this catalogue offers it.",
    "not-needed": "{name} is an extra: it is bought only where something needs it, and no plan does.",
    "barred": "{name} can be promised in no plan yet: it hangs on what is looked at.",
    "undecided": "{name}: not decided within the limit on the work. Nothing is claimed.",
    "ruled-out": "{name} is ruled out: with it, no plan exists. This is proved. In the way stands:",
    "worse": "{name} is possible, but the first plan is better.",
}
DOMINATED = "{name} does at least as much for no more money."
BEST_WITH = "The best plan with it: {plan}."
FIRST_IS = "The first plan: {plan}."


def measured_words(measured: str, promised: str | None) -> str:
    """The measured speed-up beside the promised one."""
    text = f"Measured: {measured} times as fast."
    return text if promised is None else f"{text} Promised: {promised} times."


def opened(folder: str, link: str) -> str:
    """What is said when the desk is open."""
    return f"The desk of {folder} is open until you press Ctrl-C:\n{link}"


def lan_warning(address: str, code: str) -> str:
    """What --lan opens."""
    return (
        "Open to everyone on this network who has the address above, or the code: surveys, catalogue and plans of this"
        " folder can then be read and changed, unencrypted. Use it in a network you trust, and stop it when done.\n"
        f"On the phone: scan this, or open {address} and type {code}"
    )


MISSING = "the page needs a few more libraries"
MISSING_HINT = "Install them with: pip install 'partsolver[desk]'"

WORTH_FIRST = "One of the few without which nothing can be told."
WORTH_COMPUTED = (
    "What hangs on the open questions is still being computed; it is told here as soon as it is known."
)

WORTH_STOPPED = "What hangs on the open questions is not known: the weighing was stopped."


def first_left(questions: int) -> str:
    """Before anything can be told."""
    asked = "1 question" if questions == 1 else f"{questions} questions"
    return f"{asked} to go before anything can be told for sure."


WISH_NAME = "wish"
NO_SUCH_WISH = "no such wish"
NO_WISH_VALUE = "how much, or when, is not said"
WISHES = {
    "budget": "at most (money)",
    "min_speedup": "at least so many times as fast",
    "need_by": "here by (day)",
    "min_memory_gb": "at least so much memory (GB)",
}
WISH_HINTS = {
    "budget": "an amount such as 100.00",
    "min_speedup": "a number such as 1.5",
    "need_by": "a day such as 2026-12-05",
    "min_memory_gb": "a whole number of GB",
}
_WISHED = {
    "budget": "at most {value} {currency}",
    "min_speedup": "at least {value} times as fast",
    "need_by": "everything here by {value}",
    "min_memory_gb": "at least {value} GB of memory",
}
CATALOG_MOVES = "parts and prices change while plans are looked for"
WORKING = {
    "answer": "Plans are looked for",
    "tradeoff": "What each sum buys is looked for",
    "why": "What stands in the way is looked for",
    "why-part": "Plans with this part are looked for",
    "why-wish": "Plans for this wish are looked for",
    "weights": "Questions are weighed",
    "replan": "A new plan is looked for",
    "dumps": "What its system tools print is read",
    "add": "Files are read",
}
STOPPED = "Stopped. Nothing was written."
_STAGES = {
    "": "It has just begun.",
    "plans": "{done} of {total} plans found.",
    "differ": "Plans that differ: {done} of {total} kinds looked at.",
    "points": "{done} sums done.",
    "weights": "{done} of {total} questions weighed.",
    "files": "{done} of {total} files read.",
}


def wished(name: str, value: object, currency: str) -> str:
    """A wish in words."""
    return _WISHED[name].format(value=value, currency=currency)


def progress(job: Any) -> str:
    """How far a piece of work is, in a sentence. ``job``: its state, stage, done and total."""
    if job.state == "stopped":
        return STOPPED
    if job.state == "waiting":
        return "Other work is done first."
    if job.state != "running":
        return "Done."
    return _STAGES[job.stage].format(done=job.done, total=job.total)
