"""Customers and their cars: found or added at the desk, put right later."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from jobs.models import Customer, Vehicle
from jobs.vin import check_vin
from shopapp.frame import Act, Refused, action
from shopapp.say import say

Facts = Mapping[str, Any]

CUSTOMER_FIELDS = ("name", "phone", "email", "is_account")
VEHICLE_FIELDS = (
    "plate",
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
    "notes",
)


def find_or_add_customer(*, customer_pk: int | None, typed: Facts) -> Customer:
    """The customer that was chosen, one of the same name and phone, or a new one."""
    if customer_pk is not None:
        found = Customer.objects.filter(pk=customer_pk).first()
        if found is None:
            raise Refused(say("This customer is not there any more."), field="name")
        return found
    known = Customer.objects.filter(name__iexact=typed["name"], phone=typed["phone"])
    if typed["phone"] and (same := known.first()):
        return same
    return Customer.objects.create(**{name: typed[name] for name in CUSTOMER_FIELDS})


def find_or_add_vehicle(
    *, customer: Customer, vehicle_pk: int | None, typed: Facts
) -> Vehicle:
    """The customer's car, put right as it was typed, or a new one."""
    _check_vin(typed)
    known = Vehicle.objects.filter(customer=customer)
    if vehicle_pk is not None:
        vehicle = known.filter(pk=vehicle_pk).first()
        if vehicle is None:
            raise Refused(say("This car belongs to another customer."), field="model")
    else:
        same = known.filter(vin=typed["vin"]) if typed["vin"] else known.none()
        vehicle = same.first() or Vehicle(customer=customer)
    _write(vehicle, typed, VEHICLE_FIELDS)
    return vehicle


@action("customer.change")
def change_customer(
    act: Act,
    *,
    customer_pk: int,
    name: str,
    phone: str,
    email: str,
    is_account: bool,
    notes: str,
) -> None:
    """Put a customer's name and ways to reach them right."""
    customer = act.lock(Customer, customer_pk)
    typed = {"name": name, "phone": phone, "email": email, "is_account": is_account}
    _write(customer, {**typed, "notes": notes}, (*CUSTOMER_FIELDS, "notes"))


@action("vehicle.change")
def change_vehicle(act: Act, *, vehicle_pk: int, vehicle: Facts) -> None:
    """Put a car's facts right."""
    row = act.lock(Vehicle, vehicle_pk)
    _check_vin(vehicle)
    _write(row, vehicle, VEHICLE_FIELDS)


def _check_vin(typed: Facts) -> None:
    """The form says it at the field; who presses without the form hears it here."""
    if not typed["vin"]:
        return
    check = check_vin(typed["vin"])
    if not check.ok:
        raise Refused(*check.problems, field="vin")
    if check.asks_reason and not typed["vin_reason"].strip():
        raise Refused(*check.warnings, field="vin_reason")


def _write(row: Customer | Vehicle, typed: Facts, fields: tuple[str, ...]) -> None:
    for name in fields:
        setattr(row, name, typed[name])
    row.save()
