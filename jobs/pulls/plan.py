"""A pull as it is planned, kept and judged: what to cut, from what, how well (pure).

`PullJob` is what is asked, `PlannedPull` what came out. `pull_to_json` freezes both,
with the drawings, so that a plan of last month is read and never planned again.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from jobs.coverage.blanks import PanelBlank
from jobs.nesting import Blank, Budget, Offcut, PullPlan, Roll, Rules, plan_pull
from jobs.nesting.drawing import Drawing, draw_plan
from jobs.nesting.problem import CutRule
from shopapp.figures import Figure, computed, formula, given
from shopapp.say import Say, say
from shopapp.units import System

GAP_MM, LEAD_MM = 10, 20
"""Between two blanks, and at the cut that ends a pull: common practice, no
published source."""
QUICK = Budget(tries=0)
SEARCHED = Budget(tries=40_000, seed=1, wall_s=10.0)


def cutting_rules(by_hand: Iterable[bool]) -> Rules:
    """One piece cut by hand is enough for the knife's rule."""
    cut: CutRule = "guillotine" if any(by_hand) else "free"
    return Rules(gap_mm=GAP_MM, lead_mm=LEAD_MM, cut=cut)


@dataclass(frozen=True, kw_only=True)
class PanelToCut:
    """One panel of an order and the blank that is cut for it.

    id     tells blanks apart in one plan; the panel's code in a plan for one car
    group  the order's number
    """

    id: str
    panel: str
    name: str
    group: str
    blank: PanelBlank
    by_hand: bool


@dataclass(frozen=True, kw_only=True)
class PullJob:
    """What is asked: panels of one film, and the film that is there.

    may_turn    False for a directional film
    one_lot     lots of this film can differ to the eye: keep to one where that goes
    lot_on_car  of the film that the car has already; empty: none, or several
    """

    film_code: str
    may_turn: bool
    panels: tuple[PanelToCut, ...]
    rolls: tuple[Roll, ...]
    offcuts: tuple[Offcut, ...]
    one_lot: bool = False
    lot_on_car: str = ""

    @property
    def blanks(self) -> tuple[Blank, ...]:
        """The panels as nesting takes them."""
        return tuple(
            Blank(
                id=panel.id,
                width_mm=int(panel.blank.width_mm.value),
                length_mm=int(panel.blank.length_mm.value),
                turn="quarter" if self.may_turn else "none",
                group=panel.group,
            )
            for panel in self.panels
        )

    @property
    def is_without_film(self) -> bool:
        """Whether nothing is there to cut from."""
        return not self.rolls and not self.offcuts

    @property
    def rules(self) -> Rules:
        """How they are cut."""
        return cutting_rules(panel.by_hand for panel in self.panels)


@dataclass(frozen=True, kw_only=True)
class PlannedPull:
    """A job and its plan.

    singly_mm  length if each panel were cut by itself off the same width
    """

    job: PullJob
    plan: PullPlan
    singly_mm: int

    @property
    def cost(self) -> Decimal:
        """What two plans for one job are compared by, as nesting compares widths:
        by price where every roll has one, else by area."""
        rates = {roll.id: roll.cost_per_m for roll in self.job.rolls}
        if any(rate is None for rate in rates.values()):
            rates = {roll.id: Decimal(roll.width_mm) for roll in self.job.rolls}
        costs = (
            (rates[p.roll_id] or Decimal(0)) * p.length_mm for p in self.plan.pulls
        )
        return sum(costs, Decimal(0))

    @property
    def area_mm2(self) -> int:
        """Film taken off rolls."""
        widths = {roll.id: roll.width_mm for roll in self.job.rolls}
        return sum(pull.length_mm * widths[pull.roll_id] for pull in self.plan.pulls)

    def panels_placed(self, order: str) -> list[str]:
        """Codes of the panels that it cuts for an order."""
        missing = {unplaced.blank_id for unplaced in self.plan.unplaced}
        return [
            panel.panel
            for panel in self.job.panels
            if panel.group == order and panel.id not in missing
        ]

    def is_better_than(self, other: PlannedPull) -> bool:
        """More panels placed, then less film in money, then a closer proof."""
        return self._rank() < other._rank()

    def _rank(self) -> tuple[int, Decimal, int]:
        return (len(self.plan.unplaced), self.cost, -self.plan.bound_mm)


def no_film(*, film: str) -> Say:
    """Said where nothing can be planned."""
    return say(
        "There is no roll and no off-cut of {film}. Put a roll on the shelf, then plan "
        "the pull.",
        film=film,
    )


