"""The shop's own actions, pressed at the same moment by several people.

Every test runs on SQLite here and on PostgreSQL by `python -m tests.on_postgres`.
"""

from __future__ import annotations

import random
import threading
from dataclasses import replace

import pytest
from django.db import connection
from django.db.models import Sum
from django.utils import timezone

from jobs.bookings.arrival_actions import take_in_car
from jobs.film.actions import count_roll, receive_roll, return_film
from jobs.film.offcut_actions import keep_offcut, scrap_offcut, use_offcut
from jobs.handover.actions import give_car
from jobs.models import (
    Defect,
    FilmMovement,
    OffCut,
    Paper,
    Pull,
    Roll,
    WorkOrder,
    WorkOrderEvent,
)
from jobs.panels.inspection_actions import look_at_the_rest, open_defect
from jobs.papers.actions import issue_label, issue_paper
from jobs.pulls.actions import plan_several, plan_the_pull
from jobs.pulls.queries import panels_to_cut, quick_plan
from jobs.pulls.stored import pull_from_json
from jobs.pulls.taken_actions import RollTaken, confirm_pull
from jobs.rules.table import enforced_levels
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.queries import stage_facts
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage, pause_job, place_car, resume_job
from mixing.models import (
    Batch,
    Chemical,
    Fill,
    StockContainer,
    StockMovement,
    Vessel,
)
from mixing.sheet.queries import sheet_of
from mixing.shelf.actions import count_container, receive_stock
from shopapp.actions import change_person
from shopapp.frame import perform
from shopapp.models import BackgroundTask, Revision, the_shop
from tests.jobs.taps import do, events, make_order
from tests.makers import (
    make_bay,
    make_bench,
    make_booking,
    make_film,
    make_person,
    make_reading,
    make_roll,
    make_tap,
    make_vehicle,
)
from tests.rivals import at_once, heard, one_then_other, refusals

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]
KEY = "one-key-of-a-form"
PEOPLE = 8


@pytest.fixture
def crew():
    """Eight people who hold every role."""
    names = [f"hand{number}" for number in range(PEOPLE)]
    return [make_person("manager", "desk", "installer", username=n) for n in names]


@pytest.fixture
def film():
    return make_film()


@pytest.fixture
def strict():
    """A shop that enforces its rules."""
    shop = the_shop()
    shop.rule_levels = {r.value: level.value for r, level in enforced_levels().items()}
    shop.save()


def press(by, act, /, *, key="", **facts):
    """A press that waits to be made."""
    tap = make_tap(by, key=key, at=timezone.now())
    return lambda: perform(tap, act, **facts)


def cars(by, film, count, *, stage=Stage.INTAKE):
    """So many full fronts in one stage."""
    return [
        make_order(
            by,
            stage=stage,
            booking=make_booking(
                by,
                film=film,
                vehicle=make_vehicle(plate=f"TST {number}", vin=""),
                at=timezone.now(),
            ),
        )
        for number in range(count)
    ]


# --- a car


@pytest.fixture
def inspected(crew, film, strict):
    """A car that may go on to cure."""
    shop = the_shop()
    levels, shop.rule_levels = shop.rule_levels, {}
    shop.save()
    (order,) = cars(crew[0], film, 1, stage=Stage.INSPECTION)
    do(crew[1], look_at_the_rest, workorder_pk=order.pk)
    shop.rule_levels = levels
    shop.save()
    return order


def to_cure(order, by):
    return press(by, advance_stage, workorder_pk=order.pk, to=Stage.CURE)


def a_big_defect(order, by):
    panel = order.panels.filter(struck_off_at=None)[0]
    facts = {"panel_pk": panel.pk, "kind": "dirt", "size_mm": 30.0}
    return press(by, open_defect, workorder_pk=order.pk, **facts)


