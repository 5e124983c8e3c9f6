"""The drawing of the tray, the power picture and the speed picture."""

from __future__ import annotations

import itertools
from dataclasses import replace

import html5lib
import pytest
import support as s

from partsolver.assembly.network import consumers
from partsolver.report.drawings import bar_svg, tray_svg
from partsolver.report.network import PlaceView, network_view
from partsolver.report.sheet_html import sheet_html
from partsolver.report.sheet_text import sheet_text
from partsolver.report.words import network as words_network
from partsolver.rules import fit_holes, power_rail_12v, power_rails_low, power_total
from partsolver.sheet.leaving import leaving
from partsolver.sheet.pictures import rail_loads, times
from partsolver.sheet.tray import tray_of

# Hole positions in mm: x from the board's edge at the ports to the left, y from the rear edge to the front.
# microATX Motherboard Interface Specification 1.2 (Intel), figures 2, 4 and 5, and four open-hardware
# drawings that agree (boards reference, section 2).
PUBLISHED = {
    "A": (288.29, 10.16),
    "B": (209.55, 10.16),
    "C": (163.83, 10.16),
    "F": (6.35, 33.02),
    "G": (288.29, 165.10),
    "H": (163.83, 165.10),
    "J": (6.35, 165.10),
    "K": (288.29, 237.49),
    "L": (163.83, 237.49),
    "M": (6.35, 237.49),
    "R": (229.87, 165.10),
    "S": (209.55, 165.10),
}
ATX = replace(s.BOARD, form_factor="atx", width_mm=305, depth_mm=244, holes=tuple("ACFGHJKLM"))
ALL_HOLES = replace(
    s.CASE,
    form_factor="atx",
    max_board_width_mm=305,
    standoffs=tuple("ABCFGHJKLMRS"),
    standoff_positions=tuple("ABCFGHJKLMRS"),
)


SVG = "{http://www.w3.org/2000/svg}"  # html5lib names foreign elements with their namespace


def drawn(context):
    """letter -> (x mm, y mm, action) as drawn."""
    svg = html5lib.parseFragment(str(tray_svg(tray_of(context))), namespaceHTMLElements=False)[0]
    x0, y0 = float(svg.attrib["data-origin-x"]), float(svg.attrib["data-origin-y"])
    found = {}
    for group in svg.iter(f"{SVG}g"):
        circle = group.find(f"{SVG}circle")
        found[group.attrib["data-letter"]] = (
            round(x0 - float(circle.attrib["cx"]), 3),
            round(float(circle.attrib["cy"]) - y0, 3),
            group.attrib["data-action"],
        )
    return svg, found


def test_hole_coordinates_are_the_published_ones(build):
    _, found = drawn(build({"case": ALL_HOLES}, boards=[ATX]))
    assert {letter: (x, y) for letter, (x, y, _) in found.items()} == PUBLISHED
    assert {letter for letter, row in found.items() if row[2] == "keep"} == set(
        "ACFGHJKLM"
    )  # [uATX] figure 2
    assert {letter for letter, row in found.items() if row[2] == "remove"} == set("BRS")


def test_outline_and_scale(build):
    svg, _ = drawn(build({"case": ALL_HOLES}, boards=[ATX]))
    rectangles = [(float(r.attrib["width"]), float(r.attrib["height"])) for r in svg.iter(f"{SVG}rect")]
    assert (305, 244) in rectangles  # ATX: 12.0 x 9.6 in, [uATX] table 3
    width = float(svg.attrib["viewBox"].split()[2])
    assert svg.attrib["style"] == f"width:{width * 0.4:g}mm"  # 2:5
    # Everything is inside the picture, words included as far as their anchor.
    assert all(0 <= float(t.attrib["x"]) <= width for t in svg.iter(f"{SVG}text"))


def test_no_drawing_without_a_board_to_fit(situation):
    assert (
        tray_of(situation("memory")) is None
        and tray_of(situation("cpu")) is None
        and tray_of(situation("nothing")) is None
    )


@pytest.mark.parametrize("size", [(244, 244), (226, 228), (226, 185), (170, 170)])
@pytest.mark.parametrize("holes", [None, tuple("BCFHJ")])
@pytest.mark.parametrize("standoffs", [tuple("BCFHJLMR"), tuple("CFHJ"), tuple("ACFGHJKLM"), None])
def test_same_work_as_the_rule_says(size, holes, standoffs, build):
    form = "mini-itx" if size == (170, 170) else "microatx"
    board = replace(s.BOARD, form_factor=form, width_mm=size[0], depth_mm=size[1], holes=holes)
    case = replace(s.CASE, standoffs=standoffs, standoff_positions=tuple("ABCFGHJKLMRS"))
    context = build({"case": case}, boards=[board])
    tray = tray_of(context)
    finding = next(f for f in context.findings(fit_holes.ID) if f.fact("held") is not None)
    # The rule lists letters by alphabet; where nobody looked at the tray it names none to add.
    for action in ("add", "remove"):
        assert " ".join(sorted(tray.letters(action))) == (finding.fact(action) or "")
    if standoffs is not None:
        assert " ".join(sorted(tray.letters("look"))) == (finding.fact("look") or "")
        assert " ".join(sorted(tray.letters("keep", "add"))) == finding.fact("held")
    assert (tray.left_mm, tray.front_mm) == (
        finding.fact("unsupported_left_mm"),
        finding.fact("unsupported_front_mm"),
    )


