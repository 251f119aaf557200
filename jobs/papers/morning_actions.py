"""The morning bundle is asked for: one file with all that the day needs."""

from __future__ import annotations

from datetime import date, timedelta

from django.utils import timezone

from jobs.desk.day_queries import at_work
from jobs.models import Paper, WorkOrder
from jobs.papers.actions import ask_paper
from jobs.papers.plan_facts import shown_plan
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import the_shop
from shopapp.say import say

FURTHEST = timedelta(days=14)


@action("morning.issue")
def issue_morning(act: Act, *, day: date | None = None) -> Json:
    """Ask for the desk's day and each car's work order, in one file by arrival."""
    shop = the_shop()
    today = timezone.localtime(act.now, shop.zone).date()
    day = day or today
    if not today <= day <= today + FURTHEST:
        raise Refused(say("Choose today or one of the next two weeks."), field="day")
    orders = at_work(day, now=act.now, shop=shop)
    locked = act.lock_all(WorkOrder, [order.pk for order in orders])
    for order in locked:
        ask_paper(act, kind=Paper.Kind.WORK_ORDER, workorder=order)
    subject = f"day {day}"
    if shown_plan() is not None:
        ask_paper(act, kind=Paper.Kind.DESK_SHEET, workorder=None, subject=subject)
    paper = ask_paper(act, kind=Paper.Kind.MORNING, workorder=None, subject=subject)
    return {"pk": paper.pk}
