"""Another container at the pour, and one that is opened for a mix."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST

from jobs.actions.pouring_from import pour_from
from jobs.forms.pouring_from import PourFromForm
from jobs.queries.workorders import order_head
from jobs.views.mixing import choose_page, known_kind, steps_page
from mixing.actions.stock import open_container
from mixing.models import StockContainer
from mixing.queries import containers_to_pour
from shopapp.access import allow
from shopapp.frame import Answer
from shopapp.pressing import press


@require_POST
@allow("mix.pour_from")
def workorder_mix_from(
    request: HttpRequest, pk: int, kind: str, version: int
) -> HttpResponse:
    """Pour from another container: the steps begin by a sheet of its strength."""
    get_object_or_404(order_head(), pk=pk)
    substance = request.POST.get("substance", "")

    def then(answer: Answer) -> str:
        args = [pk, kind, answer["version"]]
        done = urlencode([("p", text) for text in request.POST.getlist("p")])
        return reverse("jobs:workorder_mix_steps", args=args) + (done and f"?{done}")

    return press(
        request,
        pour_from,
        form=PourFromForm(
            request.POST,
            request.FILES,
            containers=containers_to_pour(known_kind(kind), substance),
        ),
        page=lambda bound: steps_page(request, pk, kind, version, bound),
        then=then,
        workorder_pk=pk,
        version=version,
        kind=kind,
    )


@require_POST
@allow("stock.open")
def workorder_mix_open(
    request: HttpRequest, pk: int, kind: str, code: str
) -> HttpResponse:
    """Open a container that the solution needs, and go on choosing vessels."""
    get_object_or_404(order_head(), pk=pk)
    container = get_object_or_404(StockContainer, code__iexact=code)
    return press(
        request,
        open_container,
        page=lambda bound: choose_page(request, pk, known_kind(kind), bound),
        then=reverse("jobs:workorder_mix", args=[pk, known_kind(kind)]),
        container_pk=container.pk,
    )
