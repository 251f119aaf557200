"""Our answers to the rows of the safety tables; shared with the bench."""

from __future__ import annotations

import importlib

from mixing.safety.exposure import additive_share, twa_ppm
from mixing.safety.labels import (
    Hazard,
    Ingredient,
    LabelElements,
    label_elements,
    mixture_hazards,
)


def ours(row: dict[str, str]) -> float:
    """What our function gives for the inputs of a row, in the row's unit."""
    module, _, name = row["function"].rpartition(".")
    function = getattr(importlib.import_module(f"mixing.safety.{module}"), name)
    inputs = dict(pair.split("=") for pair in row["inputs"].split())
    value: float = function(**{key: float(given) for key, given in inputs.items()})
    return value * float(row["times"])


def exposure(row: dict[str, str]) -> float:
    """The average or the share of the limits of a row of safety_exposures."""
    sign = {"twa": "x", "share": ":"}[row["how"]]
    pairs = [tuple(map(float, pair.split(sign))) for pair in row["pairs"].split()]
    if row["how"] == "twa":
        return twa_ppm(periods=[(level, hours) for level, hours in pairs])
    return additive_share(levels=[(level, limit) for level, limit in pairs])


def mixture_label(row: dict[str, str]) -> LabelElements:
    """The label of a row of safety_mixtures."""
    parts = []
    for number, part in enumerate(row["parts"].split()):
        names, _, mass_pct = part.partition(":")
        parts.append(
            Ingredient(
                name=f"part {number}",
                mass_pct=float(mass_pct),
                hazards=frozenset(Hazard(name) for name in names.split("+")),
            )
        )
    category = int(row["category"]) if row["category"] else None
    return label_elements(
        hazards=mixture_hazards(ingredients=parts, flammable_category=category)
    )
