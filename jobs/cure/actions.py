"""A manager sets how long film settles and what the customer is told."""

from __future__ import annotations

from typing import Any

from jobs import limits
from jobs.cure.dates import CureRule
from jobs.models import CureTable
from shopapp.actions import write
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Shop
from shopapp.say import say


@action("cure.change", within=limits.CURE)
def change_cure_table(act: Act, /, **fields: Any) -> Json:
    """Keep the shop's cure table; cars that settle already keep their time."""
    act.lock(Shop, 1)
    if not fields["small_h"] <= fields["partial_h"] <= fields["overnight_h"]:
        raise Refused(
            say("More film settles at least as long as less film."),
            field="overnight_h",
        )
    if fields["recheck_from_days"] > fields["recheck_until_days"]:
        raise Refused(
            say("The recheck window ends before it begins."),
            field="recheck_until_days",
        )
    CureRule(**fields)
    row = CureTable.objects.filter(pk=1).first() or CureTable(pk=1)
    return write(row, fields)
