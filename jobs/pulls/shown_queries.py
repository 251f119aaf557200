"""A plan of cuts as the film page shows it, with what was kept of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from jobs.film.money import MM_PER_M, PullMoney, film_cost, pull_money
from jobs.models import FilmMovement, OffCut, Paper, Pull
from jobs.nesting.drawing import Drawing
from jobs.pulls.claims import claim
from jobs.pulls.cut_words import cut_sentences
from jobs.pulls.plan import (
    PlannedPull,
    no_plan_below_m,
    pull_length_m,
    saved_m,
    waste_of,
)
from jobs.pulls.stored import (
    drawings_from_json,
    pull_from_json,
)
from shopapp.figures import Figure
from shopapp.say import Say


def kept_mm2(pull: Pull) -> int | None:
    """Off-cuts that were really kept of a plan, once its film is taken."""
    if pull.state != Pull.State.TAKEN:
        return None
    what = FilmMovement.What.OFFCUT_KEPT
    kept = OffCut.objects.filter(
        movements__what=what, movements__pull__cut_plan=pull.cut_plan_id
    )
    return sum(piece.width_mm * piece.length_mm for piece in kept)


def label_papers(pulls: Iterable[Pull]) -> dict[int, Paper]:
    """The labels of the off-cuts that each pull left, the newest version of them."""
    subjects = {f"pull {pull.pk}": pull.pk for pull in pulls}
    papers = Paper.objects.filter(
        kind=Paper.Kind.OFFCUT_LABEL, subject__in=subjects
    ).order_by("version")
    return {subjects[paper.subject]: paper for paper in papers.defer("facts")}


def offcuts_gone(shown: PullShown) -> list[OffCut]:
    """Off-cuts that the plan cuts from and that somebody has used meanwhile."""
    wanted = OffCut.objects.filter(code__in=shown.found.plan.used_offcuts)
    return list(wanted.exclude(used_at=None, scrapped_at=None))


@dataclass(frozen=True, kw_only=True)
class PullShown:
    """A pull as the page shows it: read from what was frozen, never planned anew."""

    row: Pull
    found: PlannedPull
    drawings: tuple[Drawing, ...]
    length: Figure
    bound: Figure
    waste: Figure | None
    saved: Figure

    @property
    def gap_pct(self) -> float | None:
        """How far the plan may be from the best one, in percent of the bound.

        None off rolls of several widths: a metre is not the same film on each.
        """
        plan, rolls = self.found.plan, self.found.job.rolls
        used = {pull.roll_id for pull in plan.pulls}
        if len({roll.width_mm for roll in rolls if roll.id in used}) > 1:
            return None
        return (plan.length_mm / plan.bound_mm - 1) * 100 if plan.bound_mm else 0.0

    @property
    def claim(self) -> Say | None:
        """How good the plan is; nothing while it is searched, or was not followed."""
        if self.is_searching or self.row.taken_mm not in (None, self.row.planned_mm):
            return None
        return claim(self.found.plan, bound=self.bound, gap_pct=self.gap_pct)

    @property
    def orders(self) -> list[str]:
        """Numbers of the orders that were planned together, or none."""
        numbers = dict.fromkeys(panel.group for panel in self.found.job.panels)
        return list(numbers) if len(numbers) > 1 else []

    @property
    def planned_panels(self) -> int:
        """How many panels are in the plan."""
        return len(self.found.plan.placements)

    @property
    def is_searching(self) -> bool:
        """Whether a worker still looks for a shorter plan."""
        return self.row.state == Pull.State.PLANNED and not self.row.searched

    @property
    def seen(self) -> str:
        """Changes when the page has something new to show."""
        return f"{self.row.pk}-{self.row.searched:d}"

    @property
    def steps(self) -> list[tuple[str, list[tuple[int, Say]]]]:
        """The cuts in order, under the roll or off-cut they are made on."""
        job, plan = self.found.job, self.found.plan
        widths = {roll.id: roll.width_mm for roll in job.rolls}
        lengths = {pull.roll_id: pull.length_mm for pull in plan.pulls}
        for offcut in job.offcuts:
            widths[offcut.id], lengths[offcut.id] = offcut.width_mm, offcut.length_mm
        return [
            (
                source,
                cut_sentences(
                    list(cuts), width_mm=widths[source], length_mm=lengths[source]
                ),
            )
            for source, cuts in groupby(plan.cuts, lambda c: c.source_id)
        ]


def pull_shown(pull: Pull) -> PullShown:
    """A stored pull with its figures."""
    found = pull_from_json(pull.plan)
    plan = found.plan
    widths = {roll.id: roll.width_mm for roll in found.job.rolls}
    used = [widths[taken.roll_id] for taken in plan.pulls]
    return PullShown(
        row=pull,
        found=found,
        drawings=drawings_from_json(pull.plan),
        length=pull_length_m(pulls_mm=[taken.length_mm for taken in plan.pulls]),
        bound=no_plan_below_m(
            bound_mm=plan.bound_mm,
            blanks=len(plan.placements),
            width_mm=max(used, default=0),
        ),
        waste=waste_of(
            found,
            real_share=_real_share(pull),
            cut=_cut(pull),
            kept_mm2=kept_mm2(pull),
        ),
        saved=saved_m(singly_mm=found.singly_mm, pulled_mm=plan.length_mm),
    )


def _cut(pull: Pull) -> set[tuple[str, str]] | None:
    """Order and panel of what a plan was cut into, once its film is taken."""
    if pull.state != Pull.State.TAKEN or pull.cut_plan is None:
        return None
    pulls = pull.cut_plan.pulls.values_list("workorder__number", "cut_panels")
    return {(number, code) for number, codes in pulls for code in codes}


def _real_share(pull: Pull) -> float:
    """Length really taken, in parts of the planned one; 1 until it is taken."""
    if pull.taken_mm is None or not pull.planned_mm:
        return 1.0
    return pull.taken_mm / pull.planned_mm


def money_of(shown: PullShown) -> PullMoney | None:
    """This order's part of a pull in money, or None where its film has no cost."""
    costs = {roll.id: roll.cost_per_m for roll in shown.found.job.rolls}
    plan, row = shown.found.plan, shown.row
    lengths = [(pull.length_mm, costs[pull.roll_id]) for pull in plan.pulls]
    known = [film_cost(length_mm=mm, per_m=per_m) for mm, per_m in lengths if per_m]
    if not lengths or len(known) < len(lengths):
        return None
    return pull_money(
        per_m=sum(known, Decimal(0)) * MM_PER_M / plan.length_mm,
        planned_mm=row.planned_mm,
        taken_mm=row.taken_mm,
        singly_mm=shown.found.singly_mm * row.planned_mm // plan.length_mm,
        waste_pct=shown.waste.value if shown.waste else 0.0,
    )
