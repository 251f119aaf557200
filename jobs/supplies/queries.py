"""What runs low, and what there is enough of."""

from __future__ import annotations

from django.db.models import QuerySet

from jobs.models import Supply


def low_supplies() -> QuerySet[Supply]:
    """What runs low: not ordered yet first, then the longest."""
    low = Supply.objects.filter(low_at__isnull=False).select_related("low_by")
    return low.order_by("ordered_at", "low_at", "pk")


def enough_of() -> QuerySet[Supply]:
    """What nobody has said runs low."""
    return Supply.objects.filter(low_at=None)
