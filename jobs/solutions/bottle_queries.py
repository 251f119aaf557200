"""What an order may do with the bottles that stand there: take, fill, pour over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet

from jobs.models import OrderBatch, WorkOrder
from jobs.rules.stock import (
    vessel_foreign,
    vessel_not_clean,
    vessel_not_to_fill_up,
    vessel_wrong_kind,
)
from jobs.rules.table import Concern
from mixing.bench.queries import open_fill, open_fills, rooms_of, standing
from mixing.models import Batch, Fill, Kind, RecipeVersion, Vessel
from mixing.sheet import MixingSheet
from mixing.sheet.queries import newest_versions
from shopapp.typed import is_key


def vessel_concern(
    vessel: Vessel,
    *,
    kind: str,
    workorder: WorkOrder,
    left_ml: float = 0.0,
    at: datetime | None = None,
) -> Concern | None:
    """Why a vessel may not be filled with this solution for this order.

    left_ml, at  it is to be filled up over so much that is left, at this moment
    """
    if wrong := vessel_wrong_kind(
        vessel=vessel.code,
        vessel_kind=vessel.get_kind_display(),
        solution=Kind(kind).label,
    ):
        return wrong
    fill = open_fill(vessel)
    if left_ml and fill is not None and at is not None:
        newest = newest_versions().get(vessel.kind)
        return why_not_filled_up(vessel, open_fills(vessel), newest=newest, at=at)
    if fill is not None and (
        foreign := vessel_foreign(
            vessel=vessel.code,
            batch=fill.batch.number,
            mixed_for=orders_of(fill.batch),
            order=workorder.number,
        )
    ):
        return foreign
    return vessel_not_clean(
        vessel=vessel.code, is_clean=vessel.state == Vessel.State.CLEAN
    )


def why_not_filled_up(
    vessel: Vessel, fills: list[Fill], *, newest: RecipeVersion | None, at: datetime
) -> Concern | None:
    """Why a vessel may not be filled up over what is left of these fills.

    newest  the recipe that it would be filled up by
    """
    wanted = newest.pk if newest else None
    for fill in fills:
        concern = vessel_not_to_fill_up(
            vessel=vessel.code,
            batch=fill.batch.number,
            same_recipe=fill.batch.recipe_version_id == wanted,
            use_until=fill.batch.use_by,
            now=at,
        )
        if concern:
            return concern
    return None


@dataclass(frozen=True, kw_only=True)
class FillUp:
    """A vessel that may be filled up over what is left, and what it held.

    use_by  of the oldest mix in it: filling up makes nothing last longer
    soap_ml_per_l, vv_pct  of all that is in it together, by volume
    """

    vessel: Vessel
    batch: Batch
    held_ml: float
    use_by: datetime
    soap_ml_per_l: float = 0.0
    vv_pct: float = 0.0


def vessels_to_fill_up(kind: str, *, at: datetime) -> list[FillUp]:
    """Vessels of a kind that may be filled up over what is left in them."""
    if kind == Kind.GEL:
        return []
    rows = Fill.objects.filter(
        emptied_at__isnull=True,
        vessel__kind=kind,
        vessel__retired=False,
        vessel__state=Vessel.State.FILLED,
    ).select_related("vessel", "batch")
    held: dict[Vessel, list[Fill]] = {}
    for fill in rows.order_by("vessel__code", "-batch__mixed_at"):
        held.setdefault(fill.vessel, []).append(fill)
    newest = newest_versions().get(kind)
    return [
        _fill_up(vessel, fills)
        for vessel, fills in held.items()
        if why_not_filled_up(vessel, fills, newest=newest, at=at) is None
    ]


def _fill_up(vessel: Vessel, fills: list[Fill]) -> FillUp:
    """What a vessel holds of all its fills, the newest first."""
    volume_ml = sum(fill.holds_ml for fill in fills)
    share = {fill: fill.holds_ml / volume_ml if volume_ml else 0.0 for fill in fills}
    return FillUp(
        vessel=vessel,
        batch=fills[0].batch,
        held_ml=volume_ml,
        use_by=min(fill.batch.use_by for fill in fills),
        soap_ml_per_l=sum(
            1000 * fill.batch.soap_ml / fill.batch.volume_ml * part
            for fill, part in share.items()
            if fill.batch.volume_ml
        ),
        vv_pct=sum(fill.batch.vv_pct * part for fill, part in share.items()),
    )


def left_in(sheet: MixingSheet) -> dict[str, float]:
    """What is left in the vessels that a sheet fills up, mL by code."""
    return {each.code: each.left_ml for each in sheet.request.vessels if each.left_ml}


def room_in(sheet: MixingSheet, codes: Iterable[str]) -> dict[str, float]:
    """What still goes into vessels to the brim, mL by code."""
    left = left_in(sheet)
    return {code: ml - left.get(code, 0.0) for code, ml in rooms_of(codes).items()}


def orders_of(batch: Batch) -> list[str]:
    """Numbers of the orders that a batch is tied to."""
    return list(
        OrderBatch.objects.filter(batch=batch).values_list(
            "workorder__number", flat=True
        )
    )


@dataclass(frozen=True, kw_only=True)
class Offer:
    """A batch that stands there already and could be used for an order too.

    is_own   it was mixed for this very car
    is_past  it is past its time: taking it says so
    """

    batch: Batch
    is_own: bool
    is_past: bool

    @property
    def vessels(self) -> list[str]:
        """Codes of the vessels that hold it now."""
        held = [fill for fill in self.batch.fills.all() if fill.emptied_at is None]
        return [fill.vessel.code for fill in held]

    @property
    def soap_ml_per_l(self) -> float:
        """Its soap dose; 0 without soap."""
        volume = self.batch.volume_ml
        return 1000 * self.batch.soap_ml / volume if volume else 0.0


def offered_batches(workorder: WorkOrder, *, kind: str, at: datetime) -> list[Offer]:
    """Batches of a kind to use for this round too: the car's own first, newest first.

    After a redo the bottles of the round before are offered again; those past their
    time come last.
    """
    rows = (
        Batch.objects.filter(kind=kind, pk__in=standing())
        .exclude(
            pk__in=workorder.order_batches.filter(round=workorder.round).values("batch")
        )
        .prefetch_related("fills__vessel")
    )
    own = set(workorder.order_batches.values_list("batch", flat=True))
    offers = [
        Offer(batch=batch, is_own=batch.pk in own, is_past=batch.use_by <= at)
        for batch in rows
    ]
    return sorted(offers, key=lambda each: (each.is_past, not each.is_own))


def own_offers(workorder: WorkOrder, *, at: datetime) -> list[Offer]:
    """After a redo: the car's own bottles, of what this round still waits for."""
    if workorder.round == 1:
        return []
    waiting = workorder.solutions.filter(round=workorder.round, state="waiting")
    kinds = list(waiting.values_list("kind", flat=True))
    offers = (
        offer
        for kind in kinds
        for offer in offered_batches(workorder, kind=kind, at=at)
    )
    return [offer for offer in offers if offer.is_own]


