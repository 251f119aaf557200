"""Background work of the car's path. Each task is a doorbell; its row is the truth."""

from __future__ import annotations

from time import monotonic
from typing import Any

from celery import shared_task
from celery.signals import celeryd_after_setup
from django.utils import timezone

from jobs.air.actions import go_over_the_air
from jobs.film.ahead_actions import KIND, SUBJECT, look_ahead, say_short
from jobs.film.ahead_queries import afternoon_of
from jobs.mail import delivery_tasks
from jobs.mail.actions import SEND
from jobs.models import BayPlan, Paper, Pull
from jobs.nesting.prover import warm
from jobs.papers.actions import paper_issued
from jobs.papers.html_facts import attachments, whole_html
from jobs.plan.actions import improve_plan
from jobs.plan.draft_queries import draft
from jobs.plan.forecast_actions import CARRY_ON
from jobs.plan.queries import SEARCH
from jobs.plan.replan_actions import carry_on
from jobs.plan.searching import CLASHES_S, LIMIT_S, search_for
from jobs.pulls.actions import improve_pull
from jobs.pulls.plan import SEARCHED, plan_job
from jobs.pulls.queries import frozen
from jobs.pulls.stored import pull_from_json
from shopapp import background
from shopapp.frame import Tap, perform
from shopapp.media import keep_bytes
from shopapp.models import BackgroundTask, HistoryEntry, the_shop
from shopapp.printing import Attachment, pdf_from_html


@celeryd_after_setup.connect
def warm_the_solvers(sender: str, instance: Any, **_: Any) -> None:
    """A solvers' worker loads the engine before it forks: no plan waits for it."""
    if "solvers" in instance.app.amqp.queues.consume_from:
        warm()


@shared_task(name="papers.issue", ignore_result=True)
def issue_paper(pk: int) -> None:
    """Render a paper from its facts and keep it."""
    with background.running(pk) as work:
        if work is None:
            return
        paper = Paper.objects.get(pk=work.payload["paper"])
        if paper.state == Paper.State.ISSUED:
            return
        kept = [Attachment(**each) for each in attachments(paper)]
        page, *more = whole_html(paper)
        pdf = pdf_from_html(page, *more, attachments=kept)
        file = keep_bytes(bytes(pdf), "application/pdf")
        perform(
            Tap.made_by(paper.asked_by, at=timezone.now(), via=HistoryEntry.Via.TASK),
            paper_issued,
            paper_pk=paper.pk,
            file_pk=file.pk,
            pages=pdf.pages,
        )


@shared_task(name="solvers.air_clock", ignore_result=True)
def air_clock() -> None:
    """Settings and the shelf move the air of an order too: go over it."""
    go_over_the_air(now=timezone.now())


@shared_task(name="solvers.film_clock", ignore_result=True)
def film_clock() -> None:
    """From the afternoon on: see to it that the next day's film is looked at, once."""
    shop, now = the_shop(), timezone.now()
    due = afternoon_of(now, shop=shop)
    asked = BackgroundTask.objects.filter(kind=KIND, subject=SUBJECT, due=due)
    if now >= due and not asked.exists():
        tap = Tap.made_by(None, at=now, via=HistoryEntry.Via.TASK)
        perform(tap, look_ahead, due=due)


@shared_task(name=KIND, ignore_result=True)
def film_ahead(pk: int) -> None:
    """Say what does not reach the next day's cars."""
    with background.running(pk) as work:
        if work is None:
            return
        tap = Tap.made_by(None, at=timezone.now(), via=HistoryEntry.Via.TASK)
        perform(tap, say_short)


@shared_task(name="solvers.mail_clock", ignore_result=True)
def mail_clock() -> None:
    """What is due to be written to customers is written, what waits is tried again."""
    delivery_tasks.go_over(now=timezone.now())


@shared_task(name=SEND, ignore_result=True)
def send_mail(pk: int) -> None:
    """Hand one mail to the server."""
    with background.running(pk) as work:
        if work is not None:
            delivery_tasks.deliver(work.payload["mail"])


@shared_task(name=SEARCH, ignore_result=True, soft_time_limit=LIMIT_S)
def search_plan(pk: int) -> None:
    """Look for a better plan of the shop than the quick one."""
    with background.running(pk) as work:
        if work is None:
            return
        row = BayPlan.objects.get(pk=work.payload["plan"])
        if row.state != BayPlan.State.PROPOSED:
            return
        search = search_for(work, clock=monotonic)
        searched = draft(now=timezone.now(), search=search, clashes_s=CLASHES_S)
        tap = Tap.made_by(None, at=timezone.now(), via=HistoryEntry.Via.TASK)
        answer = perform(tap, improve_plan, plan_pk=row.pk, searched=searched)
        work.found(answer["pk"])
        work.check()


@shared_task(name="solvers.plan_clock", ignore_result=True)
def plan_clock() -> None:
    """Time moves the plan, and so does everything that is recorded: carry it on."""
    carry_on(now=timezone.now())


@shared_task(name=CARRY_ON, ignore_result=True)
def carry_the_plan_on(pk: int) -> None:
    """The same, asked for by what was just recorded."""
    with background.running(pk) as work:
        if work is not None:
            carry_on(now=timezone.now())


@shared_task(name="solvers.pull", ignore_result=True)
def search_pull(pk: int) -> None:
    """Look for a shorter pull than the quick plan, which nobody waits for."""
    with background.running(pk) as work:
        if work is None:
            return
        pull = Pull.objects.get(pk=work.payload["pull"])
        if pull.state != Pull.State.PLANNED or pull.searched:
            return
        searched = frozen(
            plan_job(pull_from_json(pull.plan).job, budget=SEARCHED),
            shop=the_shop(),
            spoilt=pull.plan["spoilt"],
        )
        work.check()
        perform(
            Tap.made_by(None, at=timezone.now(), via=HistoryEntry.Via.TASK),
            improve_pull,
            pull_pk=pull.pk,
            searched=searched,
        )
