"""Film of more than one lot on a car (pure)."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from shopapp.say import Say, say

DIFFERS = frozenset({"matte", "colour"})
"""Finishes whose lots can differ to the eye: common practice, no published source."""


def lots_show(finish: str) -> bool:
    """Whether two lots of a film of this finish can be told apart on a car."""
    return finish in DIFFERS


def another_lot(
    *, finish: str, on_car: Collection[str], wanted: Mapping[str, str]
) -> Say | None:
    """Said where film of another lot than the car's, or of two lots, is planned.

    finish  of the film, as `jobs.models.Film.Finish` calls it
    on_car  lots of the film that was taken for the car so far
    wanted  lot by roll or off-cut that the plan takes; "" where nobody noted it
    """
    if not lots_show(finish):
        return None
    other = {code: lot for code, lot in wanted.items() if lot not in on_car}
    if on_car and other:
        return say(
            "The film on this car is of lot {lots}; {other}. Hold them side by side "
            "in daylight first: matte and coloured film can differ from lot to lot.",
            lots=", ".join(sorted(lot or "unknown" for lot in on_car)),
            other=_named(other),
        )
    if len(set(wanted.values())) > 1:
        return say(
            "Two lots for one car: {wanted}. Hold them side by side in daylight "
            "first: matte and coloured film can differ from lot to lot.",
            wanted=_named(wanted),
        )
    return None


def _named(lots: Mapping[str, str]) -> str:
    return ", ".join(
        f"{code} is of lot {lot or 'unknown'}" for code, lot in lots.items()
    )


def lots_on_car(*, finish: str, lots: Collection[str]) -> Say | None:
    """Said of a car that carries film of several lots."""
    if not lots_show(finish) or len(set(lots)) < 2:
        return None
    return say(
        "Film of several lots is on this car: {lots}.",
        lots=", ".join(sorted(lot or "unknown" for lot in set(lots))),
    )
