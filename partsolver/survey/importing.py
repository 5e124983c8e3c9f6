"""Files and this PC into a survey file: read, compared with what is there, written whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from partsolver.base.controls import controls_escaped
from partsolver.base.errors import Fault, InputRefused, refuse
from partsolver.base.records import record
from partsolver.base.textfile import read_text, write_text
from partsolver.survey.collect import Closed, Collected
from partsolver.survey.draft import IDENTITY
from partsolver.survey.facts import MEASURED_KEYS, Clash, Facts, Merged
from partsolver.survey.merge import merge
from partsolver.survey.readers import read_source
from partsolver.survey.update import update
from partsolver.survey.write import Updated, render

# Asks a person about one clash: True takes the imported value, False keeps the person's; None leaves without
# writing.
Decide = Callable[[Clash], bool | None]


@record
class Gathered:
    """Everything that was read: facts, (name, kinds, number of facts) per source, what stayed closed."""

    facts: tuple[Facts, ...]
    read: tuple[tuple[str, tuple[str, ...], int], ...]
    closed: tuple[Closed, ...] = ()


@record
class Imported:
    """What an import did. kept: clashes in which the person's value stayed; differing: facts the sources
    disagree on; facts: values of the import; existed: the file was there before; remarks: of the readers;
    written: False when the person left without; overruled: values that stand against a source's word;
    replaced: stated figures in whose place measured ones stand now."""

    kept: tuple[Clash, ...]
    differing: tuple[Clash, ...]
    facts: int
    existed: bool
    remarks: tuple[str, ...] = ()
    written: bool = True
    overruled: tuple[Clash, ...] = ()
    replaced: tuple[str, ...] = ()


@dataclass
class _Names:
    """Names of files without their folders (folders may hold a person's name), told apart where two are the
    same."""

    seen: dict[str, int] = field(default_factory=dict)

    def told_apart(self, path: Path) -> str:
        name = controls_escaped(path.name)
        self.seen[name] = self.seen.get(name, 0) + 1
        return name if self.seen[name] == 1 else f"{name} no. {self.seen[name]}"


def gather(
    files: Sequence[tuple[Path, bytes]],
    collected: Collected | None = None,
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> Gathered:
    """Facts of all files and of the running system; ``progress`` hears how many files are read, and of how
    many. Raises InputRefused with the faults of every file."""
    facts: list[Facts] = []
    read = []
    faults: list[Fault] = []
    names = _Names()
    for number, (path, data) in enumerate(files):
        progress(number, len(files))
        name = names.told_apart(path)
        try:
            found = read_source(data, name)
        except InputRefused as error:
            faults += [Fault(str(path), f.problem, f.value, f.expected, f.hint) for f in error.faults]
            continue
        facts += found
        read.append(_told(name, found))
    if faults:
        raise InputRefused(faults)
    for where, data in collected.sources if collected else ():
        try:
            found = read_source(data, where)
        except InputRefused:
            continue
        facts += found
        read.append(_told(where, found))
    return Gathered(tuple(facts), tuple(read), collected.closed if collected else ())


def _told(name: str, found: Sequence[Facts]) -> tuple[str, tuple[str, ...], int]:
    kinds = tuple(dict.fromkeys(source.kind for source in found if source.facts))
    return (
        name,
        kinds,
        sum(1 for source in found for fact in source.facts if not fact.key.startswith("seen_")),
    )


def facts_in(merged: Merged) -> int:
    """Number of values the import brings."""
    rows = [
        row for value in merged.survey.values() for row in (value if isinstance(value, list) else [value])
    ]
    return sum(len(row) for row in rows)


def write_import(
    path: Path,
    gathered: Gathered,
    decide: Decide | None = None,
    take: frozenset[str] = frozenset(),
    keep: bool = False,
) -> Imported:
    """Write what was gathered to a survey file, new or present.

    ``take`` lists facts whose imported value wins. ``decide`` is asked about every other clash; without it
    the person's values stay, except that a file that names another board or processor is refused unless
    ``keep`` says it is this PC. Raises InputRefused for that, for an unknown fact in ``take`` and for a file
    that is no survey.
    """
    merged = merge(gathered.facts)
    existed = path.exists()
    before = read_text(path) if existed else ""
    if existed:
        first = update(before, merged, str(path), take)
    else:
        first = Updated(render(merged, [name for name, _, _ in gathered.read]), merged.clashes)
    measured = _measured_clashes(gathered, first)
    if existed and measured:
        take |= measured
        first = update(before, merged, str(path), take)
    differing = tuple(clash for clash in first.clashes if clash in merged.clashes)
    own = tuple(clash for clash in first.clashes if clash not in merged.clashes)
    _known(path, merged, existed, take - measured)
    if own and decide is not None and not keep:
        chosen = set(take)
        for clash in own:
            answer = decide(clash)
            if answer is None:
                return Imported((), differing, 0, existed, written=False)
            if answer:
                chosen.add(clash.path)
        first = update(before, merged, str(path), frozenset(chosen))
        own = tuple(clash for clash in first.clashes if clash not in merged.clashes)
    elif not keep:
        other = [clash for clash in own if clash.path in IDENTITY]
        if other:
            raise OtherPc(path, other)
    write_text(path, first.text, before)
    replaced = tuple(sorted(path for path in measured if path in take))
    return Imported(
        own,
        differing,
        facts_in(merged),
        existed,
        merged.remarks,
        overruled=merged.overruled,
        replaced=replaced,
    )


def _measured_clashes(gathered: Gathered, first: Updated) -> frozenset[str]:
    """Stated figures that a measurement among the sources reads otherwise: measured beats stated."""
    if not any("measurement" in kinds for _, kinds, _ in gathered.read):
        return frozenset()
    return frozenset(clash.path for clash in first.clashes if clash.path.rpartition(".")[2] in MEASURED_KEYS)


class OtherPc(InputRefused):
    """The files name another board or processor than the survey. ``clashes`` holds both names."""

    def __init__(self, path: Path, clashes: Sequence[Clash]) -> None:
        self.clashes = tuple(clashes)
        super().__init__(
            [
                Fault(str(path), clash.path, str(clash.values[1][0]), str(clash.values[0][0]))
                for clash in clashes
            ]
        )


def _known(path: Path, merged: Merged, existed: bool, take: frozenset[str]) -> None:
    """A fact to take must be one that clashes (else it is misspelt, or settled already)."""
    if not take:
        return
    possible = (
        {clash.path for clash in update(read_text(path), merged, str(path)).clashes} if existed else set()
    )
    for name in sorted(take - possible):
        raise refuse(
            "--take", "no clash of this fact", name, ", ".join(sorted(possible)) or "no fact clashes"
        )
