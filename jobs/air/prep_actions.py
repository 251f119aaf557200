"""What is recorded for safety on an order: prep chemicals used, a look-round."""

from __future__ import annotations

from jobs import limits
from jobs.air.actions import keep_air
from jobs.air.prep_queries import is_wipe, usual_wipe, wipe_of
from jobs.models import HeatCheck, OrderPrepUse, WorkOrder
from mixing.models import Chemical, Substance
from mixing.rule_sets.queries import rules_of
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import the_shop
from shopapp.say import say


@action("prep.use", within=limits.PREP)
def use_prep(
    act: Act,
    *,
    workorder_pk: int,
    chemical: Chemical | None = None,
    litres: float | None = None,
    no_remover: bool = False,
) -> Json:
    """Record a prep chemical used; without a chemical: that none was used.

    no_remover  no remover for the old film; the wipe stands
    """
    order = act.lock(WorkOrder, workorder_pk)
    known = order.prep_uses.standing().filter(chemical__isnull=False)
    if no_remover:
        known = known.filter(chemical__substance=Substance.REMOVER)
    if chemical is None and known.exists():
        raise Refused(say("Prep chemicals are recorded on this order."))
    if chemical is not None and not litres:
        raise Refused(say("Say how much of it was used."), field="litres")
    use = OrderPrepUse.objects.create(
        workorder=order,
        chemical=chemical,
        litres=litres if chemical is not None and litres else 0.0,
        no_remover=no_remover,
        by=act.by,
        at=act.now,
    )
    if chemical is None:
        act.event(order, "prep_no_remover" if no_remover else "prep_none")
    else:
        act.event(order, "prep_used", chemical=chemical, litres=use.litres)
    keep_air(order, at=act.now)
    return {"pk": use.pk}


@action("prep.more")
def use_more_wipe(act: Act, *, workorder_pk: int) -> Json:
    """One more wipe of the whole car: on top of what is recorded, or of the usual."""
    order = act.lock(WorkOrder, workorder_pk)
    wipe = usual_wipe(rules=rules_of(the_shop()))
    standing = order.prep_uses.standing().select_related("chemical")
    wiped = [row for row in standing if row.chemical and is_wipe(row.chemical)]
    chemical = wiped[-1].chemical if wiped else wipe.chemical
    if chemical is None:
        raise Refused(say("There is no panel wipe in the book. Add it on the shelf."))
    once = round(wipe_of(order, wipe)[0].value / 1000, 3)
    use = OrderPrepUse.objects.create(
        workorder=order,
        chemical=chemical,
        litres=once if wiped else 2 * once,
        by=act.by,
        at=act.now,
    )
    act.event(order, "prep_used", chemical=chemical, litres=use.litres)
    keep_air(order, at=act.now)
    return {"pk": use.pk}


@action("prep.undo")
def undo_prep(act: Act, *, workorder_pk: int, use_pk: int) -> Json:
    """Take back an entry that was wrong; it stays in the history."""
    order = act.lock(WorkOrder, workorder_pk)
    use = order.prep_uses.standing().filter(pk=use_pk).first()
    if use is None:
        raise Refused(say("This entry was taken back already."))
    OrderPrepUse.objects.create(
        workorder=order, chemical=use.chemical, undoes=use, by=act.by, at=act.now
    )
    act.event(order, "prep_undone", chemical=use.chemical or "", litres=use.litres)
    keep_air(order, at=act.now)
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
