"""What the film pages need: drawings of ours, and panels by name."""

from __future__ import annotations

from django import template
from django.template import Context
from django.utils.safestring import SafeString, mark_safe

from jobs.coverage.catalogue import Body
from jobs.coverage.catalogue import panel_name as name_of
from jobs.models import OrderPanel, WorkOrder
from shopapp.templatetags.shop import system_of
from shopapp.units import shown

register = template.Library()


@register.filter
def drawn(svg: str) -> SafeString:
    """A drawing made by `jobs.nesting.drawing`, which escapes every name in it."""
    return mark_safe(svg)  # noqa: S308


@register.simple_tag
def panel_name(panel: OrderPanel, order: WorkOrder) -> str:
    """What the panel is called on this car."""
    return name_of(panel.panel, body=Body(order.vehicle.body))


@register.simple_tag(takes_context=True)
def metres(context: Context, length_mm: int) -> str:
    """A length of roll: "5.79 m"."""
    return str(shown(length_mm / 1000, "m", system=system_of(context)))
