"""What inspection reads: the standard, the panels with their looks and defects."""

from __future__ import annotations

from jobs.as_kept import known_fields
from jobs.marks import AcceptanceStandard
from shopapp.models import the_shop


def acceptance_standard() -> AcceptanceStandard:
    """The shop's own acceptance standard; what it has not set is the default."""
    known = known_fields(AcceptanceStandard, the_shop().acceptance)
    if "watched" in known:
        known["watched"] = frozenset(known["watched"])
    return AcceptanceStandard(**known)
