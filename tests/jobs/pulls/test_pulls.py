"""Film planned for an order, taken off the rolls, cut again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jobs.coverage.catalogue import Package
from jobs.film.actions import count_roll, return_film
from jobs.film.offcut_actions import use_offcut
from jobs.models import (
    FilmMovement,
    FilmReservation,
    MeasuredPanel,
    OffCut,
    Pull,
    Roll,
)
from jobs.panels.actions import strike_panel
from jobs.pulls.actions import (
    drop_pull,
    improve_pull,
)
from jobs.pulls.queries import open_pull, panels_to_cut
from jobs.pulls.shown_queries import pull_shown
from jobs.pulls.stored import freeze, pull_from_json
from jobs.pulls.taken_actions import PieceKept
from shopapp.frame import Refused, perform
from shopapp.models import BackgroundTask
from shopapp.units import System
from tests.jobs.pull_steps import as_planned, keep, plan, quick, spoil, take
from tests.makers import (
    make_booking,
    make_film,
    make_roll,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def roll(db):
    return make_roll(make_film())


@pytest.fixture
def order(roll, manager):
    return make_workorder(manager, booking=make_booking(manager, film=roll.film))


@pytest.fixture
def track_order(roll, manager):
    """A track package: its plan leaves a piece that is worth keeping."""
    booking = make_booking(manager, film=roll.film, package=Package.TRACK)
    return make_workorder(manager, booking=booking)


def test_a_plan_covers_every_panel_of_the_order(order, manager):
    pull = plan(order, manager)
    placed = {p.blank_id for p in pull_from_json(pull.plan).plan.placements}
    assert placed == {panel.panel for panel in order.panels.all()}
    assert pull.planned_mm >= pull.plan["plan"]["bound_mm"] > 0
    assert pull.cut_plan.drawing_svg.startswith("<svg")


def test_a_plan_asks_a_worker_for_a_better_one(order, manager):
    pull = plan(order, manager)
    task = BackgroundTask.objects.get(kind="solvers.pull")
    assert task.payload == {"pull": pull.pk}


def test_a_later_plan_replaces_the_earlier(order, manager):
    first, second = plan(order, manager), plan(order, manager)
    first.refresh_from_db()
    assert first.state == Pull.State.REPLACED
    assert open_pull(order) == second


def test_a_struck_off_panel_gets_no_film(order, manager):
    panel = order.panels.first()
    perform(
        make_tap(manager),
        strike_panel,
        workorder_pk=order.pk,
        panel_pk=panel.pk,
        because="not wanted",
    )
    assert panel.panel not in {row["id"] for row in plan(order, manager).plan["panels"]}


def test_a_measured_panel_wins_over_the_template(order, manager):
    MeasuredPanel.objects.create(
        model=order.vehicle.model, body="sedan", panel="hood",
        length_mm=999, width_mm=1111,
    )  # fmt: skip
    rows = {row["id"]: row for row in plan(order, manager).plan["panels"]}
    inputs = rows["hood"]["length_mm"]["inputs"]
    assert inputs["panel"]["value"] == 999
    assert "measured" in rows["hood"]["basis"]["text"]


def test_a_stored_plan_is_read_back_without_loss(order):
    frozen = quick(order)
    assert pull_from_json(frozen.facts()) == frozen.found


def test_taking_film_shortens_the_roll_by_what_was_really_taken(order, roll, manager):
    pull = plan(order, manager)
    real = (replace(as_planned(pull)[0], length_mm=pull.planned_mm + 130),)
    take(pull, manager, taken=real)
    roll.refresh_from_db()
    pull.refresh_from_db()
    assert roll.left_mm == 15_000 - pull.planned_mm - 130
    assert pull.taken_mm == pull.planned_mm + 130
    assert pull.state == Pull.State.TAKEN
    assert pull.taken_by == manager


def test_taking_film_lets_go_of_what_the_booking_held(order, manager):
    assert FilmReservation.objects.filter(released_at=None).count() == 1
    take(plan(order, manager), manager)
    assert not FilmReservation.objects.filter(released_at=None).exists()


def test_taking_film_stands_in_the_history(order, roll, manager):
    pull = plan(order, manager)
    take(pull, manager)
    event = order.events.get(what="film_pulled")
    assert event.facts["rolls"] == [roll.pk]
    assert event.facts["length_mm"] == pull.planned_mm


def test_film_is_taken_once_though_the_button_was_pressed_twice(order, roll, manager):
    pull = plan(order, manager)
    take(pull, manager, key="k" * 16)
    assert take(pull, manager, key="k" * 16).repeated
    with pytest.raises(Refused, match="taken already"):
        take(pull, manager)
    roll.refresh_from_db()
    assert roll.left_mm == 15_000 - pull.planned_mm


def test_a_roll_never_goes_below_zero(order, roll, manager):
    pull = plan(order, manager)
    perform(make_tap(manager), count_roll, roll_pk=roll.pk, left_mm=900, reason="cut")
    with pytest.raises(Refused, match="holds only") as refused:
        take(pull, manager)
    assert refused.value.field == "length_0"
    roll.refresh_from_db()
    assert roll.left_mm == 900


def test_a_roll_of_another_film_is_refused_by_name(order, manager):
    make_roll(make_film("FB", name="film B"), code="R9")
    pull = plan(order, manager)
    other = (replace(as_planned(pull)[0], roll="r9"),)
    with pytest.raises(Refused, match="R9 is film B") as refused:
        take(pull, manager, taken=other)
    assert refused.value.field == "roll_0"


def test_a_narrower_roll_is_refused(order, roll, manager):
    make_roll(roll.film, code="R3", width_mm=1220)
    pull = plan(order, manager)
    with pytest.raises(Refused, match="plan again"):
        take(pull, manager, taken=(replace(as_planned(pull)[0], roll="R3"),))


def test_pieces_worth_keeping_get_a_code_a_place_and_a_movement(
    track_order, roll, manager
):
    pull = plan(track_order, manager)
    pieces = pull_from_json(pull.plan).plan.new_offcuts
    assert pieces
    take(pull, manager, kept=(PieceKept(at=0, location="rack 2"),))
    offcut = OffCut.objects.get()
    assert offcut.code == f"{roll.code}-1"
    assert (offcut.width_mm, offcut.length_mm) == (
        pieces[0].width_mm,
        pieces[0].length_mm,
    )
    assert offcut.location == "rack 2"
    assert offcut.movements.get().what == FilmMovement.What.OFFCUT_KEPT


def test_a_spoilt_panel_is_cut_from_an_offcut_first(order, roll, manager):
    take(plan(order, manager), manager)
    offcut = keep(roll, manager)
    pull = spoil(order, manager, "front_fender_left")
    assert pull_from_json(pull.plan).plan.used_offcuts == (offcut.code,)
    assert pull.planned_mm == 0
    before = Roll.objects.get(pk=roll.pk).left_mm
    take(pull, manager)
    offcut.refresh_from_db()
    assert offcut.used_at is not None
    assert Roll.objects.get(pk=roll.pk).left_mm == before


def test_a_panel_that_was_never_cut_cannot_be_spoilt(order, manager):
    with pytest.raises(Refused, match="plan the pull instead"):
        spoil(order, manager, "hood")


def test_an_offcut_that_someone_has_just_used_is_refused(order, roll, manager):
    take(plan(order, manager), manager)
    offcut = keep(roll, manager)
    pull = spoil(order, manager, "front_fender_left")
    perform(make_tap(manager), use_offcut, offcut_pk=offcut.pk)
    with pytest.raises(Refused, match="was used on"):
        take(pull, manager)
    pull.refresh_from_db()
    assert pull.state == Pull.State.PLANNED


def test_a_pulled_panel_waits_for_film_no_more(order, manager):
    take(plan(order, manager), manager)
    assert panels_to_cut(order) == []
    with pytest.raises(Refused, match="every panel"):
        plan(order, manager)


def test_a_plan_put_aside_can_be_made_again(order, manager):
    pull = plan(order, manager)
    perform(make_tap(manager), drop_pull, workorder_pk=order.pk, pull_pk=pull.pk)
    assert open_pull(order) is None
    assert plan(order, manager).state == Pull.State.PLANNED


def test_without_film_in_stock_the_plan_says_so(manager):
    order = make_workorder(manager, booking=make_booking(manager, film=make_film()))
    with pytest.raises(Refused, match="There is no roll and no off-cut of film A."):
        plan(order, manager)


def test_a_panel_wider_than_every_roll_is_named_with_what_was_tried(manager):
    film = make_film()
    make_roll(film, code="R1", width_mm=610)
    order = make_workorder(manager, booking=make_booking(manager, film=film))
    found = quick(order).found.plan
    hood = next(u for u in found.unplaced if u.blank_id == "hood")
    said = str(hood.reason)
    assert said.startswith("hood (")
    assert "610" in said
    assert "turned" in said


def test_a_searched_plan_takes_the_place_of_a_longer_one(order, manager):
    pull = plan(order, manager)
    found = pull_from_json(pull.plan)
    shorter = replace(
        found,
        plan=replace(
            found.plan,
            pulls=tuple(
                p._replace(length_mm=p.length_mm - 100) for p in found.plan.pulls
            ),
        ),
    )
    answer = perform(
        make_tap(None), improve_pull, pull_pk=pull.pk,
        searched=freeze(shorter, system=System.METRIC),
    )  # fmt: skip
    assert answer["pk"] != pull.pk
    assert open_pull(order).planned_mm == pull.planned_mm - 100
    assert open_pull(order).searched


def test_a_searched_plan_that_is_no_better_changes_nothing_but_the_word(order, manager):
    pull = plan(order, manager)
    perform(
        make_tap(None), improve_pull, pull_pk=pull.pk,
        searched=quick(order),
    )  # fmt: skip
    assert open_pull(order) == pull
    assert open_pull(order).searched


def test_a_searched_plan_comes_too_late_when_the_film_is_taken(order, manager):
    pull = plan(order, manager)
    take(pull, manager)
    perform(
        make_tap(None), improve_pull, pull_pk=pull.pk,
        searched=quick(order, list(order.panels.all())),
    )  # fmt: skip
    assert open_pull(order) is None


def test_film_comes_back_up_to_what_was_taken(order, roll, manager):
    pull = plan(order, manager)
    take(pull, manager)
    with pytest.raises(Refused, match="more than that cannot"):
        perform(
            make_tap(manager), return_film, workorder_pk=order.pk,
            roll=roll.code, length_mm=pull.planned_mm + 1,
        )  # fmt: skip
    perform(
        make_tap(manager), return_film, workorder_pk=order.pk,
        roll=roll.code, length_mm=500,
    )  # fmt: skip
    roll.refresh_from_db()
    assert roll.left_mm == 15_000 - pull.planned_mm + 500


def test_what_the_page_says_of_a_pull_opens_to_its_source(order, manager):
    shown = pull_shown(plan(order, manager))
    assert shown.length.value * 1000 == shown.row.planned_mm
    bound_mm = shown.found.plan.bound_mm
    assert shown.gap_pct == pytest.approx((shown.row.planned_mm / bound_mm - 1) * 100)
    assert shown.bound.value * 1000 == bound_mm
    assert 0 < shown.waste.value < 100
    assert shown.saved.value > 0


def test_off_rolls_of_two_widths_no_gap_in_length_is_said(order, manager):
    shown = pull_shown(plan(order, manager))
    found = shown.found
    wide = replace(found.job.rolls[0], id="wide", width_mm=1829)
    both = replace(
        found,
        job=replace(found.job, rolls=(*found.job.rolls, wide)),
        plan=replace(
            found.plan,
            pulls=(*found.plan.pulls, found.plan.pulls[0]._replace(roll_id="wide")),
        ),
    )
    assert replace(shown, found=both).gap_pct is None
