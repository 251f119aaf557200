"""What one mixing comes to over its vessels, and what it takes (pure)."""

from __future__ import annotations

from mixing.sheet.fill import total_ml
from mixing.sheet.parts import Draw, VesselFill
from shopapp.figures import Figure, computed, given


def batch_total(fills: tuple[VesselFill, ...]) -> Figure:
    """Volume of one mixing over all its vessels."""
    total: Figure = given(0.0, "ml", "no other vessel")
    for fill in fills:
        total = computed(
            total_ml,
            "ml",
            each_ml=fill.planned,
            vessels=fill.count,
            others_ml=total,
        )
    return total


def drawn(fills: tuple[VesselFill, ...]) -> tuple[Draw, ...]:
    """What each stock container gives in all, in the order of pouring."""
    draws: dict[str, Draw] = {}
    for fill in fills:
        for pour in fill.pours:
            if not pour.container:
                continue
            known = draws.get(pour.container)
            before = (
                given(0.0, "ml", "nothing before") if known is None else (known.amount)
            )
            draws[pour.container] = Draw(
                substance=pour.substance,
                container=pour.container,
                lot=pour.lot,
                amount=computed(
                    total_ml,
                    pour.amount.unit,
                    each_ml=pour.amount,
                    vessels=fill.count,
                    others_ml=before,
                ),
            )
    return tuple(draws.values())
