"""The next thing to do on a car, one at a time, from what is known of it (pure)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from jobs.rules.table import Concern
from jobs.stages.leaving import Stage, StageFacts, way_on
from shopapp.say import Say, say


class Where(StrEnum):
    """The page of the order where a step is done."""

    ORDER = "order"
    CHECKS = "checks"
    PANELS = "panels"
    MIXING = "mixing"
    HAND_OVER = "handover"


@dataclass(frozen=True, kw_only=True)
class Step:
    """One thing to do: a sentence, and where it is done.

    waits  nothing to do but wait
    """

    code: str
    sentence: Say
    where: Where
    waits: bool = False


def next_step(facts: StageFacts, *, reading: Concern | None = None) -> Step | None:
    """What to do first, or None for a closed order.

    reading  what `jobs.rules.stock.reading_wanted` says of today's reading
    The order of the questions is the order of the work, not of the rules: nothing
    here refuses anything.
    """
    if facts.stage is Stage.CLOSED:
        return None
    if facts.paused_because:
        return Step(
            code="paused",
            sentence=say("Waiting: {because}", because=facts.paused_because),
            where=Where.ORDER,
            waits=True,
        )
    return next(_STEPS[facts.stage](facts, reading), _move(facts.stage))


_Steps = Iterator[Step]


def _intake(facts: StageFacts, reading: Concern | None) -> _Steps:
    yield from _items(facts)
    if not facts.walk_round_agreed:
        yield Step(
            code="agree",
            sentence=say("Have the customer agree to the walk-round."),
            where=Where.CHECKS,
        )
    if facts.marks_unapproved:
        yield Step(
            code="approve",
            sentence=say("Have the marks found later approved."),
            where=Where.CHECKS,
        )


def _prep(facts: StageFacts, reading: Concern | None) -> _Steps:
    if facts.panels_ready:
        if facts.marks_unapproved:
            yield Step(
                code="approve",
                sentence=say("Have the marks found later approved."),
                where=Where.CHECKS,
            )
        return
    yield from _items(facts)
    yield Step(
        code="ready",
        sentence=say("Wipe the first panel and mark it ready."),
        where=Where.PANELS,
    )


def _install(facts: StageFacts, reading: Concern | None) -> _Steps:
    if facts.panels_open:
        if reading is not None:
            yield Step(code="read", sentence=reading.sentence, where=Where.PANELS)
        if facts.solutions_open:
            names = ", ".join(facts.solutions_open)
            yield Step(
                code="mix",
                sentence=say("Mix {names}.", names=names),
                where=Where.MIXING,
            )
        yield Step(
            code="lay",
            sentence=say(
                "Lay film: {count} to go, next {panel}.",
                count=len(facts.panels_open),
                panel=facts.panels_open[0],
            ),
            where=Where.PANELS,
        )
    yield from _items(facts)


def _inspection(facts: StageFacts, reading: Concern | None) -> _Steps:
    if facts.panels_unseen:
        yield Step(
            code="look",
            sentence=say(
                "Look at {count} under hard light, next {panel}.",
                count=len(facts.panels_unseen),
                panel=facts.panels_unseen[0],
            ),
            where=Where.PANELS,
        )
    if facts.defects_outside:
        names = ", ".join(facts.defects_outside)
        yield Step(
            code="settle",
            sentence=say("Put right, redo or accept: {names}.", names=names),
            where=Where.PANELS,
        )
    yield from _items(facts)


def _cure(facts: StageFacts, reading: Concern | None) -> _Steps:
    over_at, looked_at = facts.cure_over_at, facts.final_look_at
    if over_at is not None and facts.now < over_at:
        yield Step(
            code="settle_time",
            sentence=say("The film settles until {until}.", until=over_at),
            where=Where.PANELS,
            waits=True,
        )
    elif looked_at is None or (over_at is not None and looked_at < over_at):
        yield Step(
            code="final_look", sentence=say("Take the final look."), where=Where.PANELS
        )
    else:
        yield from _items(facts)
        yield Step(
            code="hand_over",
            sentence=say("Hand the car over."),
            where=Where.HAND_OVER,
        )


def _items(facts: StageFacts) -> _Steps:
    if facts.open_items:
        yield Step(
            code="items",
            sentence=say(
                "Checks open: {count}, next “{item}”.",
                count=len(facts.open_items),
                item=facts.open_items[0],
            ),
            where=Where.CHECKS,
        )


def _move(stage: Stage) -> Step:
    following = way_on(stage)
    assert following is not None
    return Step(
        code="move",
        sentence=say("Move the car on to {stage}.", stage=following.value),
        where=Where.ORDER,
    )


_STEPS: Mapping[Stage, Callable[[StageFacts, Concern | None], _Steps]] = {
    Stage.INTAKE: _intake,
    Stage.PREP: _prep,
    Stage.INSTALL: _install,
    Stage.INSPECTION: _inspection,
    Stage.CURE: _cure,
}
