"""Picture source and displays.

Clocks: 1680 x 1050 at 60 Hz 146.25 MHz with normal blanking (DMT 0x3a) and 119 MHz with reduced blanking
(0x39); 1920 x 1080 at 60 Hz 138.5 MHz by CVT reduced blanking; 2560 x 1440 at 60 Hz 241.5 MHz; 3840 x 2160 at
60 Hz 533.25 MHz (edid-decode). Links: single-link DVI 165 MHz, HDMI 1.4 340 MHz, DisplayPort 1.2 720 MHz at
24 bit (storage and video reference, sections 3.1 to 3.3).
"""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import (
    BOARD,
    CASE,
    CPU,
    GRAPHICS,
    OLD_BOARD,
    OLD_CPU,
    agree,
    findings,
    make_problem,
    make_survey,
    needs_of,
    pick,
)

from partsolver.assembly.displays import assign, link_of
from partsolver.catalog.records import Extra, Offer
from partsolver.catalog.sockets import Slot
from partsolver.problem.problem import Problem
from partsolver.report.words.picture import WORDS
from partsolver.report.words.record import Names
from partsolver.rules import picture_displays, picture_source
from partsolver.survey.model import Card, Display
from partsolver.wishes.brief import Brief


def adapter(id: str, takes: str, gives: str, limit_khz: int | None = 165_000, active: bool = False) -> Extra:
    return Extra(
        id=id,
        name=id,
        kind="display-adapter",
        takes=(takes,),
        gives=(gives,),
        limit_khz=limit_khz,
        active=active,
    )


VGA_FROM_HDMI = adapter("vga-from-hdmi", "hdmi", "vga", active=True)
VGA_SLOW = adapter("vga-slow", "hdmi", "vga", 108_000, True)
VGA_FROM_DVI_D = adapter("vga-from-dvi-d", "dvi-d", "vga", active=True)
VGA_PLUG = adapter("vga-plug", "dvi-i", "vga", None)
DVI_FROM_HDMI = adapter("dvi-from-hdmi", "hdmi", "dvi-d")
DVI_FROM_DP = adapter("dvi-from-dp", "dp++", "dvi-d")
HDMI_FROM_DP = adapter("hdmi-from-dp", "dp", "hdmi", 600_000, True)
CARD = Card(
    name="graphics",
    kind="graphics",
    bus="pcie",
    lanes=16,
    height="full",
    width_slots=1,
    outputs=("dvi-i",),
    uefi=False,
)
NO_GRAPHICS = replace(CPU, id="cpu-dark", graphics_score=0)


def display(
    inputs: tuple[str, ...] | None,
    width: int | None = 1680,
    height: int | None = 1050,
    name: str = "d1",
    required: bool = True,
) -> Display:
    return Display(
        name=name, inputs=inputs, width_px=width, height_px=height, refresh_hz=60, required=required
    )


def shown(
    displays: tuple[Display, ...], outputs: tuple[str, ...] | None, *extras: Extra, **survey: object
) -> Problem:
    return make_problem(
        make_survey(displays=displays, **survey), boards=[replace(BOARD, outputs=outputs)], extras=extras
    )


@pytest.mark.parametrize(
    "graphics, outputs, slots, cards, verdict, value",
    [
        (500, ("vga",), (), (), "fits", "integrated"),
        (0, ("vga",), (), (), "fails", "none"),  # case A47
        (500, (), (), (), "fails", "none"),
        (0, (), (Slot("x16", 16),), (CARD,), "fits", "card"),
        (0, (), (Slot("x1", 1),), (CARD,), "fails", "none"),  # the card has no place
        (None, ("vga",), (), (), "unknown", None),
        (500, None, (), (), "unknown", None),
    ],
)
def test_source(
    graphics: int | None,
    outputs: tuple[str, ...] | None,
    slots: tuple[Slot, ...],
    cards: tuple[Card, ...],
    verdict: str,
    value: str | None,
) -> None:
    problem = make_problem(
        make_survey(cards=cards),
        boards=[replace(BOARD, outputs=outputs, slots=slots)],
        cpus=[replace(CPU, graphics_score=graphics)],
    )
    (found,) = findings(picture_source, problem)
    assert (found.verdict, found.value, found.blocks) == (verdict, value, False)
    if verdict == "unknown":
        assert found.question == ("cpu:cpu-a.graphics_score" if graphics is None else "board:board-a.outputs")
    if value == "none":
        assert found.fact("missing") == ("outputs" if not outputs else "graphics")
    present = problem.present()
    assert present is not None
    (today,) = findings(picture_source, problem, present)
    assert (today.verdict, today.fact("today")) == ("fits", "yes")
    assert today.value == ("card" if cards else "integrated")  # the present board has a slot for it


