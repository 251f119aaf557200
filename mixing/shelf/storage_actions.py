"""Where stock stands and in what: spots and containers."""

from __future__ import annotations

from typing import Any

from mixing import limits
from mixing.models import StockContainer, StorageSpot
from shopapp.actions import write
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("spot.change", within=limits.SPOT)
def change_spot(act: Act, /, *, spot_pk: int | None = None, **fields: Any) -> Json:
    """Add a storage spot, or change one."""
    spot = StorageSpot.objects.filter(pk=spot_pk or 0).first() or StorageSpot()
    if (
        StorageSpot.objects.filter(name=fields["name"])
        .exclude(pk=spot.pk or 0)
        .exists()
    ):
        raise Refused(say("There is one of this name already."), field="name")
    return write(spot, fields)


@action("stock.change", within=limits.CONTAINER)
def change_container(act: Act, /, *, container_pk: int, **fields: Any) -> Json:
    """Correct what a container is and where it stands."""
    container = act.lock(StockContainer, container_pk)
    if container.retired_at is not None:
        raise Refused(say("{code} is not on the shelf any more.", code=container.code))
    if fields["capacity_ml"] < container.left_ml:
        raise Refused(
            say("{code} holds more than that now.", code=container.code),
            field="capacity_ml",
        )
    return write(container, fields)
