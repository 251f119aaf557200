"""What is recorded for safety on an order: prep chemicals used, a look-round."""

from __future__ import annotations

from jobs.models import HeatCheck, OrderPrepUse, WorkOrder
from mixing.models import Chemical
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("prep.use")
def use_prep(
    act: Act,
    *,
    workorder_pk: int,
    chemical: Chemical | None = None,
    litres: float | None = None,
) -> Json:
    """Record a prep chemical used; without a chemical: that none was used."""
    order = act.lock(WorkOrder, workorder_pk)
    known = order.prep_uses.all()
    if chemical is None and known.filter(chemical__isnull=False).exists():
        raise Refused(say("Prep chemicals are recorded on this order."))
    if chemical is not None and not litres:
        raise Refused(say("Say how much of it was used."), field="litres")
    use = OrderPrepUse.objects.create(
        workorder=order,
        chemical=chemical,
        litres=litres if chemical is not None and litres else 0.0,
        by=act.by,
        at=act.now,
    )
    if chemical is None:
        act.event(order, "prep_none")
    else:
        act.event(order, "prep_used", chemical=chemical, litres=use.litres)
    return {"pk": use.pk}


@action("heat.check")
def check_heat(act: Act, *, workorder_pk: int) -> Json:
    """Looked round the bay of this order before hot tools."""
    order = act.lock(WorkOrder, workorder_pk)
    if order.bay is None:
        raise Refused(say("The car is in no bay."))
    check = HeatCheck.objects.create(
        bay=order.bay, workorder=order, by=act.by, at=act.now
    )
    act.event(order, "heat_checked", bay=order.bay)
    return {"pk": check.pk}
