"""The estimate on one page: who, which car, one to three packages, until when."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.additions.queries import menu
from jobs.bookings.figure_queries import BookingFigures, booking_figures
from jobs.bookings.forms import money_field
from jobs.bookings.models import choices_of
from jobs.checks.forms import SignedForm
from jobs.coverage.catalogue import Body, Package, coverage_problems
from jobs.coverage.forms import CoverageFields, with_package
from jobs.customers.forms import (
    LONG_TEXT,
    CustomerFields,
    VehicleFields,
    customer_of,
    vehicle_of,
)
from jobs.estimates.accept_forms import PickForm
from jobs.estimates.actions import Offered
from jobs.estimates.standing import MOST_CHOICES
from jobs.models import (
    CustomerEstimate,
    EstimateAcceptance,
    EstimateRule,
    EstimateVersion,
    Film,
    MenuWork,
    WorkOrder,
)
from shopapp.amounts import Whole
from shopapp.columns import column

PLACES = range(1, MOST_CHOICES + 1)
NO_PACKAGE = ("", _("none"))
WORK = ("name", "minutes", "when", "skill", "price")


class ChoiceForm(CoverageFields):
    """One package beside others: what is covered, film, other work, price.

    Without a package it is not offered.
    """

    film = forms.ModelChoiceField(
        label=_("Film"),
        queryset=Film.objects.none(),
        empty_label=None,
        error_messages={
            "required": _("Choose a film. If none is offered, add one under Film.")
        },
    )
    works = forms.ModelMultipleChoiceField(
        label=_("Other work"),
        queryset=MenuWork.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    price = money_field(
        _("Price, all in"),
        help_text=_("With tax. Left empty, the price list's sum."),
        required=False,
    )

    def __init__(
        self, data: QueryDict | None = None, *, place: int, body: Body, **more: Any
    ) -> None:
        self.place, self.body = place, body
        super().__init__(data, prefix=f"p{place}", **more)
        self.figures: BookingFigures | None = None
        self.fields["package"].required = place == 1
        self.fields["package"].label = _("Package {n}").format(n=place)
        if place > 1:
            choices = [NO_PACKAGE, *choices_of(Package)]
            self.fields["package"].choices = choices  # type: ignore[attr-defined]
        for name in ("film", "method"):
            self.fields[name].required = self.is_offered()
        films = Film.objects.filter(in_use=True)
        self.fields["film"].queryset = films  # type: ignore[attr-defined]
        self.fields["works"].queryset = menu().filter(price__isnull=False)  # type: ignore[attr-defined]

    def body_shown(self) -> Body:
        """The body of the car, as chosen so far."""
        return self.body

    def clean_package(self) -> Package | None:  # type: ignore[override]
        """The package itself, if there is one."""
        chosen = self.cleaned_data["package"]
        return Package(chosen) if chosen else None

    def is_offered(self) -> bool:
        """Whether there is a package in it."""
        return bool(self["package"].value())

    def work_out(self, car: dict[str, Any]) -> None:
        """Panels, film, work and price of this package, for this car."""
        cleaned = self.cleaned_data
        if not cleaned["package"]:
            return
        cleaned["panels"] = self.chosen()
        for problem in coverage_problems(cleaned["panels"], body=self.body):
            self.add_error("package", str(problem))
        cleaned["added_work"] = tuple(
            {name: getattr(work, name) for name in WORK} for work in cleaned["works"]
        )
        self.figures = booking_figures({**cleaned, **car, "body": self.body})
        if not self.figures:
            return
        if cleaned["price"] is None:
            for missing in self.figures.estimate.missing:
                self.add_error("price", f"{missing} {_('Say the price.')}")

    def offered(self) -> Offered | None:
        """What is offered here, in the action's words."""
        cleaned, figures = self.cleaned_data, self.figures
        if figures is None:
            return None
        typed: Decimal | None = cleaned["price"]
        return Offered(
            package=cleaned["package"],
            panels=cleaned["panels"],
            film=cleaned["film"],
            price=figures.estimate.total if typed is None else typed,
            is_list_price=typed is None,
            minutes=round(figures.work.value),
            works=cleaned["added_work"],
        )


class EstimateForm(CustomerFields, VehicleFields):
    """Everything of an estimate; `clean` hands it on in the action's own words."""

    customer_pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    vehicle_pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    apart = forms.BooleanField(
        label=_("It is somebody else, or another car: keep both"), required=False
    )
    valid_until = column(EstimateVersion.valid_until, _("Holds until"))
    words = column(
        EstimateVersion.words,
        _("Words for the customer"),
        help_text=_("They stand on the estimate."),
        widget=LONG_TEXT,
    )

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        row: CustomerEstimate | None = None,
        initial: dict[str, Any] | None = None,
        choices: list[dict[str, Any]] | None = None,
    ) -> None:
        """`choices`: what each package starts with, in their order."""
        super().__init__(data, initial=initial)
        self.row = row
        if row is not None or (data is not None and data.get("customer_pk")):
            self.fields["name"].required = False
        body = str(self["body"].value() or "")
        known = Body(body) if body in set(Body) else Body.SEDAN
        starts = choices or []
        self.choices = [
            ChoiceForm(
                None if data is None else with_package(data, prefix=f"p{place}-"),
                place=place,
                body=known,
                initial=starts[place - 1] if place <= len(starts) else None,
            )
            for place in PLACES
        ]

    def clean(self) -> dict[str, Any]:
        """Each package worked out for this car; then the action's words."""
        cleaned = super().clean()
        car = {
            name: cleaned.get(name) for name in ("size_class", "make", "model", "year")
        }
        car = {**car, "make": car["make"] or "", "model": car["model"] or ""}
        wrong = False
        for choice in self.choices:
            is_right = choice.is_valid()
            if car["size_class"] and is_right:
                choice.work_out(car)
            wrong = wrong or bool(choice.errors)
        if wrong:
            self.add_error(None, _("Look at the marked fields of the packages."))
        return cleaned if self.errors else self._offered(cleaned)

    def _offered(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        offered = [choice.offered() for choice in self.choices]
        facts = {
            "vehicle": vehicle_of(cleaned),
            "offered": tuple(each for each in offered if each),
            "valid_until": cleaned["valid_until"],
            "words": cleaned["words"],
        }
        if self.row is not None:
            return facts
        return {
            **facts,
            "customer": customer_of(cleaned),
            "customer_pk": cleaned["customer_pk"],
            "vehicle_pk": cleaned["vehicle_pk"],
            "apart": cleaned["apart"],
        }


class AcceptedForm(PickForm):
    """What the desk was told, by phone or in person."""

    how = forms.ChoiceField(
        label=_("Said"),
        choices=[
            (WorkOrder.Agreed.PHONE.value, WorkOrder.Agreed.PHONE.label),
            (WorkOrder.Agreed.PERSON.value, WorkOrder.Agreed.PERSON.label),
        ],
    )
    name = column(
        EstimateAcceptance.name,
        _("Spoken with"),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": _("Write whom you spoke with.")},
    )


class SignEstimateForm(SignedForm, PickForm):
    """Which package, signed for at the desk."""


class EndForm(forms.Form):
    """Why an estimate is put away."""

    because = column(CustomerEstimate.ended_because, _("Why?"))


class EstimateRuleForm(forms.Form):
    """How long an estimate holds, what a customer brings."""

    valid_days = Whole(label=_("An estimate holds for"), within=limits.VALID_DAYS)
    bring = column(
        EstimateRule.bring,
        _("What to bring and prepare, a line each"),
        help_text=_("On the confirmation. Left empty, what is usual."),
        widget=LONG_TEXT,
    )
