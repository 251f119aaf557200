"""What stands where: vessels, fills, batches, containers; a label in a photo."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.core.files.base import File
from django.db.models import F, Prefetch, QuerySet

from mixing.bench.scan_queries import codes_in_photo
from mixing.models import (
    Batch,
    Fill,
    Kind,
    StockContainer,
    Substance,
    Vessel,
)
from shopapp.once import once_a_page
from shopapp.say import Say, say


def is_fresh(batch: Batch, *, at: datetime) -> bool:
    """Whether a batch may still be used."""
    return at < batch.use_by


def clean_vessels(kind: str) -> list[Vessel]:
    """Vessels of a kind that may be filled."""
    return list(
        Vessel.objects.filter(kind=kind, retired=False, state=Vessel.State.CLEAN)
    )


def rooms_of(codes: Iterable[str]) -> dict[str, float]:
    """What vessels hold to the brim, by code, mL."""
    known = Vessel.objects.filter(code__in=list(codes))
    return dict(known.values_list("code", "capacity_ml"))


@once_a_page
def open_fills(vessel: Vessel) -> list[Fill]:
    """What a vessel holds now, the newest batch first: it may have been filled up."""
    rows = vessel.fills.filter(emptied_at__isnull=True)
    return list(rows.select_related("batch").order_by("-batch__mixed_at", "-batch_id"))


def open_fill(vessel: Vessel) -> Fill | None:
    """What a vessel was filled with last, while it holds it."""
    return next(iter(open_fills(vessel)), None)


@dataclass(frozen=True, kw_only=True)
class InVessel:
    """What is in a vessel now: each batch in it, until when, or since when nothing.

    use_by      the earliest of its batches: the whole is past its time then
    emptied_at  when it was last emptied and rinsed, None where nobody said so yet
    """

    fills: list[Fill]
    use_by: datetime | None
    is_past: bool
    volume_ml: float
    emptied_at: datetime | None


def in_vessel(vessel: Vessel, *, at: datetime) -> InVessel:
    """What is in a vessel at a moment."""
    fills = open_fills(vessel)
    use_by = min((fill.batch.use_by for fill in fills), default=None)
    emptied = vessel.fills.filter(emptied_at__isnull=False).order_by("-emptied_at")
    last = emptied.first()
    return InVessel(
        fills=fills,
        use_by=use_by,
        is_past=use_by is not None and at >= use_by,
        volume_ml=sum(fill.holds_ml for fill in fills),
        emptied_at=last.emptied_at if last else None,
    )


def is_emptied(batch: Batch) -> bool:
    """Whether no vessel holds anything of a batch any more."""
    return not batch.fills.filter(emptied_at__isnull=True).exists()


@dataclass(frozen=True, kw_only=True)
class Scanned:
    """What a photo showed: a vessel of this shop, or why none."""

    vessel: Vessel | None = None
    problem: Say | None = None


def vessels_in_photo(photo: File[bytes]) -> Scanned:
    """The vessel whose label is in a photo."""
    photo.seek(0)
    codes = codes_in_photo(photo.read())
    if codes is None:
        return Scanned(
            problem=say("This file is not a photo. Take a JPEG, PNG or WebP.")
        )
    if not codes:
        return Scanned(
            problem=say(
                "No code is to be seen in this photo. Hold it closer and flat, or type "
                "the code."
            )
        )
    vessel = Vessel.objects.filter(code__in=codes, retired=False).first()
    if vessel is None:
        return Scanned(
            problem=say(
                "The code {code} belongs to no vessel here. Read the label again.",
                code=codes[0][:40],
            )
        )
    return Scanned(vessel=vessel)


@once_a_page
def vessels_by_kind() -> list[tuple[str, list[Vessel]]]:
    """Vessels in use with what they hold, kind by kind."""
    rows = Vessel.objects.filter(retired=False).prefetch_related(
        Prefetch(
            "fills",
            queryset=Fill.objects.filter(emptied_at__isnull=True)
            .select_related("batch")
            .order_by("-batch__mixed_at", "-batch_id"),
            to_attr="held",
        )
    )
    found: dict[str, list[Vessel]] = {kind: [] for kind in Kind.values}
    for vessel in rows:
        found[vessel.kind].append(vessel)
    return [(kind, vessels) for kind, vessels in found.items() if vessels]


def vessels_to_empty() -> list[tuple[Vessel, Fill | None]]:
    """The end-of-shift list: what is filled or not rinsed yet, with its fill."""
    return [
        (vessel, vessel.held[0] if vessel.held else None)  # type: ignore[attr-defined]
        for _kind, vessels in vessels_by_kind()
        for vessel in vessels
        if vessel.state != Vessel.State.CLEAN
    ]


def standing() -> QuerySet[Fill, int]:
    """The batches of all that stands in a vessel, read from what is not emptied."""
    held = Fill.objects.filter(emptied_at__isnull=True).order_by()
    return held.values_list("batch", flat=True)


def batches_in_use() -> list[Batch]:
    """Batches that still stand in a vessel, newest first."""
    return list(
        Batch.objects.filter(pk__in=standing())
        .select_related("mixed_by")
        .prefetch_related("fills__vessel", "order_batches__workorder")
    )


POURED_INTO = {
    Kind.SLIP: (Substance.SOAP,),
    Kind.TACK: (Substance.ALCOHOL,),
    Kind.ALL_IN_ONE: (Substance.ALCOHOL, Substance.SOAP),
    Kind.GEL: (Substance.GEL,),
}


def containers_to_pour(kind: str, substance: str = "") -> list[StockContainer]:
    """Containers that a solution may be poured from, those not opened last.

    substance  only these; "": every substance of the solution
    """
    wanted = [substance] if substance else list(POURED_INTO[Kind(kind)])
    return list(
        StockContainer.objects.filter(
            retired_at__isnull=True, left_ml__gt=0, chemical__substance__in=wanted
        )
        .select_related("chemical")
        .order_by(F("opened_on").asc(nulls_last=True), "pk")
    )


def unopened_needed(kind: str) -> list[StockContainer]:
    """Unopened containers of what a solution needs and nothing is open of."""
    rows = containers_to_pour(kind)
    there = {row.chemical.substance for row in rows if row.opened_on}
    return [row for row in rows if row.chemical.substance not in there]


def container_in_photo(photo: File[bytes]) -> StockContainer | None:
    """The container on the shelf whose label is in a photo."""
    photo.seek(0)
    codes = codes_in_photo(photo.read()) or []
    rows = StockContainer.objects.filter(code__in=codes, retired_at__isnull=True)
    return rows.select_related("chemical").first()


def containers_on_shelf() -> list[StockContainer]:
    """Containers on the shelf: opened ones first, oldest first."""
    return list(
        StockContainer.objects.filter(retired_at__isnull=True)
        .select_related("chemical", "spot")
        .order_by(
            "chemical__substance", F("opened_on").asc(nulls_last=True), "expires_on"
        )
    )
