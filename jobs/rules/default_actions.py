"""What a new shop starts with. Loads only what is absent; never overwrites."""

from __future__ import annotations

from jobs.additions.menu_actions import load_menu
from jobs.checks.queries import item_to
from jobs.condition.marks import default_checklists
from jobs.models import Checklist, ChecklistVersion
from jobs.stages.table import Stage
from mixing.recipes.default_actions import load_defaults as load_bench
from shopapp.frame import Act, action

NAMES = {stage.row.checklist: stage.row.checklist_name for stage in Stage}
"""Names of the shipped checklists, by code."""


@action("shop.defaults")
def load_defaults(act: Act) -> None:
    """Checklists of the stages, the menu of other work, the bench's own defaults."""
    load_checklists(act)
    load_menu()
    load_bench(act)


def load_checklists(act: Act) -> None:
    """Version 1 of each shipped checklist that the shop does not know yet."""
    known = set(Checklist.objects.values_list("code", flat=True))
    for code, items in default_checklists().items():
        if code in known:
            continue
        checklist = Checklist.objects.create(code=code, name=NAMES[code])
        ChecklistVersion.objects.create(
            checklist=checklist,
            number=1,
            items=[item_to(item) for item in items],
            why="shipped with the program; common practice",
            made_by=act.tap.by,
            made_at=act.now,
        )
