"""Topping up: from one vessel of a batch into another, never between batches."""

from __future__ import annotations

from jobs.condition.reading_actions import lock_open
from jobs.models import WorkOrder
from jobs.rules.stock import batch_foreign, stock_short
from jobs.solutions.actions import refuse_stale
from jobs.solutions.bottle_queries import orders_of, vessel_concern
from mixing.bench.actions import pour_over
from mixing.bench.queries import open_fill, open_fills
from mixing.limits import TOP_UP
from mixing.models import Fill, Vessel
from shopapp.figures import given
from shopapp.frame import Act, Refused, action
from shopapp.say import say


@action("mix.top_up", within=TOP_UP)
def top_up(
    act: Act,
    *,
    workorder_pk: int,
    from_vessel: Vessel,
    to_vessel: Vessel,
    volume_ml: float,
) -> None:
    """Pour from one vessel of a batch into another of it, or into a clean one."""
    workorder = lock_open(act, workorder_pk)
    if from_vessel.pk == to_vessel.pk:
        raise Refused(say("Choose two different vessels."), field="to_vessel")
    locked = act.lock_all(Vessel, [from_vessel.pk, to_vessel.pk])
    giver, taker = sorted(locked, key=lambda each: each.pk != from_vessel.pk)
    fill = _giving(act, giver, workorder, volume_ml=volume_ml)
    _refuse_taker(taker, fill, workorder, volume_ml=volume_ml)
    pour_over(act, giver, taker, volume_ml=volume_ml)
    act.event(
        workorder,
        "topped_up",
        batch=fill.batch,
        from_vessel=giver,
        to_vessel=taker,
        volume_ml=volume_ml,
    )


def _giving(act: Act, giver: Vessel, workorder: WorkOrder, *, volume_ml: float) -> Fill:
    """What the giving vessel holds, refused when it may not be used."""
    fill = open_fill(giver)
    if fill is None:
        raise Refused(say("{vessel} is empty.", vessel=giver.code), field="from_vessel")
    foreign = batch_foreign(
        batch=fill.batch.number,
        mixed_for=orders_of(fill.batch),
        order=workorder.number,
    )
    if foreign:
        raise Refused(foreign.sentence, field="from_vessel")
    refuse_stale(act, fill.batch, past_its_time=True)
    short = stock_short(
        name=giver.code,
        there=given(_in(giver), "ml", f"in {giver.code}"),
        wanted=given(volume_ml, "ml", "poured over"),
    )
    if short:
        raise Refused(short.sentence, field="volume_ml")
    return fill


def _refuse_taker(
    taker: Vessel, fill: Fill, workorder: WorkOrder, *, volume_ml: float
) -> None:
    """Only the same batch, or a clean vessel of its kind; no more than it holds."""
    poured = {each.batch_id for each in open_fills(fill.vessel)}
    if {each.batch_id for each in open_fills(taker)} != poured:
        concern = vessel_concern(taker, kind=fill.batch.kind, workorder=workorder)
        if concern:
            raise Refused(concern.sentence, field="to_vessel")
    if _in(taker) + volume_ml > taker.capacity_ml:
        raise Refused(
            say(
                "{vessel} holds {room}: so much does not go in.",
                vessel=taker.code,
                room=given(taker.capacity_ml, "ml", "to the brim"),
            ),
            field="volume_ml",
        )


def _in(vessel: Vessel) -> float:
    return sum(fill.holds_ml for fill in open_fills(vessel))
