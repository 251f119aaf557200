"""A list of cars and what is done to all of them: looked over, then booked."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.bookings.actions import Agreed
from jobs.bookings.figure_queries import BookingFigures, booking_figures
from jobs.bookings.forms import money_field
from jobs.bookings.models import choices_of
from jobs.coverage.blanks import size_classes
from jobs.coverage.catalogue import Body, Method, Package, default_choices
from jobs.customers.car_names import short_name
from jobs.dealers.actions import CarToBook
from jobs.dealers.car_list import MOST_ROWS, ListedCar, read_list
from jobs.dealers.queries import known_problem
from jobs.film.list_text import list_text
from jobs.film.need_queries import shortage
from jobs.models import Booking, Customer, Film, Vehicle
from jobs.money.queries import listed_for
from jobs.plan.fit import Fit
from jobs.plan.fit_queries import fits_together
from jobs.stages.queries import rule_levels
from shopapp.amounts import Whole
from shopapp.columns import DATE, column
from shopapp.models import the_shop
from shopapp.say import Say
from shopapp.telling import tell

MOST_SIGNS = 20_000
PACKAGES = [each for each in choices_of(Package) if each[0] != Package.SINGLE_PANELS]
FIRST = (("stock_number", _("stock number")), ("plate", _("plate")))


@dataclass(frozen=True, kw_only=True)
class SeenCar:
    """A row as it is looked over.

    problems  why it is not booked
    price     by the list or as typed; None: there is no price for it
    """

    row: ListedCar
    name: str
    size: str
    problems: tuple[Say, ...] = ()
    fit: Fit | None = None
    price: Decimal | None = None


class CarListForm(forms.Form):
    """What is booked is what was looked over: `looked` holds its days and hours."""

    cars = forms.CharField(
        label=_("Cars, one in each line"),
        max_length=MOST_SIGNS,
        error_messages={"required": _("Paste the list, or choose its file.")},
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
    )
    file = forms.FileField(label=_("Or a file"), required=False)
    first = forms.ChoiceField(label=_("The first column is the"), choices=FIRST)
    package = forms.ChoiceField(label=_("Package"), choices=PACKAGES)
    film = forms.ModelChoiceField(
        label=_("Film"), queryset=Film.objects.filter(in_use=True), empty_label=None
    )
    method = forms.ChoiceField(label=_("Film is"), choices=choices_of(Method))
    size_class = forms.ChoiceField(label=_("Size"))
    body = column(Vehicle.body, _("Body"))
    first_on = forms.DateField(label=_("First car comes on"), widget=DATE)
    a_day = Whole(
        label=_("Cars a day"),
        within=limits.CARS_A_DAY,
        required=False,
        help_text=_("Left empty, all come on the first day."),
    )
    order_number = column(Booking.order_number, _("Customer's order number"))
    price = money_field(
        _("Price of each, all in"),
        required=False,
        help_text=_("Left empty, the price list's sum is agreed."),
    )
    film_reason = forms.CharField(
        label=_("Why they are booked although the film is short"),
        max_length=120,
        required=False,
    )
    looked = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, customer: Customer, is_look: bool = False, **kwargs: Any
    ) -> None:
        """`is_look`: nothing is booked yet."""
        super().__init__(*args, **kwargs)
        self.customer, self.is_look = customer, is_look
        self.seen: list[SeenCar] = []
        self.fields["cars"].required = not self.files
        sizes = [(code, f"{code}, {name}") for code, name in size_classes().items()]
        self.fields["size_class"].choices = sizes  # type: ignore[attr-defined]
        self.fields["size_class"].initial = "D"
        self.fields["first_on"].initial = timezone.localdate() + timedelta(days=1)
        self.fields["package"].initial = Package.FULL_FRONT.value
        self._figures: dict[tuple[Any, ...], BookingFigures | None] = {}

    def clean(self) -> dict[str, Any]:
        """Rows that are right; those with a day of the look are booked."""
        cleaned = super().clean() or {}
        text = self._text(cleaned)
        if self.errors:
            return cleaned
        rows = read_list(
            text,
            first=cleaned["first"],
            sizes=frozenset(size_classes()),
            this_year=timezone.localdate().year,
        )
        if not rows:
            self.add_error("cars", _("Paste the list, or choose its file."))
        elif len(rows) > MOST_ROWS:
            said = _("At most %(n)s cars at once; these are %(found)s.")
            self.add_error("cars", said % {"n": MOST_ROWS, "found": len(rows)})
        elif self.is_look:
            self.look(rows)
        else:
            return self._agreed(rows)
        return cleaned

    def _text(self, cleaned: dict[str, Any]) -> str:
        if not cleaned.get("file"):
            return str(cleaned.get("cars") or "")
        found = list_text(cleaned["file"].read(MOST_SIGNS * 4))
        if isinstance(found, Say):
            self.add_error("file", tell(found, system=the_shop().system))
            return ""
        # From here on it is the list in the field, to be put right there.
        self._put("cars", found.text)
        return found.text

    # -- looked over ----------------------------------------------------------------

    def look(self, rows: list[ListedCar]) -> None:
        """Price, day and hour of each row, beside what is known and planned."""
        seen = [self._seen(row) for row in rows]
        right = [each for each in seen if not each.problems]
        fits = self._fits([each.row for each in right]) if right else []
        at = {each.row.row: fit for each, fit in zip(right, fits, strict=True)}
        self.seen = [
            SeenCar(**{**vars(each), "fit": at.get(each.row.row)}) for each in seen
        ]
        days = {
            row: [fit.arrives_at.isoformat(), fit.promised_at.isoformat()]
            for row, fit in at.items()
            if fit
        }
        self._put("looked", json.dumps({"of": self._print(), "days": days}))

    def _put(self, name: str, text: str) -> None:
        """As if it had been sent with the rest."""
        data = cast(QueryDict, self.data).copy()
        data[name] = text
        self.data = data

    def short(self) -> Say | None:
        """What is said where the film that is free does not reach for all of them."""
        right = [each.row for each in self.seen if each.fit]
        found = [self._figures_of(row) for row in right]
        length_mm = sum(each.need.length_mm for each in found if each)
        if not length_mm:
            return None
        levels = rule_levels(the_shop())
        film = self.cleaned_data["film"]
        concern = shortage(film, length_mm=length_mm, levels=levels)
        return concern.sentence if concern else None

    def _seen(self, row: ListedCar) -> SeenCar:
        problems = row.problems
        if not problems:
            known = known_problem(self.customer.pk, _vehicle(row, self.cleaned_data))
            problems = (known,) if known else ()
        price = None if problems else self._price(row)
        if price is not None and self.cleaned_data["price"] is None:
            price = listed_for(self.customer, total=price)
        size = row.size_class or self.cleaned_data["size_class"]
        return SeenCar(
            row=row, name=_name(row), size=size, problems=problems, price=price
        )

    def _fits(self, rows: list[ListedCar]) -> list[Fit | None]:
        return fits_together(
            [self._known(row) for row in rows],
            first_on=max(self.cleaned_data["first_on"], timezone.localdate()),
            a_day=self.cleaned_data["a_day"] or MOST_ROWS,
            now=timezone.now(),
        )

    def _price(self, row: ListedCar) -> Decimal | None:
        if self.cleaned_data["price"] is not None:
            return Decimal(self.cleaned_data["price"])
        figures = self._figures_of(row)
        complete = figures and figures.estimate.is_complete
        return figures.estimate.total if figures and complete else None

    def _known(self, row: ListedCar) -> dict[str, Any]:
        body = Body(self.cleaned_data["body"])
        package = Package(self.cleaned_data["package"])
        method = Method(self.cleaned_data["method"])
        return {
            "package": package,
            "panels": default_choices(package, body=body, method=method),
            "film": self.cleaned_data["film"],
            "size_class": row.size_class or self.cleaned_data["size_class"],
            "body": body,
            "make": row.make,
            "model": row.model,
            "year": row.year,
            "plate": _name(row),
        }

    def _figures_of(self, row: ListedCar) -> BookingFigures | None:
        known = self._known(row)
        key = tuple(known[name] for name in ("size_class", "make", "model", "year"))
        if key not in self._figures:
            self._figures[key] = booking_figures(known)
        return self._figures[key]

    def _print(self) -> str:
        """Of all that was typed: another list is looked over again."""
        names = sorted(self.fields.keys() - {"looked", "file", "film_reason"})
        said = [self.data.get(name, "").split() for name in names]
        return hashlib.sha256(json.dumps(said).encode()).hexdigest()

    # -- booked -------------------------------------------------------------------

    def _agreed(self, rows: list[ListedCar]) -> dict[str, Any]:
        """As looked over. The shelf is not asked again: a second tap says the same."""
        days = self._looked_days()
        if days is None:
            self.look(rows)
            self.add_error("cars", _("Look the list over as it is now, then book it."))
            return {}
        right = [row for row in rows if not row.problems and str(row.row) in days]
        if not right:
            self.look(rows)
            self.add_error("cars", _("No row of this list can be booked."))
            return {}
        left_out = [row.text[:80] for row in rows if row not in right]
        return {
            "cars": tuple(self._car(row, days[str(row.row)]) for row in right),
            "left_out": tuple(left_out),
        }

    def _looked_days(self) -> Mapping[str, tuple[datetime, datetime]] | None:
        try:
            looked = json.loads(self.cleaned_data["looked"] or "{}")
            if looked.get("of") != self._print():
                return None
            return {
                str(row): (_moment(arrives), _moment(promised))
                for row, (arrives, promised) in looked["days"].items()
            }
        except (ValueError, TypeError, AttributeError, KeyError):
            return None

    def _car(self, row: ListedCar, day: tuple[datetime, datetime]) -> CarToBook:
        known, figures = self._known(row), self._figures_of(row)
        assert figures is not None
        agreed = Agreed(
            package=known["package"],
            panels=known["panels"],
            film=known["film"],
            arrives_at=day[0],
            promised_at=day[1],
            film_length_mm=figures.need.length_mm,
            film_width_mm=figures.need.width_mm,
            order_number=row.order or self.cleaned_data["order_number"],
            price=self._price(row),
            is_list_price=self.cleaned_data["price"] is None,
            film_reason=self.cleaned_data["film_reason"],
        )
        vehicle = _vehicle(row, self.cleaned_data)
        return CarToBook(row=row.row, name=_name(row), vehicle=vehicle, agreed=agreed)


def _moment(text: str) -> datetime:
    at = datetime.fromisoformat(text)
    if at.tzinfo is None:
        raise ValueError("a moment has its zone")
    return at


def _name(row: ListedCar) -> str:
    return short_name(
        plate=row.plate,
        stock_number=row.stock_number,
        colour=row.colour,
        model=row.model,
        vin=row.vin,
    )


def _vehicle(row: ListedCar, cleaned: Mapping[str, Any]) -> dict[str, Any]:
    """The car as a booking's form would have it."""
    return {
        "plate": row.plate,
        "stock_number": row.stock_number,
        "vin": row.vin,
        "vin_reason": "",
        "make": row.make,
        "model": row.model,
        "year": row.year,
        "size_class": row.size_class or cleaned["size_class"],
        "body": cleaned["body"],
        "colour": row.colour,
        "paint_code": "",
        "finish": "",
        "notes": "",
    }
