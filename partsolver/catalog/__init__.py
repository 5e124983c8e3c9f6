"""The catalogue: column dictionary, records, loading, offers and named data checks."""

from pathlib import Path

from partsolver.base.errors import refuse


def check_folder(folder: Path) -> None:
    """Raise InputRefused where there is no such catalogue folder."""
    if not folder.is_dir():
        raise refuse(
            str(folder),
            "no such catalogue folder",
            hint="Give the folder that holds catalog.toml, boards.csv and so on",
        )
