"""Who does what, where and when: a plan at once, a better one with its proof (pure).

`quick_plan` lists a plan without any engine. `solve` starts from it and lets the
engine search, level by level, with a bound for each. What is to be planned stands in
`problem`, with nothing of the shop in it; `checker` is the slow second opinion that
every plan must pass.
"""

from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import (
    Activity,
    Choice,
    Due,
    Fault,
    FaultKind,
    Level,
    LevelResult,
    Link,
    Need,
    NoPlanError,
    Pair,
    Placed,
    Plan,
    Problem,
    Progress,
    Resource,
    Run,
    Settings,
    Span,
    Status,
    late_after,
    look_up,
)
from jobs.scheduling.solver import FaultyPlanError, solve

__all__ = [
    "Activity",
    "Choice",
    "Due",
    "Fault",
    "FaultKind",
    "FaultyPlanError",
    "Level",
    "LevelResult",
    "Link",
    "Need",
    "NoPlanError",
    "Pair",
    "Placed",
    "Plan",
    "Problem",
    "Progress",
    "Resource",
    "Run",
    "Settings",
    "Span",
    "Status",
    "late_after",
    "look_up",
    "quick_plan",
    "solve",
]
