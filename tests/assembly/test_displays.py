"""Which display hangs on which output, by hand on tiny assemblies.

Clocks: 1280 x 1024 at 60 Hz 108 MHz (VESA DMT), digital with reduced blanking 91 MHz, 1920 x 1080 likewise 138.5 MHz
(VESA CVT, from memory); HDMI of unknown version 165 MHz,
1.4 340 MHz, 2.0 600 MHz (HDMI specifications); fallback rates: displays reference 7.3.
"""

from __future__ import annotations

from typing import Any

import pytest
from support import make_problem, make_survey

from partsolver.assembly.displays import Link, Reach, assign, link_of
from partsolver.catalog.records import Extra, Offer
from partsolver.problem.problem import Problem
from partsolver.survey.model import Display
from partsolver.wishes.brief import Brief


def adapter(name: str, takes: str, gives: str, active: bool = False, limit_khz: int | None = None) -> Extra:
    return Extra(
        name, name, kind="display-adapter", takes=(takes,), gives=(gives,), active=active, limit_khz=limit_khz
    )


HDMI_VGA = adapter("hdmi-vga", "hdmi", "vga", True)
DVI_VGA = adapter("dvi-vga", "dvi-i", "vga")
HDMI_DVI = adapter("hdmi-dvi", "hdmi", "dvi-d")


def display(name: str = "monitor", inputs: tuple[str, ...] | None = ("vga",), **facts: Any) -> Display:
    return Display(
        **{"name": name, "inputs": inputs, "width_px": 1280, "height_px": 1024, "refresh_hz": 60, **facts}
    )


def pc(*displays: Display, extras: tuple[Extra, ...] = (), prices: tuple[int, ...] | None = None) -> Problem:
    more: dict[str, Any] = {}
    if prices is not None:
        fixed = [Offer(e.id, "shop", price) for e, price in zip(extras, prices, strict=True)]
        parts = [Offer(i, "shop", 1000) for i in ("board-a", "cpu-a", "kit-a", "cooler-a")]
        more["offers"] = [*parts, *fixed]
    return make_problem(make_survey(displays=displays), Brief(), extras=extras, **more)


SXGA, SXGA_DIGITAL, FULL_HD = 108_000, 91_000, 138_500


@pytest.mark.parametrize(
    ("output", "shown", "extras", "link"),
    [
        ("vga", {}, (), ("vga", "direct", SXGA, ())),
        ("hdmi-1.4", {}, (), None),
        ("hdmi-1.4", {}, (HDMI_VGA,), ("vga", "active", SXGA, ("hdmi-vga",))),
        # A passive plug makes no analogue picture of HDMI.
        ("hdmi-1.4", {}, (adapter("hdmi-vga", "hdmi", "vga"),), None),
        ("dvi-i", {}, (DVI_VGA,), ("vga", "passive", SXGA, ("dvi-vga",))),
        ("dvi-d", {}, (DVI_VGA,), None),  # no analogue contacts
        ("hdmi-1.4", {"inputs": ("dvi-d",)}, (HDMI_DVI,), ("dvi-d", "passive", SXGA_DIGITAL, ("hdmi-dvi",))),
        ("hdmi-1.4", {"inputs": ("dvi-i",)}, (HDMI_DVI,), ("dvi-i", "passive", SXGA_DIGITAL, ("hdmi-dvi",))),
        ("hdmi-1.4", {"inputs": ("vga", "hdmi-1.4")}, (HDMI_VGA,), ("hdmi-1.4", "direct", SXGA_DIGITAL, ())),
        ("hdmi-1.4", {"inputs": ("hdmi-1.4", "vga")}, (HDMI_VGA,), ("hdmi-1.4", "direct", SXGA_DIGITAL, ())),
        ("dp++-1.2", {"inputs": ("hdmi-1.4",)}, (adapter("a", "dp", "hdmi"),), ("hdmi-1.4", "passive", SXGA_DIGITAL, ("a",))),
        ("dp-1.2", {"inputs": ("hdmi-1.4",)}, (adapter("a", "dp", "hdmi"),), None),
        ("dp-1.2", {"inputs": ("hdmi-1.4",)}, (adapter("a", "dp", "hdmi", True),), ("hdmi-1.4", "active", SXGA_DIGITAL, ("a",))),
        # What is no link of ours (a screw terminal) is not plugged into.
        ("composite", {"inputs": ("vga",)}, (), None),
        ("vga", {"inputs": ("composite", "vga")}, (), ("vga", "direct", SXGA, ())),
        ("vga", {"inputs": ()}, (), None),
        # Nobody knows the mode: it needs nothing that is known.
        ("vga", {"width_px": None}, (), ("vga", "direct", 0, ())),
        ("vga", {"height_px": None}, (), ("vga", "direct", 0, ())),
        ("vga", {"refresh_hz": None}, (), ("vga", "direct", SXGA, ())),  # the usual 60 Hz
        ("hdmi-1.4", {"width_px": 1920, "height_px": 1080, "inputs": ("hdmi-1.4",)}, (),
         ("hdmi-1.4", "direct", FULL_HD, ())),
        # Its adapter's own limit, just enough and just too little.
        ("hdmi-1.4", {}, (adapter("a", "hdmi", "vga", True, SXGA),), ("vga", "active", SXGA, ("a",))),
        ("hdmi-1.4", {}, (adapter("a", "hdmi", "vga", True, SXGA - 1),), None),
    ],
)  # fmt: skip
def test_one_display_on_one_output(output: str, shown: dict[str, Any], extras: Any, link: Any) -> None:
    screen = display(**shown)
    found = link_of(pc(screen, extras=extras), output, screen)
    if link is None:
        assert found is None
    else:
        assert found is not None and (found.output, found.fallback_hz) == (output, 0)
        assert (found.input, found.kind, found.needed_khz, found.adapters) == link


