"""The store: a catalogue folder's one SQLite file with parts, facts, offers, sellers and what was left out.

What a source says of one article stands as a *sighting* with its facts and its offers; parts are derived from
sightings (identity.py), each part's cells from the facts of its sightings (resolve.py), and both are kept
beside them, so that loading reads rows and no facts (load.py). Nothing a person typed is ever derived.
"""

from pathlib import Path

FILE_NAME = "catalog.sqlite"


def store_path(folder: Path) -> Path:
    """Where the store of a catalogue folder stands."""
    return folder / FILE_NAME


def holds_store(folder: Path) -> bool:
    """Whether a catalogue folder holds a store (a folder of CSV tables does not)."""
    return store_path(folder).is_file()
