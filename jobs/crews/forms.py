"""Days off and a person's week as they are typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.models import Absence, Shift
from shopapp.columns import column
from shopapp.models import Person
from shopapp.open_day_pages import WeekForm


class AbsenceForm(forms.Form):
    """Who is away, and when."""

    person_pk = forms.ModelChoiceField(
        label=_("Who"), queryset=Person.objects.none(), empty_label=_("choose")
    )
    first_day = column(Absence.first_day, _("First day"))
    last_day = column(
        Absence.last_day, _("Last day"), required=False, help_text=_("Empty: one day.")
    )
    half = column(
        Absence.half, _("Which part of the day"), required=False, empty=_("whole days")
    )
    because = column(Absence.because, _("Why"), initial=Absence.Because.OFF)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        who = self.fields["person_pk"]
        assert isinstance(who, forms.ModelChoiceField)
        who.queryset = Person.objects.filter(is_active=True)

    def clean_person_pk(self) -> int | None:
        """The action names the person by key."""
        person: Person | None = self.cleaned_data["person_pk"]
        return person.pk if person else None


class ShiftForm(WeekForm):
    """Each weekday: worked or not, and the hours where they are not the shop's."""

    model = Shift
    tick, begins, ends = "works", "starts_at", "ends_at"
    out_of_order = _("The day ends after it begins.")

    @staticmethod
    def initial_of(person: Person) -> dict[str, Any]:
        """The week as it is; a day without a row is worked in the shop's hours."""
        known: dict[str, Any] = {f"works_{day}": True for day in range(7)}
        for row in Shift.objects.filter(person=person):
            known[f"works_{row.weekday}"] = not row.is_off
            known[f"starts_at_{row.weekday}"] = row.starts_at
            known[f"ends_at_{row.weekday}"] = row.ends_at
        return known
