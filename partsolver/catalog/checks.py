"""Named data checks: one function per check; each finds doubtful rows of a catalogue that loads without
fault.

By default a check warns; the caller names those that shall refuse. What a row does not say is no doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from partsolver.base.errors import nearest, refuse
from partsolver.base.quantities import format_amount
from partsolver.base.records import record
from partsolver.catalog.alike import prices_out_of_line, same_products
from partsolver.catalog.load import Catalog
from partsolver.standards.boards import OUTLINES
from partsolver.standards.memory import RATES


@record
class Doubt:
    """One doubtful row: name of the check, table, part, column, value, and a second fact it does not go
    with."""

    check: str
    table: str
    part: str
    column: str
    value: str
    against: str = ""
    refuses: bool = False


def board_larger_than_outline(catalog: Catalog) -> Iterator[Doubt]:
    """Boards larger than the largest size of their family."""
    for board in catalog.tables["boards"]:
        outline = OUTLINES.get(board.form_factor)
        if outline is None:
            continue
        for column, limit in (("width_mm", outline.width_mm), ("depth_mm", outline.depth_mm)):
            size = getattr(board, column)
            # Sizes are rounded up to whole millimetres in some lists.
            if size is not None and size > limit + 1:
                yield Doubt(
                    "board-larger-than-outline",
                    "boards",
                    board.id,
                    column,
                    str(size),
                    f"{board.form_factor} {limit} mm",
                )


def family_of_another_socket(catalog: Catalog) -> Iterator[Doubt]:
    """Boards whose list names a processor family that only exists for another socket."""
    sockets: dict[str, set[str]] = {}
    for cpu in catalog.tables["cpus"]:
        if cpu.family and cpu.socket:
            sockets.setdefault(cpu.family, set()).add(cpu.socket)
    for board in catalog.tables["boards"]:
        for family, _ in (board.cpu_families or ()) if board.socket else ():
            if family in sockets and board.socket not in sockets[family]:
                yield Doubt(
                    "family-of-another-socket",
                    "boards",
                    board.id,
                    "cpu_families",
                    family,
                    f"socket {board.socket}",
                )


def family_twice(catalog: Catalog) -> Iterator[Doubt]:
    """Boards that list a processor family twice."""
    for board in catalog.tables["boards"]:
        names = [family for family, _ in board.cpu_families or ()]
        for family in sorted({name for name in names if names.count(name) > 1}):
            yield Doubt("family-twice", "boards", board.id, "cpu_families", family, "listed twice")


def rate_off_standard(catalog: Catalog) -> Iterator[Doubt]:
    """Memory kits at a data rate that the standard does not list (an overclocking profile is no standard
    rate)."""
    for kit in catalog.tables["memory"]:
        stated = kit.rate_mts is not None and kit.generation is not None
        if stated and kit.rate_mts not in RATES[kit.generation]:
            yield Doubt("rate-off-standard", "memory", kit.id, "rate_mts", str(kit.rate_mts), kit.generation)


def module_over_board_limit(catalog: Catalog) -> Iterator[Doubt]:
    """Boards whose largest module times slots stays below their stated maximum."""
    for board in catalog.tables["boards"]:
        if None in (board.memory_slots, board.memory_max_module_mib, board.memory_max_mib):
            continue
        reachable = board.memory_slots * board.memory_max_module_mib
        if reachable < board.memory_max_mib:
            yield Doubt(
                "module-over-board-limit",
                "boards",
                board.id,
                "memory_max_mib",
                str(board.memory_max_mib),
                f"{reachable} MiB reachable",
            )


def score_against_cores(catalog: Catalog) -> Iterator[Doubt]:
    """Processors whose all-thread score is below the one-thread score or above it times threads."""
    for cpu in catalog.tables["cpus"]:
        stated = cpu.serial_score and cpu.parallel_score and cpu.threads
        if (
            stated
            and not cpu.serial_score * 95 <= cpu.parallel_score * 100 <= cpu.serial_score * 100 * cpu.threads
        ):
            yield Doubt(
                "score-against-cores",
                "cpus",
                cpu.id,
                "parallel_score",
                str(cpu.parallel_score),
                f"{cpu.serial_score} x {cpu.threads} threads",
            )


def supply_rails_below_label(catalog: Catalog) -> Iterator[Doubt]:
    """Supplies whose 12 V limit gives less than half of the rated power (old or doubtful label)."""
    for psu in catalog.tables["psus"]:
        ma = psu.combined_12v_ma or sum(psu.rail_12v_ma or ())
        if ma and psu.rated_w is not None and ma * 12 < psu.rated_w * 500:
            yield Doubt(
                "supply-rails-below-label", "psus", psu.id, "rail_12v_ma", str(ma), f"{psu.rated_w} W label"
            )


def never_offered(catalog: Catalog) -> Iterator[Doubt]:
    """Parts that nobody offers."""
    offered = {offer.part for offer in catalog.tables["offers"]}
    offered |= {part for bundle in catalog.tables["bundles"] for part, _ in bundle.items}
    for part in sorted(set(catalog.table_of) - offered):
        yield Doubt("never-offered", catalog.table_of[part], part, "id", part, "no offer")


def price_expired(catalog: Catalog) -> Iterator[Doubt]:
    """Offers whose price ended before the catalogue's date."""
    for offer in catalog.tables["offers"]:
        if offer.valid_until is not None and offer.valid_until < catalog.info.as_of:
            yield Doubt(
                "price-expired",
                "offers",
                offer.part,
                "valid_until",
                offer.valid_until.isoformat(),
                f"catalogue of {catalog.info.as_of}",
            )


def may_be_the_same(catalog: Catalog) -> Iterator[Doubt]:
    """Two rows that look like one product: of two only one seller's price counts for each."""
    for table, part, other in same_products(catalog):
        yield Doubt("may-be-the-same", table, part, "id", part, other)


def price_out_of_line(catalog: Catalog) -> Iterator[Doubt]:
    """Offers whose price is far from what others ask: a lost decimal sign, or another thing than the name
    says."""
    digits = catalog.info.digits
    for found in prices_out_of_line(catalog):
        yield Doubt(
            "price-out-of-line",
            "offers",
            found.offer.part,
            "price",
            format_amount(found.offer.price, digits),
            f"{format_amount(found.usual, digits)} usual in {found.others} other offers of {found.of}"
            f" ({found.offer.seller})",
        )


CHECKS: dict[str, Callable[[Catalog], Iterator[Doubt]]] = {
    "board-larger-than-outline": board_larger_than_outline,
    "family-of-another-socket": family_of_another_socket,
    "family-twice": family_twice,
    "may-be-the-same": may_be_the_same,
    "module-over-board-limit": module_over_board_limit,
    "never-offered": never_offered,
    "price-expired": price_expired,
    "price-out-of-line": price_out_of_line,
    "rate-off-standard": rate_off_standard,
    "score-against-cores": score_against_cores,
    "supply-rails-below-label": supply_rails_below_label,
}


def run_checks(catalog: Catalog, strict: Sequence[str] = ()) -> tuple[Doubt, ...]:
    """All doubts, in the order of checks and ids. ``strict`` names the checks whose doubts refuse."""
    for name in strict:
        if name not in CHECKS:
            raise refuse("--strict", "no such data check", name, ", ".join(CHECKS), nearest(name, CHECKS))
    found = []
    for name, check in CHECKS.items():
        for doubt in check(catalog):
            found.append(
                Doubt(
                    doubt.check,
                    doubt.table,
                    doubt.part,
                    doubt.column,
                    doubt.value,
                    doubt.against,
                    name in strict,
                )
            )
    return tuple(found)
