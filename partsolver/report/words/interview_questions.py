"""The questions of the interview, one by one."""

from __future__ import annotations

from partsolver.report.words.interview_connected import CONNECTED, IN_CASE, REAR, Words

_LABEL = (
    "on the supply's label: visible through the side, or after taking out the supply's four screws; never"
    " open it"
)


_SYSTEM_INFO = "the system's own information page shows it while the PC runs"


_SETUP = "in the setup screen, reached by a key shown for a second after switching on"


WORDS: dict[str, Words] = {
    **CONNECTED,
    "pc.name": Words(
        "What shall this PC be called?",
        "any name; it stands at the top of every report; no person's name is needed",
    ),
    "brief.use": Words("What is the PC mainly used for?", "the speed-up is predicted for this work"),
    "brief.budget": Words(
        "How much may the upgrade cost at most?",
        "an amount such as 150.00, all extras and delivery included; Enter: no limit",
    ),
    "brief.open_at_once": Words(
        "How much is open at once on a usual day?",
        "pages, documents and programs side by side decide how much memory the work needs",
    ),
    "os.family": Words(
        "Which operating system runs on it?", f"{_SYSTEM_INFO}: name, year, and 32 or 64 bits"
    ),
    "os.licence": Words(
        "How did the licence of the system come?",
        "receipt, a sticker on the case, or the activation page; free systems need none",
    ),
    "os.tied_software": Words(
        "Which programs are licensed to this very PC?",
        "names with commas between them, or none; they may have to be released first",
    ),
    "cpu.name": Words("What is the name of the processor?", _SYSTEM_INFO),
    "cpu.cores": Words("How many cores has the processor?", f"{_SYSTEM_INFO}; cores, not threads"),
    "cpu.threads": Words(
        "How many threads has the processor?", f"{_SYSTEM_INFO}, also as logical processors"
    ),
    "cpu.base_mhz": Words(
        "At what clock does the processor run?", "behind the @ in its name, such as 3.00 GHz"
    ),
    "cpu.year": Words(
        "In which year did the processor come on sale?",
        "its maker's page; else the year the PC was bought. Without it (or a score) no speed-up can be told",
    ),
    "board.name": Words(
        "What is the name of the board?",
        f"{_SYSTEM_INFO}; also printed on the board, often between the slots",
    ),
    "board.firmware_shipped": Words(
        "Which firmware version is on the board?", f"shown for a second after switching on, or {_SETUP}"
    ),
    "board.firmware_modes": Words(
        "In which ways can the firmware start a system?",
        f"the start menu {_SETUP}; boards before about 2011: legacy only",
    ),
    "drive": Words(
        "How many drives are built in?",
        "disks, solid-state drives, optical and floppy drives; nothing that hangs on USB",
    ),
    "drive.name": Words(
        "What shall this drive be called?", "its model name, or any name that tells it from the others"
    ),
    "drive.kind": Words(
        "What kind of drive is it?", "a 3.5 inch disk is about 100 mm wide, a 2.5 inch one about 70 mm"
    ),
    "drive.capacity_gb": Words("How large is it?", "its label or the system; such as 500 GB or 1 TB"),
    "drive.system": Words("Does the system start from this drive?", "the drive with the system on it"),
    "drive.partition_table": Words("Which partition table has it?", "the system's disk management shows it"),
    "drive.start_mode": Words(
        "How does the present system start?", f"{_SYSTEM_INFO}; PCs before about 2011: legacy"
    ),
    "drive.storage_mode": Words(
        "Which SATA mode is set in the firmware?",
        f"{_SETUP}, under storage or drives. Note it now: later it cannot be seen any more",
    ),
    "drive.raid": Words("Is the drive a member of a RAID set?", "the screen at the start lists the sets"),
    "drive.encrypted": Words(
        "Is the drive encrypted?",
        "drive or security settings of the system. If it is, save the recovery key on paper first",
    ),
    "pc.board_works": Words(
        "Does the present board work and may it stay?",
        "it starts every time, and no capacitor on it bulges or leaks",
    ),
    "pc.cpu_works": Words(
        "Does the present processor itself still work?", "tried in another board, or known from before"
    ),
    "pc.memory_works": Words(
        "Does the present memory work?", "best: a memory test over night without an error"
    ),
    "pc.brand": Words(
        "Did a maker sell it as a complete PC?",
        "a maker's name and model number on the case; then plugs and shapes may be the maker's own",
    ),
    "pc.maker_model": Words("Which maker and model is it?", "label on the back, the side or below"),
    "pc.always_on": Words("Does the PC run day and night?", "that ages the supply faster"),
    "case.form_factor": Words(
        "For which boards is the case made?",
        "its label or data sheet; else by the card openings, and measure later",
    ),
    "case.slot_openings": Words(
        "How many openings for cards are at the back?", f"{REAR}; covered ones count"
    ),
    "case.slot_height": Words(
        "How long is one card opening at the back?",
        "measure: about 120 mm is full height, about 80 mm is low",
    ),
    "case.aperture": Words("How are the rear ports framed?", f"{REAR}"),
    "board.outputs": Words(
        "Which picture sockets has the board itself?",
        f"{REAR}: among the other ports, not on a card",
    ),
    "board.ps2_ports": Words("How many round keyboard and mouse sockets (PS/2) are there?", REAR),
    "board.serial_ports": Words("How many serial sockets (9 pins) are there?", REAR),
    "board.parallel_ports": Words("How many parallel sockets (25 holes) are there?", REAR),
    "board.usb_rear_ports": Words(
        "How many USB sockets are at the back?", f"{REAR}; only those of the board"
    ),
    "psu.condition": Words(
        "How does the supply look and sound?",
        "through its grille from outside, and as the PC was heard until now: bulged parts, burnt smell,"
        " noises, starts that failed? Never open it",
    ),
    "psu.pinout": Words(
        "Is the power supply a standard one?",
        "standard: sold on its own, under a supply maker's name. In a maker's complete PC the plugs may look"
        " alike and yet have another pin order, which destroys a new board: its service manual tells",
    ),
    "psu.rated_w": Words("How many watts can the supply give in all?", f"the total {_LABEL}"),
    "psu.year": Words(
        "In which year was the supply made?", f"a date, or week and year, {_LABEL}; else the year of the PC"
    ),
    "psu.rail_12v_ma": Words(
        "How many amperes does the supply give at +12 V?",
        f"column +12V {_LABEL}; several columns: 14 + 15. Watts are taken too: 168 W",
    ),
    "psu.combined_12v_ma": Words(
        "How much may all +12 V columns of the supply's label give together?",
        "a line below the columns, in amperes or watts (300 W); ? where there is no such line",
    ),
    "psu.rail_5v_ma": Words("How many amperes does the supply give at +5 V?", f"column +5V {_LABEL}"),
    "psu.rail_3v3_ma": Words("How many amperes does the supply give at +3.3 V?", f"column +3.3V {_LABEL}"),
    "psu.combined_5v_3v3_mw": Words(
        "How many watts may +5 V and +3.3 V give together?",
        "a line below the columns of the supply's label, such as 120 W",
    ),
    "psu.cpu_rail": Words(
        "Which +12 V column of the supply's label feeds the processor plug?",
        "the maker's data sheet, or the label itself; yellow leads with a stripe at that plug alone speak for"
        " 12V2, but prove nothing. Never open the supply",
    ),
    "psu.rail_5vsb_ma": Words("How many amperes does the supply give for standby?", f"column +5VSB {_LABEL}"),
    "psu.efficiency": Words(
        "Does the supply's label carry an 80 PLUS sign?", "a small sign with a word or a metal's name"
    ),
    "psu.main_plug": Words(
        "How many holes has the big plug that goes into the board?",
        "the widest plug on the supply's leads; count one row and double it",
    ),
    "psu.cpu_plugs": Words(
        "Which plugs for the processor has the supply?",
        "the square plug that sits near the processor, with yellow and black leads",
    ),
    "psu.cpu_lead_mm": Words(
        "How long is the lead of the supply's processor plug?",
        "the square plug near the processor; from where it leaves the supply to the plug, along its way, with"
        " a tape measure",
    ),
    "psu.main_lead_mm": Words(
        "How long is the lead of the supply's main plug?", "from where it leaves the supply, along its way"
    ),
    "psu.card_plugs": Words(
        "Which plugs for graphics cards has the supply?", "6 or 8 holes, often marked PCIe"
    ),
    "psu.sata_plugs": Words("How many flat drive plugs (SATA) has the supply?", "used ones count too"),
    "psu.peripheral_plugs": Words(
        "How many drive plugs with four round contacts has the supply?", "used ones count too"
    ),
    "psu.sata_leads": Words(
        "On how many leads do the supply's flat drive plugs (SATA) hang?",
        "follow them back to the supply: plugs one behind the other hang on one lead",
    ),
    "psu.peripheral_leads": Words(
        "On how many leads do the drive plugs with four round contacts hang?",
        "follow them back to the supply: plugs one behind the other hang on one lead",
    ),
    "psu.floppy_plugs": Words("How many small floppy plugs has the supply?", "used ones count too"),
    "psu.zero_load_12v": Words(
        "Does the supply bear no load at all at +12 V?",
        "its maker's data sheet (often: made for low standby loads); the label does not tell",
    ),
    "psu.form": Words("How large is the supply?", "measure width x height x depth from outside"),
    "board.socket": Words(
        "What is the processor's socket called?",
        "printed on the socket or beside it, or in the board's manual",
    ),
    "board.chipset": Words("Which chipset has the board?", "the board's manual; one word"),
    "board.form_factor": Words("What size is the board?", "measure both edges"),
    "board.width_mm": Words(
        "How long is the board's edge at the rear ports?",
        "from corner to corner along the edge with the ports",
    ),
    "board.depth_mm": Words("How deep is the board?", "from the edge with the ports to the opposite edge"),
    "board.holes": Words(
        "Which mounting holes has the board?", "by letter, or none; compare with the drawing"
    ),
    "board.main_plug": Words(
        "How many contacts has the board's big power socket?", "the widest one; count one row and double it"
    ),
    "board.cpu_plugs": Words("Which power socket sits near the processor?", IN_CASE),
    "board.memory_generation": Words(
        "Which memory does the board take?",
        "label of a module in it: PC100 and PC133 are sdr, PC2100 to PC3200 ddr, PC2- ddr2, PC3- ddr3, PC4-"
        " ddr4, PC5- ddr5",
    ),
    "board.memory_module": Words("How long are the board's memory modules?", "measure one, or a slot"),
    "board.memory_channels": Words(
        "How many memory channels has the board?",
        "its manual: single or dual channel; two coloured pairs of slots are usually two channels",
    ),
    "board.memory_max_mib": Words(
        "How much memory does the board take at most?", "its manual; what system tools print is often wrong"
    ),
    "board.memory_max_module_mib": Words("How large may one memory module be?", "the board's manual"),
    "board.memory_max_rate_mts": Words(
        "How fast may the memory be?",
        "the board's manual, the highest rate in its list: DDR3-1333 or PC3-10600",
    ),
    "board.memory_slots": Words(
        "How many memory slots has the board?", "count the long slots beside the processor, empty ones too"
    ),
    "board.slots": Words(
        "Which card slots has the board, beginning at the processor?",
        "such as: x16 x1 pci pci. A long slot wired for fewer lanes: x16:4 (the manual tells); none if there"
        " are none",
    ),
    "board.m2_slots": Words(
        "Has the board an M.2 socket?",
        "a flat socket for a small card, with a screw 42 to 110 mm away; details stay an open question",
    ),
    "board.sata_6g_ports": Words(
        "How many SATA ports of 6 Gb/s has the board?",
        "printed beside them, or the manual; boards before 2010 have none",
    ),
    "board.sata_3g_ports": Words(
        "How many SATA ports of 3 Gb/s has the board?", "printed beside them, or the manual"
    ),
    "board.pata_channels": Words(
        "How many sockets for a wide ribbon cable (40 pins, PATA) has the board?", IN_CASE
    ),
    "board.floppy_headers": Words("How many sockets for a floppy ribbon (34 pins) has the board?", IN_CASE),
    "board.fan_headers": Words(
        "How many fan sockets has the board beside the processor's?", "small ones with 3 or 4 pins"
    ),
    "memory": Words(
        "How many different kinds of memory modules are in it?", "modules with equal labels are one kind"
    ),
    "memory.generation": Words("Which generation are these modules?", "their label"),
    "memory.capacity_mib": Words("How large is one of them?", "their label, such as 2 GB or 512 MB"),
    "memory.count": Words("How many of them are there?", "count them"),
    "memory.rate_mts": Words("How fast are they rated?", "their label: PC3-10600, DDR3-1333 or just 1333"),
    "memory.registered": Words(
        "Are they registered?", "R at the end of the PC-number; desktop modules are not"
    ),
    "memory.module_height_mm": Words(
        "How high is one module?", "with its heat spreader; plain ones are 30 to 32 mm: ? is enough there"
    ),
    "memory.ecc": Words(
        "Have they error correction?", "9 equal chips on a side instead of 8; desktop modules have not"
    ),
    "drive.interface": Words(
        "How is its data lead connected?",
        "sata: small and flat; pata: a wide ribbon; m2: a small card screwed to the board",
    ),
    "drive.power_plug": Words("Which power plug is on it?", IN_CASE),
    "drive.sata_gbps10": Words("How fast is its SATA?", "its label or data sheet"),
    "drive.m2_key": Words("Which key has the module?", "the gap between its contacts"),
    "drive.m2_length_mm": Words("How long is the module?", "80 mm is usual; also in its name: 2280"),
    "pc.cooler_brackets": Words(
        "Is the cooler held by the case or by a frame that stays?",
        "no: it hangs on pins or screws in the board",
    ),
    "case.max_board_width_mm": Words(
        "How much room is there along the rear wall?",
        "from the wall beside the ports to the other side of the tray",
    ),
    "case.max_board_depth_mm": Words(
        "How deep may a board be?",
        "on the tray, from the rear wall to the nearest obstacle in front: drive cage, cables, supply",
    ),
    "case.psu_place": Words(
        "Where does the supply sit?", "beyond the board's upper edge, below its lower edge, or over the board"
    ),
    "case.height_under_psu_mm": Words(
        "How much room is above the processor under the supply?",
        "from the processor's top to the supply's underside; cooler out, or its height plus what is free above",
    ),
    "case.max_cooler_height_mm": Words(
        "How high may a cooler be?",
        "from the processor's top to the closed side; lay a ruler across the case",
    ),
    "case.max_card_length_mm": Words(
        "How long may a card be?", "from the rear wall along a card slot to the nearest obstacle"
    ),
    "case.standoffs": Words(
        "Under which letters are standoffs in the case's tray now?",
        "standoffs are the short metal posts that the board is screwed to; with blanks between the letters,"
        " or none",
    ),
    "case.standoffs_fixed": Words(
        "Which of the case's standoffs cannot be taken out?",
        "the short metal posts under the board: those riveted, or pressed from the tray's metal. Letters, or"
        " none; one without a hole above it can short a new board",
    ),
    "case.psu_form": Words(
        "Which size of supply does the case take?",
        "that of the present one, unless there is a plate around it",
    ),
    "case.front_usb2_plugs": Words("How many front USB 2.0 plugs hang from the case?", "9 holes in two rows"),
    "case.front_usb3_plugs": Words("How many front USB 3 plugs hang from the case?", "19 holes, thick lead"),
    "case.front_usb_e_plugs": Words(
        "How many front Type-E plugs hang from the case?", "small, in a metal frame"
    ),
    "case.front_audio": Words("What is printed on the front audio plug?", "the plug from the front sockets"),
    "case.front_panel": Words("How are switch and lamps plugged?", "at the board's front corner"),
    "case.fans": Words(
        "How many case fans need a socket on the board?", "without the processor's and the supply's"
    ),
}
