"""Stored documents: which JSON lies in the rows, one full example of each kind."""

from __future__ import annotations

from typing import Any

from jobs.models import (
    Agreement,
    ChecklistVersion,
    OrderAir,
    OrderSheet,
    Paper,
    Pull,
    WorkOrderEvent,
)
from mixing.models import Batch, RecipeVersion, RuleSetVersion
from shopapp.models import the_shop

Json = dict[str, Any]


def stored_documents() -> dict[str, Any]:
    """One of each kind, the fullest: the newest mixing sheet with all its pours."""
    found: dict[str, Any] = {
        "rule_levels": the_shop().rule_levels,
        "acceptance": the_shop().acceptance,
    }
    for row in OrderSheet.objects.order_by("pk"):
        _keep_longest(
            found, f"sheet_{'_'.join(sorted(row.recipe_versions))}", row.facts
        )
    for pull in Pull.objects.exclude(cut_plan=None).order_by("pk"):
        _keep_longest(found, f"pull_{pull.state}", pull.cut_plan.facts)
    for paper in Paper.objects.order_by("pk"):
        document = {"size": paper.size, "facts": paper.facts}
        _keep_longest(found, f"paper_{paper.kind}", document)
    for batch in Batch.objects.order_by("pk"):
        _keep_longest(found, f"batch_{batch.kind}", batch.facts)
    for recipe in RecipeVersion.objects.select_related("recipe").order_by("pk"):
        _keep_longest(found, f"recipe_{recipe.recipe.kind}", recipe.spec)
    for list_ in ChecklistVersion.objects.select_related("checklist").order_by("pk"):
        _keep_longest(found, f"checklist_{list_.checklist.code}", list_.items)
    for rules in RuleSetVersion.objects.order_by("pk"):
        _keep_longest(found, "safety_rules", rules.rows)
    for air in OrderAir.objects.order_by("pk"):
        _keep_longest(found, "air", air.facts)
    for agreed in Agreement.objects.exclude(shown={}).order_by("pk"):
        _keep_longest(found, "agreement", agreed.shown)
    events: dict[str, Json] = {}
    for event in WorkOrderEvent.objects.order_by("pk"):
        known = events.get(event.what, {})
        if len(str(event.facts)) > len(str(known)):
            events[event.what] = event.facts
    return {**found, "events": events}


def _keep_longest(found: dict[str, Any], name: str, stored: Any) -> None:
    if name not in found or len(str(stored)) > len(str(found[name])):
        found[name] = stored
