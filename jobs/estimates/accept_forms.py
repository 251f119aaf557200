"""Forms of a yes to an estimate that the customer fills in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.models import EstimateAcceptance, EstimateChoice, EstimateVersion
from shopapp.columns import column


class PackageField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A package by its name, film and price."""

    def label_from_instance(self, obj: EstimateChoice) -> str:
        """As the customer compares them."""
        return f"{obj}: {obj.price:,.2f}"


class PickForm(forms.Form):
    """Which package the customer takes."""

    choice_pk = PackageField(
        label=_("Which package"),
        queryset=EstimateChoice.objects.none(),
        empty_label=None,
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Choose one of the packages."),
            "invalid_choice": _("Choose one of the packages."),
        },
    )

    def __init__(
        self, *args: Any, version: EstimateVersion | None, **more: Any
    ) -> None:
        super().__init__(*args, **more)
        choices = EstimateChoice.objects.filter(version=version)
        self.fields["choice_pk"].queryset = choices.select_related("film")  # type: ignore[attr-defined]
        if len(choices) == 1:
            self.fields["choice_pk"].initial = choices[0]

    def clean_choice_pk(self) -> int:
        """Its key."""
        return int(self.cleaned_data["choice_pk"].pk)


class AcceptForm(PickForm):
    """The customer's own yes, by name."""

    name = column(
        EstimateAcceptance.name,
        _("Your name"),
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": _("Write your name.")},
    )