def nobody_overlooked_it(order, answers, by):
    """Either the defect held the car, or it is in cure and the defect is in sight."""
    order.refresh_from_db()
    defect = Defect.objects.get()
    assert defect.outside_standard
    facts = stage_facts(order, now=timezone.now())
    assert len(facts.defects_outside) == 1
    if order.stage_now is Stage.INSPECTION:
        (said,) = refusals(answers)
        assert said.startswith("Outside the acceptance standard")
        assert "stage" not in events(order)[events(order).index("defect") :]
    else:
        assert order.stage_now is Stage.CURE
        assert refusals(answers) == []
        assert events(order)[-2:] == ["stage", "defect"]


def test_a_defect_that_comes_first_holds_the_car(crew, inspected):
    answers = one_then_other(
        a_big_defect(inspected, crew[1]), to_cure(inspected, crew[2])
    )
    nobody_overlooked_it(inspected, answers, crew[2])
    assert inspected.stage_now is Stage.INSPECTION


def test_a_defect_that_comes_second_finds_the_car_in_cure(crew, inspected):
    answers = one_then_other(
        to_cure(inspected, crew[2]), a_big_defect(inspected, crew[1])
    )
    nobody_overlooked_it(inspected, answers, crew[2])
    assert inspected.stage_now is Stage.CURE


def test_a_defect_and_the_move_at_the_same_moment_never_miss_each_other(
    crew, inspected
):
    answers = at_once(a_big_defect(inspected, crew[1]), to_cure(inspected, crew[2]))
    nobody_overlooked_it(inspected, answers, crew[2])


def test_of_many_who_move_one_car_one_moves_it_and_the_others_hear_why(crew, film):
    (order,) = cars(crew[0], film, 1)
    answers = at_once(
        *(
            press(who, advance_stage, workorder_pk=order.pk, to=Stage.PREP)
            for who in crew
        )
    )
    assert refusals(answers) == ["The car is already in prep."] * (PEOPLE - 1)
    assert events(order).count("stage") == 1


def test_two_cars_pushed_into_one_bay_do_not_stand_in_each_other(crew, film):
    bay, orders = make_bay(), cars(crew[0], film, 3)
    answers = at_once(
        *(press(crew[0], place_car, workorder_pk=o.pk, bay=bay) for o in orders)
    )
    (holder,) = WorkOrder.objects.filter(bay=bay)
    said = f"Bay 1 holds {holder.number}. Move that car first."
    assert refusals(answers) == [said] * 2


def test_two_cars_that_arrive_into_one_bay_do_not_stand_in_each_other(crew, film):
    bay = make_bay()
    bookings = [
        make_booking(crew[0], film=film, vehicle=make_vehicle(plate=f"T {n}", vin=""))
        for n in range(2)
    ]
    answers = at_once(
        *(press(crew[0], take_in_car, booking_pk=b.pk, bay=bay) for b in bookings)
    )
    assert len(refusals(answers)) == 1
    assert WorkOrder.objects.get().bay == bay


def test_a_car_given_away_twice_with_one_key_leaves_once(crew, film):
    (order,) = cars(crew[0], film, 1, stage=Stage.CURE)
    given = press(crew[0], give_car, key=KEY, workorder_pk=order.pk, how="person")
    answers = at_once(given, given, given)
    assert sorted(answer.repeated for answer in answers) == [False, True, True]
    assert events(order).count("handed_over") == 1
    assert Paper.objects.filter(workorder=order, kind=Paper.Kind.CARE).count() == 1
    assert BackgroundTask.objects.filter(kind="papers.issue").count() == 1


def test_a_car_given_away_by_two_people_leaves_once(crew, film):
    (order,) = cars(crew[0], film, 1, stage=Stage.CURE)
    answers = at_once(
        *(press(p, give_car, workorder_pk=order.pk, how="keys") for p in crew[:2])
    )
    assert refusals(answers) == ["This car has been handed over already."]
    assert events(order).count("handed_over") == 1


# --- film


def planned(order, by):
    """A plan of this order, waiting to be taken."""
    quick = quick_plan(order.film, [(order, panels_to_cut(order))])
    answer = do(by, plan_the_pull, workorder_pk=order.pk, quick=quick)
    return Pull.objects.get(pk=answer["pk"])


