"""Rules of stock, vessels, batches and readings, each with its one sentence (pure)."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, datetime

from jobs.rules.table import Concern, Level, Rule, level_of
from shopapp.figures import Figure, given
from shopapp.say import Say, say

PANEL_MOVED_C = 4.0
"""A reading is asked for again when the panel has moved by this much.

Common practice, no published source.
"""

TAKEN_LEAST, TAKEN_MOST, TAKEN_SLACK_MM = 0.95, 1.25, 100.0
"""Film taken is asked about outside these shares of what was planned, from this
difference on. Common practice, no published source: less does not hold the panels,
and much more is a slip of the unit or of a digit.
"""


def _hard(rule: Rule, sentence: Say) -> Concern:
    return Concern(rule=rule, level=Level.HARD, sentence=sentence)


def stock_short(*, name: str, there: Figure, wanted: Figure) -> Concern | None:
    """Refused: more is taken from a roll, off-cut or container than is there.

    name           what it is called on its label
    there, wanted  amounts in the same unit
    Raises ValueError when the units differ or a negative amount is taken.
    """
    if there.unit != wanted.unit:
        raise ValueError(f"cannot take {wanted} from {there}: the units differ")
    if wanted.value < 0:
        raise ValueError("a negative amount cannot be taken; book a return instead")
    if wanted.value <= there.value:
        return None
    sentence = say(
        "{name} holds only {there}; {wanted} cannot be taken.",
        name=name,
        there=there,
        wanted=wanted,
    )
    return _hard(Rule.STOCK_NOT_BELOW_ZERO, sentence)


def taken_odd(*, roll: str, taken: Figure, planned: Figure) -> Say | None:
    """Asked once: was it really so much less, or more, than the plan?

    taken, planned  lengths in mm

    >>> ten, mm = given(10_800, "mm", "plan"), given(11, "mm", "entered")
    >>> taken_odd(roll="R1", taken=mm, planned=ten) is None
    False
    """
    near = abs(taken.value - planned.value) <= TAKEN_SLACK_MM
    share = taken.value / planned.value if planned.value else 1.0
    if near or TAKEN_LEAST <= share <= TAKEN_MOST:
        return None
    return say(
        "Roll {roll}: {taken} is far from the {planned} of the plan. Look at the unit; "
        "if it was really so much, tick this and press again.",
        roll=roll,
        taken=taken,
        planned=planned,
    )


def taken_short(*, panels: str) -> Say:
    """Asked with it, where the length does not reach some panels."""
    return say(
        "It is too short for: {panels}. Did the roll end there? Then tick “The roll "
        "ended here”: it is empty, and what is missing is planned.",
        panels=panels,
    )


def vessel_wrong_kind(
    *, vessel: str, vessel_kind: str, solution: str
) -> Concern | None:
    """Refused: a vessel takes only the solution it was labelled for."""
    if vessel_kind == solution:
        return None
    sentence = say(
        "{vessel} is a {vessel_kind} vessel for life; {solution} does not go into it.",
        vessel=vessel,
        vessel_kind=vessel_kind,
        solution=solution,
    )
    return _hard(Rule.VESSEL_KIND, sentence)


def vessel_not_clean(*, vessel: str, is_clean: bool) -> Concern | None:
    """Refused: an unrinsed vessel is not filled again."""
    if is_clean:
        return None
    sentence = say("{vessel} is not rinsed yet: rinse it first.", vessel=vessel)
    return _hard(Rule.VESSEL_CLEAN, sentence)


def vessel_not_to_fill_up(
    *, vessel: str, batch: str, same_recipe: bool, use_until: datetime, now: datetime
) -> Concern | None:
    """Refused: a vessel is filled up only over its own recipe, and in its time."""
    if now >= use_until:
        sentence = say(
            "{vessel} holds {batch}, which was good until {until}: empty and rinse it "
            "first.",
            vessel=vessel,
            batch=batch,
            until=use_until,
        )
    elif not same_recipe:
        sentence = say(
            "{vessel} holds {batch} of another recipe: empty and rinse it first.",
            vessel=vessel,
            batch=batch,
        )
    else:
        return None
    return _hard(Rule.VESSEL_CLEAN, sentence)


def batch_stale(
    *, batch: str, use_until: datetime | None, is_emptied: bool, now: datetime
) -> Concern | None:
    """A batch past its time is asked about once; one poured away is refused."""
    if is_emptied:
        sentence = say("Batch {batch} was emptied: mix a new one.", batch=batch)
    elif use_until is not None and now > use_until:
        sentence = say(
            "Batch {batch} was good until {until}: mix a new one, or use it all the "
            "same.",
            batch=batch,
            until=use_until,
        )
    else:
        return None
    return _hard(Rule.BATCH_FRESH, sentence)


def past_its_time(*, codes: str, kind: str, until: datetime) -> Say:
    """Said above "Laid", which no bottle ever holds up."""
    return say(
        "{codes}: this {kind} was good until {until}. Mix new, or go on: it is marked "
        "as past its time.",
        codes=codes,
        kind=kind,
        until=until,
    )


def batch_foreign(
    *, batch: str, mixed_for: Collection[str], order: str
) -> Concern | None:
    """Refused: a batch that was mixed for other orders."""
    if order in mixed_for:
        return None
    sentence = say(
        "Batch {batch} was not mixed for order {order}: tie it to the order or mix a "
        "new one.",
        batch=batch,
        order=order,
    )
    return _hard(Rule.BATCH_OWN, sentence)


def vessel_foreign(
    *, vessel: str, batch: str, mixed_for: Collection[str], order: str
) -> Concern | None:
    """Refused: a vessel that holds a batch mixed for other orders."""
    if order in mixed_for:
        return None
    sentence = say(
        "{vessel} holds batch {batch} of {orders}: take a clean vessel, or empty and "
        "rinse this one first.",
        vessel=vessel,
        batch=batch,
        orders=", ".join(sorted(mixed_for)) or "nobody's order",
    )
    return _hard(Rule.BATCH_OWN, sentence)


def film_short(
    *, film: str, there: Figure, wanted: Figure, levels: Mapping[Rule, Level]
) -> Concern | None:
    """Said at booking and again the afternoon before: the film will not reach."""
    if wanted.value <= there.value:
        return None
    return Concern(
        rule=Rule.FILM_RESERVED,
        level=level_of(Rule.FILM_RESERVED, levels=levels),
        sentence=say(
            "{film}: {wanted} is needed and only {there} is free; order some.",
            film=film,
            wanted=wanted,
            there=there,
        ),
    )


def reading_wanted(
    *,
    today: date,
    read_on: date | None,
    read_panel_c: float | None,
    panel_c: float | None,
    levels: Mapping[Rule, Level],
) -> Concern | None:
    """Asked for at the first panel of the day and when the panel has moved.

    today         the shop's day
    read_on       the shop's day of the last reading, or None
    read_panel_c  panel in that reading, °C
    panel_c       panel now, °C, or None when nobody measured again
    """
    if read_on != today:
        sentence = say("First panel today: read air, humidity and panel.")
    elif (
        read_panel_c is not None
        and panel_c is not None
        and abs(panel_c - read_panel_c) >= PANEL_MOVED_C
    ):
        sentence = say(
            "The panel went from {before} to {now}: take a new reading.",
            before=given(read_panel_c, "degc", "last reading"),
            now=given(panel_c, "degc", "panel now"),
        )
    else:
        return None
    level = level_of(Rule.READING_TODAY, levels=levels)
    return Concern(rule=Rule.READING_TODAY, level=level, sentence=sentence)
