"""What plan files and files of fleets tell besides plans: folders and wishes."""

from __future__ import annotations

import json
import os
from pathlib import Path, PureWindowsPath
from typing import Any

from pydantic import ValidationError

from partsolver.base.errors import InputRefused, refuse
from partsolver.base.field_faults import field_fault, place
from partsolver.wishes.brief import Brief

DEMO = "demo"


def told_from(path: Path, folder: Path) -> str:
    """A folder as seen from that of the file: the file goes to other people, to whom the folders of this
    machine mean nothing and are no business."""
    try:
        return Path(os.path.relpath(folder.resolve(), path.resolve().parent)).as_posix()
    except ValueError:  # another drive of Windows
        return folder.name


def told_folder(path: Path, field: str, told: Any, demo: Path, hint: str) -> Path:
    """The folder that a file tells in a field. Raises InputRefused for one that is not there, and for a
    path that only has a meaning on the machine where it was written."""
    if told == DEMO:
        return demo
    if isinstance(told, str) and PureWindowsPath(told).anchor:  # of either system: /x, C:\\x, C:x, \\\\x
        problem = "a folder of the machine on which the plan was made is not opened by itself"
        raise refuse(f"{path} {field}", problem, told, hint=hint)
    found = (path.resolve().parent / told).resolve() if isinstance(told, str) and told else None
    if found is None or not found.is_dir():
        raise refuse(f"{path} {field}", "this folder of the plan is not there", told, hint=hint)
    return found


def told_wishes(path: Path, field: str, told: Any) -> Brief:
    """The wishes that a file tells. Raises InputRefused naming the one that cannot be read."""
    if not isinstance(told, dict):
        raise refuse(f"{path} {field}", "is missing")
    try:
        return Brief.model_validate_json(json.dumps({**told}, default=str))
    except ValidationError as error:
        item = error.errors()[0]
        raise InputRefused(field_fault(item).placed(f"{path} {field}.{place(item)}")) from None


__all__ = ["DEMO", "told_folder", "told_from", "told_wishes"]
