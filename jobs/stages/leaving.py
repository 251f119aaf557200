"""What holds a car in its stage (pure); the stages themselves are `table.py`.

`concerns` is the only place that knows the rules of leaving a stage. Pages show its
sentences beside the greyed button; actions refuse with `reasons_not_to_move`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from jobs.rules.table import Concern, Level, Rule, level_of
from jobs.stages.table import CLOSED, Stage, is_redo
from shopapp.figures import Figure, given
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class FilmLimits:
    """What the film's maker allows while film is laid; None is "not stated"."""

    panel_min_c: float | None = None
    panel_max_c: float | None = None
    air_min_c: float | None = None
    air_max_c: float | None = None
    rh_min_pct: float | None = None
    rh_max_pct: float | None = None


@dataclass(frozen=True, kw_only=True)
class StageFacts:
    """What is known of a work order when somebody wants to move it.

    Names are those on the screen: panels, items, marks, solutions, defects.

    stage             where it stands
    now               aware time of the move
    paused_because    the pause's reason, or "" when the job is not paused
    open_items        required checklist items of this stage still open
    walk_round_agreed by signature, link, "left keys" or account
    panels_ready      panels that prep has made ready, a count
    film_limits       limits of the film's maker
    panel_c, air_c    last reading, °C
    rh_pct            last reading, % relative humidity
    dew_point_c       dew point of that reading, °C
    marks_unapproved  marks found later whose kind asks the customer's consent
    panels_open       panels neither laid nor struck off
    solutions_open    solutions of the sheet neither mixed nor "not needed"
    panels_unseen     laid panels nobody has looked at in this round
    self_inspected    panels looked at by the person who laid them
    another_inspector whether someone else could have looked
    defects_outside   open defects outside the acceptance standard, not accepted
    cure_over_at      aware time when the cure time is over, or None if not known
    final_look_at     aware time of the last final look of this round, or None
    faults_open       what a car came back for, and nobody has said what is done
    needs_no_film     it came back, all is said, and no panel is to be filmed
    balance_settled   paid or on account
    hand_over_agreed  by signature, link, "left keys" or account
    """

    stage: Stage
    now: datetime
    paused_because: str = ""
    open_items: tuple[str, ...] = ()
    walk_round_agreed: bool = False
    panels_ready: int = 0
    film_limits: FilmLimits = FilmLimits()
    panel_c: float | None = None
    air_c: float | None = None
    rh_pct: float | None = None
    dew_point_c: float | None = None
    marks_unapproved: tuple[str, ...] = ()
    panels_open: tuple[str, ...] = ()
    solutions_open: tuple[str, ...] = ()
    panels_unseen: tuple[str, ...] = ()
    self_inspected: tuple[str, ...] = ()
    another_inspector: bool = False
    defects_outside: tuple[str, ...] = ()
    cure_over_at: datetime | None = None
    final_look_at: datetime | None = None
    faults_open: tuple[str, ...] = ()
    needs_no_film: bool = False
    balance_settled: bool = False
    hand_over_agreed: bool = False

    @property
    def ways(self) -> tuple[Stage, ...]:
        """Where it can go: out at once, where no film is laid."""
        return (CLOSED,) if self.needs_no_film else self.stage.ways

    @property
    def asks(self) -> tuple[Rule, ...]:
        """Rules asked on the way on."""
        return LEAVES_WITHOUT_FILM if self.needs_no_film else self.stage.row.asks


LEAVES_WITHOUT_FILM = (Rule.BALANCE_SETTLED, Rule.HAND_OVER_AGREED)
"""What is asked of a car that came back and leaves with the film that it has."""


def concerns(
    facts: StageFacts, *, to: Stage, levels: Mapping[Rule, Level]
) -> tuple[Concern, ...]:
    """Every rule that speaks against the move, or about it, at the shop's levels.

    to      stage the car would go to
    levels  the shop's level of each rule (`jobs.rules.table.level_of` fills gaps)
    An empty tuple means: nothing to say. A way back for a redo is asked for nothing
    but that the job is not paused: what is missing there is missing because of it.
    """
    if to not in facts.ways:
        return (
            Concern(
                rule=Rule.STAGES_IN_ORDER,
                level=Level.HARD,
                sentence=_out_of_order(facts.stage, to),
            ),
        )
    asked = () if is_redo(facts.stage, to=to) else facts.asks
    return tuple(
        Concern(rule=rule, level=level_of(rule, levels=levels), sentence=sentence)
        for rule in (Rule.NOT_PAUSED, *asked)
        for sentence in _CHECKS[rule](facts)
    )


