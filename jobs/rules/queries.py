"""The shop's rules as their page shows them, with how often each was overridden."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.models import Override, WorkOrder
from jobs.rules.table import (
    RULES,
    Level,
    Rule,
    RuleInfo,
    change_or_drop,
    is_hard,
    level_of,
    unknown_levels,
)
from jobs.stages.queries import rule_levels
from shopapp.models import the_shop
from shopapp.say import Say

ORDERS_COUNTED = 200
"""The newest orders over which overrides are counted."""


@dataclass(frozen=True, kw_only=True)
class RuleLine:
    """A rule, its level in this shop, and its overrides."""

    rule: Rule
    info: RuleInfo
    level: Level
    overridden: int
    orders: int

    @property
    def is_hard(self) -> bool:
        """Whether no manager can soften it."""
        return is_hard(self.rule)

    @property
    def per_100(self) -> float | None:
        """Orders with an override, in each hundred."""
        return 100 * self.overridden / self.orders if self.orders else None

    @property
    def verdict(self) -> Say | None:
        """Change it or drop it, where it is overridden too often."""
        return change_or_drop(self.rule, overridden=self.overridden, orders=self.orders)


def rules_of_another_version() -> list[str]:
    """What the shop's table holds that this version of the program does not know."""
    return [
        f"{code.replace('_', ' ')} ({level})"
        for code, level in unknown_levels(the_shop().rule_levels).items()
    ]


def rule_lines() -> list[RuleLine]:
    """Every rule in the order of the work."""
    newest = WorkOrder.objects.order_by("-pk")[:ORDERS_COUNTED]
    keys = list(newest.values_list("pk", flat=True))
    pairs = set(
        Override.objects.filter(workorder_id__in=keys).values_list(
            "rule", "workorder_id"
        )
    )
    counts: dict[str, int] = {}
    for code, _order in pairs:
        counts[code] = counts.get(code, 0) + 1
    levels = rule_levels(the_shop())
    return [
        RuleLine(
            rule=rule,
            info=info,
            level=level_of(rule, levels=levels),
            overridden=counts.get(rule.value, 0),
            orders=len(keys),
        )
        for rule, info in RULES.items()
    ]
