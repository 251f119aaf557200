"""Who is away, and the week of one person."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.crews.forms import AbsenceForm, ShiftForm
from jobs.crews.queries import absences, away_on, local_day
from jobs.models import Absence
from jobs.plan.queries import has_work
from jobs.plan.shown_queries import waiting
from shopapp.access import allow
from shopapp.frame import Answer
from shopapp.models import Person, the_shop
from shopapp.pressing import Bound, form_for
from shopapp.say import Say, say

AHEAD = timedelta(days=400)


@require_GET
@allow("absence.view")
def people_away(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Who is away today and later, and who is here."""
    today = local_day(timezone.now())
    away = away_on(today)
    # Somebody away for half a day may still call in sick for all of it.
    gone = {row.person_id for row in away if not row.half}
    context = {
        "bound": bound,
        "waiting": waiting(),
        "today": today,
        "away": away,
        "here": Person.objects.filter(is_active=True).exclude(pk__in=gone),
        "coming": absences(today + timedelta(days=1), today + AHEAD)
        .filter(first_day__gt=today)
        .select_related("person"),
        "form": form_for(AbsenceForm, bound, "absence_add"),
    }
    return render(request, "jobs/crews/people_away.html", context)


AWAY_TOLD: dict[tuple[bool, bool | None], str] = {
    (True, True): "{name} is away today. What moves is proposed within a minute.",
    (True, False): "{name} is away today. Nothing planned was for {name}.",
    (True, None): "{name} is away today.",
    (False, True): "{name} is away {first} to {last}. What moves is proposed within a"
    " minute.",
    (False, False): "{name} is away {first} to {last}. Nothing planned was for {name}.",
    (False, None): "{name} is away {first} to {last}.",
}


def told_away(answer: Answer) -> Say:
    """What is said to who entered it: whether planned work moves."""
    row = Absence.objects.select_related("person").get(pk=answer["pk"])
    now, days = timezone.now(), {"first": row.first_day, "last": row.last_day}
    is_today = row.first_day == row.last_day == local_day(now)
    told = AWAY_TOLD[is_today, has_work(row.person_id, now=now, **days)]
    return say(told, name=str(row.person), **days)


@require_GET
@allow("person.change")
def person_hours(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The hours of one person, where they are not the shop's."""
    person = get_object_or_404(Person, pk=pk)
    context = {
        "bound": bound,
        "row": person,
        "usual": the_shop(),
        "form": form_for(
            lambda: ShiftForm(initial=ShiftForm.initial_of(person)),
            bound,
            "shift_change",
        ),
    }
    return render(request, "jobs/crews/person_hours.html", context)
