"""How much of the shop's film came back: the one home of that count."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.db.models import Count, QuerySet

from jobs.coverage.catalogue import panels
from jobs.findings.learning import Share, wilson_share
from jobs.models import Booking, Film, OrderPanel, ReturnVisit
from jobs.returns.rules import counts, counts_for_hands
from jobs.stages.table import CLOSED
from shopapp.figures import Figure
from shopapp.models import Person

DAYS = 365
"""Film of the last year: hands and films of longer ago are others."""
BY = {"hands": "laid_by", "film": "workorder__film", "panel": "panel"}


@dataclass(frozen=True, kw_only=True)
class Rate:
    """Panels of one sort that were laid, and those of them that came back."""

    name: str
    share: Share

    @property
    def pct(self) -> Figure:
        """The share and its range, of a hundred."""
        known = self.share.share
        low, high = known.low or 0.0, known.high or 0.0
        return replace(
            known, value=100 * known.value, low=100 * low, high=100 * high, unit="pct"
        )


@dataclass(frozen=True, kw_only=True)
class Comebacks:
    """The panels handed over since, and what came back of them, in each order.

    all  None while no film was handed over
    """

    all: Rate | None
    hands: list[Rate]
    film: list[Rate]
    panel: list[Rate]


def comebacks_of(*, now: datetime) -> Comebacks:
    """Panels handed over in the last year; each counts once, however often it came."""
    laid = _laid(since=now - timedelta(days=DAYS))
    back, of_hands = _came_back(laid)
    names = {"hands": _people, "film": _films, "panel": _panels}
    of = {by: _counted(laid, column) for by, column in BY.items()}
    again = {"hands": of_hands, "film": back, "panel": back}
    rates = {
        by: _rates(of[by], _counted(again[by], column), names[by](of[by]))
        for by, column in BY.items()
    }
    return Comebacks(all=_all(rates["panel"]), **rates)


def _all(rates: list[Rate]) -> Rate | None:
    cases, of = (sum(getattr(rate.share, n) for rate in rates) for n in ("cases", "of"))
    return Rate(name="", share=wilson_share(cases=cases, of=of)) if of else None


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
    """By name: left and right of a panel are one."""
    laid, cases = Counter[str](), Counter[str]()
    for key in of:
        name = names.get(key, str(key))
        laid[name] += of[key]
        cases[name] += back[key]
    rates = [
        Rate(name=name, share=wilson_share(cases=cases[name], of=laid[name]))
        for name in laid
    ]
    return sorted(rates, key=lambda rate: (-rate.share.cases, rate.name))


def _people(keys: Iterable[int | str]) -> dict[int | str, str]:
    rows = Person.objects.filter(pk__in=[key for key in keys if key])
    return {person.pk: str(person) for person in rows}


def _films(keys: Iterable[int | str]) -> dict[int | str, str]:
    return {film.pk: str(film) for film in Film.objects.filter(pk__in=keys)}


def _panels(keys: Iterable[int | str]) -> dict[int | str, str]:
    return {code: panel.name for code, panel in panels().items()}
