"""Which roll takes the blanks: widths by cost, and a roll that runs out (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from jobs.nesting.bounds import quick_bound_mm
from jobs.nesting.problem import Blank, Offcut, Placement, Roll, Rules
from jobs.nesting.search import Packing, Strip, quick
from jobs.nesting.strip_search import Effort, search_strip

SHORTLIST = 3
"""Roll widths that share the tries."""


@dataclass(frozen=True, kw_only=True)
class Draft:
    """Blanks laid on sources, and those left over.

    knife_best  what lies on each roll cannot be parted from less
    """

    placements: tuple[Placement, ...] = ()
    pulls: tuple[tuple[Roll, int], ...] = ()
    left: tuple[Blank, ...] = ()
    tries: int = 0
    cut_short: bool = False
    closed: bool = False
    knife_best: bool = False

    @property
    def length_mm(self) -> int:
        return sum(length for _, length in self.pulls)

    def cost(self, priced: bool) -> Decimal:
        """By price if every roll has one, else by area of film."""
        return sum(
            (length * _rate(roll, priced) for roll, length in self.pulls), Decimal(0)
        )


def usable_mm(source: Roll | Offcut, *, rules: Rules) -> int:
    """Width that inflated blanks may fill."""
    return source.width_mm - 2 * rules.edge_mm + rules.gap_mm


def height_mm(source: Roll | Offcut, *, rules: Rules) -> int:
    """Length that inflated blanks may fill."""
    if isinstance(source, Offcut):
        return source.length_mm + rules.gap_mm
    return source.remaining_mm - rules.lead_mm + rules.gap_mm


def may_turn(blank: Blank, source: Roll | Offcut) -> bool:
    """Whether a blank may lie turned on this source."""
    return blank.turn == "quarter" and (
        not isinstance(source, Offcut) or source.turnable
    )


def fits(blank: Blank, source: Roll | Offcut, *, rules: Rules) -> bool:
    """Whether a blank alone fits a source in any turn allowed."""
    width = usable_mm(source, rules=rules) - rules.gap_mm
    height = height_mm(source, rules=rules) - rules.gap_mm
    w, h = blank.width_mm, blank.length_mm
    if w <= width and h <= height:
        return True
    return may_turn(blank, source) and h <= width and w <= height


def strip_of(
    blanks: Sequence[Blank], source: Roll | Offcut, *, rules: Rules, height: int
) -> Strip:
    """Blanks inflated by the gap, on the usable width of a source."""
    gap = rules.gap_mm
    return Strip(
        sizes=tuple((b.width_mm + gap, b.length_mm + gap) for b in blanks),
        may_turn=tuple(
            may_turn(b, source) and b.width_mm != b.length_mm for b in blanks
        ),
        width=usable_mm(source, rules=rules),
        height=height,
        knife=rules.cut == "guillotine",
    )


def lay(
    packing: Packing, blanks: Sequence[Blank], source: Roll | Offcut, *, rules: Rules
) -> tuple[tuple[Placement, ...], tuple[Blank, ...]]:
    """Placements in the source's own millimetres, and the blanks left over."""
    placements = tuple(
        Placement(blanks[i].id, source.id, x + rules.edge_mm, y, turned)
        for i, x, y, turned in sorted(packing.placed)
    )
    placed = {i for i, _, _, _ in packing.placed}
    return placements, tuple(b for i, b in enumerate(blanks) if i not in placed)


def on_rolls(
    blanks: Sequence[Blank], rolls: Sequence[Roll], *, rules: Rules, effort: Effort
) -> Draft:
    """All blanks on the cheapest single roll, or on several if none is enough."""
    if not blanks or not rolls:
        return Draft(left=tuple(blanks))
    priced = is_priced(rolls)
    single = _on_one_roll(blanks, rolls, rules=rules, effort=effort, priced=priced)
    if single is not None and not single.left:
        return single
    used = single.tries if single else 0
    orders = _roll_orders(rolls)
    tries = max(0, effort.tries - used) // len(orders)
    chains = [
        on_several(
            blanks,
            order,
            rules=rules,
            effort=effort.slice(tries=tries, stages=len(orders) - done),
        )
        for done, order in enumerate(orders)
    ]
    best = min(chains, key=lambda d: (_area(d.left), d.cost(priced), len(d.pulls)))
    tries = used + sum(draft.tries for draft in chains)
    return replace(best, tries=tries, cut_short=any(d.cut_short for d in chains))


def is_cheaper(draft: Draft, than: Draft, *, saving_mm: int, priced: bool) -> bool:
    """Fewer blanks left over, or as many and at least so much film less.

    saving_mm  of the film that `than` pulls, at its mean price or width
    """
    if len(draft.left) != len(than.left):
        return len(draft.left) < len(than.left)
    if not than.length_mm:
        return False
    cost = than.cost(priced)
    least = cost * max(1, saving_mm) / Decimal(than.length_mm)
    return draft.cost(priced) <= cost - least


