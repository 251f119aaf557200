"""What every template is handed: the shop, the person, the way around, a ticket."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext_lazy as _

from shopapp.access import may
from shopapp.live_ticket import ticket_for
from shopapp.models import Person, the_shop

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


class Way(NamedTuple):
    """One entry of the navigation."""

    label: StrOrPromise
    url: str
    icon: str
    current: bool


WAYS = (
    ("jobs:floor", _("Floor"), "floor", "floor.view"),
    ("jobs:my_work", _("My work"), "work", "work.view"),
    ("jobs:plan", _("Plan"), "plan", "plan.view"),
    ("jobs:bookings", _("Bookings"), "booking", "booking.view"),
    ("jobs:estimates", _("Estimates"), "list", "estimate.view"),
    ("jobs:arrivals", _("Arrivals"), "arrival", "arrival.view"),
    ("mixing:bench", _("Mixing"), "mix", "mix.view"),
    ("jobs:film", _("Film"), "film", "film.view"),
    ("jobs:handovers", _("Hand-over"), "handover", "handover.view"),
    ("jobs:safety", _("Safety"), "flame", "safety.view"),
    ("shopapp:settings", _("Settings"), "settings", "shop.view"),
)
"""URL name, label, icon, permission."""
FLOOR_PAGES = {"jobs:floor", "jobs:wall"}


def shop(request: HttpRequest) -> dict[str, Any]:
    """The names every template may use."""
    signed_in = isinstance(getattr(request, "user", None), Person)
    person = request.user if signed_in else None
    return {
        "shop": getattr(request, "shop", None) or SimpleLazyObject(the_shop),
        "person": person,
        "nav": ways(request) if signed_in else [],
        "password_opens_more": _opens_more(person),
        "live_ticket": SimpleLazyObject(lambda: live_ticket(request)),
    }


def _opens_more(person: object) -> bool:
    """Whether the person may do more than this sign-in opens."""
    if not isinstance(person, Person) or person.limited_to is None:
        return False
    return bool(person.roles - person.limited_to)


def live_ticket(request: HttpRequest) -> str:
    """The page's ticket: the board is pushed to a floor page, a bell to the others."""
    match = request.resolver_match
    floor = match is not None and match.view_name in FLOOR_PAGES
    return ticket_for(request, channel="floor" if floor else "changed")


def ways(request: HttpRequest) -> list[Way]:
    """Where this person may go, by role; the longest matching one is current."""
    open_to = []
    for name, label, icon, permission in WAYS:
        if not may(request.user, permission):
            continue
        try:
            open_to.append((reverse(name), label, icon))
        except NoReverseMatch:
            continue
    here = [url for url, _label, _icon in open_to if request.path.startswith(url)]
    current = max(here, key=len, default="")
    return [
        Way(label=label, url=url, icon=icon, current=url == current)
        for url, label, icon in open_to
    ]
