"""Film and its rolls: kinds, receipts, counts, returns. Every change is a movement."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Sum
from django.utils.timezone import localtime

from jobs import limits
from jobs.models import (
    Film,
    FilmMovement,
    FilmOrder,
    OffCut,
    Pull,
    Roll,
    WorkOrder,
)
from jobs.rules.stock import stock_short
from shopapp.figures import given
from shopapp.frame import Act, Json, Refused, action, refuse_outside
from shopapp.models import the_shop
from shopapp.say import Say, say

What = FilmMovement.What


def move(
    act: Act,
    *,
    what: str,
    roll: Roll,
    change_mm: int = 0,
    offcut: OffCut | None = None,
    workorder: WorkOrder | None = None,
    pull: Pull | None = None,
    reason: str = "",
) -> None:
    """Change a locked roll by a movement, never below zero.

    The one place where `left_mm` is written, so that it stays the movements' sum.
    """
    if change_mm < 0 and (short := shortage_of(roll, -change_mm)):
        raise Refused(short)
    FilmMovement.objects.create(
        roll=roll,
        offcut=offcut,
        what=what,
        change_mm=change_mm,
        workorder=workorder,
        pull=pull,
        reason=reason.strip(),
        by=act.tap.by,
        at=act.now,
    )
    if change_mm:
        roll.left_mm += change_mm
        roll.retired_at = None if roll.left_mm else act.now
        roll.save(update_fields=["left_mm", "retired_at"])


def shortage_of(roll: Roll, wanted_mm: int) -> Say | None:
    """The rule's sentence when a roll does not hold this much."""
    concern = stock_short(
        name=f"Roll {roll.code}",
        there=given(roll.left_mm / 1000, "m", "movements"),
        wanted=given(wanted_mm / 1000, "m", "entered"),
    )
    return concern.sentence if concern else None


@action("film.change")
def change_film(act: Act, *, film_pk: int | None, facts: Mapping[str, Any]) -> Json:
    """Add a kind of film, or change what is known of one."""
    film = Film.objects.get(pk=film_pk) if film_pk else Film()
    same_code = Film.objects.filter(code__iexact=facts["code"]).exclude(pk=film.pk)
    if same_code.exists():
        raise Refused(
            say("There is a film {code} already.", code=facts["code"]), field="code"
        )
    refuse_outside(limits.FILM, facts)
    for name, value in facts.items():
        setattr(film, name, value)
    film.save()
    return {"pk": film.pk}


@action("roll.receive", within=limits.ROLL)
def receive_roll(
    act: Act,
    *,
    film: Film,
    code: str,
    lot: str,
    width_mm: int,
    length_mm: int,
    cost_per_m: Decimal | None = None,
    location: str = "",
    received_on: date | None = None,
    order: FilmOrder | None = None,
) -> Json:
    """Put a roll on the shelf; `order` is the one it came for."""
    if code_taken(code):
        raise Refused(
            say("There is a roll or off-cut {code} already.", code=code), field="code"
        )
    open_order = _open_order(order, film=film) if order else None
    roll = Roll.objects.create(
        film=film,
        code=code,
        lot=lot,
        width_mm=width_mm,
        cost_per_m=cost_per_m,
        location=location,
        received_on=received_on or localtime(act.now, the_shop().zone).date(),
    )
    roll = act.lock(Roll, roll.pk)
    move(act, what=What.RECEIVED, roll=roll, change_mm=length_mm)
    if open_order:
        open_order.roll = roll
        open_order.save(update_fields=["roll"])
    return {"pk": roll.pk}


def _open_order(order: FilmOrder, *, film: Film) -> FilmOrder:
    """The order as it is now, if it is still waited for."""
    now = FilmOrder.objects.select_for_update(no_key=True).get(pk=order.pk)
    if now.roll_id or now.called_off_at:
        raise Refused(say("This film is not on order any more."), field="order")
    if now.film_id != film.pk:
        raise Refused(say("That order is for another film."), field="order")
    return now


