"""The action frame: one press, one effect, in a fixed order, on both stores."""

from __future__ import annotations

import contextlib
import threading
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db.models import F

from jobs.models import Customer, Film, Roll, Vehicle, WorkOrder
from shopapp.frame import KeyReused, Refused, perform
from shopapp.models import Revision, Submission
from shopapp.say import say
from tests.makers import NOW, make_person, make_tap
from tests.rivals import at_once, refusals

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]
in_threads = pytest.mark.django_db(transaction=True)
KEY = "a-key-of-a-form"


def named(name: str):
    """An action that only these tests know: not in the table of actions."""

    def mark(do):
        do.action_name = name
        return do

    return mark


@named("roll.take")
def take(act, *, roll_pk: int, taken_mm: int, photo=None):
    roll = act.lock(Roll, roll_pk)
    if roll.left_mm < taken_mm:
        raise Refused(say("Only {left} mm are left.", left=roll.left_mm))
    Roll.objects.filter(pk=roll_pk).update(left_mm=F("left_mm") - taken_mm)
    return {"left_mm": roll.left_mm - taken_mm}


@named("roll.move")
def move(act, *, from_pk: int, to_pk: int):
    rolls = {roll.pk: roll for roll in act.lock_all(Roll, [from_pk, to_pk])}
    for roll, change in ((rolls[from_pk], -1), (rolls[to_pk], 1)):
        roll.left_mm += change
        roll.save(update_fields=["left_mm"])


@named("order.note")
def note(act, *, order_pk: int, told: bool = True):
    order = act.lock(WorkOrder, order_pk)
    order.key_tag = "9"
    order.save(update_fields=["key_tag"])
    if told:
        act.event(order, "noted", key_tag="9")


@pytest.fixture
def pat():
    return make_person("installer", username="pat")


@pytest.fixture
def roll():
    return a_roll("R1")


def a_roll(code: str) -> Roll:
    film, _ = Film.objects.get_or_create(code="A", defaults={"name": "film A"})
    return Roll.objects.create(film=film, code=code, width_mm=1524, left_mm=1000)


@pytest.fixture
def order(roll):
    customer = Customer.objects.create(name="A customer")
    car = Vehicle.objects.create(
        customer=customer, model="sedan", size_class="M", body="sedan"
    )
    return WorkOrder.objects.create(
        number="WO-1",
        customer=customer,
        vehicle=car,
        film=roll.film,
        promised_at=NOW + timedelta(days=1),
    )


def left_mm(roll: Roll) -> int:
    return Roll.objects.get(pk=roll.pk).left_mm


def number() -> int:
    return Revision.objects.get(pk=1).number


@in_threads
def test_the_same_key_twice_at_once_has_one_effect_and_one_answer(pat, roll):
    def press():
        return perform(make_tap(pat, key=KEY), take, roll_pk=roll.pk, taken_mm=300)

    answers = at_once(press, press, press)
    assert [answer["left_mm"] for answer in answers] == [700, 700, 700]
    assert sorted(answer.repeated for answer in answers) == [False, True, True]
    assert left_mm(roll) == 700
    assert Submission.objects.count() == 1


def test_the_same_key_with_other_content_is_refused_and_changes_nothing(pat, roll):
    perform(make_tap(pat, key=KEY), take, roll_pk=roll.pk, taken_mm=300)
    with pytest.raises(KeyReused, match="Record it as a new entry"):
        perform(make_tap(pat, key=KEY), take, roll_pk=roll.pk, taken_mm=301)
    assert left_mm(roll) == 700


def test_the_same_key_with_another_photo_is_refused(pat, roll):
    def press(data: bytes):
        photo = SimpleUploadedFile("a.jpg", data)
        facts = {"roll_pk": roll.pk, "taken_mm": 300, "photo": photo}
        return perform(make_tap(pat, key=KEY), take, **facts)

    press(b"one")
    assert press(b"one").repeated
    with pytest.raises(KeyReused):
        press(b"two")


def test_the_same_key_by_another_person_is_refused(pat, roll):
    other = make_person("installer", username="kim")
    perform(make_tap(pat, key=KEY), take, roll_pk=roll.pk, taken_mm=300)
    with pytest.raises(KeyReused):
        perform(make_tap(other, key=KEY), take, roll_pk=roll.pk, taken_mm=300)
    assert left_mm(roll) == 700


def test_a_refusal_leaves_nothing_and_the_key_can_be_sent_again(pat, roll):
    before = number()
    with pytest.raises(Refused, match="Only 1000 mm are left"):
        perform(make_tap(pat, key=KEY), take, roll_pk=roll.pk, taken_mm=1200)
    assert not Submission.objects.exists()
    assert number() == before
    Roll.objects.update(left_mm=2000)
    answer = perform(make_tap(pat, key=KEY), take, roll_pk=roll.pk, taken_mm=1200)
    assert answer["left_mm"] == 800
    assert not answer.repeated


@in_threads
def test_who_loses_a_code_to_a_rival_looks_again_and_hears_it_in_words(pat, roll):
    looked = threading.Barrier(2)

    @named("roll.add")
    def add(act):
        if Roll.objects.filter(code="R9").exists():
            raise Refused(say("There is a roll R9 already."))
        # One writer at a time on SQLite: there nobody comes to meet us.
        with contextlib.suppress(threading.BrokenBarrierError):
            looked.wait(0.3)
        a_roll("R9")

    answers = at_once(*[lambda: perform(make_tap(pat), add)] * 2)
    (said,) = refusals(answers)
    assert said == "There is a roll R9 already."
    assert Submission.objects.count() == 1


