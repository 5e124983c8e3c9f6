"""The survey file: it loads, tells where facts come from, and a second import keeps what a person wrote."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from survey.survey_data import all_dumps, dump, monitor

from partsolver.base.errors import InputRefused
from partsolver.survey.facts import Merged
from partsolver.survey.load import load_survey
from partsolver.survey.merge import merge
from partsolver.survey.readers import read_source
from partsolver.survey.update import update
from partsolver.survey.write import Updated, render


def merged(*names: str) -> Merged:
    return merge([facts for name in names for facts in read_source(dump(name), name)])


def test_a_new_file_loads_with_the_same_facts(tmp_path: Path) -> None:
    path = tmp_path / "survey.toml"
    result = merge(
        [
            f
            for name in ("dmidecode-nx41.txt", "lsblk-text.json", "smartctl-sda.json")
            for f in read_source(dump(name), name)
        ]
    )
    saved = save(path, result, ["dmidecode-nx41.txt"])
    assert saved.clashes == ()
    survey, _ = load_survey(path)
    assert (survey.board.name, survey.board.socket, survey.board.memory_slots) == ("NX-41", "lga775", 4)
    assert (survey.cpu.cores, survey.cpu.base_mhz, survey.psu.rated_w, survey.case.form_factor) == (
        2,
        3000,
        None,
        None,
    )
    assert [(m.generation, m.capacity_mib, m.count) for m in survey.memory] == [
        ("ddr2", 1024, 2),
        ("ddr2", 512, 1),
    ]
    system = survey.system_drive
    assert system is not None and (system.name, system.sata_gbps10, system.encrypted) == (
        "HOLM 250AS-9YX111",
        30,
        True,
    )
    text = path.read_text()
    # a comment says what a fact means and where it comes from; an open one stands with its evidence
    assert "# Processor socket. Find it: printed on the socket" in text
    assert 'socket = "LGA775"  # from dmidecode-nx41.txt:54 (' in text
    assert "#   > supply record 'Standard 235' says 125 W (dmidecode-nx41.txt:180)\n" in text
    assert '#? rated_w = "unknown"\n' in text and "#? memory_max_mib = 8192\n" in text
    assert not list(tmp_path.glob(".*"))  # no temporary file is left


def save(path: Path, result: Merged, sources: Sequence[str] = ()) -> Updated:
    """Write the survey: new, or brought up to date."""
    new = not path.exists()
    done = (
        Updated(render(result, sources), result.clashes)
        if new
        else update(path.read_text(), result, str(path))
    )
    path.write_text(done.text)
    return done


def test_open_questions_become_valid_lines_when_uncommented(tmp_path: Path) -> None:
    path = tmp_path / "survey.toml"
    # suggestions and "unknown" alike must load: a person only removes the mark
    path.write_text(render(merged("dmidecode-nx41.txt", "lsblk-text.json")).replace("\n#? ", "\n"))
    survey, _ = load_survey(path)
    assert (
        survey.board.memory_max_mib == 8192
        and survey.board.firmware_modes == ("legacy",)
        and survey.board.sata_6g_ports is None
    )


def test_the_same_import_changes_nothing() -> None:
    for name, raw in all_dumps().items():
        result = merge(read_source(raw, name))
        text = render(result, [name])
        again = update(text, result, "survey.toml")
        assert (again.text, again.clashes) == (text, ()), name


MINE = """\
# My PC, written by hand.
[pc]
name = "the shop's PC"      # mine

[case]
form_factor = "atx"  # measured

[psu]
rated_w = 350
rail_12v_ma = [ 10000,   # first rail
                13000 ]

[board]
name = "NX-41"
memory_slots = 2            # I counted them
sata_3g_ports = "unknown"

[[memory]]
capacity_mib = 1024
count = 2
rate_mts = 800  # on the label

[[memory]]
capacity_mib = 512

[[drive]]
name = "HOLM 250AS"
power_plug = "sata"
year = 2009

[[device]]
name = "printer"
port = "parallel"

