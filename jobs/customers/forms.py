"""Forms for customers and their cars. The booking's form is made of the same fields."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs.coverage.blanks import size_classes
from jobs.coverage.catalogue import Body
from jobs.coverage.year_forms import YearField
from jobs.customers.phones import phone_problem
from jobs.models import Customer, Vehicle
from jobs.vin import check_vin, model_year
from shopapp.columns import column

LIGHT_BODIES = {body.value for body in Body} - {Body.VAN.value}
"""Of up to 4536 kg as a rule; a van may be heavier."""
LONG_TEXT = forms.Textarea(attrs={"rows": 3})
CUSTOMER = ("name", "phone", "email", "is_account")
KEPT_APART = (
    *("address", "is_untaxed", "untaxed_because"),
    *("notes", "language", "mail_off"),
)
VEHICLE = (
    "plate",
    "stock_number",
    "vin",
    "vin_reason",
    "make",
    "model",
    "year",
    "size_class",
    "body",
    "colour",
    "paint_code",
    "finish",
)


class CustomerFields(forms.Form):
    """Who brings the car."""

    name = column(Customer.name, _("Name"))
    phone = column(
        Customer.phone, _("Phone"), widget=forms.TextInput(attrs={"type": "tel"})
    )
    email = column(Customer.email, _("E-mail"))
    is_account = column(
        Customer.is_account, _("Account customer: pays by monthly statement")
    )

    def clean_phone(self) -> str:
        """Digits, and what is written between them."""
        phone = str(self.cleaned_data["phone"]).strip()
        if problem := phone_problem(phone):
            raise forms.ValidationError(str(problem))
        return phone


class VehicleFields(forms.Form):
    """The car. A VIN of wrong form is refused; an odd one is kept with a reason."""

    plate = column(Vehicle.plate, _("Plate"))
    stock_number = column(Vehicle.stock_number, _("Stock number"))
    vin = column(
        Vehicle.vin,
        _("VIN"),
        max_length=30,
        widget=forms.TextInput(
            attrs={"autocapitalize": "characters", "spellcheck": "false"}
        ),
    )
    vin_reason = column(
        Vehicle.vin_reason,
        _("Why this VIN is kept"),
        help_text=_("Only for a VIN that does not fit: “read off the title twice”."),
    )
    make = column(Vehicle.make, _("Make"))
    model = column(Vehicle.model, _("Model"))
    year = YearField(
        label=_("Model year"),
        help_text=_("Left empty, it is taken from the VIN where that says it."),
    )
    size_class = forms.ChoiceField(label=_("Size"))
    body = column(Vehicle.body, _("Body"))
    colour = column(Vehicle.colour, _("Colour"))
    paint_code = column(Vehicle.paint_code, _("Paint code"))
    finish = column(Vehicle.finish, _("Paint"), empty=_("not known"))
    red_line = column(
        Vehicle.notes,
        _("Red-line notes"),
        help_text=_("Repaint, coating, sensors, wax: every installer reads this."),
        widget=LONG_TEXT,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["size_class"].choices = [  # type: ignore[attr-defined]
            (code, f"{code}, {name}") for code, name in size_classes().items()
        ]
        self.fields["size_class"].initial = "D"

    def clean_plate(self) -> str:
        """Upper case, single blanks."""
        return " ".join(str(self.cleaned_data["plate"]).upper().split())

    def clean_vin(self) -> str:
        """Upper case without blanks; wrong characters are refused here."""
        typed = str(self.cleaned_data["vin"])
        if not typed:
            return ""
        check = check_vin(typed)
        if not check.ok:
            raise forms.ValidationError([str(problem) for problem in check.problems])
        return check.vin

    def clean(self) -> dict[str, Any]:
        """Ask for the reason of an odd VIN; take the year that a VIN says."""
        cleaned = super().clean() or {}
        vin = cleaned.get("vin")
        if not vin:
            return cleaned
        check = check_vin(vin)
        if check.asks_reason and not cleaned.get("vin_reason"):
            for warning in check.warnings:
                self.add_error("vin_reason", str(warning))
        if cleaned.get("year") is None and "year" not in self.errors:
            cleaned["year"] = model_year(
                check,
                is_light=cleaned.get("body") in LIGHT_BODIES,
                this_year=timezone.localdate().year,
            )
        return cleaned


def customer_of(cleaned: dict[str, Any]) -> dict[str, Any]:
    """The customer's part of what was typed."""
    return {name: cleaned[name] for name in CUSTOMER}


def vehicle_of(cleaned: dict[str, Any]) -> dict[str, Any]:
    """The car's part of what was typed, by the model's names."""
    return {**{name: cleaned[name] for name in VEHICLE}, "notes": cleaned["red_line"]}


def vehicle_initial(vehicle: Vehicle) -> dict[str, Any]:
    """A known car in the form."""
    known = {name: getattr(vehicle, name) for name in VEHICLE}
    return {**known, "red_line": vehicle.notes}


class CustomerForm(CustomerFields):
    """A customer by itself."""

    language = column(Customer.language, _("Reads"), required=False)
    mail_off = column(Customer.mail_off, _("Wants no mails by themselves"))
    address = column(Customer.address, _("Address for invoices"), widget=LONG_TEXT)
    is_untaxed = column(Customer.is_untaxed, _("Pays no tax"))
    untaxed_because = column(
        Customer.untaxed_because,
        _("Why no tax: the certificate's number, or the reason"),
    )
    notes = column(Customer.notes, _("Notes"), widget=LONG_TEXT)

    @staticmethod
    def initial_of(customer: Customer) -> dict[str, Any]:
        """What is known."""
        return {name: getattr(customer, name) for name in (*CUSTOMER, *KEPT_APART)}


class TwinForm(forms.Form):
    """The other row of the same customer or car."""

    twin_pk = forms.IntegerField(widget=forms.HiddenInput)


class VehicleForm(VehicleFields):
    """A car by itself."""

    def clean(self) -> dict[str, Any]:
        """One fact for the action: the car."""
        cleaned = super().clean()
        return cleaned if self.errors else {"vehicle": vehicle_of(cleaned)}
