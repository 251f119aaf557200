"""Vessels: emptied and rinsed, added, retired; the shape of each kind."""

from __future__ import annotations

from mixing import limits
from mixing.bench.batch_actions import fill_vessel
from mixing.bench.queries import open_fills
from mixing.models import Fill, KindMark, StockContainer, Vessel
from shopapp.frame import Act, Json, Refused, action, refuse_outside
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
    left = {f"left_{code}": ml for code, ml in (left_ml or {}).items()}
    refuse_outside(dict.fromkeys(left, limits.LEFT_ML), left)
    for vessel in act.lock_all(Vessel, [each.pk for each in vessels]):
        if vessel.state == Vessel.State.CLEAN:
            raise Refused(
                say("{vessel} is clean and empty already.", vessel=vessel.code),
                field="vessels",
            )
        empty_vessel(act, vessel, left_ml=(left_ml or {}).get(vessel.code))
        vessel.state = Vessel.State.CLEAN
        vessel.save(update_fields=["state"])


def empty_vessel(act: Act, vessel: Vessel, *, left_ml: float | None) -> None:
    """A vessel holds nothing of its batches any more.

    left_ml  what was left in it; of two batches in it each by its share
    """
    fills = open_fills(vessel)
    held = {fill.pk: fill.holds_ml for fill in fills}
    whole = sum(held.values())
    if fills and left_ml is not None and not 0 <= left_ml <= whole + 1:
        raise Refused(
            say(
                "{vessel} was filled with {filled} mL: {left} mL cannot be left.",
                vessel=vessel.code,
                filled=round(whole),
                left=round(left_ml),
            ),
            field=f"left_{vessel.code}",
        )
    for fill in fills:
        share = held[fill.pk] / whole if whole else 0.0
        fill.emptied_at = act.now
        fill.left_ml = None if left_ml is None else left_ml * share
        fill.save(update_fields=["emptied_at", "left_ml"])


@action("vessel.unknown")
def find_unknown(act: Act, *, vessel_pk: int) -> None:
    """Say that nobody knows what a vessel holds: it is to be emptied and rinsed."""
    vessel = act.lock(Vessel, vessel_pk)
    if vessel.state == Vessel.State.UNKNOWN:
        raise Refused(say("{vessel} is marked so already.", vessel=vessel.code))
    empty_vessel(act, vessel, left_ml=None)
    vessel.state = Vessel.State.UNKNOWN
    vessel.save(update_fields=["state"])


def pour_over(act: Act, giver: Vessel, taker: Vessel, *, volume_ml: float) -> None:
    """Move solution into a vessel, of each batch its share."""
    given = open_fills(giver)
    whole = sum(fill.holds_ml for fill in given)
    held = {fill.batch_id: fill for fill in open_fills(taker)}
    for fill in given:
        moved = volume_ml * fill.holds_ml / whole
        if there := held.get(fill.batch_id):
            _change(there, by_ml=moved)
        else:
            fill_vessel(fill.batch, taker, volume_ml=moved)
        _change(fill, by_ml=-moved)
    if whole - volume_ml <= 0:
        empty_vessel(act, giver, left_ml=0.0)
        giver.state = Vessel.State.TO_RINSE
        giver.save(update_fields=["state"])


def _change(fill: Fill, *, by_ml: float) -> None:
    fill.volume_ml += by_ml
    if fill.left_ml is not None:
        fill.left_ml += by_ml
    fill.save(update_fields=["volume_ml", "left_ml"])


@action("vessel.change", within=limits.VESSEL)
def change_vessel(
    act: Act,
    *,
    vessel_pk: int | None = None,
    code: str,
    kind: str,
    form: str,
    capacity_ml: float,
    usable_ml: float,
    material: str = "",
    approved: bool = False,
) -> Json:
    """Add a vessel, or change its form and size. Its kind is for life."""
    if usable_ml > capacity_ml:
        raise Refused(say("A vessel is not filled above its brim."), field="usable_ml")
    taken = Vessel.objects.filter(code=code).exclude(pk=vessel_pk or 0)
    if taken.exists():
        raise Refused(say("There is a vessel {code} already.", code=code), field="code")
    if vessel_pk is None and StockContainer.objects.filter(code=code).exists():
        raise Refused(
            say("A container on the shelf is called {code}: take another.", code=code),
            field="code",
        )
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
    vessel.material, vessel.approved = material, approved
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
