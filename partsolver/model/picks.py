"""The variables of the model behind speaking methods, so that rules never see a raw index.

One literal per candidate, exactly one per slot; one literal per *class* of candidates that share an attribute
value (attribute-value encoding: a rule is a handful of rows whatever the size of the catalogue); one literal
per way to buy an item. All are created in sorted order, so the model does not depend on the order of rows.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from typing import Any, Literal, TypeVar, overload

from partsolver.base.records import record
from partsolver.catalog.records import Board, Bundle, Case, Cpu, Offer, Psu
from partsolver.model.cpsat import cp_model
from partsolver.problem.candidates import (
    BOXED_COOLER,
    SLOTS,
    Candidate,
    CoolerChoice,
    DriveChoice,
    GraphicsChoice,
    MemoryChoice,
    SlotName,
)
from partsolver.problem.problem import Problem

# A Boolean variable or its negation.
BoolVar = cp_model.IntVar | Any
KeyFunction = Callable[[Any], Hashable]
K = TypeVar("K", bound=Hashable)


@record
class Purchase:
    """One way to buy one item: the literal is true when ``quantity`` of ``item`` come from ``offer``."""

    literal: BoolVar
    item: str
    quantity: int
    offer: Offer


@record
class BundlePurchase:
    """The literal is true when a bundle is bought."""

    literal: BoolVar
    bundle: Bundle


class Picks:
    """Variable container of one model. See the module docstring."""

    def __init__(self, model: cp_model.CpModel, problem: Problem) -> None:
        self.model = model
        self.problem = problem
        self.true = model.new_constant(1)
        self.purchases: list[Purchase] = []
        self.bundles: list[BundlePurchase] = []
        self.needs: dict[tuple[str, str], list[tuple[str, int, BoolVar]]] = {}
        # Set while the model is built: memory levels, time (ppm), power (mW), cost (minor units), sellers.
        self.levels: Any = None
        self.time: Any = None
        self.power: Any = None
        self.cost: Any = None
        # Largest value of each integer variable, by index.
        self.most: dict[int, int] = {}
        self.seller_used: dict[str, BoolVar] = {}
        self.seller_goods: dict[str, Any] = {}
        self._x: dict[tuple[SlotName, str], BoolVar] = {}
        self._classes: dict[tuple[SlotName, str], dict[Any, BoolVar]] = {}
        self._and: dict[tuple[int, ...], BoolVar] = {}
        self._or: dict[tuple[int, ...], BoolVar] = {}
        for slot in SLOTS:
            for candidate in problem.slot(slot):
                self._x[slot, candidate.key] = model.new_bool_var(f"{slot}:{candidate.key}")
            model.add_exactly_one(self._x[slot, c.key] for c in problem.slot(slot))
        self._post_boxed_cooler()

    @property
    def size(self) -> int:
        """Number of candidates."""
        return len(self._x)

    # -- picks ---------------------------------------------------------------------------------------------------

    def literal(self, slot: SlotName, key: str) -> BoolVar:
        """True when the candidate with this key is picked."""
        return self._x[slot, key]

    @overload
    def candidates(self, slot: Literal["board"]) -> Iterator[tuple[Candidate[Board], BoolVar]]: ...
    @overload
    def candidates(self, slot: Literal["cpu"]) -> Iterator[tuple[Candidate[Cpu], BoolVar]]: ...
    @overload
    def candidates(self, slot: Literal["memory"]) -> Iterator[tuple[Candidate[MemoryChoice], BoolVar]]: ...
    @overload
    def candidates(self, slot: Literal["cooler"]) -> Iterator[tuple[Candidate[CoolerChoice], BoolVar]]: ...
    @overload
    def candidates(self, slot: Literal["psu"]) -> Iterator[tuple[Candidate[Psu], BoolVar]]: ...
    @overload
    def candidates(self, slot: Literal["case"]) -> Iterator[tuple[Candidate[Case], BoolVar]]: ...
    @overload
    def candidates(self, slot: Literal["drive"]) -> Iterator[tuple[Candidate[DriveChoice], BoolVar]]: ...
    @overload
    def candidates(
        self, slot: Literal["graphics"]
    ) -> Iterator[tuple[Candidate[GraphicsChoice], BoolVar]]: ...
    @overload
    def candidates(self, slot: SlotName) -> Iterator[tuple[Candidate, BoolVar]]: ...
    def candidates(self, slot: SlotName) -> Iterator[tuple[Candidate[Any], BoolVar]]:
        """Candidates of a slot with their literals, by key."""
        return ((c, self._x[slot, c.key]) for c in self.problem.slot(slot))

    @overload
    def total(self, slot: Literal["board"], amount: Callable[[Board], int]) -> Any: ...
    @overload
    def total(self, slot: Literal["cpu"], amount: Callable[[Cpu], int]) -> Any: ...
    @overload
    def total(self, slot: Literal["memory"], amount: Callable[[MemoryChoice], int]) -> Any: ...
    @overload
    def total(self, slot: Literal["cooler"], amount: Callable[[CoolerChoice], int]) -> Any: ...
    @overload
    def total(self, slot: Literal["psu"], amount: Callable[[Psu], int]) -> Any: ...
    @overload
    def total(self, slot: Literal["case"], amount: Callable[[Case], int]) -> Any: ...
    @overload
    def total(self, slot: Literal["drive"], amount: Callable[[DriveChoice], int]) -> Any: ...
    @overload
    def total(self, slot: Literal["graphics"], amount: Callable[[GraphicsChoice], int]) -> Any: ...
    @overload
    def total(self, slot: SlotName, amount: Callable[[Any], int]) -> Any: ...
    def total(self, slot: SlotName, amount: Callable[[Any], int]) -> Any:
        """Sum of ``amount(part)`` over the pick of a slot."""
        return cp_model.LinearExpr.weighted_sum(
            [literal for _, literal in self.candidates(slot)],
            [amount(c.part) for c, _ in self.candidates(slot)],
        )

    @overload
    def classes(
        self, slot: Literal["board"], name: str, key: Callable[[Candidate[Board]], K]
    ) -> dict[K, BoolVar]: ...
    @overload
    def classes(
        self, slot: Literal["cpu"], name: str, key: Callable[[Candidate[Cpu]], K]
    ) -> dict[K, BoolVar]: ...
    @overload
    def classes(
        self, slot: Literal["memory"], name: str, key: Callable[[Candidate[MemoryChoice]], K]
    ) -> dict[K, BoolVar]: ...
    @overload
    def classes(
        self, slot: Literal["cooler"], name: str, key: Callable[[Candidate[CoolerChoice]], K]
    ) -> dict[K, BoolVar]: ...
    @overload
    def classes(
        self, slot: Literal["psu"], name: str, key: Callable[[Candidate[Psu]], K]
    ) -> dict[K, BoolVar]: ...
    @overload
    def classes(
        self, slot: Literal["case"], name: str, key: Callable[[Candidate[Case]], K]
    ) -> dict[K, BoolVar]: ...
    @overload
    def classes(
        self, slot: Literal["drive"], name: str, key: Callable[[Candidate[DriveChoice]], K]
    ) -> dict[K, BoolVar]: ...
    @overload
    def classes(
        self, slot: Literal["graphics"], name: str, key: Callable[[Candidate[GraphicsChoice]], K]
    ) -> dict[K, BoolVar]: ...
    @overload
    def classes(self, slot: SlotName, name: str, key: Callable[[Candidate[Any]], K]) -> dict[K, BoolVar]: ...
    def classes(self, slot: SlotName, name: str, key: Callable[[Candidate[Any]], K]) -> dict[K, BoolVar]:
        """One literal per distinct ``key(candidate)``; exactly one is true. Remembered by (slot, name)."""
        known = self._classes.get((slot, name))
        if known is not None:
            return known
        members: dict[K, list[BoolVar]] = {}
        for candidate, literal in self.candidates(slot):
            members.setdefault(key(candidate), []).append(literal)
        result: dict[K, BoolVar] = {}
        for value, literals in members.items():
            result[value] = self.any_of(literals) if len(members) > 1 else self.true
        self._classes[slot, name] = result
        return result

    def samples(self, slot: SlotName, key: Callable[[Candidate[Any]], K]) -> dict[K, tuple[Any, BoolVar]]:
        """Like ``classes``, with one part of each class beside its literal; not remembered."""
        found: dict[K, tuple[Any, list[BoolVar]]] = {}
        for candidate, literal in self.candidates(slot):
            found.setdefault(key(candidate), (candidate.part, []))[1].append(literal)
        if len(found) == 1:
            return {value: (part, self.true) for value, (part, _) in found.items()}
        return {value: (part, self.any_of(literals)) for value, (part, literals) in found.items()}

    def integer(self, most: int, name: str) -> cp_model.IntVar:
        """A variable from 0 to ``most``; ``self.most`` remembers the bound."""
        variable = self.model.new_int_var(0, most, name)
        self.most[variable.index] = most
        return variable

    def cases_and_cards(
        self,
    ) -> Iterator[tuple[Candidate[Case], Candidate[GraphicsChoice], BoolVar]]:
        """Every case with every choice of the graphics card, and the literal that both are picked."""
        for case, case_literal in self.candidates("case"):
            for graphics, literal in self.candidates("graphics"):
                yield case, graphics, self.both(case_literal, literal)

    # -- logic ---------------------------------------------------------------------------------------------------

    def is_true(self, literal: BoolVar) -> bool:
        """Whether this is the literal that always holds."""
        return bool(literal.index == self.true.index)

    def both(self, *literals: BoolVar) -> BoolVar:
        """A literal equal to the conjunction."""
        parts = [lit for lit in literals if not self.is_true(lit)]
        if len(parts) < 2:
            return next(iter(parts), self.true)
        key = tuple(sorted(lit.index for lit in parts))
        if key not in self._and:
            both = self.model.new_bool_var(f"and{key}")
            for literal in parts:
                self.model.add_implication(both, literal)
            self.model.add_bool_or([both, *[~lit for lit in parts]])
            self._and[key] = both
        return self._and[key]

    def any_of(self, literals: Sequence[BoolVar]) -> BoolVar:
        """A literal equal to the disjunction."""
        if any(map(self.is_true, literals)):
            return self.true
        if len(literals) == 1:
            return literals[0]
        key = tuple(sorted(lit.index for lit in literals))
        if key not in self._or:
            anyone = self.model.new_bool_var(f"or{len(self._or)}")
            for literal in literals:
                self.model.add_implication(literal, anyone)
            self.model.add_bool_or([~anyone, *literals])
            self._or[key] = anyone
        return self._or[key]

    def clause(self, literals: Iterable[BoolVar], on: BoolVar) -> None:
        """At least one literal holds when the rule is on."""
        listed = list(literals)
        self.model.add_bool_or(listed if self.is_true(on) else [*listed, ~on])

    def require(self, constraint: cp_model.BoundedLinearExpression | bool, on: BoolVar) -> None:
        """A linear row that holds when the rule is on. Keep the sum of coefficients below 2**31 (OR-tools
        #5293)."""
        if isinstance(constraint, bool):
            if not constraint:
                self.clause([], on)
            return
        row = self.model.add(constraint)
        if not self.is_true(on):
            row.only_enforce_if(on)

    def never_together(self, first: BoolVar, second: BoolVar, on: BoolVar) -> None:
        """Not both when the rule is on."""
        self.clause([~first, ~second], on)

    def refuse_new(
        self, where: Mapping[SlotName, tuple[BoolVar, bool]], slots: Sequence[SlotName], on: BoolVar
    ) -> None:
        """These picks (literal, kept) do not go together when the rule is on, unless every one of
        ``slots`` holds what the PC has now."""
        literals = [~literal for literal, _ in where.values()]
        if not all(kept for _, kept in where.values()):
            self.clause(literals, on)
            return
        for slot in slots:
            if slot not in where:
                new = self.classes(slot, "kept", lambda c: c.kept).get(False)
                if new is not None:
                    self.clause([*literals, ~new], on)

    def anything_new(self, slots: Sequence[SlotName]) -> BoolVar:
        """True when some slot holds another candidate than what the PC has now."""
        new = [self.classes(slot, "kept", lambda c: c.kept).get(False) for slot in slots]
        present = [literal for literal in new if literal is not None]
        return self.any_of(present) if present else ~self.true

    def support(
        self,
        slots: tuple[SlotName, SlotName],
        names: tuple[str, str],
        keys: tuple[KeyFunction, KeyFunction],
        compatible: Callable[[Any, Any], bool],
        on: BoolVar,
    ) -> None:
        """For every value of the first slot's attribute, a compatible value of the second's is picked."""
        first = self.classes(slots[0], names[0], keys[0])
        second = self.classes(slots[1], names[1], keys[1])
        for value, literal in first.items():
            partners = [other for partner, other in second.items() if compatible(value, partner)]
            if len(partners) < len(second):
                self.clause([~literal, *partners], on)

    # -- purchases -----------------------------------------------------------------------------------------------

    def need(
        self,
        rule: str,
        key: str,
        options: Sequence[tuple[str, int]],
        conditions: Sequence[BoolVar],
        on: BoolVar,
    ) -> None:
        """A rule needs one of the options (extra id, quantity) whenever one of the conditions holds.

        At most one condition may be true at a time. Without any option the conditions are forbidden.
        """
        if not options:
            for condition in conditions:
                self.clause([~condition], on)
            return
        chosen = []
        for extra, quantity in options:
            literal = self.model.new_bool_var(f"need:{rule}:{key}:{extra}")
            chosen.append((extra, quantity, literal))
            self.buy(extra, quantity, self.problem.extra_offers[extra], literal)
        active = self.both(self.any_of(conditions), on)
        self.model.add(sum(lit for _, _, lit in chosen) == active)
        self.needs[rule, key] = self.needs.get((rule, key), []) + chosen

    def buy(
        self, item: str, quantity: int, offers: Sequence[Offer], wanted: Any, bundles: Sequence[BoolVar] = ()
    ) -> None:
        """``wanted`` (a literal or a sum of exclusive literals) is bought from one offer or lies in a
        bundle."""
        literals = []
        for number, offer in enumerate(offers):
            literal = self.model.new_bool_var(f"buy:{item}*{quantity}:{offer.seller}:{number}")
            self.purchases.append(Purchase(literal, item, quantity, offer))
            literals.append(literal)
        self.model.add(sum([*literals, *bundles]) == wanted)

    def _post_boxed_cooler(self) -> None:
        """The cooler in the box exists only with a processor that brings one and is bought."""
        if ("cooler", BOXED_COOLER) not in self._x:
            return
        with_cooler = [lit for c, lit in self.candidates("cpu") if not c.kept and c.part.boxed_cooler]
        self.model.add_bool_or([~self._x["cooler", BOXED_COOLER], *with_cooler])
