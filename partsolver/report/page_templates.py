"""The templates of all pages, loaded one way: what comes from data is data, and an unknown name is a fault."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined


@cache
def page_environment() -> Environment:
    """The templates of `report/templates/`."""
    return Environment(
        loader=PackageLoader("partsolver.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
