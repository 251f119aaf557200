"""An order's film page as people press it: plan, take, cut again."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from django.urls import reverse

from jobs import tasks
from jobs.coverage.catalogue import Package
from jobs.film.offcut_actions import keep_offcut
from jobs.models import CutPlan, FilmMovement, OffCut, Paper, Pull, Roll
from jobs.papers.cut_list_facts import cut_list_facts
from jobs.pulls.shown_queries import pull_shown
from jobs.pulls.stored import drawings_from_json, pull_from_json
from shopapp.frame import perform
from shopapp.models import BackgroundTask
from tests.jobs.pulling import confirm, confirm_data, film_url, plan, replan
from tests.makers import (
    NOW,
    make_booking,
    make_film,
    make_roll,
    make_tap,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def roll(db):
    return make_roll(make_film(reorder_below_mm=5000), left_mm=40_000)


@pytest.fixture
def order(roll, manager):
    return make_workorder(manager, booking=make_booking(manager, film=roll.film))


@pytest.fixture
def track_order(roll, manager):
    """A track package: its plan leaves a piece that is worth keeping."""
    booking = make_booking(manager, film=roll.film, package=Package.TRACK)
    return make_workorder(manager, booking=booking)


def test_from_plan_to_film_taken_in_two_taps(client, track_order, roll, manager):
    client.force_login(manager)
    order = track_order
    pull = plan(client, order)
    CutPlan.objects.update(searched=True)
    page = client.get(film_url(order)).content.decode()
    assert "can be shorter than" in page or "shortest possible" in page
    assert "template for mid-size cars" in page
    assert "<svg" in page
    assert confirm(client, pull).status_code == 303
    roll.refresh_from_db()
    assert roll.left_mm == 40_000 - pull.planned_mm
    assert OffCut.objects.filter(location="rack 3").exists()


def test_the_page_shows_a_drawing_that_our_own_policy_lets_through(
    client, order, manager
):
    client.force_login(manager)
    plan(client, order)
    assert "style=" not in client.get(film_url(order)).content.decode()


def test_an_installer_sees_the_plan_and_no_money(client, order, installer, manager):
    client.force_login(manager)
    plan(client, order)
    assert "Film cost" in client.get(film_url(order)).content.decode()
    client.force_login(installer)
    page = client.get(film_url(order)).content.decode()
    assert "Take the film" in page
    assert "Film cost" not in page


def test_the_desk_plans_and_does_not_take_film(client, order, desk):
    client.force_login(desk)
    pull = plan(client, order)
    assert confirm(client, pull).status_code == 403


def test_a_length_that_is_no_number_stays_with_its_sentence(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    response = confirm(client, pull, length_0="five")
    assert response.status_code == 422
    page = response.content.decode()
    assert 'value="five"' in page
    assert "Enter a number." in page


def test_more_than_the_roll_holds_is_refused_at_the_field(client, order, roll, manager):
    client.force_login(manager)
    pull = plan(client, order)
    response = confirm(client, pull, length_0="40001")
    assert response.status_code == 422
    page = response.content.decode()
    assert "Roll R1 holds only" in page
    assert "measured_so" not in page
    assert not FilmMovement.objects.filter(what="pulled").exists()


def test_a_length_far_from_the_plan_is_asked_about_once(client, order, roll, manager):
    """11 typed for 10.8: metres thought of in a field of millimetres."""
    client.force_login(manager)
    pull = plan(client, order)
    response = confirm(client, pull, length_0="5")
    assert response.status_code == 422
    page = response.content.decode()
    assert "5 mm is far from the" in page
    assert 'name="measured_so"' in page
    assert 'value="5"' in page
    assert confirm(client, pull, length_0="5", measured_so="on").status_code == 303
    roll.refresh_from_db()
    assert roll.left_mm == 39_995


def test_a_length_near_the_plan_is_taken_without_a_word(client, order, roll, manager):
    client.force_login(manager)
    pull = plan(client, order)
    length = str(pull.planned_mm + 150)
    assert "measured_so" not in client.get(film_url(order)).content.decode()
    assert confirm(client, pull, length_0=length).status_code == 303


def test_film_taken_beyond_the_plan_is_waste(client, order, roll, manager):
    client.force_login(manager)
    pull = plan(client, order)
    before = pull_shown(pull)
    beyond_mm = pull.planned_mm // 5
    confirm(client, pull, length_0=str(pull.planned_mm + beyond_mm))
    pull.refresh_from_db()
    area, beyond = before.found.area_mm2, roll.width_mm * beyond_mm
    wasted = area * before.waste.value / 100 + beyond
    real = pull_shown(pull).waste.value
    assert real == pytest.approx(wasted / (area + beyond) * 100)


def test_a_second_press_of_film_taken_takes_nothing_more(client, order, roll, manager):
    client.force_login(manager)
    pull = plan(client, order)
    assert confirm(client, pull).status_code == 303
    assert confirm(client, pull).status_code == 303
    assert FilmMovement.objects.filter(what="pulled").count() == 1


def test_a_second_press_of_plan_makes_one_plan_though_stock_has_changed(
    client, order, roll, manager
):
    client.force_login(manager)
    plan(client, order)
    Roll.objects.filter(pk=roll.pk).update(left_mm=30_000)
    plan(client, order)
    assert Pull.objects.count() == 1


def test_a_full_front_is_as_short_as_a_knife_can_part_it_and_says_so(
    client, order, manager
):
    client.force_login(manager)
    plan(client, order)
    CutPlan.objects.update(searched=True)
    page = client.get(film_url(order)).content.decode()
    assert "With straight cuts there is nothing shorter on one roll." in page


def test_an_order_whose_film_has_no_roll_says_so_before_anything_is_pressed(
    client, order, roll, manager
):
    client.force_login(manager)
    Roll.objects.filter(pk=roll.pk).update(left_mm=0)
    page = client.get(film_url(order)).content.decode()
    assert "There is no roll and no off-cut of film A." in page
    assert f"{reverse('jobs:roll_new')}?film={roll.film_id}" in page
    assert reverse("jobs:pull_plan", args=[order.pk]) not in page


def test_a_plan_without_some_panels_says_for_how_many_it_is(
    client, order, roll, manager
):
    client.force_login(manager)
    Roll.objects.filter(pk=roll.pk).update(width_mm=610)
    plan(client, order)
    page = client.get(film_url(order)).content.decode()
    assert "for 4 panels of 8" in page
    assert "Not in this plan:" in page
    assert "tried as it is and turned on widths of 610 mm." in page


def test_a_plan_on_offcuts_alone_speaks_of_no_length(
    client, track_order, roll, manager
):
    client.force_login(manager)
    confirm(client, plan(client, track_order))
    panel = track_order.panels.get(panel="mirror_left")
    url = reverse("jobs:pull_recut", args=[track_order.pk, panel.pk])
    client.post(url, {"key": "r" * 16})
    page = client.get(film_url(track_order)).content.decode()
    assert "Nothing off a roll: it all lies on off-cuts." in page
    assert cut_list_facts(Pull.objects.get(state="planned"))["on_offcuts"]


def test_spoilt_to_cut_again_in_two_taps(client, track_order, roll, manager):
    client.force_login(manager)
    order = track_order
    confirm(client, plan(client, order))
    panel = order.panels.get(panel="mirror_left")
    url = reverse("jobs:pull_recut", args=[order.pk, panel.pk])
    assert client.post(url, {"key": "r" * 16}).status_code == 303
    again = Pull.objects.get(state="planned")
    assert again.plan["spoilt"] == ["mirror_left"]
    assert again.plan["plan"]["used_offcuts"]
    data = confirm_data(again) | {"key": "d" * 16}
    url = reverse("jobs:pull_confirm", args=[order.pk, again.pk])
    assert client.post(url, data).status_code == 303
    assert order.events.filter(what="film_pulled").count() == 2


def test_another_orders_pull_cannot_be_taken_here(client, order, roll, manager):
    client.force_login(manager)
    pull = plan(client, order)
    car = make_vehicle(plate="TST 2", vin="")
    other = make_workorder(
        manager, booking=make_booking(manager, film=roll.film, vehicle=car)
    )
    url = reverse("jobs:pull_confirm", args=[other.pk, pull.pk])
    assert client.post(url, confirm_data(pull)).status_code == 404


def test_the_page_hears_when_the_search_has_ended(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    seen = f"{pull.pk}-{pull.searched:d}"
    url = reverse("jobs:pull_seen", args=[order.pk, seen])
    assert client.get(url, headers={"HX-Request": "true"}).status_code == 204
    CutPlan.objects.update(searched=True)
    response = client.get(url, headers={"HX-Request": "true"})
    assert response.status_code == 200
    assert "every 2s" not in response.content.decode()


def test_the_worker_never_leaves_a_longer_plan(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    task = BackgroundTask.objects.get(kind="solvers.pull")
    tasks.search_pull(task.pk)
    task.refresh_from_db()
    assert (task.state, task.error) == ("done", "")
    now = Pull.objects.get(workorder=order, state="planned")
    assert now.searched
    assert now.planned_mm <= pull.planned_mm


def test_a_matte_film_is_never_turned(client, manager):
    film = make_film("FM", is_directional=True)
    make_roll(film, left_mm=40_000, width_mm=1830)
    order = make_workorder(manager, booking=make_booking(manager, film=film))
    client.force_login(manager)
    places = plan(client, order).plan["plan"]["placements"]
    assert places
    assert not any(turned for *_place, turned in places)


def test_the_drawing_leaves_as_a_file(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    response = client.get(reverse("jobs:pull_drawing", args=[order.pk, pull.pk]))
    assert response["Content-Type"] == "image/svg+xml"
    svg = response.content.decode()
    for drawing in drawings_from_json(pull.plan):
        for letter, name, size in drawing.key:
            assert f"{letter} – {name}, {size}" in svg
    ET.fromstring(svg)


def test_an_offcut_just_used_is_planned_around_and_what_was_typed_stays(
    client, order, roll, manager
):
    client.force_login(manager)
    confirm(client, plan(client, order))
    perform(
        make_tap(manager), keep_offcut,
        roll_pk=roll.pk, width_mm=1500, length_mm=1700,
    )  # fmt: skip
    panel = order.panels.get(panel="front_fender_left")
    client.post(
        reverse("jobs:pull_recut", args=[order.pk, panel.pk]), {"key": "s" * 16}
    )
    pull = Pull.objects.get(state="planned")
    used = pull_from_json(pull.plan).plan.used_offcuts
    assert used
    OffCut.objects.filter(code__in=used).update(used_at=NOW)
    refused = confirm(client, pull, key="x" * 16)
    assert refused.status_code == 422
    page = refused.content.decode()
    assert "was used on" in page
    assert reverse("jobs:pull_replan", args=[order.pk, pull.pk]) in page
    answer = replan(client, pull, place_0="rack 9")
    assert answer.status_code == 303
    again = Pull.objects.get(state="planned")
    assert again.plan["spoilt"] == ["front_fender_left"]
    assert not set(pull_from_json(again.plan).plan.used_offcuts) & set(used)
    shown = client.get(answer.url).content.decode()
    if pull_from_json(again.plan).plan.new_offcuts:
        assert 'value="rack 9"' in shown


def test_another_roll_that_was_typed_stays_typed_in_the_new_plan(
    client, track_order, roll, manager
):
    client.force_login(manager)
    make_roll(roll.film, code="R9", left_mm=40_000)
    answer = replan(client, plan(client, track_order), roll_0="R9", place_0="rack 9")
    page = client.get(answer.url).content.decode()
    assert 'value="R9"' in page
    assert 'value="rack 9"' in page


def test_taking_film_asks_for_the_labels_of_what_is_kept(client, track_order, manager):
    client.force_login(manager)
    order = track_order
    pull = plan(client, order)
    confirm(client, pull)
    assert OffCut.objects.exists()
    paper = Paper.objects.get(kind="offcut_label")
    codes = list(OffCut.objects.order_by("pk").values_list("code", flat=True))
    assert [label["code"] for label in paper.facts["labels"]] == codes
    assert paper.workorder == order
    assert BackgroundTask.objects.filter(kind="papers.issue").count() == 1
    page = client.get(film_url(order)).content.decode()
    assert reverse("jobs:paper_detail", args=[paper.pk]) in page


def test_film_taken_with_nothing_kept_asks_for_no_label(client, track_order, manager):
    client.force_login(manager)
    pull = plan(client, track_order)
    assert pull_from_json(pull.plan).plan.new_offcuts
    nothing = {
        f"keep_{at}": ""
        for at, _piece in enumerate(pull_from_json(pull.plan).plan.new_offcuts)
    }
    confirm(client, pull, **nothing)
    assert not Paper.objects.filter(kind="offcut_label").exists()


def test_the_paper_names_what_to_take_and_every_cut(order, client, manager):
    client.force_login(manager)
    pull = plan(client, order)
    facts = cut_list_facts(pull)
    assert [source["code"] for source in facts["sources"]] == ["R1"]
    numbers = [n for part in facts["cuts"] for n, _text in part["steps"]]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(facts["panels"]) == order.panels.count()
