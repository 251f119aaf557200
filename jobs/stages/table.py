"""The stages of a work order, one row each (pure).

A row says all that makes one stage differ from another: pages, rules, board, papers
and the customer's page ask it. A new stage is a row, its checklist and a migration.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from jobs.rules.table import Rule
from shopapp.say import Say, say


class Stage(StrEnum):
    """Where a work order stands, in the order of the work. The value is stored."""

    INTAKE = "intake"
    PREP = "prep"
    INSTALL = "install"
    INSPECTION = "inspection"
    CURE = "cure"
    CLOSED = "closed"

    @property
    def row(self) -> StageRow:
        """All that is known of the stage."""
        return TABLE[self]

    @property
    def label(self) -> str:
        """The stage in words."""
        return self.row.label

    @property
    def ways(self) -> tuple[Stage, ...]:
        """The way on first; a second one is the way back for a redo."""
        return tuple(to for to in (self.row.leads_to, self.row.back_to) if to)

    @property
    def is_closed(self) -> bool:
        """Whether no stage comes after it: the car is with the customer."""
        return self.row.leads_to is None

    def may(self, act: May) -> bool:
        """Whether this is done in the stage."""
        return act in self.row.may


class May(StrEnum):
    """What is done in a stage, where stages differ by it."""

    WALK_ROUND = "walk_round"
    """Marks are those the car came with; the customer agrees to them."""
    READY = "ready"
    """Panels are made ready."""
    READ = "read"
    """The panel is read for film: pours and what stands against laying hang on it."""
    LAY = "lay"
    """Film is laid: a round begins here, and its solutions are waited for."""
    SPRAY = "spray"
    """The car is wiped, sprayed or warmed: its fire line is said."""
    HEAT = "heat"
    """Hot tools are taken to the film."""
    LOOK = "look"
    """The film is looked over: the car leaves soon."""
    SETTLE = "settle"
    """The film settles: the cure time runs."""
    FINAL_LOOK = "final_look"
    """The look after the cure time is written down."""


class ToDo(StrEnum):
    """What can be next to do; `jobs.path.next_step` has when, and its words."""

    ITEMS = "items"
    FIRST_ITEMS = "first_items"
    """Items that stay with their panels once the first panel is ready."""
    AGREE = "agree"
    APPROVE = "approve"
    READY = "ready"
    READ = "read"
    MIX = "mix"
    LAY = "lay"
    LOOK = "look"
    SETTLE = "settle"
    SETTLE_TIME = "settle_time"
    FINAL_LOOK = "final_look"
    HAND_OVER = "hand_over"


@dataclass(frozen=True, kw_only=True)
class FloorWord:
    """The state of a car on the floor: a word, its icon, its colour."""

    word: str
    icon: str
    tone: str


@dataclass(frozen=True, kw_only=True)
class StageRow:
    """One stage.

    leads_to        the stage after it; None: the car is with the customer
    back_to         where a redo begins, if one can begin from here
    checklist       code of its checklist in `jobs/checks/data/checklists.csv`
    checklist_name  what the shop reads above it
    asks            rules asked when the car goes on, in the order they are said
    steps           what to do in it, in the order of the work
    may             what is done in it
    main_act        the first button of a panel: ready, lay or look
    floor           the floor's word
    floor_settled   the floor's word once the cure time is over
    customer        what the customer reads: where the car is
    """

    label: str
    leads_to: Stage | None
    back_to: Stage | None = None
    checklist: str
    checklist_name: str
    asks: tuple[Rule, ...] = ()
    steps: tuple[ToDo, ...] = ()
    may: frozenset[May] = frozenset()
    main_act: May | None = None
    floor: FloorWord
    floor_settled: FloorWord | None = None
    customer: Say


TABLE: Mapping[Stage, StageRow] = {
    Stage.INTAKE: StageRow(
        label="intake",
        leads_to=Stage.PREP,
        checklist="intake",
        checklist_name="Intake",
        asks=(Rule.WALK_ROUND_AGREED, Rule.INTAKE_ITEMS),
        steps=(ToDo.ITEMS, ToDo.AGREE, ToDo.APPROVE),
        may=frozenset({May.WALK_ROUND}),
        floor=FloorWord(word="intake", icon="key", tone="wait"),
        customer=say(
            "Your car is with us. We write down how its paint is before film."
        ),
    ),
    Stage.PREP: StageRow(
        label="prep",
        leads_to=Stage.INSTALL,
        checklist="prep",
        checklist_name="Prep",
        asks=(
            Rule.PANEL_READY,
            Rule.FILM_LIMITS,
            Rule.AFTER_WASH_MARKS,
            Rule.PANEL_ABOVE_DEW_POINT,
        ),
        steps=(ToDo.FIRST_ITEMS, ToDo.READY, ToDo.APPROVE),
        may=frozenset({May.READY, May.READ, May.SPRAY}),
        main_act=May.READY,
        floor=FloorWord(word="prep", icon="drop", tone="busy"),
        customer=say("Your car is being washed and made ready for film."),
    ),
    Stage.INSTALL: StageRow(
        label="install",
        leads_to=Stage.INSPECTION,
        checklist="install",
        checklist_name="Install",
        asks=(Rule.PANELS_LAID, Rule.SOLUTIONS_SETTLED, Rule.STAGE_ITEMS),
        steps=(ToDo.READ, ToDo.MIX, ToDo.LAY, ToDo.ITEMS),
        may=frozenset({May.READY, May.READ, May.LAY, May.SPRAY, May.HEAT}),
        main_act=May.LAY,
        floor=FloorWord(word="install", icon="film", tone="busy"),
        customer=say("Film is being laid on your car."),
    ),
    Stage.INSPECTION: StageRow(
        label="inspection",
        leads_to=Stage.CURE,
        back_to=Stage.INSTALL,
        checklist="inspection",
        checklist_name="Inspection",
        asks=(
            Rule.PANELS_LOOKED_AT,
            Rule.ACCEPTANCE_STANDARD,
            Rule.SECOND_PAIR_OF_EYES,
            Rule.STAGE_ITEMS,
        ),
        steps=(ToDo.LOOK, ToDo.SETTLE, ToDo.ITEMS),
        may=frozenset({May.READY, May.LOOK, May.SPRAY, May.HEAT}),
        main_act=May.LOOK,
        floor=FloorWord(word="inspection", icon="eye", tone="busy"),
        customer=say("The film is on. We check every panel and every edge."),
    ),
    Stage.CURE: StageRow(
        label="cure",
        leads_to=Stage.CLOSED,
        back_to=Stage.INSTALL,
        checklist="final_look",
        checklist_name="Final look",
        asks=(
            Rule.CURE_TIME_OVER,
            Rule.FINAL_LOOK,
            Rule.BALANCE_SETTLED,
            Rule.HAND_OVER_AGREED,
            Rule.STAGE_ITEMS,
        ),
        steps=(ToDo.SETTLE_TIME, ToDo.FINAL_LOOK, ToDo.ITEMS, ToDo.HAND_OVER),
        may=frozenset({May.READY, May.LOOK, May.SETTLE, May.FINAL_LOOK}),
        main_act=May.LOOK,
        floor=FloorWord(word="settling", icon="clock", tone="wait"),
        floor_settled=FloorWord(word="settled", icon="check", tone="ok"),
        customer=say(
            "The film is on and settles: the last water leaves from under it."
        ),
    ),
    Stage.CLOSED: StageRow(
        label="closed",
        leads_to=None,
        checklist="hand_over",
        checklist_name="Hand-over",
        floor=FloorWord(word="closed", icon="check", tone="ok"),
        customer=say("Your car is with you."),
    ),
}

FIRST = next(iter(Stage))
"""Where a car that arrives stands."""
CLOSED = next(stage for stage in Stage if stage.is_closed)
"""Where a car stands that has been handed over."""
LEAVES_FROM = next(stage for stage in Stage if stage.row.leads_to is CLOSED)
"""Where a car stands until it is handed over."""

NEXT: Mapping[Stage, tuple[Stage, ...]] = {stage: stage.ways for stage in Stage}
"""The way on first; a second entry is the way back for a redo."""


def way_on(stage: Stage) -> Stage | None:
    """The stage that follows, or None for a closed order."""
    return stage.row.leads_to


def is_redo(stage: Stage, *, to: Stage) -> bool:
    """Whether the move leads back to install: new film, a new round."""
    return to is stage.row.back_to


def stage_named(code: str) -> str:
    """A stage in words, as papers and history keep it; an unknown one by its code."""
    return next((stage.label for stage in Stage if stage == code), code)


def stages_that(act: May) -> tuple[Stage, ...]:
    """Stages in which this is done."""
    return tuple(stage for stage in Stage if stage.may(act))


def stages_up_to(act: May) -> tuple[Stage, ...]:
    """Stages from the first on to the last in which this is done."""
    stages = tuple(Stage)
    return stages[: stages.index(stages_that(act)[-1]) + 1]


def stages_before(act: May) -> tuple[Stage, ...]:
    """Stages that a car goes through before the first in which this is done."""
    stages = tuple(Stage)
    return stages[: stages.index(stages_that(act)[0])]
