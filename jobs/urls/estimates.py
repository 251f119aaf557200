"""Estimates, below `estimates/`: offered, changed, printed, accepted, put away."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path, reverse

from jobs.estimates import pages
from jobs.estimates.accept_actions import accept_estimate
from jobs.estimates.actions import (
    change_estimate,
    end_estimate,
    make_estimate,
    print_estimate,
)
from jobs.estimates.forms import EndForm
from jobs.invoices.forms import SizeForm
from jobs.mail.actions import send_mail
from jobs.mail.forms import KindForm
from jobs.mail.pages import estimate_mail_text
from jobs.models import EstimateVersion, WorkOrder
from jobs.public.link_actions import revoke_link
from jobs.public.link_pages import estimate_link_make
from jobs.workorders.row_pages import estimate
from shopapp.buttons import button
from shopapp.rows import page_of_made
from shopapp.say import say


def _to_estimate(pk: int) -> str:
    return reverse("jobs:estimate_detail", args=[pk])


def version_of(pk: int, version_pk: int) -> dict[str, Any]:
    """A version of this estimate."""
    get_object_or_404(EstimateVersion, pk=version_pk, estimate=pk)
    return {"estimate_pk": pk, "version_pk": version_pk}


act = partial(button, page=pages.estimate_detail)
VERSION = "<int:pk>/versions/<int:version_pk>"

urlpatterns: list[URLPattern] = [
    path("", pages.estimates, name="estimates"),
    path("new/", pages.estimate_new, name="estimate_new"),
    path("look/", pages.estimate_look, name="estimate_look"),
    path("known/", pages.estimate_known, name="estimate_known"),
    path(
        "make/",
        button(
            make_estimate,
            page=pages.estimate_new,
            form=pages.estimate_form,
            then=page_of_made("jobs:estimate_detail"),
        ),
        name="estimate_make",
    ),
    path("<int:pk>/", pages.estimate_detail, name="estimate_detail"),
    path(
        "<int:pk>/mail/send/",
        act(send_mail, on=estimate, form=KindForm, told=say("The mail goes out.")),
        name="estimate_mail_send",
    ),
    path("<int:pk>/mail/text/", estimate_mail_text, name="estimate_mail_text"),
    path("<int:pk>/edit/", pages.estimate_edit, name="estimate_edit"),
    path("<int:pk>/look/", pages.estimate_look, name="estimate_look"),
    path(
        "<int:pk>/change/",
        button(
            change_estimate,
            page=pages.estimate_edit,
            on=estimate,
            form=pages.estimate_form,
            then=_to_estimate,
        ),
        name="estimate_change",
    ),
    path(
        "<int:pk>/end/",
        act(end_estimate, on=estimate, form=EndForm),
        name="estimate_end",
    ),
    path("<int:pk>/links/make/", estimate_link_make, name="estimate_link_make"),
    path(
        "<int:pk>/links/<int:link_pk>/revoke/",
        act(revoke_link, on=estimate),
        name="estimate_link_revoke",
    ),
    path(
        f"{VERSION}/print/",
        act(
            print_estimate,
            on=version_of,
            form=SizeForm,
            then=page_of_made("jobs:paper_detail"),
        ),
        name="estimate_print",
    ),
    path(
        f"{VERSION}/accept/",
        act(
            accept_estimate,
            on=version_of,
            form=pages.accepted_form,
            told=say("Kept: the customer accepted it."),
        ),
        name="estimate_accept",
    ),
    path("<int:pk>/sign/", pages.estimate_sign, name="estimate_sign"),
    path(
        f"{VERSION}/signed/",
        button(
            accept_estimate,
            page=pages.estimate_sign,
            on=version_of,
            form=pages.signed_form,
            then=_to_estimate,
            how=WorkOrder.Agreed.SIGNATURE.value,
        ),
        name="estimate_signed",
    ),
]
