"""A roll that ends in the middle of a pull: what its film did not reach (pure)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from jobs.pulls.plan import PanelToCut, PlannedPull


def panels_beyond(
    found: PlannedPull, *, roll_id: str, length_mm: int
) -> tuple[PanelToCut, ...]:
    """Panels of a roll that lie, in part or whole, beyond the film that was there.

        beyond: y + length along the roll > film taken

    roll_id    the roll as the plan calls it
    length_mm  film really taken off it, 0 or more
    Source: plain comparison; the plan's own places, counted from the fresh end.
    """
    sizes = {blank.id: blank for blank in found.job.blanks}
    beyond = {
        place.blank_id
        for place in found.plan.placements
        if place.source_id == roll_id
        and place.y_mm
        + (
            sizes[place.blank_id].width_mm
            if place.turned
            else sizes[place.blank_id].length_mm
        )
        > length_mm
    }
    return tuple(panel for panel in found.job.panels if panel.id in beyond)


def panels_missing(
    found: PlannedPull, *, ended: Mapping[str, int]
) -> tuple[PanelToCut, ...]:
    """The same for every roll that ended: the roll as planned, and what it gave."""
    return tuple(
        panel
        for roll_id, length_mm in ended.items()
        for panel in panels_beyond(found, roll_id=roll_id, length_mm=length_mm)
    )


def pieces_there(
    found: PlannedPull, kept: Iterable[int], *, ended: Mapping[str, int]
) -> list[int]:
    """Places in the plan's list of off-cuts that are there, of those to be kept."""
    pieces = found.plan.new_offcuts
    return [
        at
        for at in kept
        if pieces[at].source_id not in ended
        or pieces[at].y_mm + pieces[at].length_mm <= ended[pieces[at].source_id]
    ]
