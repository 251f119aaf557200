"""What the shop says of its air and its wipe."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from mixing import limits
from mixing.models import AirSettings
from shopapp.actions import stands_full, write
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Bay, Shop, the_shop
from shopapp.say import say


@action("air.change", within=limits.AIR)
def change_air(
    act: Act, /, *, height_m: float, wipe_ml_per_m2: float, wipe_min_per_panel: float
) -> Json:
    """Keep the height above the sea and how the shop wipes a car before film."""
    act.lock(Shop, 1)
    row = AirSettings.objects.first() or AirSettings()
    known = {
        "height_m": height_m,
        "wipe_ml_per_m2": wipe_ml_per_m2,
        "wipe_min_per_panel": wipe_min_per_panel,
    }
    return write(row, known)


@action("bay.change", within=limits.BAY)
def change_bay(act: Act, /, *, bay_pk: int | None = None, **fields: Any) -> Json:
    """Add a bay, or change what is known of it; nothing is filled in by itself."""
    bay = act.lock(Bay, bay_pk) if bay_pk else Bay()
    if Bay.objects.filter(name=fields["name"]).exclude(pk=bay.pk or 0).exists():
        raise Refused(say("There is one of this name already."), field="name")
    today = timezone.localtime(act.now, the_shop().zone).date()
    if (measured_on := fields.get("exhaust_measured_on")) and measured_on > today:
        raise Refused(say("This day has not come yet."), field="exhaust_measured_on")
    if fields.get("retired") and bay.pk and stands_full(bay):
        raise Refused(say("A car stands here. Move it first."), field="retired")
    return write(bay, fields)
