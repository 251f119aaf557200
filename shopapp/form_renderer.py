"""Inputs and lists of a form, written without a template each.

A booking's form has some 300 of them; Django renders a template for every one, and for
every option of a list. This writes the same bytes; what it does not know, Django does.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.template import Context
from django.template.base import render_value_in_context
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

FOLDER = "django/forms/widgets/"
OPTION = f"{FOLDER}select_option.html"
SELECT = f"{FOLDER}select.html"
INPUTS = frozenset(
    f"{FOLDER}{name}.html"
    for name in (
        *("checkbox", "color", "date", "datetime", "email", "hidden", "input"),
        *("number", "password", "search", "tel", "text", "time", "url"),
    )
)
"""Django's templates that do no more than include that of an input."""
NO_CONTEXT = Context()


class FormRenderer(DjangoTemplates):
    """Django's renderer, with the widgets that a page has most of."""

    def render(
        self, template_name: str, context: dict[str, Any], request: Any = None
    ) -> str:
        """The HTML of a widget, a field or a form."""
        if template_name in INPUTS:
            return mark_safe(_input(context["widget"]))
        if template_name == SELECT and _has_plain_options(context["widget"]):
            return mark_safe(_select(context["widget"]))
        return super().render(template_name, context, request)


def _has_plain_options(widget: Mapping[str, Any]) -> bool:
    return all(
        option["template_name"] == OPTION
        for _, options, _ in widget["optgroups"]
        for option in options
    )


def _input(widget: Mapping[str, Any]) -> str:
    value = widget["value"]
    valued = "" if value is None else f' value="{_as_string(value)}"'
    return (
        f'<input type="{_shown(widget["type"])}" name="{_shown(widget["name"])}"'
        f"{valued}{_attributes(widget)}>"
    )


def _select(widget: Mapping[str, Any]) -> str:
    parts = [f'<select name="{_shown(widget["name"])}"{_attributes(widget)}>']
    for group, options, _ in widget["optgroups"]:
        if group:
            parts.append(f'\n  <optgroup label="{_shown(group)}">')
        parts += [
            f'\n  <option value="{_as_string(option["value"])}"{_attributes(option)}>'
            f"{_shown(option['label'])}</option>\n"
            for option in options
        ]
        if group:
            parts.append("\n  </optgroup>")
    return "".join(parts) + "\n</select>"


def _attributes(widget: Mapping[str, Any]) -> str:
    return "".join(
        f" {_shown(name)}"
        if value is True
        else f' {_shown(name)}="{_as_string(value)}"'
        for name, value in widget["attrs"].items()
        if value is not False
    )


def _shown(value: Any) -> str:
    """As `{{ value }}` writes it."""
    return render_value_in_context(value, NO_CONTEXT)


def _as_string(value: Any) -> str:
    """As `{{ value|stringformat:"s" }}` writes it."""
    return conditional_escape(value if isinstance(value, SafeString) else str(value))