def ties_in_use(workorder: WorkOrder, *, at: datetime) -> list[OrderBatch]:
    """Batches of this round that stand in a vessel at that moment."""
    stands = Q(batch__fills__emptied_at__isnull=True)
    stands |= Q(batch__fills__emptied_at__gt=at)
    ties = workorder.order_batches.filter(stands, round=workorder.round).distinct()
    return list(
        ties.order_by("pk")
        .select_related("batch__recipe_version__recipe")
        .prefetch_related("batch__fills__vessel")
    )


def codes_in_use(batch: Batch) -> str:
    """The vessels that still hold a batch."""
    held = [fill for fill in batch.fills.all() if fill.emptied_at is None]
    return ", ".join(fill.vessel.code for fill in held)


def held_vessels(workorder: WorkOrder) -> list[Vessel]:
    """Vessels that hold a batch of this order."""
    return list(
        Vessel.objects.filter(
            fills__emptied_at__isnull=True,
            fills__batch__order_batches__workorder=workorder,
        ).distinct()
    )


def takers_of(held: list[Vessel]) -> QuerySet[Vessel]:
    """Vessels that what these hold may be poured over into: of the same kind only."""
    batches = Batch.objects.filter(
        fills__vessel__in=held, fills__emptied_at__isnull=True
    )
    same = Q(fills__batch__in=batches, fills__emptied_at__isnull=True)
    rows = Vessel.objects.filter(kind__in={each.kind for each in held}, retired=False)
    return rows.filter(Q(state=Vessel.State.CLEAN) | same).distinct()


def other_vessels(kind: str) -> list[Vessel]:
    """Vessels of a kind that may not be filled now."""
    return list(
        Vessel.objects.filter(kind=kind, retired=False).exclude(
            state=Vessel.State.CLEAN
        )
    )


def tie_of(workorder: WorkOrder, batch_pk: str | None) -> OrderBatch | None:
    """The tie of a batch that was kept a moment ago."""
    if not batch_pk or not is_key(batch_pk):
        return None
    ties = workorder.order_batches.select_related("batch__recipe_version__recipe")
    return ties.filter(batch=int(batch_pk)).last()
