"""The guided mix: its steps in order, and how far somebody has come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from mixing.bench.leftover_queries import mix_goes
from mixing.bench.queries import containers_to_pour
from mixing.models import StockContainer
from mixing.sheet import (
    Course,
    MixingSheet,
    Pour,
    SolutionKind,
    SolutionSheet,
    Substance,
    VesselFill,
    aim_of,
    begin,
    how_to_set_right,
    pour_problem,
    what_it_makes,
)
from mixing.sheet.queries import counted
from shopapp.say import Say, say
from shopapp.typed import readings
from shopapp.units import Shown, System, shown, to_base

AS_PLANNED = "ok"
"""What a step carries when the amount that was asked for was poured."""
SET_RIGHT, AS_IT_IS, TIPPED_OUT = "~", "!", "x"
"""What a step carries behind an amount that led outside the tolerance: it is set
right, it is left as it is, or all of it went out and the vessel begins anew."""
MORE_IS_IN = ";"
"""Behind an amount: what follows was poured as well before anything was typed."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """One pour, into each vessel of one fill."""

    fill: VesselFill
    at: int
    pour: Pour
    shown: Shown
    is_extra: bool = False

    @property
    def codes(self) -> str:
        """The vessels, as they are called."""
        return ", ".join(self.fill.codes)


@dataclass(frozen=True, kw_only=True)
class Ask:
    """An amount that leads outside the tolerance: what it makes, what helps.

    text      the answer as it was sent, to be sent again with what was decided
    goes_out  a part goes out of the vessel first
    goes      where what goes out of it goes
    """

    text: str
    makes: tuple[Say, ...]
    cure: tuple[Say, ...]
    goes_out: bool
    goes: Say


@dataclass(frozen=True, kw_only=True)
class Walk:
    """How far somebody has come.

    texts    what was answered at the steps that are done, as it was sent
    done     those steps, each with what was poured into each vessel, mL
    courses  the fills, as far as each is filled
    problem  why the last answer was not accepted; `typed` is that answer
    ask      the last answer is outside the tolerance: what is done about it?
    """

    texts: tuple[str, ...]
    done: tuple[tuple[Step, float], ...]
    courses: tuple[Course, ...]
    ahead: tuple[Step, ...]
    problem: Say | None = None
    ask: Ask | None = None
    typed: str = ""

    @property
    def now(self) -> Step | None:
        """The step to do, or None when all is poured."""
        return self.ahead[0] if self.ahead else None

    @property
    def number(self) -> int:
        """Of the step to do, counted from one as people do."""
        return len(self.done) + 1

    @property
    def count(self) -> int:
        """How many steps there are as things stand."""
        return len(self.done) + len(self.ahead)

    @property
    def before(self) -> tuple[str, ...]:
        """The answers without the last one: where "back" leads."""
        return self.texts[:-1]

    @property
    def is_begun(self) -> bool:
        """Whether there is a step to go back to."""
        return bool(self.texts)

    @property
    def is_as_planned(self) -> bool:
        """Whether nothing was poured otherwise: then the drawn bottle is true."""
        steps = [*self.done, *((step, step.pour.amount.value) for step in self.ahead)]
        return all(
            not step.is_extra and amount == step.fill.pours[step.at].amount.value
            for step, amount in steps
        )

    @property
    def poured(self) -> list[list[float]]:
        """What is in each vessel, fill by fill and pour by pour, mL."""
        return [course.poured_ml for course in self.courses]

    @property
    def spilt(self) -> dict[str, float]:
        """What went out again, by the container it came from, mL in all."""
        out: dict[str, float] = {}
        for course in self.courses:
            for pour, ml in zip(course.fill.pours, course.out_ml, strict=True):
                if pour.container and ml:
                    whole = ml * course.fill.count
                    out[pour.container] = out.get(pour.container, 0.0) + whole
        return {code: round(ml, 6) for code, ml in out.items()}

    @property
    def off(self) -> tuple[Say, ...]:
        """What is outside its tolerance and was left as it is."""
        return tuple(
            said
            for course in self.courses
            if course.is_off
            for said in what_it_makes(course)[:1]
        )

    @property
    def rows(self) -> list[tuple[Step, str, float | None]]:
        """Each step with its state and what was poured."""
        done: list[tuple[Step, str, float | None]] = [
            (step, "done", amount) for step, amount in self.done
        ]
        ahead = [(step, "" if n else "now", None) for n, step in enumerate(self.ahead)]
        return [*done, *ahead]


def walk(
    sheet: MixingSheet,
    kind: str,
    texts: Sequence[str],
    *,
    rooms_ml: Mapping[str, float],
    system: System,
) -> Walk:
    """Read the answers in order; the first that cannot be stops the walk.

    texts     `AS_PLANNED` or a number in the shop's units, one for each step, with
              what was decided about it where it led outside the tolerance
    rooms_ml  what each vessel holds to the brim, mL
    """
    way = _Way(_courses(sheet, SolutionKind(kind)), rooms_ml, system)
    for text in texts:
        if not way.answer(text):
            break
    return way.walk


def _courses(sheet: MixingSheet, kind: SolutionKind) -> list[Course]:
    solution = next(each for each in sheet.solutions if each.kind is kind)
    return [begin(fill, aim_of(sheet, kind=kind, fill=fill)) for fill in solution.fills]


class _Way:
    """The walk while its answers are read."""

    def __init__(
        self, courses: list[Course], rooms_ml: Mapping[str, float], system: System
    ) -> None:
        self.courses, self.rooms_ml, self.system = courses, rooms_ml, system
        self.texts: list[str] = []
        self.done: list[tuple[Step, float]] = []
        self.walk = self._walk()

    def answer(self, text: str) -> bool:
        """Take one answer; False where it stops the walk or nothing is left."""
        at = next((n for n, each in enumerate(self.courses) if each.queue), None)
        if at is None:
            return False
        course, step = self.courses[at], self._steps(self.courses[at])[0]
        bare, decided = _parted(text)
        amount = _amount(step, bare, system=self.system)
        problem = _not_a_number(step.pour) if amount is None else None
        if amount is not None and bare != AS_PLANNED:
            problem = self._problem(step, amount, course)
        if problem or amount is None:
            self.walk = self._walk(problem=problem, typed=bare)
            return False
        poured = course.pour(amount)
        if poured.is_off and self._is_new(step, amount, poured):
            if not decided:
                self.walk = self._asking(text, poured)
                return False
            poured = _decided(poured, decided)
        self.courses[at] = poured
        self.texts.append(text)
        self.done.append((step, amount))
        self.walk = self._walk()
        return True

    def _is_new(self, step: Step, amount: float, poured: Course) -> bool:
        """Whether nobody was asked yet about being outside the tolerance."""
        late = any(text.endswith(MORE_IS_IN) for text in self.texts)
        return amount != step.pour.amount.value or (late and not poured.queue)

    def _problem(self, step: Step, amount: float, course: Course) -> Say | None:
        return pour_problem(
            step.pour,
            poured_ml=amount,
            before_ml=course.in_it.volume_ml,
            room_ml=min(self.rooms_ml[code] for code in step.fill.codes),
            vessel=step.fill.codes[0],
        )

    def _asking(self, text: str, poured: Course) -> Walk:
        cure = poured.cure
        ask = Ask(
            text=text,
            makes=what_it_makes(poured),
            cure=how_to_set_right(poured),
            goes_out=cure is not None and cure.out_ml > 0,
            goes=mix_goes(
                vv_pct=poured.in_it.vv_pct,
                is_gel=any(p.substance is Substance.GEL for p in poured.fill.pours),
            ),
        )
        return replace(self._walk(), ask=ask, typed=text)

    def _steps(self, course: Course) -> list[Step]:
        return [
            Step(
                fill=course.fill,
                at=asked.at,
                pour=asked.pour,
                shown=_shown(asked.pour, system=self.system),
                is_extra=asked.is_extra,
            )
            for asked in course.queue
        ]

    def _walk(self, *, problem: Say | None = None, typed: str = "") -> Walk:
        return Walk(
            texts=tuple(self.texts),
            done=tuple(self.done),
            courses=tuple(self.courses),
            ahead=tuple(s for course in self.courses for s in self._steps(course)),
            problem=problem,
            typed=typed,
        )


def other_containers(kind: str, way: Walk) -> list[StockContainer]:
    """What the next pour could come from instead, before any of it was poured."""
    step = way.now
    if step is None or step.is_extra or step.pour.substance is Substance.WATER:
        return []
    if any(done.pour.substance is step.pour.substance for done, _ in way.done):
        return []
    rows = containers_to_pour(kind, step.pour.substance.value)
    return [row for row in rows if row.code != step.pour.container]


def all_poured(solution: SolutionSheet, texts: Sequence[str]) -> list[str]:
    """Amounts typed after all was poured: each vessel is asked about as it stands."""
    ends = {total - 1 for total in accumulate(len(f.pours) for f in solution.fills)}
    return [text if n in ends else text + MORE_IS_IN for n, text in enumerate(texts)]


def _parted(text: str) -> tuple[str, str]:
    """An answer, and what was decided about it."""
    if text[-1:] in (SET_RIGHT, AS_IT_IS, TIPPED_OUT, MORE_IS_IN):
        return text[:-1], text[-1]
    return text, ""


def _decided(poured: Course, decided: str) -> Course:
    if decided == SET_RIGHT:
        return poured.put_right()
    return poured.tipped_out() if decided == TIPPED_OUT else poured


def _shown(pour: Pour, *, system: System) -> Shown:
    """The amount as it is read: mL on a scale, or a count of strokes or drops."""
    if pour.is_counted:
        return counted(pour)
    return shown(pour.amount.value, pour.amount.unit, system=system)


def _not_a_number(pour: Pour) -> Say:
    if pour.is_counted:
        return say("Enter how many you counted, as a whole number.")
    return say("Enter the amount as a number.")


def _amount(step: Step, text: str, *, system: System) -> float | None:
    pour = step.pour
    if text in (AS_PLANNED, step.shown.number):
        return pour.amount.value
    if pour.is_counted and pour.graduation is not None:
        count = text.strip()
        return int(count) * pour.graduation.value if _is_count(count) else None
    # Of two readings, a thousandfold apart, the one that is near the sheet is meant.
    meant = [
        to_base(float(number), pour.amount.unit, system=system)
        for number in readings(text)
    ]
    return min(meant, key=lambda ml: abs(ml - pour.amount.value), default=None)


def _is_count(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 4
