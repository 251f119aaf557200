"""Vessels: emptied and rinsed, added, retired; the shape of each kind."""

from __future__ import annotations

from mixing.actions.batches import fill_vessel
from mixing.models import Fill, KindMark, Vessel
from mixing.queries import open_fill
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("vessel.empty")
def empty_vessels(
    act: Act, *, vessels: list[Vessel], left_ml: dict[str, float] | None = None
) -> None:
    """Say that vessels were emptied and rinsed, and what was left in them.

    left_ml  by code; what is not named was not measured
    """
    if not vessels:
        raise Refused(say("Choose the vessels that are rinsed."), field="vessels")
    for vessel in act.lock_all(Vessel, [each.pk for each in vessels]):
        if vessel.state == Vessel.State.CLEAN:
            raise Refused(
                say("{vessel} is clean and empty already.", vessel=vessel.code),
                field="vessels",
            )
        fill = open_fill(vessel)
        if fill is not None:
            close_fill(act, fill, left_ml=(left_ml or {}).get(vessel.code))
        vessel.state = Vessel.State.CLEAN
        vessel.save(update_fields=["state"])


def close_fill(act: Act, fill: Fill, *, left_ml: float | None) -> None:
    """A vessel holds this fill no more."""
    if left_ml is not None and not 0 <= left_ml <= fill.volume_ml + 1:
        raise Refused(
            say(
                "{vessel} was filled with {filled} mL: {left} mL cannot be left.",
                vessel=fill.vessel.code,
                filled=round(fill.volume_ml),
                left=round(left_ml),
            ),
            field=f"left_{fill.vessel.code}",
        )
    fill.emptied_at = act.now
    fill.left_ml = left_ml
    fill.save(update_fields=["emptied_at", "left_ml"])


def pour_over(act: Act, fill: Fill, taker: Vessel, *, volume_ml: float) -> None:
    """Move solution from a fill into a vessel; an emptied giver is to be rinsed."""
    held = open_fill(taker)
    if held is None:
        fill_vessel(fill.batch, taker, volume_ml=volume_ml)
    else:
        held.volume_ml += volume_ml
        held.save(update_fields=["volume_ml"])
    fill.volume_ml -= volume_ml
    fill.save(update_fields=["volume_ml"])
    if fill.volume_ml <= 0:
        close_fill(act, fill, left_ml=0.0)
        fill.vessel.state = Vessel.State.TO_RINSE
        fill.vessel.save(update_fields=["state"])


@action("vessel.change")
def change_vessel(
    act: Act,
    *,
    vessel_pk: int | None = None,
    code: str,
    kind: str,
    form: str,
    capacity_ml: float,
    usable_ml: float,
) -> Json:
    """Add a vessel, or change its form and size. Its kind is for life."""
    if usable_ml > capacity_ml:
        raise Refused(say("A vessel is not filled above its brim."), field="usable_ml")
    taken = Vessel.objects.filter(code=code).exclude(pk=vessel_pk or 0)
    if taken.exists():
        raise Refused(say("There is a vessel {code} already.", code=code), field="code")
    if vessel_pk is None:
        vessel = Vessel(kind=kind)
    else:
        vessel = act.lock(Vessel, vessel_pk)
        if vessel.kind != kind:
            raise Refused(
                say(
                    "{vessel} is a {kind} vessel for life. Retire it and add another.",
                    vessel=vessel.code,
                    kind=vessel.get_kind_display(),
                ),
                field="kind",
            )
    vessel.code, vessel.form = code, form
    vessel.capacity_ml, vessel.usable_ml = capacity_ml, usable_ml
    vessel.save()
    return {"pk": vessel.pk}


@action("vessel.retire")
def retire_vessel(act: Act, *, vessel_pk: int) -> None:
    """Take a vessel out of use for good."""
    vessel = act.lock(Vessel, vessel_pk)
    if vessel.state != Vessel.State.CLEAN:
        raise Refused(
            say("{vessel} is not rinsed yet: rinse it first.", vessel=vessel.code)
        )
    vessel.retired = True
    vessel.save(update_fields=["retired"])


@action("kind.mark")
def mark_kind(act: Act, *, kind: str, shape: str) -> None:
    """Choose the shape by which the shop tells a kind."""
    other = KindMark.objects.filter(shape=shape).exclude(kind=kind).first()
    if other is not None:
        raise Refused(
            say(
                "The {shape} stands for {kind}: choose another shape.",
                shape=shape,
                kind=other.get_kind_display(),
            ),
            field="shape",
        )
    KindMark.objects.update_or_create(kind=kind, defaults={"shape": shape})
