"""The questions of the interview as data, in the order in which they are asked. Their words are in report/.

First what the PC tells while it still runs, then what can be seen from outside, then, after the cautions,
inside.
"""

from __future__ import annotations

from typing import Any, Literal

from partsolver.base.records import record
from partsolver.standards.memory import GENERATIONS
from partsolver.standards.operating_systems import OPERATING_SYSTEMS
from partsolver.standards.video import PAYLOAD_KBITS
from partsolver.wishes.uses import USES

Section = Literal["wishes", "running", "outside", "inside"]
SECTIONS: tuple[Section, ...] = ("wishes", "running", "outside", "inside")
# Sections that need the case open: the cautions come before them.
OPEN_CASE: frozenset[Section] = frozenset({"inside"})
ROW_TABLES = ("memory", "drive", "card", "display", "device")


@record
class Question:
    """One question.

    path: key of the survey file, without row numbers (``drive.kind``); a row table alone asks how many rows
    there are;
    kind: how the answer is read (see ``kinds``); choices: values to choose from; when: (path, values): asked
    only where that fact has one of the values (a fact of the same table means the same row); once: not asked
    after another row said yes; section: what has to be at hand. Text, way to find out and drawing are in
    ``report.words.interview`` under the same path.
    """

    path: str
    kind: str
    section: Section
    choices: tuple[Any, ...] = ()
    when: tuple[str, tuple[Any, ...]] | None = None
    once: bool = False

    @property
    def table(self) -> str:
        return self.path.partition(".")[0]

    @property
    def key(self) -> str:
        return self.path.partition(".")[2]


_SYSTEM = ("drive.system", (True,))
_SATA = ("drive.interface", ("sata",))
_M2 = ("drive.interface", ("m2-sata", "m2-nvme"))
_GRAPHICS = ("card.kind", ("graphics",))
# A drive whose kind nobody knows may be one.
_DISKS = ("drive.kind", ("ssd", "hdd35", "hdd25", None))
_VIDEO = tuple(
    name for name in PAYLOAD_KBITS if not name.startswith("dp++") and name not in ("dp-2.1", "dp-2.0")
)
_BOARDS = ("atx", "microatx", "flexatx", "mini-itx", "own")


def _q(
    section: Section,
    path: str,
    kind: str,
    *choices: Any,
    when: tuple[str, tuple[Any, ...]] | None = None,
    once: bool = False,
) -> Question:
    return Question(path, kind, section, choices, when, once)


