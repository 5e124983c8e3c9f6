"""Every step is there when a finding or a kept part calls for it, and not otherwise. What belongs where:
common practice."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest
import support as s

from partsolver.catalog.records import DrivePart, Extra, Offer
from partsolver.catalog.sockets import M2Socket
from partsolver.report.sheet_view import STEP_WORDS, view
from partsolver.report.words import steps as words_steps
from partsolver.report.words import suspects as words_suspects
from partsolver.sheet.context import Passing
from partsolver.sheet.leaving import leaving
from partsolver.sheet.step import PHASES
from partsolver.sheet.steps import STEPS, steps_of
from partsolver.sheet.suspects import SUSPECTS, suspects_of
from partsolver.survey.model import Card, Device, Display, Drive, OperatingSystem, Pc
from partsolver.wishes.brief import Brief

# Situations: plain memory cpu board rich whole linux odd (and nothing); see conftest.
ALL = "plain memory cpu board rich whole linux odd"
BOARD = "plain board rich whole linux odd"
# step: situations that call for it. Situations not named do not. Reasons stand in conftest's docstrings.
WANTED = {
    "before.questions": "board rich whole linux odd",
    "before.rails": "plain cpu board rich linux",
    "before.compare": "",  # only of parts out of a store: tests/cli/test_catalog_ask.py
    "before.order-dates": "odd",
    "before.order": ALL,
    "before.other-pcs": "",  # of no fleet: test_what_passes_between_pcs_of_a_fleet
    "before.parcels": ALL,
    "before.measure": ALL,
    "before.backup": ALL,
    "before.raid-set": "",  # of no drive there; test_one_fact_changes_one_step
    "before.encryption": "rich whole odd",
    "before.old-disks": "rich whole odd",
    "before.memory-test": "memory cpu board",
    "before.tied": "rich whole",
    "before.licence": "rich odd",
    "before.old-tools": "plain board rich linux odd",
    "before.storage-mode": "plain board rich odd",
    "before.settings": "cpu",
    "before.start-mode": "linux",
    "before.drivers": "rich whole linux odd",
    "before.storage-driver": "odd",
    "before.media": "rich whole linux odd",
    "before.firmware-file": "cpu board rich odd",
    "before.firmware": "cpu",
    "before.send-in": "",
    "before.day": BOARD,
    "off.warm": "cpu board odd",
    "off.mains": ALL,
    "off.leads": ALL,
    "off.open": ALL,
    "off.cpu-lead": "",
    "prepare.static": ALL,
    "prepare.tools": ALL,
    "bench.unpack": BOARD,
    "bench.firmware-label": "board whole",
    "bench.socket": BOARD,
    "bench.cpu": "plain rich whole linux",
    "bench.memory": "plain rich whole linux odd",
    "bench.m2": "whole",
    "bench.cooler": "plain rich whole linux",
    "out.photos": BOARD,
    "out.cards": "rich odd",
    "out.leads": BOARD,
    "out.m2": "board",
    "out.cooler": "cpu board odd",
    "out.cpu": "cpu board odd",
    "out.memory": "board",
    "out.board": BOARD,
    "out.given": "",
    "out.together": "plain rich whole linux",
    "out.psu": "whole odd",
    "out.move": "whole",
    "out.system-drive": "whole odd",
    "out.clean": "plain cpu board rich linux odd",
    "case.screws": BOARD,
    "case.standoffs-remove": "plain rich",
    "case.standoffs-fixed": "odd",
    "case.standoffs-add": "rich whole",
    "case.standoffs-keep": "plain board rich odd",
    "case.standoffs-open": "odd",
    "case.standoffs-look": "board whole linux",
    "fit.support": "plain rich whole linux odd",
    "fit.tight": "board rich odd",
    "fit.kept-drives": "whole",
    "case.shield": BOARD,
    "case.psu": "whole odd",
    "assemble.flash": "odd",
    "assemble.cpu": "cpu board odd",
    "assemble.memory": "memory board",
    "assemble.m2": "board",
    "assemble.cooler": "cpu board odd",
    "fit.cpu-lead-early": "rich",
    "fit.board": BOARD,
    "fit.cards": "rich",
    "fit.cards-left": "rich",
    "fit.extra-cards": "odd",
    "fit.drive": "odd",
    "connect.later": BOARD,
    "connect.main": BOARD,
    "connect.cpu": BOARD,
    "connect.card-power": "rich",
    "connect.cpu-fan": "plain cpu board rich whole linux odd",
    "connect.case-fans": BOARD,
    "connect.sata": BOARD,
    "connect.sata-lost": "board whole",
    "connect.pata": "rich",
    "connect.floppy": "rich",
    "connect.drive-power": BOARD,
    "connect.switches": BOARD,
    "start.look": ALL,
    "start.flash": "board rich",
    "start.monitor": ALL,
    "start.save": ALL,
    "start.on": ALL,
    "start.setup": ALL,
    "start.fan": "plain cpu board rich whole linux odd",
    "start.date": BOARD,
    "start.profile": ALL,
    "start.storage-mode": "plain board rich odd",
    "start.settings": "cpu",
    "start.start-mode": "plain board rich linux odd",
    "start.first-display": "rich",
    "start.idle-states": "rich linux",
    "rest.mains": BOARD,
    "rest.drives": "rich",
    "rest.devices": "rich",
    "system.drives": "whole odd",
    "checks.close": ALL,
    "rest.cards": "odd",
    "rest.usb2": BOARD,
    "rest.usb3": "rich",
    "rest.usb-e": "rich",
    "rest.audio": BOARD,
    "rest.extras": "odd",
    "rest.seen": BOARD,
    "rest.order": BOARD,
    "system.first-start": "plain board rich linux",
    "system.key": "rich whole odd",
    "system.install": "whole",
    "system.copy": "odd",
    "system.drivers": "rich whole linux odd",
    "system.network-names": "linux",
    "system.licence": "rich odd",
    "system.tied": "rich",
    "checks.memory-size": ALL,
    "checks.channels": ALL,
    "checks.memory-rate": ALL,
    "checks.memory-test": ALL,
    "checks.link": BOARD,
    "checks.temperature": "plain cpu board rich whole linux odd",
    "checks.rails": "plain cpu board rich whole linux odd",
    "checks.plugs": "rich linux",
    "checks.displays": "rich",
    "checks.devices": "rich odd",
    "checks.front": BOARD,
    "checks.speed": ALL,
    "after.returns": ALL,
    "after.old-drive": "whole odd",
    "after.old-psu": "whole",
    "after.bad-psu": "odd",
    "after.owner": ALL,
    "out.back-plate": "",  # of no new cooler on a board that stays: test_a_plate_behind_the_board
    "system.graphics-driver": "",  # of no card there: test_steps_of_a_bought_graphics_card
    "after.waste": "plain cpu board rich whole linux odd",
}
NAMES = [*ALL.split(), "nothing"]


def test_registry():
    ids = [step.id for step in STEPS]
    assert len(set(ids)) == len(ids) and set(ids) == set(STEP_WORDS) == set(WANTED)
    assert all(step.id.split(".")[0] == step.phase for step in STEPS)
    assert [PHASES.index(step.phase) for step in STEPS] == sorted(PHASES.index(step.phase) for step in STEPS)
    assert set(words_steps.PHASE_TITLES) == set(PHASES)
    assert {x.id for x in SUSPECTS} == set(words_suspects.SUSPECTS)


@pytest.mark.parametrize("name", NAMES)
def test_steps_of_situation(name, situation):
    expected = [step.id for step in STEPS if name in WANTED[step.id].split()]
    assert [step.id for step in steps_of(situation(name))] == expected


def _graphics_card(build, family, encrypted=False):
    """A graphics card in the place of the old one; everything else stays."""
    old = Card(
        name="old card",
        kind="graphics",
        bus="pcie",
        outputs=("vga",),
        graphics_score=60,
        uefi=True,
        power_plugs=(),
        required=False,
    )
    monitor = Display(name="monitor", inputs=("hdmi-1.4",), width_px=1280, height_px=1024, refresh_hz=60)
    system = OperatingSystem(family=family, licence="retail")
    drive = s.SYSTEM_DRIVE.model_copy(update={"encrypted": encrypted})
    survey = {"cards": (old,), "displays": (monitor,), "os": system, "drives": (drive,)}
    kept = {slot: f"kept-{slot}" for slot in ("board", "cpu", "memory", "cooler")}
    keys = {**kept, "graphics": "graphics-a"}
    card = replace(s.GRAPHICS, power_plugs=("6",))
    return build(survey, keys, brief=Brief(use="games", budget="1000.00"), graphics=[card])


@pytest.mark.parametrize(
    ("family", "word"), [("desktop-2015", "old card's driver"), ("linux-x86-64-v2", "firmware packages")]
)
def test_steps_of_a_bought_graphics_card(family, word, build):
    shown = _graphics_card(build, family)
    ids = {step.id for step in steps_of(shown)}
    assert {"out.cards", "fit.cards", "connect.card-power", "start.monitor", "checks.displays"} <= ids
    assert {"system.graphics-driver", "after.waste"} <= ids
    assert not ids & {"system.drivers", "out.board", "checks.memory-test"}
    assert word in text_of(shown, "system.graphics-driver")
    # The security chip watches what cards start with (from memory), so the drive may ask for its key.
    locked = _graphics_card(build, family, encrypted=None)
    assert {"before.encryption", "system.key"} <= {step.id for step in steps_of(locked)}
    assert "before.encryption" not in ids


@pytest.mark.parametrize(("plate", "word"), [(True, "The new cooler is"), (None, "look now"), (False, None)])
def test_a_plate_behind_the_board(plate, word, build):
    """A cooler with a plate of its own on a board that stays: the board comes out (common practice)."""
    cooler = replace(s.COOLER, sockets=("sock-0",), back_plate=plate)
    cpu = replace(s.OLD_CPU, id="cpu-b", name="Hotter", tdp_w=90, power_limit_w=90, boxed_cooler=False)
    keys = {"board": "kept-board", "cpu": "cpu-b", "memory": "kept-memory", "cooler": "cooler-a"}
    shown = build(keys=keys, coolers=[cooler], cpus=[cpu])
    ids = [step.id for step in steps_of(shown)]
    assert ("out.back-plate" in ids) == (word is not None)
    if word is not None:
        assert word in text_of(shown, "out.back-plate")
        assert ids.index("out.cooler") < ids.index("out.back-plate") < ids.index("start.on")


@pytest.mark.parametrize(
    ("kept", "offered", "word"),
    [("1.2", None, "revision 1.2"), (None, None, "look which one"), (None, "2.0", "revision 2.0")],
)
def test_the_firmware_file_is_for_the_revision_of_the_board(kept, offered, word, build):
    """Board names hide revisions with firmware of their own (firmware reference, section 3.2, rule 3): of a
    board that stays what the survey says, of one that is bought what its offer says."""
    facts = {"cpu_families": ((s.CPU.family, "1.10"), ("fam-0", "1.00")), "firmware_shipped": "1.00"}
    own = replace(s.OLD_BOARD, revision=kept, socket=s.CPU.socket, **facts)
    new = replace(s.BOARD, revision="1.0", flash_without_cpu=True, **facts)
    cpu = replace(s.CPU, tdp_w=60)
    keys = {"board": "board-a"} if offered else {"board": "kept-board", "memory": "kept-memory"}
    prices = [("board-a", 6000), ("cpu-a", 8000), ("kit-a", 3000), ("cooler-a", 1000)]
    offers = [
        Offer(part=part, seller="shop", price=price, revision=offered if part == "board-a" else None)
        for part, price in prices
    ]
    shown = build({"board": own}, keys, boards=[new], cpus=[cpu], offers=offers)
    assert word in text_of(shown, "before.firmware-file")


def text_of(context, step_id):
    return next(step.text for _, _, steps in view(context).phases for step in steps if step.id == step_id)


def reading_of(context, step_id):
    return next(step.reading for _, _, steps in view(context).phases for step in steps if step.id == step_id)


@pytest.mark.parametrize(
    ("name", "step", "words"),
    [
        # Pinout of the 24-contact plug: 11, 12, 23, 24 are what a 20-contact plug lacks (boards reference
        # section 5: S25, S26).
        ("rich", "connect.main", ["20-contact", "contacts 11, 12, 23 and 24 stay free"]),
        ("plain", "connect.main", ["24-contact", "No contact stays free"]),
        # 4 of 8 contacts: common practice, the board's manual decides.
        ("rich", "connect.cpu", ["4-contact plug", "the other 4 contacts stay free"]),
        ("plain", "connect.cpu", ["4+4", "the other half stays free"]),
        ("whole", "connect.cpu", ["8-contact", "second header (8-contact) gets the second plug"]),
        ("board", "connect.cpu", ["other header (4-contact) stays free"]),
        # Front panel header, Intel DG41TY Product Guide, table 12 (boards reference section 11: S84).
        (
            "plain",
            "connect.switches",
            [
                "drive lamp 1 (+) and 3 (-)",
                "power lamp 2 (+) and 4 (-)",
                "reset 5 and 7",
                "power switch 6 and 8",
                "pin 10 is missing",
            ],
        ),
        ("rich", "connect.switches", ["maker's own plug"]),
        # USB 2.0 header: 9 is the key, 10 not connected (S87); HD Audio: 8 is the key (S91, table 6).
        ("plain", "rest.usb2", ["(9) is the key", "pin 10 carries nothing"]),
        ("plain", "rest.audio", ["pin 8 missing"]),
        ("rich", "rest.audio", ["AC'97 against HD Audio"]),
        ("rich", "case.standoffs-remove", ["at R:"]),
        ("rich", "case.standoffs-add", ["at S,"]),
        ("plain", "case.standoffs-remove", ["at S:"]),
        ("odd", "case.standoffs-fixed", ["STOP", "at S "]),
        ("odd", "case.standoffs-open", ["under L and M:"]),
        ("rich", "start.start-mode", ["legacy", "on and Secure Boot off"]),
        ("plain", "start.start-mode", ["off"]),
        ("plain", "start.storage-mode", ["AHCI"]),
        ("rich", "start.storage-mode", ["you noted before the swap"]),
        ("cpu", "before.firmware", ["2.00 or newer", "shipped with 1.10", "present processor still in"]),
        ("cpu", "before.firmware", ["before the system starts", "settings"]),
        ("cpu", "before.settings", ["SATA mode", "start mode", "Secure Boot", "security chip"]),
        ("cpu", "start.settings", ["SATA mode", "start mode", "before the system starts"]),
        ("odd", "assemble.flash", ["2.00 or newer", "present processor starts this board"]),
        ("rich", "connect.sata", ["ssd on a 6 Gb/s port; later archive disk"]),
        ("odd", "connect.sata", ["later archive disk on a port of the added card"]),
        ("board", "case.shield", ["without a shield"]),
        ("whole", "case.shield", ["carries its shield"]),
        ("whole", "start.on", ["five minutes without a picture are normal"]),
        ("rich", "connect.case-fans", ["3 fans", "(2 there)"]),
        ("rich", "system.licence", ["System licence"]),
        ("odd", "before.order-dates", ["Processor A (until 2026-12-07)"]),
        ("memory", "assemble.memory", ["beside the present one, 2 modules in all"]),
        # What made a technician or a beginner stumble over an earlier sheet.
        ("plain", "checks.speed", ["--plan plan.json"]),  # the file's own name
        ("plain", "before.measure", ["Keep before.json", "with the backup"]),
        (
            "plain",
            "start.on",
            ["(often Del or F2) again and again"],
        ),  # or the kept system starts with wrong settings
        ("plain", "bench.cooler", ["the cooler that came in the processor's box"]),
        ("rich", "before.licence", ["a new one is in the order"]),
        ("rich", "prepare.tools", ["pliers", "continuity tester"]),
        ("rich", "start.flash", ["Mains plug in", "leave the power button alone"]),
        ("rich", "rest.usb-e", ["has no header for it", "Tape it up"]),
        ("rich", "rest.devices", ["Printer: no serial socket", "needs a bracket"]),
        ("board", "start.flash", ["Skip this where its label shows"]),
        ("whole", "case.standoffs-add", ["from the bag of the new case"]),
        ("whole", "case.shield", ["Where the new case has a plate"]),
        # Start reference, section 6.2: 3.5-inch drives 6-32, 2.5-inch drives and 5.25-inch bays M3.
        (
            "whole",
            "fit.kept-drives",
            ["archive disk", "(6-32) into 3.5-inch", "(M3) into 2.5-inch and optical"],
        ),
        ("whole", "system.install", ["onto NVMe A", "every other drive is disconnected"]),
        ("whole", "rest.seen", ["must show NVMe A."]),  # the disk is connected after the installation
        ("whole", "before.drivers", ["kernel"]),
        ("odd", "system.copy", ["take it out again before the first start"]),
        ("odd", "start.save", ["hold its power button for five seconds"]),
        ("memory", "start.monitor", ["in again"]),
    ],
)
def test_words(name, step, words, situation):
    text = text_of(situation(name), step)
    assert all(word in text for word in words), text


@pytest.mark.parametrize(
    ("name", "step", "words"),
    [
        ("rich", "bench.cooler", "Wipe"),  # new cooler, new processor: there is no old paste
        ("memory", "prepare.tools", "pliers"),
        ("memory", "start.save", "five seconds"),
        ("plain", "checks.front", "audio and audio"),
        ("rich", "checks.memory-size", "graphics"),  # a card makes the picture
        ("linux", "system.drivers", "chipset"),
    ],
)
def test_words_that_do_not_belong(name, step, words, situation):
    assert words not in text_of(situation(name), step) + (reading_of(situation(name), step) or "")


ORDER = [
    # first, later: what the later one needs, or what must not have happened yet (common practice)
    ("before.backup", "before.measure"),
    ("before.questions", "before.order"),
    ("before.rails", "before.order"),  # a supply out of its range is known before money is spent
    ("before.order", "before.parcels"),
    ("bench.cooler", "off.mains"),
    ("off.warm", "off.mains"),
    ("off.mains", "off.leads"),
    ("off.leads", "off.open"),
    ("off.open", "off.cpu-lead"),
    ("off.cpu-lead", "out.leads"),
    ("out.photos", "out.cooler"),
    ("out.cooler", "out.board"),
    ("case.shield", "fit.board"),
    ("fit.tight", "fit.board"),
    ("fit.board", "fit.support"),
    ("connect.cpu", "start.flash"),
    ("start.look", "start.flash"),
    ("start.flash", "start.on"),
    ("start.monitor", "start.on"),
    ("start.storage-mode", "start.save"),
    ("start.idle-states", "start.save"),
    # An update sets a board's settings back (start reference, section 3.3), and asks for the key (2.7).
    ("before.settings", "before.firmware"),
    ("before.encryption", "before.firmware"),
    ("start.settings", "start.save"),
    ("start.save", "rest.mains"),
    ("rest.mains", "rest.drives"),
    ("rest.order", "system.first-start"),
    ("system.install", "system.drives"),
    ("system.copy", "system.drives"),
    ("checks.close", "checks.temperature"),
]


@pytest.mark.parametrize(("first", "later"), ORDER)
def test_order_of_work(first, later):
    ids = [step.id for step in STEPS]
    assert ids.index(first) < ids.index(later)


def test_cooler_comes_off_warm(situation):
    """Nothing long lies between warming up and taking the cooler off: the new board is put together
    before."""
    ids = [step.id for step in steps_of(situation("board"))]
    assert ids[ids.index("off.warm") : ids.index("out.cooler") + 1] == [
        "off.warm",
        "off.mains",
        "off.leads",
        "off.open",
        "out.photos",
        "out.cooler",
    ]


@pytest.mark.parametrize(("lead_mm", "words"), [(None, "usually 450 mm are enough"), (300, "is 300 mm long")])
def test_short_processor_lead_is_found_before_anything_is_out(lead_mm, words, build):
    context = build({"psu": replace(s.PSU, cpu_lead_mm=lead_mm)})
    assert words in text_of(context, "off.cpu-lead")
    assert "off.cpu-lead" not in {
        step.id for step in steps_of(build({"psu": replace(s.PSU, cpu_lead_mm=450)}))
    }


@pytest.mark.parametrize(
    ("modes", "mode", "warned"),
    [
        (("ahci",), None, True),
        (("ahci",), "ide", True),
        (("ahci", "ide"), "ide", False),
        (None, "ide", False),
    ],
)
def test_another_storage_mode_is_said_before_the_swap(modes, mode, warned, build):
    drive = s.SYSTEM_DRIVE.model_copy(update={"storage_mode": mode})
    context = build({"drives": (drive,)}, boards=[replace(s.BOARD, storage_modes=modes)])
    note = next(
        step.note
        for _, _, steps in view(context).phases
        for step in steps
        if step.id == "before.storage-mode"
    )
    assert ("prepare the system for AHCI now" in note) is warned


@pytest.mark.parametrize(
    ("there", "board"), [("own", "kept-board"), ("own", "board-a"), ("separate", "kept-board")]
)
def test_the_new_case_of_a_board_with_a_makers_header(build, there, board):
    """Pins 6 and 8 are those of the usual header, not of a maker's own (boards reference, section 3)."""
    keys = {"cpu": "kept-cpu", "memory": "kept-memory"} if board == "kept-board" else {}
    context = build(
        {"case": replace(s.CASE, front_panel=there)},
        {"board": board, "case": "case-n", **keys},
        brief=Brief(budget="1000.00", replace=("case",)),
        cases=[replace(s.CASE, id="case-n", name="Case N")],
    )
    own = (there, board) == ("own", "kept-board")
    text = text_of(context, "connect.switches")
    measured = (
        "Switches and lamps: this board has its maker's own header. Find out by continuity measurement at the old"
        " case's plug, with the PC unplugged, which two of its contacts the power switch closes, and connect the new"
        " case's switch to these two first."
    )
    assert (measured in text, "power switch 6 and 8" in text) == (own, not own)
    assert ("continuity tester" in text_of(context, "prepare.tools")) == own


