"""The booking on one page: customer, car, coverage, film, time, money."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.additions.queries import as_on_menu, menu
from jobs.bookings.actions import Agreed
from jobs.bookings.figure_queries import BookingFigures, booking_figures
from jobs.coverage.catalogue import (
    Body,
    coverage_problems,
)
from jobs.coverage.forms import (
    CoverageFields,
    with_package,
)
from jobs.customers.forms import (
    LONG_TEXT,
    CustomerFields,
    VehicleFields,
    customer_of,
    vehicle_of,
)
from jobs.models import AddedWork, Booking, CarWish, Film, MenuWork
from jobs.plan.fit_queries import MOMENT
from jobs.plan.visit_queries import Instead, instead_of, visit_refused
from shopapp.amounts import Money, Whole
from shopapp.columns import DATE, column
from shopapp.models import Bay, Person, the_shop
from shopapp.telling import tell

WORK_ROWS = range(1, 5)
FOLDED = {
    "customer": ("email", "is_account", "order_number"),
    "car": (
        *("stock_number", "vin_reason", "make", "year"),
        *("colour", "paint_code", "finish"),
        *("red_line", "paint_history"),
    ),
    "money": ("price", "deposit", "notes", "film_reason"),
    "wish": ("people", "film_day", "film_half"),
}
"""Fields of the parts that a phone booking leaves folded."""


def moment_field(label: Any, **more: Any) -> forms.DateTimeField:
    """A day and a time in the shop's zone."""
    return forms.DateTimeField(
        label=label,
        input_formats=[MOMENT, MOMENT + ":%S"],
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MOMENT),
        **more,
    )


def money_field(label: Any, **more: Any) -> Money:
    """An amount of money, 0 or more."""
    return Money(
        label=label, within=limits.MONEY, max_digits=10, decimal_places=2, **more
    )


