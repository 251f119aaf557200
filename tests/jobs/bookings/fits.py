"""A shop that books: film, bays, people, the form as typed, a plan as it stands."""

from __future__ import annotations

import re
from datetime import timedelta

from django.utils import timezone

from jobs.models import BayPlan
from jobs.plan.planned import CarPlanned, ShopPlan, Step
from jobs.plan.shop import Part
from jobs.plan.stored import plan_to_json
from shopapp.models import the_shop

KEY = "k" * 16


def local(moment):
    return timezone.localtime(moment, the_shop().zone)


def in_days(days, hour=9):
    """A moment of an open day, so many days ahead, in the shop's zone."""
    day = open_day(local(timezone.now()) + timedelta(days=days))
    return day.replace(hour=hour, minute=0, second=0, microsecond=0)


def open_day(moment):
    """This moment, or its hour on the next weekday."""
    while moment.weekday() > 4:
        moment += timedelta(days=1)
    return moment


def typed(film, **more):
    return {
        "key": KEY,
        "name": "Robin Ash",
        "phone": "555-0101",
        "plate": "NEW 1",
        "model": "Saloon",
        "size_class": "D",
        "body": "sedan",
        "package": "full_front",
        "package_shown": "",
        "method": "hand_fitted",
        "film": film.pk,
        **more,
    }


def look_for(client, film, **more):
    return client.post("/bookings/fits/", typed(film, **more)).content.decode()


def offers_in(page):
    return re.findall(r'name="offer" value="([^"]+)"', page)


def value_of(page, name):
    found = re.search(rf'<input[^>]*name="{name}"[^>]*>', page)
    assert found, name
    value = re.search(r'value="([^"]*)"', found.group())
    return value.group(1) if value else ""


def standing(*steps, cars=()):
    """The plan as it stands."""
    plan = ShopPlan(as_of=timezone.now(), steps=steps, cars=cars)
    return BayPlan.objects.create(
        state=BayPlan.State.STANDING, problem_hash="x", facts=plan_to_json(plan)
    )


def held(booking, bay, since, until):
    """A plan in which a booked car is in a bay."""
    key = f"booking-{booking.pk}"
    step = Step(
        car=key, part=Part.STAY, starts_at=since, ends_at=until, spot=f"bay-{bay.pk}"
    )
    car = CarPlanned(
        car=key, ready_at=until, latest_at=until, promised_at=booking.promised_at
    )
    return standing(step, cars=(car,))


# -- offers ------------------------------------------------------------------------