@pytest.mark.parametrize(
    "uefi, modes, fact",
    [
        (False, ("uefi",), "no"),
        (None, ("uefi",), "unknown"),
        (True, ("uefi",), None),
        (False, ("legacy", "uefi"), None),
    ],
)
def test_old_card_on_uefi_only_is_a_remark(
    uefi: bool | None, modes: tuple[str, ...], fact: str | None
) -> None:
    problem = make_problem(
        make_survey(cards=(CARD.model_copy(update={"uefi": uefi}),)),
        boards=[replace(BOARD, firmware_modes=modes)],
    )
    (found,) = findings(picture_source, problem)
    assert (found.verdict, found.fact("card_uefi"), found.fact("card")) == ("fits", fact, "graphics")


@pytest.mark.parametrize(
    "secure, uefi, legacy, modes, verdict, facts",
    [
        (False, False, None, ("legacy", "uefi"), "fits", {}),
        (False, None, None, ("uefi",), "fits", {"card_uefi": "unknown"}),
        (False, False, None, ("uefi",), "fits", {"card_uefi": "no"}),
        (False, None, False, ("legacy",), "fits", {"card_legacy": "no"}),
        (False, None, None, ("legacy",), "fits", {}),
        (True, True, None, ("legacy", "uefi"), "fits", {}),
        (True, None, None, ("legacy", "uefi"), "fits", {"secure_boot": "yes", "card_uefi": "unknown"}),
        (True, False, None, ("legacy", "uefi"), "fits", {"secure_boot": "yes", "card_uefi": "no"}),
        (True, False, None, ("uefi",), "fits", {"card_uefi": "no"}),  # it starts no other way anyhow
        (True, False, None, None, "fits", {"secure_boot": "yes", "card_uefi": "no"}),
    ],
)
def test_what_is_said_of_a_card_at_the_start(
    secure: bool,
    uefi: bool | None,
    legacy: bool | None,
    modes: tuple[str, ...] | None,
    verdict: str,
    facts: dict[str, str],
) -> None:
    """Secure Boot starts in UEFI mode alone (start reference, section 2.3); the processor makes a picture besides."""
    card = CARD.model_copy(update={"uefi": uefi, "legacy_video": legacy})
    brief = Brief(budget="10000.00", secure_boot=secure, replace=("graphics",))
    boards = [replace(BOARD, firmware_modes=modes)]
    problem = make_problem(make_survey(cards=(card,)), brief, boards=boards)
    (found,) = findings(picture_source, problem)
    assert (found.verdict, found.value, dict(found.facts)) == (verdict, "card", {"card": "graphics", **facts})
    # The same card bought: said of it, and asked of it where nothing else makes a picture.
    bought = replace(GRAPHICS, name="new", uefi=uefi, legacy_video=legacy)
    problem = make_problem(None, brief, boards=boards, cpus=[CPU, NO_GRAPHICS], graphics=[bought])
    (found,) = findings(picture_source, problem, pick(problem, cpu="cpu-a", graphics="graphics-a"))
    assert dict(found.facts) == {"card": "new", "bought": "yes", **facts}
    (found,) = findings(picture_source, problem, pick(problem, cpu="cpu-dark", graphics="graphics-a"))
    alone = {"no": "fails", "unknown": "unknown"}.get(
        facts.get("card_uefi", facts.get("card_legacy", "")), "fits"
    )
    assert found.verdict == alone
    assert found.question == ("graphics:graphics-a.uefi" if alone == "unknown" else None)
    agree(picture_source, problem)


def test_source_agrees() -> None:
    boards = [
        BOARD,
        replace(BOARD, id="b-dark", outputs=()),
        replace(BOARD, id="b-u", outputs=None, slots=()),
    ]
    brief = Brief(budget="10000.00", replace=("case",))
    for cards in ((), (CARD,)):
        survey = make_survey(cards=cards, cpu=replace(OLD_CPU, graphics_score=0))
        cases = [replace(CASE, id="case-low", slot_height="low")]
        problem = make_problem(
            survey, brief, boards=boards, cpus=[CPU, NO_GRAPHICS], cases=cases, memory=[], coolers=[]
        )
        assert min(agree(picture_source, problem)) > 0


