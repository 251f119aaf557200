"""The guided mix: its steps in order, and how far somebody has come."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from mixing.queries import counted
from mixing.sheet import Pour, SolutionSheet, VesselFill, pour_problem
from shopapp.say import Say, say
from shopapp.units import Shown, System, shown, to_base

AS_PLANNED = "ok"
"""What a step carries when the planned amount was poured."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """One pour, into each vessel of one fill."""

    index: int
    at: int
    fill: VesselFill
    pour: Pour
    shown: Shown

    @property
    def number(self) -> int:
        """Counted from one, as people do."""
        return self.index + 1

    @property
    def codes(self) -> str:
        """The vessels, as they are called."""
        return ", ".join(self.fill.codes)


@dataclass(frozen=True, kw_only=True)
class Walk:
    """How far somebody has come.

    texts    what was answered at the steps that are done, as it was sent
    amounts  what it means, mL into each vessel
    problem  why the last answer was not accepted; `typed` is that answer
    """

    steps: tuple[Step, ...]
    texts: tuple[str, ...]
    amounts: tuple[float, ...]
    problem: Say | None = None
    typed: str = ""

    @property
    def now(self) -> Step | None:
        """The step to do, or None when all is poured."""
        done = len(self.amounts)
        return self.steps[done] if done < len(self.steps) else None

    @property
    def before(self) -> tuple[str, ...]:
        """The answers without the last one: where "back" leads."""
        return self.texts[:-1]

    @property
    def is_begun(self) -> bool:
        """Whether there is a step to go back to."""
        return bool(self.texts)

    @property
    def poured(self) -> list[list[float]]:
        """The amounts, fill by fill."""
        nested: list[list[float]] = []
        for step, amount in zip(self.steps, self.amounts, strict=False):
            if step.at == 0:
                nested.append([])
            nested[-1].append(amount)
        return nested

    @property
    def rows(self) -> list[tuple[Step, str, float | None]]:
        """Each step with its state and what was poured."""
        done = len(self.amounts)
        return [
            (
                step,
                "done" if n < done else "now" if n == done else "",
                self.amounts[n] if n < done else None,
            )
            for n, step in enumerate(self.steps)
        ]


def steps_of(solution: SolutionSheet, *, system: System) -> tuple[Step, ...]:
    """The pours of a solution, vessel group by vessel group."""
    pairs = [
        (fill, at, pour)
        for fill in solution.fills
        for at, pour in enumerate(fill.pours)
    ]
    return tuple(
        Step(
            index=index,
            at=at,
            fill=fill,
            pour=pour,
            shown=_shown(pour, system=system),
        )
        for index, (fill, at, pour) in enumerate(pairs)
    )


def walk(
    solution: SolutionSheet,
    texts: Sequence[str],
    *,
    rooms_ml: Mapping[str, float],
    system: System,
) -> Walk:
    """Read the answers in order; the first that cannot be stops the walk.

    texts     `AS_PLANNED` or a number in the shop's units, one for each step
    rooms_ml  what each vessel holds to the brim, mL
    """
    steps = steps_of(solution, system=system)
    amounts: list[float] = []
    for step, text in zip(steps, texts, strict=False):
        amount = _amount(step.pour, text, system=system)
        before = sum(amounts[len(amounts) - step.at :]) if step.at else 0.0
        problem = (
            _not_a_number(step.pour)
            if amount is None
            else None
            if text == AS_PLANNED
            else pour_problem(
                step.pour,
                poured_ml=amount,
                before_ml=before,
                room_ml=min(rooms_ml[code] for code in step.fill.codes),
                vessel=step.fill.codes[0],
            )
        )
        if amount is None or problem:
            done = tuple(texts[: len(amounts)])
            return Walk(
                steps=steps,
                texts=done,
                amounts=tuple(amounts),
                problem=problem,
                typed=text,
            )
        amounts.append(amount)
    return Walk(steps=steps, texts=tuple(texts[: len(amounts)]), amounts=tuple(amounts))


def _shown(pour: Pour, *, system: System) -> Shown:
    """The amount as it is read: mL on a scale, or a count of strokes or drops."""
    if pour.is_counted:
        return counted(pour)
    return shown(pour.amount.value, pour.amount.unit, system=system)


def _not_a_number(pour: Pour) -> Say:
    if pour.is_counted:
        return say("Enter how many you counted, as a whole number.")
    return say("Enter the amount as a number.")


def _amount(pour: Pour, text: str, *, system: System) -> float | None:
    if text == AS_PLANNED:
        return pour.amount.value
    if pour.is_counted and pour.graduation is not None:
        count = text.strip()
        return int(count) * pour.graduation.value if _is_count(count) else None
    try:
        typed = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    if not math.isfinite(typed):
        return None
    return to_base(typed, pour.amount.unit, system=system)


def _is_count(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 4