def as_planned(pull):
    return [
        RollTaken(planned_roll=code, roll=code, length_mm=length)
        for code, length in pull_from_json(pull.plan).plan.pulls
    ]


def taking(pull, by, *, taken=None, key=""):
    return press(
        by,
        confirm_pull,
        key=key,
        workorder_pk=pull.workorder_id,
        pull_pk=pull.pk,
        taken=tuple(taken or as_planned(pull)),
        kept=(),
        measured_so=taken is not None,
    )


def stock_is_true():
    """What is left of each roll and container is the sum of its movements."""
    for roll in Roll.objects.annotate(moved=Sum("movements__change_mm")):
        assert roll.left_mm == roll.moved >= 0
    for container in StockContainer.objects.annotate(moved=Sum("movements__change_ml")):
        assert container.left_ml == pytest.approx(container.moved, abs=1e-3)
        assert container.left_ml >= 0
    what = FilmMovement.What
    ends = {what.OFFCUT_USED: "used_at", what.SCRAPPED: "scrapped_at"}
    for offcut in OffCut.objects.all():
        first, *then = offcut.movements.order_by("pk").values_list("what", flat=True)
        assert first == what.OFFCUT_KEPT
        assert then == [moved for moved, at in ends.items() if getattr(offcut, at)]


def test_of_two_pulls_from_a_roll_for_one_the_second_hears_that_it_is_short(crew, film):
    roll = make_roll(film)
    pulls = [planned(order, crew[0]) for order in cars(crew[0], film, 2)]
    enough_for_one = pulls[0].planned_mm + 500
    do(crew[0], count_roll, roll_pk=roll.pk, left_mm=enough_for_one, reason="measured")
    answers = at_once(*(taking(pull, crew[0]) for pull in pulls))
    (said,) = refusals(answers)
    assert said.startswith("Roll R1 holds only ")
    assert Roll.objects.get().left_mm == 500
    assert Pull.objects.filter(state=Pull.State.TAKEN).count() == 1
    stock_is_true()


def test_one_pull_taken_twice_with_one_key_shortens_the_roll_once(crew, film):
    roll = make_roll(film)
    (order,) = cars(crew[0], film, 1)
    pull = planned(order, crew[0])
    answers = at_once(*[taking(pull, crew[0], key=KEY)] * 3)
    assert sorted(answer.repeated for answer in answers) == [False, True, True]
    roll.refresh_from_db()
    assert roll.left_mm == 15_000 - pull.planned_mm
    assert events(order).count("film_pulled") == 1


def test_pulls_that_name_two_rolls_in_opposite_order_never_wait_for_each_other(
    crew, film
):
    for code in ("R1", "R2"):
        make_roll(film, code=code, left_mm=40_000)
    pulls = [planned(order, crew[0]) for order in cars(crew[0], film, 6)]
    presses = []
    for number, pull in enumerate(pulls):
        (row,) = as_planned(pull)
        both = [replace(row, roll=code, length_mm=900) for code in ("R1", "R2")]
        taken = both if number % 2 else both[::-1]
        presses.append(taking(pull, crew[number], taken=taken))
    assert refusals(at_once(*presses)) == []
    assert [roll.left_mm for roll in Roll.objects.all()] == [34_600, 34_600]
    stock_is_true()


def test_one_offcut_used_and_thrown_away_at_once_goes_one_way(crew, film):
    roll = make_roll(film)
    for _ in range(4):
        kept = do(crew[0], keep_offcut, roll_pk=roll.pk, width_mm=500, length_mm=600)
        facts = {"offcut_pk": kept["pk"], "reason": "a patch"}
        answers = at_once(
            press(crew[0], use_offcut, **facts),
            press(crew[1], scrap_offcut, **facts),
            press(crew[2], use_offcut, **facts),
        )
        said = refusals(answers)
        assert len(said) == 2
        assert all("was used on" in s or "was thrown away on" in s for s in said)
    stock_is_true()