@pytest.mark.parametrize(
    "inputs, width, height, outputs, extras, verdict, needed, kind",
    [
        (("vga",), 1680, 1050, ("vga",), (), "fits", 146_250, "direct"),
        (("vga",), 1680, 1050, ("hdmi-1.4",), (), "fails", None, None),
        (("vga",), 1680, 1050, ("hdmi-1.4",), (VGA_FROM_HDMI,), "fits", 146_250, "active"),
        (("vga",), 1680, 1050, ("hdmi-1.4",), (VGA_SLOW,), "fails", None, None),  # 146.25 MHz through 108 MHz
        (("vga",), 1680, 1050, ("hdmi-1.4",), (replace(VGA_FROM_HDMI, active=False),), "fails", None, None),
        (("vga",), 1680, 1050, ("dvi-d",), (VGA_PLUG,), "fails", None, None),  # no analogue contacts in DVI-D
        (("vga",), 1680, 1050, ("dvi-d",), (VGA_FROM_DVI_D,), "fits", 146_250, "active"),
        (("vga",), 1680, 1050, ("dvi-i",), (VGA_PLUG,), "fits", 146_250, "passive"),
        (("dvi-d",), 1920, 1080, ("hdmi-1.4",), (DVI_FROM_HDMI,), "fits", 138_500, "passive"),
        (
            ("dvi-d-dual",),
            2560,
            1440,
            ("hdmi-1.4",),
            (DVI_FROM_HDMI,),
            "fails",
            None,
            None,
        ),  # single link only
        (("hdmi-1.4",), 2560, 1440, ("hdmi-1.4",), (), "fits", 241_500, "direct"),
        # At 60 Hz 533.25 MHz, more than 340; at 30 Hz 262.75 MHz (the same table).
        (("hdmi-2.0",), 3840, 2160, ("hdmi-1.4",), (), "fits", 262_750, "direct"),
        (("dp-1.2",), 3840, 2160, ("dp-1.2",), (), "fits", 533_250, "direct"),
        (("hdmi-2.0",), 3840, 2160, ("dp-1.2",), (HDMI_FROM_DP,), "fits", 533_250, "active"),
        (("dvi-d",), 1920, 1080, ("dp++-1.2",), (DVI_FROM_DP,), "fits", 138_500, "passive"),
        (
            ("dvi-d",),
            1920,
            1080,
            ("dp-1.2",),
            (DVI_FROM_DP,),
            "fails",
            None,
            None,
        ),  # without dual mode only active
        (("vga", "hdmi-1.4"), 1680, 1050, ("hdmi-1.4",), (), "fits", 119_000, "direct"),
        (("hdmi-1.4",), None, None, ("hdmi-1.4",), (), "fits", None, "direct"),  # mode not known
    ],
)
def test_one_display(
    inputs: tuple[str, ...],
    width: int | None,
    height: int | None,
    outputs: tuple[str, ...],
    extras: tuple[Extra, ...],
    verdict: str,
    needed: int | None,
    kind: str | None,
) -> None:
    found, *more = findings(picture_displays, shown((display(inputs, width, height),), outputs, *extras))
    # without the size of its picture it is not known whether the link is fast enough
    asked = ["display.width_px"] if verdict == "fits" and width is None else []
    assert [finding.question for finding in more] == asked
    assert (found.verdict, found.fact("kind"), found.fact("display")) == (verdict, kind, "d1")
    assert found.value == (needed if verdict == "fits" else "dark")
    assert found.fact("adapter") == (extras[0].id if extras and verdict == "fits" else None)