class BookingForm(CustomerFields, VehicleFields, CoverageFields):
    """Everything that is agreed; `clean` hands it on in the action's own words."""

    visits: tuple[str, ...] = ("arrives_at", "promised_at")
    """When somebody has to be there."""

    customer_pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    vehicle_pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    estimate_choice = forms.IntegerField(required=False, widget=forms.HiddenInput)
    apart = forms.BooleanField(
        label=_("It is somebody else, or another car: keep both"), required=False
    )
    order_number = column(Booking.order_number, _("Customer's order number"))
    film = forms.ModelChoiceField(
        label=_("Film"),
        queryset=Film.objects.none(),
        empty_label=None,
        error_messages={
            "required": _("Choose a film. If none is offered, add one under Film.")
        },
    )
    arrives_at = moment_field(_("Arrives"))
    promised_at = moment_field(_("Promised for"))
    bay = forms.ModelChoiceField(
        label=_("Bay"),
        queryset=Bay.objects.none(),
        required=False,
        empty_label=_("any"),
    )
    wanted = forms.DateField(label=_("Day wanted"), required=False, widget=DATE)
    offered = forms.CharField(required=False, widget=forms.HiddenInput)
    people = forms.ModelMultipleChoiceField(
        label=_("Who lays the film"),
        help_text=_("Nobody ticked: the plan chooses."),
        queryset=Person.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    film_day = column(CarWish.day, _("Film work on"))
    film_half = column(CarWish.half, _("In the"), empty=_("any time"))
    price = money_field(
        _("Price agreed, all in"),
        help_text=_("With tax. Left empty, the price list's sum is agreed."),
        required=False,
    )
    deposit = money_field(
        _("Deposit asked for"),
        help_text=_("It counts as paid once it is recorded on the booking."),
        required=False,
    )
    paint_history = column(
        Booking.paint_history,
        _("Paint history"),
        help_text=_("Repaints with dates, coating, wax, old film."),
        widget=LONG_TEXT,
    )
    notes = column(Booking.notes, _("Notes"), widget=LONG_TEXT)
    film_reason = forms.CharField(
        label=_("Why it is booked although the film is short"),
        max_length=120,
        required=False,
    )

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        booking: Booking | None = None,
        initial: dict[str, Any] | None = None,
        works_out: bool = True,
    ) -> None:
        """`works_out`: price and film are computed, not only checked what is typed."""
        typed = with_package(data) if data is not None else None
        super().__init__(typed, initial=initial)
        self.booking = booking
        self.works_out = works_out
        self.figures: BookingFigures | None = None
        films = Film.objects.filter(in_use=True)
        if booking is not None:
            films = Film.objects.filter(pk=booking.film_id) | films
            # Whose car it is was settled when it was booked.
            for name in ("name", "customer_pk", "vehicle_pk"):
                self.fields[name].required = False
        self.fields["film"].queryset = films  # type: ignore[attr-defined]
        self.fields["bay"].queryset = Bay.objects.filter(retired=False)  # type: ignore[attr-defined]
        layers = Person.objects.filter(is_active=True, can_install=True)
        self.fields["people"].queryset = layers  # type: ignore[attr-defined]
        self._add_work_rows()
        if data is not None and data.get("customer_pk"):
            self.fields["name"].required = False

    def _add_work_rows(self) -> None:
        for row in WORK_ROWS:
            self.fields[f"work_{row}_name"] = column(
                AddedWork.name,
                _("What"),
                required=False,
                widget=forms.TextInput(attrs={"list": "menu-work"}),
            )
            self.fields[f"work_{row}_minutes"] = Whole(
                label=_("Minutes"), within=limits.WORK_MIN, required=False
            )
            self.fields[f"work_{row}_when"] = column(
                AddedWork.when, _("When"), required=False
            )
            self.fields[f"work_{row}_skill"] = column(
                AddedWork.skill, _("Who"), required=False
            )
            self.fields[f"work_{row}_price"] = money_field(_("Price"), required=False)

    def menu(self) -> QuerySet[MenuWork]:
        """Other work to choose from."""
        return menu()

    def work_rows(self) -> list[list[Any]]:
        """The rows of added work, for the page."""
        names = ("name", "minutes", "when", "skill", "price")
        return [[self[f"work_{row}_{name}"] for name in names] for row in WORK_ROWS]

    def instead(self) -> tuple[Instead, ...]:
        """Open days near a shut one that is typed."""
        typed = {name: str(self[name].value() or "") for name in Instead.ASKED}
        return instead_of(typed, now=timezone.now())

    def has_wish(self) -> bool:
        """Whether anything is fixed of its film work."""
        return any(self[name].value() for name in ("people", "film_day"))

    def open_parts(self) -> dict[str, bool]:
        """Which folded parts are open by themselves: where something is in error."""
        return {
            part: any(name in self.fields and self.has_error(name) for name in names)
            for part, names in FOLDED.items()
        }

    def has_work(self) -> bool:
        """Whether other work is typed, or is in error."""
        names = ("name", "minutes", "price")
        rows = [f"work_{row}_{name}" for row in WORK_ROWS for name in names]
        return any(self[name].value() or self.has_error(name) for name in rows)

    def has_more_work(self) -> bool:
        """Whether a row of added work after the first holds anything."""
        names = ("name", "minutes", "price")
        later = [row for row in WORK_ROWS if row > 1]
        return any(
            self[f"work_{row}_{name}"].value() for row in later for name in names
        )

    def clean(self) -> dict[str, Any]:
        """Coverage and figures from what is right so far; then the action's words."""
        cleaned = super().clean()
        if {"package", "method"} <= cleaned.keys():
            cleaned["panels"] = self.chosen()
            if "body" in cleaned:
                self._say_problems(Body(cleaned["body"]))
        cleaned["added_work"] = self._added_work()
        if self.works_out and not self.has_error("package"):
            self.figures = booking_figures(cleaned, beside=self.booking)
        if self.works_out:
            self._say_shut()
        return cleaned if self.errors or not self.figures else self._agreed(cleaned)

    def _say_shut(self) -> None:
        """At once with all else that is wrong: the action would say it after that."""
        for name in self.visits:
            at = self.cleaned_data.get(name)
            is_new = self.booking is None or at != getattr(self.booking, name)
            if at and is_new and (why := visit_refused(at, now=timezone.now())):
                self.add_error(name, tell(why, system=the_shop().system))

    def _say_problems(self, body: Body) -> None:
        for problem in coverage_problems(self.cleaned_data["panels"], body=body):
            self.add_error("package", str(problem))

    def _added_work(self) -> tuple[dict[str, Any], ...]:
        found = []
        for row in WORK_ROWS:
            work = {
                name: self.cleaned_data.get(f"work_{row}_{name}")
                for name in ("name", "minutes", "when", "skill", "price")
            }
            if not work["name"] and not work["minutes"] and not work["price"]:
                continue
            work = as_on_menu(work)
            if not work["name"]:
                self.add_error(f"work_{row}_name", _("Say what is to be done."))
            elif not work["minutes"]:
                if not self.has_error(f"work_{row}_minutes"):
                    self.add_error(
                        f"work_{row}_minutes", _("Say how long it takes, in minutes.")
                    )
            else:
                found.append({**work, "price": work["price"] or Decimal(0)})
        return tuple(found)

    def _agreed(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        figures = self.figures
        assert figures is not None
        price = cleaned["price"]
        # What a car comes back for is not on the list: its price may stay open.
        is_return = hasattr(self.booking, "return_visit")
        is_list_price = price is None and figures.estimate.is_complete and not is_return
        if is_list_price:
            price = figures.estimate.total
        agreed = Agreed(
            package=cleaned["package"],
            panels=cleaned["panels"],
            film=cleaned["film"],
            arrives_at=cleaned["arrives_at"],
            promised_at=cleaned["promised_at"],
            film_length_mm=figures.need.length_mm,
            film_width_mm=figures.need.width_mm,
            bay=cleaned["bay"],
            order_number=cleaned["order_number"],
            price=price,
            is_list_price=is_list_price,
            deposit=cleaned["deposit"] or Decimal(0),
            added_work=cleaned["added_work"],
            paint_history=cleaned["paint_history"],
            notes=cleaned["notes"],
            film_reason=cleaned["film_reason"],
            people=tuple(cleaned["people"]),
            film_day=cleaned["film_day"],
            film_half=cleaned["film_half"],
        )
        facts = {"vehicle": vehicle_of(cleaned), "agreed": agreed}
        if self.booking is not None:
            return facts
        return {
            **facts,
            "customer": customer_of(cleaned),
            "customer_pk": cleaned["customer_pk"],
            "vehicle_pk": cleaned["vehicle_pk"],
            "apart": cleaned["apart"],
            "estimate_choice_pk": cleaned["estimate_choice"],
        }
