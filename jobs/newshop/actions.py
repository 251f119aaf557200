"""Opening a shop: its name, defaults by one press, and an order for a try."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from jobs.bookings.actions import Agreed, make_booking
from jobs.bookings.arrival_actions import take_in_car
from jobs.coverage.catalogue import Body, Method, Package, default_choices
from jobs.customers.actions import VEHICLE_FIELDS
from jobs.film.actions import change_film, receive_roll
from jobs.models import Film, Paper, WorkOrder
from jobs.newshop.queries import lacks
from jobs.newshop.steps import STEPS, Step
from jobs.papers.kept_facts import DOCUMENTS
from jobs.papers.kind_facts import KINDS, Wanted
from jobs.solutions.laying_actions import change_laying
from mixing.air.actions import change_bay
from mixing.bench.actions import change_vessel
from mixing.laying.queries import newest_laying_settings
from mixing.models import (
    Basis,
    Chemical,
    Kind,
    LayingSettings,
    StockContainer,
    Substance,
    Vessel,
)
from mixing.sheet.queries import kinds_in_use, kinds_mixed
from mixing.shelf.actions import change_chemical, keep_water_test, receive_stock
from shopapp.actions import change_place, change_shop
from shopapp.background import ring
from shopapp.frame import Act, Json, Refused, action
from shopapp.limits import SHOP
from shopapp.models import Bay, Place, the_shop
from shopapp.say import say

GALLON_ML, QUART_ML = 3785.41, 946.35
IN_MM, FT_MM = 25.4, 304.8
LETTERS = {Kind.SLIP: "S1", Kind.TACK: "T1", Kind.ALL_IN_ONE: "A1", Kind.GEL: "G1"}
USED = {
    "slip_tack": (Kind.SLIP, Kind.TACK),
    "all_in_one": (Kind.ALL_IN_ONE,),
    "both": (Kind.SLIP, Kind.TACK, Kind.ALL_IN_ONE),
}
"""What a shop lays with."""
TRIED = "TEST"


@action("newshop.name", within=SHOP)
def name_shop(act: Act, /, **fields: Any) -> Json:
    """What the shop says of itself, with the measures that go with its zone."""
    return change_shop(act, **fields) or {}


@action("newshop.solutions")
def choose_solutions(act: Act, *, used: str) -> Json:
    """Say what this shop lays with; gel stays as it is."""
    if used not in USED:
        raise Refused(say("Choose one."), field="used")
    now = newest_laying_settings() or LayingSettings()
    names = ("cold_c", "hot_c", "too_hot_c")
    days = ("slip_days", "tack_days", "all_in_one_days", "gel_days")
    gel = {Kind.GEL} & set(kinds_mixed())
    known = {name: getattr(now, name) for name in (*names, *days)}
    return change_laying(act, kinds=[*USED[used], *gel], **known) or {}


@action("newshop.take_over")
def take_over(act: Act, *, step: str) -> None:
    """Write the defaults of a step, or of all that is missing; what is there stays."""
    wanted = list(DEFAULTS) if step == "all" else [Step(step)]
    for each in wanted:
        if lacks(each):
            DEFAULTS[each](act)


def _places(act: Act) -> None:
    if not Bay.objects.filter(retired=False).exists():
        change_bay(act, name="Bay 1", position=1)
    if not Place.objects.filter(retired=False).exists():
        change_place(
            act,
            name="Yard",
            kind=Place.Kind.YARD,
            is_indoors=False,
            room_for=4,
            position=1,
        )


def _film(act: Act) -> None:
    film = Film.objects.filter(in_use=True).first()
    if film is None:
        facts = {
            "code": "CG8",
            "name": "clear gloss 8 mil",
            "thickness_um": 203,
            "finish": "gloss",
        }
        film = Film.objects.get(pk=change_film(act, film_pk=None, facts=facts)["pk"])  # type: ignore[index]
    receive_roll(
        act,
        film=film,
        code="R01",
        lot="not written down",
        width_mm=round(60 * IN_MM),
        length_mm=round(50 * FT_MM),
    )


def _bottles(act: Act) -> None:
    there = set(Vessel.objects.filter(retired=False).values_list("kind", flat=True))
    for kind in kinds_in_use():
        if kind not in there:
            change_vessel(
                act,
                code=LETTERS[Kind(kind)],
                kind=kind,
                form=Vessel.Form.BOTTLE,
                capacity_ml=QUART_ML,
                usable_ml=900.0,
            )


def _shelf(act: Act) -> None:
    for code, name, substance, strength, ml in (
        ("C1", "70 % isopropyl alcohol", Substance.ALCOHOL, 70.0, GALLON_ML),
        ("C2", "baby shampoo", Substance.SOAP, None, 1000.0),
    ):
        if StockContainer.objects.filter(
            chemical__substance=substance, retired_at__isnull=True
        ).exists():
            continue
        chemical = Chemical.objects.filter(substance=substance).first()
        if chemical is None:
            made = change_chemical(
                act,
                name=name,
                substance=substance,
                strength_pct=strength,
                strength_basis=Basis.VV if strength else "",
            )
            chemical = Chemical.objects.get(pk=(made or {})["pk"])
        receive_stock(act, chemical=chemical, code=code, capacity_ml=ml, opened=True)


def _water(act: Act) -> None:
    keep_water_test(act, source="distilled")


DEFAULTS: dict[Step, Callable[[Act], None]] = {
    Step.PLACES: _places,
    Step.FILM: _film,
    Step.BOTTLES: _bottles,
    Step.SHELF: _shelf,
    Step.WATER: _water,
}
"""What one press writes."""


@action("newshop.try")
def try_order(act: Act) -> Json:
    """Print the work order of an invented car, which is taken back at once.

    Booked and taken in by the same actions as any car, in a part of the transaction
    that is undone: no list, number, plan or film keeps anything of it, only the paper.
    """
    for step in (Step.PLACES, Step.FILM):
        if lacks(step):
            raise Refused(
                say("First: {title}.", title=str(STEPS[step].title)), field=""
            )
    size = the_shop().paper_size
    facts = _facts_of_a_try(act, size=size)
    version = Paper.objects.filter(number=f"{TRIED}-WO").count() + 1
    paper = Paper.objects.create(
        kind=Paper.Kind.WORK_ORDER,
        subject="test",
        number=f"{TRIED}-WO",
        version=version,
        size=size,
        facts=DOCUMENTS[Paper.Kind.WORK_ORDER].stamp(facts),
        asked_by=act.tap.by,
        asked_at=act.now,
    )
    ring(
        act,
        "papers.issue",
        subject=f"paper {paper.pk}",
        payload={"paper": paper.pk},
    )
    return {"pk": paper.pk}


class _TakenBack(Exception):  # noqa: N818 - it ends the try as meant
    """Undoes the part of the transaction that made the order."""


def _facts_of_a_try(act: Act, *, size: str) -> Json:
    facts: Json = {}
    try:
        with transaction.atomic():
            # Its own act: locks, events and tasks of the try end with it.
            order = _tried_order(Act(tap=act.tap, name=act.name))
            wanted = Wanted(workorder=order, subject="", size=size, at=act.now)
            facts = KINDS[Paper.Kind.WORK_ORDER].facts(wanted)
            raise _TakenBack
    except _TakenBack:
        pass
    url = settings.PUBLIC_URL.rstrip("/") + reverse("jobs:open_shop")
    return {**facts, "url": url}


def _tried_order(act: Act) -> WorkOrder:
    panels = default_choices(
        Package.FULL_FRONT, body=Body.SEDAN, method=Method.HAND_FITTED
    )
    film = Film.objects.filter(in_use=True).first()
    assert film is not None
    vehicle: Json = dict.fromkeys(VEHICLE_FIELDS, "")
    vehicle |= {"plate": TRIED, "make": "Test order", "model": "no car"}
    vehicle |= {"size_class": "D", "body": Body.SEDAN.value, "year": None}
    booked = make_booking(
        act,
        customer_pk=None,
        customer={
            "name": "Nobody: a test order",
            "phone": "555-0100",
            "email": "",
            "is_account": False,
        },
        vehicle_pk=None,
        vehicle=vehicle,
        apart=True,
        agreed=Agreed(
            package=Package.FULL_FRONT,
            panels=tuple(panels),
            film=film,
            arrives_at=act.now,
            promised_at=act.now + timedelta(days=2),
            film_length_mm=0,
            film_width_mm=0,
            price=Decimal(0),
            any_day=True,
            notes="This was a test. Nothing is booked and nothing is kept of it.",
        ),
    )
    place = Place.objects.filter(retired=False).first()
    taken = take_in_car(act, booking_pk=(booked or {})["pk"], place=place)
    order = WorkOrder.objects.get(pk=(taken or {})["pk"])
    order.number = TRIED
    return order
