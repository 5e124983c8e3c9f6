"""Settings of the time law: waiting by kind of drive, lack of memory, graphics, and how sure each of it is.

Rows of ``settings.Setting`` in field order: name, value, unit, basis, source, meaning, low, high. The last
two are the range that is accepted; where readings span a range, the source names it.
"""

from .setting_rows_power import Row

_JUDGEMENT = "engineering judgement, no document; measurements replace it"
_STARTS = "starts of system and programs on the same PC with either drive, 2011-2017: reading alone 3.3-3.8, busy 13.8"
_SPREAD = "spread of the same readings"


def _row(
    name: str, value: int, unit: str, basis: str, source: str, meaning: str, high: int, low: int = 0
) -> Row:
    return (name, value, unit, basis, source, meaning, low, high)


def _error(name: str, value: int, source: str, meaning: str) -> Row:
    return _row(name, value, "%", "judgement", source, f"standard error: {meaning}", 200)


_WAITING: tuple[Row, ...] = (
    _row(
        "waiting_nvme_percent",
        50,
        "%",
        "derived",
        "access 50 against 100 us and the link's share of a 20 kB read: 39-41 %; application level 50 % or more",
        "waiting for an NVMe drive against a SATA solid-state drive",
        100,
        10,
    ),
    _row(
        "waiting_hdd35_percent",
        800,
        "%",
        "derived",
        f"{_STARTS}; 5-14 times",
        "waiting for a 3.5-inch disk against a SATA solid-state drive",
        10000,
        100,
    ),
    _row(
        "waiting_hdd25_percent",
        1100,
        "%",
        "derived",
        "as the 3.5-inch disk, times 17.5 / 12.7 ms of access (5400 against 7200 rpm); 7-19 times",
        "waiting for a 2.5-inch disk against a SATA solid-state drive",
        10000,
        100,
    ),
    _row(
        "waiting_unknown_percent",
        280,
        "%",
        "judgement",
        "between a solid-state drive and a disk on a scale of ratios",
        "waiting for a drive of unknown kind against a SATA solid-state drive",
        10000,
        100,
    ),
    _row(
        "random_reads_reference",
        11000,
        "reads/s",
        "derived",
        "two SATA solid-state drives, 4 KiB at queue depth 1: 8,247 and 15,365 a second",
        "single 4 KiB reads of a SATA solid-state drive, for drives that were measured",
        1000000,
        100,
    ),
    _row(
        "random_reads_exponent_percent",
        46,
        "%",
        "derived",
        "ln 8 / ln 94: a disk's access time is 94 times as long, its waiting 8 times (queues, read-ahead, caches)",
        "how much of a drive's measured access time (on a scale of ratios) is felt as waiting",
        100,
    ),
    _error(
        "waiting_ssd_error_percent",
        10,
        "best five solid-state drives within 0.5 s, others 1-2 s later (one start)",
        "SATA SSD",
    ),
    _error(
        "waiting_nvme_error_percent", 25, "39-41 % by access time, 50 % or more by applications", "NVMe drive"
    ),
    _error("waiting_disk_error_percent", 35, f"{_SPREAD}: 5-14 around 8", "disk"),
    _error(
        "waiting_measured_error_percent",
        20,
        "run to run 8 %, and the exponent above",
        "drive whose reads were measured",
    ),
    _error("streaming_error_percent", 8, _JUDGEMENT, "reading of large files"),
)

_CAPACITY: tuple[Row, ...] = (
    _row(
        "capacity_cost_ssd_percent",
        80,
        "%",
        "derived",
        "builds and exports with 8 and 16 GB: 1.01-1.16, far above memory 2.33 times (2020)",
        "time that lack of memory can cost with a solid-state drive, in reference times (reached at 80 % of it)",
        1000,
    ),
    _row(
        "capacity_cost_disk_percent",
        300,
        "%",
        "judgement",
        "no series with a disk was found; one fault costs 80 times as long, people close pages before",
        "time that lack of memory can cost with a disk, in reference times",
        10000,
    ),
    _row(
        "capacity_cost_unknown_percent",
        155,
        "%",
        "judgement",
        "between a solid-state drive and a disk on a scale of ratios",
        "time that lack of memory can cost with a drive of unknown kind, in reference times",
        10000,
    ),
    _row(
        "capacity_knee_percent",
        50,
        "%",
        "derived",
        "the same builds and exports: 10-25 % of the working set lacking costs 1-12 %",
        "lack of memory, in per cent of the working set, at which half of that time is lost",
        100,
        1,
    ),
    _row(
        "working_set_little_percent",
        66,
        "%",
        "derived",
        "idle system 0.7-1.0 GB of a light one against 1.5-2.6 GB, fewer pages: 3.3 of 5.0 GiB",
        "working set of somebody who has little open at once, against the use's own",
        100,
        10,
    ),
    _row(
        "working_set_much_percent",
        160,
        "%",
        "judgement",
        "twice the browser pages (60-150 MB each) and documents of the middle",
        "working set of somebody who has much open at once, against the use's own",
        1000,
        100,
    ),
    _error("capacity_error_percent", 50, _JUDGEMENT, "what lack of memory costs"),
    _row(
        "working_set_reach_percent",
        25,
        "%",
        "derived",
        "office 3.6-6.6 around 5.0 GiB",
        "how far the working set may lie from the stated one (95 %)",
        90,
    ),
)