@pytest.mark.parametrize(
    "inputs, size, refresh, output, rate",
    [
        # Displays reference, section 7.3 (computed from VESA CVT reduced blanking).
        (("hdmi-2.0",), (1920, 1080), 144, "hdmi-1.4", 120),
        (("dvi-d",), (1920, 1080), 144, "dvi-d", 60),
        (("hdmi-2.0",), (3840, 2160), 60, "hdmi-1.4", 30),
        (("hdmi-2.0",), (3840, 2160), None, "hdmi-1.4", 30),  # nobody told its rate: 60 Hz is usual
        (("dp-1.2",), (2560, 1440), 144, "dp-1.2", None),  # 604 MHz of 720
        (("vga",), (1680, 1050), 60, "hdmi-1.4", "dark"),  # no cable at any rate
    ],
)
def test_a_faster_display_falls_back(inputs, size, refresh, output, rate) -> None:
    wanted = display(inputs, *size).model_copy(update={"refresh_hz": refresh})
    (found,) = findings(picture_displays, shown((wanted,), (output,)))
    assert found.verdict == ("fails" if rate == "dark" else "fits")
    falls = isinstance(rate, int)
    assert found.fact("fallback_hz") == (rate if falls else None)
    assert found.fact("own_hz") == ((refresh or 60) if falls else None)


@pytest.mark.parametrize(
    "stated, year, kept_cpu, value",
    [
        (0, 2009, 0, "none"),
        (50, 2009, 0, "board"),
        (None, 2009, 0, "board"),  # the PC has a picture today: nothing else makes it
        (None, 2009, None, None),  # either may: asked
        (None, 2013, 150, "none"),
        (None, None, 150, None),
    ],
)
def test_graphics_of_the_board(stated, year, kept_cpu, value) -> None:
    survey = make_survey(
        board=replace(OLD_BOARD, graphics_score=stated, year=year),
        cpu=replace(OLD_CPU, graphics_score=kept_cpu),
    )
    problem = make_problem(survey, cpus=[replace(NO_GRAPHICS, socket="sock-0")])
    (found,) = findings(picture_source, problem, pick(problem, board="kept-board", cpu="cpu-dark"))
    assert found.value == value
    if value is None:
        assert found.question == "board.graphics_score"
    agree(picture_source, problem)


@pytest.mark.parametrize(
    "uefi, graphics, verdict, question",
    [
        (False, 0, "fails", None),
        (None, 0, "unknown", "card.uefi"),
        (True, 0, "fits", None),
        (False, 500, "fits", None),
        (False, None, "unknown", "cpu:cpu-a.graphics_score"),
    ],
)
def test_blind_card_and_nothing_else(uefi, graphics, verdict, question) -> None:
    """A card without a UEFI part on a UEFI-only board stays dark (case C05; start reference, section 2.3)."""
    problem = make_problem(
        make_survey(cards=(CARD.model_copy(update={"uefi": uefi}),)),
        boards=[replace(BOARD, firmware_modes=("uefi",))],
        cpus=[replace(CPU, graphics_score=graphics)],
    )
    (found,) = findings(picture_source, problem)
    assert (found.verdict, found.question, found.blocks) == (verdict, question, False)
    assert (agree(picture_source, problem)[1] > 0) == (verdict == "fails")


def test_direct_facts() -> None:
    (found,) = findings(picture_displays, shown((display(("hdmi-1.4",), 2560, 1440),), ("hdmi-1.4",)))
    assert (found.value, found.limit, found.margin, found.unit, found.parts) == (
        241_500,
        340_000,
        98_500,
        "kHz",
        ("board-a",),
    )
    assert found.facts == (
        ("display", "d1"),
        ("input", "hdmi-1.4"),
        ("kind", "direct"),
        ("output", "hdmi-1.4"),
    )


def test_each_display_falls_back_from_its_own_rate() -> None:
    """3840 x 2160 at 60 Hz needs 533.25 MHz, at 50 Hz five sixths of its pixels, 440 MHz and more; HDMI 1.4
    carries 340 and so 30 Hz, 262.75 MHz."""
    large = [display(("hdmi-2.0",), 3840, 2160, name=name) for name in ("d1", "d2")]
    wanted = (large[0], large[1].model_copy(update={"refresh_hz": 50}))
    found = findings(picture_displays, shown(wanted, ("hdmi-1.4", "hdmi-1.4")))
    told = [(f.fact("display"), f.value, f.fact("fallback_hz"), f.fact("own_hz")) for f in found]
    assert told == [("d1", 262_750, 30, 60), ("d2", 262_750, 30, 50)]