def test_device_without_a_socket(build):
    """Two serial devices, one socket, one header: the one that the owner needs gets the socket, the other the
    bracket."""
    devices = (
        Device(name="label printer", port="serial", required=False),
        Device(name="scale", port="serial"),
    )
    text = text_of(
        build({"devices": devices}, boards=[replace(s.BOARD, serial_ports=1, serial_headers=1)]),
        "rest.devices",
    )
    assert "Label printer" in text and "needs a bracket" in text and "scale" not in text
    context = build({"devices": devices}, boards=[replace(s.BOARD, serial_ports=1, serial_headers=0)])
    assert "stays disconnected" in text_of(context, "rest.devices") and "label printer" not in text_of(
        context, "checks.devices"
    )
    assert "rest.devices" not in {
        step.id for step in steps_of(build({"devices": devices}, boards=[replace(s.BOARD, serial_ports=2)]))
    }


@pytest.mark.parametrize(
    ("name", "step", "expected"),
    [
        ("plain", "checks.memory-size", "8 GB"),  # two modules of 4096 MiB
        (
            "plain",
            "checks.memory-rate",
            "2400 MT/s (tools that show the clock say 1200 MHz)",
        ),  # DDR: two transfers per clock (JESD79)
        ("board", "checks.memory-rate", "1333 MT/s (tools that show the clock say 667 MHz)"),
        ("plain", "checks.channels", "expected 2"),
        ("rich", "checks.channels", "expected 1 of 2"),
        ("plain", "checks.link", "6 Gb/s"),
        # ATX12V design guide 2.0, table 2: 12, 5 and 3.3 V within 5 %.
        ("plain", "before.rails", "12 V: 11.4 to 12.6 V, 5 V: 4.75 to 5.25 V, 3.3 V: 3.135 to 3.465 V"),
        ("plain", "checks.rails", "12 V: 11.4 to 12.6 V, 5 V: 4.75 to 5.25 V, 3.3 V: 3.135 to 3.465 V"),
        ("odd", "checks.memory-size", "this system uses 4 GB of it"),  # 32-bit address space
    ],
)
def test_readings(name, step, expected, situation):
    assert expected in reading_of(situation(name), step)


