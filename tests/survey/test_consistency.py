"""`survey check`: facts that cannot both be true, each named with where it comes from."""

from __future__ import annotations

import tomllib

import pytest

from partsolver.survey.consistency import clashes
from partsolver.survey.load import parse_survey
from partsolver.survey.origins import origin_of, origins

LEAST = "[case]\n[psu]\n"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        # (first fact, second fact) of every clash; sources beside the numbers
        (LEAST + "[board]\nmemory_slots = 2\n[[memory]]\ncount = 3\n", [("memory", "board.memory_slots")]),
        (LEAST + "[board]\nmemory_slots = 4\n[[memory]]\ncount = 4\n", []),
        (
            LEAST + "[board]\nmemory_generation = 'ddr2'\n[[memory]]\ngeneration = 'ddr3'\n",
            [("memory 1.generation", "board.memory_generation")],
        ),
        (
            LEAST + "[board]\nmemory_max_module_mib = 2048\n[[memory]]\ncapacity_mib = 4096\n",
            [("memory 1.capacity_mib", "board.memory_max_module_mib")],
        ),
        # A slot gives 75 W, a 6-contact plug 75, an 8-contact one 150 W (PCI Express CEM 1.1; Intel 336521
        # table 3-5)
        (
            LEAST
            + "[[card]]\nname = 'g'\nkind = 'graphics'\nbus = 'pcie'\npower_plugs = []\nload_mw = 120000\n",
            [("card g.load_mw", "card g.power_plugs")],
        ),
        (
            LEAST
            + "[[card]]\nname = 'g'\nkind = 'graphics'\nbus = 'pcie'\npower_plugs = ['6']\nload_mw = 120000\n",
            [],
        ),
        # A slot of one lane gives 25 W (the same specification); a PCI slot 25 W (PCI Local Bus Specification
        # 3.0, section 4.3.4; from memory).
        *(
            (
                LEAST + f"[[card]]\nname = 'n'\nkind = 'network'\n{slot}\nload_mw = {load}\n",
                [("card n.load_mw", "card n.power_plugs")] if load > 25000 else [],
            )
            for slot in ("bus = 'pcie'\nlanes = 1\npower_plugs = []", "bus = 'pci'")
            for load in (25000, 25001)
        ),
        # Graphics take 75 W from a slot of sixteen lanes, other cards 25 W (PCI Express CEM 1.1); an AGP slot gives
        # 42 W over all its rails (AGP 3.0 interface specification 1.0, table 47: 6 A at 3.3 V, 2 A at 5 V, 1 A at
        # 12 V are 41.8 W).
        *(
            (
                LEAST + f"[[card]]\nname = 'g'\nkind = '{kind}'\n{slot}\nload_mw = {load}\n",
                [("card g.load_mw", "card g.power_plugs")] if load > most else [],
            )
            for kind, slot, most in (
                ("graphics", "bus = 'pcie'\nlanes = 16\npower_plugs = []", 75000),
                ("network", "bus = 'pcie'\nlanes = 16\npower_plugs = []", 25000),
                ("network", "bus = 'pcie'\npower_plugs = []", 25000),
                ("graphics", "bus = 'agp'\npower_plugs = []", 42000),
                ("graphics", "bus = 'agp'\npower_plugs = ['6']", 42000 + 75000),
            )
            for load in (most, most + 1)
        ),
        # Whether it has a plug nobody said.
        (LEAST + "[[card]]\nname = 'g'\nkind = 'graphics'\nbus = 'agp'\nload_mw = 60000\n", []),
        (LEAST + "[[card]]\nname = 'g'\nkind = 'graphics'\nbus = 'pcie'\nload_mw = 110000\n", []),
        (
            "[case]\n[psu]\nrail_12v_ma = '18000'\ncpu_rail = 2\n",
            [("psu.cpu_rail", "psu.rail_12v_ma")],
        ),
        # DDR2 up to 1066 MT/s (JESD79-2 to 800; 1066 common practice), DDR3 from 800 (JESD79-3)
        (
            LEAST + "[[memory]]\ngeneration = 'ddr2'\nrate_mts = 1600\n",
            [("memory 1.rate_mts", "memory 1.generation")],
        ),
        (LEAST + "[[memory]]\ngeneration = 'ddr3'\nrate_mts = 1600\n", []),
        # DDR3 on desktops from 2007 (common practice); SATA 3.0 of 2009, on boards from 2010 (common
        # practice)
        (
            LEAST + "[board]\nyear = 2005\nmemory_generation = 'ddr3'\n",
            [("board.year", "board.memory_generation")],
        ),
        (LEAST + "[board]\nyear = 2006\nsata_6g_ports = 2\n", [("board.year", "board.sata_6g_ports")]),
        (
            LEAST + "[board]\nyear = 2006\n[[drive]]\nname = 'D'\nsata_gbps10 = 60\n",
            [("board.year", "drive D.sata_gbps10")],
        ),
        # 14 A x 12 V + 20 A x 5 V + 20 A x 3.3 V = 334 W
        ("[case]\n[psu]\nrated_w = 334\nrail_12v_ma = 14000\nrail_5v_ma = 20000\nrail_3v3_ma = 20000\n", []),
        (
            "[case]\n[psu]\nrated_w = 335\nrail_12v_ma = 14000\nrail_5v_ma = 20000\nrail_3v3_ma = 20000\n",
            [("psu.rated_w", "psu.rail_12v_ma")],
        ),
        (
            "[case]\n[psu]\nrail_12v_ma = '14000+15000'\ncombined_12v_ma = 30000\n",
            [("psu.combined_12v_ma", "psu.rail_12v_ma")],
        ),
        (
            "[case]\nmax_board_depth_mm = 200\n[psu]\n[board]\ndepth_mm = 244\n",
            [("board.depth_mm", "case.max_board_depth_mm")],
        ),
        # ATX 305 x 244 mm (ATX 2.2, figure 3) into a tray for 244 x 244 mm (microATX 1.2, figure 2)
        (
            "[case]\nform_factor = 'microatx'\n[psu]\n[board]\nform_factor = 'atx'\n",
            [("board.form_factor", "case.form_factor")],
        ),
        ("[case]\nform_factor = 'own'\n[psu]\n[board]\nform_factor = 'microatx'\n", []),
        (
            "[case]\n[psu]\ncpu_plugs = 'none'\n[board]\ncpu_plugs = '4'\n",
            [("board.cpu_plugs", "psu.cpu_plugs")],
        ),
        (
            LEAST
            + "[board]\npata_channels = 1\n"
            + "".join(f"[[drive]]\nname = 'd{n}'\ninterface = 'pata'\n" for n in range(3)),
            [("drive", "board.pata_channels")],
        ),
    ],
)
def test_facts_that_do_not_go_together(text: str, found: list[tuple[str, str]]) -> None:
    survey, _ = parse_survey(tomllib.loads(text), "pc.toml")
    assert [(clash.first[0], clash.second[0]) for clash in clashes(survey)] == found


def test_where_a_value_comes_from() -> None:
    text = """\
[board]
name = "N # 1"
memory_slots = 4  # from d.txt:97 (1b38)
year = 2009  # from d.txt:3 (0000)
depth_mm = 244
[[memory]]
rate_mts = 800  # answered in the interview
[[drive]]
name = "a.b c"
kind = "ssd"  # I looked
"""
    known = origins(text)
    assert [
        origin_of(fact, ["a.b c"], known)
        for fact in (
            "board.memory_slots",
            "board.year",
            "board.depth_mm",
            "memory 1.rate_mts",
            "drive a.b c.kind",
        )
    ] == [
        "from d.txt:97",
        "written by hand",
        "written by hand",
        "answered in the interview",
        "written by hand",
    ]
    assert [origin_of(fact, [], known) for fact in ("memory", "drive", "psu.rated_w", "drive b.kind")] == [
        None
    ] * 4
    assert known["board.name"] == "written by hand"