@pytest.mark.parametrize(
    ("outputs", "told"),
    [
        # DP 1.2 and later carry the picture (533.25 of 720 MHz), DP 1.1 does not: nobody knows the version.
        (("dp",), [("unknown", "d1", None), ("fails", "d2", "dp")]),
        ((), [("fails", "d1", "none"), ("fails", "d2", "none")]),
    ],
)
def test_each_display_is_told_of(outputs: tuple[str, ...], told: list[tuple[str, str, str | None]]) -> None:
    wanted = (display(("dp",), 3840, 2160, name="d1"), display(("vga",), name="d2"))
    found = findings(picture_displays, shown(wanted, outputs))
    assert [(f.verdict, f.fact("display"), f.fact("outputs")) for f in found] == told


def test_each_output_serves_one_display() -> None:
    two = (display(("vga",), name="d1"), display(("vga",), name="d2"))
    problem = shown(two, ("vga", "hdmi-1.4"), VGA_FROM_HDMI)
    found = findings(picture_displays, problem)
    assert [(f.verdict, f.fact("output"), f.fact("adapter")) for f in found] == [
        ("fits", "vga", None),
        ("fits", "hdmi-1.4", "vga-from-hdmi"),
    ]
    assert [f.verdict for f in findings(picture_displays, shown(two, ("vga",), VGA_FROM_HDMI))] == [
        "fits",
        "fails",
    ]
    # The display that has a choice leaves VGA to the one that has none.
    mixed = (display(("vga", "hdmi-1.4"), name="d1"), display(("vga",), name="d2"))
    found = findings(picture_displays, shown(mixed, ("vga", "hdmi-1.4")))
    assert [(f.verdict, f.fact("output")) for f in found] == [("fits", "hdmi-1.4"), ("fits", "vga")]


def test_the_cheapest_adapters_decide_among_equals() -> None:
    extras = (VGA_FROM_HDMI, VGA_FROM_DVI_D)
    offers = [Offer("vga-from-hdmi", "shop", 2000), Offer("vga-from-dvi-d", "shop", 900)]
    offers += [Offer(part, "shop", 100) for part in ("board-a", "cpu-a", "kit-a", "cooler-a")]
    problem = make_problem(
        make_survey(displays=(display(("vga",)),)),
        boards=[replace(BOARD, outputs=("hdmi-1.4", "dvi-d"))],
        extras=extras,
        offers=offers,
    )
    (need,) = needs_of(picture_displays, pick(problem), problem)  # type: ignore[arg-type]
    assert (need.options, need.kind) == ((("vga-from-dvi-d", 1),), "display-adapter")


def test_displays_irrelevant_unknown_today_and_dark() -> None:
    assert findings(picture_displays, make_problem()) == ()
    assert findings(picture_displays, shown((display(("vga",), required=False),), ())) == ()
    (found,) = findings(picture_displays, shown((display(None),), ("hdmi-1.4",)))
    assert (found.verdict, found.question, found.admits) == ("unknown", "display.inputs", True)
    problem = shown((display(("vga",)),), None)
    (found,) = findings(picture_displays, problem)
    assert (found.verdict, found.question) == ("unknown", "board:board-a.outputs")
    present = problem.present()
    assert present is not None and findings(picture_displays, problem, present)[0].facts == (
        ("today", "yes"),
    )
    (found,) = findings(
        picture_displays, shown((display(("vga",)),), (), cards=(CARD.model_copy(update={"outputs": None}),))
    )
    assert (found.verdict, found.question) == ("unknown", "card.outputs")
    # The present board makes the picture, and nobody looked at its plugs.
    old = replace(OLD_BOARD, graphics_score=50, outputs=None)
    problem = make_problem(make_survey(displays=(display(("vga",)),), board=old), cpus=[NO_GRAPHICS])
    (found,) = findings(picture_displays, problem, pick(problem, board="kept-board", cpu="cpu-dark"))
    assert (found.verdict, found.question) == ("unknown", "board.outputs")
    problem = make_problem(make_survey(displays=(display(("vga",)),)), cpus=[NO_GRAPHICS])
    assert findings(picture_displays, problem)[0].verdict == "fails"