@pytest.mark.parametrize(
    ("change", "step"),
    [
        ({"displays": (Display(name="second screen", inputs=("hdmi-1.4",)),)}, "checks.displays"),
        ({"devices": (Device(name="scanner", port="usb"),)}, "checks.devices"),
        ({"case": replace(s.CASE, front_usb3_plugs=1)}, "rest.usb3"),
        ({"psu": replace(s.PSU, condition="noisy")}, "checks.plugs"),
        ({"psu": replace(s.PSU, year=None)}, "checks.plugs"),  # of unknown age: looked at like an old one
        ({"drives": (s.SYSTEM_DRIVE.model_copy(update={"encrypted": None}),)}, "before.encryption"),
        ({"drives": (s.SYSTEM_DRIVE.model_copy(update={"raid": "1", "copied": True}),)}, "before.raid-set"),
        ({"drives": (s.SYSTEM_DRIVE.model_copy(update={"year": s.TODAY.year - 6}),)}, "before.old-disks"),
        (
            {"cards": (Card(name="net", kind="network", bus="pcie", lanes=1, height="full", width_slots=1),)},
            "rest.cards",
        ),
        ({"case": replace(s.CASE, fans=0)}, "-connect.case-fans"),
        ({"case": replace(s.CASE, front_audio="none")}, "-rest.audio"),
        ({"case": replace(s.CASE, front_usb2_plugs=0)}, "-rest.usb2"),
        ({"drives": (s.SYSTEM_DRIVE.model_copy(update={"year": s.TODAY.year - 5}),)}, "-before.old-disks"),
    ],
)
def test_one_fact_changes_one_step(change, step, build):
    before, after = {x.id for x in steps_of(build())}, {x.id for x in steps_of(build(change))}
    if step.startswith("-"):
        assert step[1:] not in after
    else:
        assert step not in before and step in after