def reasons_not_to_move(
    facts: StageFacts,
    *,
    to: Stage,
    levels: Mapping[Rule, Level],
    given: Mapping[Rule, str],
) -> tuple[Say, ...]:
    """The sentences that refuse the move; an empty tuple means go.

    given  reasons that someone allowed has written, by rule; blank ones do not count
    A hard rule refuses whatever was given; advice never refuses.
    """
    return tuple(
        concern.sentence
        for concern in concerns(facts, to=to, levels=levels)
        if _refuses(concern, given)
    )


def overridden(
    facts: StageFacts,
    *,
    to: Stage,
    levels: Mapping[Rule, Level],
    given: Mapping[Rule, str],
) -> tuple[Concern, ...]:
    """The concerns that a written reason overrides: they are kept and print."""
    return tuple(
        concern
        for concern in concerns(facts, to=to, levels=levels)
        if concern.level is Level.REASON and not _refuses(concern, given)
    )


def film_limit_sentences(
    *,
    limits: FilmLimits,
    panel_c: float | None,
    air_c: float | None,
    rh_pct: float | None,
) -> tuple[Say, ...]:
    """A sentence for each figure of a reading outside the film maker's limits.

    panel_c, air_c  °C, or None when not measured: then nothing is said of it
    rh_pct          % relative humidity, or None
    """
    checks = (
        ("panel", "degc", panel_c, limits.panel_min_c, limits.panel_max_c),
        ("air", "degc", air_c, limits.air_min_c, limits.air_max_c),
        ("humidity", "pct", rh_pct, limits.rh_min_pct, limits.rh_max_pct),
    )
    return tuple(
        sentence
        for name, unit, value, low, high in checks
        if value is not None and (sentence := _outside(name, unit, value, low, high))
    )


_TOO_LOW = {
    "panel": "The panel is at {now}; the film maker asks for at least {limit}.",
    "air": "The air is at {now}; the film maker asks for at least {limit}.",
    "humidity": "Humidity is {now}; the film maker asks for at least {limit}.",
}
_TOO_HIGH = {
    "panel": "The panel is at {now}; the film maker allows at most {limit}.",
    "air": "The air is at {now}; the film maker allows at most {limit}.",
    "humidity": "Humidity is {now}; the film maker allows at most {limit}.",
}


def _outside(
    name: str, unit: str, value: float, low: float | None, high: float | None
) -> Say | None:
    if low is not None and value < low:
        return say(_TOO_LOW[name], now=_read(value, unit), limit=_limit(low, unit))
    if high is not None and value > high:
        return say(_TOO_HIGH[name], now=_read(value, unit), limit=_limit(high, unit))
    return None


def _read(value: float, unit: str) -> Figure:
    return given(value, unit, "reading")


def _limit(value: float, unit: str) -> Figure:
    return given(value, unit, "film maker's limit")


def _refuses(concern: Concern, reasons: Mapping[Rule, str]) -> bool:
    if concern.level is Level.REASON:
        return not reasons.get(concern.rule, "").strip()
    return concern.level is Level.HARD


def _out_of_order(stage: Stage, to: Stage) -> Say:
    if to is stage:
        return say("The car is already in {stage}.", stage=stage.label)
    following = stage.row.leads_to
    if following is None:
        return say("The order is closed; open a return visit instead.")
    return say(
        "A car in {stage} goes on to {following}, not to {to}.",
        stage=stage.label,
        following=following.label,
        to=to.label,
    )


_Found = Iterator[Say]


def _listed(text: str, names: tuple[str, ...]) -> _Found:
    if names:
        yield say(text, names=", ".join(names))


def _paused(facts: StageFacts) -> _Found:
    if facts.paused_because:
        yield say("The job is paused: {because}.", because=facts.paused_because)


def _walk_round(facts: StageFacts) -> _Found:
    if not facts.walk_round_agreed:
        yield say("The walk-round is not agreed yet.")
    yield from _marks_found_later(facts)


