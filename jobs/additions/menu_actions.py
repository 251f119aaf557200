"""The menu of other work: what is shipped, and what a manager makes of it."""

from __future__ import annotations

from typing import Any

from jobs import limits
from jobs.models import MenuWork
from jobs.tables import table
from shopapp.actions import write
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Shop
from shopapp.say import say


@action("menuwork.change", within=limits.WORK)
def change_menu_work(act: Act, /, *, work_pk: int | None = None, **fields: Any) -> Json:
    """Add a row of the menu, or change one; what was agreed stays as it is."""
    act.lock(Shop, 1)
    row = MenuWork.objects.get(pk=work_pk) if work_pk else MenuWork()
    others = MenuWork.objects.filter(name=fields["name"]).exclude(pk=work_pk or 0)
    if others.exists():
        raise Refused(say("There is one of this name already."), field="name")
    return write(row, fields)


def load_menu() -> None:
    """The shipped menu, for a shop that has none."""
    if MenuWork.objects.exists():
        return
    MenuWork.objects.bulk_create(
        MenuWork(
            name=row["name"],
            minutes=int(row["minutes"]),
            when=row["when"],
            skill=row["skill"],
        )
        for row in table("other_work")
    )
