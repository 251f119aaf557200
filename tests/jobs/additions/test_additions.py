"""Work added to an open order: offered, agreed once, declined or taken back."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.additions.actions import (
    answer_addition,
    offer_addition,
    take_back_addition,
)
from jobs.additions.menu_actions import load_menu
from jobs.additions.queries import as_on_menu
from jobs.film.held_queries import held_film
from jobs.film.need_queries import free_film_mm
from jobs.models import Addition, Agreement, MenuWork, Paper
from jobs.panels.actions import lay_panel, strike_panel
from jobs.papers.actions import issue_paper
from jobs.public.link_actions import make_link
from jobs.public.link_queries import hash_of, token_of
from jobs.pulls.actions import plan_the_pull
from jobs.pulls.queries import panels_to_cut, quick_plan
from jobs.stages.table import Stage
from jobs.workorders.history_queries import history_of
from shopapp.frame import Refused
from shopapp.models import BackgroundTask, Price
from tests.jobs.taps import do, events, make_order, page, tap
from tests.makers import make_film, make_forecast, make_person, make_roll
from tests.presses import SIGNED

pytestmark = pytest.mark.django_db
State = Addition.State


@pytest.fixture
def desk():
    return make_person("desk", "installer", username="ben")


@pytest.fixture
def order(desk):
    make_roll(make_film())
    Price.objects.create(code="panel/roof", amount=Decimal(480), label="roof")
    return make_order(desk, stage=Stage.PREP)


def offer(desk, order, **more):
    facts = {"what": "panel", "panel": "roof", **more}
    answer = do(desk, offer_addition, workorder_pk=order.pk, **facts)
    return Addition.objects.get(pk=answer["pk"])


def answered(desk, row, says="yes", **more):
    facts = {"how": "phone", "name": "Robin Ash", **more}
    do(
        desk,
        answer_addition,
        workorder_pk=row.workorder_id,
        addition_pk=row.pk,
        says=says,
        **facts,
    )
    row.refresh_from_db()


def test_nothing_is_added_before_the_yes(desk, order):
    before = order.panels.count()
    row = offer(desk, order)
    order.refresh_from_db()
    assert (order.panels.count(), order.price) == (before, Decimal(1800))
    assert (row.state, row.asked) == (State.OFFERED, Decimal(480))
    assert row.film_mm > 1000
    assert row.minutes > 30


def test_a_yes_adds_the_panel_holds_its_film_and_raises_the_price(desk, order):
    free = free_film_mm(order.film)
    row = offer(desk, order)
    BackgroundTask.objects.all().delete()
    answered(desk, row)
    order.refresh_from_db()
    assert order.panels.get(panel="roof").edge == row.edge
    assert order.price == Decimal(2280)
    assert free_film_mm(order.film) == free - row.film_mm
    assert BackgroundTask.objects.filter(subject="the plan").exists()
    kept = Agreement.objects.get(about=Agreement.About.ADDED)
    assert (kept.name, kept.shown["price"]) == ("Robin Ash", "480.00")
    assert events(order)[-2:] == ["addition_offered", "addition_agreed"]


def test_the_history_says_what_was_agreed_with_whom(desk, order):
    answered(desk, offer(desk, order))
    line = history_of(order)[0]
    assert line.what == "Agreed by phone: Film on the roof, edge wrapped, 480.00"
    assert line.details == "Robin Ash"


def test_film_that_was_let_go_is_held_again_for_the_panel_alone(desk, order):
    order.booking.reservation.released_at = timezone.now()
    order.booking.reservation.save()
    row = offer(desk, order)
    answered(desk, row)
    assert [held.length_mm for held in held_film()] == [row.film_mm]


def test_a_yes_is_given_once(desk, order):
    row = offer(desk, order)
    answered(desk, row)
    with pytest.raises(Refused, match="answered already"):
        answered(desk, row)
    order.refresh_from_db()
    assert order.price == Decimal(2280)


def test_a_no_is_kept_with_who_and_when_and_adds_nothing(desk, order):
    row = offer(desk, order)
    answered(desk, row, says="no")
    order.refresh_from_db()
    assert (row.state, row.answered_name) == (State.DECLINED, "Robin Ash")
    assert row.answered_at
    assert order.price == Decimal(1800)
    assert not order.panels.filter(panel="roof").exists()


def test_an_offer_is_taken_back_before_it_is_answered_and_not_after(desk, order):
    row = offer(desk, order)
    facts = {"workorder_pk": order.pk, "addition_pk": row.pk}
    do(desk, take_back_addition, **facts)
    with pytest.raises(Refused, match="taken back"):
        answered(desk, row)
    again = offer(desk, order)
    answered(desk, again)
    with pytest.raises(Refused, match="answered already"):
        do(desk, take_back_addition, **{**facts, "addition_pk": again.pk})


@pytest.mark.parametrize(
    ("panel", "sentence"),
    [
        ("hood", "hood is chosen twice"),
        ("partial_hood", "partial hood lies on hood"),
        ("sunroof", "There is no panel"),
    ],
)
def test_a_panel_that_is_there_or_lies_on_another_is_refused(
    desk, order, panel, sentence
):
    with pytest.raises(Refused, match=sentence):
        offer(desk, order, panel=panel)


def test_two_offers_that_overlap_are_not_both_agreed(desk, order):
    whole, edge = offer(desk, order), offer(desk, order, panel="roof_edge", price=100)
    answered(desk, whole)
    with pytest.raises(Refused, match="roof"):
        answered(desk, edge)
    edge.refresh_from_db()
    assert edge.state == State.OFFERED


def test_a_panel_that_was_struck_off_can_be_sold_again(desk, order):
    hood = order.panels.get(panel="hood")
    facts = {"workorder_pk": order.pk, "panel_pk": hood.pk}
    do(desk, strike_panel, because="repaint first", **facts)
    answered(desk, offer(desk, order, panel="hood", price=Decimal(300)))
    hood.refresh_from_db()
    assert hood.struck_off_at is None


def test_a_panel_without_a_price_in_the_list_asks_for_one(desk, order):
    with pytest.raises(Refused, match="Say the price") as refused:
        offer(desk, order, panel="rear_bumper")
    assert refused.value.field == "price"
    row = offer(desk, order, panel="rear_bumper", price=Decimal("350.50"))
    assert row.asked == Decimal("350.50")


def test_another_edge_changes_the_panel_that_has_no_film_yet(desk, order):
    hood = order.panels.get(panel="hood")
    row = offer(desk, order, what="edge", panel="hood", price=Decimal(40))
    assert row.edge != hood.edge
    answered(desk, row)
    hood.refresh_from_db()
    assert hood.edge == row.edge


def test_no_other_edge_for_a_panel_with_film(desk):
    make_roll(make_film())
    order = make_order(desk, stage=Stage.INSTALL)
    hood = order.panels.get(panel="hood")
    row = offer(desk, order, what="edge", panel="hood", price=Decimal(40))
    do(desk, lay_panel, workorder_pk=order.pk, panel_pk=hood.pk)
    with pytest.raises(Refused, match="has film"):
        answered(desk, row)
    with pytest.raises(Refused, match="no film yet"):
        offer(desk, order, what="edge", panel="hood", price=Decimal(40))


def test_other_work_comes_from_the_menu_with_its_minutes(desk, order):
    load_menu()
    known = MenuWork.objects.get(name__startswith="paint correction")
    with pytest.raises(Refused, match="Say the price"):
        offer(desk, order, what="work", panel="", work_pk=known.pk)
    row = offer(desk, order, what="work", panel="", work_pk=known.pk, price=Decimal(9))
    answered(desk, row)
    work = order.added_work.get()
    assert (work.name, work.minutes, work.price) == (known.name, 240, Decimal(9))


def test_nothing_is_sold_on_a_closed_order(desk, order):
    row = offer(desk, order)
    order.stage = Stage.CLOSED.value
    order.save()
    for press in (
        lambda: offer(desk, order, panel="boot_lid", price=Decimal(1)),
        lambda: answered(desk, row),
    ):
        with pytest.raises(Refused, match="closed"):
            press()


def test_no_film_is_sold_once_the_film_work_is_over(desk):
    make_roll(make_film())
    order = make_order(desk, stage=Stage.INSPECTION)
    with pytest.raises(Refused, match="film work on this car is over"):
        offer(desk, order, price=Decimal(1))


def test_a_blank_canvas_is_no_yes(desk, order):
    row = offer(desk, order)
    with pytest.raises(Refused, match="Nothing is signed"):
        answered(desk, row, how="signature", strokes="[]")
    answered(desk, row, how="signature", strokes=SIGNED)
    assert Agreement.objects.get(about="added").signature is not None


def test_a_printed_work_order_is_asked_for_anew_and_names_what_it_replaces(desk, order):
    do(desk, issue_paper, workorder_pk=order.pk, kind="work_order")
    first = Paper.objects.get()
    answered(desk, offer(desk, order))
    second = Paper.objects.exclude(pk=first.pk).get()
    assert (second.version, second.replaces) == (2, first)
    assert "roof" in str(second.facts)


def test_an_offer_says_what_becomes_of_the_promise(client, desk, order):
    client.force_login(desk)
    offer(desk, order)
    assert "The plan follows within a minute" in page(client, "additions", order.pk)
    make_forecast(order.booking, ready_at=order.promised_at - timedelta(minutes=5))
    assert "after the promise of" in page(client, "additions", order.pk)


@pytest.fixture
def token(desk, order):
    made = token_of(key="a link of a test")
    facts = {"token_hash": hash_of(made), "days": 60}
    do(desk, make_link, workorder_pk=order.pk, **facts)
    return made


def test_the_customer_says_yes_on_her_page_once(client, desk, order, token):
    row = offer(desk, order)
    text = client.get(f"/c/{token}/").content.decode()
    assert "Film on the roof" in text
    assert "480.00" in text
    for _ in range(2):
        tap(client, "customer_addition", token, row.pk, says="yes")
    row.refresh_from_db()
    order.refresh_from_db()
    assert (row.state, row.answered_how, row.answered_by) == ("agreed", "link", None)
    assert order.price == Decimal(2280)
    assert "Film on the roof" not in client.get(f"/c/{token}/").content.decode()


def test_an_offer_and_its_answer_are_in_the_customers_language(
    client, desk, order, token
):
    row = offer(desk, order)
    text = client.get(f"/c/{token}/?lang=es").content.decode()
    assert "Película en otra pieza, con el borde" in text
    assert "Film on the" not in text
    tap(client, "customer_addition", token, row.pk, says="no")
    assert "Lo dejamos fuera." in client.get(f"/c/{token}/").content.decode()


def test_another_cars_offer_is_not_found_under_a_link(client, desk, order, token):
    other = make_order(desk, stage=Stage.PREP)
    row = offer(desk, other)
    answer = tap(client, "customer_addition", token, row.pk, says="yes")
    assert answer.status_code == 404
    row.refresh_from_db()
    assert row.state == State.OFFERED


def test_what_nobody_answered_stands_with_the_calls(client, desk, order):
    client.force_login(desk)
    row = offer(desk, order)
    assert "Film on the roof" in page(client, "calls")
    answered(desk, row, says="no")
    assert "Film on the roof" not in page(client, "calls")


def test_a_sold_panel_takes_three_presses_and_two_fields(client, desk, order):
    client.force_login(desk)
    assert f"/workorders/{order.pk}/additions/" in page(
        client, "workorder_detail", order.pk
    )
    tap(client, "addition_panel", order.pk, panel="roof")
    row = Addition.objects.get()
    tap(client, "addition_answer", order.pk, row.pk, says="yes", how="phone", name="R")
    row.refresh_from_db()
    assert row.state == State.AGREED


def test_a_planned_pull_says_that_the_panel_is_not_in_it(client, desk, order):
    client.force_login(desk)
    quick = quick_plan(order.film, [(order, panels_to_cut(order))])
    do(desk, plan_the_pull, workorder_pk=order.pk, quick=quick)
    assert "Not in this plan" not in page(client, "workorder_film", order.pk)
    answered(desk, offer(desk, order))
    assert "Not in this plan: roof." in page(client, "workorder_film", order.pk)


def test_the_booking_takes_minutes_and_price_from_the_menu():
    load_menu()
    MenuWork.objects.filter(name__startswith="coating").update(price=Decimal(350))
    name = "Coating on the rest of the car"
    blank = {"minutes": None, "when": "", "skill": "", "price": None}
    taken = as_on_menu({"name": name, **blank})
    assert (taken["minutes"], taken["price"]) == (180, Decimal(350))
    typed = as_on_menu({"name": name, **blank, "minutes": 60})
    assert typed["minutes"] == 60
    assert as_on_menu({"name": "something", **blank})["minutes"] is None
