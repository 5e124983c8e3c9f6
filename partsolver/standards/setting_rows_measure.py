"""Settings of measuring: how far two runs of ``partsolver measure`` on the same PC differ beyond their own
scatter.

Rows of ``settings.Setting`` in field order: name, value, unit, basis, source, meaning, low, high. All of low
confidence: one run cannot show them. The ``virtual`` ones add in quadrature on a virtual machine, and for
storage behind a host's or server's cache. They come from three runs in a row on one virtual machine of a
shared host, whose medians had standard deviations of 6 % (processor), 2 % (memory), 26 % (reads one after
another), 6 % (reads here and there) and 8 % (start of an application), and are rounded up because three runs
say little and other hosts differ more.
"""

from .setting_rows_power import Row

_OWN = "engineering judgement; repeat `measure` on your PC to replace it"
_VIRTUAL = "three runs on one virtual machine of a shared host; low confidence"


def _row(name: str, value: int, source: str, meaning: str) -> Row:
    return (
        f"run_to_run_{name}_percent",
        value,
        "%",
        "judgement",
        source,
        f"standard deviation between runs: {meaning}",
        0,
        200,
    )


ROWS: tuple[Row, ...] = (
    _row("processor", 2, _OWN, "processor scores"),
    _row("memory", 3, _OWN, "memory bandwidth"),
    _row("sequential", 4, _OWN, "reads one after another"),
    _row("random", 8, _OWN, "reads here and there"),
    _row("launch", 6, _OWN, "cold start of an application"),
    _row("virtual_processor", 8, _VIRTUAL, "processor scores of a virtual machine, in addition"),
    _row("virtual_memory", 6, _VIRTUAL, "memory bandwidth of a virtual machine, in addition"),
    _row("virtual_sequential", 30, _VIRTUAL, "reads one after another behind a host's cache, in addition"),
    _row("virtual_random", 15, _VIRTUAL, "reads here and there behind a host's cache, in addition"),
    _row("virtual_launch", 12, _VIRTUAL, "cold start behind a host's cache, in addition"),
)
