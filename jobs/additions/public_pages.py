"""The customer answers an offer on the page that the secret link opens."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from jobs.additions.actions import answer_addition
from jobs.additions.forms import SaysForm
from jobs.models import Addition, WorkOrder
from jobs.public.pages import AGREED, by_link, press_by_link
from shopapp.say import say


@require_POST
@by_link
def customer_addition(
    request: HttpRequest, token: str, order: WorkOrder, addition_pk: int
) -> HttpResponse:
    """Yes or no to what is offered on top."""
    if not Addition.objects.filter(pk=addition_pk, workorder=order).exists():
        raise Http404
    says_yes = request.POST.get("says") == "yes"
    thanks = say("Thank you. We have your yes and put it on the order.")
    told = thanks if says_yes else say("Thank you. We leave it out.")
    return press_by_link(
        request,
        token,
        order,
        answer_addition,
        form=SaysForm(request.POST),
        told=told,
        how=AGREED,
        addition_pk=addition_pk,
    )