[brief]
budget = "150.00"
"""


def test_what_a_person_wrote_stays() -> None:
    result = merged("dmidecode-nx41.txt", "smartctl-sda.json")
    done = update(MINE, result, "mine.toml")
    kept = [line for line in MINE.splitlines() if line and line not in done.text.splitlines()]
    assert kept == []  # every line is still there, comments and layout included
    assert [(clash.path, [value for value, _ in clash.values]) for clash in done.clashes] == [
        ("board.memory_slots", [2, 4]),
        ("memory[0].rate_mts", [800, 667]),
    ]
    assert 'socket = "LGA775"  # from dmidecode-nx41.txt:54 (' in done.text  # new keys are added
    assert 'kind = "hdd35"  # from smartctl-sda.json' in done.text  # to the drive whose name was cut
    assert done.text.count("[[drive]]") == 1 and done.text.count("[[memory]]") == 2
    assert update(done.text, result, "mine.toml").text == done.text


def test_a_clash_is_settled_by_the_caller() -> None:
    result = merged("dmidecode-nx41.txt")
    done = update(MINE, result, "mine.toml", frozenset({"board.memory_slots"}))
    assert "memory_slots = 4  # from dmidecode-nx41.txt:" in done.text
    assert [clash.path for clash in done.clashes] == ["memory[0].rate_mts"]


def test_imported_values_are_brought_up_to_date_and_edited_ones_are_not() -> None:
    before = merged("dmidecode-nx41.txt")
    newer = merge(
        read_source(
            dump("dmidecode-nx41.txt").replace(b"NX41A07", b"NX41A12").replace(b"512 MB", b"1024 MB"),
            "new.txt",
        )
    )
    text = render(before)
    done = update(text, newer, "survey.toml")
    assert 'firmware_shipped = "NX41A12"  # from new.txt:' in done.text and done.clashes == ()
    assert "count = 3  # from new.txt:" in done.text and done.text.count("[[memory]]") == 1
    edited = text.replace(
        'firmware_shipped = "NX41A07"', 'firmware_shipped = "NX41A09"'
    )  # the comment is left behind
    done = update(edited, newer, "survey.toml")
    assert 'firmware_shipped = "NX41A09"' in done.text
    assert [clash.path for clash in done.clashes] == ["board.firmware_shipped"]


def test_another_pc_is_not_merged_in_silence() -> None:
    done = update(render(merged("dmidecode-nx41.txt")), merged("dmidecode-nx62.txt"), "survey.toml")
    assert {"board.name", "cpu.name"} <= {clash.path for clash in done.clashes}
    assert 'name = "NX-41"' in done.text


def test_an_answered_question_is_replaced_and_evidence_is_renewed() -> None:
    text = render(merged("lshw-children.json"))
    assert '#? socket = "LGA775"' in text  # a designation alone; the processor's id decides it
    done = update(text, merged("lscpu-comma.txt", "dmidecode-nx41.txt"), "survey.toml")
    assert "#? socket =" not in done.text and done.text.count('socket = "LGA775"  # from') == 2
    assert done.text.partition("[cooler]")[0].count("#? rated_w") == 1 and "says 125 W" in done.text


def test_new_rows_are_appended(tmp_path: Path) -> None:
    path = tmp_path / "survey.toml"
    save(path, merged("dmidecode-nx41.txt"))
    save(path, merge(read_source(monitor(), "monitor at HDMI-A-1")))
    save(path, merged("lsblk-text.json"))
    survey, _ = load_survey(path)
    assert [d.name for d in survey.displays] == ["Lumen 22W"] and survey.displays[0].width_px == 1680
    assert [d.name for d in survey.drives] == ["HOLM 250AS", "HOLM 2TS", "ROTA DVD-16"]
    assert survey.board.name == "NX-41"


@pytest.mark.parametrize("text", ["[board\nx", "[board]\nspeed = 3\n", "board = 3\n"])
def test_files_that_are_no_survey_are_refused_and_left_alone(tmp_path: Path, text: str) -> None:
    path = tmp_path / "survey.toml"
    path.write_text(text)
    with pytest.raises(InputRefused):
        save(path, merged("dmidecode-nx41.txt"))
    assert path.read_text() == text


def test_odd_layouts_are_edited_safely_or_refused() -> None:
    result = merged("dmidecode-nx41.txt")
    odd = (
        "psu = { rated_w = 300 }\nmemory = [ { capacity_mib = 1024 } ]\n[case]\n[board] # main\nname ="
        ' """NX-41"""\n'
    )
    done = update(odd, result, "odd.toml")
    assert "psu = { rated_w = 300 }" in done.text and 'name = """NX-41"""' in done.text
    assert "memory" in {clash.path for clash in done.clashes}
