"""A car that is here now: its form, and what is said once it is in."""

from __future__ import annotations

from django.http import HttpRequest

from jobs.bookings.walk_in_forms import WalkInForm
from jobs.models import WorkOrder
from shopapp.frame import Answer
from shopapp.say import Param, Say, say


def walk_in_form(request: HttpRequest) -> WalkInForm:
    """What is agreed for it."""
    return WalkInForm(request.POST)


def taken_in(answer: Answer) -> Say:
    """Its order, its promise, and where it stands."""
    order = WorkOrder.objects.select_related("bay").get(pk=answer["pk"])
    known: dict[str, Param] = {"order": order.number, "at": order.promised_at}
    if order.bay is None:
        return say(
            "{order} is taken in, promised for {at}. Say where it stands.", **known
        )
    return say(
        "{order} is taken in, promised for {at}. It stands in {bay}.",
        bay=order.bay.name,
        **known,
    )
