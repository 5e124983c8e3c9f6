"""The brief: what the owner wants. It stands in the survey file's ``[brief]`` table; options override it."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from partsolver.base.values import FIRST_DAY, LAST_DAY


def _decimal_text(value: object) -> object:
    """Amounts may be written "120.00", 120 or 120.00 in TOML (floats are read as Decimal); keep the exact
    text."""
    if isinstance(value, Decimal) and value.is_finite() and abs(value.adjusted()) < 20:
        return format(value, "f")  # 1e2 is 100
    return str(value) if isinstance(value, int | Decimal) and not isinstance(value, bool) else value


Amount = Annotated[str, BeforeValidator(_decimal_text)]
Number = Annotated[str, BeforeValidator(_decimal_text), Field(pattern=r"^\d{1,6}(\.\d{1,6})?$")]
Replaceable = Literal["psu", "case", "cooler", "drive", "graphics"]


class Brief(BaseModel):
    """Wishes of one recommendation. Amounts are decimal strings in the catalogue's currency."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)

    budget: Amount | None = Field(None, description="Most money to spend, all extras and delivery included")
    use: str = Field("office", description="Name of the use whose time is predicted")
    shares: dict[str, int] | None = Field(
        None, description="A use of one's own: per mille of time by resource, sum 1000"
    )
    shares_concentration: int | None = Field(
        None,
        ge=1,
        le=10000,
        description="How sure the shares are (`compare --fit` states it); empty = the use's own",
    )
    working_set_mib: int | None = Field(
        None, ge=0, description="Memory that use needs, MiB; empty = the use's own, by `open_at_once`"
    )
    open_at_once: Literal["little", "usual", "much"] | None = Field(
        None, description="How much is open at once: a few windows, some, many pages and programs"
    )
    goal: Literal["speed", "cost"] = Field(
        "speed", description="speed: least time, then cost; cost: the reverse"
    )
    min_speedup: Number | None = Field(None, description="Least expected speed-up, such as 1.3")
    min_memory_gb: int | None = Field(None, ge=0, description="Least memory, GB (1 GB = 1024 MiB)")
    resolution_percent: Number = Field(
        "1", description="Differences in time below this share of the least time do not count"
    )
    alternatives: int = Field(5, ge=1, le=100, description="How many plans to return")
    need_by: datetime.date | None = Field(None, description="Day by which everything must have arrived")
    today: datetime.date | None = Field(
        None, ge=FIRST_DAY, le=LAST_DAY, description="Day of the order; empty = the catalogue's date"
    )
    without: tuple[str, ...] = Field((), description="Parts that must not be used")
    leave_out: tuple[str, ...] = Field(
        (), description="Names of optional cards and drives of the PC that stay out"
    )
    including: tuple[str, ...] = Field((), description="Parts that must be used")
    replace: tuple[Replaceable, ...] = Field((), description="Kept parts that may be replaced as well")
    os: str | None = Field(
        None, description="Family of the system that is to run afterwards; empty = the present one"
    )
    secure_boot: bool = Field(False, description="Whether the owner wants Secure Boot")
    hours_per_year: int = Field(1500, ge=0, le=8784, description="Hours the PC runs in a year")
    tariff_per_kwh: Number | None = Field(None, description="Price of a kWh")
    settings: dict[str, int] = Field(
        {}, description="Overrides of values that are common practice or from memory"
    )
