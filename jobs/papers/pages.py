"""Papers: asked for on the order's page, served as they were issued."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from jobs.models import Paper
from jobs.papers.forms import LABEL_SIZES, LabelForm
from jobs.papers.kind_facts import KINDS, SHEETS
from jobs.papers.queries import fills_to_label, is_lost, papers_of_order, shown_paper
from jobs.workorders.queries import order_head
from jobs.workorders.row_pages import labelled
from shopapp import media
from shopapp.access import allow, may
from shopapp.htmx import page_or_fragment
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for


@require_GET
@allow("paper.view")
def workorder_papers(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The order's papers with their versions, and what can be printed."""
    order = get_object_or_404(order_head(), pk=pk)
    series = papers_of_order(order)
    usual = the_shop().paper_size
    context: dict[str, Any] = {
        "order": order,
        "tab": "papers",
        "bound": bound,
        "series": series,
        "is_waiting": any(each.newest.is_being_made for each in series),
        "kinds": [
            (kind, Paper.Kind(kind).label, KINDS[kind].icon)
            for kind in KINDS
            if KINDS[kind].icon
        ],
        "sizes": sorted(SHEETS, key=lambda size: size != usual),
        "fills": fills_to_label(order),
    }
    return page_or_fragment(
        request,
        "jobs/papers/workorder_papers.html",
        "jobs/papers/_workorder_papers.html",
        context,
    )


@require_GET
@allow("paper.view")
def paper_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The paper as it was issued; until then, how far it is."""
    paper = _paper(request, pk)
    if paper.file is not None and not is_lost(paper):
        name = f"{paper.number}-v{paper.version}-{paper.size}.pdf"
        return media.served(request, paper.file, filename=name)
    return _state(request, paper, bound=bound)


@require_GET
@allow("paper.view")
def paper_state(request: HttpRequest, pk: int) -> HttpResponse:
    """How far a paper is."""
    return _state(request, _paper(request, pk))


def open_paper(request: HttpRequest, pk: int) -> dict[str, int]:
    """The paper of an address, for a button of whoever may open it."""
    return {"paper_pk": _paper(request, pk).pk}


def _paper(request: HttpRequest, pk: int) -> Paper:
    paper = get_object_or_404(Paper.objects.select_related("file", "workorder"), pk=pk)
    if paper.is_for_the_desk and not may(request.user, "customer.view"):
        raise Http404
    return paper


def _state(
    request: HttpRequest, paper: Paper, *, bound: Bound | None = None
) -> HttpResponse:
    newer = Paper.objects.filter(number=paper.number, version__gt=paper.version)
    context = {
        "bound": bound,
        "paper": paper,
        "shown": shown_paper(paper),
        "is_lost": is_lost(paper),
        "newest": newer.order_by("-version").first(),
    }
    return page_or_fragment(
        request,
        "jobs/papers/paper_detail.html",
        "jobs/papers/_paper_detail.html",
        context,
    )


@require_GET
@allow("paper.issue")
def label_new(
    request: HttpRequest, what: str, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The label of a vessel or an off-cut: its size."""
    labelled(what, pk)
    start = {"size": LABEL_SIZES[0], "sheet": ""}
    form = form_for(lambda: LabelForm(initial=start), bound, "label_issue")
    context = {"what": what, "pk": pk, "form": form, "bound": bound}
    return page_or_fragment(
        request, "jobs/papers/label_new.html", "jobs/papers/_label_new.html", context
    )
