"""Where what is left in a vessel goes."""

from __future__ import annotations

from collections.abc import Iterable

from mixing.bench.queries import open_fills
from mixing.models import Fill, Kind, Vessel
from mixing.rule_sets.queries import rules_of
from mixing.safety.leftovers import Leftover, leftover_goes
from shopapp.models import the_shop
from shopapp.say import Say

_BURNS = (Kind.TACK, Kind.ALL_IN_ONE)


def leftovers_go(vessels: Iterable[Vessel]) -> list[Say]:
    """Where the rest of each vessel goes."""
    shop = the_shop()
    rules = rules_of(shop)
    return [
        leftover_goes(_held(vessel), rules=rules, rinse_water=shop.rinse_water)
        for vessel in vessels
    ]


def mix_goes(*, vv_pct: float, is_gel: bool) -> Say:
    """Where a mix that is tipped out goes."""
    shop = the_shop()
    held = [Leftover(vv_pct=vv_pct, is_gel=is_gel)]
    return leftover_goes(held, rules=rules_of(shop), rinse_water=shop.rinse_water)


def _held(vessel: Vessel) -> list[Leftover]:
    """What may be in it; [] where nobody knows."""
    # The list of a page brings them along.
    fills = getattr(vessel, "held", None)
    fills = open_fills(vessel) if fills is None else fills
    if vessel.state == Vessel.State.UNKNOWN:
        return []
    if fills:
        return [_left(fill) for fill in fills]
    # Poured empty and not rinsed: its kind says what may still be in it.
    burns, is_gel = vessel.kind in _BURNS, vessel.kind == Kind.GEL
    return [Leftover(vv_pct=1.0 if burns else 0.0, is_gel=is_gel)]


def _left(fill: Fill) -> Leftover:
    batch = fill.batch
    strongest = max(batch.vv_pct, batch.vv_high_pct)
    return Leftover(vv_pct=strongest, is_gel=batch.kind == Kind.GEL)