def test_displays_agree() -> None:
    boards = [
        BOARD,
        replace(BOARD, id="b-hdmi", outputs=("hdmi-1.4",), slots=()),
        replace(BOARD, id="b-dp", outputs=("dp-1.2",), slots=()),
        replace(BOARD, id="b-u", outputs=None, slots=()),
    ]
    dark = replace(CPU, id="cpu-u", graphics_score=None)
    small = make_problem(
        make_survey(displays=(display(("vga",)),)), boards=[boards[1]], cpus=[dark], memory=[], coolers=[]
    )
    assert min(agree(picture_displays, small)) > 0
    for cards in ((), (CARD,)):
        survey = make_survey(
            displays=(display(("vga",)),), cards=cards, board=replace(OLD_BOARD, slots=(Slot("x1", 1),))
        )
        problem = make_problem(
            survey,
            boards=boards,
            cpus=[CPU, NO_GRAPHICS],
            extras=[VGA_FROM_HDMI, VGA_PLUG],
            memory=[],
            coolers=[],
        )
        assert min(agree(picture_displays, problem)) > 0


# Clocks of graphics in processors (start reference, section 7.1: Linux 6.1 intel_hdmi.c): LGA1155 225 MHz, LGA1150 to
# LGA1200 300 MHz, from the 11th generation (2021) on 594 MHz. 2560 x 1440 at 60 Hz needs 241.5 MHz, 3440 x 1440
# 319.75 MHz (edid-decode).
@pytest.mark.parametrize(
    ("socket", "year", "output", "size", "limit"),
    [
        ("lga1155", 2012, "hdmi-1.4", (1920, 1080), 225_000),
        ("lga1155", 2012, "hdmi-1.4", (2560, 1440), None),
        ("lga1156", 2010, "hdmi-1.4", (2560, 1440), None),
        ("lga1155", 2012, "dvi-d-dual", (2560, 1440), None),
        ("lga1155", 2012, "dp-1.1", (2560, 1440), 360_000),
        ("lga1150", 2013, "hdmi-1.4", (2560, 1440), 300_000),
        ("lga1150", 2013, "hdmi-1.4", (3440, 1440), None),
        ("lga1151", 2016, "hdmi-1.4", (3440, 1440), None),
        ("lga1151-2", 2018, "hdmi-1.4", (3440, 1440), None),
        ("lga1151", 2016, "hdmi-2.0", (3440, 1440), 600_000),  # by a converter chip of the board
        ("lga1200", 2020, "hdmi-1.4", (3440, 1440), None),
        ("lga1200", None, "hdmi-1.4", (3440, 1440), None),
        ("lga1200", 2021, "hdmi-1.4", (3440, 1440), 340_000),
        ("sock-1", 2012, "hdmi-1.4", (3440, 1440), 340_000),
    ],
)
def test_a_processor_sends_less_than_the_socket_says(
    socket: str, year: int | None, output: str, size: tuple[int, int], limit: int | None
) -> None:
    screen = display((output.replace("-dual", ""), "dvi-d-dual"), *size)
    screen = screen if output.startswith("dvi") else display((output,), *size)
    cpus = [replace(CPU, socket=socket, year=year), replace(NO_GRAPHICS, socket=socket, year=year)]
    boards = [replace(BOARD, socket=socket, outputs=(output,), graphics_score=0)]
    problem = make_problem(make_survey(displays=(screen,)), boards=boards, cpus=cpus, coolers=())
    (found,) = findings(picture_displays, problem, pick(problem, cpu="cpu-a"))
    assert (found.verdict, found.limit) == (("fails", None) if limit is None else ("fits", limit))
    said = "MHz at most over HDMI and DVI" in WORDS[picture_displays.ID].sentence(found, Names())
    assert said is (limit is None)
    agree(picture_displays, problem)
    # A graphics card sends what its own sockets say.
    of_card = CARD.model_copy(update={"outputs": (output,), "uefi": True})
    carded = make_problem(make_survey(displays=(screen,), cards=(of_card,)), boards=boards, cpus=cpus)
    assert findings(picture_displays, carded, pick(carded, cpu="cpu-a"))[0].verdict == "fits"


def test_a_passive_adapter_of_displayport_carries_what_the_graphics_send() -> None:
    """The adapter alone would carry 300 MHz; an active one makes the signal itself."""
    screen = display(("hdmi-1.4",), 2560, 1440)
    passive = adapter("passive", "dp++", "hdmi", 300_000)
    active = adapter("active", "dp", "hdmi", 300_000, True)
    for extras, verdict in (((passive,), "fails"), ((active,), "fits")):
        problem = make_problem(
            make_survey(displays=(screen,)),
            boards=[replace(BOARD, socket="lga1155", outputs=("dp++-1.1",))],
            cpus=[replace(CPU, socket="lga1155")],
            extras=extras,
        )
        assert findings(picture_displays, problem)[0].verdict == verdict
        agree(picture_displays, problem)


