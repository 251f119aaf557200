"""The plan day by day: by bay or by person, a week or one day."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.crews.queries import away_between
from jobs.opening.queries import opening_of
from jobs.plan.name_queries import names_now
from jobs.plan.planned import ShopPlan
from jobs.plan.queries import plan_of, standing
from jobs.plan.shown_queries import cars_by_key
from jobs.plan.week import By, Week, days_from, week
from shopapp.access import allow
from shopapp.models import Bay, Person, the_shop

DAYS = 7


@require_GET
@allow("plan.view")
def plan_week(request: HttpRequest) -> HttpResponse:
    """Seven days from a day on."""
    first = _day(request.GET.get("from", "")) or _today()
    context = {
        **_table(request, first, number=DAYS),
        "earlier": max(first - timedelta(days=DAYS), date.min),
        "later": first + timedelta(days=DAYS),
        "first": first,
    }
    return render(request, "jobs/plan/plan_week.html", context)


@require_GET
@allow("plan.view")
def plan_day(request: HttpRequest, day: str) -> HttpResponse:
    """One day."""
    shown = _day(day)
    if shown is None:
        raise Http404
    context = {
        **_table(request, shown, number=1),
        "day": shown,
        "earlier": shown - timedelta(days=1),
        "later": shown + timedelta(days=1),
    }
    return render(request, "jobs/plan/plan_day.html", context)


def _today() -> date:
    return timezone.localtime(timezone.now(), the_shop().zone).date()


def _day(text: str) -> date | None:
    """A day within reach of the calendar, or None."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if 2000 <= day.year < 2200 else None


def _table(request: HttpRequest, first: date, *, number: int) -> dict[str, Any]:
    by = By.PERSON if request.GET.get("by") == By.PERSON else By.BAY
    row = standing()
    shown = plan_of(row) if row else None
    return {
        "by": by.value,
        "tab": by.value,
        "today": _today(),
        "as_of": shown.as_of if shown else None,
        "week": _week(shown, by=by, first=first, number=number) if shown else None,
        "cars": cars_by_key(car.car for car in shown.cars) if shown else {},
    }


def _week(plan: ShopPlan, *, by: By, first: date, number: int) -> Week:
    shop = the_shop()
    now = timezone.localtime(timezone.now(), shop.zone)
    days = days_from(first, number=number, opening=opening_of(shop), like=now)
    people = list(Person.objects.filter(is_active=True)) if by is By.PERSON else []
    last = first + timedelta(days=number)
    away = away_between(people, first, last, shop=shop)
    return week(
        plan,
        by=by,
        days=days,
        rows=_people(people) if by is By.PERSON else _spots(),
        names=names_now(),
        away={f"person-{pk}": stretches for pk, stretches in away.items()},
    )


Rows = list[tuple[str, str, bool]]


def _spots() -> Rows:
    """Bays, then places and film cutters that are taken."""
    bays = [(f"bay-{bay.pk}", bay.name, not bay.retired) for bay in Bay.objects.all()]
    names = names_now().items()
    return bays + [
        (key, name, False)
        for kind in ("place-", "cutter-")
        for key, name in names
        if key.startswith(kind)
    ]


def _people(people: list[Person]) -> Rows:
    """Who works on cars; others where they are needed."""
    return [
        (
            f"person-{person.pk}",
            str(person),
            person.can_prep or person.can_install or person.can_inspect,
        )
        for person in people
    ]
