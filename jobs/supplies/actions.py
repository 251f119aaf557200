"""Said to run low, ordered, here again."""

from __future__ import annotations

from jobs.models import Supply
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say

MOST = 100
"""So many things a list still shows at a glance."""


@action("supply.low")
def say_low(act: Act, *, supply_pk: int) -> None:
    """One tap: it runs low. Said by a second person it stays as it was said."""
    row = act.lock(Supply, supply_pk)
    if row.low_at is None:
        _low(act, row)


@action("supply.add")
def add_supply(act: Act, *, name: str) -> Json:
    """A thing that is not on the list yet, and runs low."""
    name = " ".join(name.split())
    known = Supply.objects.filter(name__iexact=name).first()
    if known is None and Supply.objects.count() >= MOST:
        raise Refused(
            say("The list has {most} things already. Use one of them.", most=MOST),
            field="name",
        )
    pk = known.pk if known else Supply.objects.get_or_create(name=name)[0].pk
    row = act.lock(Supply, pk)
    if row.low_at is None:
        _low(act, row)
    return {"pk": row.pk}


def _low(act: Act, row: Supply) -> None:
    row.low_at, row.low_by, row.ordered_at = act.now, act.tap.by, None
    row.save(update_fields=["low_at", "low_by", "ordered_at"])


@action("supply.order")
def order_supply(act: Act, *, supply_pk: int) -> None:
    """It is ordered: it stays on the list until it is here."""
    row = act.lock(Supply, supply_pk)
    if row.low_at is None:
        raise Refused(say("{thing} is here already.", thing=row.name))
    row.ordered_at = row.ordered_at or act.now
    row.save(update_fields=["ordered_at"])


@action("supply.here")
def supply_here(act: Act, *, supply_pk: int) -> None:
    """There is enough of it again."""
    row = act.lock(Supply, supply_pk)
    row.low_at = row.low_by = row.ordered_at = None
    row.save(update_fields=["low_at", "low_by", "ordered_at"])
