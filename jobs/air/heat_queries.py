"""What is recorded of alcohol, of gel that burns and of look-rounds in a bay."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import Exists, Max, OuterRef, Q
from django.utils import timezone

from jobs.air.heat import LONGEST_MEMORY, BayHeat, HeatLine, heat_line
from jobs.air.prep_queries import usual_wipe
from jobs.models import (
    HeatCheck,
    OrderBatch,
    OrderPanel,
    OrderPrepUse,
    WorkOrder,
    WorkOrderEvent,
)
from mixing.limits import KEEPS_DAYS
from mixing.models import Kind
from mixing.rule_sets.queries import rules_of
from mixing.safety.rules import SafetyRules
from mixing.shelf.data_sheet_queries import gel_sheet, prep_use
from shopapp.figures import Figure
from shopapp.models import Bay, shop_day, the_shop

LONGEST_BATCH = timedelta(days=KEEPS_DAYS.high + 1)
"""A shop may keep a bottle so long: tack is laid from a week after it was mixed."""
MOST_USES_A_DAY = 300


def bay_heat(
    order: WorkOrder,
    *,
    wait: Figure | None,
    now: datetime,
    wait_unknown: bool = False,
) -> HeatLine | None:
    """How the bay of an order stands before hot tools; None outside a bay.

    wait          of the order's safety block
    wait_unknown  alcohol is to come, and the block has no wait
    """
    if order.bay is None:
        return None
    zone = the_shop().zone
    today = timezone.localtime(now, zone).date()
    checked = HeatCheck.objects.filter(bay=order.bay).aggregate(at=Max("at"))["at"]
    return heat_line(
        BayHeat(
            now=now,
            session_began_at=shop_day(today, zone=zone)[0],
            alcohol_at=last_alcohol_at(order.bay, now=now),
            checked_at=checked,
            wait=wait,
            wait_unknown=wait_unknown,
        )
    )


def last_alcohol_at(bay: Bay, *, now: datetime) -> datetime | None:
    """The newest alcohol recorded on orders that stand, or have just stood, in the bay.

    Mixed for such an order, laid on it with alcohol, or wiped on it in prep; what a
    car that has been moved out left in the air is still there.
    """
    since = now - LONGEST_MEMORY
    moments = _alcohol_by_order(since=since)
    if not moments:
        return None
    here = set(
        WorkOrder.objects.filter(pk__in=moments, bay=bay).values_list("pk", flat=True)
    ) | set(
        WorkOrderEvent.objects.filter(
            workorder_id__in=moments,
            what__in=["arrived", "placed"],
            facts__bay=bay.pk,
        ).values_list("workorder_id", flat=True)
    )
    return max((moments[pk] for pk in here), default=None)


def _alcohol_by_order(*, since: datetime) -> dict[int, datetime]:
    """Orders with alcohol recorded since then, each with its newest moment."""
    found: dict[int, datetime] = {}
    rules = rules_of(the_shop())
    gives_off = Q(batch__vv_pct__gt=0)
    if gel_sheet(rules=rules).may_evaporate:
        gives_off |= Q(batch__kind=Kind.GEL)
    ties = OrderBatch.objects.filter(
        gives_off,
        workorder__in=WorkOrder.objects.filter(
            Q(handed_over_at=None) | Q(handed_over_at__gt=since)
        ),
        batch__mixed_at__gt=since - LONGEST_BATCH,
    ).order_by()
    told = [
        *ties.values_list("workorder_id", "batch__mixed_at"),
        *OrderPanel.objects.filter(
            workorder__in=ties.values("workorder"), laid_at__gt=since
        ).values_list("workorder_id", "laid_at"),
        *_solvent_used(since=since, rules=rules),
        *_wiped_as_usual(since=since, rules=rules),
    ]
    for order, at in told:
        if at is not None and at > since:
            found[order] = max(at, found.get(order, at))
    return found


def _solvent_used(
    *, since: datetime, rules: SafetyRules
) -> list[tuple[int, datetime | None]]:
    uses = OrderPrepUse.objects.standing().select_related("chemical").order_by("-pk")
    return [
        (use.workorder_id, use.at)
        for use in uses[:MOST_USES_A_DAY]
        if use.at > since
        and use.chemical is not None
        # Not known counts as solvent.
        and prep_use(use.chemical, litres=use.litres, rules=rules).volatile_pct != 0
    ]


def _wiped_as_usual(
    *, since: datetime, rules: SafetyRules
) -> list[tuple[int, datetime | None]]:
    """Panels made ready are wiped last, even where nobody records the wipe."""
    none_used = OrderPrepUse.objects.standing().filter(chemical=None, no_remover=False)
    ready = OrderPanel.objects.filter(
        ~Exists(none_used.filter(workorder=OuterRef("workorder"))), ready_at__gt=since
    ).order_by()
    found = list(ready.values_list("workorder_id", "ready_at"))
    wipe = usual_wipe(rules=rules).chemical if found else None
    if wipe is None or prep_use(wipe, litres=None, rules=rules).volatile_pct == 0:
        return []
    return found
