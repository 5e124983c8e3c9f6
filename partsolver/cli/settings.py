"""Settings of a person or a workshop: where each value comes from, first place first.

Options of the command; the environment (PARTSOLVER_CATALOG ...); ``partsolver.toml`` in this folder or the
nearest one above it; ``partsolver.toml`` in the user's configuration folder (platformdirs); the built-in
value.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from partsolver.base.documents import parse_toml
from partsolver.base.errors import InputRefused, nearest, refuse
from partsolver.base.records import record
from partsolver.base.textfile import read_text

FILE = "partsolver.toml"
PREFIX = "PARTSOLVER_"


@record
class Setting:
    """One setting: name, its value where nobody says anything, and what it is for."""

    name: str
    usual: str | None
    meaning: str


@record
class Found:
    """A setting's value and where it comes from; folder: what a relative path is meant from."""

    setting: Setting
    value: str | None
    origin: str
    folder: Path | None = None


SETTINGS = (
    Setting("catalog", None, "folder of the catalogue, in place of --catalog"),
    Setting("currency", "EUR", "currency of a new catalogue (catalog new, catalog add)"),
    Setting(
        "tax",
        None,
        "what prices of a list hold that does not say it: net, gross or final; empty: it is asked",
    ),
    Setting("tax_rate", None, "rate of tax in per cent that comes on net prices whose list names none"),
    Setting("use", None, "use whose speed is told where neither --use nor the survey names one"),
    Setting(
        "language", None, "numbers and dates as written there (de, en_GB ...); empty: 1234.50 and 2026-11-20"
    ),
)
_BY_NAME = {setting.name: setting for setting in SETTINGS}


def known_language(where: str, code: str) -> str | None:
    """A locale that babel knows; None for the plain form. Raises InputRefused."""
    if code in ("", "none", "iso"):
        return None
    from babel import Locale, UnknownLocaleError

    try:
        return str(Locale.parse(code.replace("-", "_")))
    except (UnknownLocaleError, ValueError):
        raise refuse(
            where, "no such language", code, "a code such as de, en_GB or fr_CH; none: 1234.50"
        ) from None


def known_currency(where: str, code: str) -> str:
    """A currency code in capital letters. Raises InputRefused."""
    if len(code) != 3 or not code.isalpha() or not code.isascii():
        raise refuse(where, "not a currency", code, "three letters (ISO 4217), such as EUR")
    return code.upper()


def _use(where: str, name: str) -> str:
    from partsolver.wishes.uses import find_use

    try:
        return find_use(name).name
    except InputRefused as error:
        fault = error.faults[0]
        raise refuse(where, fault.problem, name, fault.expected, fault.hint) from None


def _tax(where: str, word: str) -> str:
    if word.casefold() not in ("net", "gross", "final"):
        raise refuse(where, "not known of prices", word, "net, gross or final")
    return word.casefold()


def percent_x100(where: str, text: str) -> int:
    """A rate of tax in hundredths of a percent. Raises InputRefused."""
    match = re.fullmatch(r"\s*([0-9]{1,2})(?:[.,]([0-9]{1,2}))?\s*%?\s*", text)
    if match is None:
        raise refuse(where, "not a rate of tax", text, "a percentage such as 19 or 5.5")
    return int(match[1]) * 100 + int((match[2] or "0").ljust(2, "0"))


def _rate(where: str, text: str) -> str:
    percent_x100(where, text)
    return text.strip()


_CHECKS: Mapping[str, Callable[[str, str], str | None]] = {
    "language": known_language,
    "currency": known_currency,
    "use": _use,
    "tax": _tax,
    "tax_rate": _rate,
}


def settings_found() -> tuple[Found, ...]:
    """Every setting with its value and where it comes from. Raises InputRefused for a file or value that
    cannot be used."""
    files = [(path, _read(path)) for path in _files()]
    return tuple(_found(setting, files) for setting in SETTINGS)


def setting(name: str) -> Found:
    """One setting."""
    return next(found for found in settings_found() if found.setting.name == name)


def catalog_folder() -> Path | None:
    """The catalogue folder of the settings; a relative one is meant from the file that names it."""
    found = setting("catalog")
    if found.value is None:
        return None
    folder = Path(found.value).expanduser()
    return folder if found.folder is None else found.folder / folder


def _found(setting: Setting, files: list[tuple[Path, Mapping[str, str]]]) -> Found:
    variable = PREFIX + setting.name.upper()
    check = partial(_CHECKS.get(setting.name, lambda where, value: value))
    if os.environ.get(variable):
        return Found(setting, check(variable, os.environ[variable]), f"environment, {variable}")
    for path, values in files:
        if setting.name in values:
            return Found(
                setting, check(f"{path} {setting.name}", values[setting.name]), str(path), path.parent
            )
    return Found(setting, setting.usual, "built in")


def _files() -> list[Path]:
    """The settings files that exist, the one that goes first at the front."""
    here = Path.cwd()
    above = next((folder / FILE for folder in (here, *here.parents) if _is_there(folder / FILE)), None)
    users = user_file()
    return [path for path in (above, users) if path is not None and _is_there(path)]


def _is_there(path: Path) -> bool:
    """Whether there is such a file. In a folder that is somebody else's (a home kept by sudo) there is none."""
    try:
        return path.is_file()
    except PermissionError:
        return False


def user_file() -> Path:
    """Where the user's own settings file is looked for."""
    from platformdirs import user_config_path

    return user_config_path("partsolver", appauthor=False) / FILE


def _read(path: Path) -> Mapping[str, str]:
    data = parse_toml(read_text(path), str(path))
    for name, value in data.items():
        if name not in _BY_NAME:
            raise refuse(str(path), "no such setting", name, ", ".join(_BY_NAME), nearest(name, _BY_NAME))
        if not isinstance(value, str):
            raise refuse(f"{path} {name}", "not a text", value, f'text in quotes, such as {name} = "..."')
    return data
