"""The shop as the plan sees it, read from the furnished shop."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.models import Absence, Booking, CarWish, PackageHours, WorkOrder
from jobs.plan.car_queries import order_key
from jobs.plan.car_work import begins_of
from jobs.plan.name_queries import names_of
from jobs.plan.planned import CarPlanned, ShopPlan
from jobs.plan.shop import Car, Part, ShopFacts, Skill
from jobs.plan.shop_queries import shop_facts
from jobs.stages.table import Stage
from shopapp.models import Bay, Place
from tests.furnished import Furnished
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

pytestmark = pytest.mark.usefixtures("shop")


def facts_now() -> ShopFacts:
    return shop_facts(now=timezone.now())


def car_of(order: WorkOrder) -> Car:
    return next(car for car in facts_now().cars if car.key == order_key(order))


def parts(car: Car) -> list[Part]:
    return [work.part for work in car.works]


def expected() -> Booking:
    return Booking.objects.filter(state=Booking.State.BOOKED).order_by("-pk")[0]


def car_expected(booking: Booking) -> Car:
    return next(car for car in facts_now().cars if car.key == f"booking-{booking.pk}")


def test_bays_places_and_the_cutter_are_spots_and_the_yard_is_none():
    kinds = [spot.kind for spot in facts_now().spots]
    assert kinds == ["bay", "bay", "bay", "wash", "settling", "cutter"]
    assert not facts_now().settles_in_bay


def test_a_settling_place_outdoors_is_none():
    Place.objects.filter(kind=Place.Kind.SETTLING).update(is_indoors=False)
    assert facts_now().settles_in_bay


def test_who_works_here_is_there_with_skills_and_days_off(shop: Furnished):
    chidi = shop.people["installer"]
    today = timezone.localdate()
    Absence.objects.create(person=chidi, first_day=today, last_day=today)
    hands = {hand.key: hand for hand in facts_now().hands}
    assert hands[f"person-{chidi.pk}"].away
    assert Skill.INSTALL in hands[f"person-{chidi.pk}"].skills
    assert hands[f"person-{shop.people['desk'].pk}"].skills == {Skill.ANY}
    assert f"person-{shop.people['stranger'].pk}" not in hands


def test_a_car_in_prep_has_the_rest_of_its_prep_and_all_its_film_to_come(
    shop: Furnished,
):
    whole = car_of(shop.prep).works[0]
    panel = shop.prep.panels.all()[0]
    panel.ready_at = timezone.now()
    panel.save()
    assert car_of(shop.prep).works[0].minutes < whole.minutes
    assert parts(car_of(shop.prep)) == [
        *(Part.PREP, Part.INSTALL, Part.HELP, Part.INSPECTION, Part.LOOK)
    ]


def test_of_a_car_in_install_only_what_is_not_laid_is_to_do(shop: Furnished):
    order = WorkOrder.objects.filter(stage=Stage.INSTALL, round=1).first()
    assert order is not None
    before = car_of(order).works[0]
    panel = order.panels.filter(laid_at=None)[0]
    panel.laid_at = timezone.now()
    panel.save()
    after = car_of(order).works[0]
    assert before.part is after.part is Part.INSTALL
    assert 0 < after.minutes < before.minutes


def test_the_last_panel_laid_leaves_a_moment_and_no_other_fingerprint(shop: Furnished):
    order = WorkOrder.objects.filter(stage=Stage.INSTALL, round=1).first()
    assert order is not None
    before = begins_of(car_of(order))
    order.panels.update(laid_at=timezone.now())
    assert car_of(order).works[0].minutes == 1
    assert begins_of(car_of(order)) == before


def test_a_car_that_settles_waits_for_its_final_look(shop: Furnished):
    order = WorkOrder.objects.filter(stage=Stage.CURE, final_looks=None).first()
    assert order is not None
    car = car_of(order)
    assert parts(car) == [Part.LOOK]
    assert car.settles_until == order.cure_over_at


def test_a_bay_is_not_free_before_the_ready_car_in_it_is_out(shop: Furnished):
    order = WorkOrder.objects.filter(stage=Stage.CURE, final_looks=None).first()
    assert order is not None
    order.bay, order.place = Bay.objects.create(name="Bay 9"), None
    order.save()
    order.final_looks.create(round=order.round, outcome="fine", at=timezone.now())
    spots = {spot.key: spot for spot in facts_now().spots}
    taken = spots[f"bay-{order.bay.pk}"]
    assert taken.ready_car == order_key(order)
    ((since, until),) = taken.closed
    assert since <= timezone.now() < until
    assert not any(spot.closed for spot in spots.values() if spot is not taken)
    assert order_key(order) not in {car.key for car in facts_now().cars}


def test_a_person_is_at_one_car_only():
    cars = facts_now().cars
    by = [key for car in cars for work in car.works if work.began for key in work.by]
    assert by
    assert len(by) == len(set(by))


def test_a_paused_car_is_worked_on_by_nobody():
    paused = [car for car in facts_now().cars if car.is_paused]
    assert paused
    assert not any(work.began for car in paused for work in car.works)


def test_what_was_fixed_for_a_car_is_asked_of_the_plan(shop: Furnished):
    booking = expected()
    chidi, ben = shop.people["installer"], shop.people["desk"]
    day = timezone.localdate() + timedelta(days=9)
    wish = CarWish.objects.create(
        booking=booking, day=day, half="afternoon", weight=CarWish.Weight.FIRST
    )
    wish.people.set([chidi, ben])
    car = car_expected(booking)
    assert car.not_before
    assert car.not_after
    assert (car.not_before.hour, car.not_before.date()) == (12, day)
    assert car.not_after.date() == day + timedelta(days=1)
    assert car.people == (f"person-{chidi.pk}",)
    assert car.weight == 4


def test_hours_and_nights_of_the_owner_count():
    booking = expected()
    before = car_expected(booking)
    hours = {"prep_min": 300, "laying_min": 2000, "helper_min": 0, "nights": 5}
    PackageHours.objects.update_or_create(package=booking.package, defaults=hours)
    after = car_expected(booking)
    minutes = {work.part: work.minutes for work in after.works}
    assert minutes[Part.INSTALL] == 2000
    assert minutes[Part.PREP] >= 300
    assert Part.HELP not in minutes
    assert before.ready_from
    assert after.ready_from
    assert after.ready_from > before.ready_from


def test_pre_cut_film_is_cut_before():
    booking = expected()
    assert car_expected(booking).cut is None
    booking.panels.update(method="pre_cut")
    cut = car_expected(booking).cut
    assert cut
    assert cut.minutes == 60


def test_a_wide_spread_of_the_panels_is_kept():
    work = next(w for w in car_expected(expected()).works if w.part is Part.INSTALL)
    assert work.low
    assert work.high
    assert work.low < work.minutes < work.high


def test_more_cars_ask_no_more_of_the_store():
    def asked() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert facts_now().cars
        return len(caught)

    CarWish.objects.create(booking=expected())
    some = asked()
    model = expected()
    for _ in range(12):
        panels = list(model.panels.all())
        model.pk = None
        model.save()
        for panel in panels:
            panel.pk, panel.booking = None, model
            panel.save()
        CarWish.objects.create(booking=model)
    assert asked() == some


def test_keys_have_names(shop: Furnished):
    cars = facts_now().cars
    at = timezone.now()
    planned = tuple(
        CarPlanned(car=car.key, ready_at=at, latest_at=at, promised_at=at)
        for car in cars
    )
    names = names_of(ShopPlan(as_of=at, steps=(), cars=planned))
    assert [names[car.key] for car in cars] == [car.name for car in cars]
    assert names[f"person-{shop.people['desk'].pk}"] == "Ben Castor"
    assert names["cutter-1"] == "Film cutter"


def test_an_empty_day_is_no_error():
    Booking.objects.filter(state=Booking.State.BOOKED).update(state="cancelled")
    WorkOrder.objects.update(stage=Stage.CLOSED.value)
    assert facts_now().cars == ()
