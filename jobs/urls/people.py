"""Who is away."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.crews.actions import add_absence, take_back_absence
from jobs.crews.forms import AbsenceForm
from jobs.crews.pages import people_away, told_away
from jobs.models import Absence
from shopapp.buttons import button
from shopapp.models import Person
from shopapp.rows import by_pk
from shopapp.say import say

on_list = partial(button, page=people_away)
KEPT = say("Kept. What moves is proposed on the page of the plan.")

urlpatterns: list[URLPattern] = [
    path("", people_away, name="people_away"),
    path(
        "add/",
        on_list(add_absence, form=AbsenceForm, told=told_away),
        name="absence_add",
    ),
    path(
        "<int:pk>/sick-today/",
        on_list(
            add_absence,
            on=by_pk(Person, "person_pk"),
            because=Absence.Because.SICK,
            told=told_away,
        ),
        name="sick_today",
    ),
    path(
        "<int:pk>/take-back/",
        on_list(take_back_absence, on=by_pk(Absence, "absence_pk"), told=KEPT),
        name="absence_take_back",
    ),
]
