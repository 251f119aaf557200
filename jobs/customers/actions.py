"""Customers and their cars: found or added at the desk, put right later."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from jobs.customers.known_queries import same_cars, with_phone
from jobs.customers.phones import phone_problem
from jobs.models import Customer, Vehicle
from jobs.search.spelling import letters_and_digits
from jobs.vin import check_vin
from shopapp.frame import Act, Refused, action
from shopapp.say import say

Facts = Mapping[str, Any]

CUSTOMER_FIELDS = ("name", "phone", "email", "is_account")
VEHICLE_FIELDS = (
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
    "notes",
)


def find_or_add_customer(
    *, customer_pk: int | None, typed: Facts, apart: bool = False
) -> Customer:
    """The customer that was chosen, one of the same name and phone, or a new one.

    apart  somebody else with the same telephone, and that is meant
    """
    if customer_pk is not None:
        found = Customer.objects.filter(pk=customer_pk).first()
        if found is None:
            raise Refused(say("This customer is not there any more."), field="name")
        return found
    _check_phone(typed["phone"])
    name, near = letters_and_digits(typed["name"]), with_phone(typed["phone"])
    for known in near:
        if letters_and_digits(known.name) == name:
            return known
    if near and not apart:
        raise Refused(
            say(
                "{name} has this number already. Take {name} over,"
                " or say that it is somebody else.",
                name=near[0].name,
            ),
            field="phone",
        )
    return Customer.objects.create(**{name: typed[name] for name in CUSTOMER_FIELDS})


def find_or_add_vehicle(
    *, customer: Customer, vehicle_pk: int | None, typed: Facts, apart: bool = False
) -> Vehicle:
    """The customer's car, put right as it was typed, or a new one.

    apart  another car with the same plate or VIN, and that is meant
    """
    _check_vin(typed)
    if vehicle_pk is not None:
        known = Vehicle.objects.filter(customer=customer)
        vehicle = known.filter(pk=vehicle_pk).first()
        if vehicle is None:
            raise Refused(say("This car belongs to another customer."), field="model")
        _write(vehicle, typed, VEHICLE_FIELDS)
        return vehicle
    near = same_cars(
        plate=typed["plate"],
        vin=typed["vin"],
        stock_number=typed["stock_number"],
        customer_pk=customer.pk,
    )
    own = next((car for car in near if _is_it(car, customer, typed)), None)
    if own is None and near and not apart:
        raise _known_car(near[0], typed)
    vehicle = own or Vehicle(customer=customer)
    _write(vehicle, typed, VEHICLE_FIELDS if own is None else _said_anew(own, typed))
    return vehicle


def _said_anew(car: Vehicle, typed: Facts) -> tuple[str, ...]:
    """What a car that was typed again takes: no gaps, and no other spelling."""
    spelled = {
        name
        for name in ("plate", "vin")
        if letters_and_digits(getattr(car, name)) == letters_and_digits(typed[name])
    }
    return tuple(n for n in VEHICLE_FIELDS if typed[n] and n not in spelled)


def _is_it(car: Vehicle, customer: Customer, typed: Facts) -> bool:
    vins = {car.vin, typed["vin"]} - {""}
    return car.customer_id == customer.pk and len(vins) < 2


def _known_car(car: Vehicle, typed: Facts) -> Refused:
    is_vin = bool(typed["vin"]) and car.vin == typed["vin"]
    return Refused(
        say(
            "{car} of {name} has this VIN already. Take it over,"
            " or say that it is another car.",
            car=str(car),
            name=car.customer.name,
        )
        if is_vin
        else say(
            "{car} of {name} has this plate already. Take it over,"
            " or say that it is another car.",
            car=str(car),
            name=car.customer.name,
        ),
        field="vin" if is_vin else "plate",
    )


def _check_phone(phone: str) -> None:
    if problem := phone_problem(phone):
        raise Refused(problem, field="phone")


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
    language: str = "",
    address: str = "",
    is_untaxed: bool = False,
    untaxed_because: str = "",
    mail_off: bool = False,
) -> None:
    """Put a customer's name, ways to reach them and tax right."""
    _check_phone(phone)
    customer = act.lock(Customer, customer_pk)
    if is_untaxed and not untaxed_because.strip():
        raise Refused(
            say("Say why no tax is paid: the certificate's number, or the reason."),
            field="untaxed_because",
        )
    typed: dict[str, Any] = {
        "name": name,
        "phone": phone,
        "email": email,
        "is_account": is_account,
    }
    typed |= {"notes": notes, "address": address, "is_untaxed": is_untaxed}
    typed |= {"untaxed_because": untaxed_because.strip()}
    typed |= {"language": language or customer.language, "mail_off": mail_off}
    _write(customer, typed, tuple(typed))


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
