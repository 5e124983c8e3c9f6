"""Typical masses of parts, where neither survey nor catalogue states one. Of low confidence: weigh when it
matters.

Rows of ``settings.Setting`` in field order: name, value, unit, basis, source, meaning, low, high.
"""

from .setting_rows_power import Row

_SOURCE = "from memory of parts on the scales; single parts differ by a third and more"


def _row(name: str, value: int, meaning: str, high: int) -> Row:
    return (f"typical_{name}_g", value, "g", "from memory", _SOURCE, f"typical mass of {meaning}", 1, high)


ROWS: tuple[Row, ...] = (
    _row("board", 600, "a board", 3000),
    _row("cpu", 40, "a processor", 300),
    _row("module", 30, "a memory module", 300),
    _row("cooler", 300, "a processor cooler", 3000),
    _row("psu", 1500, "a supply", 6000),
    _row("case", 6000, "a case without its contents", 40000),
    _row("card", 500, "a graphics card", 3000),
    _row("ssd", 60, "a solid-state drive in a 2.5-inch case", 500),
    _row("m2", 8, "a drive as an M.2 module", 100),
    _row("hdd35", 600, "a 3.5-inch disk", 2000),
    _row("hdd25", 100, "a 2.5-inch disk", 500),
    _row("optical", 700, "a 5.25-inch optical drive", 3000),
    _row("floppy", 400, "a floppy drive", 2000),
)
