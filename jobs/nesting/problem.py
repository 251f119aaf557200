"""What goes into a film plan and what comes out (pure; whole millimetres).

Widths run across the roll, lengths along it. `x_mm` counts from the roll's left
edge, `y_mm` from the fresh end of the pull.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Literal, NamedTuple

from shopapp.say import Say

Turn = Literal["none", "quarter"]
CutRule = Literal["free", "guillotine"]


@dataclass(frozen=True, kw_only=True)
class Blank:
    """The piece to be cut for one panel, wrap and handling margin included.

    turn     "none" for directional film, "quarter" if it may lie turned by 90 degrees
    outline  kept with the plan; blanks are nested by their rectangle
    group    the vehicle or work order that the blank belongs to
    """

    id: str
    width_mm: int
    length_mm: int
    turn: Turn = "none"
    outline: tuple[tuple[int, int], ...] | None = None
    film_code: str = ""
    group: str = ""


@dataclass(frozen=True, kw_only=True)
class Roll:
    """A roll on the shelf: its width and the length still on it.

    lot  as the maker prints it; rolls of one lot may share a job
    """

    id: str
    width_mm: int
    remaining_mm: int
    film_code: str = ""
    cost_per_m: Decimal | None = None
    lot: str = ""


@dataclass(frozen=True, kw_only=True)
class Offcut:
    """A rectangle kept from an earlier pull; its length ran along the roll.

    turnable  blanks that may turn may also lie turned on this off-cut
    """

    id: str
    width_mm: int
    length_mm: int
    film_code: str = ""
    turnable: bool = True
    lot: str = ""


@dataclass(frozen=True, kw_only=True)
class Rules:
    """How the shop cuts.

    gap_mm         between two blanks
    edge_mm        waste on each long side of a roll or off-cut
    lead_mm        waste at the cross cut that ends a pull
    cut            "guillotine": every cut runs from side to side, first across the
                   roll; "free": a plotter or a free hand
    min_offcut_mm  (width, length) worth keeping
    min_saving_mm  an off-cut is used only if the pull gets shorter by this much
    min_end_mm     so much a roll's end must save before the roll that goes on, unless
                   it is used up
    """

    gap_mm: int = 0
    edge_mm: int = 0
    lead_mm: int = 0
    cut: CutRule = "free"
    min_offcut_mm: tuple[int, int] = (300, 300)
    min_saving_mm: int = 50
    min_end_mm: int = 150


@dataclass(frozen=True, kw_only=True)
class Budget:
    """How long to search: a number of tries, a seed, and a guard on the clock.

    Equal tries and seed give the same plan unless the guard cuts the run short.
    tries=0 is the quick plan: sorted orders only, no engine, milliseconds.
    """

    tries: int = 10_000
    seed: int = 1
    wall_s: float = 10.0


class Placement(NamedTuple):
    """Where the lower left corner of a blank lies, and whether it lies turned."""

    blank_id: str
    source_id: str
    x_mm: int
    y_mm: int
    turned: bool


class Pull(NamedTuple):
    """Film to take off one roll, final cross cut included."""

    roll_id: str
    length_mm: int


class Unplaced(NamedTuple):
    """A blank that no film could take, and why."""

    blank_id: str
    reason: Say


class NewOffcut(NamedTuple):
    """A free rectangle worth keeping after the cut."""

    source_id: str
    x_mm: int
    y_mm: int
    width_mm: int
    length_mm: int


class Cut(NamedTuple):
    """One straight knife cut, numbered in the order of cutting.

    way  "across" the roll (from `x1_mm` to `x2_mm` at one y) or "along" it
    """

    number: int
    source_id: str
    way: Literal["across", "along"]
    x1_mm: int
    y1_mm: int
    x2_mm: int
    y2_mm: int


class Share(NamedTuple):
    """The part of the pulls that one group carries, by blank area."""

    group: str
    length_mm: int


@dataclass(frozen=True, kw_only=True)
class PullPlan:
    """Blanks on rolls and off-cuts, how good that is, and how it was found.

    bound_mm   no plan for these blanks on the rolls pulled from is shorter (sum of
               pulls; with off-cuts, over every use of the off-cuts)
    proven     the plan is as short as the bound
    knife_best no cuts from side to side part what lies on a roll from less: every
               way was tried
    cut_short  the clock ended the search, so a second run may differ
    cuts       in knife order; empty for a free plan
    """

    placements: tuple[Placement, ...]
    pulls: tuple[Pull, ...]
    used_offcuts: tuple[str, ...] = ()
    new_offcuts: tuple[NewOffcut, ...] = ()
    unplaced: tuple[Unplaced, ...] = ()
    bound_mm: int = 0
    proven: bool = False
    knife_best: bool = False
    tries_used: int = 0
    cut_short: bool = False
    engine: str = "skyline"
    engine_version: str = ""
    input_sha256: str = ""
    cuts: tuple[Cut, ...] = ()
    shares: tuple[Share, ...] = ()

    @property
    def length_mm(self) -> int:
        """All pulls together."""
        return sum(pull.length_mm for pull in self.pulls)


def check_input(
    *,
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut],
    rules: Rules,
    budget: Budget,
) -> None:
    """Raise ValueError with one plain sentence for input that is not a job."""
    for kind, things in (("Blank", blanks), ("Roll", rolls), ("Off-cut", offcuts)):
        seen: set[str] = set()
        for thing in things:
            if thing.id in seen:
                raise ValueError(f'{kind} "{thing.id}" is listed twice.')
            seen.add(thing.id)
    if shared := {roll.id for roll in rolls} & {offcut.id for offcut in offcuts}:
        raise ValueError(f'"{min(shared)}" is the name of a roll and of an off-cut.')
    for blank in blanks:
        _above_zero(f'Blank "{blank.id}"', blank, "width_mm", "length_mm")
        if blank.turn not in ("none", "quarter"):
            raise ValueError(
                f'Blank "{blank.id}": turn must be none or quarter, not {blank.turn!r}.'
            )
    for roll in rolls:
        _above_zero(f'Roll "{roll.id}"', roll, "width_mm")
        _not_below_zero(f'Roll "{roll.id}"', roll, "remaining_mm")
        if roll.cost_per_m is not None and not roll.cost_per_m >= 0:
            raise ValueError(f'Roll "{roll.id}": the cost per metre is below 0.')
    for offcut in offcuts:
        _above_zero(f'Off-cut "{offcut.id}"', offcut, "width_mm", "length_mm")
    _check_rules(rules)
    _not_below_zero("Budget", budget, "tries", "seed")
    if not budget.wall_s > 0:
        raise ValueError(f"Budget: wall_s must be above 0, not {budget.wall_s}.")


def _check_rules(rules: Rules) -> None:
    _not_below_zero("Rules", rules, "gap_mm", "edge_mm", "lead_mm", "min_saving_mm")
    _not_below_zero("Rules", rules, "min_end_mm")
    if rules.cut not in ("free", "guillotine"):
        raise ValueError(f"Rules: cut must be free or guillotine, not {rules.cut!r}.")
    if len(rules.min_offcut_mm) != 2 or not all(
        type(side) is int and side > 0 for side in rules.min_offcut_mm
    ):
        raise ValueError("Rules: min_offcut_mm must be two whole numbers above 0.")


def _above_zero(name: str, thing: object, *fields: str) -> None:
    for field in fields:
        value = getattr(thing, field)
        if type(value) is not int or value <= 0:
            raise ValueError(
                f"{name}: {field} must be a whole number above 0, not {value!r}."
            )


def _not_below_zero(name: str, thing: object, *fields: str) -> None:
    for field in fields:
        value = getattr(thing, field)
        if type(value) is not int or value < 0:
            raise ValueError(
                f"{name}: {field} must be a whole number, 0 or more, not {value!r}."
            )


def input_sha256(
    *,
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut],
    rules: Rules,
    budget: Budget,
) -> str:
    """Hash of everything the plan depends on, the same for any input order."""
    facts = {
        "blanks": [asdict(blank) for blank in sorted(blanks, key=lambda b: b.id)],
        "rolls": [asdict(roll) for roll in sorted(rolls, key=lambda r: r.id)],
        "offcuts": [asdict(offcut) for offcut in sorted(offcuts, key=lambda o: o.id)],
        "rules": asdict(rules),
        "budget": asdict(budget),
    }
    text = json.dumps(facts, sort_keys=True, default=str, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