# The third generation of LGA1155 has two clock generators: three pictures only with two on DisplayPort (start
# reference, section 7.1: the maker's slide).
@pytest.mark.parametrize(
    ("socket", "outputs", "dark"),
    [
        ("lga1155", ("hdmi-1.4", "dvi-d"), 0),
        ("lga1155", ("hdmi-1.4", "dvi-d", "vga"), 1),
        ("lga1155", ("hdmi-1.4", "dp-1.1", "vga"), 1),
        ("lga1155", ("hdmi-1.4", "dp-1.1", "dp-1.1"), 0),
        ("lga1155", ("dp-1.1", "dp-1.1", "dp-1.1"), 0),
        ("lga1150", ("hdmi-1.4", "dvi-d", "vga"), 0),
    ],
)
def test_three_pictures_of_two_clock_generators(socket: str, outputs: tuple[str, ...], dark: int) -> None:
    screens = tuple(display((link,), 1280, 1024, name=f"d{n}") for n, link in enumerate(outputs))
    problem = make_problem(
        make_survey(displays=screens),
        boards=[replace(BOARD, socket=socket, outputs=outputs)],
        cpus=[replace(CPU, socket=socket, max_displays=3)],
    )
    found = findings(picture_displays, problem)
    assert [f.verdict for f in found] == ["fits"] * (len(outputs) - dark) + ["fails"] * dark
    assert [f.fact("clocks") for f in found if f.verdict == "fails"] == [2] * dark
    assert all(WORDS[picture_displays.ID].sentence(f, Names()).endswith(".") for f in found)
    agree(picture_displays, problem)


# 1920 x 1200 at 60 Hz on VGA: 193.25 MHz with the usual blanking (DMT 0x45), 154 MHz with the reduced one (DMT 0x44),
# which a display may not take on VGA (start reference, 7.3). The graphics of LGA1150 carry 180 MHz; from LGA1151 on a
# VGA socket is that of a converter (7.1), 165 MHz where nobody says more (setting active_vga_adapter_khz).
@pytest.mark.parametrize(
    ("socket", "output", "reduced", "verdict", "limit"),
    [
        ("lga1150", "vga", None, "unknown", None),
        ("lga1150", "vga", False, "fails", 180_000),
        ("lga1150", "vga", True, "fits", 180_000),
        ("lga1150", "dvi-i", None, "unknown", None),  # through a plug on the analogue contacts
        ("lga1151", "vga", None, "unknown", None),
        ("lga1151-2", "vga", False, "fails", 165_000),
        ("lga1200", "vga", True, "fits", 165_000),
        ("lga1700", "vga", None, "unknown", None),
        ("lga1155", "vga", None, "fits", 210_000),  # 350 MHz: setting vga_max_khz
        ("lga1155", "vga", True, "fits", 210_000),
    ],
)
@pytest.mark.parametrize("year", [2014, 2021])
def test_vga_at_1920_by_1200(
    socket: str, output: str, reduced: bool | None, verdict: str, limit: int | None, year: int
) -> None:
    screen = display(("vga",), 1920, 1200).model_copy(update={"reduced_blanking": reduced})
    boards = [replace(BOARD, socket=socket, outputs=(output,), graphics_score=0)]
    cpus = [replace(CPU, socket=socket, year=year)]
    problem = make_problem(
        make_survey(displays=(screen,)), boards=boards, cpus=cpus, extras=[VGA_PLUG], coolers=()
    )
    (found,) = findings(picture_displays, problem)
    assert (found.verdict, found.admits) == (verdict, verdict != "fails")
    sentence = WORDS[picture_displays.ID].sentence(found, Names())
    if verdict == "unknown":
        assert found.question == "display.reduced_blanking"
        assert (found.fact("usual_khz"), found.fact("reduced_khz")) == (193_250, 154_000)
        assert "reduced blanking on VGA is not known" in sentence
    elif verdict == "fails":
        assert found.fact("analogue_khz") == limit
        assert f"carries {limit // 1000}.0 MHz at most" in sentence
    else:
        assert (found.value, found.limit) == (154_000 if reduced else 193_250, limit)
    agree(picture_displays, problem)
    # A smaller picture needs no question: 1680 x 1050 takes 146.25 MHz (DMT 0x3a).
    small = make_problem(
        make_survey(displays=(display(("vga",)),)), boards=boards, cpus=cpus, extras=[VGA_PLUG], coolers=()
    )
    assert findings(picture_displays, small)[0].verdict == "fits"