def test_days_planned_over_the_same_cars_in_opposite_order_do_not_wait_for_each_other(
    crew, film
):
    make_roll(film)
    orders = cars(crew[0], film, 2)
    quick = quick_plan(film, [(order, panels_to_cut(order)) for order in orders])
    there = [order.pk for order in orders]
    ways = [there, there[::-1]] * 3
    answers = at_once(
        *(
            press(who, plan_several, workorder_pks=way, quick=quick)
            for who, way in zip(crew, ways, strict=False)
        )
    )
    assert refusals(answers) == []
    waiting = Pull.objects.filter(state=Pull.State.PLANNED)
    assert sorted(pull.workorder_id for pull in waiting) == sorted(there)
    assert len({pull.cut_plan_id for pull in waiting}) == 1


def test_two_rolls_received_under_one_code_are_one_roll_and_one_sentence(crew, film):
    facts = {"film": film, "code": "R7", "lot": "L", "width_mm": 1524}
    answers = at_once(
        *(press(p, receive_roll, **facts, length_mm=15_000) for p in crew)
    )
    said = "There is a roll or off-cut R7 already."
    assert refusals(answers) == [said] * (PEOPLE - 1)
    stock_is_true()


# --- solutions


@pytest.fixture
def bench(crew):
    """Recipes, vessels, and 5 litres of alcohol that came by a movement."""
    make_bench(crew[0])
    StockContainer.objects.all().delete()
    do(
        crew[0],
        receive_stock,
        chemical=Chemical.objects.get(substance="alcohol"),
        code="C1",
        capacity_ml=5000.0,
        strength_pct=91.0,
        strength_basis="vv",
        opened=True,
    )


def mixing(order, by, kind, *codes, key=""):
    """A guided mix in these vessels, poured as planned, waiting to be kept."""
    vessels = list(Vessel.objects.filter(code__in=codes))
    answer = do(by, make_sheet, workorder_pk=order.pk, kind=kind, vessels=vessels)
    row = order.sheets.get(pk=answer["pk"])
    (solution,) = sheet_of(row.facts).solutions
    poured = [[pour.amount.value for pour in fill.pours] for fill in solution.fills]
    facts = {"workorder_pk": order.pk, "version": row.version, "kind": kind}
    return press(by, record_mix, key=key, **facts, poured=poured)


def ready_to_mix(crew, film, count):
    orders = cars(crew[0], film, count, stage=Stage.INSTALL)
    for order in orders:
        make_reading(order, crew[0], at=timezone.now())
    return orders


def test_a_mix_kept_twice_with_one_key_is_one_batch(crew, film, bench):
    (order,) = ready_to_mix(crew, film, 1)
    answers = at_once(*[mixing(order, crew[0], "tack", "T1", key=KEY)] * 3)
    assert sorted(answer.repeated for answer in answers) == [False, True, True]
    assert len({answer["number"] for answer in answers}) == 1
    assert Batch.objects.count() == Fill.objects.count() == 1
    assert StockMovement.objects.filter(what="poured").count() == 1
    stock_is_true()


def test_two_mixes_from_a_container_for_one_never_take_more_than_it_holds(
    crew, film, bench
):
    orders = ready_to_mix(crew, film, 2)
    container = StockContainer.objects.get()
    do(crew[0], count_container, container_pk=container.pk, left_ml=250.0)
    presses = [
        mixing(order, who, "tack", code)
        for order, who, code in zip(orders, crew, ("T1", "T2"), strict=False)
    ]
    (said,) = refusals(at_once(*presses))
    assert said.startswith("C1 holds only ")
    assert Batch.objects.count() == 1
    stock_is_true()


def test_two_mixes_into_the_same_vessels_in_opposite_order_fill_them_once(
    crew, film, bench
):
    first, second = ready_to_mix(crew, film, 2)
    answers = at_once(
        mixing(first, crew[0], "slip", "S1", "S2"),
        mixing(second, crew[1], "slip", "S2", "S1"),
    )
    (said,) = refusals(answers)
    assert "S1" in said
    assert Fill.objects.filter(emptied_at=None).count() == 2
    assert Batch.objects.count() == 1