def is_priced(rolls: Sequence[Roll]) -> bool:
    """Whether prices decide: every roll has one. Else the area of film does."""
    return all(roll.cost_per_m is not None for roll in rolls)


def _rate(roll: Roll, priced: bool) -> Decimal:
    if priced and roll.cost_per_m is not None:
        return roll.cost_per_m
    return Decimal(roll.width_mm)


def _area(blanks: Sequence[Blank]) -> int:
    return sum(blank.width_mm * blank.length_mm for blank in blanks)


def _roll_orders(rolls: Sequence[Roll]) -> list[list[Roll]]:
    """Use up short rolls first, or begin with the longest."""
    short = sorted(rolls, key=lambda r: (r.remaining_mm, r.width_mm, r.id))
    long = sorted(rolls, key=lambda r: (-r.remaining_mm, r.width_mm, r.id))
    return [short] if short == long else [short, long]


@dataclass(frozen=True, kw_only=True)
class _Option:
    """One width and price, with the rolls that offer it."""

    rolls: tuple[Roll, ...]
    strip: Strip
    start: Packing
    bound: int
    rate: Decimal

    def cost(self, top: int) -> Decimal:
        return self.rate * top


def _on_one_roll(
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    *,
    rules: Rules,
    effort: Effort,
    priced: bool,
) -> Draft | None:
    options = _options(blanks, rolls, rules=rules, priced=priced)
    complete = [o for o in options if o.start.complete]
    if complete:
        limit = min(o.cost(o.start.top) for o in complete)
        options = [o for o in options if o.cost(o.bound) <= limit]
    options = sorted(
        options, key=lambda o: (not o.start.complete, o.cost(o.start.top), o.rate)
    )[:SHORTLIST]
    best: Draft | None = None
    tries, cut_short = 0, False
    for done, option in enumerate(options):
        share = effort.slice(
            tries=effort.tries // len(options), stages=len(options) - done
        )
        draft = _searched(option, blanks, rules=rules, effort=share)
        tries += draft.tries
        cut_short |= draft.cut_short
        if not draft.left and (best is None or draft.cost(priced) < best.cost(priced)):
            best = draft
    return best and replace(best, tries=tries, cut_short=cut_short)


def _options(
    blanks: Sequence[Blank], rolls: Sequence[Roll], *, rules: Rules, priced: bool
) -> list[_Option]:
    alike: dict[tuple[int, Decimal], list[Roll]] = {}
    for roll in rolls:
        if all(fits(blank, roll, rules=rules) for blank in blanks):
            alike.setdefault((roll.width_mm, _rate(roll, priced)), []).append(roll)
    options = []
    for (_, rate), some in sorted(alike.items()):
        longest = max(height_mm(roll, rules=rules) for roll in some)
        strip = strip_of(blanks, some[0], rules=rules, height=longest)
        bound = quick_bound_mm(
            sizes=strip.sizes, may_turn=strip.may_turn, width_mm=strip.width
        )
        if bound <= longest:
            options.append(
                _Option(
                    rolls=tuple(some),
                    strip=strip,
                    start=quick(strip),
                    bound=bound,
                    rate=rate,
                )
            )
    return options


def _searched(
    option: _Option, blanks: Sequence[Blank], *, rules: Rules, effort: Effort
) -> Draft:
    found = search_strip(option.strip, option.start, effort=effort)
    need = found.top - rules.gap_mm + rules.lead_mm
    enough = [roll for roll in option.rolls if roll.remaining_mm >= need]
    if not found.complete or not enough:
        return Draft(left=tuple(blanks), tries=found.tries, cut_short=found.cut_short)
    roll = min(enough, key=lambda r: (r.remaining_mm, r.id))
    placements, left = lay(found, blanks, roll, rules=rules)
    return Draft(
        placements=placements,
        pulls=((roll, need),),
        left=left,
        tries=found.tries,
        cut_short=found.cut_short,
        closed=found.closed,
        knife_best=found.knife_best,
    )


def on_several(
    blanks: Sequence[Blank], rolls: Sequence[Roll], *, rules: Rules, effort: Effort
) -> Draft:
    """Fill roll after roll; the last one is pulled only as far as needed."""
    draft = Draft(left=tuple(blanks))
    tries = effort.tries // len(rolls)
    for done, roll in enumerate(rolls):
        able = [b for b in draft.left if fits(b, roll, rules=rules)]
        if not able:
            continue
        cap = height_mm(roll, rules=rules)
        strip = strip_of(able, roll, rules=rules, height=cap)
        found = search_strip(
            strip,
            quick(strip),
            effort=effort.slice(tries=tries, stages=len(rolls) - done),
        )
        placements, _ = lay(found, able, roll, rules=rules)
        placed = {placement.blank_id for placement in placements}
        draft = Draft(
            placements=draft.placements + placements,
            pulls=(*draft.pulls, (roll, found.top - rules.gap_mm + rules.lead_mm)),
            left=tuple(b for b in draft.left if b.id not in placed),
            tries=draft.tries + found.tries,
            cut_short=draft.cut_short or found.cut_short,
        )
    return draft
