"""A manager says how the shop plans."""

from __future__ import annotations

from typing import Any

from jobs import limits
from jobs.models import PlanRule
from jobs.plan.forecast_actions import ask_to_carry_on
from shopapp.actions import write
from shopapp.frame import Act, Json, action
from shopapp.models import Shop


@action("planrule.change", within=limits.PLAN_RULE)
def change_plan_rule(act: Act, /, **fields: Any) -> Json:
    """Keep how near plans stay as they are, and how film is cut."""
    act.lock(Shop, 1)
    ask_to_carry_on(act)
    return write(PlanRule.objects.filter(pk=1).first() or PlanRule(pk=1), fields)