# --- numbers


def test_eight_cars_at_once_get_eight_numbers(crew, film):
    bookings = [
        make_booking(crew[0], film=film, vehicle=make_vehicle(plate=f"T {n}", vin=""))
        for n in range(PEOPLE)
    ]
    at_once(
        *(
            press(who, take_in_car, booking_pk=booking.pk)
            for who, booking in zip(crew, bookings, strict=True)
        )
    )
    numbers = sorted(WorkOrder.objects.values_list("number", flat=True))
    year = timezone.localtime(timezone.now(), the_shop().zone).year % 100
    assert numbers == [f"W-{year}-{n:04d}" for n in range(1, PEOPLE + 1)]


def test_eight_mixes_at_once_get_eight_numbers(crew, film, bench):
    orders = ready_to_mix(crew, film, PEOPLE)
    for number in range(PEOPLE):
        Vessel.objects.create(
            code=f"X{number}", kind="tack", capacity_ml=1000.0, usable_ml=950.0
        )
    presses = [
        mixing(order, who, "tack", f"X{number}")
        for number, (order, who) in enumerate(zip(orders, crew, strict=True))
    ]
    assert refusals(at_once(*presses)) == []
    numbers = sorted(int(b.number.rpartition("-")[2]) for b in Batch.objects.all())
    assert numbers == list(range(1, PEOPLE + 1))
    stock_is_true()


def test_eight_who_ask_for_one_paper_get_one_paper(crew, film):
    (order,) = cars(crew[0], film, 1)
    answers = at_once(
        *(press(p, issue_paper, workorder_pk=order.pk, kind="care") for p in crew)
    )
    paper = Paper.objects.get()
    assert {answer["pk"] for answer in answers} == {paper.pk}
    assert paper.version == 1


def test_eight_labels_at_once_are_versions_that_follow_each_other(crew, film, bench):
    vessel = Vessel.objects.get(code="S1")
    sizes = [f"{57 + number}x32" for number in range(PEOPLE)]
    answers = at_once(
        *(
            press(who, issue_label, subject=f"vessel {vessel.pk}", size=size)
            for who, size in zip(crew, sizes, strict=True)
        )
    )
    assert refusals(answers) == []
    versions = sorted(Paper.objects.values_list("version", flat=True))
    assert versions == list(range(1, PEOPLE + 1))
    replaced = Paper.objects.exclude(replaces=None).order_by("version")
    assert all(p.replaces.version == p.version - 1 for p in replaced)


# --- people


def test_a_person_may_press_a_button_while_a_manager_changes_them(crew, film):
    # PostgreSQL looks at foreign keys when it commits: the late commit of the press
    # must not wait for the row that the manager holds.
    (order,) = cars(crew[0], film, 1)
    pressed = press(crew[1], pause_job, workorder_pk=order.pk, because="a clip")
    facts = {"username": crew[1].username, "first_name": "Kim", "is_manager": True}
    changed = press(crew[0], change_person, person_pk=crew[1].pk, **facts)
    assert refusals(one_then_other(pressed, changed)) == []
    crew[1].refresh_from_db()
    assert (crew[1].first_name, events(order)[-1]) == ("Kim", "paused")


# --- what the open pages are told


