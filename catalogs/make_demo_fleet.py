"""Make the demo fleet from the demo survey: six PCs of a community house with a shelf. Everything in it is
invented.

Run after a change of demo-survey.toml: ``python catalogs/make_demo_fleet.py``.
"""

from __future__ import annotations

import re
from pathlib import Path

HERE = Path(__file__).resolve().parent
FLEET = HERE / "demo-fleet"
# An old quad-core of the same family: what is hot in one PC is quick in another.
QUAD = {
    'name = "present dual-core, 2.7 GHz"': 'name = "present quad-core, 3.1 GHz"',
    "cores = 2\nthreads = 2": "cores = 4\nthreads = 4",
    "base_mhz = 2700\nboost_mhz = 2700": "base_mhz = 2900\nboost_mhz = 3100",
    "serial_score = 602\nparallel_score = 1140": "serial_score = 692\nparallel_score = 2616",
    "tdp_w = 65\npower_limit_w = 65": "tdp_w = 95\npower_limit_w = 95",
    'sockets = "brig"\nheight_mm = 52\nrated_w = 65': 'sockets = "brig"\nheight_mm = 62\nrated_w = 95',
    "# The flat cooler from the processor's box: enough for 65 W, not for the quad-cores of 95 W.\n": "",
    'name = "present flat cooler"': 'name = "present cooler, 95 W"',
}
# name: (what it is called, why it is as it is, changes of the demo survey)
PCS: dict[str, tuple[str, str, dict[str, str]]] = {
    "accounts": ("accounts", "Four modules of 2 GiB since 2015.", {"count = 2\nregistered": "count = 4\nregistered"}),
    "courses-1": ("course room, window", "As the choir's PC.", {}),
    "courses-2": ("course room, door", "The same kind as its neighbour.", {}),
    "library": ("library", "A quad-core, but one module only.", {**QUAD, "count = 2\nregistered": "count = 1\nregistered"}),
    "reception": (
        "reception",
        "Two larger modules, and the slowest processor of the house.",
        {
            "capacity_mib = 2048": "capacity_mib = 4096",
            "serial_score = 602\nparallel_score = 1140": "serial_score = 540\nparallel_score = 1020",
        },
    ),
    "store-room": (
        "store room",
        "Its board has bulged capacitors and does not start; processor and memory were tried elsewhere.",
        {**QUAD, "board_works = true            # starts every time; no bulged capacitors to be seen on the board": "board_works = false"},
    ),
}  # fmt: skip
SHELF = """\
part,count,condition
transom-t4-30,1,used
ddr3-1x4-1333,2,used
ddr4-2x4-2666,1,new
cool-disc,1,new
cool-quiet,1,new
"""


def survey_text(name: str) -> str:
    """The survey of one PC: the demo survey with its changes, without its story and its wishes for that
    owner."""
    called, why, changes = PCS[name]
    text = (HERE / "demo-survey.toml").read_text(encoding="utf-8")
    text = text[text.index("[pc]") :]
    text = text.replace("the choir's office PC", called).replace('budget = "230.00"\n', "")
    text = re.sub(r"# Everything must be there before the concert week.*\nneed_by = .*\n", "", text)
    for before, after in changes.items():
        if before not in text:
            raise SystemExit(f"{name}: the demo survey does not hold {before!r} any more")
        text = text.replace(before, after)
    return f"# Demo fleet: {called} of a community house. Everything in it is invented.\n# {why}\n\n{text}"


def main() -> None:
    FLEET.mkdir(exist_ok=True)
    for name in PCS:
        (FLEET / f"{name}.toml").write_text(survey_text(name), encoding="utf-8")
    (FLEET / "shelf.csv").write_text(SHELF, encoding="utf-8")


if __name__ == "__main__":
    main()
