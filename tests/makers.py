"""The small fixed cast, and one maker for each model. Nothing here is random."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from decimal import Decimal

from django.contrib.auth.hashers import PBKDF2PasswordHasher

from jobs.bookings.actions import Agreed
from jobs.bookings.actions import make_booking as book
from jobs.bookings.arrival_actions import take_in_car
from jobs.condition.reading_actions import take_reading
from jobs.coverage.catalogue import Body, Method, Package, default_choices
from jobs.customers.actions import VEHICLE_FIELDS
from jobs.models import (
    Booking,
    Customer,
    Film,
    FilmMovement,
    Forecast,
    Roll,
    Vehicle,
    WorkOrder,
)
from jobs.plan.stored import sentences_to_json
from jobs.stages.table import Stage
from mixing.models import (
    Chemical,
    Kind,
    Reading,
    Recipe,
    StockContainer,
    Substance,
    Vessel,
)
from mixing.recipes.default_actions import load_defaults
from shopapp.frame import Tap, perform
from shopapp.models import Bay, HistoryEntry, Person, Place
from shopapp.say import Say

NOW = datetime(2031, 5, 6, 15, 0, tzinfo=UTC)
"""A Tuesday morning in the demo shop's zone."""
PASSWORD = "a long enough password"


class QuickHasher(PBKDF2PasswordHasher):
    """One round: a server that a test starts reads it like any other hash."""

    iterations = 1


def no_bell(kind: str, pk: int) -> None:
    """Stands in for the bell where a test does not ring it."""


def make_person(*roles: str, username: str = "pat", pin: str = "", **fields) -> Person:
    """A person with these roles; an installer preps, lays film and inspects."""
    held = {f"is_{role}": True for role in roles}
    skills = dict.fromkeys(
        ["can_prep", "can_install", "can_inspect"], "installer" in roles
    )
    person = Person(
        username=username, first_name=username.title(), **{**held, **skills, **fields}
    )
    person.set_password(PASSWORD)
    if pin:
        person.set_pin(pin)
    person.save()
    return person


def make_bay(name: str = "Bay 1", **fields) -> Bay:
    """A bay of 6 by 4 by 3 m whose exhaust was measured at 2000 m3/h."""
    measured = {"length_m": 6.0, "width_m": 4.0, "height_m": 3.0}
    measured |= {"exhaust_m3_per_h": 2000.0, "mixing_factor": 3.0}
    known = {**measured, "mixing_factor_basis": Bay.FactorBasis.K, **fields}
    return Bay.objects.create(name=name, **known)


def make_place(name: str = "Yard", **fields) -> Place:
    """Somewhere a car stands."""
    return Place.objects.create(name=name, **{"room_for": 6, **fields})


def make_tap(by: Person | None, *, key: str = "", at: datetime = NOW) -> Tap:
    """A press of a button by `by`."""
    return Tap.made_by(by, at=at, via=HistoryEntry.Via.PAGE, key=key)


def make_customer(name: str = "Robin Ash", **fields) -> Customer:
    """A customer with a number that nobody has."""
    return Customer.objects.create(name=name, **{"phone": "555-0101", **fields})


VIN = "1M8GDM9AXKP042788"


def make_vehicle(customer: Customer | None = None, **fields) -> Vehicle:
    """A mid-size sedan whose VIN fits its check digit; the next ones have none."""
    is_first = not Vehicle.objects.filter(vin=VIN).exists()
    known = {
        "plate": "TST 101",
        "vin": VIN if is_first else "",
        "make": "Example",
        "model": "Saloon",
        "year": 2030,
        "size_class": "D",
        "body": "sedan",
        "colour": "dark green",
        "finish": "metallic",
    }
    return Vehicle.objects.create(
        customer=customer or make_customer(), **{**known, **fields}
    )


def make_film(code: str = "FA", **fields) -> Film:
    """Film A: a clear gloss film, 60 in wide on its rolls."""
    known = {"name": "film A", "thickness_um": 200, "cost_per_m2": Decimal(40)}
    return Film.objects.create(code=code, **{**known, **fields})


def make_roll(film: Film | None = None, code: str = "R1", **fields) -> Roll:
    """A full roll, 1524 mm by 15 m, with the movement that brought it."""
    known = {"width_mm": 1524, "left_mm": 15_000, "lot": "L-1", **fields}
    roll = Roll.objects.create(film=film or make_film(), code=code, **known)
    FilmMovement.objects.create(
        roll=roll,
        what=FilmMovement.What.RECEIVED,
        change_mm=roll.left_mm,
        at=NOW,
    )
    return roll