QUESTIONS: tuple[Question, ...] = (
    _q("wishes", "pc.name", "text"),
    _q("wishes", "brief.use", "choice", *USES),
    _q("wishes", "brief.budget", "price"),
    _q("wishes", "brief.open_at_once", "choice", "little", "usual", "much"),
    # -- while the PC still runs
    _q("running", "os.family", "choice", *OPERATING_SYSTEMS),
    _q("running", "os.licence", "choice", "oem", "retail", "account", "upgraded", "none-needed"),
    _q("running", "os.tied_software", "texts"),
    _q("running", "cpu.name", "text"),
    _q("running", "cpu.cores", "count"),
    _q("running", "cpu.threads", "count"),
    _q("running", "cpu.base_mhz", "clock"),
    _q("running", "cpu.year", "year"),
    _q("running", "board.name", "text"),
    _q("running", "board.firmware_shipped", "word"),
    _q("running", "board.firmware_modes", "several", "legacy", "uefi"),
    _q("running", "drive", "rows"),
    _q("running", "drive.name", "text"),
    _q("running", "drive.kind", "choice", "ssd", "hdd35", "hdd25", "optical", "floppy"),
    _q("running", "drive.capacity_gb", "disk", when=_DISKS),
    _q("running", "drive.system", "yesno", when=_DISKS, once=True),
    _q("running", "drive.partition_table", "choice", "gpt", "mbr", when=_SYSTEM),
    _q("running", "drive.start_mode", "choice", "uefi", "legacy", when=_SYSTEM),
    _q("running", "drive.storage_mode", "choice", "ahci", "ide", "raid", when=_SYSTEM),
    _q(
        "running", "drive.raid", "choice", "none", "0", "1", "5", "10", when=("drive.storage_mode", ("raid",))
    ),
    _q("running", "drive.encrypted", "yesno", when=_DISKS),
    _q("running", "pc.board_works", "yesno"),
    _q("running", "pc.cpu_works", "yesno", when=("pc.board_works", (False,))),
    _q("running", "pc.memory_works", "yesno"),
    # -- from outside
    _q("outside", "pc.brand", "yesno"),
    _q("outside", "pc.maker_model", "text", when=("pc.brand", (True,))),
    _q("outside", "pc.always_on", "yesno"),
    _q("outside", "display", "rows"),
    _q("outside", "display.name", "text"),
    _q("outside", "display.inputs", "several", *_VIDEO),
    _q("outside", "display.width_px", "count"),
    _q("outside", "display.height_px", "count"),
    # Of the usual sizes only that of 1200 lines needs it (VESA DMT: 193 and 154 MHz).
    _q("outside", "display.reduced_blanking", "yesno", when=("display.height_px", (1200,))),
    _q("outside", "device", "rows"),
    _q("outside", "device.name", "text"),
    _q("outside", "device.port", "choice", "ps2", "serial", "parallel", "usb"),
    _q("outside", "device.required", "yesno"),
    _q("outside", "device.direct_hardware_access", "yesno", when=("device.port", ("serial", "parallel"))),
    _q("outside", "card", "rows"),
    _q("outside", "card.name", "text"),
    _q(
        "outside", "card.kind", "choice", "graphics", "network", "sound", "tv", "controller", "ports", "other"
    ),
    _q("outside", "card.outputs", "several", *_VIDEO, when=_GRAPHICS),
    _q("outside", "card.max_displays", "count", when=_GRAPHICS),
    _q("outside", "card.uefi", "yesno", when=_GRAPHICS),
    _q("outside", "card.legacy_video", "yesno", when=_GRAPHICS),
    _q("outside", "card.required", "yesno"),
    _q(
        "outside",
        "case.form_factor",
        "choice",
        "atx",
        "microatx",
        "flexatx",
        "mini-itx",
        "btx",
        "baby-at",
        "lpx",
        "nlx",
        "own",
    ),
    _q("outside", "case.slot_openings", "count"),
    _q("outside", "case.slot_height", "choice", "full", "low"),
    _q("outside", "case.aperture", "choice", "atx", "fixed", "btx", "none"),
    _q("outside", "board.outputs", "several", *_VIDEO),
    _q("outside", "board.ps2_ports", "count"),
    _q("outside", "board.serial_ports", "count"),
    _q("outside", "board.parallel_ports", "count"),
    _q("outside", "board.usb_rear_ports", "count"),
    _q("outside", "psu.condition", "choice", "good", "noisy", "bulged", "failed-start"),
    # -- inside: the supply
    _q("inside", "psu.pinout", "choice", "atx", "own"),
    _q("inside", "psu.rated_w", "power"),
    _q("inside", "psu.year", "year"),
    _q("inside", "psu.rail_12v_ma", "currents 12"),
    _q("inside", "psu.combined_12v_ma", "current 12"),
    _q("inside", "psu.cpu_rail", "choice", 2, 1, 0),
    _q("inside", "psu.rail_5v_ma", "current 5"),
    _q("inside", "psu.rail_3v3_ma", "current 3.3"),
    _q("inside", "psu.combined_5v_3v3_mw", "power mw"),
    _q("inside", "psu.rail_5vsb_ma", "current 5"),
    _q(
        "inside",
        "psu.efficiency",
        "choice",
        "none",
        "standard",
        "bronze",
        "silver",
        "gold",
        "platinum",
        "titanium",
    ),
    _q("inside", "psu.main_plug", "choice", "24", "20", "own"),
    _q("inside", "psu.cpu_plugs", "choice", "4", "8", "8+4", "8+8", "none"),
    _q("inside", "psu.cpu_lead_mm", "length space"),
    _q("inside", "psu.main_lead_mm", "length space"),
    _q("inside", "psu.card_plugs", "choice", "none", "6", "6+6", "8", "8+6", "8+8"),
    _q("inside", "psu.sata_plugs", "count"),
    _q("inside", "psu.sata_leads", "count"),
    _q("inside", "psu.peripheral_plugs", "count"),
    _q("inside", "psu.peripheral_leads", "count"),
    _q("inside", "psu.floppy_plugs", "count"),
    _q("inside", "psu.zero_load_12v", "yesno"),
    _q("inside", "psu.form", "choice", "atx", "sfx", "sfx-l", "tfx", "flex-atx", "cfx", "lfx", "own"),
    # -- the board and its memory
    _q("inside", "board.socket", "word"),
    _q("inside", "board.chipset", "word"),
    _q("inside", "board.form_factor", "choice", *_BOARDS),
    _q("inside", "board.width_mm", "length size"),
    _q("inside", "board.depth_mm", "length size"),
    _q("inside", "board.holes", "letters"),
    _q("inside", "board.main_plug", "choice", "24", "20", "own"),
    _q("inside", "board.cpu_plugs", "choice", "4", "8", "8+4", "none"),
    _q("inside", "board.memory_generation", "choice", *GENERATIONS),
    _q("inside", "board.memory_module", "choice", "dimm", "so-dimm"),
    _q("inside", "board.memory_slots", "count"),
    _q("inside", "board.memory_channels", "count"),
    _q("inside", "board.memory_max_mib", "memory"),
    _q("inside", "board.memory_max_module_mib", "memory"),
    _q("inside", "board.memory_max_rate_mts", "rate"),
    _q("inside", "board.slots", "slots"),
    _q("inside", "board.m2_slots", "absent"),
    _q("inside", "board.sata_6g_ports", "count"),
    _q("inside", "board.sata_3g_ports", "count"),
    _q("inside", "board.pata_channels", "count"),
    _q("inside", "board.floppy_headers", "count"),
    _q("inside", "board.fan_headers", "count"),
    _q("inside", "memory", "rows"),
    _q("inside", "memory.generation", "choice", *GENERATIONS),
    _q("inside", "memory.capacity_mib", "memory"),
    _q("inside", "memory.count", "count"),
    _q("inside", "memory.rate_mts", "rate"),
    _q("inside", "memory.registered", "yesno"),
    _q("inside", "memory.ecc", "yesno"),
    _q("inside", "memory.module_height_mm", "length size"),
    # -- drives, cards, cooler
    _q("inside", "drive.interface", "choice", "sata", "pata", "m2-sata", "m2-nvme", "floppy", "usb"),
    _q("inside", "drive.power_plug", "choice", "sata", "peripheral", "floppy", "none"),
    _q("inside", "drive.sata_gbps10", "choice", 15, 30, 60, when=_SATA),
    _q("inside", "drive.m2_key", "choice", "m", "b", "b+m", when=_M2),
    _q("inside", "drive.m2_length_mm", "length size", when=_M2),
    _q("inside", "card.bus", "choice", "pcie", "pci", "agp", "isa"),
    _q("inside", "card.lanes", "choice", 1, 4, 8, 16, when=("card.bus", ("pcie",))),
    _q("inside", "card.height", "choice", "full", "low"),
    _q("inside", "card.width_slots", "count"),
    _q("inside", "card.length_mm", "length size"),
    _q("inside", "card.power_plugs", "several", "6", "8", "16", when=_GRAPHICS),
    _q("inside", "card.load_mw", "power mw", when=_GRAPHICS),
    _q("inside", "pc.cooler_brackets", "yesno"),
    _q("inside", "cooler.height_mm", "length size"),
    _q("inside", "cooler.rated_w", "power"),
    _q("inside", "cooler.fan_pins", "choice", 3, 4),
    # -- room and plugs of the case
    _q("inside", "case.max_board_width_mm", "length space"),
    _q("inside", "case.max_board_depth_mm", "length space"),
    _q("inside", "case.psu_place", "choice", "top", "bottom", "over-board"),
    _q("inside", "case.height_under_psu_mm", "length space", when=("case.psu_place", ("over-board",))),
    _q("inside", "case.max_cooler_height_mm", "length space"),
    _q("inside", "case.max_card_length_mm", "length space"),
    _q("inside", "case.standoffs", "letters"),
    _q("inside", "case.standoffs_fixed", "letters"),
    _q("inside", "case.psu_form", "choice", "atx", "sfx", "sfx-l", "tfx", "flex-atx", "cfx", "lfx", "own"),
    _q("inside", "case.front_usb2_plugs", "count"),
    _q("inside", "case.front_usb3_plugs", "count"),
    _q("inside", "case.front_usb_e_plugs", "count"),
    _q("inside", "case.front_audio", "choice", "hd", "ac97", "none"),
    _q("inside", "case.front_panel", "choice", "separate", "block", "own"),
    _q("inside", "case.fans", "count"),
)
# What is asked only of the drive that the system starts from.
OF_SYSTEM = tuple(question.key for question in QUESTIONS if question.when == _SYSTEM)
# What has to be known of an entry of a list before anything can be said about it.
ESSENTIAL: dict[str, tuple[str, ...]] = {
    "memory": ("generation", "capacity_mib", "count"),
    "drive": ("kind", "system", "start_mode"),
    "card": ("kind", "bus"),
    "display": ("inputs",),
    "device": ("port",),
}
# Such facts that may wait where another fact of the row has one of these values: a graphics card is in an x16
# slot, with few exceptions (common practice).
SPARED: dict[str, tuple[str, tuple[Any, ...]]] = {"card.bus": ("card.kind", ("graphics",))}
# What has to be known as well where an answer holds several figures: the rails of a label may give less
# together.
FOLLOWS: dict[str, str] = {"psu.rail_12v_ma": "psu.combined_12v_ma"}
# Asked only where the answer to the other one is more than one: one rail, or one plug, leaves nothing to tell
# apart.
OF_SEVERAL: dict[str, str] = {
    "psu.cpu_rail": "psu.rail_12v_ma",
    "psu.sata_leads": "psu.sata_plugs",
    "psu.peripheral_leads": "psu.peripheral_plugs",
}
# The short interview asks so many questions, the first of these that are open: what no figure can do without,
# then what usually decides most. Of memory and drives it asks one row: the modules, the drive that the system
# starts from.
SHORTEST = 10
SHORT = (
    "brief.use",
    "brief.budget",
    "cpu.cores",
    "cpu.base_mhz",
    "cpu.year",
    "memory.capacity_mib",
    "memory.count",
    "drive.kind",
    "psu.pinout",
    "psu.rail_12v_ma",
    "psu.main_plug",
    "psu.cpu_plugs",
    "case.form_factor",
    "case.max_board_depth_mm",
    "psu.condition",
    "case.aperture",
    "psu.rated_w",
)
BY_PATH: dict[str, Question] = {question.path: question for question in QUESTIONS}
