"""Papers: asked for with their facts frozen, issued by the worker once and for all."""

from __future__ import annotations

import re

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import translation

from jobs.models import Paper, WorkOrder
from jobs.papers import offcut_label_facts as offcut_label
from jobs.papers.kept_facts import DOCUMENTS, changes_since
from jobs.papers.kind_facts import KINDS, LABELLED, MM, SHEETS, Wanted
from jobs.papers.queries import is_lost
from jobs.papers.vessel_label_facts import is_there
from mixing.bench.vessel_label import TOO_SMALL, holds_a_label
from shopapp.background import ring
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import StoredFile, the_shop
from shopapp.say import say

SMALLEST_MM, LARGEST_MM = 20, 300
RIVALS = 20
OF_A_ROW = re.compile(rf"({'|'.join(LABELLED)}) \d{{1,12}}")


@action("paper.issue")
def issue_paper(act: Act, *, workorder_pk: int, kind: str, size: str = "") -> Json:
    """Ask for a paper of an order."""
    workorder = act.lock(WorkOrder, workorder_pk)
    if kind not in KINDS or not KINDS[kind].icon:
        raise Refused(say("There is no such paper of an order."))
    if size and size not in SHEETS:
        raise Refused(say("An order's paper is A4 or Letter."), field="size")
    paper = ask_paper(act, kind=kind, workorder=workorder, size=size)
    return {"pk": paper.pk}


@action("label.issue")
def issue_label(act: Act, *, subject: str, size: str = "") -> Json:
    """Ask for labels: "fill 12", "vessel 4", "offcut 7", in millimetres."""
    if not OF_A_ROW.fullmatch(subject):
        raise Refused(say("Say what the label is for."))
    of_film = subject.split()[0] in offcut_label.SUBJECTS
    there = offcut_label.offcuts_of(subject).exists() if of_film else is_there(subject)
    if not there and of_film:
        raise Refused(say("There is no off-cut to label any more."))
    if not there:
        raise Refused(say("There is no vessel to label any more."))
    if size in SHEETS:
        raise Refused(say("A label's size is in mm, as in 57x32."), field="size")
    if not of_film:
        _refuse_small(_size(size or KINDS[Paper.Kind.VESSEL_LABEL].size))
    kind = Paper.Kind.OFFCUT_LABEL if of_film else Paper.Kind.VESSEL_LABEL
    paper = ask_paper(act, kind=kind, workorder=None, subject=subject, size=size)
    return {"pk": paper.pk}


def _refuse_small(size: str) -> None:
    """A vessel's label has room for what must stand on it."""
    sides = MM.fullmatch(size)
    if sides and not holds_a_label(int(sides.group(1)), int(sides.group(2))):
        raise Refused(say(TOO_SMALL), field="size")


@action("register.issue")
def issue_register(act: Act, *, size: str = "") -> Json:
    """Ask for the register of chemicals as the shelf stands."""
    if size and size not in SHEETS:
        raise Refused(say("The register is A4 or Letter."), field="size")
    paper = ask_paper(
        act, kind=Paper.Kind.REGISTER, workorder=None, subject="register", size=size
    )
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
    wanted = Wanted(
        workorder=workorder,
        subject=subject,
        size=_size(size or of.size or the_shop().paper_size),
        at=act.now,
    )
    paper, is_new = _version(act, kind, wanted)
    _ring(act, paper, is_new=is_new)
    return paper


@action("paper.again")
def print_again(act: Act, *, paper_pk: int) -> Json:
    """Make a paper anew whose file is damaged: a new version that says the same."""
    lost = Paper.objects.get(pk=paper_pk)
    if lost.workorder_id:
        act.lock(WorkOrder, lost.workorder_id)
    newest = Paper.objects.filter(number=lost.number).order_by("-version")[0]
    if not is_lost(newest):
        _ring(act, newest, is_new=False)
        return {"pk": newest.pk}
    paper = Paper.objects.create(
        workorder=lost.workorder,
        kind=newest.kind,
        subject=newest.subject,
        number=newest.number,
        version=newest.version + 1,
        size=newest.size,
        facts=newest.facts,
        replaces=newest,
        asked_by=act.tap.by,
        asked_at=act.now,
    )
    _ring(act, paper, is_new=True)
    return {"pk": paper.pk}