def test_causes_of_a_dark_screen_in_order(situation, build):
    order = {name: [x.id for x in suspects_of(situation(name))] for name in NAMES}
    assert order["nothing"] == []
    assert order["cpu"][0] == "firmware"  # too old for the new processor: nothing else is as likely
    assert "firmware" not in order["memory"] and order["memory"][0] == "memory"
    assert "training" in order["whole"] and "training" not in order["plain"]  # DDR5 only
    assert "card" in order["rich"] and "card" not in order["plain"]
    assert order["rich"].index("old-supply") > order["rich"].index("cpu-plug")
    # Used parts make "dead on arrival" likelier than the last place.
    assert order["rich"].index("dead") < order["rich"].index("setup-memory")
    assert order["plain"].index("dead") > order["plain"].index("standoff")


def test_returns_count_from_the_first_arrival(situation):
    # Ordered 2026-11-20, three days on the way, 14 days to send back (support.SELLER).
    day = s.TODAY + datetime.timedelta(days=3 + 14)
    assert f"Shop: until {day.isoformat()} (14 days" in text_of(situation("plain"), "after.returns")


def test_old_cable_through_an_adapter(build):
    burner = Drive(name="old burner", kind="optical", interface="pata", power_plug="peripheral")
    bridge = Extra("bridge", "PATA bridge", kind="pata-drive-adapter", takes=("sata",), gives=("pata",))
    text = text_of(build({"drives": (s.SYSTEM_DRIVE, burner)}, extras=[bridge]), "connect.pata")
    assert "old burner, through PATA bridge" in text


