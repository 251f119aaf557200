"""The stock is the sum of its movements, whatever is done, by however many."""

from __future__ import annotations

import contextlib
import threading
from dataclasses import replace

import pytest
from django.db import connection
from django.db.models import Sum
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.film.actions import count_roll, receive_roll, return_film
from jobs.film.offcut_actions import scrap_offcut, use_offcut
from jobs.models import (
    FilmMovement,
    OffCut,
    Roll,
)
from jobs.panels.actions import strike_panel
from jobs.pulls.actions import (
    drop_pull,
)
from jobs.pulls.forms import ended_rolls
from jobs.pulls.queries import open_pull, panels_cut, panels_to_cut
from jobs.pulls.roll_end_queries import plan_for_the_rest
from jobs.pulls.taken_actions import PieceKept, confirm_pull
from jobs.pulls.unplanned_actions import take_unplanned
from shopapp.frame import Refused, perform
from tests.jobs.pull_steps import as_planned, keep, plan, spoil, take
from tests.makers import (
    make_booking,
    make_film,
    make_person,
    make_roll,
    make_tap,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def roll(db):
    return make_roll(make_film())


@pytest.fixture
def order(roll, manager):
    return make_workorder(manager, booking=make_booking(manager, film=roll.film))


def left_is_the_sum_of_movements():
    for roll in Roll.objects.annotate(sum=Sum("movements__change_mm")):
        assert roll.left_mm == (roll.sum or 0) >= 0, roll
        assert (roll.retired_at is None) == (roll.left_mm > 0), roll
    what = FilmMovement.What
    for offcut in OffCut.objects.all():
        moved = list(offcut.movements.order_by("pk").values_list("what", flat=True))
        gone = [what.OFFCUT_USED] if offcut.used_at else []
        gone += [what.SCRAPPED] if offcut.scrapped_at else []
        assert moved == [what.OFFCUT_KEPT, *gone], offcut


STEPS = st.lists(
    st.tuples(
        st.sampled_from(
            [
                "receive",
                "count",
                "plan",
                "take",
                "recut",
                "return",
                "keep",
                "use",
                "scrap",
                "drop",
                "roll ends",
                "by eye",
                "strike",
                "put back",
            ]
        ),
        st.integers(min_value=1, max_value=9000),
    ),
    min_size=1,
    max_size=12,
)


@pytest.mark.postgres
@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(steps=STEPS)
def test_the_stock_is_the_sum_of_its_movements_after_any_actions(
    steps, order, roll, manager
):
    for what, number in steps:
        with contextlib.suppress(Refused):
            step(what, number, order=order, roll=roll, by=manager)
        left_is_the_sum_of_movements()
        what_is_cut_was_taken(order)


def what_is_cut_was_taken(order):
    """A panel counts as cut by a pull that was taken, and waits for film if by none."""
    taken = order.pulls.filter(state="taken")
    cut = {code for pull in taken for code in pull.cut_panels}
    assert panels_cut(order) == cut
    waiting = {panel.panel for panel in panels_to_cut(order)}
    struck = {p.panel for p in order.panels.exclude(struck_off_at=None)}
    assert waiting == {p.panel for p in order.panels.all()} - cut - struck


def step(what, number, *, order, roll, by):
    waiting = open_pull(order)
    offcut = OffCut.objects.filter(used_at=None, scrapped_at=None).last()
    if what == "receive":
        perform(
            make_tap(by), receive_roll, film=roll.film, lot="L",
            code=f"N{Roll.objects.count() + 1}", width_mm=1524, length_mm=number,
        )  # fmt: skip
    elif what == "count":
        perform(
            make_tap(by), count_roll, roll_pk=roll.pk, left_mm=number, reason="measured"
        )
    elif what == "plan":
        plan(order, by)
    elif what == "take" and waiting:
        taken = as_planned(waiting)
        if number % 2:
            taken = tuple(replace(row, length_mm=number) for row in taken)
        kept = (PieceKept(at=0),) if waiting.plan["plan"]["new_offcuts"] else ()
        take(waiting, by, taken=taken, kept=kept)
    elif what == "roll ends" and waiting and as_planned(waiting):
        press_roll_end(waiting, by, length_mm=number)
    elif what == "by eye":
        codes = [panel.panel for panel in panels_to_cut(order)][: number % 3]
        perform(
            make_tap(by), take_unplanned, workorder_pk=order.pk, roll=roll.code,
            length_mm=number, panels=codes, ended=number % 5 == 0,
        )  # fmt: skip
    elif what in ("strike", "put back"):
        panel = order.panels.all()[number % 8]
        because = "not wanted" if what == "strike" else ""
        perform(
            make_tap(by), strike_panel,
            workorder_pk=order.pk, panel_pk=panel.pk, because=because,
        )  # fmt: skip
    elif what == "recut":
        spoil(order, by, "mirror_left")
    elif what == "return":
        perform(
            make_tap(by), return_film,
            workorder_pk=order.pk, roll=roll.code, length_mm=number,
        )  # fmt: skip
    elif what == "keep":
        keep(roll, by, width_mm=300 + number % 900)
    elif what == "drop" and waiting:
        perform(
            make_tap(by), drop_pull, workorder_pk=order.pk, pull_pk=waiting.pk
        )  # fmt: skip
    elif what == "use" and offcut:
        perform(make_tap(by), use_offcut, offcut_pk=offcut.pk, reason="a patch")
    elif what == "scrap" and offcut:
        perform(make_tap(by), scrap_offcut, offcut_pk=offcut.pk, reason="dirt")


def press_roll_end(pull, by, *, length_mm):
    """The first roll of a plan ends; the rest of it is taken as planned."""
    first, *others = as_planned(pull)
    taken = (replace(first, length_mm=length_mm, ended=True), *others)
    rest = plan_for_the_rest(pull, **ended_rolls(taken))
    perform(
        make_tap(by), confirm_pull,
        workorder_pk=pull.workorder_id, pull_pk=pull.pk, taken=taken, rest=rest,
    )  # fmt: skip
    assert Roll.objects.get(code=first.roll).left_mm == 0


# --- two people at one roll


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_two_people_at_one_roll_take_turns_and_one_hears_that_it_is_short():
    person = make_person("manager", "desk", "installer", username="mara")
    film = make_film()
    roll = make_roll(film)
    pulls = []
    for number in range(2):
        car = make_vehicle(plate=f"TST {number}", vin="")
        order = make_workorder(
            person, booking=make_booking(person, film=film, vehicle=car)
        )
        pulls.append(plan(order, person))
    enough_for_one = pulls[0].planned_mm + 500
    perform(
        make_tap(person), count_roll,
        roll_pk=roll.pk, left_mm=enough_for_one, reason="measured",
    )  # fmt: skip
    heard = both_at_once(lambda pull: take(pull, person), pulls)
    assert sorted(heard) == ["", "refused"]
    left_is_the_sum_of_movements()
    assert Roll.objects.get(pk=roll.pk).left_mm == 500


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_two_people_naming_two_rolls_in_opposite_order_both_get_their_film():
    person = make_person("manager", "desk", "installer", username="mara")
    film = make_film()
    for code in ("R1", "R2"):
        make_roll(film, code=code, left_mm=4000)
    pulls = []
    for number in range(2):
        car = make_vehicle(plate=f"TST {number}", vin="")
        booking = make_booking(person, film=film, vehicle=car)
        pulls.append(plan(make_workorder(person, booking=booking), person))
    assert len(as_planned(pulls[0])) == 2, "the test wants a pull from two rolls"
    short = [replace(row, length_mm=900) for row in as_planned(pulls[0])]
    orders = iter([tuple(short), tuple(reversed(short))])
    wanted = [(pull, next(orders)) for pull in pulls]
    heard = both_at_once(lambda each: take(each[0], person, taken=each[1]), wanted)
    assert heard == ["", ""]
    assert [roll.left_mm for roll in Roll.objects.all()] == [2200, 2200]
    left_is_the_sum_of_movements()


def both_at_once(do, things):
    heard, gate = [], threading.Barrier(len(things))

    def run(thing):
        gate.wait(10)
        try:
            do(thing)
            heard.append("")
        except Refused:
            heard.append("refused")
        except Exception as error:
            heard.append(repr(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(thing,)) for thing in things]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    return heard
