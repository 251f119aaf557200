"""Papers: asked for with their facts frozen, issued by the worker once and for all."""

from __future__ import annotations

import re

from django.db import IntegrityError, transaction

from jobs.models import Paper, WorkOrder
from jobs.papers.kinds import KINDS
from shopapp.background import ring
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import StoredFile, the_shop
from shopapp.say import say

MM = re.compile(r"(\d{2,3})x(\d{2,3})")
SMALLEST_MM, LARGEST_MM = 20, 300
RIVALS = 5


@action("paper.issue")
def issue_paper(
    act: Act, *, workorder_pk: int, kind: str, size: str = "", subject: str = ""
) -> Json:
    """Ask for a paper of an order."""
    workorder = act.lock(WorkOrder, workorder_pk)
    if kind not in KINDS or not KINDS[kind].is_of_order:
        raise Refused(say("There is no such paper of an order."))
    paper = ask_paper(act, kind=kind, workorder=workorder, subject=subject, size=size)
    return {"pk": paper.pk}


def ask_paper(
    act: Act,
    *,
    kind: str,
    workorder: WorkOrder | None,
    subject: str = "",
    size: str = "",
) -> Paper:
    """The paper of things as they stand: a new version, or the one that says the same.

    workorder  locked by the caller; None for a paper of no order
    subject    what else it is about, "fill 12"
    size       A4, Letter or millimetres as in 57x32; the shop's usual if unsaid
    """
    of = KINDS[kind]
    wanted = _size(size or of.size or the_shop().paper_size)
    facts = of.facts(workorder, subject, act.now)
    number = of.number(workorder, subject)
    for _ in range(RIVALS):
        newest = Paper.objects.filter(number=number).order_by("-version").first()
        if newest and newest.facts == facts and newest.size == wanted:
            _ring(act, newest)
            if workorder:
                act.event(workorder, "paper_again", paper=newest, kind=kind)
            return newest
        try:
            with transaction.atomic():
                paper = Paper.objects.create(
                    workorder=workorder,
                    kind=kind,
                    subject=subject,
                    number=number,
                    version=newest.version + 1 if newest else 1,
                    size=wanted,
                    facts=facts,
                    replaces=newest,
                    asked_by=act.tap.by,
                    asked_at=act.now,
                )
        except IntegrityError:
            continue
        _ring(act, paper)
        if workorder:
            act.event(workorder, "paper_asked", paper=paper, kind=kind)
        return paper
    raise Refused(say("Many people press this at the moment. Press once more."))


def _ring(act: Act, paper: Paper) -> None:
    if paper.state != Paper.State.ISSUED:
        ring(
            act,
            "papers.issue",
            subject=f"paper {paper.pk}",
            payload={"paper": paper.pk},
        )


def _size(wanted: str) -> str:
    if wanted in ("A4", "Letter"):
        return wanted
    sides = MM.fullmatch(wanted)
    if sides is None:
        raise Refused(say("A paper is A4, Letter, or millimetres as in 57x32."))
    if not all(SMALLEST_MM <= int(side) <= LARGEST_MM for side in sides.groups()):
        raise Refused(
            say(
                "A label's sides are {low} to {high} mm.",
                low=SMALLEST_MM,
                high=LARGEST_MM,
            )
        )
    return wanted


@action("paper.issued")
def paper_issued(act: Act, *, paper_pk: int, file_pk: int, pages: int) -> None:
    """Keep the finished paper. The first one stays; a second changes nothing."""
    order_pk = Paper.objects.values_list("workorder_id", flat=True).get(pk=paper_pk)
    workorder = act.lock(WorkOrder, order_pk) if order_pk else None
    file = StoredFile.objects.get(pk=file_pk)
    won = Paper.objects.filter(pk=paper_pk, state=Paper.State.ASKED).update(
        state=Paper.State.ISSUED, file=file, pages=pages, issued_at=act.now
    )
    if workorder and won:
        act.event(workorder, "paper_issued", paper=paper_pk, sha256=file.sha256)
    elif workorder:
        act.unchanged(workorder)