def test_drives_on_a_card_of_the_pc(build):
    """They stay where they are: no port of the board, no cable of their own, no SATA mode."""
    card = Card(name="raid card", kind="controller", bus="pcie", lanes=1)
    system = s.SYSTEM_DRIVE.model_copy(update={"controller": "raid card", "storage_mode": "ahci"})
    burner = Drive(name="old burner", kind="optical", interface="pata", controller="raid card")
    context = build({"drives": (system, burner), "cards": (card,)})
    assert f"{system.name} on the card that it is on now" in text_of(context, "connect.sata")
    steps = {step.id for _, _, steps in view(context).phases for step in steps}
    assert not steps & {"connect.pata", "before.storage-mode", "start.storage-mode"}


def test_module_on_a_slot_card(build):
    module = Drive(
        name="module", kind="ssd", interface="m2-nvme", pcie_gen=3, pcie_lanes=4, m2_key="m", m2_length_mm=80
    )
    card = Extra("m2card", "Module card", kind="m2-card", takes=("x4",))
    context = build(
        {"drives": (s.SYSTEM_DRIVE, module)}, boards=[replace(s.BOARD, m2_slots=())], extras=[card]
    )
    assert "Push module into the slot card" in text_of(context, "assemble.m2")
    assert "Module card" in text_of(context, "fit.extra-cards")