def plan_job(job: PullJob, *, budget: Budget) -> PlannedPull:
    """Plan a job; what cannot be placed says so by the panel's name."""
    plan = _planned(_of_one_lot(job) if job.one_lot else job, budget=budget)
    names = {panel.id: panel.name for panel in job.panels}
    unplaced = tuple(
        missing._replace(reason=_named(missing.reason, names[missing.blank_id]))
        for missing in plan.unplaced
    )
    return PlannedPull(
        job=job, plan=replace(plan, unplaced=unplaced), singly_mm=_singly_mm(job, plan)
    )


def _planned(job: PullJob, *, budget: Budget) -> PullPlan:
    return plan_pull(
        blanks=job.blanks,
        rolls=job.rolls,
        offcuts=job.offcuts,
        rules=job.rules,
        budget=budget,
    )


def _of_one_lot(job: PullJob) -> PullJob:
    """With the film of one lot alone: the car's, else the cheapest that is enough.

    All film where no lot is enough.
    """
    lots = {roll.lot for roll in job.rolls} | {piece.lot for piece in job.offcuts}
    lots -= {""}
    wanted = lots & {job.lot_on_car} if job.lot_on_car else lots
    tried = []
    for lot in sorted(wanted):
        some = replace(
            job,
            rolls=tuple(roll for roll in job.rolls if roll.lot == lot),
            offcuts=tuple(piece for piece in job.offcuts if piece.lot == lot),
        )
        plan = _planned(some, budget=QUICK)
        if not plan.unplaced:
            tried.append(PlannedPull(job=some, plan=plan, singly_mm=0))
    return min(tried, key=lambda each: each.cost).job if tried else job


def _named(reason: Say, name: str) -> Say:
    params = ((key, name if key == "blank" else value) for key, value in reason.params)
    return Say(reason.text, tuple(params))


def _singly_mm(job: PullJob, plan: PullPlan) -> int:
    """Every placed panel pulled by itself, the shorter way that fits."""
    widths = {roll.id: roll.width_mm for roll in job.rolls}
    used = [widths[pull.roll_id] for pull in plan.pulls] or list(widths.values())
    missing = {unplaced.blank_id for unplaced in plan.unplaced}
    placed = [blank for blank in job.blanks if blank.id not in missing]
    if not used or not placed:
        return 0
    width = max(used)
    return sum(_alone_mm(blank, width_mm=width) + LEAD_MM for blank in placed)


def _alone_mm(blank: Blank, *, width_mm: int) -> int:
    ways = [(blank.width_mm, blank.length_mm)]
    if blank.turn == "quarter":
        ways.append((blank.length_mm, blank.width_mm))
    return min(
        (length for width, length in ways if width <= width_mm),
        default=min(length for _, length in ways),
    )


def split_mm(length_mm: int, shares_mm: Sequence[int]) -> list[int]:
    """A length shared out in proportion, in whole mm; the parts add up to it.

    >>> split_mm(1000, [300, 300, 300])
    [333, 334, 333]
    """
    parts, left, weight = [], length_mm, sum(shares_mm)
    for share in shares_mm:
        part = round(left * share / weight) if weight else left
        parts.append(part)
        left, weight = left - part, weight - share
    return parts


def draw_job(
    found: PlannedPull,
    *,
    system: System = System.METRIC,
    translate: Callable[[Say], str] = str,
) -> tuple[Drawing, ...]:
    """One drawing for each roll pulled from and each off-cut used."""
    return draw_plan(
        found.plan,
        blanks=found.job.blanks,
        rolls=found.job.rolls,
        offcuts=found.job.offcuts,
        names={panel.id: panel.name for panel in found.job.panels},
        system=system,
        translate=translate,
    )


@formula("pull_plan.pull_length_m")
def pulled_m(*, pulls_mm: Sequence[int]) -> float:
    """Film that the plan takes off the rolls.

        length = sum of the pulls, each with its last cut across the roll

    pulls_mm  length taken off each roll, mm, above 0
    Not for: film that lies on off-cuts; it was paid for by an earlier pull.
    Source: plain addition; each pull is the plan's own, checked by a second program.

    >>> pulled_m(pulls_mm=[4080, 1710])
    5.79
    """
    return sum(pulls_mm) / 1000


def pull_length_m(*, pulls_mm: Sequence[int]) -> Figure:
    """Film that the plan takes off the rolls, as a figure."""
    shown = tuple(
        (f"pull {at}", given(length / 1000, "m", "plan"))
        for at, length in enumerate(pulls_mm, start=1)
    )
    return computed(pulled_m, "m", None, shown, pulls_mm=pulls_mm)


