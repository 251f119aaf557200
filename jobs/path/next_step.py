"""The next thing to do on a car, one at a time, from what is known of it (pure)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from jobs.rules.table import Concern
from jobs.stages.leaving import StageFacts
from jobs.stages.table import Stage, ToDo
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
    following = facts.stage.row.leads_to
    if following is None:
        return None
    if facts.paused_because:
        return Step(
            code="paused",
            sentence=say("Waiting: {because}", because=facts.paused_because),
            where=Where.ORDER,
            waits=True,
        )
    if facts.faults_open:
        return Step(
            code="came_back",
            sentence=say(
                "Look at what it came back for, and say what is done: {names}.",
                names=", ".join(facts.faults_open),
            ),
            where=Where.ORDER,
        )
    if facts.needs_no_film:
        return _hand_over(facts, reading)
    steps = (_STEPS[todo](facts, reading) for todo in facts.stage.row.steps)
    return next((step for step in steps if step), _move(following))


def _items(facts: StageFacts, reading: Concern | None) -> Step | None:
    if not facts.open_items:
        return None
    return Step(
        code="items",
        sentence=say(
            "Checks open: {count}, next “{item}”.",
            count=len(facts.open_items),
            item=facts.open_items[0],
        ),
        where=Where.CHECKS,
    )


def _first_items(facts: StageFacts, reading: Concern | None) -> Step | None:
    return None if facts.panels_ready else _items(facts, reading)


def _agree(facts: StageFacts, reading: Concern | None) -> Step | None:
    if facts.walk_round_agreed:
        return None
    return Step(
        code="agree",
        sentence=say("Have the customer agree to the walk-round."),
        where=Where.CHECKS,
    )


def _approve(facts: StageFacts, reading: Concern | None) -> Step | None:
    if not facts.marks_unapproved:
        return None
    return Step(
        code="approve",
        sentence=say("Have the marks found later approved."),
        where=Where.CHECKS,
    )


def _ready(facts: StageFacts, reading: Concern | None) -> Step | None:
    if facts.panels_ready:
        return None
    return Step(
        code="ready",
        sentence=say("Wipe the first panel and mark it ready."),
        where=Where.PANELS,
    )


def _read(facts: StageFacts, reading: Concern | None) -> Step | None:
    if not facts.panels_open or reading is None:
        return None
    return Step(code="read", sentence=reading.sentence, where=Where.PANELS)


def _mix(facts: StageFacts, reading: Concern | None) -> Step | None:
    if not facts.panels_open or not facts.solutions_open:
        return None
    return Step(
        code="mix",
        sentence=say("Mix {names}.", names=", ".join(facts.solutions_open)),
        where=Where.MIXING,
    )


def _lay(facts: StageFacts, reading: Concern | None) -> Step | None:
    if not facts.panels_open:
        return None
    return Step(
        code="lay",
        sentence=say(
            "Lay film: {count} to go, next {panel}.",
            count=len(facts.panels_open),
            panel=facts.panels_open[0],
        ),
        where=Where.PANELS,
    )


def _look(facts: StageFacts, reading: Concern | None) -> Step | None:
    if not facts.panels_unseen:
        return None
    return Step(
        code="look",
        sentence=say(
            "Look at {count} under hard light, next {panel}.",
            count=len(facts.panels_unseen),
            panel=facts.panels_unseen[0],
        ),
        where=Where.PANELS,
    )


def _settle(facts: StageFacts, reading: Concern | None) -> Step | None:
    if not facts.defects_outside:
        return None
    names = ", ".join(facts.defects_outside)
    return Step(
        code="settle",
        sentence=say("Put right, redo or accept: {names}.", names=names),
        where=Where.PANELS,
    )


def _settle_time(facts: StageFacts, reading: Concern | None) -> Step | None:
    over_at = facts.cure_over_at
    if over_at is None or facts.now >= over_at:
        return None
    return Step(
        code="settle_time",
        sentence=say("The film settles until {until}.", until=over_at),
        where=Where.PANELS,
        waits=True,
    )


def _final_look(facts: StageFacts, reading: Concern | None) -> Step | None:
    over_at, looked_at = facts.cure_over_at, facts.final_look_at
    if looked_at is not None and (over_at is None or looked_at >= over_at):
        return None
    return Step(
        code="final_look", sentence=say("Take the final look."), where=Where.PANELS
    )


def _hand_over(facts: StageFacts, reading: Concern | None) -> Step:
    return Step(
        code="hand_over", sentence=say("Hand the car over."), where=Where.HAND_OVER
    )


def _move(following: Stage) -> Step:
    return Step(
        code="move",
        sentence=say("Move the car on to {stage}.", stage=following.label),
        where=Where.ORDER,
    )


_STEPS: Mapping[ToDo, Callable[[StageFacts, Concern | None], Step | None]] = {
    ToDo.ITEMS: _items,
    ToDo.FIRST_ITEMS: _first_items,
    ToDo.AGREE: _agree,
    ToDo.APPROVE: _approve,
    ToDo.READY: _ready,
    ToDo.READ: _read,
    ToDo.MIX: _mix,
    ToDo.LAY: _lay,
    ToDo.LOOK: _look,
    ToDo.SETTLE: _settle,
    ToDo.SETTLE_TIME: _settle_time,
    ToDo.FINAL_LOOK: _final_look,
    ToDo.HAND_OVER: _hand_over,
}
"""Each thing to do while it is still to do; which a stage asks for, its row says."""
