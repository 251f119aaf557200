"""Opening time against a model that walks tick by tick."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.scheduling.axis import Axis
from jobs.scheduling.problem import look_up

DAY = 96
MONDAY_EIGHT = 32
WEEK = tuple((day * DAY + 32, day * DAY + 72) for day in range(5)) + (
    (5 * DAY + 32, 5 * DAY + 52),
    (7 * DAY + 32, 7 * DAY + 72),
)
SATURDAY_CLOSING = 5 * DAY + 52


@st.composite
def windows(draw):
    at, found = draw(st.integers(-20, 20)), []
    for _ in range(draw(st.integers(1, 5))):
        start = at + draw(st.integers(1, 9))
        at = start + draw(st.integers(1, 9))
        found.append((start, at))
    return found


class Slow:
    """The same by walking over every real tick."""

    def __init__(self, windows):
        self.open = [tick for a, b in windows for tick in range(a, b)]

    def start_of(self, tick):
        return self.open[tick]

    def end_of(self, tick):
        return self.open[tick - 1] + 1 if tick else self.open[0]

    def first_start(self, real):
        return next(
            (at for at, tick in enumerate(self.open) if tick >= real), len(self.open)
        )

    def last_end(self, real):
        return max(
            (at + 1 for at, tick in enumerate(self.open) if tick + 1 <= real), default=0
        )


@given(windows(), st.integers(-30, 120))
def test_a_real_tick_is_found_as_a_start_and_as_an_end(windows, real):
    axis, slow = Axis(windows), Slow(windows)
    assert axis.size == len(slow.open)
    assert axis.ceil(real) == slow.first_start(real)
    assert axis.floor(real) == slow.last_end(real)


@given(windows())
def test_every_tick_has_its_real_start_and_end(windows):
    axis, slow = Axis(reversed(windows)), Slow(windows)
    assert [axis.start_of(t) for t in range(axis.size)] == slow.open
    ends = [axis.end_of(t) for t in range(axis.size + 1)]
    assert ends == [slow.end_of(t) for t in range(axis.size + 1)]


@given(windows(), st.integers(0, 60))
def test_elapsed_time_runs_on_while_the_shop_is_closed(windows, elapsed):
    axis, slow = Axis(windows), Slow(windows)
    by_end, by_start = axis.after_end(elapsed), axis.after_start(elapsed)
    for tick in range(axis.size + 1):
        expected = slow.first_start(slow.end_of(tick) + elapsed)
        assert look_up(by_end, tick) == expected
        if tick < axis.size:
            expected = slow.first_start(slow.start_of(tick) + elapsed)
            assert look_up(by_start, tick) == expected
    assert look_up(by_start, axis.size + 5) >= axis.size + 5
    assert len(by_end) <= 4 * len(windows) ** 2 + 2


@given(windows(), st.integers(-30, 120))
def test_a_ready_start_is_late_by_the_open_ticks_after_the_promise(windows, promise):
    axis, slow = Axis(windows), Slow(windows)
    table = axis.late_by_start(promise)
    for ready in range(axis.size):
        real = slow.start_of(ready)
        between = sum(promise <= tick < real for tick in slow.open)
        assert look_up(table, ready) == (max(1, between) if real > promise else 0)


@given(windows(), st.integers(-30, 120))
def test_a_ready_end_is_late_by_the_open_ticks_after_the_promise(windows, promise):
    axis, slow = Axis(windows), Slow(windows)
    table = axis.late_by_end(promise)
    for ready in range(axis.size + 1):
        real = slow.end_of(ready)
        between = sum(promise <= tick < real for tick in slow.open)
        assert look_up(table, ready) == (max(1, between) if real > promise else 0)


@given(windows(), st.integers(-30, 60), st.integers(0, 40))
def test_an_absence_takes_the_open_ticks_that_lie_in_it(windows, start, length):
    axis, slow = Axis(windows), Slow(windows)
    found = axis.closed([(start, start + length)])
    inside = [at for at, t in enumerate(slow.open) if start <= t < start + length]
    assert [tick for a, b in found for tick in range(a, b)] == inside


@given(windows(), st.integers(0, 6), st.integers(-30, 60))
def test_unbroken_work_ends_before_closing(windows, size, since):
    axis, slow = Axis(windows), Slow(windows)
    found = [
        t for a, b in axis.unbroken(size, since=axis.ceil(since)) for t in range(a, b)
    ]
    expected = [
        at
        for at, tick in enumerate(slow.open)
        if tick >= since
        and at + size <= axis.size
        and (size == 0 or slow.end_of(at + size) - tick == size)
    ]
    assert found == expected


@given(windows(), st.integers(2, 4), st.integers(0, 40))
def test_a_finer_clock_changes_nothing_but_the_numbers(windows, factor, elapsed):
    axis = Axis(windows)
    fine = Axis((factor * opens, factor * closes) for opens, closes in windows)
    assert fine.size == factor * axis.size
    table, finer = axis.after_end(elapsed), fine.after_end(factor * elapsed)
    for tick in range(axis.size + 1):
        assert look_up(finer, factor * tick) == factor * look_up(table, tick)


@given(windows(), st.integers(2, 4), st.integers(0, 40), st.integers(-30, 120))
def test_longer_ticks_are_laid_from_each_opening(windows, tick, elapsed, promise):
    """What is left at closing is dropped."""
    axis = Axis(windows)
    real = [
        (tick * opens + 1, tick * closes + 1 + left % tick)
        for left, (opens, closes) in enumerate(windows)
    ]
    coarse = Axis(real, tick=tick)
    assert coarse.size == axis.size
    assert coarse.days == axis.days
    assert [(at - 1) // tick for at in map(coarse.start_of, range(axis.size))] == [
        axis.start_of(at) for at in range(axis.size)
    ]
    assert coarse.after_end(tick * elapsed) == axis.after_end(elapsed)
    assert coarse.after_start(tick * elapsed) == axis.after_start(elapsed)
    at = tick * promise + 1
    assert coarse.late_by_start(at) == axis.late_by_start(promise)
    assert coarse.late_by_end(at) == axis.late_by_end(promise)
    assert coarse.closed([(at, at + 1)]) == axis.closed([(promise, promise + 1)])


def test_closing_time_as_an_end_is_kept_and_the_morning_after_is_late():
    axis = Axis(WEEK)
    closing = axis.floor(SATURDAY_CLOSING)
    assert axis.end_of(closing) == SATURDAY_CLOSING
    assert axis.start_of(closing) == 7 * DAY + MONDAY_EIGHT
    assert look_up(axis.late_by_end(SATURDAY_CLOSING), closing) == 0
    assert look_up(axis.late_by_start(SATURDAY_CLOSING), closing) == 1


def test_a_cure_that_ends_in_the_night_before_monday_is_ready_on_monday():
    axis = Axis(WEEK)
    cure = 2 * DAY - 8
    end = axis.floor(SATURDAY_CLOSING - 20)
    ready = look_up(axis.after_end(cure), end)
    assert axis.start_of(ready) == 7 * DAY + MONDAY_EIGHT
    assert look_up(axis.late_by_start(SATURDAY_CLOSING), ready) == 1
    assert look_up(axis.late_by_start(7 * DAY + MONDAY_EIGHT), ready) == 0


def test_quarter_hours_of_a_real_clock_are_as_good_as_small_numbers():
    far = 29_700_000 // 15 * 96
    axis = Axis((a + far, b + far) for a, b in WEEK)
    assert axis.after_end(40) == Axis(WEEK).after_end(40)
    assert axis.start_of(0) == far + MONDAY_EIGHT


def test_what_is_not_on_the_axis_is_said():
    assert Axis([]).size == 0
    with pytest.raises(ValueError, match="before it begins"):
        Axis([(5, 3)])
    with pytest.raises(ValueError, match="no tick 2"):
        Axis([(5, 7)]).start_of(2)
