"""A field that restates a column: what the model says of it stands there alone."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db import models
from django.utils.translation import gettext_lazy as _

DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
TIME = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
PICKED: dict[type[models.Field[Any, Any]], forms.Widget] = {
    models.DateField: DATE,
    models.TimeField: TIME,
}
"""What a tablet asks for with a calendar or a clock."""


def column(of: Any, label: Any = None, *, empty: Any = None, **more: Any) -> Any:
    """The field of a model's column, such as `column(Film.code, _("Code"))`.

    Length, choices and whether it may stay empty are the column's, the label too
    where none is given. `empty` are the words for no choice. The value that a new
    row begins with is not filled in: a form says what it starts with.
    """
    field = of.field
    if empty is not None:
        more["choices"] = field.get_choices(blank_choice=[("", empty)])
    if widget := PICKED.get(type(field)):
        more = {"widget": widget, **more}
    known = {"label": label or field.verbose_name, "help_text": "", "initial": None}
    return field.formfield(**known | more)


def yes_or_no(label: Any) -> forms.TypedChoiceField:
    """Yes, no, or nobody has said."""
    return forms.TypedChoiceField(
        label=label,
        choices=[("", _("not said")), ("yes", _("yes")), ("no", _("no"))],
        coerce=lambda value: value == "yes",
        empty_value=None,
        required=False,
    )
