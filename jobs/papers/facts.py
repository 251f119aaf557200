"""What every paper's facts share: the shop as it was, and how facts are kept.

Facts are plain JSON. A name that ends in `_at` holds a moment, one that ends in `_on`
a day; sentences stand as they were said, in the shop's units of that day.
"""

from __future__ import annotations

import zoneinfo
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from shopapp.frame import plain
from shopapp.models import Shop, the_shop
from shopapp.say import Say
from shopapp.telling import tell
from shopapp.units import System

Json = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class ShopFacts:
    """The shop on the day of the paper."""

    name: str
    address: str
    units: str
    time_zone: str
    currency: str

    @property
    def system(self) -> System:
        """Metric or US customary."""
        return System(self.units)

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The zone its times are shown in."""
        return zoneinfo.ZoneInfo(self.time_zone)


def shop_facts(shop: Shop | None = None) -> ShopFacts:
    """The shop as it is now."""
    known = shop or the_shop()
    return ShopFacts(
        name=known.name,
        address=known.address,
        units=known.units,
        time_zone=known.time_zone,
        currency=known.currency,
    )


def to_json(facts: object) -> Json:
    """Facts as they are kept."""
    kept: Json = plain(facts)
    return kept


def said(sentence: Say) -> str:
    """A sentence as the shop reads it today."""
    return tell(sentence, system=the_shop().system)


def revived(value: Any, *, name: str = "") -> Any:
    """Kept facts with their moments and days as such."""
    if isinstance(value, Mapping):
        return {key: revived(part, name=key) for key, part in value.items()}
    if isinstance(value, list):
        return [revived(part) for part in value]
    if isinstance(value, str) and name.endswith("_at"):
        return datetime.fromisoformat(value)
    if isinstance(value, str) and name.endswith("_on"):
        return date.fromisoformat(value)
    return value
