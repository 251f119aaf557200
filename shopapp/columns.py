"""A field that restates a column: what the model says of it stands there alone."""

from __future__ import annotations

from typing import Any

from django import forms


def column(of: Any, label: Any = None, *, empty: Any = None, **more: Any) -> Any:
    """The field of a model's column, such as `column(Film.code, _("Code"))`.

    Length, choices and whether it may stay empty are the column's, the label too
    where none is given. `empty` are the words for no choice. The value that a new
    row begins with is not filled in: a form says what it starts with.
    """
    field = of.field
    if empty is not None:
        more["choices"] = field.get_choices(blank_choice=[("", empty)])
    known = {"label": label or field.verbose_name, "help_text": "", "initial": None}
    made: forms.Field = field.formfield(**known | more)
    return made
