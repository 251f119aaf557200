"""Off-cuts that were really kept of a plan."""

from __future__ import annotations

from jobs.models import FilmMovement, OffCut, Pull


def kept_mm2(pull: Pull) -> int | None:
    """Off-cuts that were really kept of a plan, once its film is taken."""
    if pull.state != Pull.State.TAKEN:
        return None
    what = FilmMovement.What.OFFCUT_KEPT
    kept = OffCut.objects.filter(
        movements__what=what, movements__pull__cut_plan=pull.cut_plan_id
    )
    return sum(piece.width_mm * piece.length_mm for piece in kept)