def make_booking(
    by: Person | None = None,
    *,
    vehicle: Vehicle | None = None,
    film: Film | None = None,
    package: Package = Package.FULL_FRONT,
    at: datetime = NOW,
    **agreed,
) -> Booking:
    """A booking as the desk makes it: a hand-fitted package, here in an hour."""
    car = vehicle or make_vehicle(plate=f"TST {101 + Vehicle.objects.count()}")
    panels = default_choices(package, body=Body(car.body), method=Method.HAND_FITTED)
    known = {
        "package": package,
        "panels": panels,
        "film": film or Film.objects.first() or make_film(),
        "arrives_at": at + timedelta(hours=1),
        "promised_at": at + timedelta(days=2),
        "film_length_mm": 4200,
        "film_width_mm": 1524,
        "price": Decimal(1800),
        "any_day": True,
    }
    answer = perform(
        make_tap(by or _anyone("desk"), at=at),
        book,
        customer_pk=car.customer_id,
        customer={},
        vehicle_pk=car.pk,
        vehicle={name: getattr(car, name) for name in VEHICLE_FIELDS},
        agreed=Agreed(**{**known, **agreed}),
    )
    return Booking.objects.get(pk=answer["pk"])


def make_forecast(
    booking: Booking,
    *,
    ready_at: datetime,
    standing: str = Forecast.Standing.FITS,
    why: Iterable[Say] = (),
) -> Forecast:
    """When a car is ready by the plan, as a task keeps it."""
    known = {"standing": standing, "why": sentences_to_json(why)}
    row, _ = Forecast.objects.update_or_create(
        booking=booking,
        defaults={"ready_at": ready_at, "as_of": NOW, "plan": None, **known},
    )
    return row


def make_workorder(
    by: Person | None = None,
    *,
    booking: Booking | None = None,
    bay: Bay | None = None,
    place: Place | None = None,
    stage: Stage = Stage.INTAKE,
    at: datetime = NOW,
    **fields,
) -> WorkOrder:
    """A car taken in from its booking; `stage` and `fields` are then set by hand."""
    booked = booking or make_booking(by, at=at)
    answer = perform(
        make_tap(by or _anyone("desk"), at=at),
        take_in_car,
        booking_pk=booked.pk,
        key_tag="7",
        mileage=12_000,
        bay=bay,
        place=place,
    )
    changed = {"stage": stage.value, **fields}
    WorkOrder.objects.filter(pk=answer["pk"]).update(**changed)
    return WorkOrder.objects.get(pk=answer["pk"])


def _anyone(role: str) -> Person:
    """Somebody of this role who is there, or a new one."""
    known = Person.objects.filter(**{f"is_{role}": True}).first()
    return known or make_person(role, username=f"some-{role}")


def make_bench(by: Person | None = None) -> None:
    """A bench with the trade's recipes, four slip bottles, two others each, stock."""
    perform(make_tap(by or _anyone("manager")), load_defaults)
    Recipe.objects.update(in_use=True)
    for kind, letter, count in (
        (Kind.SLIP, "S", 4),
        (Kind.TACK, "T", 2),
        (Kind.ALL_IN_ONE, "A", 2),
        (Kind.GEL, "G", 1),
    ):
        for number in range(1, count + 1):
            make_vessel(f"{letter}{number}", kind)
    make_container("C1", Substance.ALCOHOL, strength_pct=91.0, strength_basis="vv")


def make_vessel(code: str = "S1", kind: str = Kind.SLIP, **fields) -> Vessel:
    """A clean bottle of one litre, filled to 950 mL."""
    known = {"capacity_ml": 1000.0, "usable_ml": 950.0, **fields}
    return Vessel.objects.create(code=code, kind=kind, **known)


def make_container(
    code: str = "C1", substance: str = Substance.ALCOHOL, **fields
) -> StockContainer:
    """An open container of five litres, full."""
    chemical, _ = Chemical.objects.get_or_create(
        name=f"{Substance(substance).label}", defaults={"substance": substance}
    )
    known = {"capacity_ml": 5000.0, "left_ml": 5000.0, "lot": "LOT 7", **fields}
    known.setdefault("opened_on", NOW.date() - timedelta(days=10))
    return StockContainer.objects.create(chemical=chemical, code=code, **known)


def make_reading(
    workorder: WorkOrder, by: Person | None = None, *, at: datetime = NOW, **fields
) -> Reading:
    """The bay as an installer reads it: 29 °C, 62 %, panel 31 °C."""
    known = {"air_c": 29.0, "rh_pct": 62.0, "panel_c": 31.0, **fields}
    answer = perform(
        make_tap(by or _anyone("installer"), at=at),
        take_reading,
        workorder_pk=workorder.pk,
        **known,
    )
    return Reading.objects.get(pk=answer["pk"])
