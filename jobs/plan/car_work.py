"""What is still to do on a car: its package, what was added, how far it is (pure)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import Any

from jobs.coverage.catalogue import Method, laying_min, panels
from jobs.package_hours.defaults import PackageTimes
from jobs.plan.shop import CUTTER, WASH, Car, Part, Skill, Work
from jobs.promises.earliest import INSPECTION_MIN, INTAKE_MIN, LEAVING_MIN
from jobs.stages.table import FIRST, May, Stage, stages_before, stages_up_to

BEFORE_PREP, IN_PREP, AFTER_INSTALL = "before_prep", "in_prep", "after_install"
"""When added work is done; the words of its record."""


@dataclass(frozen=True, kw_only=True)
class PanelToDo:
    """A panel agreed for film, and how far it is.

    more_min  for another edge, agreed since
    """

    code: str
    method: str
    more_min: int = 0
    is_ready: bool = False
    is_laid: bool = False


@dataclass(frozen=True, kw_only=True)
class Added:
    """Added work that is not done."""

    minutes: int
    when: str
    skill: str


@dataclass(frozen=True, kw_only=True)
class ToDo:
    """What the work of a car is counted from.

    stage     None: it has not come
    began     its stage is being worked on, by `crew`
    helper    who may be the second person; None: there is none here
    has_wash  prep is done in the wash; else in the car's bay
    cut_min   None: nothing is to be cut
    """

    times: PackageTimes
    panels: tuple[PanelToDo, ...]
    added: tuple[Added, ...] = ()
    stage: Stage | None = None
    began: bool = False
    crew: tuple[str, ...] = ()
    helper: Skill | None = None
    has_wash: bool = False
    cut_min: int | None = None


@dataclass(frozen=True, kw_only=True)
class _Minutes:
    usual: float
    low: float
    high: float

    def times(self, share: float) -> _Minutes:
        return _Minutes(
            usual=self.usual * share, low=self.low * share, high=self.high * share
        )

    def plus(self, minutes: int) -> _Minutes:
        return _Minutes(
            usual=self.usual + minutes, low=self.low + minutes, high=self.high + minutes
        )


def works_of(car: ToDo) -> tuple[Work, ...]:
    """What is still to do, in order; what goes on first, by its crew."""
    stage = car.stage or FIRST
    found: list[Work] = []
    if stage is FIRST:
        found.append(_work(Part.INTAKE, INTAKE_MIN, skill=Skill.ANY, may_pause=False))
        found += _added(car, BEFORE_PREP, part=Part.ADDED_BEFORE)
    if stage in stages_before(May.LAY):
        found.append(_prep(car))
    if lays_film(stage):
        found += _film_work(car)
    if not stage.may(May.SETTLE):
        found += _added(car, AFTER_INSTALL, part=Part.ADDED_AFTER)
        found.append(
            _work(
                Part.INSPECTION,
                INSPECTION_MIN,
                skill=Skill.INSPECT,
                in_bay=True,
                may_pause=False,
            )
        )
    found.append(_work(Part.LOOK, LEAVING_MIN, skill=Skill.INSPECT, may_pause=False))
    if car.began:
        found[0] = _going_on(found[0], by=car.crew)
    return tuple(found)


def lays_film(stage: Stage) -> bool:
    """Whether film is still to be laid."""
    return stage in stages_up_to(May.LAY)


def cut_of(car: ToDo) -> Work | None:
    """Cutting the film of its pre-cut panels; None where nothing is to be cut."""
    waits = (panel for panel in car.panels if not panel.is_laid)
    if car.cut_min is None or not any(p.method == Method.PRE_CUT for p in waits):
        return None
    return Work(part=Part.CUT, minutes=car.cut_min, spot=CUTTER)


def begins_of(car: Car) -> str:
    """Fingerprint of what has begun on a car: it changes when its next stage begins."""
    following = car.works[0].part.value if car.works else ""
    return f"{'here' if car.is_here else 'expected'}: {following}"


def _prep(car: ToDo) -> Work:
    """In prep what is left is the share of the panels not ready."""
    ready = sum(panel.is_ready for panel in car.panels)
    share = 1 - ready / len(car.panels) if car.panels else 1.0
    minutes = car.times.prep_min * share
    minutes += sum(each.minutes for each in car.added if each.when == IN_PREP)
    return _work(Part.PREP, minutes, skill=Skill.PREP, **_where(car))


def _film_work(car: ToDo) -> Iterator[Work]:
    """Laying what is not laid, the second person beside it at the beginning."""
    whole, left = _laying(car), _of_panels(car, only_left=True)
    all_of = _of_panels(car)
    share = left.usual / all_of.usual if all_of.usual else 1.0
    rest = whole.times(share).plus(_more(car, only_left=True))
    whole = whole.plus(_more(car))
    yield _work(
        Part.INSTALL,
        rest.usual,
        low=_up(rest.low),
        high=_up(rest.high),
        skill=Skill.INSTALL,
        in_bay=True,
    )
    done = whole.usual - rest.usual
    helped = min(car.times.helper_min - done, rest.usual)
    if helped > 0 and car.helper:
        yield _work(Part.HELP, helped, skill=car.helper, in_bay=True)


def _laying(car: ToDo) -> _Minutes:
    """Minutes of all its film: the owner's, spread like the panels'; else theirs."""
    by_panel = _of_panels(car)
    if car.times.laying_min is None:
        return by_panel
    if not by_panel.usual:
        said = float(car.times.laying_min)
        return _Minutes(usual=said, low=said, high=said)
    return by_panel.times(car.times.laying_min / by_panel.usual)


def _of_panels(car: ToDo, *, only_left: bool = False) -> _Minutes:
    known = panels()
    figures = [
        laying_min(known[panel.code], method=Method(panel.method))
        for panel in car.panels
        if panel.code in known and not (only_left and panel.is_laid)
    ]
    return _Minutes(
        usual=sum(figure.value for figure in figures),
        low=sum(figure.low or figure.value for figure in figures),
        high=sum(figure.high or figure.value for figure in figures),
    )


def _more(car: ToDo, *, only_left: bool = False) -> int:
    """For other edges than were booked, beside the hours of the package."""
    waits = (p for p in car.panels if not (only_left and p.is_laid))
    return sum(panel.more_min for panel in waits)


def _added(car: ToDo, when: str, *, part: Part) -> Iterator[Work]:
    """Added work, that of one skill together."""
    where = _where(car) if part is Part.ADDED_BEFORE else {"in_bay": True}
    for skill in (Skill.PREP, Skill.INSTALL):
        minutes = sum(
            each.minutes
            for each in car.added
            if each.when == when and each.skill == skill.value
        )
        if minutes:
            yield _work(part, minutes, skill=skill, **where)


def _where(car: ToDo) -> dict[str, Any]:
    return {"spot": WASH} if car.has_wash else {"in_bay": True}


def _work(part: Part, minutes: float, /, *, may_pause: bool = True, **how: Any) -> Work:
    """At least a minute: what is not left yet takes a moment still."""
    return Work(part=part, minutes=max(1, _up(minutes)), may_pause=may_pause, **how)


def _up(minutes: float) -> int:
    """Whole minutes; what a share of a sum makes of its last digit does not count."""
    return ceil(round(minutes, 6))


def _going_on(work: Work, *, by: tuple[str, ...]) -> Work:
    return Work(**{**vars(work), "began": True, "by": by})