@pytest.mark.parametrize(
    ("modes", "mode", "copied"),
    [(("uefi",), "legacy", False), (("legacy", "uefi"), "legacy", True), (("uefi",), "uefi", True)],
)
def test_a_drive_that_could_not_start_is_not_copied(modes, mode, copied, build):
    """A drive installed the old way is never copied for a UEFI-only board, nor the compatibility mode
    switched on there (start reference, section 5; common practice)."""
    drive = s.SYSTEM_DRIVE.model_copy(
        update={"start_mode": mode, "partition_table": "mbr" if mode == "legacy" else "gpt"}
    )
    new = DrivePart("ssd-new", "SSD", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=540)
    made = build(
        {"drives": (drive,)},
        {"drive": "ssd-new"},
        brief=Brief(budget="10000.00", replace=("drive",)),
        boards=[replace(s.BOARD, firmware_modes=modes)],
        drives=[new],
    )
    steps = {step.id for step in steps_of(made)}
    assert ("system.copy" in steps, "system.install" in steps) == (copied, not copied)
    assert ("start.start-mode" in steps) == copied


_STAYS = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "cooler": "kept-cooler"}
_SSD = DrivePart("ssd-new", "SSD", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=540)
_MODULE = Drive(
    name="data module", kind="ssd", interface="m2-nvme", pcie_gen=3, pcie_lanes=4, m2_key="m", m2_length_mm=80
)
_ARCHIVE = Drive(name="archive", kind="hdd35", interface="sata", sata_gbps10=30, power_plug="sata")
_BURNER = Drive(name="burner", kind="optical", interface="sata", sata_gbps10=15, power_plug="sata")


@pytest.mark.parametrize(
    ("keys", "family", "put"),
    [
        (_STAYS, None, "system.copy"),
        (_STAYS, "linux-x86-64-v2", "system.install"),
        ({}, "linux-x86-64-v2", "system.install"),
    ],
)
def test_no_other_data_drive_while_a_system_is_put_onto_one(keys, family, put, build):
    """An installation or a copy can take a wrong drive, and a loader can land on another one: every other drive
    with data is off, a module in a socket of the board too, until that is done (common practice)."""
    sockets = (M2Socket("m", 80, ("nvme",), 4, 4, 2, 0),)
    shown = build(
        {
            "drives": (s.SYSTEM_DRIVE, _MODULE, _ARCHIVE, _BURNER),
            "board": replace(s.OLD_BOARD, m2_slots=sockets, sata_3g_ports=4),
        },
        {**keys, "drive": "ssd-new"},
        brief=Brief(budget="10000.00", replace=("drive",), os=family),
        boards=[replace(s.BOARD, m2_slots=sockets)],
        drives=[_SSD],
    )
    ids = [step.id for step in steps_of(shown)]
    assert ids.index("connect.later") < ids.index(put) < ids.index("system.drives")
    for step in ("connect.later", "system.drives"):
        assert all(name in text_of(shown, step) for name in ("data module", "archive"))
    # What reads discs may hold the medium: with the leads still on it stays.
    assert ("burner" in text_of(shown, "connect.later")) == (not keys)
    assert "later archive" in text_of(shown, "connect.sata")
    assert "archive" not in text_of(shown, "rest.seen") and "data module" not in text_of(shown, "rest.seen")
    assert "assemble.m2" not in ids


