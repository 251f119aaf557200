"""Something looks wrong: sent by the customer, seen to by the desk."""

from __future__ import annotations

from datetime import timedelta

from jobs.models import CustomerReport, WorkOrder
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import StoredFile
from shopapp.say import say

MOST_A_DAY = 3
MOST_PHOTOS = 4
MOST_WORDS = 1000


@action("report.send")
def send_report(
    act: Act, *, workorder_pk: int, words: str, photos: list[StoredFile]
) -> Json:
    """Keep what the customer saw, with its photos; the desk is told.

    More than a few a day are refused: whoever holds the link fills no disk.
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    if not workorder.is_closed:
        raise Refused(say("Your car is still with us. Call us, we look at it."))
    if not words.strip():
        raise Refused(say("Write what you see, and where."), field="words")
    if len(words) > MOST_WORDS or len(photos) > MOST_PHOTOS:
        raise Refused(say("This is more than we can keep. Shorten it."), field="words")
    since = act.now - timedelta(days=1)
    if workorder.customer_reports.filter(at__gt=since).count() >= MOST_A_DAY:
        raise Refused(say("We have your messages of today. Call us, please."))
    report = CustomerReport.objects.create(
        workorder=workorder, words=words.strip(), at=act.now
    )
    report.photos.set(photos)
    act.event(workorder, "report_sent", report=report, photos=len(photos))
    return {"pk": report.pk}


@action("report.settle")
def settle_report(act: Act, *, workorder_pk: int, report_pk: int) -> None:
    """Take it off the desk's list: the customer has an answer."""
    workorder = act.lock(WorkOrder, workorder_pk)
    report = workorder.customer_reports.filter(pk=report_pk).first()
    if report is None:
        raise Refused(say("This message is not there any more."))
    if report.settled_at:
        raise Refused(say("This message was seen to already."))
    see_to(act, report)


def see_to(act: Act, report: CustomerReport) -> None:
    """Keep that it was seen to, and by which return visit if by one."""
    report.settled_at, report.settled_by = act.now, act.by
    report.save(update_fields=["settled_at", "settled_by", "visit"])
    act.event(report.workorder, "report_settled", report=report)


@action("film.register")
def register_film(act: Act, *, workorder_pk: int, number: str) -> None:
    """Keep the number under which the film's maker knows this car."""
    workorder = act.lock(WorkOrder, workorder_pk)
    workorder.film_registered_as = " ".join(number.split())
    workorder.save(update_fields=["film_registered_as"])
    act.event(workorder, "film_registered", number=workorder.film_registered_as)
