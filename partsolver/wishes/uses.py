"""Uses: named mixes of work as shares of the reference machine's time.

No published split of desktop time into these resources was found (performance reference, section 9): the
shares are engineering judgement, to be replaced by measurements. What is published and was kept to: most
desktop work has little parallelism (Flautner et al. 2000: TLP < 1.5; Blake et al., ISCA 2010: 2-3 cores are
enough for most; Feng et al., ISPASS 2019: average 3.1), the memory term is small unless integrated graphics
or streaming work is declared, and storage dominates program starts (Joo et al., FAST 2011).
"""

from __future__ import annotations

from collections.abc import Mapping

from partsolver.base.errors import nearest, refuse
from partsolver.base.records import record

RESOURCES = ("serial", "parallel", "memory", "storage", "graphics")


@record
class Use:
    """A named mix of work.

    shares_permille: share of the reference time by resource, in RESOURCES order, sum 1000;
    working_set_mib: memory the work needs; paging_permille: share of time that waits when memory falls short.
    """

    name: str
    title: str
    shares_permille: tuple[int, int, int, int, int]
    working_set_mib: int
    paging_permille: int
    basis: str = "engineering judgement"

    def share(self, resource: str) -> int:
        return self.shares_permille[RESOURCES.index(resource)]


# name: title, (serial, parallel, memory, storage, graphics) per mille, working set MiB, paging per mille
_TABLE: tuple[tuple[str, str, tuple[int, int, int, int, int], int, int], ...] = (
    ("office", "Writing and web", (560, 140, 60, 200, 40), 6144, 300),
    ("photo", "Photo work", (330, 350, 100, 160, 60), 12288, 250),
    ("video", "Video editing", (150, 560, 100, 120, 70), 14336, 200),
    ("programming", "Programming and compiling", (250, 480, 70, 180, 20), 10240, 200),
    ("games", "Light games on integrated graphics", (260, 100, 60, 60, 520), 8192, 250),
    ("server", "Home server", (220, 280, 80, 410, 10), 4096, 200),
)
USES: Mapping[str, Use] = {
    name: Use(name, title, shares, ws, paging) for name, title, shares, ws, paging in _TABLE
}


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


def find_use(name: str, shares: Mapping[str, int] | None = None, working_set_mib: int | None = None) -> Use:
    """A use by name, or the owner's own shares. Raises InputRefused."""
    if shares is None:
        if name not in USES:
            raise refuse("use", "no such use", name, ", ".join(USES), _meant(name))
        return USES[name]
    for resource in shares:
        if resource not in RESOURCES:
            raise refuse(
                "brief.shares",
                "no such resource",
                resource,
                ", ".join(RESOURCES),
                nearest(resource, RESOURCES),
            )
    values = [shares.get(resource, 0) for resource in RESOURCES]
    if min(values) < 0 or sum(values) != 1000:
        raise refuse("brief.shares", "the shares must not be negative and must sum to 1000", sum(values))
    a, b, c, d, e = values
    return Use(name, name, (a, b, c, d, e), working_set_mib or 0, 200, "stated in the brief")
