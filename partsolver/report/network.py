"""The current network as rows of text, and as a tree for the sheet."""

from __future__ import annotations

from collections.abc import Iterator

from partsolver.assembly.network import Node
from partsolver.assembly.network_limits import network_of, tightest_node
from partsolver.base.records import record
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.report.page import current_page, row, wrap
from partsolver.report.words import network as w
from partsolver.report.words.power_currents import show

NAME_COLUMNS, FIGURE_COLUMNS = 34, 8


@record
class PlaceView:
    """One place: its words, figures with units ("" where there is no limit), the plain numbers for a bar,
    whether it has the least room of all, and what hangs on it."""

    name: str
    usual: str
    most: str
    limit: str
    value: int
    limit_value: int | None
    narrowest: bool
    below: tuple[PlaceView, ...]


def network_view(problem: Problem, parts: Parts) -> PlaceView:
    """The network of a set of parts. Places without a limit are left out where they only repeat what is
    below them."""
    root = network_of(problem, parts)
    return _view(root, tightest_node(root))


def shows_label_rails(view: PlaceView) -> bool:
    """Whether the picture tells 12 V rails of the label apart."""
    return view.name.startswith(w.CIRCUIT) or any(shows_label_rails(below) for below in view.below)


def _view(node: Node, narrowest: Node | None) -> PlaceView:
    narrow = narrowest is not None and (node.kind, node.name, node.rail) == (
        narrowest.kind,
        narrowest.name,
        narrowest.rail,
    )
    return PlaceView(
        w.place_words(node),
        _figure(node.usual, node.rail),
        _figure(node.most, node.rail),
        "" if node.limit is None else _figure(node.limit, node.rail),
        node.usual,
        node.limit,
        narrow,
        tuple(_view(below, narrowest) for below in _shown(node)),
    )


def _shown(node: Node) -> Iterator[Node]:
    """The places under a node: of lead and contacts of one plug those that limit, at least one of them."""
    for below in node.below:
        contacts = below.below[0] if below.kind == "lead" else None
        if contacts is None:
            yield below
        elif below.limit is None:
            yield contacts
        elif contacts.limit is None:
            yield _with_consumers(below, contacts)
        else:
            yield below


def _with_consumers(lead: Node, contacts: Node) -> Node:
    """A lead whose plugs limit nothing: its consumers hang on it directly."""
    return Node(
        lead.kind, lead.name, lead.rail, lead.usual, lead.most, lead.start, lead.limit, contacts.below
    )


def _figure(value: int, rail: str) -> str:
    """Amperes with one decimal, or whole watts of the supply."""
    return show(value, "mA" if rail else "mW")


def network_lines(problem: Problem, parts: Parts) -> Iterator[str]:
    """The picture in text."""
    view = network_view(problem, parts)
    yield f"  {w.HEADING}"
    if not current_page().drawings:
        yield from _sentences(view, 4)
        yield wrap(w.NOTE + (w.NOTE_RAILS if shows_label_rails(view) else ""), "    ")
        return
    figures = (("usual", -FIGURE_COLUMNS), ("highest", -FIGURE_COLUMNS), ("carries", -FIGURE_COLUMNS))
    yield from row((("", NAME_COLUMNS), *figures), 4, 1)
    yield from _lines(view, 0)
    yield wrap(w.NOTE + (w.NOTE_RAILS if shows_label_rails(view) else ""), "    ")


def _sentences(view: PlaceView, indent: int) -> Iterator[str]:
    carries = f"; carries {view.limit}" if view.limit else ""
    narrow = f" ({w.LEAST_ROOM})" if view.narrowest else ""
    blanks = " " * indent
    yield wrap(f"{view.name}: {view.usual}, at most {view.most}{carries}{narrow}.", blanks, blanks + "  ")
    for below in view.below:
        yield from _sentences(below, indent + 2)


def _lines(view: PlaceView, depth: int) -> Iterator[str]:
    cells = (
        (view.name, NAME_COLUMNS - 2 * depth),
        (view.usual, -FIGURE_COLUMNS),
        (view.most, -FIGURE_COLUMNS),
        (view.limit, -FIGURE_COLUMNS),
        (f"<- {w.LEAST_ROOM}" if view.narrowest else "", 14),
    )
    yield from row(cells, 4 + 2 * depth, 1)
    for below in view.below:
        yield from _lines(below, depth + 1)