@in_threads
def test_two_pulls_from_one_roll_never_take_more_than_there_is(pat, roll):
    def press(key):
        return lambda: perform(
            make_tap(pat, key=key), take, roll_pk=roll.pk, taken_mm=600
        )

    answers = at_once(press("first-key"), press("second-key"))
    assert sum(isinstance(answer, Refused) for answer in answers) == 1
    assert left_mm(roll) == 400


@in_threads
def test_rolls_locked_in_opposite_order_never_wait_for_each_other(pat, roll):
    other = a_roll("R2")

    def press(key, *, from_pk, to_pk):
        return lambda: perform(
            make_tap(pat, key=key), move, from_pk=from_pk, to_pk=to_pk
        )

    there = [press(f"there-{n}", from_pk=roll.pk, to_pk=other.pk) for n in range(6)]
    back = [press(f"back-{n}", from_pk=other.pk, to_pk=roll.pk) for n in range(6)]
    at_once(*there, *back)
    assert (left_mm(roll), left_mm(other)) == (1000, 1000)
    assert Submission.objects.count() == 12


@in_threads
def test_a_late_commit_still_moves_the_revision(pat, roll):
    other = a_roll("R2")
    inside, quick_done = threading.Event(), threading.Event()
    seen: list[int] = []

    @named("roll.slow")
    def slow(act, *, roll_pk: int):
        act.lock(Roll, roll_pk)
        inside.set()
        # One writer at a time on SQLite: there the quick one waits for us.
        quick_done.wait(0.5)

    def late():
        perform(make_tap(pat, key="late-key"), slow, roll_pk=roll.pk)
        return number()

    def quick():
        assert inside.wait(10)
        tap = make_tap(pat, key="quick-key")
        perform(tap, take, roll_pk=other.pk, taken_mm=1)
        seen.append(number())
        quick_done.set()

    before = number()
    after_late, _ = at_once(late, quick)
    assert number() == before + 2
    assert {after_late, *seen} >= {before + 2}


def test_every_action_moves_the_revision_by_one(pat, roll):
    before = number()
    perform(make_tap(pat), take, roll_pk=roll.pk, taken_mm=1)
    assert number() == before + 1


def test_a_repeated_press_moves_nothing(pat, roll):
    perform(make_tap(pat, key=KEY), take, roll_pk=roll.pk, taken_mm=1)
    before = number()
    perform(make_tap(pat, key=KEY), take, roll_pk=roll.pk, taken_mm=1)
    assert number() == before


def test_a_lock_taken_out_of_turn_is_an_error_of_ours(pat, roll, order):
    @named("order.wrong_turn")
    def wrong(act, *, roll_pk: int, order_pk: int):
        act.lock(Roll, roll_pk)
        act.lock(WorkOrder, order_pk)

    with pytest.raises(RuntimeError, match="out of turn"):
        perform(make_tap(pat), wrong, roll_pk=roll.pk, order_pk=order.pk)
    assert not Submission.objects.exists()


def test_a_lower_row_of_the_same_table_is_out_of_turn_too(pat, roll):
    other = a_roll("R2")

    @named("roll.wrong_turn")
    def wrong(act):
        act.lock(Roll, other.pk)
        act.lock(Roll, roll.pk)

    with pytest.raises(RuntimeError, match="out of turn"):
        perform(make_tap(pat), wrong)


def test_a_row_that_has_gone_is_refused_in_words(pat):
    with pytest.raises(Refused, match="This roll is not there any more"):
        perform(make_tap(pat), take, roll_pk=404, taken_mm=1)


def test_an_order_that_was_locked_is_owed_an_event(pat, order):
    with pytest.raises(RuntimeError, match="left no event"):
        perform(make_tap(pat), note, order_pk=order.pk, told=False)
    order.refresh_from_db()
    assert order.key_tag == ""


def test_an_order_that_was_only_read_is_owed_none(pat, order):
    @named("order.read")
    def read(act, *, order_pk: int):
        act.unchanged(act.lock(WorkOrder, order_pk))

    perform(make_tap(pat), read, order_pk=order.pk)
    assert not order.events.exists()


def test_an_event_says_who_when_and_by_which_press(pat, order):
    perform(make_tap(pat, key=KEY), note, order_pk=order.pk)
    event = order.events.get()
    assert (event.action, event.what) == ("order.note", "noted")
    assert (event.by, event.submission_key) == (pat, KEY)
    assert (event.done_at, event.facts) == (NOW, {"key_tag": "9"})
    assert Submission.objects.get().subject == f"order {order.pk}"


def test_after_a_failure_of_ours_nothing_that_waited_for_the_commit_runs(pat, order):
    rung = []

    @named("order.fails")
    def fails(act, *, order_pk: int):
        act.after_commit(lambda: rung.append(order_pk))
        act.lock(WorkOrder, order_pk)

    with pytest.raises(RuntimeError):
        perform(make_tap(pat), fails, order_pk=order.pk)
    assert rung == []