def test_a_display_whose_inputs_nobody_knows() -> None:
    unknown = display(inputs=None)
    assert link_of(pc(unknown), "vga", unknown) == Link("vga", "unknown", "direct", 0, 0, ())


def test_all_adapters_that_serve_are_named() -> None:
    extras = (
        adapter("b", "hdmi", "vga", True),
        adapter("a", "hdmi-1.4", "vga", True),
        adapter("c", "dp", "vga", True),
    )
    found = link_of(pc(display(), extras=extras), "hdmi-1.4", display())
    assert found is not None and found.adapters == ("a", "b")


@pytest.mark.parametrize(
    ("width", "height", "rate", "output", "fallback"),
    [
        (1920, 1080, 144, "hdmi-1.2", 60),  # 165 MHz: full HD at 60 Hz at most
        (1920, 1080, 144, "hdmi-1.4", 120),
        (3840, 2160, 60, "hdmi-1.4", 30),  # large ones take 30 Hz
        (3840, 2160, 60, "hdmi-2.0", 0),
        (2560, 1600, 60, "hdmi-1.2", None),  # smaller ones do not
        (3839, 2160, 60, "hdmi-1.4", None),
        (3840, 2160, 30, "hdmi-1.2", None),  # no rate below its own
    ],
)
def test_slower_rates(width: int, height: int, rate: int, output: str, fallback: int | None) -> None:
    screen = display(inputs=(output,), width_px=width, height_px=height, refresh_hz=rate)
    found = link_of(pc(screen), output, screen)
    assert (None if found is None else found.fallback_hz) == fallback


def test_an_unknown_width_is_shown_as_it_is() -> None:
    screen = display(inputs=("hdmi-1.2",), width_px=None, refresh_hz=144)
    found = link_of(pc(screen), "hdmi-1.2", screen)
    assert found is not None and found.fallback_hz == 0 and found.needed_khz == 0


def names(reaches: tuple[Reach, ...]) -> list[tuple[str, str | None]]:
    return [(reach.display, None if reach.link is None else reach.link.output) for reach in reaches]


def test_as_few_as_possible_stay_dark() -> None:
    """The first takes the HDMI output, so that the second, which has VGA alone, is not dark."""
    both, old = display("both", ("vga", "hdmi-1.4")), display("old", ("vga",))
    assert names(assign(pc(both, old), ("vga", "hdmi-1.4"))) == [("both", "hdmi-1.4"), ("old", "vga")]
    assert names(assign(pc(both, old), ("vga",))) == [("both", "vga"), ("old", None)]
    assert names(assign(pc(both, old), ())) == [("both", None), ("old", None)]
    spare = old.model_copy(update={"required": False})
    assert names(assign(pc(both, spare), ("vga", "hdmi-1.4"))) == [("both", "vga")]


