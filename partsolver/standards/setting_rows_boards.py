"""Settings about boards, memory modules, USB devices and standby.

Rows of ``settings.Setting`` in field order: name, value, unit, basis, source, meaning, low, high.
"""

from .setting_rows_power import Row

_ERAS = (
    # era, what it is; usual and highest mA at 12 V, 5 V, 3.3 V of the board alone
    ("to2005", "made up to 2005", ((300, 1000), (2000, 5000), (3000, 4000))),
    ("to2009", "made from 2006 to 2009", ((500, 1000), (2500, 4000), (2000, 3000))),
    ("later", "made from 2010 on", ((600, 1000), (2000, 3500), (800, 1200))),
)
_RAILS = ("12v", "5v", "3v3")
_MEASURED = (
    "board measurements of 2009-2022 and a test house's planning values of 2003 (loads reference section 2), memory"
    " and USB devices taken out"
)


def _board_rows() -> tuple[Row, ...]:
    rows: list[Row] = []
    for era, words, currents in _ERAS:
        for rail, (usual, most) in zip(_RAILS, currents, strict=True):
            volts = rail.replace("v3", ".3").replace("v", "")
            name, what = (
                f"board_{era}_{rail}",
                f"{volts} V current of a board {words}, without what is plugged in",
            )
            rows.append((f"{name}_ma", usual, "mA", "derived", _MEASURED, f"usual {what}", 0, 20000))
            rows.append((f"{name}_most_ma", most, "mA", "derived", _MEASURED, f"highest {what}", 0, 30000))
    return tuple(rows)


# Modules by generation: usual and highest power. Loads reference section 3 (L25, L35, L36; DDR3 and DDR5
# low).
_MODULES = (
    ("ddr", 5000, 10000, "a test house's planning value 10 W; 4-5.5 W elsewhere"),
    ("ddr2", 3000, 5000, "two modules measured: about 3 W each"),
    ("ddr3", 2000, 5000, "2-3 W; a memory maker plans 5 W for each module; low confidence"),
    ("ddr4", 2000, 5000, "measured 1.5-3 W; a memory maker plans 5 W for each module"),
    ("ddr5", 3000, 5000, "2-4 W; a memory maker plans 5 W for each module; low confidence"),
)

_STANDBY = "board specifications of 2001-2011 (loads reference section 6)"

ROWS: tuple[Row, ...] = (
    *_board_rows(),
    (
        "cpu_from_5v_to_year",
        2005,
        "year",
        "from memory",
        "the last boards without a plug for the processor, from memory; before 2003 most of a supply's power was meant for"
        " 5 V (boards reference section 9)",
        "boards without a processor header up to this year may feed the processor from 5 V (0: none does)",
        0,
        2100,
    ),
    *(
        row
        for name, usual, most, source in _MODULES
        for row in (
            (
                f"{name}_module_mw",
                usual,
                "mW",
                "secondary source",
                source,
                f"usual power of a {name} module",
                500,
                20000,
            ),
            (
                f"{name}_module_most_mw",
                most,
                "mW",
                "secondary source",
                source,
                f"highest power of a {name} module",
                500,
                20000,
            ),
        )
    ),
    (
        "usb_device_ma",
        100,
        "mA",
        "from memory",
        "keyboard and mouse 0.1 A each",
        "usual 5 V current of a USB device",
        0,
        3000,
    ),
    (
        "ps2_device_ma",
        100,
        "mA",
        "from memory",
        "keyboard and mouse 0.1 A each (loads reference section 3)",
        "usual 5 V current of a keyboard or mouse on a PS/2 port",
        0,
        3000,
    ),
    (
        "ps2_device_most_ma",
        250,
        "mA",
        "secondary source",
        "a test house plans 0.25 A each (loads reference section 3)",
        "highest 5 V current of a keyboard or mouse on a PS/2 port",
        0,
        3000,
    ),
    (
        "display_converter_ma",
        150,
        "mA",
        "from memory",
        "converters from HDMI or DisplayPort to VGA: 0.5-1 W",
        "usual 5 V current of an active display adapter",
        0,
        2000,
    ),
    (
        "display_converter_most_ma",
        330,
        "mA",
        "from memory",
        "DisplayPort gives an adapter 0.5 A at 3.3 V: 1.65 W",
        "highest 5 V current of an active display adapter",
        0,
        2000,
    ),
    (
        "usb_hub_ma",
        100,
        "mA",
        "secondary source",
        "USB 2.0 specification, section 7.2.1.1: a hub that is fed by its port takes one unit load itself",
        "5 V current of a USB hub without what hangs on it",
        0,
        500,
    ),
    (
        "tpm_module_ma",
        50,
        "mA",
        "from memory",
        "loads reference section 3: at most 0.05 A",
        "3.3 V current of a platform module on a header",
        0,
        500,
    ),
    (
        "card_no_plug_mw",
        65000,
        "mW",
        "derived",
        "measured cards of 2006-2014 without plugs: 28-60 W",
        "usual power of a graphics card without plugs whose load is not stated",
        5000,
        75000,
    ),
    (
        "card_low_profile_mw",
        30000,
        "mW",
        "derived",
        "measured entry cards of 2006-2008: 28-32 W",
        "the same of a low-profile or AGP card",
        5000,
        75000,
    ),
    (
        "card_small_mw",
        4000,
        "mW",
        "derived",
        "a test house's planning values: 2.5-4.2 W",
        "usual power of a PCI Express card that makes no picture and whose load is not stated",
        500,
        25000,
    ),
    (
        "standby_board_ma",
        500,
        "mA",
        "derived",
        _STANDBY + ": 0.3-0.5 A while it is off or runs",
        "5 V standby current without which a board does not start",
        100,
        3000,
    ),
    (
        "standby_sleep_ma",
        800,
        "mA",
        "derived",
        _STANDBY + ": 0.77 A in sleep; 1.0-1.4 A with modules and ports",
        "5 V standby current of a sleeping board without modules, USB devices and cards",
        100,
        3000,
    ),
    (
        "standby_module_ma",
        100,
        "mA",
        "derived",
        _STANDBY,
        "5 V standby current of a memory module in sleep",
        0,
        1000,
    ),
    (
        "standby_usb_ma",
        100,
        "mA",
        "derived",
        _STANDBY,
        "5 V standby current of a USB device in sleep",
        0,
        1000,
    ),
    (
        "standby_ps2_ma",
        173,
        "mA",
        "data sheet",
        _STANDBY + ": 345 mA for keyboard and mouse together",
        "5 V standby current of a keyboard or mouse on a PS/2 port in sleep",
        0,
        1000,
    ),
    (
        "standby_card_ma",
        375,
        "mA",
        "data sheet",
        _STANDBY + ": 375 mA for a card that may wake the PC",
        "5 V standby current of a network card in sleep",
        0,
        1000,
    ),
    (
        "standby_early_ma",
        1000,
        "mA",
        "from memory",
        "0.72-1 A before 2004",
        "5 V standby current of a supply made before 2004 whose label does not state it",
        10,
        5000,
    ),
    (
        "standby_later_ma",
        2000,
        "mA",
        "data sheet",
        "ATX12V design guide 2.0, tables 3 to 6",
        "5 V standby current of a supply made from 2004 on whose label does not state it",
        10,
        5000,
    ),
)
