"""The shelf: received, opened, counted, discarded; chemicals; the water."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.utils import timezone

from mixing import limits
from mixing.models import (
    Chemical,
    StockContainer,
    StockMovement,
    StorageSpot,
    Substance,
    Vessel,
    WaterTest,
)
from shopapp.actions import write
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import the_shop
from shopapp.say import say

What = StockMovement.What


@action("stock.receive", within=limits.CONTAINER)
def receive_stock(
    act: Act,
    *,
    chemical: Chemical,
    code: str,
    capacity_ml: float,
    lot: str = "",
    strength_pct: float | None = None,
    strength_basis: str = "",
    expires_on: date | None = None,
    material: str = "",
    spot: StorageSpot | None = None,
    opened: bool = False,
) -> Json:
    """Put a full container on the shelf, with its own strength where it has one."""
    _refuse_strength(chemical, strength_pct, strength_basis)
    if StockContainer.objects.filter(code=code).exists():
        raise Refused(
            say("There is a container {code} already.", code=code), field="code"
        )
    if Vessel.objects.filter(code=code).exists():
        raise Refused(
            say("A bottle is called {code} already: take another.", code=code),
            field="code",
        )
    container = StockContainer.objects.create(
        chemical=chemical,
        code=code,
        lot=lot,
        strength_pct=strength_pct,
        strength_basis=strength_basis,
        capacity_ml=capacity_ml,
        left_ml=capacity_ml,
        expires_on=expires_on,
        material=material,
        spot=spot,
        opened_on=today_of(act) if opened else None,
    )
    _move(act, container, What.RECEIVED, capacity_ml)
    return {"pk": container.pk}


def _refuse_strength(
    chemical: Chemical, strength_pct: float | None, basis: str
) -> None:
    if chemical.substance != Substance.ALCOHOL:
        return
    if strength_pct is None and chemical.strength_pct is None:
        raise Refused(say("Enter the strength from the label."), field="strength_pct")
    if strength_pct is not None and not basis:
        raise Refused(
            say("Say whether the label means by volume or by weight."),
            field="strength_basis",
        )


@action("stock.open")
def open_container(act: Act, *, container_pk: int) -> None:
    """Open a container: from now on it is poured from, oldest first."""
    container = _on_shelf(act, container_pk)
    if container.opened_on is not None:
        raise Refused(say("{code} is open already.", code=container.code))
    container.opened_on = today_of(act)
    container.save(update_fields=["opened_on"])


@action("stock.count", within=limits.COUNTED)
def count_container(
    act: Act, *, container_pk: int, left_ml: float, reason: str = ""
) -> None:
    """Write down what is really left; the difference is a movement."""
    container = _on_shelf(act, container_pk)
    if left_ml > container.capacity_ml:
        raise Refused(
            say("{code} does not hold so much.", code=container.code),
            field="left_ml",
        )
    change = left_ml - container.left_ml
    container.left_ml = left_ml
    container.save(update_fields=["left_ml"])
    _move(act, container, What.COUNTED, change, reason=reason)


@action("stock.discard")
def discard_container(act: Act, *, container_pk: int, reason: str) -> None:
    """Take a container off the shelf; what was left in it is gone."""
    container = _on_shelf(act, container_pk)
    if not reason.strip():
        raise Refused(say("Say why it goes."), field="reason")
    _move(act, container, What.DISCARDED, -container.left_ml, reason=reason)
    container.left_ml, container.retired_at = 0.0, act.now
    container.save(update_fields=["left_ml", "retired_at"])


def _on_shelf(act: Act, pk: int) -> StockContainer:
    container = act.lock(StockContainer, pk)
    if container.retired_at is not None:
        raise Refused(say("{code} is not on the shelf any more.", code=container.code))
    return container


def _move(
    act: Act,
    container: StockContainer,
    what: StockMovement.What,
    change_ml: float,
    *,
    reason: str = "",
) -> None:
    StockMovement.objects.create(
        container=container,
        what=what,
        change_ml=change_ml,
        reason=reason,
        by=act.by,
        at=act.now,
    )


@action("chemical.change", within=limits.CHEMICAL)
def change_chemical(
    act: Act, /, *, chemical_pk: int | None = None, **fields: Any
) -> Json:
    """Add a product, or correct what its data sheet says."""
    if fields.get("strength_pct") is not None and not fields.get("strength_basis"):
        raise Refused(
            say("Say whether the label means by volume or by weight."),
            field="strength_basis",
        )
    if (
        Chemical.objects.filter(name=fields["name"])
        .exclude(pk=chemical_pk or 0)
        .exists()
    ):
        raise Refused(say("There is a product of this name already."), field="name")
    chemical = Chemical.objects.filter(pk=chemical_pk or 0).first() or Chemical()
    return write(chemical, fields)


@action("chemical.name", within=limits.CHEMICAL)
def name_chemical(
    act: Act,
    *,
    name: str,
    substance: str,
    strength_pct: float | None = None,
    strength_basis: str = "",
) -> Json:
    """Add a product by its label; what its data sheet says is not known yet."""
    known: dict[str, Any] = {"name": name, "substance": substance}
    known |= {"strength_pct": strength_pct, "strength_basis": strength_basis}
    return change_chemical(act, **known) or {}


@action("water.test", within=limits.WATER)
def keep_water_test(
    act: Act,
    *,
    source: str,
    tds_mg_per_l: float | None = None,
    hardness_mg_per_l: float | None = None,
    tested_on: date | None = None,
) -> Json:
    """Keep a test of the water, or only where it comes from."""
    if tested_on is not None and tested_on > today_of(act):
        raise Refused(say("This day has not come yet."), field="tested_on")
    row = WaterTest.objects.create(
        source=source,
        tds_mg_per_l=tds_mg_per_l,
        hardness_mg_per_l=hardness_mg_per_l,
        tested_on=tested_on or today_of(act),
        by=act.tap.by,
    )
    return {"pk": row.pk}


def today_of(act: Act) -> date:
    """The shop's day on which it was done."""
    return timezone.localtime(act.now, the_shop().zone).date()
