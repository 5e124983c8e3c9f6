"""The owner's page: what, why, how much, what stays, what to do before; at most 250 words, for HTML and
text."""

from __future__ import annotations

from collections.abc import Iterator

from partsolver.base.records import record
from partsolver.report.page import amount_text, current_page, date_text, shortest_text, wrap
from partsolver.report.page_templates import page_environment
from partsolver.report.text import names_of
from partsolver.report.words import owner as w
from partsolver.report.words.answer import bought_names
from partsolver.report.words.lookup import sentence, title
from partsolver.report.words.record import Names
from partsolver.report.words.speed import ten_seconds
from partsolver.sheet.context import Context

MOST_WORDS = 250
# Names of one kind on the page before "and N more".
_MOST_NAMES = 4


@record
class OwnerPage:
    """The page in reading order: sections of paragraphs, and what the owner ticks before the work."""

    title: str
    alert: str
    sections: tuple[tuple[str, tuple[str, ...]], ...]
    before: tuple[str, ...]
    offer: tuple[str, ...]
    asks: bool


def owner_page(c: Context) -> OwnerPage:
    """The page of one plan."""
    names = names_of(c.problem)
    refused = next((f for f in c.plan.findings if not f.admits), None)
    alert = ""
    if refused is not None:
        alert = w.DOES_NOT_FIT.format(reason=f"{_begun(title(refused.rule))}: {sentence(refused, names)}")
    sections = [(w.WHAT, tuple(_what(c, names))), (w.WHY, tuple(_why(c)))]
    if c.changes:
        sections += [(w.COST, tuple(_cost(c))), (w.STAYS, tuple(_stays(c, names)))]
    return OwnerPage(
        w.title(c.problem.survey.pc.name),
        alert,
        tuple((heading, lines) for heading, lines in sections if lines),
        tuple(_before(c)) if c.changes else (),
        tuple(_offer(c)) if c.changes and refused is None else (),
        c.changes and refused is None,
    )


def _what(c: Context, names: Names) -> Iterator[str]:
    if not c.changes and not c.plan.draft.lines:
        yield w.NOTHING
        return
    new = [word for slot, word in w.PARTS.items() if c.new(slot)]  # type: ignore[arg-type]
    new += [word for slot, word in (("case", "case"), ("drive", "system drive")) if c.new(slot)]  # type: ignore[arg-type]
    used = any(
        (s := line.offer or line.bundle) is not None and s.condition != "new" for line in c.plan.draft.lines
    )
    words = w.PARTLY_USED if used else w.NEW
    yield words.format(what=_listed(new), names=", ".join(bought_names(c.plan, names)))


def _why(c: Context) -> Iterator[str]:
    if c.plan.speedup is not None and c.changes:
        words = ten_seconds(c.plan.speedup).removeprefix("what took 10 seconds")
        yield f"What took 10 seconds of {c.problem.use.title.lower()}{words}. {w.ESTIMATE}"
    memory, before = c.parts.memory.total_mib, c.old.memory.total_mib
    if memory and before and memory != before and c.new("memory"):
        yield f"Memory: {shortest_text(memory / 1024)} GB instead of {shortest_text(before / 1024)} GB."


def _cost(c: Context) -> Iterator[str]:
    draft = c.plan.draft
    delivery = sum(charge for _, charge in draft.deliveries)
    extras = sum(line.amount for line in draft.lines if line.need is not None)
    parts = draft.cost - delivery - extras
    pieces = [("parts", parts), ("what else they need", extras), ("delivery", delivery)]
    listed = ", ".join(f"{name} {_amount(c, amount)}" for name, amount in pieces if amount)
    yield f"{_money(c, draft.cost)} altogether: {listed}."


def _stays(c: Context, names: Names) -> Iterator[str]:
    survey = c.problem.survey
    kept = [word for slot, word in (("case", "the case"), ("psu", "the power supply")) if not c.new(slot)]  # type: ignore[arg-type]
    if survey.system_drive is not None and not c.new("drive"):
        kept.append("the system drive with your programs" if c.keeps_system else "the system drive")
    kept += _few([d.name for d in survey.drives if not d.system])
    kept += _few([d.name for d in survey.displays])
    kept += _few([d.name for d in survey.devices])
    if kept:
        text = _listed(kept)
        yield _begun(text) + "."
    left = c.placement.left
    if left:
        yield f"No place any more: {_listed(list(left))}."
    age = None if c.psu.year is None else c.problem.today.year - c.psu.year
    if "old-supply" in c.plan.cautions and age is not None:
        yield w.OLD_SUPPLY.format(years=age)


def _few(names: list[str]) -> list[str]:
    more = len(names) - _MOST_NAMES
    return names if more <= 0 else [*names[:_MOST_NAMES], f"{more} more"]


def _before(c: Context) -> Iterator[str]:
    cautions = c.plan.cautions
    if "backup" in cautions:
        yield w.BACKUP
    if "encryption-key" in cautions:
        yield w.KEY
    if "licences" in cautions:
        yield w.TIED.format(what=_listed(_few(list(c.problem.survey.os.tied_software or ()))))
    if c.installs or (c.new("drive") and c.problem.survey.os.keep):
        yield w.INSTALL


def _offer(c: Context) -> Iterator[str]:
    sources = [line.offer or line.bundle for line in c.plan.draft.lines]
    ends = [source.valid_until for source in sources if source is not None and source.valid_until is not None]
    until = f"valid until {date_text(min(ends))}" if ends else "they can change any day"
    yield f"Prices of {date_text(c.problem.today)}; {until}."
    if c.plan.arrival is not None:
        yield f"All parts are there on {date_text(c.plan.arrival)} when ordered at once."
    if c.extras("os-licence"):
        yield w.LICENCE


def _begun(text: str) -> str:
    """A text as it begins a sentence."""
    return text[:1].upper() + text[1:]


def _listed(items: list[str]) -> str:
    return items[0] if len(items) == 1 else ", ".join(items[:-1]) + " and " + items[-1]


def _amount(c: Context, minor: int) -> str:
    return amount_text(minor, c.problem.catalog.digits)


def _money(c: Context, minor: int) -> str:
    return f"{_amount(c, minor)} {c.problem.catalog.currency}"


def owner_text(c: Context) -> str:
    """The page on a terminal."""
    page = owner_page(c)
    lines = [page.title, "=" * min(len(page.title), current_page().width)]
    if page.alert:
        lines += ["", wrap(page.alert, "")]
    for heading, texts in page.sections:
        lines += ["", heading, *(wrap(text, "  ") for text in texts)]
    if page.before:
        lines += ["", w.BEFORE, *(wrap(text, "  [ ] ", "      ") for text in page.before)]
    if page.offer:
        lines += ["", w.OFFER, *(wrap(text, "  ") for text in page.offer)]
    if page.asks:
        yes, no = w.YES_NO
        lines += ["", f"  [ ] {yes}   [ ] {no}", f"  {w.SIGN}: ______________________"]
    return "\n".join(lines) + "\n"


def owner_html(c: Context) -> str:
    """The page as one self-contained HTML file. The same plan gives the same bytes."""
    environment = page_environment()
    return environment.get_template("owner.html").render(page=owner_page(c), words=w) + "\n"