@pytest.mark.parametrize("slot", ["psu", "case", "drive"])
def test_the_first_start_of_a_kept_system_goes_into_the_setup(slot, build):
    """The supply is switched off again for what is connected later: not under a system that runs, whose files
    would be left half written (common practice)."""
    shown = build(
        {"drives": (s.SYSTEM_DRIVE, _ARCHIVE)},
        {**_STAYS, slot: "ssd-new" if slot == "drive" else f"{slot}-a"},
        brief=Brief(budget="10000.00", replace=(slot,)),
        psus=[replace(s.PSU, id="psu-a", name="Supply A")],
        cases=[replace(s.CASE, id="case-a", name="Case A")],
        drives=[_SSD],
    )
    assert "key for the firmware setup" in text_of(shown, "start.on")
    ids = [step.id for step in steps_of(shown)]
    if slot != "drive":
        assert ids.index("start.on") < ids.index("rest.mains") < ids.index("rest.drives")
        assert "never under a running system" in text_of(shown, "rest.mains")


@pytest.mark.parametrize("devices", [(), (Device(name="printer", port="serial", required=False),)])
def test_what_is_plugged_in_after_the_first_start_is_plugged_in_without_mains(devices, build):
    """A bracket on a header, too, where nothing else waits."""
    bare = replace(s.CASE, front_usb2_plugs=0, front_audio=None)
    shown = build(
        {"case": bare, "devices": devices}, boards=[replace(s.BOARD, serial_ports=0, serial_headers=1)]
    )
    ids = [step.id for step in steps_of(shown)]
    assert ("rest.mains" in ids) == ("rest.devices" in ids) == bool(devices)
    assert ("five seconds" in text_of(shown, "start.save")) == bool(devices)
    if devices:
        assert ids.index("start.save") < ids.index("rest.mains") < ids.index("rest.devices")


@pytest.mark.parametrize("dead", ["board_works", "cpu_works"])
def test_nothing_is_asked_of_a_pc_that_does_not_start(dead, build):
    """Its data and keys come from elsewhere, and what only it could show is not asked (common practice)."""
    drive = s.SYSTEM_DRIVE.model_copy(
        update={"storage_mode": None, "encrypted": None, "start_mode": None, "partition_table": None}
    )
    survey = {"pc": Pc(**{dead: False}), "drives": (drive,), "os": OperatingSystem(family="desktop-2015")}
    shown = build(survey, {"cooler": "kept-cooler"})
    ids = {step.id for step in steps_of(shown)}
    assert not ids & {"before.rails", "before.measure", "before.memory-test", "off.warm"}
    assert "to another PC through an adapter" in text_of(shown, "before.backup")
    assert "account or papers" in text_of(shown, "before.encryption")
    assert "cannot be uninstalled now" in text_of(shown, "before.old-tools")
    assert "does not start" in text_of(shown, "before.storage-mode")
    assert "in another PC" in text_of(shown, "before.start-mode")
    assert "to AHCI" in text_of(shown, "start.storage-mode")
    assert "There is no reading of before" in text_of(shown, "checks.speed")
    titles = {phase: title for phase, title, _ in view(shown).phases}
    assert "does not start" in titles["before"] and "still runs" not in titles["before"]
    # The same PC that starts: nothing of that.
    running = build({**survey, "pc": Pc()}, {"cooler": "kept-cooler"})
    assert {"before.rails", "before.measure"} <= {step.id for step in steps_of(running)}
    assert view(running).phases[0][1] == "While the PC still runs"
    assert "to a device that is not in this PC" in text_of(running, "before.backup")


def test_firmware_is_not_updated_with_a_dead_processor(build):
    """A board that stays, with a function for it: with the supply on, before the first start."""
    board = replace(
        s.OLD_BOARD,
        cpu_families=(("fam-0", "1.00"), ("fam-2", "2.00")),
        firmware_shipped="1.10",
        flash_without_cpu=True,
    )
    cpu = replace(s.CPU, id="cpu-b", socket="sock-0", family="fam-2", memory_rates=(("ddr3", 1333),))
    keys = {"board": "kept-board", "cpu": "cpu-b", "memory": "kept-memory"}
    for works, step, other in (
        (True, "before.firmware", "start.flash"),
        (False, "start.flash", "before.firmware"),
    ):
        ids = [x.id for x in steps_of(build({"board": board, "pc": Pc(cpu_works=works)}, keys, cpus=[cpu]))]
        assert step in ids and other not in ids and "before.firmware-file" in ids


def test_data_are_copied_of_a_pc_whose_drives_nobody_wrote_down(build):
    assert "(every drive in it)" in text_of(build({"drives": ()}), "before.backup")


@pytest.mark.parametrize(
    ("family", "sleeps"),
    [("desktop-2015", True), (None, True), ("desktop-2009", False), ("linux-x86-64-v2", False)],
)
def test_a_system_is_shut_down_wholly(family, sleeps, build):
    """Commercial systems from 2012 on keep part of themselves for a quick start when they are shut down; on other
    parts, or copied, their drives are half written (common practice)."""
    shown = build({"os": OperatingSystem(family=family)})
    assert ("Shift key" in text_of(shown, "off.mains")) == sleeps


@pytest.mark.parametrize("keep", [True, False])
def test_a_system_installed_again_on_a_new_drive_is_licensed_again(keep, build):
    """Its key and the programs tied to it are gone with the old drive, though the board stays (common practice); a copy
    keeps them."""
    system = OperatingSystem(family="desktop-2015", licence="oem", tied_software=("drawing",), keep=keep)
    shown = build(
        {"os": system},
        {**_STAYS, "drive": "ssd-new"},
        brief=Brief(budget="10000.00", replace=("drive",)),
        drives=[_SSD],
    )
    ids = {step.id for step in steps_of(shown)}
    asked = {"before.tied", "before.licence", "system.tied", "system.licence"}
    assert ids & asked == (set() if keep else asked) and ("system.copy" in ids) == keep
    if not keep:
        assert text_of(shown, "before.licence").startswith(
            "The board stays, and so does the system's licence"
        )
        assert "old board" not in text_of(shown, "system.licence")


