"""How much of the shop's film came back: the one home of that count."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, QuerySet

from jobs.coverage.catalogue import panels
from jobs.findings.learning import Share, wilson_share
from jobs.models import Booking, Film, OrderPanel, ReturnVisit
from jobs.returns.rules import counts, counts_for_hands
from jobs.stages.table import CLOSED
from shopapp.models import Person

DAYS = 365
"""Film of the last year: hands and films of longer ago are others."""
BY = {"hands": "laid_by", "film": "workorder__film", "panel": "panel"}


@dataclass(frozen=True, kw_only=True)
class Rate:
    """Panels of one sort that were laid, and those of them that came back."""

    name: str
    share: Share


@dataclass(frozen=True, kw_only=True)
class Comebacks:
    """The panels handed over since, and what came back of them, in each order.

    all  None while no film was handed over
    """

    all: Share | None
    hands: list[Rate]
    film: list[Rate]
    panel: list[Rate]


def comebacks_of(*, now: datetime) -> Comebacks:
    """Panels handed over in the last year; each counts once, however often it came."""
    laid = _laid(since=now - timedelta(days=DAYS))
    back, of_hands = _came_back(laid)
    names = {"hands": _people, "film": _films, "panel": _panels}
    of = {by: _counted(laid, column) for by, column in BY.items()}
    total = sum(of["panel"].values())
    return Comebacks(
        all=wilson_share(cases=len(back), of=total) if total else None,
        **{
            by: _rates(
                of[by],
                _counted(of_hands if by == "hands" else back, column),
                names[by](of[by]),
            )
            for by, column in BY.items()
        },
    )


def _laid(*, since: datetime) -> QuerySet[OrderPanel]:
    return OrderPanel.objects.filter(
        laid_at__isnull=False,
        struck_off_at=None,
        workorder__stage=CLOSED.value,
        workorder__handed_over_at__gte=since,
    )


def _came_back(
    laid: QuerySet[OrderPanel],
) -> tuple[QuerySet[OrderPanel], QuerySet[OrderPanel]]:
    """Panels whose film came back; and those of which hands can be the cause."""
    visits = ReturnVisit.objects.exclude(booking__state=Booking.State.CANCELLED)
    rows = visits.filter(defects__order_panel__in=laid).values_list(
        "defects__order_panel", "defects__state", "paid_by"
    )
    known = list(rows)
    both = [
        {panel for panel, state, payer in known if rule(state=state, paid_by=payer)}
        for rule in (counts, counts_for_hands)
    ]
    return laid.filter(pk__in=both[0]), laid.filter(pk__in=both[1])


def _counted(rows: QuerySet[OrderPanel], column: str) -> Counter[int | str]:
    found = rows.order_by().values_list(column).annotate(of=Count("pk"))
    return Counter(dict(found))


def _rates(
    of: Counter[int | str], back: Counter[int | str], names: dict[int | str, str]
) -> list[Rate]:
    rates = [
        Rate(
            name=names.get(key, str(key)),
            share=wilson_share(cases=back[key], of=of[key]),
        )
        for key in of
    ]
    return sorted(rates, key=lambda rate: (-rate.share.cases, rate.name))


def _people(keys: Iterable[int | str]) -> dict[int | str, str]:
    rows = Person.objects.filter(pk__in=[key for key in keys if key])
    return {person.pk: str(person) for person in rows}


def _films(keys: Iterable[int | str]) -> dict[int | str, str]:
    return {film.pk: str(film) for film in Film.objects.filter(pk__in=keys)}


def _panels(keys: Iterable[int | str]) -> dict[int | str, str]:
    return {code: panel.name for code, panel in panels().items()}
