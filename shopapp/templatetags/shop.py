"""What templates say: sentences, numbers in the shop's units, keys, explanations."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Any
from uuid import uuid4

from django import template
from django.template import Context
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from shopapp.access import may
from shopapp.figures import GIVEN, Explanation, Figure, explain
from shopapp.pressing import Bound
from shopapp.say import Say
from shopapp.telling import show, soon, tell, when
from shopapp.units import UNITS, Shown, System, shown

register = template.Library()


def system_of(context: Context | Mapping[str, Any]) -> System:
    """The shop's units; metric where no shop is known."""
    shop = context.get("shop")
    return shop.system if shop is not None else System.METRIC


@register.simple_tag(takes_context=True, name="shown")
def shown_tag(context: Context, value: Any, unit: str = "") -> Shown | str:
    """A number or `Figure` with its unit, in the shop's units: `{% shown f %}`."""
    return show(value, unit=unit, system=system_of(context))


@register.simple_tag(takes_context=True, name="say")
def say_tag(context: Context, sentence: Say | str) -> str:
    """A sentence, translated, its figures in the shop's units."""
    return tell(sentence, system=system_of(context))


register.filter("when", when)
register.filter("soon", soon)


@register.filter
def span(length: timedelta | None) -> str:
    """A length of time in words: "3 h 20 min", "2 days"."""
    if length is None:
        return "–"
    minutes = max(0, round(length.total_seconds() / 60))
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 60 * 48:
        hours, rest = divmod(minutes, 60)
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    return f"{round(minutes / 1440)} days"


@register.simple_tag(takes_context=True)
def money(context: Context, amount: Decimal | None) -> str:
    """An amount with the shop's currency."""
    if amount is None:
        return "–"
    shop = context.get("shop")
    # One spelling on phone, desk and paper, whatever the language.
    return f"{amount:,.2f} {shop.currency if shop else ''}".rstrip()


@register.simple_tag(takes_context=True)
def submission(context: Context) -> SafeString:
    """The hidden fields of every form that writes: CSRF token, key, who opened it.

    Each rendering brings a new key: a form that came back has stored nothing.
    """
    person = context.get("person")
    return format_html(
        '<input type="hidden" name="csrfmiddlewaretoken" value="{}">'
        '<input type="hidden" name="key" value="{}">'
        '<input type="hidden" name="opened_by" value="{}">',
        context.get("csrf_token", ""),
        uuid4().hex,
        person.pk if person else "",
    )


@register.simple_tag(takes_context=True, name="may")
def may_tag(context: Context, permission: str) -> bool:
    """`{% may "workorder.advance" as can_advance %}`"""
    request = context.get("request")
    return request is not None and may(request.user, permission)


@register.simple_tag
def came_back(bound: Bound | None, url_name: str, **subject: Any) -> Bound | None:
    """What came back for this button of this row, if anything did."""
    return bound if bound and bound.is_for(url_name, **subject) else None


@register.inclusion_tag("shopapp/_figure.html", takes_context=True)
def figure(context: Context, opened: Figure) -> dict[str, Any]:
    """A number that opens to its formula, inputs and source."""
    system = system_of(context)
    return {
        "shown": show(opened, system=system),
        "explanation": explanation_of(opened.made_by),
        "inputs": [
            (_label(name, value), _input(value, system))
            for name, value in opened.inputs
        ],
        "spread": spread_of(opened, system=system),
        "note": opened.note,
    }


def spread_of(opened: Figure, *, system: System) -> str:
    """The range of a figure, "408 to 416 mL", or nothing."""
    if opened.low is None or opened.high is None:
        return ""
    low = shown(opened.low, opened.unit, system=system)
    high = shown(opened.high, opened.unit, system=system)
    return f"{low.number} {gettext('to')} {high}"


def _label(name: str, value: Any) -> str:
    label = name.replace("_", " ")
    note = value.note if isinstance(value, Figure) else ""
    return f"{label} ({note})" if note else label


def _input(value: Any, system: System) -> str:
    if isinstance(value, Figure):
        return str(show(value, system=system))
    if isinstance(value, float):
        return f"{value:g}"
    return "–" if value is None else str(value)


@lru_cache(maxsize=512)
def explanation_of(made_by: str) -> Explanation | None:
    """Formula and source, or None for a number that was given."""
    if made_by == GIVEN:
        return None
    try:
        return explain(made_by)
    except LookupError:
        # A paper of years ago may name a function that has since been renamed.
        return None


@register.filter
def symbol(unit: str) -> str:
    """The metric symbol of a unit."""
    return UNITS[unit].symbol


@register.filter
def item(mapping: Mapping[Any, Any], key: Any) -> Any:
    """`{{ mapping|item:key }}`; a template's missing name is an empty mapping."""
    return mapping.get(key) if mapping else None