def test_no_more_pictures_than_the_source_makes() -> None:
    first, second = display("a"), display("b")
    problem = pc(first, second)
    assert names(assign(problem, ("vga", "vga"), 1)) == [("a", "vga"), ("b", None)]
    assert names(assign(problem, ("vga", "vga"), 2)) == [("a", "vga"), ("b", "vga")]
    assert names(assign(problem, ("vga", "vga"), 9)) == [("a", "vga"), ("b", "vga")]
    assert names(assign(problem, ("vga", "vga"), 0)) == [("a", None), ("b", None)]
    assert names(assign(problem, ("vga", "vga"))) == [("a", "vga"), ("b", "vga")]


def test_then_their_own_rate_then_fewest_adapters_then_the_cheapest() -> None:
    fast = display("fast", ("hdmi-2.0",), width_px=1920, height_px=1080, refresh_hz=144)
    assert names(assign(pc(fast), ("hdmi-1.2", "hdmi-2.0"))) == [("fast", "hdmi-2.0")]
    old = display("old")
    assert names(assign(pc(old, extras=(HDMI_VGA,)), ("hdmi-1.4", "vga"))) == [("old", "vga")]
    two = (HDMI_VGA, adapter("dp-vga", "dp", "vga", True))
    for prices, output in (((300, 200), "dp-1.2"), ((200, 300), "hdmi-1.4"), ((200, 200), "hdmi-1.4")):
        problem = pc(old, extras=two, prices=prices)
        assert names(assign(problem, ("hdmi-1.4", "dp-1.2"))) == [("old", output)]
    # Through an adapter at its own rate before a plain cable at a lower one.
    wide = display("wide", ("hdmi-1.2", "dp-1.2"), width_px=1920, height_px=1080, refresh_hz=120)
    problem = pc(wide, extras=(adapter("hdmi-dp", "hdmi", "dp", True, 340_000),))
    (found,) = assign(problem, ("hdmi-1.4",))
    assert found.link is not None and (found.link.kind, found.link.fallback_hz) == ("active", 0)
    # Two at their own rate and one adapter before one at a lower rate.
    problem = pc(old, fast, extras=(HDMI_VGA,))
    assert names(assign(problem, ("hdmi-2.0", "hdmi-1.2", "vga"))) == [("old", "vga"), ("fast", "hdmi-2.0")]


def test_what_a_version_nobody_knows_leaves_open() -> None:
    """3840 x 2160 at 60 Hz and 30 Hz: dark with the least HDMI, not with the best."""
    large = display("large", ("hdmi-2.0",), width_px=3840, height_px=2160)
    (found,) = assign(pc(large), ("hdmi",))
    assert (found.link, found.open, found.assumed) == (None, "outputs", False)
    (found,) = assign(pc(large.model_copy(update={"inputs": ("hdmi",)})), ("hdmi-2.0",))
    assert (found.link, found.open) == (None, "inputs")
    (found,) = assign(pc(large.model_copy(update={"inputs": ("hdmi-1.2",)})), ("hdmi-1.2",))
    assert (found.link, found.open) == (None, "")
    # The best that HDMI can be does not help a VGA monitor.
    found, other = assign(pc(display(), large), ("hdmi",))
    assert (found.open, other.open) == ("", "outputs")
    assert not [r for r in assign(pc(display(inputs=("hdmi",))), ("hdmi",)) if r.open or r.link is None]
    # What nobody knows the inputs of takes the one output; the other is not helped by a better one.
    unknown = display("unknown", None)
    first, second = assign(pc(unknown, large), ("hdmi",))
    assert first.assumed and first.link is not None and first.open == ""
    assert (second.link, second.assumed, second.open) == (None, False, "")


@pytest.mark.parametrize("output", ["vga", "hdmi"])
def test_of_two_displays_on_one_output_one_is_dark_whatever_the_versions_are(output: str) -> None:
    """Also where nobody knows the inputs of the one that stands first."""
    unknown, old = display("unknown", None), display("old", (output,))
    for displays in ((unknown, old), (old, unknown)):
        lit, dark = assign(pc(*displays), (output,))
        assert lit.link is not None and (dark.link, dark.open) == (None, "")


