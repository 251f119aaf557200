"""What the shop says of its air and its wipe."""

from __future__ import annotations

from mixing import limits
from mixing.models import AirSettings
from shopapp.actions import write
from shopapp.frame import Act, Json, action
from shopapp.models import Shop


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
