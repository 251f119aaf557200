"""Units, paper and currency that go with a time zone (pure)."""

from __future__ import annotations

from dataclasses import dataclass

US_ZONES = frozenset(
    f"America/{place}"
    for place in (
        *("New_York", "Detroit", "Chicago", "Menominee", "Denver", "Boise"),
        *("Phoenix", "Los_Angeles", "Anchorage", "Juneau", "Sitka", "Metlakatla"),
        *("Yakutat", "Nome", "Adak", "Kentucky/Louisville", "Kentucky/Monticello"),
        *("Indiana/Indianapolis", "Indiana/Vincennes", "Indiana/Winamac"),
        *("Indiana/Marengo", "Indiana/Petersburg", "Indiana/Vevay"),
        *("Indiana/Tell_City", "Indiana/Knox", "North_Dakota/Center"),
        *("North_Dakota/New_Salem", "North_Dakota/Beulah"),
    )
) | {"Pacific/Honolulu"}
"""Source: zone.tab of the IANA time zone database, country code US."""
OLD_NAMES = {
    "US/Eastern": "America/New_York",
    "US/Central": "America/Chicago",
    "US/Mountain": "America/Denver",
    "US/Arizona": "America/Phoenix",
    "US/Pacific": "America/Los_Angeles",
    "US/Alaska": "America/Anchorage",
    "US/Hawaii": "Pacific/Honolulu",
}
"""Source: the file `backward` of the IANA time zone database, in part."""
MONEY_OF = {"Europe/London": "GBP", "America/Toronto": "CAD", "Australia/Sydney": "AUD"}
LETTER_TOO = frozenset({"America/Toronto", "America/Vancouver", "America/Mexico_City"})


@dataclass(frozen=True, kw_only=True)
class Measures:
    """How a shop in a zone measures, prints and counts money."""

    time_zone: str
    units: str
    paper_size: str
    currency: str


def measures_of(zone: str) -> Measures:
    """US units, Letter and dollars for a zone of the United States.

    zone  a name of the IANA time zone database; "UTC" says nothing of the place
    Source: common practice; the currency is a guess that the page shows.

    >>> measures_of("America/Denver").units, measures_of("Europe/Berlin").currency
    ('us', 'EUR')
    """
    zone = OLD_NAMES.get(zone, zone)
    if zone in US_ZONES or zone in {"UTC", "Etc/UTC"}:
        here = "America/Chicago" if zone.endswith("UTC") else zone
        return Measures(time_zone=here, units="us", paper_size="Letter", currency="USD")
    guess = "EUR" if zone.startswith("Europe/") else "USD"
    return Measures(
        time_zone=zone,
        units="metric",
        paper_size="Letter" if zone in LETTER_TOO else "A4",
        currency=MONEY_OF.get(zone, guess),
    )