def test_every_commit_moves_the_revision_with_it(crew, film):
    orders = cars(crew[0], film, 4)
    told, over = [], threading.Event()

    def watch():
        # One statement is one look at the store: both figures are of one moment.
        look = (
            "SELECT (SELECT number FROM shopapp_revision WHERE id = 1),"
            " (SELECT COUNT(*) FROM jobs_workorderevent)"
        )
        while not over.is_set():
            with connection.cursor() as cursor:
                cursor.execute(look)
                told.append(cursor.fetchone())

    def stop_and_go(order, who):
        for _ in range(5):
            do(who, pause_job, workorder_pk=order.pk, because="a clip")
            do(who, resume_job, workorder_pk=order.pk)

    def everyone():
        at_once(
            *(
                lambda order=order, who=who: stop_and_go(order, who)
                for order, who in zip(orders, crew, strict=False)
            )
        )
        over.set()

    number = Revision.objects.get().number - WorkOrderEvent.objects.count()
    at_once(watch, everyone)
    assert {seen - written for seen, written in told} == {number}
    assert Revision.objects.get().number == number + WorkOrderEvent.objects.count()
    assert len(set(told)) > 3, "the watcher saw too little to prove anything"


def test_a_slow_action_moves_the_revision_when_it_is_done_at_last(crew, film):
    slow, quick = cars(crew[0], film, 2)
    before = Revision.objects.get().number

    def paused(order):
        facts = {"workorder_pk": order.pk, "because": "a clip"}
        act = press(crew[0], pause_job, **facts)

        def now():
            act()
            return Revision.objects.get().number

        return now

    first, second = one_then_other(paused(slow), paused(quick))
    assert (first, second) == (before + 1, before + 2)
    assert WorkOrder.objects.filter(paused_at=None).count() == 0


# --- everything together


@pytest.mark.parametrize("first_seed", [0, 100])
def test_the_stock_is_the_sum_of_its_movements_after_anything_at_once(
    crew, film, bench, first_seed
):
    for code in ("R1", "R2"):
        make_roll(film, code=code, left_mm=9000)
    orders = ready_to_mix(crew, film, 4)
    hands = [
        lambda order=order, who=who, seed=seed: busy(who, order, random.Random(seed))
        for seed, (order, who) in enumerate(
            zip(orders * 2, crew, strict=True), first_seed
        )
    ]
    answers = at_once(*hands)
    assert sum(answers) >= 30, "too little came through to prove anything"
    stock_is_true()
    assert OffCut.objects.count() == len(set(OffCut.objects.values_list("code")))


def busy(who, order, chance):
    """Ten presses of somebody in a hurry; how many were not refused."""
    done = 0
    for _ in range(10):
        roll = chance.choice(list(Roll.objects.all()))
        container = StockContainer.objects.get()
        pieces = list(OffCut.objects.filter(used_at=None, scrapped_at=None))
        change = chance.randint(-400, 400)
        presses = [
            lambda: taking(planned(order, who), who)(),
            press(who, keep_offcut, roll_pk=roll.pk, width_mm=300, length_mm=400),
            press(
                who,
                count_roll,
                roll_pk=roll.pk,
                left_mm=max(0, roll.left_mm + change),
                reason="measured",
            ),
            press(
                who,
                return_film,
                workorder_pk=order.pk,
                roll=roll.code,
                length_mm=chance.randint(1, 900),
            ),
            press(
                who,
                count_container,
                container_pk=container.pk,
                left_ml=max(200.0, container.left_ml - chance.uniform(0, 30)),
            ),
            lambda: mixing(order, who, "tack", chance.choice(["T1", "T2"]))(),
        ]
        if pieces:
            piece = chance.choice(pieces)
            facts = {"offcut_pk": piece.pk, "reason": "dirt"}
            presses.append(press(who, scrap_offcut, **facts))
            presses.append(press(who, use_offcut, **facts))
        done += refusals([heard(chance.choice(presses))]) == []
    return done


def test_two_desks_take_one_car_in_once(crew, film):
    """Two bookings of the same car, taken in at the same moment: one order."""
    car = make_vehicle()
    bookings = [make_booking(crew[0], vehicle=car, film=film) for _ in range(2)]
    answers = at_once(
        *(
            press(person, take_in_car, booking_pk=booking.pk)
            for person, booking in zip(crew, bookings, strict=False)
        )
    )
    assert len(refusals(answers)) == 1
    assert WorkOrder.objects.filter(vehicle=car).count() == 1
