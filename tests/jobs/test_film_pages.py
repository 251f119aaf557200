"""The film's pages as people press them."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs import tasks
from jobs.actions.offcuts import keep_offcut
from jobs.actions.pulls import plan_several
from jobs.coverage import Package
from jobs.models import (
    Film,
    FilmMovement,
    MeasuredPanel,
    OffCut,
    Paper,
    Pull,
    Roll,
)
from jobs.papers.cut_list import cut_list_facts
from jobs.queries.pulls import panels_to_cut, quick_plan
from jobs.stored_pull import drawings_from_json, pull_from_json
from shopapp.frame import Refused, perform
from shopapp.models import BackgroundTask, the_shop
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
KEY = {"key": "k" * 16}


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


def film_url(order):
    return reverse("jobs:workorder_film", args=[order.pk])


def plan(client, order, key="p" * 16):
    response = client.post(reverse("jobs:pull_plan", args=[order.pk]), {"key": key})
    assert response.status_code == 303, response.content.decode()
    return Pull.objects.filter(workorder=order, state="planned").get()


def confirm_data(pull, **changed):
    plan = pull_from_json(pull.plan).plan
    data = {"key": "c" * 16}
    for at, (code, length) in enumerate(plan.pulls):
        data |= {f"roll_{at}": code, f"length_{at}": str(length)}
    for at, _piece in enumerate(plan.new_offcuts):
        data |= {f"keep_{at}": "on", f"place_{at}": "rack 3"}
    return data | changed


def confirm(client, pull, **changed):
    url = reverse("jobs:pull_confirm", args=[pull.workorder_id, pull.pk])
    return client.post(url, confirm_data(pull, **changed))


def test_from_plan_to_film_taken_in_two_taps(client, track_order, roll, manager):
    client.force_login(manager)
    order = track_order
    pull = plan(client, order)
    page = client.get(film_url(order)).content.decode()
    assert "no plan can be shorter than" in page or "shortest possible" in page
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
    assert "Roll R1 holds only" in response.content.decode()
    assert not FilmMovement.objects.filter(what="pulled").exists()


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
    page = client.get(film_url(order)).content.decode()
    assert "a knife cannot part these panels from less; no plan can be" in page


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
    Pull.objects.update(searched=True)
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


# --- several cars together


@pytest.fixture
def two(order, roll, manager):
    car = make_vehicle(plate="TST 2", vin="")
    other = make_workorder(
        manager, booking=make_booking(manager, film=roll.film, vehicle=car)
    )
    return [order, other]


def plan_together(client, two):
    film = two[0].film
    url = reverse("jobs:pull_day_plan", args=[film.pk])
    data = {"key": "t" * 16, f"film-{film.pk}-workorders": [o.pk for o in two]}
    assert client.post(url, data).status_code == 303
    return list(Pull.objects.filter(state="planned").order_by("workorder"))


def test_cars_of_a_day_share_one_pull_and_its_length(client, two, roll, manager):
    client.force_login(manager)
    pulls = plan_together(client, two)
    whole = pull_from_json(pulls[0].plan).plan
    assert [pull.workorder for pull in pulls] == two
    assert sum(pull.planned_mm for pull in pulls) == whole.length_mm
    assert confirm(client, pulls[0]).status_code == 303
    roll.refresh_from_db()
    assert roll.left_mm == 40_000 - whole.length_mm
    taken = Pull.objects.filter(state="taken")
    assert sum(pull.taken_mm for pull in taken) == whole.length_mm
    for order in two:
        assert order.events.filter(what="film_pulled").count() == 1
        assert panels_to_cut(order) == []


def test_planning_one_car_anew_puts_the_shared_plan_aside(client, two, manager):
    client.force_login(manager)
    shared = plan_together(client, two)
    plan(client, two[0])
    states = set(
        Pull.objects.filter(pk__in=[p.pk for p in shared]).values_list("state")
    )
    assert states == {("replaced",)}


def test_the_other_cars_history_says_that_their_plan_was_put_aside(
    client, two, manager
):
    client.force_login(manager)
    plan_together(client, two)
    plan(client, two[0])
    event = two[1].events.get(what="pull_set_aside")
    assert event.facts["because_of"] == [two[0].number]
    assert not two[0].events.filter(what="pull_set_aside").exists()
    page = client.get(reverse("jobs:workorder_history", args=[two[1].pk]))
    said = f"The shared pull was put aside by {two[0].number}"
    assert said in page.content.decode()


def test_dropping_a_shared_plan_is_in_the_history_of_every_car(client, two, manager):
    client.force_login(manager)
    shared = plan_together(client, two)
    url = reverse("jobs:pull_drop", args=[two[0].pk, shared[0].pk])
    assert client.post(url, {"key": "d" * 16}).status_code == 303
    assert two[0].events.filter(what="pull_dropped").count() == 1
    assert two[1].events.filter(what="pull_set_aside").count() == 1


def replan(client, pull, **typed):
    url = reverse("jobs:pull_replan", args=[pull.workorder_id, pull.pk])
    return client.post(url, {**confirm_data(pull), **typed, "key": "r" * 16})


def test_a_shared_plan_made_again_is_still_shared(client, two, manager):
    client.force_login(manager)
    shared = plan_together(client, two)
    assert replan(client, shared[0]).status_code == 303
    again = Pull.objects.filter(state="planned").order_by("workorder")
    assert [pull.workorder for pull in again] == two
    assert {pull.plan["together"] for pull in again} != {shared[0].plan["together"]}


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


def test_one_car_alone_is_no_day(client, two, manager):
    client.force_login(manager)
    film = two[0].film
    url = reverse("jobs:pull_day_plan", args=[film.pk])
    data = {"key": "t" * 16, f"film-{film.pk}-workorders": [two[0].pk]}
    response = client.post(url, data)
    assert response.status_code == 422
    assert "Choose two cars or more." in response.content.decode()


def test_two_films_are_not_pulled_together(two, manager):
    film = make_film("FB")
    make_roll(film, code="R5")
    two[1].film = film
    two[1].save()
    quick = quick_plan(two[0].film, [(order, panels_to_cut(order)) for order in two])
    with pytest.raises(Refused, match="does not take this film"):
        perform(
            make_tap(manager), plan_several,
            workorder_pks=[order.pk for order in two], quick=quick,
        )  # fmt: skip


# --- stock, panel sizes, lists


def test_a_roll_is_received_in_the_shops_units(client, roll, desk):
    client.force_login(desk)
    shop = the_shop()
    shop.units = "us"
    shop.save()
    data = {
        **KEY,
        "film": roll.film_id,
        "code": "R8",
        "width_mm": "60",
        "length_mm": "50",
    }
    response = client.post(reverse("jobs:roll_receive"), data)
    assert response.status_code == 303
    new = Roll.objects.get(code="R8")
    assert (new.width_mm, new.left_mm) == (1524, 15_240)


def test_a_roll_of_no_length_is_refused_and_stays_typed(client, roll, desk):
    client.force_login(desk)
    data = {**KEY, "film": roll.film_id, "code": "R8", "width_mm": "1524"}
    response = client.post(reverse("jobs:roll_receive"), {**data, "length_mm": "-4"})
    assert response.status_code == 422
    assert 'value="-4"' in response.content.decode()
    assert not Roll.objects.filter(code="R8").exists()


def test_only_a_manager_changes_a_film(client, roll, desk, manager):
    data = {
        **KEY,
        "code": "FA",
        "name": "film A",
        "finish": "gloss",
        "price_factor": "1",
        "wash_after_days": "7",
        "panel_min_c": "10",
        "panel_max_c": "8",
    }
    url = reverse("jobs:film_change", args=[roll.film_id])
    client.force_login(desk)
    assert client.post(url, data).status_code == 403
    client.force_login(manager)
    response = client.post(url, data)
    assert response.status_code == 422
    assert "below the lower limit" in response.content.decode()
    assert client.post(url, {**data, "panel_max_c": "32"}).status_code == 303
    assert Film.objects.get().panel_max_c == 32


def test_a_panel_measured_in_inches_is_kept_in_millimetres(client, installer):
    client.force_login(installer)
    data = {
        **KEY,
        "model": "Saloon",
        "body": "sedan",
        "size_class": "D",
        "panel": "hood",
        "length_mm": "43,5",
        "width_mm": "57",
        "unit": "in",
    }
    url = reverse("jobs:panel_size_add")
    assert client.post(url, data).status_code == 303
    row = MeasuredPanel.objects.get()
    assert (row.length_mm, row.width_mm) == (1105, 1448)
    response = client.post(url, {**data, "key": "j" * 16, "unit": "mm"})
    assert response.status_code == 422
    assert "measured in inches" in response.content.decode()


def upload(client, text, kind="rolls", **encoding):
    data = text if isinstance(text, bytes) else text.encode()
    file = SimpleUploadedFile("list.csv", data, content_type="text/csv")
    return client.post(
        reverse("jobs:film_list_look"), {**KEY, "kind": kind, "file": file}
    )


LIST = "code,film,width_mm,length_m\nR8,FA,1524,15\nR9,FX,1524,15\n"


def test_a_list_is_looked_over_before_anything_is_written(client, roll, desk):
    client.force_login(desk)
    page = upload(client, LIST).content.decode()
    assert "There is no film FX." in page
    assert "Take in 1 row" in page
    assert Roll.objects.count() == 1
    url = reverse("jobs:rolls_receive")
    response = client.post(url, {**KEY, "kind": "rolls", "text": LIST})
    assert response.status_code == 303
    assert Roll.objects.get(code="R8").left_mm == 15_000
    assert not Roll.objects.filter(code="R9").exists()


def test_a_list_pressed_twice_is_taken_in_once(client, roll, desk):
    client.force_login(desk)
    url = reverse("jobs:rolls_receive")
    data = {**KEY, "kind": "rolls", "text": LIST}
    client.post(url, data)
    client.post(url, data)
    assert FilmMovement.objects.filter(roll__code="R8").count() == 1


def test_a_list_in_another_encoding_gets_a_sentence(client, roll, desk):
    client.force_login(desk)
    response = upload(client, "code,film\nR8,Größe\n".encode("latin-1"))
    assert response.status_code == 422
    assert "Line 2 is not in UTF-8" in response.content.decode()


def test_stock_and_movements_leave_as_lists(client, order, roll, manager):
    client.force_login(manager)
    confirm(client, plan(client, order))
    stock = client.get(reverse("jobs:film_stock_csv")).content.decode("utf-8-sig")
    assert "roll,R1,FA,L-1,1524" in stock
    moved = client.get(reverse("jobs:film_movements_csv")).content.decode("utf-8-sig")
    assert "pulled,FA,R1" in moved
    assert order.number in moved


@pytest.mark.parametrize(
    "name", ["film", "roll_new", "panel_sizes", "film_list", "pull_day", "film_new"]
)
def test_every_film_page_opens(client, order, name, manager):
    client.force_login(manager)
    assert client.get(reverse(f"jobs:{name}")).status_code == 200


def test_the_paper_names_what_to_take_and_every_cut(order, client, manager):
    client.force_login(manager)
    pull = plan(client, order)
    facts = cut_list_facts(pull)
    assert [source["code"] for source in facts["sources"]] == ["R1"]
    numbers = [n for part in facts["cuts"] for n, _text in part["steps"]]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(facts["panels"]) == order.panels.count()