_GRAPHICS: tuple[Row, ...] = (
    _row(
        "integrated_graphics_bandwidth_percent",
        35,
        "%",
        "derived",
        "one against two channels, games: 1.21-1.55 times as long, so 21-55 % of the time is bound",
        "share of integrated graphics' time that scales with memory bandwidth",
        100,
    ),
    _row(
        "graphics_slowness_cap",
        3,
        "times",
        "judgement",
        "desktop, pages and text scale with processor and memory, not with a 3D score",
        "greatest slowness of graphics against the reference where 3D is not what the PC is used for",
        100,
        1,
    ),
    _row(
        "board_graphics_percent",
        8,
        "%",
        "derived",
        "speed-effects reference, section 9 (old class: graphics .08 of the reference)",
        "3D score of graphics in the board's chipset that nobody stated, against the reference",
        100,
        1,
    ),
    _row(
        "graphics_lanes_8_percent",
        97,
        "%",
        "from memory",
        "game averages of one card with its slot taped down to fewer lanes, third generation",
        "what a graphics card reaches on 8 of its lanes",
        100,
        1,
    ),
    _row(
        "graphics_lanes_4_percent",
        88,
        "%",
        "from memory",
        "game averages of one card with its slot taped down to fewer lanes, third generation",
        "what a graphics card reaches on 4 of its lanes",
        100,
        1,
    ),
    _row(
        "graphics_lanes_1_percent",
        50,
        "%",
        "from memory",
        "game averages of one card with its slot taped down to fewer lanes, third generation",
        "what a graphics card reaches on 1 (or 2) of its lanes",
        100,
        1,
    ),
    _row(
        "graphics_3d_slowness_cap",
        30,
        "times",
        "judgement",
        "below a thirtieth of the reference nobody plays: it counts as not usable, not as slower still",
        "greatest slowness of graphics against the reference for games",
        1000,
        1,
    ),
    _error("graphics_error_percent", 20, "two reviews of one step differ by 1.45", "3D score"),
    _error(
        "graphics_unknown_error_percent",
        70,
        "generations of processor graphics: a factor of 10",
        "3D score not known",
    ),
)

_SCORES: tuple[Row, ...] = (
    _error("score_error_measured_percent", 3, _JUDGEMENT, "measured score"),
    _error(
        "score_error_published_percent",
        5,
        "90th percentile of makers' own runs of one processor: 7.6 %",
        "published score",
    ),
    _error(
        "score_error_estimated_percent",
        20,
        "from another generation: 20-30 %",
        "estimated score (where none is stated)",
    ),
    _error(
        "parallel_measured_error_percent",
        3,
        _JUDGEMENT,
        "all-thread score beyond the one-thread score's error, measured",
    ),
    _error("parallel_published_error_percent", 6, "all threads 8 % together", "the same, published"),
    _error(
        "parallel_estimated_error_percent",
        18,
        "cores of one count differ by cooling, power limit, threads",
        "the same, estimated",
    ),
    _error(
        "score_error_unknown_percent",
        70,
        "no processor of the catalogue has a score: a factor of 4 either way",
        "no score at all",
    ),
    _error(
        "parallel_unknown_error_percent",
        45,
        "1 to 8 cores of one class",
        "the same, number of cores not known",
    ),
    _error("memory_error_percent", 5, _JUDGEMENT, "memory speed"),
)

ROWS: tuple[Row, ...] = (*_WAITING, *_CAPACITY, *_GRAPHICS, *_SCORES)