@pytest.mark.parametrize("secure", [True, False])
def test_secure_boot_wanted_for_a_drive_of_the_old_way(secure, build):
    """It works by UEFI from GPT only (start reference, section 5): first started as it is, then converted."""
    drive = s.SYSTEM_DRIVE.model_copy(update={"partition_table": "mbr", "start_mode": "legacy"})
    shown = build(
        {"drives": (drive,), "os": OperatingSystem(family="desktop-2015", licence="retail")},
        boards=[replace(s.BOARD, firmware_modes=("uefi", "legacy"), secure_boot=True)],
        brief=Brief(budget="10000.00", secure_boot=secure),
    )
    text = text_of(shown, "start.start-mode")
    assert "Secure Boot off" in text and ("convert its drive to GPT" in text) == secure


@pytest.mark.parametrize(("encrypted", "said"), [(True, True), (None, True), (False, False)])
def test_how_an_encrypted_drive_is_copied(encrypted, said, build):
    """A tool started from a stick sees ciphertext (common practice)."""
    shown = build(
        {"drives": (s.SYSTEM_DRIVE.model_copy(update={"encrypted": encrypted}),)},
        {**_STAYS, "drive": "ssd-new"},
        brief=Brief(budget="10000.00", replace=("drive",)),
        drives=[_SSD],
    )
    notes = {step.id: step.note or "" for _, _, steps in view(shown).phases for step in steps}
    assert ("sector by sector" in notes["system.copy"]) == said


def test_what_passes_between_pcs_of_a_fleet(build):
    """What another PC of the fleet gets is not handed on, and not left on the old board; modules that this PC uses
    again leave it last; what comes out of another PC names it. 4 modules: 1 goes, 2 stay, 1 is left to hand on."""
    plain = build({"memory": (s.MEMORY.model_copy(update={"count": 4}),)})
    assert {"out.together", "bench.memory"} <= {step.id for step in steps_of(plain)}
    passing = Passing(
        given=(("cpu", 1, "office"), ("memory", 1, "hall")),
        again=(("memory", 2),),
        got=(("cpu-a", 1, "attic"),),
    )
    shown = replace(plain, passing=passing, memo={})
    ids = [step.id for step in steps_of(shown)]
    assert "out.together" not in ids and "bench.memory" not in ids
    assert ids.index("off.warm") < ids.index("out.cooler") < ids.index("out.cpu") < ids.index("out.given")
    assert ids.index("out.memory") < ids.index("assemble.memory")
    assert "processor for office and memory module for hall" in text_of(shown, "out.given")
    assert text_of(shown, "before.other-pcs").endswith(
        "Processor A out of attic. They are opened first, by their own sheets."
    )
    going = {(p.slot, p.pc): (p.count, p.where) for p in leaving(shown)}
    assert going["cpu", "office"] == (1, "hand-on") and ("cpu", None) not in going
    assert (going["memory", "hall"][0], going["memory", None][0]) == (1, 1)
    told = {name: words for name, _, words in view(shown).leaving}
    assert sum(words.startswith("office gets it") for words in told.values()) == 1
    circle = replace(shown, passing=replace(passing, circle=True), memo={})
    assert "out of all of them before anything goes in" in text_of(circle, "before.other-pcs")


def test_modules_go_into_their_sockets_once(build):
    """A bought drive on a SATA lead is no module, and a bought module is in the new board since it lay on the table:
    beside it only the kept one goes in."""
    sockets = (M2Socket("m", 80, ("nvme",), 4, 4, 2, 0), M2Socket("m", 80, ("nvme",), 4, 4, 2, 0))
    boards = [replace(s.BOARD, m2_slots=sockets)]
    kept = build({"drives": (s.SYSTEM_DRIVE, _MODULE)}, boards=boards)
    assert text_of(kept, "assemble.m2").startswith("Push data module into")
    new = replace(_SSD, id="nvme-new", name="NVMe", interface="m2-nvme", m2_key="m", m2_length_mm=80)
    bought = build(
        {"drives": (s.SYSTEM_DRIVE,), "board": replace(s.OLD_BOARD, m2_slots=sockets)},
        {**_STAYS, "drive": "nvme-new"},
        brief=Brief(budget="10000.00", replace=("drive",)),
        drives=[new],
    )
    assert text_of(bought, "assemble.m2").startswith("Push NVMe into")
    both = build(
        {"drives": (s.SYSTEM_DRIVE, _MODULE)},
        {"drive": "nvme-new"},
        brief=Brief(budget="10000.00", replace=("drive",)),
        boards=boards,
        drives=[new],
    )
    assert text_of(both, "bench.m2").startswith("Push NVMe into")
    assert "assemble.m2" not in {step.id for step in steps_of(both)}  # the kept one waits for the system


@pytest.mark.parametrize(
    ("family", "sorts"), [("desktop-2001-32bit", False), ("desktop-2009", False), ("desktop-2015", True)]
)
def test_drivers_sort_themselves_out_in_later_systems_only(family, sorts, build):
    text = text_of(build({"os": OperatingSystem(family=family, licence="retail")}), "before.old-tools")
    assert ("sorts them out itself" in text) == sorts and ("does not sort drivers out" in text) != sorts
