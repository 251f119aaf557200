"""Widgets are written as Django's templates write them, byte for byte."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy
from hypothesis import given
from hypothesis import strategies as st

from shopapp.form_renderer import FormRenderer

OURS, DJANGOS = FormRenderer(), DjangoTemplates()
CHOICES = [
    ("", "---------"),
    ("a&b", "A & B"),
    (1, 1234567),
    (None, mark_safe("<b>bold</b>")),
    (Decimal("1.5"), gettext_lazy("Yes")),
]
GROUPS = [("", "none"), ("<Group>", CHOICES), ("Other", [("x", "X")])]
INPUTS = (
    *(forms.TextInput, forms.NumberInput, forms.EmailInput, forms.URLInput),
    *(forms.PasswordInput, forms.HiddenInput, forms.DateInput, forms.TimeInput),
    *(forms.DateTimeInput, forms.CheckboxInput, forms.FileInput),
)
LISTS = (forms.Select, forms.SelectMultiple, forms.NullBooleanSelect)
OTHERS = (forms.Textarea, forms.RadioSelect, forms.CheckboxSelectMultiple)
ATTRS = {"id": "id_a", "class": "wide", "required": True, "disabled": False}
VALUES = ("", None, "a<b>&'\"", 0, 1, 1234567.5, True, False, mark_safe("<i>"))


def both(widget: forms.Widget, value: object, attrs: dict[str, object]) -> None:
    """The two renderings are equal."""
    ours = widget.render("na<me", value, attrs, renderer=OURS)
    assert ours == widget.render("na<me", value, attrs, renderer=DJANGOS)
    assert hasattr(ours, "__html__")


@pytest.mark.parametrize("kind", INPUTS)
@pytest.mark.parametrize("value", VALUES)
def test_an_input(kind, value):
    both(kind(attrs={"inputmode": "decimal", "min": 0, "data-x": None}), value, ATTRS)
    both(kind(), value, {})


@pytest.mark.parametrize("choices", [CHOICES, GROUPS, []])
@pytest.mark.parametrize("kind", [*LISTS, *OTHERS])
@pytest.mark.parametrize("value", ["", None, "a&b", 1, ["x", "1"]])
def test_a_list(kind, choices, value):
    widget = kind()
    if kind is not forms.NullBooleanSelect:
        widget.choices = choices
    if isinstance(value, list) and kind is forms.NullBooleanSelect:
        value = "true"
    both(widget, value, ATTRS)


def test_a_list_with_options_of_its_own_template_is_left_to_django():
    class Radios(forms.Select):
        option_template_name = "django/forms/widgets/radio_option.html"

    both(Radios(choices=CHOICES), "a&b", ATTRS)


@given(value=st.text(), attr=st.text(), label=st.text())
def test_whatever_was_typed(value, attr, label):
    both(forms.TextInput(), value, {"title": attr})
    both(forms.Select(choices=[(value, label), ("x", attr)]), value, {})