def _marks_found_later(facts: StageFacts) -> _Found:
    text = "Found later, not approved by the customer: {names}."
    yield from _listed(text, facts.marks_unapproved)


def _intake_items(facts: StageFacts) -> _Found:
    yield from _listed("Still open: {names}.", facts.open_items)


def _stage_items(facts: StageFacts) -> _Found:
    yield from _listed("Required items open: {names}.", facts.open_items)


def _panel_ready(facts: StageFacts) -> _Found:
    if facts.panels_ready < 1:
        yield say("No panel is ready for film yet.")


def _film_limits(facts: StageFacts) -> _Found:
    yield from film_limit_sentences(
        limits=facts.film_limits,
        panel_c=facts.panel_c,
        air_c=facts.air_c,
        rh_pct=facts.rh_pct,
    )


def _above_dew_point(facts: StageFacts) -> _Found:
    if (
        facts.panel_c is not None
        and facts.dew_point_c is not None
        and facts.panel_c < facts.dew_point_c
    ):
        yield say(
            "The panel ({panel}) is below the dew point ({dew_point}): edges will "
            "not dry; warm the car.",
            panel=_read(facts.panel_c, "degc"),
            dew_point=_read(facts.dew_point_c, "degc"),
        )


def _panels_laid(facts: StageFacts) -> _Found:
    yield from _listed("Neither laid nor struck off: {names}.", facts.panels_open)


def _solutions_settled(facts: StageFacts) -> _Found:
    text = "Neither mixed nor marked as not needed: {names}."
    yield from _listed(text, facts.solutions_open)


def _panels_looked_at(facts: StageFacts) -> _Found:
    yield from _listed("Not looked at yet: {names}.", facts.panels_unseen)


def _within_standard(facts: StageFacts) -> _Found:
    text = "Outside the acceptance standard, neither put right nor accepted: {names}."
    yield from _listed(text, facts.defects_outside)


def _second_pair_of_eyes(facts: StageFacts) -> _Found:
    if facts.another_inspector:
        text = "Looked at only by the person who laid it: {names}."
        yield from _listed(text, facts.self_inspected)


def _cure_time_over(facts: StageFacts) -> _Found:
    over_at = facts.cure_over_at
    if over_at is None:
        yield say("The cure time has not been set yet.")
    elif facts.now < over_at:
        yield say("The film settles until {until}.", until=over_at)


def _final_look(facts: StageFacts) -> _Found:
    over_at, looked_at = facts.cure_over_at, facts.final_look_at
    if looked_at is None:
        yield say("The final look is not done yet.")
    elif over_at is not None and looked_at < over_at:
        yield say("The final look came before the cure time was over: look again.")


def _balance_settled(facts: StageFacts) -> _Found:
    if not facts.balance_settled:
        yield say("The balance is neither paid nor on account.")


def _hand_over_agreed(facts: StageFacts) -> _Found:
    if not facts.hand_over_agreed:
        yield say("The hand-over is not agreed yet.")


_CHECKS: Mapping[Rule, Callable[[StageFacts], _Found]] = {
    Rule.NOT_PAUSED: _paused,
    Rule.WALK_ROUND_AGREED: _walk_round,
    Rule.INTAKE_ITEMS: _intake_items,
    Rule.STAGE_ITEMS: _stage_items,
    Rule.PANEL_READY: _panel_ready,
    Rule.FILM_LIMITS: _film_limits,
    Rule.AFTER_WASH_MARKS: _marks_found_later,
    Rule.PANEL_ABOVE_DEW_POINT: _above_dew_point,
    Rule.PANELS_LAID: _panels_laid,
    Rule.SOLUTIONS_SETTLED: _solutions_settled,
    Rule.PANELS_LOOKED_AT: _panels_looked_at,
    Rule.ACCEPTANCE_STANDARD: _within_standard,
    Rule.SECOND_PAIR_OF_EYES: _second_pair_of_eyes,
    Rule.CURE_TIME_OVER: _cure_time_over,
    Rule.FINAL_LOOK: _final_look,
    Rule.BALANCE_SETTLED: _balance_settled,
    Rule.HAND_OVER_AGREED: _hand_over_agreed,
}
"""What each rule says of a car that is to go on; which are asked, its row says."""
