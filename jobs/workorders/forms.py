"""Forms of the work order's own page."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs.bookings.forms import moment_field
from jobs.models import Override, WorkOrder
from jobs.rules.table import RULES
from jobs.stages.table import Stage
from shopapp.columns import column
from shopapp.models import Bay, Person, Place

REASON = "reason_"


class ReasonsForm(forms.Form):
    """A reason for each rule that asks for one (`reason_<rule>`)."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for rule in RULES:
            self.fields[f"{REASON}{rule.value}"] = column(
                Override.reason, required=False
            )

    def clean(self) -> dict[str, Any]:
        """What else was typed, and the reasons that were written, by rule."""
        cleaned = super().clean() or {}
        reasons = {
            name.removeprefix(REASON): cleaned.pop(name)
            for name in list(cleaned)
            if name.startswith(REASON)
        }
        cleaned["reasons"] = {rule: text for rule, text in reasons.items() if text}
        return cleaned


class AdvanceForm(ReasonsForm):
    """Where to, and why, although a rule says otherwise."""

    to = forms.ChoiceField(choices=[(stage.value, stage.label) for stage in Stage])

    def clean_to(self) -> Stage:
        """The stage itself."""
        return Stage(self.cleaned_data["to"])


class PauseForm(forms.Form):
    """What the job waits for: a tap, or words of one's own."""

    usual = ("parts", "the customer", "film", "paint to cure", "a helper", "tomorrow")
    because = column(WorkOrder.paused_because, _("Something else"))

    def clean(self) -> dict[str, Any]:
        """What was tapped, unless something was written."""
        cleaned = super().clean() or {}
        cleaned["because"] = cleaned.get("because") or self.data.get("usual", "")[:160]
        return cleaned


class PlaceForm(forms.Form):
    """One list of bays and places."""

    where = forms.ChoiceField(
        label=_("Where does the car stand?"), widget=forms.RadioSelect
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        bays = [
            (f"bay-{bay.pk}", bay.name) for bay in Bay.objects.filter(retired=False)
        ]
        places = [
            (f"place-{place.pk}", place.name)
            for place in Place.objects.filter(retired=False)
        ]
        self.fields["where"].choices = bays + places  # type: ignore[attr-defined]

    @staticmethod
    def initial_of(workorder: WorkOrder) -> dict[str, str]:
        """Where the car stands now."""
        if workorder.bay_id:
            return {"where": f"bay-{workorder.bay_id}"}
        return {"where": f"place-{workorder.place_id}"} if workorder.place_id else {}

    def clean(self) -> dict[str, Any]:
        """`bay` or `place`, whichever was chosen."""
        cleaned = super().clean() or {}
        kind, _dash, pk = cleaned.pop("where", "").partition("-")
        cleaned["bay"] = Bay.objects.filter(pk=pk).first() if kind == "bay" else None
        cleaned["place"] = (
            Place.objects.filter(pk=pk).first() if kind == "place" else None
        )
        return cleaned


class PromiseForm(forms.Form):
    """When the car is promised for, if not as it was."""

    promised_at = moment_field(_("Promised for"))
    because = forms.CharField(label=_("Why?"), max_length=160, required=False)

    @staticmethod
    def initial_of(workorder: WorkOrder) -> dict[str, Any]:
        """The promise as it stands."""
        return {"promised_at": timezone.localtime(workorder.promised_at)}


class CrewForm(forms.Form):
    """Who works on the car."""

    people = forms.ModelMultipleChoiceField(
        label=_("Who works on it?"),
        queryset=Person.objects.filter(is_active=True, is_installer=True),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )

    def clean_people(self) -> list[Person]:
        """The people as a list, so that their order does not matter."""
        return list(self.cleaned_data["people"])
