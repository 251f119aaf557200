"""Too hot, too cold: what a panel's temperature means for laying and mixing (pure).

The film maker's limits where the film has them, else the shop's. A flash point is a
fire line and no laying limit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from shopapp.figures import given
from shopapp.say import Say, say

COLD_C, HOT_C, TOO_HOT_C = 10.0, 35.0, 45.0
"""Under the first warm the car; over the second shade, cool and measure again; over
the third nobody lays. Common practice, no published source."""


@dataclass(frozen=True, kw_only=True)
class LayingLimits:
    """The panel temperatures that film is laid between.

    cold_c, hot_c  under the first and over the second something is done first, °C
    too_hot_c      over it nothing is mixed, °C
    cold_by_maker, hot_by_maker  whether the film's maker states that limit
    """

    cold_c: float = COLD_C
    hot_c: float = HOT_C
    too_hot_c: float = TOO_HOT_C
    cold_by_maker: bool = False
    hot_by_maker: bool = False

    def of_film(
        self, *, panel_min_c: float | None, panel_max_c: float | None
    ) -> LayingLimits:
        """With what the film's maker states in place of the shop's own.

        >>> LayingLimits().of_film(panel_min_c=None, panel_max_c=50.0).too_hot_c
        50.0
        """
        found = self
        if panel_min_c is not None:
            found = replace(found, cold_c=panel_min_c, cold_by_maker=True)
        if panel_max_c is not None:
            most = max(panel_max_c, self.too_hot_c)
            found = replace(found, hot_c=panel_max_c, hot_by_maker=True, too_hot_c=most)
        return found

    def allows_mixing(self, panel_c: float | None) -> bool:
        """Whether something is mixed for such a panel."""
        return panel_c is None or panel_c <= self.too_hot_c


def laying_says(*, panel_c: float | None, limits: LayingLimits) -> tuple[Say, ...]:
    """What to do about the panel's temperature before film goes on; () is "go on".

    panel_c  measured, °C; None is not read

    >>> laying_says(panel_c=24.0, limits=LayingLimits())
    ()
    >>> [each.text[:28] for each in laying_says(panel_c=47.0, limits=LayingLimits())]
    ['Too hot: {panel} is at {now}']
    """
    if panel_c is None:
        return ()
    if panel_c > limits.too_hot_c:
        text, limit, by_maker = _TOO_HOT, limits.too_hot_c, False
    elif panel_c > limits.hot_c:
        text = _HOT_BY_MAKER if limits.hot_by_maker else _HOT
        limit, by_maker = limits.hot_c, limits.hot_by_maker
    elif panel_c < limits.cold_c:
        text = _COLD_BY_MAKER if limits.cold_by_maker else _COLD
        limit, by_maker = limits.cold_c, limits.cold_by_maker
    else:
        return ()
    return (
        say(
            text,
            panel="the panel",
            now=given(panel_c, "degc", "reading: panel"),
            limit=given(limit, "degc", _BY_MAKER if by_maker else _BY_SHOP),
        ),
    )


def not_mixed_for(*, panel_c: float | None, limits: LayingLimits) -> Say | None:
    """Why nothing is mixed for a panel so hot, or None.

    >>> not_mixed_for(panel_c=45.0, limits=LayingLimits()) is None
    True
    """
    if panel_c is None or limits.allows_mixing(panel_c):
        return None
    return say(
        "Not mixed for a panel at {now}: over {limit} nobody lays film. Cool it down "
        "and measure again.",
        now=given(panel_c, "degc", "reading: panel"),
        limit=given(limits.too_hot_c, "degc", _BY_SHOP),
    )


_BY_MAKER = "film maker's limit"
_BY_SHOP = "the shop's limit (common practice, no published source)"

_TOO_HOT = (
    "Too hot: {panel} is at {now}, and over {limit} nobody lays film. Shade it, cool "
    "it down and measure again."
)
_HOT = (
    "Hot: {panel} is at {now}, over the shop's {limit}. Shade it, cool it down and "
    "measure again."
)
_HOT_BY_MAKER = (
    "Hot: {panel} is at {now}, over the film maker's {limit}. Shade it, cool it down "
    "and measure again."
)
_COLD = (
    "Cold: {panel} is at {now}, under the shop's {limit}. Film is stiff and does not "
    "bond: warm the car."
)
_COLD_BY_MAKER = (
    "Cold: {panel} is at {now}, under the film maker's {limit}. Film is stiff and does "
    "not bond: warm the car."
)
