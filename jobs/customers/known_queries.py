"""Is this customer, or this car, known already? In any spelling."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.customers.phones import digits_of
from jobs.customers.queries import found_customers
from jobs.models import Customer, SearchKey, Vehicle
from jobs.search.queries import rows_with
from jobs.search.spelling import from_behind, letters_and_digits

LEAST = 3
"""Signs of a name from which on it is looked for."""
SHOWN = 4


@dataclass(frozen=True, kw_only=True)
class Known:
    """Who and what is known of a half-filled form.

    found   other customers who fit what is typed, with their cars
    phones  customers with the telephone that is typed
    cars    cars with the plate or the VIN that is typed
    """

    found: tuple[Customer, ...] = ()
    phones: tuple[Customer, ...] = ()
    cars: tuple[Vehicle, ...] = ()


def with_phone(phone: str) -> list[Customer]:
    """Customers with this telephone."""
    digits = digits_of(phone)
    if not digits:
        return []
    rows = rows_with(SearchKey.Of.CUSTOMER, from_behind(digits))
    near = Customer.objects.filter(pk__in=rows)
    return [row for row in near if digits_of(row.phone) == digits]


def same_cars(
    *, plate: str, vin: str, stock_number: str = "", customer_pk: int | None = None
) -> list[Vehicle]:
    """Cars with this plate or this VIN, and the customer's with this stock number.

    A stock number is the customer's own: another dealer's may be the same.
    """
    found: dict[int, Vehicle] = {}
    signs = {"vin": vin, "plate": plate}
    if customer_pk is not None:
        signs["stock_number"] = stock_number
    for name, typed in signs.items():
        sign = letters_and_digits(typed)
        if not sign:
            continue
        rows = rows_with(SearchKey.Of.VEHICLE, from_behind(sign))
        near = Vehicle.objects.filter(pk__in=rows).select_related("customer")
        if name == "stock_number" and customer_pk is not None:
            near = near.filter(customer_id=customer_pk)
        for car in near:
            if letters_and_digits(getattr(car, name)) == sign:
                found[car.pk] = car
    return list(found.values())


def twins_of(customer: Customer) -> list[Customer]:
    """Other customers with the same telephone, or the same name to the letter."""
    by_phone = with_phone(customer.phone)
    name = letters_and_digits(customer.name)
    rows = Customer.objects.filter(pk__in=rows_with(SearchKey.Of.CUSTOMER, name))
    by_name = [row for row in rows if letters_and_digits(row.name) == name]
    found = {row.pk: row for row in (*by_phone, *by_name) if name}
    return [row for pk, row in found.items() if pk != customer.pk]


def twins_of_car(vehicle: Vehicle) -> list[Vehicle]:
    """Other cars with the same plate or VIN, or this customer's stock number."""
    found = same_cars(
        plate=vehicle.plate,
        vin=vehicle.vin,
        stock_number=vehicle.stock_number,
        customer_pk=vehicle.customer_id,
    )
    return [car for car in found if car.pk != vehicle.pk]


def rows_of_car(vehicle: Vehicle) -> list[Vehicle]:
    """This car, and its twins unless another VIN says that they are other cars."""
    twins = twins_of_car(vehicle)
    return [vehicle, *(t for t in twins if len({t.vin, vehicle.vin} - {""}) < 2)]


def known_of(typed: Mapping[str, str]) -> Known:
    """What is known of what is typed; who was chosen is not looked for again."""
    chosen, car_pk = typed.get("customer_pk", ""), typed.get("vehicle_pk", "")
    cars = same_cars(plate=typed.get("plate", ""), vin=typed.get("vin", ""))
    others = tuple(car for car in cars if str(car.pk) != car_pk)
    if chosen:
        return Known(cars=others)
    words = [typed.get(name, "") for name in ("name", "phone", "order_number")]
    found: dict[int, Customer] = {}
    for word in words:
        if len(letters_and_digits(word)) >= LEAST:
            found |= {row.pk: row for row in found_customers(word, most=SHOWN)}
    phones = tuple(with_phone(typed.get("phone", "")))
    named = {row.pk for row in phones} | {car.customer_id for car in others}
    return Known(
        found=tuple(row for pk, row in found.items() if pk not in named)[:SHOWN],
        phones=phones,
        cars=others,
    )
