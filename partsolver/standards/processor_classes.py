"""Work per clock of micro-architecture classes, one thread, against the 45 nm Core class of 2008 = 100.

For processors whose class nobody scored in a catalogue: the ratio of two classes, not a score. Derived from
readings per clock of two published collections, which compilers pull apart over the years (the same step is
1.24 in a packing program and 2.2 in SPECint): SPEC CPU2006 base results of 2006-2014, medians by class,
ratios to the power 0.6; SPEC CPU2017 rate-1 with one compiler for the classes from 2012 on, joined at the
step 45 nm Core -> 2015 class = 1.6 with a standard error of 20 %; a packing program's one-thread rating per
MHz for the small cores. Class names as in the public tables of processor signatures.
"""

from __future__ import annotations

from typing import Final

# Standard error of a ratio of two classes, ln (the step above).
CLASS_STEP_ERROR: Final = 0.20

PER_CLOCK: Final[dict[str, int]] = {
    # SPEC CPU2006: CINT2006 per GHz 3.0, 4.2, 6.6, 7.3, 5.25, 5.7-7.6, 8.2-11.5, 8.1, to the power 0.6
    "netburst-130nm": 59,
    "netburst-90nm": 59,
    "netburst-65nm": 59,
    "k8-130nm": 72,
    "k8-90nm": 72,
    "k8-65nm": 72,
    "core-65nm": 90,
    "core2-65nm": 94,
    "core2-45nm": 100,
    "k10-65nm": 82,
    "k10-45nm": 91,
    "k10-32nm": 93,
    "nehalem-45nm": 110,
    "westmere-32nm": 112,
    "bulldozer": 70,
    "piledriver": 75,
    "steamroller": 82,
    "excavator": 88,
    # SPEC CPU2017 per GHz 1.13, 1.22, 1.32, 1.45, 1.57, 1.76, 1.82; 1.25, 1.41, 1.73, 1.90, 1.97
    "sandybridge": 118,
    "ivybridge": 125,
    "haswell": 135,
    "broadwell": 146,
    "skylake": 160,
    "kabylake": 160,
    "coffeelake": 160,
    "cometlake": 160,
    "cascadelake": 148,
    "tigerlake": 173,
    "rocketlake": 170,
    "alderlake": 194,
    "raptorlake": 201,
    "zen": 138,
    "zen+": 142,
    "zen2": 156,
    "zen3": 191,
    "zen4": 210,
    "zen5": 217,
    # Packing program, one thread per MHz: 0.52, 0.75, 0.95, 1.05, 1.15
    "bonnell-45nm": 52,
    "silvermont": 75,
    "airmont": 77,
    "goldmont": 88,
    "goldmont-plus": 95,
    "tremont": 105,
    "gracemont": 115,
}

# First and last year in which desktop processors for a socket came on sale: first years of the models in
# public tables of processor signatures, sockets by hand (facts of the trade, from memory).
SOCKET_YEARS: Final[dict[str, tuple[int, int]]] = {
    "478": (2001, 2004),
    "754": (2003, 2005),
    "939": (2004, 2006),
    "LGA775": (2004, 2010),
    "AM2": (2006, 2008),
    "AM2+": (2007, 2010),
    "AM3": (2009, 2011),
    "AM3+": (2011, 2014),
    "FM1": (2011, 2012),
    "FM2": (2012, 2013),
    "FM2+": (2014, 2016),
    "AM1": (2014, 2014),
    "AM4": (2016, 2022),
    "AM5": (2022, 2026),
    "LGA1366": (2008, 2011),
    "LGA1156": (2009, 2010),
    "LGA1155": (2011, 2013),
    "LGA1150": (2013, 2015),
    "LGA1151": (2015, 2018),
    "LGA1151-2": (2017, 2019),
    "LGA1200": (2020, 2022),
    "LGA1700": (2021, 2024),
    "LGA1851": (2024, 2026),
}
