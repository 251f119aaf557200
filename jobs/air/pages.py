"""Safety: the shop's stock and week, and each order's own block, prep and heat."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from jobs.air.forms import PrepUseForm, RegisterForm
from jobs.air.heat import LOOK_ROUND
from jobs.air.heat_queries import bay_heat
from jobs.air.prep_queries import order_prep, prep_page
from jobs.air.queries import block_of
from jobs.air.shop_queries import register, shop_safety
from jobs.models import Paper, WorkOrder
from jobs.solutions.sheet_now_queries import sheet_now
from jobs.stages.queries import read_readings
from jobs.workorders.queries import order_head
from mixing.rule_sets.queries import rules_of
from mixing.safety.block import SafetyBlock
from mixing.safety.request import SafetyRequest
from mixing.safety.states import SafetyLine
from mixing.safety.vapour_plot import vapour_plot_svg
from shopapp.access import allow
from shopapp.htmx import page_or_fragment
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for

MOST_PAPERS = 12


@require_GET
@allow("safety.view")
def safety(request: HttpRequest) -> HttpResponse:
    """Stock against limits, the week ahead, what is overdue."""
    found = shop_safety(the_shop(), now=timezone.now())
    return render(request, "jobs/air/safety.html", {"safety": found})


@require_GET
@allow("safety.view")
def safety_register(
    request: HttpRequest, *, bound: Bound | None = None
) -> HttpResponse:
    """Every container in the shop, and the registers issued so far."""
    shop = the_shop()
    now = timezone.now()
    usual = {"size": shop.paper_size}
    context = {
        "bound": bound,
        "form": form_for(lambda: RegisterForm(initial=usual), bound, "register_issue"),
        "papers": Paper.objects.filter(kind=Paper.Kind.REGISTER)[:MOST_PAPERS],
        "rows": register(shop),
        "safety": shop_safety(shop, now=now),
        "now": now,
    }
    return render(request, "jobs/air/safety_register.html", context)


@require_GET
@allow("safety.view")
def workorder_safety(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The safety block of an order, prep chemicals used, the bay before hot tools."""
    order = get_object_or_404(order_head(), pk=pk)
    read_readings(order)
    now = timezone.now()
    sheet, _version = sheet_now(order, at=now)
    prep = order_prep(order, rules=rules_of(the_shop()))
    block, asked = block_of(order, sheet=sheet, at=now, prep=prep)
    context: dict[str, Any] = {
        "order": order,
        "tab": "safety",
        "bound": bound,
        "notes": block,
        "lines": _without_shown_labels(block),
        "totals": {section: state.value for section, state in block.totals},
        "plot": _plot(block, asked),
        "prep": prep_page(prep, asked.prep),
        "prep_form": form_for(PrepUseForm, bound, "prep_use"),
        **heat_context(order, block, now=now),
    }
    return page_or_fragment(
        request,
        "jobs/air/workorder_safety.html",
        "jobs/air/_workorder_safety.html",
        context,
    )


def _without_shown_labels(block: SafetyBlock) -> list[SafetyLine]:
    """The lines but for the labels, which have a card of their own."""
    shown = {f"label:{label.name}" for label in block.labels}
    return [line for line in block.shown if line.key not in shown]


def heat_context(
    order: WorkOrder, block: SafetyBlock, *, now: datetime
) -> dict[str, Any]:
    """What the heat card shows."""
    return {
        "heat": bay_heat(
            order, wait=block.wait, now=now, wait_unknown=block.is_wait_unknown
        ),
        "look_round": LOOK_ROUND,
    }


def _plot(block: SafetyBlock, asked: SafetyRequest) -> str:
    """Vapour over the job, where it is known."""
    points = [(point.minute, point.vapour_ppm) for point in block.curve]
    if len(points) < 2:
        return ""
    return vapour_plot_svg(
        points,
        limit_ppm=asked.held_limit_ppm,
        session_min=asked.session_min,
        title=_("Average vapor in the bay over this job"),
        limit_label=_("limit"),
        end_label=_("end of the job"),
    )


@require_GET
@allow("safety.view")
def workorder_heat(request: HttpRequest, pk: int) -> HttpResponse:
    """The heat card alone, for the order's other pages."""
    order = get_object_or_404(order_head(), pk=pk)
    read_readings(order)
    now = timezone.now()
    sheet, _version = sheet_now(order, at=now)
    block, _asked = block_of(order, sheet=sheet, at=now)
    context = {"order": order, **heat_context(order, block, now=now)}
    return page_or_fragment(
        request, "jobs/air/workorder_heat.html", "jobs/air/_heat.html", context
    )


def heat_url(pk: int) -> str:
    """The heat card alone: it comes back wherever it stands."""
    return reverse("jobs:workorder_heat", args=[pk])
