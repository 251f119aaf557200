"""The shop's rules, its acceptance standard, its checklists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from jobs import limits
from jobs.checks.queries import item_to, items_of
from jobs.condition.marks import ChecklistItem
from jobs.models import Checklist, ChecklistVersion
from jobs.panels.queries import ACCEPTANCE
from jobs.rules.table import (
    RULES,
    Level,
    Rule,
    enforced_levels,
    is_hard,
    level_of,
    unknown_levels,
)
from jobs.stages.queries import rule_levels
from shopapp.actions import write
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Shop
from shopapp.say import say


@action("rule.change")
def change_rules(act: Act, *, levels: Mapping[str, str]) -> Json:
    """Set the level of rules; a hard one stays hard, no other becomes it."""
    return _set_levels(
        act, {Rule(code): Level(level) for code, level in levels.items()}
    )


@action("rule.enforce")
def enforce_rules(act: Act) -> Json:
    """Every rule at the level it has once the shop enforces its rules."""
    return _set_levels(act, enforced_levels())


def _set_levels(act: Act, wanted: Mapping[Rule, Level]) -> Json:
    shop = act.lock(Shop, 1)
    before = rule_levels(shop)
    soft = {rule: level for rule, level in wanted.items() if not is_hard(rule)}
    if Level.HARD in soft.values():
        raise Refused(say("Only the program's own hard rules are hard."))
    changed = {
        str(RULES[rule].title): [level_of(rule, levels=before).value, level.value]
        for rule, level in soft.items()
        if level_of(rule, levels=before) is not level
    }
    after = {**before, **soft}
    # What only another version knows is still there when the shop goes back to it.
    kept = unknown_levels(shop.rule_levels)
    set_now = {rule.value: level.value for rule, level in after.items()}
    shop.rule_levels = kept | set_now
    shop.save(update_fields=["rule_levels"])
    return {"changed": changed}


@action("acceptance.change", within=limits.ACCEPTANCE)
def change_acceptance(
    act: Act,
    *,
    largest_mm: float,
    per_panel: int,
    distance_mm: float,
    light: str,
    watched: Sequence[str],
) -> Json:
    """Set what the inspector lets pass; defects that are logged keep their verdict."""
    shop = act.lock(Shop, 1)
    before = ACCEPTANCE.upgrade(shop.acceptance)
    after = {
        "largest_mm": largest_mm,
        "per_panel": per_panel,
        "distance_mm": distance_mm,
        "light": light,
        "watched": sorted(watched),
    }
    write(shop, {"acceptance": ACCEPTANCE.stamp(after)})
    return {
        "changed": {
            name: [_plainly(before.get(name)), _plainly(value)]
            for name, value in after.items()
            if before.get(name) != value
        }
    }


def _plainly(value: object) -> object:
    return ", ".join(value) if isinstance(value, list) else value


@action("checklist.change")
def change_checklist(
    act: Act,
    *,
    checklist_pk: int,
    version: int,
    items: Sequence[ChecklistItem],
    why: str,
) -> Json:
    """Make the next version of a checklist; orders keep the one they are worked by.

    version  the one the change was made on; refused when there is a newer one
    """
    checklist = act.lock(Checklist, checklist_pk)
    newest = checklist.versions.first()
    stored = [item_to(item) for item in items]
    if newest is not None and newest.number != version:
        raise Refused(
            say("Somebody changed this list meanwhile. Open it again and change that.")
        )
    if newest is not None and items_of(newest) == list(items):
        raise Refused(say("Nothing was changed."))
    made = ChecklistVersion.objects.create(
        checklist=checklist,
        number=newest.number + 1 if newest else 1,
        items=stored,
        why=why,
        made_by=act.tap.by,
        made_at=act.now,
    )
    told = f"{checklist.name}, {made.number}"
    return {"pk": made.pk, "name": told, "changed": {why: []}}
