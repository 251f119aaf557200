"""Blanks onto rolls and off-cuts: short pulls, proven bounds, knife-ready cuts (pure).

The front door is `plan_pull`. A builder (`skyline` for free plans, `bands` for the
knife) lays blanks in a given order; `search` looks for a good order; `rolls` and
`offcuts` choose the film; `bounds` proves what no plan can beat; `validator` is the
slow second opinion that every plan must pass.
"""

from jobs.nesting.plan import FaultyPlanError, plan_pull
from jobs.nesting.problem import (
    Blank,
    Budget,
    Cut,
    NewOffcut,
    Offcut,
    Placement,
    Pull,
    PullPlan,
    Roll,
    Rules,
    Share,
    Unplaced,
)

__all__ = [
    "Blank",
    "Budget",
    "Cut",
    "FaultyPlanError",
    "NewOffcut",
    "Offcut",
    "Placement",
    "Pull",
    "PullPlan",
    "Roll",
    "Rules",
    "Share",
    "Unplaced",
    "plan_pull",
]