def _ring(act: Act, paper: Paper, *, is_new: bool) -> None:
    """Have it made where it is not yet, and tell it in the order's history."""
    if paper.state != Paper.State.ISSUED:
        ring(
            act,
            "papers.issue",
            subject=f"paper {paper.pk}",
            payload={"paper": paper.pk},
        )
    if paper.workorder:
        what = "paper_asked" if is_new else "paper_again"
        act.event(paper.workorder, what, paper=paper, kind=paper.get_kind_display())


def _version(act: Act, kind: str, wanted: Wanted) -> tuple[Paper, bool]:
    """The newest version if it says the same, else the one after it."""
    number = KINDS[kind].number(wanted)
    with translation.override(_language(kind, wanted)):
        facts = _facts(kind, wanted, number=number)
    for _ in range(RIVALS):
        newest = Paper.objects.filter(number=number).order_by("-version").first()
        if known := _frozen(kind, number, size=wanted.size):
            return known, False
        is_same_size = newest is not None and newest.size == wanted.size
        says_the_same = newest and is_same_size and not changes_since(newest, facts)
        if newest and says_the_same and not is_lost(newest):
            return newest, False
        try:
            with transaction.atomic():
                paper = Paper.objects.create(
                    workorder=wanted.workorder,
                    kind=kind,
                    subject=wanted.subject,
                    number=number,
                    version=newest.version + 1 if newest else 1,
                    size=wanted.size,
                    facts=facts,
                    replaces=newest,
                    asked_by=act.tap.by,
                    asked_at=act.now,
                )
        except IntegrityError:
            continue
        return paper, True
    raise Refused(say("Many people press this at the moment. Press once more."))


def _language(kind: str, wanted: Wanted) -> str:
    """The customer's own on a paper for the customer; the shop reads English."""
    reader = KINDS[kind].reader
    return str(reader(wanted).language if reader else settings.LANGUAGE_CODE)


def _facts(kind: str, wanted: Wanted, *, number: str) -> Json:
    """As things stand; of a frozen paper, as it was first said."""
    first = Paper.objects.filter(number=number).order_by("version").first()
    if KINDS[kind].is_frozen and first:
        return dict(first.facts)
    return DOCUMENTS[kind].stamp(KINDS[kind].facts(wanted))


def _frozen(kind: str, number: str, *, size: str) -> Paper | None:
    """A frozen paper in this size: it is made once, and again only when it is lost."""
    if not KINDS[kind].is_frozen:
        return None
    made = Paper.objects.filter(number=number, size=size).select_related("file")
    return next((paper for paper in made if not is_lost(paper)), None)


def _size(wanted: str) -> str:
    if wanted in SHEETS:
        return wanted
    sides = MM.fullmatch(wanted)
    if sides is None:
        raise Refused(
            say("A paper is A4, Letter, or millimetres as in 57x32."),
            field="size",
        )
    if not all(SMALLEST_MM <= int(side) <= LARGEST_MM for side in sides.groups()[:2]):
        raise Refused(
            say(
                "A label's sides are {low} to {high} mm.",
                low=SMALLEST_MM,
                high=LARGEST_MM,
            ),
            field="size",
        )
    return wanted


@action("paper.issued")
def paper_issued(act: Act, *, paper_pk: int, file_pk: int, pages: int) -> None:
    """Keep the finished paper. The first one stays; a second changes nothing."""
    order_pk = Paper.objects.values_list("workorder_id", flat=True).get(pk=paper_pk)
    workorder = act.lock(WorkOrder, order_pk) if order_pk else None
    file, paper = StoredFile.objects.get(pk=file_pk), Paper.objects.get(pk=paper_pk)
    won = Paper.objects.filter(pk=paper_pk, state=Paper.State.ASKED).update(
        state=Paper.State.ISSUED, file=file, pages=pages, issued_at=act.now
    )
    if workorder and won:
        act.event(
            workorder,
            "paper_issued",
            paper=paper,
            kind=paper.get_kind_display(),
            sha256=file.sha256,
        )
    elif workorder:
        act.unchanged(workorder)
