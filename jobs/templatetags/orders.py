"""What the head of an order's pages needs: its stages and its other pages."""

from __future__ import annotations

from django import template
from django.template import Context
from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext

from jobs.models import WorkOrder
from jobs.stages import Stage
from shopapp.access import may

register = template.Library()

PAGES = [
    ("order", "jobs:workorder_detail", "Order", "car"),
    ("checks", "jobs:workorder_checks", "Checks", "check"),
    ("mixing", "jobs:workorder_mixing", "Mixing", "flask"),
    ("film", "jobs:workorder_film", "Film", "film"),
    ("panels", "jobs:workorder_panels", "Panels", "ruler"),
    ("safety", "jobs:workorder_safety", "Safety", "flame"),
    ("papers", "jobs:workorder_papers", "Papers", "print"),
    ("history", "jobs:workorder_history", "History", "history"),
    ("handover", "jobs:handover_detail", "Hand-over", "key"),
]
"""Code, URL name, label and icon of an order's pages, in the order of the work."""


@register.simple_tag
def order_stages(order: WorkOrder) -> list[tuple[str, str]]:
    """Each stage with "done", "now" or nothing."""
    stages = list(Stage)
    here = stages.index(order.stage_now)
    return [
        (gettext(stage.value), "done" if at < here else "now" if at == here else "")
        for at, stage in enumerate(stages)
    ]


@register.simple_tag(takes_context=True)
def order_tabs(context: Context, order: WorkOrder) -> list[dict[str, str]]:
    """The order's pages that this person may open."""
    person = context["request"].user
    tabs = []
    for code, name, label, icon in PAGES:
        if code == "handover" and not may(person, "handover.view"):
            continue
        try:
            url = reverse(name, args=[order.pk])
        except NoReverseMatch:
            continue
        tabs.append({"code": code, "url": url, "label": gettext(label), "icon": icon})
    return tabs
