"""Measured flash points: entered, replaced by a better one, withdrawn with a reason."""

from __future__ import annotations

from datetime import date

from mixing import limits
from mixing.flash_points.queries import standing_flash_points
from mixing.models import FlashPoint, FlashPointWithdrawal, RecipeVersion
from mixing.shelf.actions import today_of
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import StoredFile
from shopapp.say import say


@action("flashpoint.enter", within=limits.MEASURED)
def enter_flash_point(
    act: Act,
    *,
    recipe_pk: int,
    recipe_version: RecipeVersion,
    vv_pct: float,
    flash_point_c: float,
    boiling_point_c: float | None = None,
    cup: str,
    ground: str,
    category: int | None = None,
    measured_by: str,
    measured_on: date,
    report: StoredFile | None = None,
    replaces: FlashPoint | None = None,
) -> Json:
    """Keep what a test or a data sheet says of one mix."""
    if recipe_version.recipe_id != recipe_pk:
        raise Refused(say("This version is of another recipe."), field="recipe_version")
    if measured_on > today_of(act):
        raise Refused(say("This day has not come yet."), field="measured_on")
    if replaces is not None:
        _refuse_gone(replaces, recipe_pk=recipe_pk)
    row = FlashPoint.objects.create(
        recipe_version=recipe_version,
        vv_pct=vv_pct,
        flash_point_c=flash_point_c,
        boiling_point_c=boiling_point_c,
        cup=cup,
        ground=ground,
        category=category,
        measured_by=measured_by.strip(),
        measured_on=measured_on,
        report=report,
        replaces=replaces,
        entered_by=act.by,
        entered_at=act.now,
    )
    return {"pk": row.pk}


def _refuse_gone(replaced: FlashPoint, *, recipe_pk: int) -> None:
    FlashPoint.objects.select_for_update(no_key=True).get(pk=replaced.pk)
    stands = standing_flash_points().filter(recipe_version__recipe=recipe_pk)
    if not stands.filter(pk=replaced.pk).exists():
        raise Refused(
            say("This value was replaced or withdrawn meanwhile."), field="replaces"
        )


@action("flashpoint.withdraw")
def withdraw_flash_point(act: Act, *, flash_point_pk: int, reason: str) -> Json:
    """Go by it no more: the estimate or another value counts from now on."""
    if not reason.strip():
        raise Refused(say("Say why it is withdrawn."), field="reason")
    row = FlashPoint.objects.select_for_update(no_key=True).get(pk=flash_point_pk)
    if FlashPointWithdrawal.objects.filter(flash_point=row).exists():
        raise Refused(say("It is withdrawn already."))
    made = FlashPointWithdrawal.objects.create(
        flash_point=row, reason=reason.strip(), by=act.by, at=act.now
    )
    return {"pk": made.pk}