@pytest.mark.parametrize(
    ("output", "inputs", "extra"),
    [
        ("dp-1.2", ("vga",), HDMI_VGA),  # its plug is another one
        ("hdmi-1.4", ("hdmi-1.2",), None),
        ("dp-1.2", ("hdmi-1.4",), adapter("a", "dp", "vga", True)),  # its socket is another one
        ("dvi-i", ("vga",), adapter("a", "dvi-d", "vga")),  # no analogue contacts in its plug
        ("dvi-i", ("hdmi-1.4",), adapter("a", "dp", "hdmi")),
        ("hdmi-1.4", ("dvi-i",), adapter("a", "hdmi", "vga")),
    ],
)
def test_adapters_whose_ends_do_not_fit(output: str, inputs: tuple[str, ...], extra: Extra | None) -> None:
    screen = display(inputs=inputs)
    found = link_of(pc(screen, extras=() if extra is None else (extra,)), output, screen)
    assert found is None if extra is not None else found is not None


@pytest.mark.parametrize(
    ("output", "word"), [("dvi-i", "dvi-d"), ("dvi-i-dual", "dvi-d"), ("dvi-d", "dvi-d"), ("dp++-1.2", "dp")]
)
def test_a_digital_plug_in_a_socket_with_analogue_contacts_too(output: str, word: str) -> None:
    screen = display(inputs=("hdmi-1.4",))
    found = link_of(pc(screen, extras=(adapter("a", word, "hdmi"),)), output, screen)
    assert found is not None and (found.kind, found.adapters) == ("passive", ("a",))


def test_an_adapter_that_serves_two_inputs_is_named_once() -> None:
    either = Extra(
        "either", "Either", kind="display-adapter", takes=("hdmi",), gives=("vga", "dp"), active=True
    )
    screen = display(inputs=("vga", "dp-1.2"))
    found = link_of(pc(screen, extras=(either,)), "hdmi-1.4", screen)
    assert found is not None and (found.adapters, found.input) == (("either",), "vga")


def test_costs_of_several_displays_add_up() -> None:
    """Three monitors: the cheapest of all ways together, dark ones counting most, then slow ones, then adapters."""
    old, other = display("old"), display("other")
    dear, cheap = HDMI_VGA, adapter("dp-vga", "dp", "vga", True)
    problem = pc(old, other, extras=(dear, cheap), prices=(700, 200))
    # One plain cable and the cheap adapter; whoever stands first gets the output that stands first.
    assert names(assign(problem, ("hdmi-1.4", "dp-1.2", "vga"))) == [("old", "dp-1.2"), ("other", "vga")]
    assert names(assign(problem, ("hdmi-1.4", "vga", "dp-1.2"))) == [("old", "vga"), ("other", "dp-1.2")]
    assert names(assign(problem, ("hdmi-1.4", "dp-1.2"))) == [("old", "hdmi-1.4"), ("other", "dp-1.2")]
    # Two slow plain cables are worse than one slow and one adapter.
    fast = [
        display(name, ("hdmi-1.2", "dp-1.2"), width_px=1920, height_px=1080, refresh_hz=120) for name in "ab"
    ]
    problem = pc(*fast, extras=(adapter("hdmi-dp", "hdmi", "dp", True, 340_000),))
    found = assign(problem, ("hdmi-1.2", "hdmi-1.4"))
    assert sorted(r.link.fallback_hz for r in found if r.link is not None) == [0, 60]
    # Three that are dark are worse than two; of three the first two are lit.
    three = (old, other, display("third"))
    assert names(assign(pc(*three), ("vga", "vga"))) == [("old", "vga"), ("other", "vga"), ("third", None)]
    # The first goes without where that lights two others.
    both = display("wants-vga", ("vga",))
    large = display("large", ("hdmi-1.4",))
    wide = display("wide", ("vga", "hdmi-1.4"))
    lit = assign(pc(wide, both, large), ("hdmi-1.4", "vga"))
    assert names(lit) == [("wide", "hdmi-1.4"), ("wants-vga", "vga"), ("large", None)]
