"""Estimated scores against values that were worked out with a pocket calculator from what the module's docstring says.

Points per MHz of the scored processors are round numbers (0.1, 0.2 ...), so that each result can be gone through
in the head: clock x points per MHz; all threads = one thread x cores x efficiency. Growth of points per MHz where
the catalogue's span is too short: (1.6 x 1.3)^(1/14) = 1.05370 a year (sources: standards/processor_classes.py).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import CPU

from partsolver.catalog.records import Cpu
from partsolver.performance.estimate import kept_clock, two_threads, usual_year, with_estimates


def cpu(name: str, **facts: Any) -> Cpu:
    """A processor of 4 cores and 4 threads, of which nothing else is known but the facts."""
    usual: dict[str, Any] = {"cores": 4, "threads": 4, "socket": "sock-9"}
    nothing = dict.fromkeys(
        ("family", "architecture_class", "year", "base_mhz", "boost_mhz", "tdp_w", "power_limit_w",
         "serial_score", "parallel_score", "score_origin", "score_error_percent")
    )  # fmt: skip
    return replace(CPU, id=name, **(nothing | usual | facts))


def scored(name: str, year: int | None, per_mhz: float, mhz: int = 1000, **facts: Any) -> Cpu:
    """One of a family of its own, unless the facts say another."""
    points = round(per_mhz * mhz)
    own = {
        "family": name,
        "year": year,
        "boost_mhz": mhz,
        "serial_score": points,
        "parallel_score": 4 * points,
    }
    return cpu(name, **(own | facts))


def one_thread(asked: Cpu, *others: Cpu) -> tuple[int | None, int | None]:
    """Estimated points of one thread, and the error in per cent."""
    found = with_estimates((*others, asked))[asked.id]
    assert found.score_origin == "estimated"
    return found.serial_score, found.score_error_percent


def all_threads(asked: Cpu, *others: Cpu) -> int | None:
    return with_estimates((*others, asked))[asked.id].parallel_score


def test_the_same_class() -> None:
    """0.2 and 0.25 points per MHz: their geometric mean 0.223607; of one scored processor its own."""
    first, second = scored("a", 2012, 0.2, 3000), scored("b", 2012, 0.25, 4000, family="a")
    asked = cpu("asked", family="a", base_mhz=2000)
    assert one_thread(asked, first, second) == (447, 6)
    assert one_thread(asked, first) == (400, 10)
    # A stated highest clock counts before the base clock; the class before the family.
    assert one_thread(replace(asked, boost_mhz=2500), first) == (500, 10)
    classed = replace(second, architecture_class="k")
    assert one_thread(replace(asked, architecture_class="k"), first, classed) == (500, 10)


def test_a_clock_that_nobody_stated() -> None:
    """That of the class: (3000 x 4000)^0.5 = 3464.1 MHz, off by ln(4/3) / 2 = 0.1438; (0.06^2 + 0.1438^2)^0.5 = 0.1559."""
    first, second = scored("a", 2012, 0.2, 3000), scored("b", 2012, 0.25, 4000, family="a")
    assert one_thread(cpu("asked", family="a"), first, second) == (775, 16)
    # One clock has no spread: the least error, (0.10^2 + 0.12^2)^0.5 = 0.1562.
    assert one_thread(cpu("asked", family="a"), first) == (600, 16)


def test_a_clock_by_the_socket_then_by_the_years_around() -> None:
    """0.1 points per MHz in every class of 2012. Same socket: 3000 MHz. Else at most two years away: 4000 MHz, with
    0.1 x 1.05370^-2 = 0.090066 and 0.1 x 1.05370^-3 = 0.085476 points per MHz, their mean 0.087741. Else all."""
    slow, fast = scored("a", 2012, 0.1, 3000, socket="sock-1"), scored("b", 2012, 0.1, 5000)
    assert one_thread(cpu("asked", year=2012, socket="sock-1"), slow, fast)[0] == 300
    near, far = scored("near", 2014, 0.1, 4000, socket="s"), scored("far", 2015, 0.1, 1000, socket="s")
    assert one_thread(cpu("asked", year=2012), near, far)[0] == 351
    # No year either: (4000 x 1000)^0.5 = 2000 MHz.
    assert one_thread(cpu("asked"), near, far)[0] == 200


def test_a_clock_by_the_class_before_the_socket() -> None:
    """The class runs at 4000 MHz, the socket at 1000; a processor of no class is like nobody of no class."""
    own = scored("a", 2012, 0.1, 4000, socket="sock-1")
    other = scored("b", 2012, 0.1, 1000, socket="sock-9")
    assert one_thread(cpu("asked", family="a", socket="sock-9"), own, other)[0] == 400
    classless = scored("c", 2012, 0.1, 2000, socket="sock-1", family=None)
    assert one_thread(cpu("asked", year=2012, socket="sock-9"), classless, other)[0] == 100
    # At most two years away: 2014 counts, 2015 does not.
    near, far = scored("near", 2014, 0.1, 1000, socket="s"), scored("far", 2015, 0.1, 4000, socket="s")
    found = one_thread(cpu("asked", year=2012, socket=None), near, far)[0]
    assert found == one_thread(cpu("asked", year=2012, boost_mhz=1000), near, far)[0]


GROWING = (scored("a", 2010, 0.100), scored("b", 2014, 0.140), scored("c", 2018, 0.196))


@pytest.mark.parametrize(
    ("year", "points", "error"),
    [
        (2016, 166, 20),  # 0.14 x 1.4^0.5 = 0.16565
        (2022, 274, 24),  # 0.196 x 1.4; four years beyond: (0.20^2 + 0.12^2)^0.5 = 0.2332
        (2028, 455, 37),  # 0.196 x 1.4^2.5; ten years: (0.20^2 + 0.30^2)^0.5 = 0.3606
        (2000, 43, 37),  # 0.1 / 1.4^2.5, and as far before the first
    ],
)
def test_the_trend_over_the_years(year: int, points: int, error: int) -> None:
    """1.4 times in four years; an unknown class of 1000 MHz."""
    assert one_thread(cpu("asked", year=year, base_mhz=1000), *GROWING) == (points, error)


@pytest.mark.parametrize(
    ("classes", "year", "points", "error"),
    [
        # Doubled in four years is more than twice the usual growth, 1.05370^2 = 1.11029 a year: levels of 2018 0.23094,
        # 0.30393 and 0.4, off from the middle by 0.27465 each; (2 x 0.27465^2 / 3)^0.5 = 0.22425.
        (((2010, 0.1), (2014, 0.2), (2018, 0.4)), 2018, 3039, 23),
        # Points never fall with the years; (2 x 0.69315^2 / 3)^0.5 = 0.56595.
        (((2010, 0.4), (2014, 0.2), (2018, 0.1)), 2018, 2000, 57),
        # Two years are no span: 0.1 x 1.05370^2 = 0.11103 and 0.11.
        (((2010, 0.1), (2012, 0.11)), 2012, 1105, 20),
        (
            ((2010, 0.1), (2011, 0.12), (2012, 0.144)),
            2012,
            1264,
            20,
        ),  # 0.12 x 1.05370, between 0.11103 and 0.144
        # Four years are one: 1.2 times in two.
        (((2010, 0.1), (2012, 0.12), (2014, 0.144)), 2014, 1440, 20),
        # Two classes give no slope: 0.1 x 1.05370^8 = 0.15197 and 0.2; off by 0.13732 each.
        (((2010, 0.1), (2018, 0.2)), 2018, 1743, 20),
    ],
)
def test_growth_that_is_no_trend(
    classes: tuple[tuple[int, float], ...], year: int, points: int, error: int
) -> None:
    others = [scored(f"class {year}", year, value, 10000) for year, value in classes]
    assert one_thread(cpu("asked", year=year, base_mhz=10000), *others) == (points, error)


def test_without_a_year() -> None:
    """The middle of all classes; their spread is the error, 0.35 at least: ln(2) / 2 = 0.3466, ln(3) / 2 = 0.5493."""
    asked, first = cpu("asked", base_mhz=10000), scored("a", 2010, 0.1)
    assert one_thread(asked, first, scored("b", 2020, 0.2)) == (1414, 35)
    assert one_thread(asked, first, scored("b", 2020, 0.3)) == (1732, 55)
    # The classes have none: the year of the one that is asked about says nothing.
    undated = scored("a", None, 0.1), scored("b", None, 0.2)
    assert one_thread(replace(asked, year=2015), *undated) == (1414, 35)


def test_a_class_weighs_as_one() -> None:
    """Three of a class and one of another: 0.1 and 0.4, the middle 0.2; without years."""
    alike = [scored(f"a{n}", None, 0.1, family="a") for n in range(3)]
    assert one_thread(cpu("asked", base_mhz=1000), *alike, scored("b", None, 0.4))[0] == 200


def test_the_year_of_a_class_is_the_lower_middle_of_its_members() -> None:
    """2010 and 2014: 2010, so with 2018 there is a span, but of two classes no slope: 0.1 x 1.05370^8 and 0.1 of 2018."""
    members = [scored("a", 2010, 0.1, 10000), scored("b", 2014, 0.1, 10000, family="a")]
    found = one_thread(cpu("asked", year=2018, base_mhz=10000), *members, scored("c", 2018, 0.1, 10000))
    assert found == (1233, 21)  # (0.15197 x 0.1)^0.5 = 0.12328; off by ln(1.5197) / 2 = 0.2093


def test_usual_year_is_the_middle_of_the_sockets_years() -> None:
    """LGA775 2004 to 2010, AM3+ 2011 to 2014 (SOCKET_YEARS, typed in standards/data)."""
    assert usual_year(cpu("x", socket="LGA775")) == 2007
    assert usual_year(cpu("x", socket="am3+")) == 2012
    assert usual_year(cpu("x", socket="LGA775", year=2009)) == 2009
    assert usual_year(cpu("x", socket="sock-9")) is None and usual_year(cpu("x", socket=None)) is None
    # A year that comes with the question counts where neither is known.
    others = (*GROWING, cpu("asked", base_mhz=1000))
    assert with_estimates(others, {"asked": 2016})["asked"].serial_score == 166


@pytest.mark.parametrize(
    ("facts", "clock"),
    [
        (
            {"tdp_w": 80, "power_limit_w": 90},
            0.875,
        ),  # half of the free headroom: 3/4 of the way from 2 to 4 GHz
        ({"tdp_w": 80, "power_limit_w": 100}, 1.0),
        ({"tdp_w": 80, "power_limit_w": 200}, 1.0),
        ({"tdp_w": 80, "power_limit_w": 80}, 0.75),
        ({"tdp_w": 80, "power_limit_w": 40}, 0.75),
        ({"tdp_w": 80}, 1.0),
        ({"power_limit_w": 40}, 1.0),
        ({"tdp_w": 80, "power_limit_w": 40, "base_mhz": None}, 1.0),
        ({"tdp_w": 80, "power_limit_w": 40, "boost_mhz": None}, 1.0),
    ],
)
def test_the_clock_that_all_threads_keep(facts: dict[str, Any], clock: float) -> None:
    """Half of the way from the base to the highest clock at the rated heat, all of it a quarter above."""
    assert kept_clock(cpu("x", **({"base_mhz": 2000, "boost_mhz": 4000} | facts))) == pytest.approx(clock)


def test_two_threads() -> None:
    assert two_threads(cpu("x", cores=4, threads=8)) and not two_threads(cpu("x", cores=4, threads=4))
    assert not two_threads(cpu("x", cores=1, threads=None)) and not two_threads(cpu("x", cores=1, threads=1))
    assert two_threads(cpu("x", cores=1, threads=2)) and not two_threads(cpu("x", cores=None, threads=8))


def known(name: str, cores: int, efficiency: float, **facts: Any) -> Cpu:
    """1000 points of one thread, and all threads of an efficiency."""
    own = {"cores": cores, "threads": cores, "family": "a", "serial_score": 1000}
    return cpu(name, **(own | {"parallel_score": round(1000 * cores * efficiency)} | facts))


def test_all_threads_by_the_nearest_number_of_cores() -> None:
    """2 cores 0.9 and 8 cores 0.7: 4 lie as far from both, (0.9 x 0.7)^0.5 = 0.793725; 3 nearer to 2."""
    two, eight = known("two", 2, 0.9), known("eight", 8, 0.7)

    def asked(cores: int, **facts: Any) -> Cpu:
        return cpu(
            "asked", **({"cores": cores, "threads": cores, "family": "a", "serial_score": 1000} | facts)
        )

    assert all_threads(asked(4), two, eight) == 3175
    assert all_threads(asked(3), two, eight) == 2700
    assert all_threads(asked(6), two, eight) == 4200
    # Its own class counts before another that is nearer.
    assert all_threads(asked(3), replace(two, family="b"), eight) == 2100
    # A stated limit counts on both sides: 0.875 of the clock.
    held = {"base_mhz": 2000, "boost_mhz": 4000, "tdp_w": 80, "power_limit_w": 90}
    assert all_threads(asked(2, **held), two) == 1575
    assert all_threads(asked(2), replace(two, **held)) == 2057  # 1800 / 0.875


def test_all_threads_with_two_a_core() -> None:
    """As many threads a core count before the class; where nobody has as many, 1.2 times for two."""
    plain, other = known("plain", 4, 0.9), known("other", 4, 1.1, threads=8, family="b")
    asked = cpu("asked", family="a", threads=8, serial_score=1000)
    assert all_threads(asked, plain) == 4320
    assert all_threads(asked, plain, other) == 4400
    assert all_threads(replace(asked, threads=4, family="b"), other) == 3667  # 4400 / 1.2
    # Their own class first there too.
    assert all_threads(asked, plain, known("third", 4, 0.5, family="c")) == 4320
    # Nobody has both figures: as many times as it has cores.
    assert (
        all_threads(replace(asked, threads=4), cpu("x", family="a", serial_score=1000, base_mhz=1000)) == 4000
    )


def test_cores_that_nobody_counted() -> None:
    """All : one thread of the class, 3.6."""
    plain = known("plain", 4, 0.9)
    assert all_threads(cpu("asked", family="a", cores=None, serial_score=500), plain) == 1800


def test_one_thread_from_all() -> None:
    """1900 points of two cores at 0.95: 1000, give or take 15 %; of unknown cores at 3.8 : 1: 500, 40 %."""
    plain = known("plain", 4, 0.95)
    asked = cpu("asked", family="a", cores=2, threads=2, parallel_score=1900)
    assert one_thread(asked, plain) == (1000, 15)
    assert one_thread(replace(asked, cores=None, threads=None), plain) == (500, 40)
    found = with_estimates((plain, asked))["asked"]
    assert found.parallel_score == 1900


def test_what_is_known_stays_and_what_nobody_knows_too() -> None:
    plain = known("plain", 4, 0.9, score_origin="measured", score_error_percent=3)
    assert with_estimates((plain,)) == {"plain": plain}
    unknown = cpu("unknown", base_mhz=1000)
    assert with_estimates((unknown,)) == {"unknown": unknown}
    assert with_estimates((plain, cpu("asked", base_mhz=1000)))["plain"] == plain
    # At least one point.
    tiny = one_thread(cpu("asked", family="a", base_mhz=1), scored("a", 2012, 0.1))
    assert tiny == (1, 10)
