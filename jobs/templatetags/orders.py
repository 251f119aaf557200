"""An order's card on the floor, and the head of its pages: stages, other pages."""

from __future__ import annotations

from functools import lru_cache

from django import template
from django.conf import settings
from django.template import Context
from django.template.loader import render_to_string
from django.urls import NoReverseMatch, reverse
from django.utils.safestring import SafeString
from django.utils.timezone import get_current_timezone_name
from django.utils.translation import get_language, gettext

from jobs.models import WorkOrder
from jobs.queries.floor import CarOnFloor
from jobs.stages import Stage
from mixing.hazards import SECTION_TITLES
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


@register.filter
def section_title(section: str) -> str:
    """What a section of the safety block is called."""
    told = SECTION_TITLES.get(section)
    return gettext(told.text) if told else section


@register.simple_tag
def car_card(car: CarOnFloor) -> SafeString:
    """A car's card. After a press only the card of that car is drawn anew."""
    draw = _card.__wrapped__ if settings.DEBUG else _card
    return draw(car, get_language() or "", get_current_timezone_name())


@lru_cache(maxsize=1024)
def _card(car: CarOnFloor, language: str, zone: str) -> SafeString:
    return render_to_string("jobs/_floor_car.html", {"car": car})
