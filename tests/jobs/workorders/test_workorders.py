"""The order's own page: the next step, moving the car, pause, place, crew."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.models import Override
from jobs.panels.actions import lay_panel
from jobs.path.next_step import Where, next_step
from jobs.rules.table import RULES, Level
from jobs.stages.leaving import StageFacts
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage, pause_job
from jobs.workorders.queries import ways_on
from shopapp.frame import Refused
from shopapp.models import Shop, the_shop
from tests.jobs.taps import do, events, load_the_lists, make_order, page, tap
from tests.makers import make_bay, make_person, make_place

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(client, installer):
    client.force_login(installer)
    return client


@pytest.fixture
def order(installer):
    return make_order(installer)


def every_rule_asks_a_reason() -> None:
    levels = {
        rule.value: Level.REASON.value
        for rule, info in RULES.items()
        if info.enforced is Level.REASON
    }
    Shop.objects.update(rule_levels=levels)


def test_a_stage_that_is_skipped_is_refused_with_a_sentence(tablet, order):
    answer = tap(tablet, "workorder_advance", order.pk, to="install")
    assert answer.status_code == 422
    text = unescape(answer.content.decode())
    assert "A car in intake goes on to prep, not to install." in text
    order.refresh_from_db()
    assert order.stage_now is Stage.INTAKE
    assert "stage" not in events(order)


def test_two_people_moving_one_car_move_it_once(tablet, installer, order):
    other = make_person("installer", username="ines")
    do(other, advance_stage, workorder_pk=order.pk, to=Stage.PREP)
    answer = tap(tablet, "workorder_advance", order.pk, to="prep")
    assert answer.status_code == 422
    assert "The car is already in prep." in answer.content.decode()
    assert events(order).count("stage") == 1


def test_the_same_press_twice_moves_the_car_once(tablet, order):
    for _ in range(2):
        answer = tap(tablet, "workorder_advance", order.pk, to="prep", key="k" * 16)
        assert answer.status_code == 303
    assert events(order).count("stage") == 1


def test_the_sentence_on_the_grey_button_is_the_sentence_of_the_refusal(
    tablet, installer
):
    order = make_order(installer, stage=Stage.PREP)
    way = next(w for w in ways_on(order, now=timezone.now()) if w.to is Stage.INSTALL)
    sentences = [str(concern.sentence) for concern in way.refusals]
    assert sentences == ["No panel is ready for film yet."]
    text = page(tablet, "workorder_detail", order.pk)
    grey = re.search(r'disabled aria-describedby="why-install".*?</form>', text, re.S)
    assert grey is not None
    assert sentences[0] in grey[0]
    with pytest.raises(Refused) as refused:
        do(installer, advance_stage, workorder_pk=order.pk, to=Stage.INSTALL)
    assert [str(reason) for reason in refused.value.reasons] == sentences


def test_a_rule_that_asks_a_reason_keeps_it_and_lets_the_car_go(tablet, order):
    every_rule_asks_a_reason()
    answer = tap(tablet, "workorder_advance", order.pk, to="prep")
    assert answer.status_code == 422
    assert "The walk-round is not agreed yet." in answer.content.decode()
    reason = {"reason_walk_round_agreed": "keys in the box, customer called"}
    assert tap(tablet, "workorder_advance", order.pk, to="prep", **reason).status_code
    assert Override.objects.get().reason == "keys in the box, customer called"


def test_a_reason_that_was_typed_stays_when_another_is_missing(tablet, order):
    load_the_lists()
    order = make_order(order.crew.first() or make_person("installer", username="ines"))
    every_rule_asks_a_reason()
    reason = {"reason_walk_round_agreed": "customer called"}
    answer = tap(tablet, "workorder_advance", order.pk, to="prep", **reason)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="customer called"' in text


def test_a_car_moved_on_the_panels_page_leads_back_to_it(tablet, order):
    answer = tap(tablet, "workorder_advance", order.pk, to="prep", back="panels")
    assert answer["Location"] == reverse("jobs:workorder_panels", args=[order.pk])


def test_the_desk_does_not_move_cars(client, desk, order):
    client.force_login(desk)
    assert tap(client, "workorder_advance", order.pk, to="prep").status_code == 403
    assert "On to prep" not in page(client, "workorder_detail", order.pk)


def test_only_the_office_sees_who_the_customer_is(client, installer, desk, order):
    client.force_login(installer)
    assert "555-0101" not in page(client, "workorder_detail", order.pk)
    client.force_login(desk)
    assert "555-0101" in page(client, "workorder_detail", order.pk)


def test_a_job_waits_by_a_tap_on_the_reason(tablet, order):
    tap(tablet, "workorder_pause", order.pk, usual="the customer")
    order.refresh_from_db()
    assert order.paused_because == "the customer"
    assert "Waiting: the customer" in page(tablet, "workorder_detail", order.pk)


def test_a_pause_without_a_reason_is_refused_at_its_field(tablet, order):
    answer = tap(tablet, "workorder_pause", order.pk)
    assert answer.status_code == 422
    assert "Say what the job waits for." in answer.content.decode()


def test_a_paused_job_goes_on_by_one_tap(tablet, installer, order):
    do(installer, pause_job, workorder_pk=order.pk, because="parts")
    tap(tablet, "workorder_resume", order.pk)
    order.refresh_from_db()
    assert not order.is_paused


def test_a_bay_that_holds_a_car_is_refused_with_its_name(tablet, order):
    bay = make_bay()
    tap(tablet, "workorder_place", order.pk, where=f"bay-{bay.pk}")
    other = make_order(make_person("installer", username="ines"))
    answer = tap(tablet, "workorder_place", other.pk, where=f"bay-{bay.pk}")
    assert answer.status_code == 422
    assert f"Bay 1 holds {order.number}. Move that car first." in unescape(
        answer.content.decode()
    )


def test_a_car_stands_in_one_place(tablet, order):
    bay, yard = make_bay(), make_place()
    tap(tablet, "workorder_place", order.pk, where=f"bay-{bay.pk}")
    tap(tablet, "workorder_place", order.pk, where=f"place-{yard.pk}")
    order.refresh_from_db()
    assert (order.bay, order.place) == (None, yard)


def test_the_next_step_leads_to_the_page_where_it_is_done(tablet, installer, order):
    load_the_lists()
    fresh = make_order(installer)
    text = page(tablet, "workorder_detail", fresh.pk)
    assert "Checks open: 6, next “Take the keys and tag them”." in text
    assert reverse("jobs:workorder_checks", args=[fresh.pk]) in text


def facts(stage: Stage, **known) -> StageFacts:
    return StageFacts(stage=stage, now=timezone.now(), **known)


@pytest.mark.parametrize(
    ("known", "code", "where"),
    [
        ({"stage": Stage.INTAKE, "open_items": ("keys",)}, "items", Where.CHECKS),
        ({"stage": Stage.INTAKE}, "agree", Where.CHECKS),
        ({"stage": Stage.INTAKE, "walk_round_agreed": True}, "move", Where.ORDER),
        ({"stage": Stage.PREP}, "ready", Where.PANELS),
        (
            {"stage": Stage.PREP, "panels_ready": 1, "marks_unapproved": ("tar",)},
            "approve",
            Where.CHECKS,
        ),
        ({"stage": Stage.PREP, "panels_ready": 1}, "move", Where.ORDER),
        (
            {
                "stage": Stage.INSTALL,
                "panels_open": ("hood",),
                "solutions_open": ("slip",),
            },
            "mix",
            Where.MIXING,
        ),
        ({"stage": Stage.INSTALL, "panels_open": ("hood",)}, "lay", Where.PANELS),
        ({"stage": Stage.INSTALL}, "move", Where.ORDER),
        (
            {"stage": Stage.INSPECTION, "panels_unseen": ("hood",)},
            "look",
            Where.PANELS,
        ),
        (
            {"stage": Stage.INSPECTION, "defects_outside": ("hood",)},
            "settle",
            Where.PANELS,
        ),
        ({"stage": Stage.CURE}, "final_look", Where.PANELS),
        (
            {"stage": Stage.CURE, "final_look_at": timezone.now()},
            "hand_over",
            Where.HAND_OVER,
        ),
        ({"stage": Stage.PREP, "paused_because": "parts"}, "paused", Where.ORDER),
    ],
)
def test_the_next_step_follows_the_order_of_the_work(known, code, where):
    step = next_step(facts(**known))
    assert step is not None
    assert (step.code, step.where) == (code, where)


def test_a_closed_order_has_no_next_step():
    assert next_step(facts(Stage.CLOSED)) is None


def test_the_page_counts_the_panels_that_are_laid(tablet, installer):
    order = make_order(installer, stage=Stage.INSTALL)
    do(installer, lay_panel, workorder_pk=order.pk, panel_pk=order.panels.first().pk)
    assert "1 of 8 panels laid" in page(tablet, "workorder_detail", order.pk)


def test_the_office_promises_a_car_for_another_time(client, desk, order):
    client.force_login(desk)
    later = order.promised_at + timedelta(days=2)
    text = later.astimezone(the_shop().zone).strftime("%Y-%m-%dT%H:%M")
    answer = tap(client, "workorder_promise", order.pk, promised_at=text)
    assert answer.status_code == 303
    order.refresh_from_db()
    assert order.promised_at == later.replace(second=0, microsecond=0)
    told = order.events.get(what="promised")
    assert datetime.fromisoformat(told.facts["now_for"]) == order.promised_at
    url = reverse("jobs:workorder_history", args=[order.pk])
    assert "Promised for" in client.get(url).content.decode()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("2001-01-01T10:00", "The promise lies before the arrival."),
        ("tomorrow", "tomorrow"),
    ],
)
def test_a_promise_that_cannot_be_stays_as_typed(client, desk, order, text, told):
    client.force_login(desk)
    before = order.promised_at
    answer = tap(client, "workorder_promise", order.pk, promised_at=text)
    assert answer.status_code == 422
    assert told in unescape(answer.content.decode())
    order.refresh_from_db()
    assert order.promised_at == before


def test_an_installer_promises_nothing(tablet, order):
    answer = tap(tablet, "workorder_promise", order.pk, promised_at="2030-01-01T10:00")
    assert answer.status_code == 403
    assert "Promise another time" not in page(tablet, "workorder_detail", order.pk)
