"""The table of dangerous limits in tests/README.md says what the typed tables say, and leans to the safe
side.

Safe side: a load counted as high, a limit taken as low, as the document's span allows (common practice).
"""

import csv
import re
from pathlib import Path

TESTS = Path(__file__).parents[1]
SECTION = "## Limits that can hurt a person or destroy a part"


def typed() -> dict[str, dict[str, str]]:
    """Every typed cell by its name."""
    found: dict[str, dict[str, str]] = {}
    for path in sorted((TESTS / "standards" / "data").glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            found.update({row["name"]: row for row in csv.DictReader(file)})
    return found


def told() -> list[list[str]]:
    """The rows of the table: limit, value, span, unit, source, confidence, safe side, leans there, test."""
    section = (TESTS / "README.md").read_text(encoding="utf-8").split(SECTION, 1)[1].split("\n## ", 1)[0]
    lines = [line for line in section.splitlines() if line.startswith("| `")]
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in lines]


def test_the_table_says_what_was_typed():
    cells = typed()
    assert len(told()) > 80
    for name, value, span, unit, source, confidence, _side, _leans, test in told():
        row = cells[name.strip("`")]
        assert (value, unit, confidence) == (row["value"], row["unit"], row["confidence"]), name
        assert source == f"{row['document']}: {row['place']}", name
        ends = [row["low"]] if row["low"] == row["high"] else [row["low"], row["high"]]
        assert span == (" to ".join(ends) or "–"), name
        assert (TESTS / test.strip("`")).is_file(), name


def test_what_is_known_badly_leans_to_the_safe_side_or_says_why_not():
    cells = typed()
    for name, value, _span, _unit, _source, confidence, side, leans, _test in told():
        row = cells[name.strip("`")]
        if confidence != "low" or side == "–":
            assert leans == "–", name
        elif value == row["low" if side == "least" else "high"]:
            assert leans == "yes", name
        else:
            assert re.match(r"(no|yes): \w", leans), f"{name}: {value} is not at the safe end: say why"


def test_the_user_sees_which_limits_are_of_low_confidence():
    """`partsolver guide options` lists every setting among them with its value, and marks those that lean no way."""
    page = (TESTS.parent / "partsolver" / "guide" / "options.md").read_text(encoding="utf-8")
    listed = {}
    for line in page.partition("Limits of low confidence")[2].splitlines():
        if line.startswith("| `"):
            name, value, basis = (cell.strip() for cell in line.strip("|").split("|"))
            listed[name.strip("`")] = (value, basis.endswith("*"))
    settings = {
        row["name"] for row in csv.DictReader((TESTS / "standards/data/settings.csv").open(encoding="utf-8"))
    }
    wanted = {
        name.strip("`"): (f"{value} {unit}", leans.startswith("no"))
        for name, value, _span, unit, _source, confidence, _side, leans, _test in told()
        if confidence == "low" and name.strip("`") in settings
    }
    assert listed == wanted
