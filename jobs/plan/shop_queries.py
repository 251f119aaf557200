"""The shop as the plan sees it, read from its records.

The same number of queries however many cars there are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q
from django.utils import timezone

from jobs.crews.queries import away_between
from jobs.cure.queries import cure_rule
from jobs.models import PlanRule, WorkOrder
from jobs.opening.queries import opening_of
from jobs.package_hours.queries import all_hours
from jobs.plan.car_queries import (
    Known,
    expected,
    expected_car,
    is_ready,
    order_car,
    order_key,
    people_at_work,
    still_here,
)
from jobs.plan.name_queries import cutter_name
from jobs.plan.shop import (
    CLEARED_IN,
    CUTTER,
    SETTLING,
    WASH,
    Car,
    Hand,
    ShopFacts,
    Skill,
    Spot,
)
from shopapp.models import Bay, Person, Place, Shop, the_shop
from shopapp.once import once_a_page

LOOKS_AHEAD = timedelta(days=120)
"""So far ahead it is known who is away."""


@once_a_page
def plan_rule() -> PlanRule:
    """How the shop plans."""
    return PlanRule.objects.first() or PlanRule()


@once_a_page
def known_now(*, now: datetime, shop: Shop) -> Known:
    """What is the same for every car at this moment."""
    local = timezone.localtime(now, shop.zone)
    hands, spots = _hands(local, shop=shop), _spots()
    kinds = {spot.kind for spot in spots}
    return Known(
        now=local,
        opening=opening_of(shop),
        hours=all_hours(),
        cure=cure_rule(),
        spots=frozenset(spot.key for spot in spots),
        hands=hands,
        helper=_helper(hands),
        has_wash=WASH in kinds,
        cut_min=plan_rule().cut_min if CUTTER in kinds else None,
    )


def shop_facts(*, now: datetime, shop: Shop | None = None) -> ShopFacts:
    """Everything that a plan is made from, as it stands."""
    known = known_now(now=now, shop=shop or the_shop())
    spots, orders = _spots(), list(still_here())
    return ShopFacts(
        now=known.now,
        opening=known.opening,
        spots=_taken(spots, orders, now=known.now),
        hands=known.hands,
        cars=_cars(orders, known=known),
        freeze_h=float(plan_rule().freeze_h),
        settles_in_bay=not any(spot.kind == SETTLING for spot in spots),
    )


def _taken(
    spots: tuple[Spot, ...], orders: Iterable[WorkOrder], *, now: datetime
) -> tuple[Spot, ...]:
    """Bays in which a car stands that is ready are not free before it is out."""
    ready = {
        f"bay-{order.bay_id}": order_key(order)
        for order in orders
        if order.bay_id and is_ready(order)
    }
    until = now + CLEARED_IN
    return tuple(
        replace(spot, closed=((now, until),), ready_car=ready[spot.key])
        if spot.key in ready
        else spot
        for spot in spots
    )


def _cars(orders: Iterable[WorkOrder], *, known: Known) -> tuple[Car, ...]:
    """Cars that are here and not ready, then those that are expected."""
    orders = [order for order in orders if not is_ready(order)]
    at_it = people_at_work(orders, known=known)
    here = [
        order_car(order, known=known, at_it=at_it.get(order.pk, ()))
        for order in sorted(orders, key=lambda order: order.pk)
    ]
    return (*here, *(expected_car(booking, known=known) for booking in expected()))


@once_a_page
def _spots() -> tuple[Spot, ...]:
    bays = [Spot(key=f"bay-{bay.pk}", name=bay.name) for bay in _in_use(Bay)]
    places = [
        Spot(
            key=f"place-{place.pk}",
            name=place.name,
            kind=WASH if place.kind == Place.Kind.WASH else SETTLING,
            room_for=place.room_for,
        )
        for place in _in_use(Place)
        if place.kind == Place.Kind.WASH
        or (place.kind == Place.Kind.SETTLING and place.is_indoors)
    ]
    return (*bays, *places, *_cutters(plan_rule()))


def _cutters(rule: PlanRule) -> list[Spot]:
    return [
        Spot(key=f"cutter-{number}", name=cutter_name(number), kind=CUTTER)
        for number in range(1, rule.cutters + 1)
    ]


def _in_use(model: type[Bay] | type[Place]) -> Iterable[Any]:
    return model._default_manager.filter(retired=False)


def _hands(now: datetime, *, shop: Shop) -> tuple[Hand, ...]:
    """Everybody who works here, and when they are away."""
    held = Q(is_desk=True) | Q(is_installer=True) | Q(is_manager=True)
    people = list(Person.objects.filter(held, is_active=True).order_by("pk"))
    last = (now + LOOKS_AHEAD).date()
    away = away_between(people, now.date(), last, shop=shop)
    return tuple(
        Hand(
            key=f"person-{person.pk}",
            name=str(person),
            skills=_skills(person),
            away=away[person.pk],
        )
        for person in people
    )


def _skills(person: Person) -> frozenset[Skill]:
    knows = {
        Skill.ANY: True,
        Skill.PREP: person.can_prep,
        Skill.INSTALL: person.can_install,
        Skill.INSPECT: person.can_inspect,
        Skill.HELP: person.can_prep or person.can_install,
    }
    return frozenset(skill for skill, can in knows.items() if can)


def _helper(hands: tuple[Hand, ...]) -> Skill | None:
    """The second person at the film work: who works at the cars, else anybody."""
    if sum(Skill.HELP in hand.skills for hand in hands) > 1:
        return Skill.HELP
    return Skill.ANY if len(hands) > 1 else None
