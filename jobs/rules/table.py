"""The shop's rules: code, level, title and sentence, each in one place (pure).

Three levels. Hard: never. Reason: refused until done or until someone allowed
writes a reason, which prints. Advice: said, never in the way. The manager sets the
level of every rule that is not hard; a new shop starts with those on advice.
What holds a car in its stage is in `jobs.stages.leaving`, what stops a hand at the
stock, a vessel or a batch in `jobs.rules.stock`; both are built on this vocabulary.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from shopapp.say import Say, say


class Level(StrEnum):
    """How firmly a rule speaks."""

    HARD = "hard"
    REASON = "reason"
    ADVICE = "advice"


class Rule(StrEnum):
    """Every rule by its stored code."""

    STAGES_IN_ORDER = "stages_in_order"
    STOCK_NOT_BELOW_ZERO = "stock_not_below_zero"
    VESSEL_KIND = "vessel_kind"
    VESSEL_CLEAN = "vessel_clean"
    BATCH_FRESH = "batch_fresh"
    BATCH_OWN = "batch_own"
    PANEL_READY = "panel_ready"
    NOT_PAUSED = "not_paused"
    WALK_ROUND_AGREED = "walk_round_agreed"
    INTAKE_ITEMS = "intake_items"
    STAGE_ITEMS = "stage_items"
    FILM_LIMITS = "film_limits"
    AFTER_WASH_MARKS = "after_wash_marks"
    PANEL_ABOVE_DEW_POINT = "panel_above_dew_point"
    READING_TODAY = "reading_today"
    PANELS_LAID = "panels_laid"
    SOLUTIONS_SETTLED = "solutions_settled"
    PANELS_LOOKED_AT = "panels_looked_at"
    SECOND_PAIR_OF_EYES = "second_pair_of_eyes"
    ACCEPTANCE_STANDARD = "acceptance_standard"
    CURE_TIME_OVER = "cure_time_over"
    FINAL_LOOK = "final_look"
    BALANCE_SETTLED = "balance_settled"
    HAND_OVER_AGREED = "hand_over_agreed"
    FILM_RESERVED = "film_reserved"


@dataclass(frozen=True, kw_only=True)
class RuleInfo:
    """What the settings page says of a rule.

    enforced     its level once the shop enforces its rules
    where        heading it stands under
    title        its name in a list
    explanation  what it asks for and why
    """

    enforced: Level
    where: Say
    title: Say
    explanation: Say


@dataclass(frozen=True, kw_only=True)
class Concern:
    """One rule that speaks: the same sentence greys the button and refuses."""

    rule: Rule
    level: Level
    sentence: Say


def _info(level: Level, where: str, title: str, explanation: str) -> RuleInfo:
    return RuleInfo(
        enforced=level, where=say(where), title=say(title), explanation=say(explanation)
    )


_HARD, _REASON, _ADVICE = Level.HARD, Level.REASON, Level.ADVICE
_ALWAYS, _INTAKE, _PREP = "At every move", "Leaving intake", "Leaving prep"
_INSTALL, _INSPECTION = "Leaving install", "Leaving inspection"
_HAND_OVER, _BOTTLES, _FILM = "At hand-over", "Vessels and batches", "Film and stock"

RULES: Mapping[Rule, RuleInfo] = {
    Rule.STAGES_IN_ORDER: _info(
        _HARD,
        _ALWAYS,
        "Stages in order",
        "A car goes through every stage; only a redo leads back, to install.",
    ),
    Rule.NOT_PAUSED: _info(
        _REASON,
        _ALWAYS,
        "A paused job waits",
        "A job that waits for something is resumed before it moves.",
    ),
    Rule.STAGE_ITEMS: _info(
        _ADVICE,
        _ALWAYS,
        "Required items ticked",
        "Required items of install, inspection, final look and hand-over are done. "
        "Open prep items stay with their panels.",
    ),
    Rule.WALK_ROUND_AGREED: _info(
        _REASON,
        _INTAKE,
        "Walk-round agreed",
        "The customer agrees to the marks found: by signature, by link, by leaving "
        "the keys, or as an account customer.",
    ),
    Rule.INTAKE_ITEMS: _info(
        _REASON,
        _INTAKE,
        "Intake complete",
        "The required intake items are done, so that nobody argues later.",
    ),
    Rule.PANEL_READY: _info(
        _HARD,
        _PREP,
        "One panel ready",
        "Film goes on clean paint: a car moves to install with its first ready panel.",
    ),
    Rule.FILM_LIMITS: _info(
        _REASON,
        _PREP,
        "Within the film maker's limits",
        "Panel, air and humidity are inside the limits that the film's maker states.",
    ),
    Rule.AFTER_WASH_MARKS: _info(
        _REASON,
        _PREP,
        "After-wash marks approved",
        "The customer approves what the wash brought to light before film covers it.",
    ),
    Rule.PANEL_ABOVE_DEW_POINT: _info(
        _ADVICE,
        _PREP,
        "Panel warmer than the dew point",
        "On a panel below the dew point water keeps forming and edges do not dry.",
    ),
    Rule.READING_TODAY: _info(
        _ADVICE,
        _INSTALL,
        "Bay and panel read",
        "A reading at the first panel of the day, and again when the panel has moved.",
    ),
    Rule.PANELS_LAID: _info(
        _REASON,
        _INSTALL,
        "Every panel laid or struck off",
        "Each panel of the coverage is laid, or struck off with the customer.",
    ),
    Rule.SOLUTIONS_SETTLED: _info(
        _REASON,
        _INSTALL,
        "Every solution settled",
        "Each solution of the mixing sheet is mixed or marked as not needed, so that "
        "a later defect can be traced.",
    ),
    Rule.PANELS_LOOKED_AT: _info(
        _REASON,
        _INSPECTION,
        "Every panel looked at",
        "Each laid panel is looked at under hard light.",
    ),
    Rule.SECOND_PAIR_OF_EYES: _info(
        _ADVICE,
        _INSPECTION,
        "A second pair of eyes",
        "Someone other than the person who laid a panel looks at it, where there is "
        "one.",
    ),
    Rule.ACCEPTANCE_STANDARD: _info(
        _REASON,
        _INSPECTION,
        "Within the acceptance standard",
        "A defect outside the shop's standard is put right, or the manager accepts it.",
    ),
    Rule.CURE_TIME_OVER: _info(
        _REASON,
        _HAND_OVER,
        "Cure time over",
        "The car stays until the water has left and the bond has built.",
    ),
    Rule.FINAL_LOOK: _info(
        _REASON,
        _HAND_OVER,
        "Final look after the cure time",
        "Edges that lift, lift overnight: someone looks again before the car leaves.",
    ),
    Rule.BALANCE_SETTLED: _info(
        _REASON,
        _HAND_OVER,
        "Balance settled",
        "The balance is paid or on the customer's account.",
    ),
    Rule.HAND_OVER_AGREED: _info(
        _REASON,
        _HAND_OVER,
        "Hand-over agreed",
        "The customer takes the car: by signature, by link, by keys left out, or as "
        "an account customer.",
    ),
    Rule.VESSEL_KIND: _info(
        _HARD,
        _BOTTLES,
        "One kind for life",
        "Soap in the tack vessel or alcohol in the slip vessel ruins both.",
    ),
    Rule.VESSEL_CLEAN: _info(
        _HARD,
        _BOTTLES,
        "Filled only when clean",
        "A vessel is rinsed and marked clean before it is filled again; over what is "
        "left of the same recipe, in its time, it may be filled up.",
    ),
    Rule.BATCH_FRESH: _info(
        _HARD,
        _BOTTLES,
        "Old bottles are asked about",
        "A bottle past its time is asked about once when it is taken: use it, or mix "
        "new. Laid film is kept with it, marked as past its time.",
    ),
    Rule.BATCH_OWN: _info(
        _HARD,
        _BOTTLES,
        "The order's own batch",
        "A batch is used on the orders it was mixed for, so that it can be traced.",
    ),
    Rule.STOCK_NOT_BELOW_ZERO: _info(
        _HARD,
        _FILM,
        "Stock never below zero",
        "What is not there cannot be taken; count the stock if the record is wrong.",
    ),
    Rule.FILM_RESERVED: _info(
        _ADVICE,
        _FILM,
        "Film there for each booking",
        "A shortage is said when the car is booked and again the afternoon before.",
    ),
}

CHANGE_OR_DROP_SHARE = 0.10
"""A rule overridden on more than this share of orders is changed or dropped."""


def enforced_levels() -> dict[Rule, Level]:
    """Every rule at the level it has once the shop enforces its rules."""
    return {rule: info.enforced for rule, info in RULES.items()}


def known_levels(stored: Mapping[str, str]) -> dict[Rule, Level]:
    """Levels by rule as a shop keeps them by code.

    A code or a level that only another version of the program knows is left out: the
    rule is then on advice, and `unknown_levels` names it.
    """
    return {
        Rule(code): Level(level)
        for code, level in stored.items()
        if code in set(Rule) and level in set(Level)
    }


def unknown_levels(stored: Mapping[str, str]) -> dict[str, str]:
    """What a shop keeps of rules and levels that this version does not know."""
    known = known_levels(stored)
    return {code: level for code, level in stored.items() if code not in known}


def is_hard(rule: Rule) -> bool:
    """Whether no manager can soften the rule."""
    return RULES[rule].enforced is Level.HARD


def level_of(rule: Rule, *, levels: Mapping[Rule, Level]) -> Level:
    """The rule's level in a shop.

    A hard rule is hard whatever the shop's table says, and no other rule becomes
    hard. A rule missing from the table (new in an upgrade) is advice, so that an
    upgrade never stops a car.
    """
    if is_hard(rule):
        return Level.HARD
    set_level = levels.get(rule, Level.ADVICE)
    return Level.REASON if set_level is Level.HARD else set_level


def change_or_drop(rule: Rule, *, overridden: int, orders: int) -> Say | None:
    """What to say of a rule that is overridden on more than a tenth of orders."""
    if orders <= 0 or overridden <= CHANGE_OR_DROP_SHARE * orders:
        return None
    return say(
        "“{title}” was overridden on {overridden} of {orders} orders: change it or "
        "drop it.",
        title=str(RULES[rule].title),
        overridden=overridden,
        orders=orders,
    )
