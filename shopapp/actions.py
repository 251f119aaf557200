"""What a manager changes in the building; what a person changes of their own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import models

from shopapp.frame import Act, Json, Refused, action
from shopapp.limits import PLACE, SHOP
from shopapp.models import Person, Place, Shop
from shopapp.one_time import Secret, password_for, pin_for
from shopapp.say import say
from shopapp.sessions import end_all
from shopapp.tries import open_pin

NAMES_OF_PEOPLE = {"first_name", "last_name", "username", "email"}


def write(row: models.Model, fields: Mapping[str, Any]) -> Json:
    """Set and save; the answer names what differs, before and after."""
    changed: Json = {}
    for name, after in fields.items():
        before = getattr(row, name)
        if before != after:
            changed[name] = [before, after]
        setattr(row, name, after)
    row.save()
    return {"pk": row.pk, "changed": changed}


@action("shop.change", within=SHOP)
def change_shop(act: Act, /, **fields: Any) -> Json:
    """Change what the shop says of itself."""
    return write(act.lock(Shop, 1), fields)


@action("place.change", within=PLACE)
def change_place(act: Act, /, *, place_pk: int | None = None, **fields: Any) -> Json:
    """Add a place, or change one; a place with cars in it is not closed."""
    place = act.lock(Place, place_pk) if place_pk else Place()
    _refuse_taken(Place, place_pk, fields["name"])
    if fields.get("retired") and place.pk and stands_full(place):
        raise Refused(say("A car stands here. Move it first."), field="retired")
    return write(place, fields)


def _refuse_taken(model: type[models.Model], pk: int | None, name: str) -> None:
    others = model._default_manager.filter(name=name).exclude(pk=pk or 0)
    if others.exists():
        raise Refused(say("There is one of this name already."), field="name")


def stands_full(row: models.Model) -> bool:
    """Whether an order that has not been handed over stands in this bay or place."""
    orders: models.Manager[Any] = row.workorders  # type: ignore[attr-defined]
    return orders.filter(handed_over_at__isnull=True).exists()


@action("person.change")
def change_person(act: Act, /, *, person_pk: int | None = None, **fields: Any) -> Json:
    """Add a person, with a password and PIN to be shown once, or change one."""
    rows = act.lock_all(Person, {*_managers(), *([person_pk] if person_pk else [])})
    person = next((row for row in rows if row.pk == person_pk), Person())
    if (
        Person.objects.filter(username=fields["username"])
        .exclude(pk=person_pk or 0)
        .exists()
    ):
        raise Refused(say("Somebody signs in by this name already."), field="username")
    _keep_a_manager(person, fields, others=len(rows) - (person in rows))
    if person.pk is None:
        _renew(person, "password", act.tap.key)
        _renew(person, "pin", act.tap.key)
    answer = write(person, fields)
    if not person.is_active:
        end_all(person, now=act.now)
    answer["changed"] = {
        name: [] if name in NAMES_OF_PEOPLE else values
        for name, values in answer["changed"].items()
    }
    return answer


def _managers() -> set[int]:
    active = Person.objects.filter(is_active=True, is_manager=True)
    return set(active.values_list("pk", flat=True))


def _keep_a_manager(person: Person, fields: Mapping[str, Any], *, others: int) -> None:
    if others or not (person.is_manager and person.is_active):
        return
    for name in ("is_manager", "is_active"):
        if not fields.get(name, True):
            raise Refused(
                say("This is the only manager. Make somebody else one first."),
                field=name,
            )


@action("person.renew")
def renew_secret(act: Act, *, person_pk: int, what: str, sign_in_pk: int = 0) -> Json:
    """Give a person a new password or PIN, to be shown once; they are signed out.

    sign_in_pk  the one by which it is done, which goes on
    """
    person = act.lock(Person, person_pk)
    _renew(person, what, act.tap.key)
    if person == act.by and what == "password":
        # Nobody else has seen it.
        person.password_is_temporary = False
    person.save()
    end_all(person, but=sign_in_pk, now=act.now)
    return {"pk": person.pk}


def _renew(person: Person, what: str, key: str) -> None:
    if what == "password":
        person.set_password(password_for(key))
        person.password_is_temporary = True
    else:
        person.set_pin(pin_for(key))
        open_pin(person)


@action("person.own")
def change_own(
    act: Act,
    *,
    password: Secret | None = None,
    pin: Secret | None = None,
    sign_in_pk: int = 0,
) -> None:
    """Choose one's own password or PIN; the other sign-ins end.

    sign_in_pk  the one by which it is done, which goes on
    """
    person = act.lock(Person, act.by.pk)
    if password is not None:
        person.set_password(password.text)
        person.password_is_temporary = False
    if pin is not None:
        person.set_pin(pin.text)
        open_pin(person)
    person.save()
    end_all(person, but=sign_in_pk, now=act.now)