def test_a_converter_on_the_cable_takes_reduced_blanking_likewise() -> None:
    """165 MHz: less than 193.25, more than 154 (see above). A display with a digital input is never asked."""
    for reduced, verdict in ((None, "unknown"), (True, "fits"), (False, "fails")):
        screen = display(("vga",), 1920, 1200).model_copy(update={"reduced_blanking": reduced})
        problem = shown((screen,), ("hdmi-1.4",), VGA_FROM_HDMI)
        assert findings(picture_displays, problem)[0].verdict == verdict
        agree(picture_displays, problem)
    both = display(("vga", "hdmi-1.4"), 1920, 1200)
    assert findings(picture_displays, shown((both,), ("hdmi-1.4",), VGA_FROM_HDMI))[0].verdict == "fits"


LINKS = ("vga", "dvi-i", "hdmi-1.4", "dp-1.2")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.sampled_from(LINKS), max_size=4),
    st.lists(st.lists(st.sampled_from(LINKS), min_size=1, max_size=2, unique=True), min_size=1, max_size=3),
)
def test_the_assignment_is_the_best_of_all(outputs: list[str], inputs: list[list[str]]) -> None:
    """Against every way of handing outputs to displays, tried without the search."""
    displays = tuple(display(tuple(links), name=f"d{i}") for i, links in enumerate(inputs))
    problem = shown(displays, tuple(outputs), VGA_FROM_HDMI, VGA_PLUG, DVI_FROM_HDMI)
    seats: list[int | None] = [*range(len(outputs)), *[None] * len(displays)]

    def rank(ways: tuple[int | None, ...]) -> tuple[int, int, int]:
        links = [
            None if seat is None else link_of(problem, outputs[seat], d)
            for seat, d in zip(ways, displays, strict=True)
        ]
        price = sum(
            min(o.price for e in link.adapters for o in problem.extra_offers[e])
            for link in links
            if link and link.adapters
        )
        return sum(link is None for link in links), sum(bool(link and link.adapters) for link in links), price

    best = min(rank(ways) for ways in set(permutations(seats, len(displays))))
    found = assign(problem, tuple(outputs))
    assert sum(r.link is None for r in found) == best[0]
    assert sum(bool(r.link and r.link.adapters) for r in found) == best[1]


# What a person sees on a socket is "HDMI", not its version: the least that every version carries is taken for
# what must work, and more is an open question. 3840 x 2160 at 60 Hz needs 533.25 MHz (edid-decode), more than
# HDMI 1.x carries; 1920 x 1080 at 60 Hz needs 138.5 MHz, which every version does.
@pytest.mark.parametrize(
    ("output", "entry", "size", "verdict", "asked"),
    [
        ("hdmi", "hdmi-2.0", (3840, 2160), "unknown", "board:board-a.outputs"),
        ("hdmi-2.0", "hdmi", (3840, 2160), "unknown", "display.inputs"),
        # At 30 Hz, which HDMI 1.4 carries, if the display takes it.
        ("hdmi-1.4", "hdmi", (3840, 2160), "unknown", "display.inputs"),
        ("hdmi", "hdmi", (1920, 1080), "fits", None),
        ("dp", "dp", (3840, 2160), "unknown", "board:board-a.outputs"),
        ("dvi", "vga", (1680, 1050), "unknown", "board:board-a.outputs"),
        ("vga", "dvi-d", (1680, 1050), "fails", None),
    ],
)
def test_links_of_unknown_version(
    output: str, entry: str, size: tuple[int, int], verdict: str, asked: str | None
) -> None:
    monitor = Display(name="m", inputs=(entry,), width_px=size[0], height_px=size[1], refresh_hz=60)
    problem = make_problem(
        make_survey(displays=(monitor,)), boards=[replace(BOARD, outputs=(output,))], extras=[VGA_PLUG]
    )
    (found,) = findings(picture_displays, problem)
    assert (found.verdict, found.question) == (verdict, asked)
    admitted, _ = agree(picture_displays, problem)
    assert admitted
