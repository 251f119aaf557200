"""Whose calendar is to be opened."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from shopapp.models import Bay, Person

HAND_OVERS = "hand-overs"


class FeedForm(forms.Form):
    """A bay's, a person's, or the hand-overs."""

    whose = forms.ChoiceField(label=_("Which calendar"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        bays = Bay.objects.filter(retired=False)
        people = Person.objects.filter(is_active=True)
        self.rows: dict[str, Bay | Person] = {
            **{f"bay-{bay.pk}": bay for bay in bays},
            **{f"person-{person.pk}": person for person in people},
        }
        field = self.fields["whose"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            (HAND_OVERS, _now("Hand-overs: when each car is ready")),
            *((key, str(row)) for key, row in self.rows.items()),
        ]

    def clean(self) -> dict[str, Any]:
        """The row that was chosen."""
        cleaned = super().clean() or {}
        row = self.rows.get(cleaned.get("whose", ""))
        return {
            "bay": row if isinstance(row, Bay) else None,
            "person": row if isinstance(row, Person) else None,
        }
