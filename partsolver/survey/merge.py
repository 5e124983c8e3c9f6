"""Facts of several sources made into one survey: what they agree on stands, the rest becomes open
questions."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from partsolver.survey import crosscheck
from partsolver.survey.facts import RANK, Clash, Fact, Facts, Merged, Question, without_private
from partsolver.survey.merge_drives import drive_rows
from partsolver.survey.merge_memory import memory_rows

# Which source is quoted first where several say the same.
KINDS = (
    "measurement",
    "smbios",
    "dmidecode",
    "lscpu",
    "cpuinfo",
    "sysfs",
    "smartctl",
    "lsblk",
    "wmi",
    "lshw",
    "edid",
)
_SCALAR = re.compile(r"(pc|case|psu|board|cpu|os)\.([a-z0-9_]+)")
_LABELS = ("name", "maker", "maker_model")
IDENTITY = ("board.name", "cpu.name")


class Draft:
    """The survey while it is being put together."""

    def __init__(self) -> None:
        self.survey: dict[str, Any] = {"pc": {}, "case": {}, "psu": {}, "board": {}, "cpu": {}}
        self.origin: dict[str, str] = {}
        self.questions: dict[str, Question] = {}
        self.clashes: list[Clash] = []
        self.remarks: list[str] = []

    def ask(self, path: str, evidence: Sequence[str], suggested: Any = None) -> None:
        """Leave a key open; evidence of several calls adds up, the first suggestion stays."""
        before = self.questions.get(path)
        lines = [*(before.evidence if before else ()), *evidence]
        kept = before.suggested if before and before.suggested is not None else suggested
        self.questions[path] = Question(path, tuple(dict.fromkeys(lines)), kept)

    def put(self, path: str, value: Any, where: str) -> None:
        """Set a key of a plain table."""
        table, _, key = path.partition(".")
        self.survey.setdefault(table, {})[key] = value
        self.origin[path] = where

    def remark(self, text: str) -> None:
        if text not in self.remarks:
            self.remarks.append(text)

    def done(self) -> Merged:
        questions = tuple(self.questions[path] for path in sorted(self.questions))
        return Merged(self.survey, self.origin, questions, tuple(self.clashes), tuple(self.remarks))


def quoted(fact: Fact) -> str:
    """Evidence with its place, for a comment."""
    return f"{fact.evidence} ({fact.where})"


def merge(sources: Sequence[Facts]) -> Merged:
    """One survey from all sources of one PC. The order of the sources does not matter."""
    ordered = sorted(
        without_private(sources), key=lambda s: (KINDS.index(s.kind) if s.kind in KINDS else 99, _places(s))
    )
    draft = Draft()
    for source in ordered:
        for remark in source.remarks:
            draft.remark(remark)
    facts = [fact for source in ordered for fact in source.facts]
    if any(fact.path == "pc.seen_virtual" for fact in facts):
        draft.remark("This is a virtual machine: its parts are not those of a PC, and none was taken over")
        return draft.done()
    _scalars(facts, draft)
    rows = memory_rows(ordered, facts, draft)
    drive_rows(facts, draft)
    _displays(ordered, draft)
    _socket(facts, draft)
    _witnesses(facts, rows, draft)
    return draft.done()


def _places(source: Facts) -> str:
    return min((fact.where for fact in source.facts), default="")


def same(path: str, left: Any, right: Any) -> bool:
    """Whether two values say the same; names may be cut or spelled with other marks."""
    if (
        path.rpartition(".")[2] not in (*_LABELS, "seen_model")
        or not isinstance(left, str)
        or not isinstance(right, str)
    ):
        return bool(left == right) and isinstance(left, bool) == isinstance(right, bool)
    short, long = sorted((_plain(left), _plain(right)), key=len)
    return long.startswith(short) if short else not long


def _plain(name: str) -> str:
    name = re.sub(
        r"\((?:r|tm)\)|\bcpu\b|\bprocessor\b|@.*$|\bdefault string\b", " ", name, flags=re.IGNORECASE
    )
    return re.sub(r"[^a-z0-9]+", "", name.lower())


def settle(path: str, facts: Sequence[Fact], draft: Draft) -> Fact | None:
    """The fact that stands for one key, or None after leaving a question. The best source's spelling is
    kept."""
    strong = [fact for fact in facts if RANK[fact.certainty]]
    if not strong:
        values = [fact.value for fact in facts]
        agreed = values[0] if values and all(same(path, values[0], value) for value in values) else None
        if facts:
            draft.ask(path, [quoted(fact) for fact in facts], agreed)
        return None
    best = max(strong, key=lambda fact: RANK[fact.certainty])  # max keeps the first of equals
    if all(same(path, best.value, fact.value) for fact in strong):
        return best
    if path.rpartition(".")[2] in _LABELS and path not in IDENTITY:
        return best
    if path in IDENTITY:
        draft.clashes.append(Clash(path, tuple((fact.value, fact.where) for fact in strong)))
        draft.remark(
            f"The sources name different {path.partition('.')[0]}s: they may come from different PCs"
        )
    sure = [fact.value for fact in strong if fact.certainty == "sure"]
    draft.ask(
        path,
        [quoted(fact) for fact in strong],
        sure[0] if sure and all(same(path, sure[0], v) for v in sure) else None,
    )
    return None


def _scalars(facts: Sequence[Fact], draft: Draft) -> None:
    paths = dict.fromkeys(
        f.path for f in facts if _SCALAR.fullmatch(f.path) and not f.key.startswith("seen_")
    )
    for path in paths:
        fact = settle(path, [f for f in facts if f.path == path], draft)
        if fact is not None:
            draft.put(path, fact.value, fact.where)
    board, system = draft.survey["board"].get("name"), draft.survey["pc"].get("maker_model")
    if board and system and _plain(system).endswith(_plain(board)):
        # makers of loose boards write the board's name there
        del draft.survey["pc"]["maker_model"]
        del draft.origin["pc.maker_model"]


def _socket(facts: Sequence[Fact], draft: Draft) -> None:
    seen = [f for f in facts if f.path in ("cpu.seen_upgrade", "cpu.seen_designation", "cpu.seen_signature")]
    if not seen:
        return
    evidence = [quoted(fact) for fact in seen]
    cpu = crosscheck.cpu_socket(seen)
    for path, judged in (("cpu.socket", cpu), ("board.socket", crosscheck.board_socket(cpu))):
        if judged.value is not None:
            draft.put(path, judged.value, seen[0].where)
        else:
            draft.ask(path, [judged.why, *evidence], judged.suggested)


def _witnesses(facts: Sequence[Fact], rows: Sequence[dict[str, Any]], draft: Draft) -> None:
    """Witnesses that never become a value: each leaves its key open, with what was seen."""
    installed = sum(row.get("capacity_mib", 0) * row.get("count", 1) for row in rows)
    board = draft.survey["board"]
    year = next((f.value for f in facts if f.path == "board.seen_firmware_year"), None)
    for fact in facts:
        if fact.path == "board.seen_memory_max_mib":
            judged = crosscheck.memory_maximum(
                fact.value, installed, board.get("memory_slots"), board.get("memory_generation")
            )
            draft.ask("board.memory_max_mib", [quoted(fact), judged.why], judged.suggested)
        elif fact.path == "psu.seen_rated_w":
            draft.ask("psu.rated_w", [quoted(fact), crosscheck.supply(fact.value).why])
        elif fact.path == "case.seen_chassis":
            evidence, remark = crosscheck.chassis(fact.value)
            draft.ask("case.form_factor", [f"{evidence} ({fact.where})"])
            if remark:
                draft.remark(remark)
        elif fact.path == "cpu.seen_brand_cores" and "cores" not in draft.survey["cpu"]:
            # The name tells where no source counts them, or confirms a doubtful count; it never overrules
            # one.
            if (asked := draft.questions.get("cpu.cores")) is None or asked.suggested == fact.value:
                draft.questions.pop("cpu.cores", None)
                draft.put("cpu.cores", fact.value, fact.where)
        elif fact.path == "cpu.seen_max_mhz":
            draft.ask("cpu.boost_mhz", [quoted(fact)])
        elif fact.path == "cpu.seen_sockets_filled" and fact.value > 1:
            draft.remark(f"{fact.value} processors are installed ({fact.where}); a survey describes one")
        elif fact.path == "board.seen_slots":
            draft.ask("board.slots", [quoted(fact), "such lists are often incomplete; look at the board"])
        elif fact.path == "board.seen_sata_ports":
            for key in ("sata_6g_ports", "sata_3g_ports"):
                draft.ask(f"board.{key}", [quoted(fact)])
        elif fact.path == "board.seen_firmware_year":
            draft.ask("board.year", [f"{quoted(fact)}: the board is not younger"])
        elif fact.path in ("board.seen_uefi", "os.seen_start_mode"):
            draft.ask("board.firmware_modes", [quoted(fact)], _modes(fact, year))
        elif fact.path == "card.seen_graphics":
            draft.ask("card", [quoted(fact)])


def _modes(fact: Fact, year: int | None) -> list[str] | None:
    if fact.value in (True, "uefi"):
        return ["uefi", "legacy"]
    # no desktop firmware up to 2010 announced UEFI in 3,797 dumps ([D-dmi])
    return ["legacy"] if fact.value is False and year is not None and year <= 2010 else None


def _displays(sources: Sequence[Facts], draft: Draft) -> None:
    rows: list[dict[str, Any]] = []
    for source in sources:
        own = [fact for fact in source.facts if fact.path.startswith("display[")]
        if not own:
            continue
        index, row = len(rows), {}
        for fact in own:
            path = f"display[{index}].{fact.key}"
            if RANK[fact.certainty]:
                row[fact.key] = fact.value
                draft.origin[path] = fact.where
            else:
                draft.ask(path, [quoted(fact)], fact.value)
        row["name"] = unique(str(row.get("name", "monitor")), [str(other["name"]) for other in rows])
        rows.append(row)
    if rows:
        draft.survey["display"] = rows


def unique(name: str, taken: Sequence[str]) -> str:
    """The name, with a number behind it where it is taken."""
    if name not in taken:
        return name
    return next(f"{name} {n}" for n in range(2, len(taken) + 3) if f"{name} {n}" not in taken)