@pytest.mark.parametrize("name", ["plain", "board", "rich", "whole", "linux"])
def test_power_picture_shows_the_rules_numbers(name, situation):
    context = situation(name)
    rows = {row.rail: row for row in rail_loads(context)}
    pairs = [("12v", power_rail_12v.ID, None), ("total", power_total.ID, None)]
    pairs += [
        ("5v", power_rails_low.ID, "rail_5v_ma"),
        ("3v3", power_rails_low.ID, "rail_3v3_ma"),
        ("5v+3v3", power_rails_low.ID, "combined_5v_3v3_mw"),
    ]
    for rail, rule, which in pairs:
        finding = next(
            (
                f
                for f in context.findings(rule)
                if f.limit is not None and (which is None or f.fact("rail") == which)
            ),
            None,
        )
        if finding is None:  # no more than today, or the label is not known
            assert rows[rail].limit is None or rows[rail].load <= rows[rail].limit
            continue
        assert (rows[rail].load, rows[rail].limit, rows[rail].unit) == (
            finding.value,
            finding.limit,
            finding.unit,
        ), rail


def test_power_limit_by_hand(situation):
    # Supply of 2018 in 2026: 8 years = trusted with 80 % (loads reference section 8); label 30 A.
    row = next(r for r in rail_loads(situation("plain")) if r.rail == "12v")
    assert (row.label, row.limit) == (30_000, 30_000 * 80 // 100)


def test_speed_picture_adds_up(situation):
    for name in ("plain", "board", "whole"):
        context = situation(name)
        rows = times(context)
        now, then = sum(r.now_permille for r in rows), sum(r.then_permille for r in rows)
        assert abs(now - 1000) <= len(rows)  # each row is rounded once
        # Speed-up = T(now) / T(then) (Amdahl), so the shares of then add up to 1 / speed-up.
        assert abs(then - 1_000_000 / context.plan.speedup.expected_milli) <= len(rows) + 1
    assert times(situation("nothing")) and all(
        r.now_permille == r.then_permille for r in times(situation("nothing"))
    )


def test_bars():
    assert 'width="500" height="16" fill="#1f3f6e"' in bar_svg(50, 80, 100)
    assert 'fill="#8a1c1c"' in bar_svg(90, 80, 100)  # above the limit
    assert '<rect x="796"' in bar_svg(50, 80, 100)  # the mark, 8 wide, at 800
    for value, limit, most in itertools.product((0, 1, 5), (None, 0, 7), (0, 3)):
        assert (
            "-" not in bar_svg(value, limit, most).split('height="16" fill="#1f3f6e"')[0].split('width="')[-1]
        )


def test_what_leaves(situation):
    def rows(name):
        return [(part.slot, part.count, part.where) for part in leaving(situation(name))]

    assert rows("nothing") == rows("memory") == []  # the kept module stays beside the new one
    assert rows("plain") == [
        ("board", 1, "hand-on"),
        ("cpu", 1, "hand-on"),
        ("memory", 2, "hand-on"),
        ("cooler", 1, "hand-on"),
    ]
    assert rows("cpu") == [("cpu", 1, "hand-on")]
    assert ("drive", 1, "wipe") in rows("whole") and ("psu", 1, "hand-on") in rows("whole")
    assert ("psu", 1, "waste") in rows("odd")  # bulged: never handed on
    board = leaving(situation("plain"))[0]
    assert (board.mass_g, board.usual) == (600, False)  # stated in the survey


def _leaves(view: PlaceView) -> list[PlaceView]:
    return [view] if not view.below else [leaf for below in view.below for leaf in _leaves(below)]


def _walk(view: PlaceView) -> list[PlaceView]:
    return [view, *(place for below in view.below for place in _walk(below))]


@pytest.mark.parametrize("name", ["plain", "board", "rich", "whole", "linux"])
def test_network_picture_shows_every_current_once(name, situation):
    """Leaves are the consumers, each once for each rail; a place carries what hangs on it; one has the
    least room: the plan's margin."""
    context = situation(name)
    view = network_view(context.problem, context.parts)
    for rail, field in zip(view.below, ("ma_12v", "ma_5v", "ma_3v3"), strict=True):
        drawn = [
            (who, getattr(load, field), getattr(load, field.replace("ma_", "most_")))
            for _, who, load in consumers(context.problem, context.parts)
        ]
        expected = sorted((who, usual) for who, usual, most in drawn if usual or most)
        assert sorted((leaf.name, leaf.value) for leaf in _leaves(rail)) == expected
    for place in _walk(view)[1:]:
        assert not place.below or place.value == sum(below.value for below in place.below)
    narrow = [place for place in _walk(view) if place.narrowest]
    assert len(narrow) == 1 and narrow[0].limit_value == context.plan.narrowest.limit
    shares = [place.value / place.limit_value for place in _walk(view) if place.limit_value]
    assert narrow[0].value / narrow[0].limit_value == pytest.approx(max(shares), abs=0.001)


def test_network_picture_tells_rails_of_the_label_apart(build):
    """Two 12 V columns: the processor on one, the rest on the other (design guides; loads reference 5a);
    no places get lost."""
    psu = replace(s.PSU, rail_12v_ma=(10000, 16000), combined_12v_ma=24000)
    context = build({"psu": psu}, boards=[s.BOARD])
    shown = sheet_text(context)
    assert "label's rail: processor plug" in shown and words_network.NOTE_RAILS.split(":")[0][
        :40
    ] in " ".join(shown.split())
    html = sheet_html(context)
    page = html5lib.parse(html, namespaceHTMLElements=False)
    net = next(e for e in page.iter("ul") if e.attrib.get("class") == "net")
    names = [span.text for span in net.iter("span") if span.attrib.get("class") == "name"]
    assert sum(text.startswith("label's rail") for text in names) == 2
    view = network_view(context.problem, context.parts)
    assert [text.rstrip(":") for text in names] == [place.name for place in _walk(view)]
    assert len([li for li in net.iter("li") if li.attrib.get("class") == "narrowest"]) == 1
