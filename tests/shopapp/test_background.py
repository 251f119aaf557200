"""Background tasks as rows: rung after the commit, taken once, never lost."""

from __future__ import annotations

import time
from datetime import timedelta

import pytest
from django.utils import timezone

from shopapp import background
from shopapp.background import MOST_ATTEMPTS, Cancelled, State, ring, running, sweep
from shopapp.frame import Refused, perform
from shopapp.models import BackgroundTask
from shopapp.say import say
from tests.makers import NOW, make_person, make_tap

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]
with_commits = pytest.mark.django_db(transaction=True)
RUNG: list[tuple[str, int]] = []


def bell(kind: str, pk: int) -> None:
    """A bell that remembers."""
    RUNG.append((kind, pk))


def deaf_bell(kind: str, pk: int) -> None:
    """Redis does not answer."""
    raise ConnectionError


@pytest.fixture(autouse=True)
def _bell(settings):
    RUNG.clear()
    settings.BACKGROUND_BELL = f"{__name__}.bell"


@pytest.fixture
def pat():
    return make_person("desk", username="pat")


def ask(act, *, subject: str, due=None, refuse: bool = False):
    task = ring(act, "papers.test", subject=subject, payload={"n": 1}, due=due)
    assert RUNG == []
    if refuse:
        raise Refused(say("No."))
    return {"task": task.pk}


ask.action_name = "test.ask"  # type: ignore[attr-defined]


def asked(pat, *, subject: str = "workorder 1", **facts) -> BackgroundTask:
    pk = perform(make_tap(pat), ask, subject=subject, **facts)["task"]
    return BackgroundTask.objects.get(pk=pk)


def waiting(**fields) -> BackgroundTask:
    return BackgroundTask.objects.create(
        kind="papers.test", subject="workorder 1", **fields
    )


def state(task: BackgroundTask) -> str:
    return BackgroundTask.objects.get(pk=task.pk).state


@with_commits
def test_the_bell_sounds_after_the_commit(pat):
    task = asked(pat)
    assert [("papers.test", task.pk)] == RUNG
    assert task.rung_at is not None


def test_a_refused_action_asks_for_nothing(pat):
    with pytest.raises(Refused):
        perform(make_tap(pat), ask, subject="workorder 1", refuse=True)
    assert RUNG == []
    assert not BackgroundTask.objects.exists()


@with_commits
def test_one_of_a_kind_and_subject_is_alive_at_a_time(pat):
    first = asked(pat)
    RUNG.clear()
    assert asked(pat) == first
    RUNG.clear()
    assert asked(pat, subject="workorder 2") != first


@with_commits
def test_once_it_is_done_it_can_be_asked_for_again(pat):
    first = asked(pat)
    RUNG.clear()
    with running(first.pk):
        pass
    assert asked(pat) != first


@with_commits
def test_periodic_work_is_done_once_for_each_due_moment(pat):
    first = asked(pat, due=NOW)
    with running(first.pk):
        pass
    RUNG.clear()
    assert asked(pat, due=NOW) == first
    with running(first.pk) as again:
        assert again is None
    RUNG.clear()
    assert asked(pat, due=NOW + timedelta(days=1)) != first


@with_commits
def test_while_one_due_is_alive_the_next_due_waits_for_it(pat):
    first = asked(pat, due=NOW)
    RUNG.clear()
    assert asked(pat, due=NOW + timedelta(days=1)) == first


@with_commits
def test_a_deaf_bell_is_no_error_and_the_sweep_sounds_it_again(pat, settings):
    settings.BACKGROUND_BELL = f"{__name__}.deaf_bell"
    task = asked(pat)
    assert task.rung_at is None
    settings.BACKGROUND_BELL = f"{__name__}.bell"
    long_ago = timezone.now() - timedelta(minutes=1)
    BackgroundTask.objects.update(made_at=long_ago)
    assert sweep() == [task.pk]
    assert [("papers.test", task.pk)] == RUNG
    assert sweep() == []


@with_commits
def test_a_task_is_taken_by_one_worker_only():
    task = waiting()
    with running(task.pk) as mine, running(task.pk) as theirs:
        assert mine is not None
        assert theirs is None
    assert state(task) == State.DONE


@with_commits
def test_a_failure_is_tried_again_and_given_up_after_the_last_attempt():
    task = waiting()
    for attempt in range(1, MOST_ATTEMPTS + 1):
        with running(task.pk) as work:
            assert work is not None
            raise ValueError("paper jam")
        task.refresh_from_db()
        last = attempt == MOST_ATTEMPTS
        assert task.state == (State.FAILED if last else State.WAITING)
        assert "paper jam" in task.error
    with running(task.pk) as work:
        assert work is None


def test_the_task_of_a_dead_worker_is_taken_back():
    long_ago = timezone.now() - timedelta(minutes=5)
    task = waiting(
        state=State.RUNNING, attempts=1, made_at=long_ago, heartbeat_at=long_ago
    )
    assert sweep() == [task.pk]
    assert state(task) == State.WAITING


def test_a_task_that_kills_its_workers_is_given_up():
    long_ago = timezone.now() - timedelta(minutes=5)
    task = waiting(state=State.RUNNING, attempts=MOST_ATTEMPTS, heartbeat_at=long_ago)
    assert sweep() == []
    assert state(task) == State.FAILED


def test_a_living_task_is_left_alone():
    task = waiting(state=State.RUNNING, attempts=1, heartbeat_at=timezone.now())
    assert sweep() == []
    assert state(task) == State.RUNNING


@with_commits
def test_a_running_task_shows_that_it_lives(monkeypatch):
    monkeypatch.setattr(background, "BEAT", timedelta(seconds=0.05))
    task = waiting()
    with running(task.pk):
        first = BackgroundTask.objects.get(pk=task.pk).heartbeat_at
        time.sleep(0.3)
        assert BackgroundTask.objects.get(pk=task.pk).heartbeat_at > first


@with_commits
def test_a_task_that_was_called_off_stops_when_it_looks():
    task = waiting()
    with running(task.pk) as work:
        assert work is not None
        work.report(done=1)
        BackgroundTask.objects.update(cancel=True)
        with pytest.raises(Cancelled):
            work.check()
        raise Cancelled
    task.refresh_from_db()
    assert (task.state, task.progress) == (State.STOPPED, {"done": 1})


def test_a_task_called_off_before_it_began_is_never_rung():
    task = waiting(cancel=True)
    assert sweep() == []
    assert state(task) == State.STOPPED