@formula("pull_plan.no_plan_below_m")
def bound_m(*, bound_mm: int) -> float:
    """Length that no plan for these panels on this width can go below.

        the largest of: area / width, the longest panel, the relaxed cross-sections

    bound_mm  proven by `jobs.nesting`, mm
    Not for: other widths, or panels without the gap between them.
    Source: area and size of the job; bar relaxation after Scheithauer (from memory),
      checked against exhaustive search on small jobs.

    >>> bound_m(bound_mm=5620)
    5.62
    """
    return bound_mm / 1000


def no_plan_below_m(*, bound_mm: int, blanks: int, width_mm: int) -> Figure:
    """Length that no plan can go below for these panels on this width, as a figure."""
    shown = (("panels", blanks), ("roll", given(width_mm, "mm", "width")))
    return computed(bound_m, "m", None, shown, bound_mm=bound_mm)


@formula("pull_plan.waste_pct")
def lost_pct(*, taken_m2: float, blanks_m2: float, kept_m2: float) -> float:
    """Share of the film taken that neither lies on the car nor is kept.

        waste = (taken - blanks - kept) / taken x 100

    taken_m2   pulled off rolls and off-cuts used, m2, above 0
    blanks_m2  the pieces cut for the panels, m2
    kept_m2    off-cuts put on the shelf, m2
    Not for: what is trimmed off on the car; a blank counts whole.
    Source: definition; plain arithmetic.

    >>> round(lost_pct(taken_m2=8.0, blanks_m2=6.4, kept_m2=0.6), 3)
    12.5
    """
    if taken_m2 <= 0:
        raise ValueError("no film was taken, so there is no share of it")
    return max(0.0, (taken_m2 - blanks_m2 - kept_m2) / taken_m2 * 100)


def waste_pct(*, taken_m2: float, blanks_m2: float, kept_m2: float) -> Figure:
    """Share of the film taken that is lost, as a figure."""
    shown = (
        ("film taken", given(taken_m2, "m2", "rolls and off-cuts")),
        ("blanks", given(blanks_m2, "m2", "cut list")),
        ("off-cuts kept", given(kept_m2, "m2", "cut list")),
    )
    return computed(
        lost_pct,
        "pct",
        None,
        shown,
        taken_m2=taken_m2,
        blanks_m2=blanks_m2,
        kept_m2=kept_m2,
    )


@formula("pull_plan.saved_m")
def spared_m(*, singly_mm: int, pulled_mm: int) -> float:
    """Film saved against cutting panel by panel.

        saved = sum over panels of (its shorter side that fits + end cut) - pulled

    singly_mm  each panel pulled by itself across the roll, mm
    pulled_mm  planned or real pull, mm
    Not for: a shop that already lays small panels beside large ones by eye.
    Source: plain subtraction.

    >>> spared_m(singly_mm=8200, pulled_mm=5790)
    2.41
    """
    return (singly_mm - pulled_mm) / 1000


def saved_m(*, singly_mm: int, pulled_mm: int) -> Figure:
    """Film saved against cutting panel by panel, as a figure."""
    shown = (
        ("panel by panel", given(singly_mm / 1000, "m", "same roll")),
        ("pulled", given(pulled_mm / 1000, "m", "plan or real")),
    )
    return computed(
        spared_m,
        "m",
        None,
        shown,
        singly_mm=singly_mm,
        pulled_mm=pulled_mm,
    )


def waste_of(
    found: PlannedPull,
    *,
    real_share: float = 1.0,
    cut: Collection[tuple[str, str]] | None = None,
    kept_mm2: int | None = None,
) -> Figure | None:
    """The waste of a plan; None while nothing is placed, or where less film was taken
    than its panels need.

    real_share  length really taken / planned; what was taken beyond the plan is waste
    cut         order and panel of what was cut; None: all that is placed
    kept_mm2    pieces really kept; None: all that the plan has
    """
    areas = {offcut.id: offcut for offcut in found.job.offcuts}
    taken = found.area_mm2 * real_share + sum(
        areas[name].width_mm * areas[name].length_mm for name in found.plan.used_offcuts
    )
    missing = {unplaced.blank_id for unplaced in found.plan.unplaced}
    blanks = sum(
        int(panel.blank.width_mm.value) * int(panel.blank.length_mm.value)
        for panel in found.job.panels
        if panel.id not in missing
        and (cut is None or (panel.group, panel.panel) in cut)
    )
    if taken < max(1, blanks):
        return None
    pieces = found.plan.new_offcuts
    kept = sum(piece.width_mm * piece.length_mm for piece in pieces)
    kept = kept if kept_mm2 is None else kept_mm2
    return waste_pct(taken_m2=taken / 1e6, blanks_m2=blanks / 1e6, kept_m2=kept / 1e6)
