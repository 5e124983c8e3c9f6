"""Uses: named mixes of work as shares of the reference machine's time.

No published split of desktop time into these resources was found: the shares are derived where the table's
comment says so and engineering judgement otherwise, and each comes with a concentration that says how sure
they are (``performance/interval.py``); ``compare --fit`` replaces both by measured ones. What is published
and was kept to: most desktop work has little parallelism (Flautner et al. 2000: TLP < 1.5; Blake et al., ISCA
2010: 2-3 cores are enough for most; Feng et al., ISPASS 2019: average 3.1, which is a parallel share of
0.13-0.23 of the processor's time), doubling the memory channels gains office work 0-6 % (so memory
0.02-0.04), and small scattered reads are 81-98 % of the reads of desktop programs.

Graphics stand only in uses that draw in 3D or cut video. Making the desktop's picture, which any source does,
is part of *other*: waiting that no part changes, as for the network and other people's servers.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from partsolver.base.errors import nearest, refuse
from partsolver.base.records import record
from partsolver.standards.settings import value_of

RESOURCES = ("serial", "parallel", "memory", "waiting", "streaming", "graphics", "other")
OpenAtOnce = Literal["little", "usual", "much"]
# Concentration of shares that somebody states without saying how sure they are (that of photo work;
# judgement).
STATED_CONCENTRATION = 20


@record
class Use:
    """A named mix of work.

    shares_permille: share of the reference time by resource, in RESOURCES order, sum 1000; working_set_mib:
    memory the work needs; capacity_percent: how much lack of memory costs, against the settings'
    ``capacity_cost``; is_3d: whether 3D is what the PC is used for (its graphics cap is
    ``graphics_3d_slowness_cap``); concentration: how sure the shares are, the sum of the Dirichlet
    distribution's parameters (larger: surer).
    """

    name: str
    title: str
    shares_permille: tuple[int, ...]
    working_set_mib: int
    capacity_percent: int = 100
    is_3d: bool = False
    concentration: int = STATED_CONCENTRATION
    basis: str = "engineering judgement"

    def share(self, resource: str) -> int:
        return self.shares_permille[RESOURCES.index(resource)]


# name, title, shares per mille in RESOURCES order, working set MiB, cost of lack of memory %, 3D,
# concentration. Parallel of office: TLP 1.5-2; of programming: a build is 0.92 parallel and about 70 % of the
# waiting; of video: encoders are about 0.95 parallel. Memory: channel tests. Waiting: the gain of a disk's
# replacement (1.35-2.3 times in the office) and of NVMe (a few per cent). Streaming: a SATA link of half the
# rate costs a few per cent. Working sets: builds and exports with 8 and 16 GB; office: idle system, 15-30
# pages, documents.
USES: Mapping[str, Use] = {
    row[0]: Use(*row)
    for row in (
        ("office", "Writing and web", (600, 120, 30, 85, 15, 0, 150), 5120, 100, False, 25),
        ("photo", "Photo work", (360, 370, 50, 80, 20, 0, 120), 10240, 100, False, 20),
        ("video", "Video editing", (140, 660, 50, 40, 20, 70, 20), 14336, 70, False, 30),
        ("programming", "Programming and compiling", (285, 545, 40, 75, 10, 0, 45), 9728, 100, False, 30),
        ("games", "Light games on integrated graphics", (240, 110, 20, 30, 10, 570, 20), 8192, 70, True, 20),
        ("server", "Home server", (270, 230, 40, 105, 25, 0, 330), 4096, 70, False, 12),
    )
}

# The cold start of a program, which `recommend` shows beside the use: about a third of it waits for the drive
# on a SATA solid-state drive (28 % at least, 54-57 % on a PC of 2014), three quarters on a disk (77-79 %).
COLD_START = Use("cold-start", "Starting programs", (650, 0, 0, 350, 0, 0, 0), 0, 0, False, 20, "derived")

# What people call these uses (common words, no names of programs).
_MEANT = {
    "games": ("gaming", "game", "play", "playing", "3d"),
    "office": (
        "writing",
        "web",
        "browsing",
        "internet",
        "surfing",
        "home",
        "school",
        "mail",
        "work",
        "general",
    ),
    "photo": ("photos", "picture", "pictures", "image", "images", "photography"),
    "video": ("videos", "film", "films", "movie", "movies", "cutting", "streaming"),
    "programming": ("code", "coding", "compile", "compiling", "development", "developer", "software"),
    "server": ("nas", "files", "storage", "backup", "media"),
}


def _meant(word: str) -> str | None:
    """A hint for a use that was named by its meaning, or with a slip."""
    said = word.strip().lower()
    found = next((use for use, words in _MEANT.items() if said in words or said == use), None)
    return nearest(word, USES) if found is None else f"Did you mean {found!r}?"


def find_use(
    name: str,
    shares: Mapping[str, int] | None = None,
    working_set_mib: int | None = None,
    open_at_once: OpenAtOnce | None = None,
    concentration: int | None = None,
    settings: Mapping[str, int] | None = None,
) -> Use:
    """A use by name, or the owner's own shares under that name. Raises InputRefused.

    A working set that is not stated is the named use's own (none for a name of one's own), by how much is
    open at once.
    """
    named = USES.get(name)
    if shares is None and named is None:
        raise refuse("use", "no such use", name, ", ".join(USES), _meant(name))
    own_set = 0 if named is None else named.working_set_mib
    if open_at_once in ("little", "much"):
        own_set = own_set * value_of(f"working_set_{open_at_once}_percent", settings) // 100
    needed = own_set if working_set_mib is None else working_set_mib
    found = named or Use(name, name, (), 0)
    return Use(
        name=name,
        title=name if shares is not None else found.title,
        shares_permille=found.shares_permille if shares is None else _stated(shares),
        working_set_mib=needed,
        capacity_percent=found.capacity_percent,
        is_3d=found.is_3d,
        concentration=concentration or (found.concentration if shares is None else STATED_CONCENTRATION),
        basis=found.basis if shares is None else "stated in the brief",
    )


def _stated(shares: Mapping[str, int]) -> tuple[int, ...]:
    for resource in shares:
        if resource == "storage":
            raise refuse(
                "brief.shares",
                "two resources by now",
                resource,
                "waiting (small reads here and there, starts) and streaming (large files)",
            )
        if resource not in RESOURCES:
            raise refuse(
                "brief.shares",
                "no such resource",
                resource,
                ", ".join(RESOURCES),
                nearest(resource, RESOURCES),
            )
    values = tuple(shares.get(resource, 0) for resource in RESOURCES)
    if min(values) < 0 or sum(values) != 1000:
        raise refuse("brief.shares", "the shares must not be negative and must sum to 1000", sum(values))
    return values
