"""Film that a booking will need, and film that is free for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q, Sum

from jobs.coverage.allowances import AllowanceSet, Key, allowance_for
from jobs.coverage.blanks import PanelSize, film_area_m2, panel_blank, panel_size
from jobs.coverage.catalogue import Body, Method, PanelChoice
from jobs.coverage.measured import Car
from jobs.coverage.measured_queries import allowances, measured_on
from jobs.film.held_queries import held_film
from jobs.models import Booking, Film, Roll
from jobs.nesting import Blank, Budget, PullPlan, Rules, plan_pull
from jobs.nesting import Roll as FreshRoll
from jobs.pulls.plan import cutting_rules
from jobs.rules.stock import film_short
from jobs.rules.table import Concern, Level, Rule
from shopapp.figures import Figure, given

USUAL_WIDTH_MM = 1524
"""60 in, the usual width of a roll: common practice, no published source."""
FRESH_ROLL_MM = 200_000
"""Longer than any car needs: the question is how much, not whether it is there."""


@dataclass(frozen=True, kw_only=True)
class FilmNeed:
    """What a quick plan says a coverage takes off a fresh roll.

    unplaced  panels wider than the roll: they need a seam or another roll
    """

    length_mm: int
    width_mm: int
    area: Figure
    unplaced: tuple[str, ...] = ()


def film_need(
    choices: Iterable[PanelChoice],
    *,
    film: Film,
    size_class: str,
    car: Car,
) -> FilmNeed:
    """A quick plan on a fresh roll of the film's usual width: no search, no engine.

    Usual is the width that most of the film lies on; the widest where a panel needs it.
    """
    chosen, body = list(choices), car.body
    measured, shop = measured_on(car), allowances()
    sizes = {
        choice.panel: panel_size(
            choice.panel, size_class=size_class, body=body, measured=measured
        )
        for choice in chosen
    }
    blanks = [
        _blank(choice, size=sizes[choice.panel], body=body, film=film, shop=shop)
        for choice in chosen
    ]
    rules = cutting_rules(choice.method is Method.HAND_FITTED for choice in chosen)
    usual, *others = widths_there(film)
    plan, width_mm = _on_fresh_roll(blanks, width_mm=usual, rules=rules), usual
    if plan.unplaced and max(others, default=0) > usual:
        width_mm = max(others)
        plan = _on_fresh_roll(blanks, width_mm=width_mm, rules=rules)
    return FilmNeed(
        length_mm=plan.length_mm,
        width_mm=width_mm,
        area=film_area_m2(sizes.values()),
        unplaced=tuple(missing.blank_id for missing in plan.unplaced),
    )


def _on_fresh_roll(blanks: Sequence[Blank], *, width_mm: int, rules: Rules) -> PullPlan:
    return plan_pull(
        blanks=blanks,
        rolls=[FreshRoll(id="fresh", width_mm=width_mm, remaining_mm=FRESH_ROLL_MM)],
        rules=rules,
        budget=Budget(tries=0),
    )


def _blank(
    choice: PanelChoice,
    *,
    size: PanelSize,
    body: Body,
    film: Film,
    shop: Mapping[Key, AllowanceSet],
) -> Blank:
    allowance = allowance_for(choice, shop=shop)
    blank = panel_blank(choice, size=size, body=body, allowance=allowance)
    return Blank(
        id=choice.panel,
        width_mm=int(blank.width_mm.value),
        length_mm=int(blank.length_mm.value),
        turn="none" if film.is_directional else "quarter",
    )


def widths_there(film: Film) -> list[int]:
    """Widths of the film's rolls, that with the most film first; else the usual one."""
    rolls = film.rolls.filter(retired_at=None).order_by().values("width_mm")
    most = rolls.annotate(mm=Sum("left_mm")).order_by("-mm", "-width_mm")
    return [row["width_mm"] for row in most] or [USUAL_WIDTH_MM]


def free_film_mm(film: Film, *, beside: Booking | None = None) -> int:
    """Length on the rolls that no booking holds; `beside` leaves one booking out."""
    on_rolls = Roll.objects.filter(film=film, retired_at=None)
    held = (
        held_film()
        .filter(film=film)
        .exclude(Q(booking=beside) if beside else Q(pk__in=[]))
    )
    there = on_rolls.aggregate(sum=Sum("left_mm"))["sum"] or 0
    return max(0, there - (held.aggregate(sum=Sum("length_mm"))["sum"] or 0))


def shortage(
    film: Film,
    *,
    length_mm: int,
    levels: Mapping[Rule, Level],
    beside: Booking | None = None,
) -> Concern | None:
    """The rule's sentence when the free film will not reach."""
    return film_short(
        film=film.name,
        there=given(
            free_film_mm(film, beside=beside) / 1000, "m", "on rolls, not held"
        ),
        wanted=given(length_mm / 1000, "m", "quick plan on a fresh roll"),
        levels=levels,
    )
