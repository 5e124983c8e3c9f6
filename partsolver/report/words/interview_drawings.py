"""Line drawings in text for the interview, where a shape decides. Not to scale unless said.

Contact counts and arrangements: main plug 2 x 12 or 2 x 10, processor plug 2 x 2 or 2 x 4, card plugs (ATX12V
design guides; see ``standards.plugs``); label: currents of the 300 W table of the ATX12V design guide 2.0;
M.2 keys B and M (M.2 specification: notch at contacts 12-19 and 59-66); holes: ``standards.boards``.
"""

from __future__ import annotations

from partsolver.standards.boards import HOLES

MAIN_PLUG = """\
 24 holes: 2 rows of 12          20 holes: 2 rows of 10
 +-----------------------+       +-------------------+
 |o o o o o o o o o o o o|       |o o o o o o o o o o|
 |o o o o o o o o o o o o|       |o o o o o o o o o o|
 +-----------------------+       +-------------------+
 20 and a loose 4 beside it on the same lead: counts as 24"""

CPU_PLUG = """\
 4 holes    8 holes        two halves    NOT this one: a card plug
 +---+      +-------+      +---++---+    +-----+--+
 |o o|      |o o o o|      |o o||o o|    |o o o|o |  6 and 2 holes,
 |o o|      |o o o o|      |o o||o o|    |o o o|o |  often marked PCIe
 +---+      +-------+      +---++---+    +-----+--+
                           counts as 8"""

DRIVE_PLUGS = """\
 sata: flat, L-shaped       peripheral: 4 round        floppy: small, 4 flat
 +-----------------+         ___________               +-------+
 | ==============| |        / o  o  o  o \\              |= = = =|
 +---------------+-+        +-------------+            +-------+
 15 contacts, 20 mm wide    20 mm wide                 10 mm wide"""

LABEL = """\
 input 200-240 V, 5 A             <- what it takes: not asked
 +--------+-------+-----+-------+-------+-------+
 | output | +3.3V | +5V | +12V1 | +12V2 | +5VSB |
 | max    |  20A  | 20A |   8A  |  14A  |   2A  |  <- amperes by column
 | max    |     120W    |     264W      |       |  <- what columns
 +--------+-------------+---------------+-------+     give together
 | total output 300W    |                         <- watts in all
 two columns of +12V: 8 + 14. The processor plug hangs on one of them"""

LEADS = """\
 two plugs on one lead: 1             on two leads: 2
 +--------+                           +--------+
 | supply |====[plug]====[plug]       | supply |====[plug]
 |        |                           |        |====[plug]
 +--------+                           +--------+
 one lead carries 9 A at 12 V, however many plugs hang on it"""

CARD_PLUG = """\
 6 holes     6 and 2, or 8     16 small ones, 4 tiny ones beside
 +-----+     +-----+--+        +---------------+
 |o o o|     |o o o|o |        |o o o o o o    |
 |o o o|     |o o o|o |        |o o o o o o    |
 +-----+     +-----+--+        +-----::::------+
 75 W        150 W             150 to 600 W; the slot gives up to 75 W besides"""

CASES = """\
 count the card openings at the rear:
   7: atx          4: microatx       1 or 2: mini-itx
  +----+-----+    +----+-----+      +----+-----+
  |    |ports|    |    |ports|      |    |ports|
  |    |     |    |    |     |      +----+-----+
  | == cards |    | == cards |      | == card  |
  | == 1..7  |    | == 1..4  |      +----------+
  +----------+    +----------+
 ports on the other side: btx; cards lying on a riser: lpx, nlx or own"""

APERTURE = """\
 atx: a thin plate clipped           fixed: holes stamped into
 into a hole of 159 x 44 mm          the case's own rear wall
 +================+                  +----------------+
 ||[] o o [][] oo||  clips out       | [] o o [][] oo |  part of the wall
 +================+                  +----------------+"""

FRONT_AUDIO = """\
 10 places, one of them closed; look at what is printed on the plug
   o o o x o     HD AUDIO: hd
   o o o o o     AC'97:    ac97      two plugs on one lead: take HD AUDIO"""

M2_KEY = """\
 contacts of the module, seen from above; the gap decides
   key m:   ||||||||||||||||||||||| |||||     gap near the right end
   key b:   |||||| ||||||||||||||||||||||     gap near the left end
   b+m:     |||||| |||||||||||||||| |||||     both"""

MODULES = """\
 dimm: 133 mm long; the label tells the generation
 +-----------------------------------------+   PC66 PC100 PC133     sdr
 | [##] [##] [##] [##]  [##] [##] [##] [##]|   PC1600 ... PC3200    ddr
 +-------------------v---------------------+   PC2-...  ddr2   PC3-...  ddr3
 two notches: sdr; one: all later ones         PC4-...  ddr4   PC5-...  ddr5"""

MEMORY_SLOTS = """\
 count the long slots beside the processor, empty ones too; look under cables
   two slots:              four slots (two of a colour):
   +-----+  |  |           +-----+  |  :  |  :
   | cpu |  |  |           | cpu |  |  :  |  :
   +-----+  |  |           +-----+  |  :  |  :
 firmware lists four on many boards that have only the two of the left picture"""

_COLUMNS = 42
_WIDE_UM, _DEEP_UM = 304_800, 243_840  # ATX board, the largest that has all letters ([ATX] 2.2, figure 3)


def holes_drawing() -> str:
    """Letters of the mounting holes where they are on an ATX board, seen from above, rear edge at the top."""
    deepest = 11
    grid = [[" "] * _COLUMNS for _ in range(deepest)]
    for letter, hole in HOLES.items():
        across = (_COLUMNS - 1) - hole.x_um * (_COLUMNS - 1) // _WIDE_UM
        grid[hole.y_um * (deepest - 1) // _DEEP_UM][across] = letter
    body = [f" |{''.join(row)}|" for row in grid]
    edge = " +" + "-" * _COLUMNS + "+"
    head = "  card slots here" + "rear of the case".center(_COLUMNS - 25) + "ports here"
    return "\n".join(
        [head, edge, *body, edge, " front; a microATX board ends left of B and R, a Mini-ITX board left of C"]
    )


DRAWINGS: dict[str, str] = {
    "psu.main_plug": MAIN_PLUG,
    "board.main_plug": MAIN_PLUG,
    "psu.cpu_plugs": CPU_PLUG,
    "board.cpu_plugs": CPU_PLUG,
    "psu.rated_w": LABEL,
    "psu.rail_12v_ma": LABEL,
    "psu.combined_12v_ma": LABEL,
    "psu.cpu_rail": LABEL,
    "psu.rail_5v_ma": LABEL,
    "psu.rail_3v3_ma": LABEL,
    "psu.combined_5v_3v3_mw": LABEL,
    "psu.rail_5vsb_ma": LABEL,
    "psu.card_plugs": CARD_PLUG,
    "card.power_plugs": CARD_PLUG,
    "card.load_mw": CARD_PLUG,
    "psu.sata_plugs": DRIVE_PLUGS,
    "psu.sata_leads": LEADS,
    "psu.peripheral_leads": LEADS,
    "psu.peripheral_plugs": DRIVE_PLUGS,
    "drive.power_plug": DRIVE_PLUGS,
    "case.form_factor": CASES,
    "case.aperture": APERTURE,
    "case.front_audio": FRONT_AUDIO,
    "drive.m2_key": M2_KEY,
    "memory.generation": MODULES,
    "board.memory_slots": MEMORY_SLOTS,
    "case.standoffs": holes_drawing(),
    "case.standoffs_fixed": holes_drawing(),
    "board.holes": holes_drawing(),
}
