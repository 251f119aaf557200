"""What the shop really uses of each solution, from its newest records."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import F

from jobs.coverage.blanks import film_area_m2, panel_size
from jobs.coverage.catalogue import Body
from jobs.coverage.measured import Car
from jobs.coverage.measured_queries import measured_on_all
from jobs.findings.learning import Use, learned_use, uses_of
from jobs.models import OrderBatch, OrderPanel
from mixing.models import Batch, Fill
from mixing.sheet import RecipeSpec, UseRate

MOST_BATCHES = 200
"""The newest records count, of all kinds together; older ones are another season."""
OF_THE_CAR = ("size_class", "make", "model", "body", "year")


def use_rates(recipes: Iterable[RecipeSpec]) -> tuple[UseRate, ...]:
    """The shop's own rate for each recipe that it has records of."""
    uses = _uses()
    return tuple(
        _rate(recipe, uses[recipe.kind.value])
        for recipe in recipes
        if uses.get(recipe.kind.value)
    )


def _rate(recipe: RecipeSpec, uses: list[Use]) -> UseRate:
    made = learned_use(
        uses=uses,
        low_ml_per_m2=recipe.use_low_ml_per_m2,
        high_ml_per_m2=recipe.use_high_ml_per_m2,
    )
    low, high = made.used.low, made.used.high
    assert low is not None
    assert high is not None
    return UseRate(
        kind=recipe.kind,
        ml_per_m2=made.used.value,
        low_ml_per_m2=low,
        high_ml_per_m2=high,
        note="learned from the shop's own jobs",
        learned=made.used,
        own=made.own,
        jobs=len(uses),
    )


def _uses() -> dict[str, list[Use]]:
    """Jobs by kind of solution: six queries however long the shop's past is."""
    used = _used_ml()
    if not used:
        return {}
    # Every batch that such a panel was laid with, also those of unknown use.
    rows = OrderPanel.batches.through.objects.filter(
        orderpanel__in=OrderPanel.objects.filter(batches__in=list(used))
    )
    pairs: dict[str, list[tuple[int, int]]] = {}
    for panel, batch, kind in rows.values_list(
        "orderpanel_id", "batch_id", "batch__kind"
    ):
        pairs.setdefault(kind, []).append((panel, batch))
    area = _areas({panel for each in pairs.values() for panel, _ in each})
    return {
        kind: uses_of(laid_with=each, used_ml=used, area_m2=area)
        for kind, each in pairs.items()
    }


def _used_ml() -> dict[int, float]:
    """Poured less left over, by batch, where all of it is known.

    A batch of an order that went into another round is left out: its panels were
    laid again with other batches.
    """
    newest = list(
        Batch.objects.order_by("-mixed_at", "-pk").values_list("pk", flat=True)[
            :MOST_BATCHES
        ]
    )
    redone = OrderBatch.objects.filter(
        batch__in=newest, workorder__round__gt=F("round")
    ).values_list("batch", flat=True)
    unknown = set(redone)
    used: dict[int, float] = {}
    fills = Fill.objects.filter(batch__in=newest)
    for batch, emptied_at, volume_ml, left_ml in fills.values_list(
        "batch_id", "emptied_at", "volume_ml", "left_ml"
    ):
        if emptied_at is None or left_ml is None:
            unknown.add(batch)
            continue
        used[batch] = used.get(batch, 0.0) + max(0.0, volume_ml - left_ml)
    return {batch: ml for batch, ml in used.items() if batch not in unknown}


def _areas(panels: set[int]) -> dict[int, float]:
    rows = OrderPanel.objects.filter(pk__in=panels).values_list(
        "pk", "panel", *(f"workorder__vehicle__{name}" for name in OF_THE_CAR)
    )
    # Many panels are of one kind on one car: each of these is looked up once.
    alike: dict[tuple[str, str, Car], list[int]] = {}
    for pk, panel, size_class, make, model, body, year in rows:
        car = Car(make=make, model=model, body=Body(body), year=year)
        alike.setdefault((panel, size_class, car), []).append(pk)
    measured = measured_on_all({car for _, _, car in alike})
    areas: dict[int, float] = {}
    for (panel, size_class, car), pks in alike.items():
        size = panel_size(
            panel, size_class=size_class, body=car.body, measured=measured[car]
        )
        areas |= dict.fromkeys(pks, film_area_m2([size]).value)
    return areas
