"""What a column says of its value is not typed again at its field."""

from __future__ import annotations

from django import forms

from jobs.models import Film, FilmMovement, Vehicle
from shopapp.columns import column
from shopapp.models import Person


def test_a_field_is_as_long_as_its_column_and_may_be_empty_where_that_may():
    code = column(Film.code, "Code")
    assert (code.label, code.max_length, code.required) == ("Code", 12, True)
    assert not column(FilmMovement.reason, "Why").required
    assert column(FilmMovement.reason, "Why", required=True).required


def test_a_field_offers_the_choices_of_its_column():
    assert column(Film.finish, "Finish").choices == Film.Finish.choices
    finish = column(Vehicle.finish, "Paint", empty="not known")
    assert finish.choices == [("", "not known"), *Vehicle.Finish.choices]
    assert finish.clean("") == ""


def test_a_field_without_a_label_says_what_its_column_says():
    assert column(Person.can_prep).label == "preps cars"


def test_what_a_new_row_begins_with_is_not_filled_in():
    assert column(Film.in_use, "In use").initial is None
    assert column(Film.in_use, "In use", initial=True).initial is True


def test_what_the_column_says_for_those_who_read_the_code_is_not_shown():
    field = column(Film.is_directional, "Directional", widget=forms.HiddenInput)
    assert field.help_text == ""
    assert isinstance(field.widget, forms.HiddenInput)
