"""What is to be planned and what a plan is: integers and names, nothing else (pure).

One ground for the shop and for published instances: whoever asks builds a `Problem`
of activities, links and resources on an axis of whole ticks, and nothing here knows
who asked. Half-open throughout: an activity from 3 to 5 leaves tick 5 free.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum

Interval = tuple[int, int]
"""From, up to and without."""


class Level(StrEnum):
    """A goal; a problem names its own, in the order in which they count."""

    MAKESPAN = "makespan"
    LATE = "late"
    CHANGE = "change"
    STAY = "stay"


class Status(StrEnum):
    """What is known of a level's value."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    NONE = "none"


@dataclass(frozen=True, kw_only=True)
class Run:
    """A piece of a table: from `first` on, `value` and `rise` (0 or 1) more a tick."""

    first: int
    value: int
    rise: int


Table = tuple[Run, ...]
"""Runs in the order of `first`; each holds up to the next, the last for ever."""


def look_up(table: Table, at: int) -> int:
    """The table's value at a tick; ValueError before its first run."""
    place = bisect_right(table, at, key=lambda run: run.first) - 1
    if place < 0:
        raise ValueError(f"the table begins after {at}")
    run = table[place]
    return run.value + run.rise * (at - run.first)


@dataclass(frozen=True, kw_only=True)
class Resource:
    """A bay, a person, a machine.

    capacity  how much of it there is at once; 1 for each real thing
    closed    when it is not there; what needs it may not reach into it
    """

    key: str
    capacity: int = 1
    closed: tuple[Interval, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Choice:
    """A resource that may serve; `size` where the work then takes another time.

    The largest size that those who serve name counts, unless a table gives the end.
    """

    resource: str
    size: int | None = None


@dataclass(frozen=True, kw_only=True)
class Need:
    """Resources taken together.

    choices  who or what may serve
    count    how many of them serve
    demand   how much of the capacity of each
    """

    choices: tuple[Choice, ...]
    count: int = 1
    demand: int = 1


@dataclass(frozen=True, kw_only=True)
class Activity:
    """One piece of work, without a break on the axis.

    job           whose it is
    size          ticks, 0 or more
    starts        where it may begin; None: anywhere from 0 on
    end_by_start  where the end hangs on the start (elapsed time); else start + size
    fixed_start   the tick at which it begins, whatever else
    pinned        resources that must serve among the choices of its needs
    """

    key: str
    job: str
    size: int
    needs: tuple[Need, ...] = ()
    starts: tuple[Interval, ...] | None = None
    end_by_start: Table | None = None
    fixed_start: int | None = None
    pinned: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Link:
    """`after` begins no earlier than `lag` after the end of `before`.

    from_start     counted from the start of `before` instead
    start_by_end   the earliest start, looked up at that end; then the lag is added
    """

    before: str
    after: str
    lag: int = 0
    from_start: bool = False
    start_by_end: Table | None = None


@dataclass(frozen=True, kw_only=True)
class Span:
    """One resource held from the start of one activity to the end of another.

    A bay holds its car through the stages done in it, and between them.
    first, last  keys of activities of one job; the same one may be both
    need         of count 1
    pinned       resources that must serve
    """

    key: str
    first: str
    last: str
    need: Need
    pinned: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Pair:
    """Two activities better done by the same hands; a change of hands costs ticks."""

    before: str
    after: str
    cost: int = 2


@dataclass(frozen=True, kw_only=True)
class Due:
    """A promise.

    activity       its end counts
    since          activity at whose start the stay begins
    weight         ticks of lateness are counted so many times
    ready_by_end   when it is ready, looked up at the activity's end; else the end
    late_by_ready  ticks of lateness, looked up at that moment; never negative
    """

    activity: str
    since: str
    late_by_ready: Table
    weight: int = 1
    ready_by_end: Table | None = None

    def ready(self, end: int) -> int:
        """When it is ready, for the end of its activity."""
        return look_up(self.ready_by_end, end) if self.ready_by_end else end

    def late(self, end: int) -> int:
        """Ticks of lateness, for the end of its activity."""
        return look_up(self.late_by_ready, self.ready(end))


def late_after(due: int) -> Table:
    """Lateness of a promise that is kept up to and with this tick.

    >>> [look_up(late_after(4), tick) for tick in (0, 4, 6)]
    [0, 0, 2]
    """
    if due <= 0:
        return (Run(first=0, value=-due, rise=1),)
    return (Run(first=0, value=0, rise=0), Run(first=due, value=0, rise=1))


@dataclass(frozen=True, kw_only=True)
class Placed:
    """Where an activity or a span has gone.

    resources  who serves, in the order of the needs, sorted within each
    """

    key: str
    start: int
    end: int
    resources: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Problem:
    """Everything that is known.

    levels    the goals, the first counts most
    previous  the plan in force: what `change` is counted from
    swap_cost a resource swapped hurts like so many ticks moved
    horizon   how far a search looks; a first plan runs past it where nothing else fits
    """

    name: str
    horizon: int
    activities: tuple[Activity, ...]
    links: tuple[Link, ...] = ()
    resources: tuple[Resource, ...] = ()
    spans: tuple[Span, ...] = ()
    dues: tuple[Due, ...] = ()
    pairs: tuple[Pair, ...] = ()
    levels: tuple[Level, ...] = (Level.MAKESPAN,)
    previous: tuple[Placed, ...] = ()
    swap_cost: int = 8


@dataclass(frozen=True, kw_only=True)
class Progress:
    """How far a search is.

    bound      no plan goes below it
    solutions  plans found in this level
    """

    level: Level
    value: int | None
    bound: int | None
    seconds: float
    solutions: int


@dataclass(frozen=True, kw_only=True)
class Settings:
    """How long and how to search.

    seconds        for each level; one number for all, in wall time
    deterministic  limit for each level that does not hang on the clock; for tests
    first_seconds  for the first answer
    gap            a level is good enough within this share of its bound
    progress       told at most a few times a second
    cancelled      asked a few times a second; True stops the search with what there is
    """

    seed: int = 7
    workers: int = 2
    seconds: float = 10.0
    deterministic: float | None = None
    first_seconds: float = 0.25
    gap: float = 0.0
    progress: Callable[[Progress], None] | None = None
    cancelled: Callable[[], bool] | None = None


@dataclass(frozen=True, kw_only=True)
class LevelResult:
    """What was reached in one level.

    bound  no plan goes below it, given the values of the levels before; None: unknown
    """

    level: Level
    value: int
    bound: int | None
    status: Status
    seconds: float = 0.0

    @property
    def is_proven(self) -> bool:
        """Whether no plan does better."""
        return self.status is Status.OPTIMAL


@dataclass(frozen=True, kw_only=True)
class Plan:
    """A plan that the checker has passed.

    placed        activities and spans, by key
    levels        one for each of the problem's
    origin        the rule that made it, or "solver"
    first         values of the first answer, level by level
    problem_hash  of the problem that it answers
    engine        name and version, "" without one
    """

    placed: tuple[Placed, ...]
    levels: tuple[LevelResult, ...]
    origin: str
    first: tuple[int, ...] = ()
    problem_hash: str = ""
    engine: str = ""
    seed: int = 0
    workers: int = 0
    cancelled: bool = False
    by_key: dict[str, Placed] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_key", {each.key: each for each in self.placed})


class NoPlanError(ValueError):
    """Nothing fits: pins that clash, or a need that nobody serves.

    why   what stands against it, as facts for a sentence
    """

    def __init__(self, problems: tuple[Fault, ...]) -> None:
        super().__init__("; ".join(str(each) for each in problems))
        self.problems = problems


class FaultKind(StrEnum):
    """What can be wrong with a problem, before anything is searched."""

    PINS_CLASH = "pins_clash"
    PIN_CLOSED = "pin_closed"
    PIN_ORDER = "pin_order"
    PIN_UNKNOWN = "pin_unknown"
    NOBODY = "nobody"
    NO_TIME = "no_time"
    CIRCLE = "circle"
    MALFORMED = "malformed"


@dataclass(frozen=True, kw_only=True)
class Fault:
    """One thing that stands against every plan.

    about      keys of activities or spans
    resources  keys of resources
    at         the tick, where there is one
    """

    kind: FaultKind
    about: tuple[str, ...] = ()
    resources: tuple[str, ...] = ()
    at: int | None = None
