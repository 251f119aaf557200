"""The fields of what is stored, by kind: `shapes.json` keeps them.

    DJANGO_SETTINGS_MODULE=shopapp.settings python -m tests.upgrades.shapes

writes the file anew, after the version was raised and its upgrade step written.
"""

from __future__ import annotations

import json
import types
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

import django

from shopapp.documents import Document
from shopapp.figures import Figure
from shopapp.say import Say

KEPT = Path(__file__).parent / "shapes.json"
Shape = dict[str, Any] | str


def shape_of(kind: Any) -> Shape:
    """Fields by name, inside each other; a value that has none by its type."""
    if get_origin(kind) in (Union, types.UnionType):
        return shape_of(next(a for a in get_args(kind) if a is not types.NoneType))
    if get_origin(kind) in (tuple, list) and get_args(kind):
        return shape_of(get_args(kind)[0])
    if hasattr(kind, "_fields"):
        return f"[{', '.join(kind._fields)}]"
    if is_dataclass(kind) and kind not in (Figure, Say):
        known = get_type_hints(kind)
        return {each.name: shape_of(known[each.name]) for each in fields(kind)}
    if isinstance(kind, type) and issubclass(kind, Enum):
        return "word"
    return str(getattr(kind, "__name__", kind))


def _kinds() -> dict[str, tuple[Document, Any]]:
    from jobs.air.fire_queries import KEPT_AIR, KeptAir
    from jobs.checks.queries import CHECKLIST_ITEM
    from jobs.condition.agreement_queries import AGREED
    from jobs.condition.marks import AcceptanceStandard, ChecklistItem
    from jobs.nesting import Offcut, PullPlan, Roll
    from jobs.nesting.drawing import Drawing
    from jobs.panels.queries import ACCEPTANCE
    from jobs.papers.care_facts import CareFacts
    from jobs.papers.day_sheet_facts import DaySheetFacts
    from jobs.papers.estimate_facts import EstimateFacts
    from jobs.papers.film_facts import FilmFacts
    from jobs.papers.film_record_facts import FilmRecordFacts
    from jobs.papers.kept_facts import DOCUMENTS
    from jobs.papers.money_facts import InvoiceFacts, ReceiptFacts, StatementFacts
    from jobs.papers.morning_facts import MorningFacts
    from jobs.papers.plan_week_facts import PlanWeekFacts
    from jobs.papers.register_facts import RegisterFacts
    from jobs.papers.safety_facts import SafetyFacts
    from jobs.papers.visit_facts import ConfirmationFacts, DropOffFacts
    from jobs.papers.work_order_facts import WorkOrderFacts
    from jobs.plan.planned import ShopPlan
    from jobs.plan.stored import BAY_PLAN
    from jobs.pulls.stored import CUT_PLAN
    from mixing.bench.vessel_label import LabelFacts
    from mixing.recipes.spec import RecipeSpec
    from mixing.safety.rule_rows import RULE_ROW, RuleRow
    from mixing.sheet.parts import MixingSheet, SolutionSheet
    from mixing.sheet.stored import RECIPE, SHEET, SOLUTION

    agreed = ("panels", "film", "work", "price", "currency", "marks", "repaint")
    plan = {"rolls": Roll, "offcuts": Offcut, "drawings": Drawing, "plan": PullPlan}
    order = {"order": WorkOrderFacts, "film": FilmFacts, "safety": SafetyFacts}
    return {
        "mixing sheet": (SHEET, MixingSheet),
        "solution": (SOLUTION, SolutionSheet),
        "recipe": (RECIPE, RecipeSpec),
        "safety rule": (RULE_ROW, RuleRow),
        "cut plan": (CUT_PLAN, plan),
        "bay plan": (BAY_PLAN, ShopPlan),
        "air of an order": (KEPT_AIR, KeptAir),
        "agreement": (AGREED, dict.fromkeys([*agreed, "terms"], str)),
        "checklist item": (CHECKLIST_ITEM, ChecklistItem),
        "acceptance standard": (ACCEPTANCE, AcceptanceStandard),
        "paper: work order": (DOCUMENTS["work_order"], order),
        "paper: care": (DOCUMENTS["care"], CareFacts),
        "paper: film record": (DOCUMENTS["film_record"], FilmRecordFacts),
        "paper: invoice": (DOCUMENTS["invoice"], InvoiceFacts),
        "paper: receipt": (DOCUMENTS["receipt"], ReceiptFacts),
        "paper: statement": (DOCUMENTS["statement"], StatementFacts),
        "paper: estimate": (DOCUMENTS["estimate"], EstimateFacts),
        "paper: confirmation": (DOCUMENTS["confirmation"], ConfirmationFacts),
        "paper: drop-off note": (DOCUMENTS["drop_off"], DropOffFacts),
        "paper: register": (DOCUMENTS["register"], RegisterFacts),
        "paper: day sheet": (DOCUMENTS["day_sheet"], DaySheetFacts),
        "paper: desk's day sheet": (DOCUMENTS["desk_sheet"], DaySheetFacts),
        "paper: morning": (DOCUMENTS["morning"], MorningFacts),
        "paper: week's plan": (DOCUMENTS["plan_week"], PlanWeekFacts),
        "paper: vessel's label": (DOCUMENTS["vessel_label"], LabelFacts),
    }


def shapes() -> dict[str, dict[str, Any]]:
    """Each kind that is stored, its version, and its fields."""
    found = {}
    for name, (document, kind) in _kinds().items():
        if isinstance(kind, dict):
            shape: Shape = {part: shape_of(each) for part, each in kind.items()}
        else:
            shape = shape_of(kind)
        found[name] = {"version": document.newest, "fields": shape}
    return found


if __name__ == "__main__":
    django.setup()
    KEPT.write_text(json.dumps(shapes(), indent=1) + "\n")
