"""The day sheet and the week are asked for as papers."""

from __future__ import annotations

from datetime import date, timedelta

from django.utils import timezone

from jobs.models import Paper
from jobs.papers.actions import ask_paper
from jobs.papers.plan_facts import shown_plan
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import the_shop
from shopapp.say import say

FURTHEST = timedelta(days=120)
"""So far ahead it is known who is away."""


@action("daysheet.issue")
def issue_day_sheet(act: Act, *, day: date | None = None) -> Json:
    """Ask for the day's cars, bays and people, to hang on the wall."""
    return _ask(act, Paper.Kind.DAY_SHEET, day or _today(act))


@action("desksheet.issue")
def issue_desk_sheet(act: Act, *, day: date | None = None) -> Json:
    """The same with customers and their phones, for the desk alone."""
    return _ask(act, Paper.Kind.DESK_SHEET, day or _today(act))


@action("planweek.issue")
def issue_plan_week(act: Act, *, day: date | None = None) -> Json:
    """Ask for the week of this day, from its Monday."""
    wanted = day or _today(act)
    return _ask(act, Paper.Kind.PLAN_WEEK, wanted - timedelta(days=wanted.weekday()))


def _ask(act: Act, kind: str, day: date) -> Json:
    if abs(day - _today(act)) > FURTHEST:
        raise Refused(say("No plan reaches so far. Look at the year."), field="day")
    if shown_plan() is None:
        raise Refused(say("There is no plan yet. Plan first, then print."))
    paper = ask_paper(act, kind=kind, workorder=None, subject=f"day {day:%Y-%m-%d}")
    return {"pk": paper.pk}


def _today(act: Act) -> date:
    return timezone.localtime(act.now, the_shop().zone).date()
