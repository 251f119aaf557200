"""The rows that a code in an address names, as facts of the action; or 404."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404

from mixing.models import StockContainer, Vessel

Facts = dict[str, Any]


def vessel(code: str) -> Facts:
    """A vessel."""
    return {"vessel_pk": get_object_or_404(Vessel, code__iexact=code).pk}


def container(code: str) -> Facts:
    """A container on the shelf."""
    return {"container_pk": get_object_or_404(StockContainer, code__iexact=code).pk}
