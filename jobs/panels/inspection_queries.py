"""What inspection reads: the standard, the panels with their looks and defects."""

from __future__ import annotations

from jobs.as_kept import known_fields
from jobs.condition.marks import AcceptanceStandard
from shopapp.documents import Document
from shopapp.models import the_shop

ACCEPTANCE = Document(kind="acceptance standard")


def acceptance_standard() -> AcceptanceStandard:
    """The shop's own acceptance standard; what it has not set is the default."""
    stored = ACCEPTANCE.upgrade(the_shop().acceptance)
    known = known_fields(AcceptanceStandard, stored)
    if "watched" in known:
        known["watched"] = frozenset(known["watched"])
    return AcceptanceStandard(**known)
