"""Parts with their purchase: what the rules' plain predicates judge."""

from __future__ import annotations

from partsolver.base.records import record
from partsolver.catalog.records import (
    Bundle,
    Offer,
)
from partsolver.problem.candidates import Parts, SlotName


@record
class Need:
    """Something small that a rule finds missing and that a purchase can supply.

    rule and key identify it; kind: the kind of extra; options: (extra id, quantity) that serve, sorted by id;
    facts: for the wording.
    """

    rule: str
    key: str
    kind: str
    options: tuple[tuple[str, int], ...]
    facts: tuple[tuple[str, str | int], ...] = ()


@record
class Line:
    """One order line: an item of the plan bought from one seller, or covered by a bundle.

    slot: for the big parts; need: for extras. amount = price x quantity, 0 for what a bundle covers (the
    bundle has a line of its own with ``offer`` None and ``bundle`` set).
    """

    item: str
    quantity: int
    amount: int
    slot: SlotName | None = None
    need: Need | None = None
    offer: Offer | None = None
    bundle: Bundle | None = None


@record
class Draft:
    """Parts with their purchase and expected time: what the rules' plain predicates judge.

    cost = sum of lines + delivery, minor units; deliveries: (seller, charge) of each seller used;
    time_ppm: expected time for the use, millionths of the reference machine's.
    """

    parts: Parts
    lines: tuple[Line, ...]
    deliveries: tuple[tuple[str, int], ...]
    cost: int
    time_ppm: int

    def bought_for(self, rule: str, key: str) -> Line | None:
        """The line that supplies a rule's need, if there is one."""
        return next(
            (ln for ln in self.lines if ln.need is not None and (ln.need.rule, ln.need.key) == (rule, key)),
            None,
        )
