"""Dispensers: listed, changed; a dropper is calibrated by counting or weighing."""

from __future__ import annotations

from typing import Any

from mixing import limits
from mixing.dispensers.dosing import Dispenser as SheetDispenser
from mixing.dispensers.droppers import calibrated_dropper, weighed_dropper
from mixing.models import Dispenser
from mixing.recipes.spec import usual_dispensers
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("dispenser.change", within=limits.DISPENSER)
def change_dispenser(
    act: Act, /, *, dispenser_pk: int | None = None, **fields: Any
) -> Json:
    """Add a dispenser, or correct its marks, error and size."""
    if fields["capacity_ml"] < fields["graduation_ml"]:
        raise Refused(
            say("A dispenser holds at least one of its own marks."),
            field="capacity_ml",
        )
    same = Dispenser.objects.filter(name=fields["name"]).exclude(pk=dispenser_pk or 0)
    if same.exists():
        raise Refused(say("There is a dispenser of this name already."), field="name")
    row = Dispenser.objects.filter(pk=dispenser_pk or 0).first() or Dispenser()
    for name, value in fields.items():
        setattr(row, name, value)
    row.save()
    return {"pk": row.pk}


@action("dispenser.calibrate", within=limits.COUNTING)
def calibrate_dropper(
    act: Act, *, dispenser_pk: int, volume_ml: float, counts: list[int]
) -> Json:
    """Keep the size of a dropper's drop: drops counted to a mark, several times."""
    row = _dropper(dispenser_pk)
    try:
        made = calibrated_dropper(name=row.name, volume_ml=volume_ml, counts=counts)
    except ValueError as wrong:
        raise Refused(say("{wrong}", wrong=str(wrong)), field="counts") from None
    return _keep(row, made)


@action("dispenser.weigh", within=limits.WEIGHING)
def weigh_dropper(
    act: Act,
    *,
    dispenser_pk: int,
    drops: int,
    masses_g: list[float],
    density_g_per_ml: float | None = None,
) -> Json:
    """Keep the size of a dropper's drop: as many drops weighed, several times."""
    row = _dropper(dispenser_pk)
    try:
        made = weighed_dropper(
            name=row.name,
            drops=drops,
            masses_g=masses_g,
            density_g_per_ml=density_g_per_ml,
        )
    except ValueError as wrong:
        raise Refused(say("{wrong}", wrong=str(wrong)), field="masses_g") from None
    return _keep(row, made)


def _dropper(pk: int) -> Dispenser:
    row = Dispenser.objects.select_for_update(no_key=True).filter(pk=pk).first()
    if row is None or row.form != Dispenser.Form.DROPPER:
        raise Refused(say("Only a dropper is calibrated by its drops."))
    return row


def _keep(row: Dispenser, made: SheetDispenser) -> Json:
    changed = {"drop_ml": [row.drop_ml, made.graduation_ml]}
    row.drop_ml, row.drop_spread_ml = made.graduation_ml, made.error_ml
    row.save(update_fields=["drop_ml", "drop_spread_ml"])
    return {"pk": row.pk, "changed": changed}


def load_dispensers() -> None:
    """The usual jug and syringe, where the shop has listed none."""
    if Dispenser.objects.exists():
        return
    for each in usual_dispensers():
        Dispenser.objects.create(
            name=each.name,
            form=each.kind.value,
            graduation_ml=each.graduation_ml,
            error_ml=each.error_ml,
            capacity_ml=each.capacity_ml,
        )