@action("film.order", within=limits.ROLL)
def order_film(
    act: Act,
    *,
    film_pk: int,
    width_mm: int,
    length_mm: int,
    due_on: date | None = None,
    note: str = "",
) -> Json:
    """Note that film was ordered, and when it is due."""
    order = FilmOrder.objects.create(
        film_id=film_pk,
        width_mm=width_mm,
        length_mm=length_mm,
        due_on=due_on,
        note=note,
        ordered_by=act.by,
        ordered_at=act.now,
    )
    return {"pk": order.pk}


@action("film.call_off")
def call_off_order(act: Act, *, order_pk: int) -> None:
    """Film that was ordered will not come."""
    order = FilmOrder.objects.select_for_update(no_key=True).get(pk=order_pk)
    if order.roll_id:
        raise Refused(say("This film has come already."))
    order.called_off_at = act.now
    order.save(update_fields=["called_off_at"])


def code_taken(code: str) -> bool:
    """Rolls and off-cuts share their codes: a label names one thing."""
    return (
        Roll.objects.filter(code__iexact=code).exists()
        or OffCut.objects.filter(code__iexact=code).exists()
    )


@action("roll.receive_all")
def receive_rolls(act: Act, *, rows: Iterable[Mapping[str, Any]]) -> Json:
    """Put a whole delivery on the shelf, from a list: all of it or nothing."""
    films = {film.code.lower(): film for film in Film.objects.all()}
    answers = []
    for row in rows:
        film = films.get(row["film"].lower())
        if film is None:
            raise Refused(say("There is no film {code}.", code=row["film"]))
        facts = {name: value for name, value in row.items() if name != "film"}
        answers.append(receive_roll(act, film=film, **facts))
    return {"rolls": answers}


@action("film.change_all")
def change_films(act: Act, *, rows: Iterable[Mapping[str, Any]]) -> Json:
    """Add kinds of film from a list, or change those whose code is known."""
    known = {film.code.lower(): film.pk for film in Film.objects.all()}
    answers = [
        change_film(act, film_pk=known.get(row["code"].lower()), facts=row)
        for row in rows
    ]
    return {"films": answers}


@action("roll.count", within=limits.ROLL_LEFT)
def count_roll(act: Act, *, roll_pk: int, left_mm: int, reason: str) -> None:
    """Set a roll to what was measured on it, and say why it differed."""
    roll = act.lock(Roll, roll_pk)
    change = left_mm - roll.left_mm
    if change and not reason.strip():
        raise Refused(
            say(
                "The roll was thought to hold {there}. Say why it differs.",
                there=given(roll.left_mm / 1000, "m", "movements"),
            ),
            field="reason",
        )
    move(act, what=What.COUNTED, roll=roll, change_mm=change, reason=reason)


@action("film.return", within=limits.TAKEN)
def return_film(
    act: Act, *, workorder_pk: int, roll: str, length_mm: int, reason: str = ""
) -> None:
    """Wind film back on its roll: at most what this order took off it."""
    workorder = act.lock(WorkOrder, workorder_pk)
    known = Roll.objects.filter(code__iexact=roll.strip()).first()
    if known is None:
        raise Refused(say("There is no roll {code}.", code=roll), field="roll")
    row = act.lock(Roll, known.pk)
    change = row.movements.filter(
        workorder=workorder, what__in=[What.PULLED, What.RETURNED]
    ).aggregate(sum=Sum("change_mm"))["sum"]
    taken_mm = -(change or 0)
    if length_mm > taken_mm:
        raise Refused(
            say(
                "Order {order} took {taken} off roll {roll}; more than that cannot "
                "come back.",
                order=workorder.number,
                taken=given(taken_mm / 1000, "m", "movements"),
                roll=row.code,
            ),
            field="length_mm",
        )
    move(
        act,
        what=What.RETURNED,
        roll=row,
        change_mm=length_mm,
        workorder=workorder,
        reason=reason,
    )
    act.event(workorder, "film_returned", roll=row, length_mm=length_mm)
