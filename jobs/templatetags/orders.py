"""An order's card on the floor, and the head of its pages: stages, other pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from django import template
from django.conf import settings
from django.template import Context
from django.template.loader import render_to_string
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.timezone import get_current_timezone_name
from django.utils.translation import get_language, gettext

from jobs.models import WorkOrder
from jobs.path.queries import CarOnFloor
from jobs.plan.naming import named
from jobs.plan.step_queries import standing_names
from jobs.promises.queries import Outlook, planned
from jobs.stages.table import May, Stage, stage_named
from mixing.safety.states import SECTION_TITLES, MissingInput, SafetyLine, State
from shopapp.access import may
from shopapp.say import Say

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
        (gettext(stage.label), "done" if at < here else "now" if at == here else "")
        for at, stage in enumerate(stages)
    ]


@register.simple_tag
def order_outlook(order: WorkOrder) -> Outlook | None:
    """When the car will be ready by the plan; None where no plan knows it."""
    return planned(order, now=timezone.now())


@register.filter
def in_names(why: Sequence[Say]) -> list[Say]:
    """Reasons of a plan with the names of its bays, people and cars."""
    return [named(sentence, standing_names()) for sentence in why]


@register.filter
def stage_may(order: WorkOrder, act: str) -> bool:
    """Whether `act`, a member of `May`, is done in the stage of an order."""
    return order.stage_now.may(May(act))


@register.filter
def stage_label(code: str) -> str:
    """A stage in words, from the code that a paper keeps."""
    return stage_named(code)


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


OF_A_CONTAINER = ("kind", "location", "approval", "size")


@register.filter
def container_of(need: MissingInput) -> str:
    """The code of the container whose own page takes this, or ""."""
    owner, _, rest = need.key.partition(".")
    code, _, field = rest.rpartition(".")
    return code if owner == "stock" and field in OF_A_CONTAINER else ""


@dataclass(frozen=True, kw_only=True)
class LineGroup:
    """Safety lines under one state; what is not assessed together, the rest alone.

    source  of all of them, or ""
    """

    state: str
    lines: tuple[SafetyLine, ...]
    source: str = ""


@register.filter
def assessed_apart(lines: Sequence[SafetyLine]) -> list[LineGroup]:
    """Lines in their order, those that are not assessed in one group at its first."""
    unknown = tuple(line for line in lines if line.state is State.NOT_ASSESSED)
    sources = {line.source for line in unknown}
    together = LineGroup(
        state=State.NOT_ASSESSED.value,
        lines=unknown,
        source=sources.pop() if len(sources) == 1 else "",
    )
    found: list[LineGroup] = []
    for line in lines:
        if line.state is not State.NOT_ASSESSED:
            state = line.state.value if line.state else ""
            found.append(LineGroup(state=state, lines=(line,)))
        elif line is unknown[0]:
            found.append(together)
    return found


@register.simple_tag
def car_card(car: CarOnFloor) -> SafeString:
    """A car's card. After a press only the card of that car is drawn anew."""
    draw = _card.__wrapped__ if settings.DEBUG else _card
    return draw(car, get_language() or "", get_current_timezone_name())


@lru_cache(maxsize=1024)
def _card(car: CarOnFloor, language: str, zone: str) -> SafeString:
    return render_to_string("jobs/path/_floor_car.html", {"car": car})
