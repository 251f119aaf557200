"""What is added to a panel on each side: edge wrap, and film to hold (pure)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

from jobs.coverage.catalogue import Method, PanelChoice, panels


@dataclass(frozen=True, kw_only=True)
class Allowance:
    """What is added a side, along and across the panel, in mm."""

    wrap_length_mm: float
    wrap_width_mm: float
    hold_length_mm: float
    hold_width_mm: float


NAMES = tuple(field.name for field in fields(Allowance))


@dataclass(frozen=True, kw_only=True)
class AllowanceSet:
    """What the shop has set for a kind of panel; None leaves the next wider answer.

    kind  of `jobs.coverage.catalogue.panels`; "" for every panel
    """

    kind: str
    method: Method
    wrap_length_mm: float | None = None
    wrap_width_mm: float | None = None
    hold_length_mm: float | None = None
    hold_width_mm: float | None = None


USUAL = {
    Method.HAND_FITTED: Allowance(
        wrap_length_mm=10.0,
        wrap_width_mm=10.0,
        hold_length_mm=60.0,
        hold_width_mm=60.0,
    ),
    Method.PRE_CUT: Allowance(
        wrap_length_mm=10.0, wrap_width_mm=10.0, hold_length_mm=0.0, hold_width_mm=0.0
    ),
}
"""Until the shop sets its own. By hand inside both usual ranges; pre-cut film is
trimmed by the plotter and needs nothing to hold.

Common practice, no published source.
"""

Key = tuple[str, Method]


def allowance_of(
    kind: str, *, method: Method, shop: Mapping[Key, AllowanceSet]
) -> Allowance:
    """What is added to a kind of panel: set for it, else for every panel, else usual.

    kind    of `jobs.coverage.catalogue.panels`; "" for every panel
    method  how the film is cut
    shop    what the shop has set, by kind and method

    >>> own = AllowanceSet(kind="hood", method=Method.HAND_FITTED, hold_width_mm=75.0)
    >>> allowance_of(
    ...     "hood", method=own.method, shop={("hood", own.method): own}
    ... ).hold_width_mm
    75.0
    """
    usual = USUAL[method]
    set_by = [shop[key] for key in ((kind, method), ("", method)) if key in shop]
    values = {}
    for name in NAMES:
        said = [getattr(one, name) for one in set_by]
        values[name] = next(
            (value for value in said if value is not None), getattr(usual, name)
        )
    return Allowance(**values)


def allowance_for(
    choice: PanelChoice, *, shop: Mapping[Key, AllowanceSet]
) -> Allowance:
    """What is added to a panel as it was agreed."""
    kind = panels()[choice.panel].kind
    return allowance_of(kind, method=choice.method, shop=shop)
