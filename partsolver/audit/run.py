"""Ask trials for a time, or so many; make what breaks a law small."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Mapping

from partsolver.audit.laws import LAWS, Broken, ask, reason_of
from partsolver.audit.shrink import smaller
from partsolver.audit.trial import OwnData, Trial
from partsolver.base.errors import InputRefused, NotDecided
from partsolver.base.records import record

# Making a counter-example small may take so long beyond the time given.
SHRINK_S = 120.0


@record
class Asked:
    """How often a law was asked: of problems with a plan, without one, and left undecided."""

    with_plan: int
    without_plan: int
    undecided: int


@record
class Audit:
    """What an audit found. refused: trials whose changed facts contradict each other (not asked); broken:
    the trial that broke a law, made small, and how."""

    asked: Mapping[str, Asked]
    refused: int
    broken: Trial | None
    reason: str | None

    @property
    def trials(self) -> int:
        """How many trials were asked and decided."""
        return sum(found.with_plan + found.without_plan for found in self.asked.values())


def audit(
    own: OwnData,
    minutes: float,
    most: int | None = None,
    start: int = 0,
    progress: Callable[[int, str], None] = lambda done, what: None,
) -> Audit:
    """Ask drawn trials for so many minutes, or ``most`` of them where that is given; ``start`` chooses
    which."""
    from partsolver.audit.draw import each_trial

    counts: dict[str, Counter[str]] = {law: Counter() for law in LAWS}
    refused = 0
    found: list[tuple[Trial, str]] = []
    end = time.monotonic() + 60 * minutes

    def asked(trial: Trial) -> bool:
        nonlocal refused
        if found or (
            time.monotonic() > end if most is None else sum(map(Counter.total, counts.values())) >= most
        ):
            return True
        counted = counts[trial.law]
        progress(sum(map(Counter.total, counts.values())), trial.law)
        try:
            counted["with" if ask(own, trial) else "without"] += 1
        except NotDecided:
            counted["undecided"] += 1
        except InputRefused:
            refused += 1
        except Broken as broken:
            found.append((trial, str(broken)))
        return bool(found)

    each_trial(own, start, asked)
    table = {law: Asked(c["with"], c["without"], c["undecided"]) for law, c in counts.items()}
    if not found:
        return Audit(table, refused, None, None)
    progress(sum(map(Counter.total, counts.values())), "making what was found small")
    until = time.monotonic() + SHRINK_S
    trial = smaller(
        found[0][0],
        tuple(own.catalog.table_of),
        lambda tried: time.monotonic() < until and reason_of(own, tried) is not None,
    )
    return Audit(table, refused, trial, reason_of(own, trial) or found[0][1])
