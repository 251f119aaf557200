"""The panels page: reading, ready, laid, struck off, measured."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from jobs.condition.gauges import GAUGES, gauge_problem
from jobs.models import MeasuredPanel, OrderPanel
from jobs.panels.actions import lay_panel
from jobs.panels.may import CHECKS, PanelFacts, why_not
from jobs.stages.table import Stage
from mixing.models import Reading
from shopapp.frame import Refused
from shopapp.models import Shop
from tests.jobs.taps import do, events, load_the_lists, make_order, page, tap
from tests.makers import make_person, make_reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(client, installer):
    client.force_login(installer)
    return client


@pytest.fixture
def order(installer):
    return make_order(installer, stage=Stage.INSTALL)


def first(order) -> OrderPanel:
    return order.panels.first()


def test_one_tap_lays_a_panel_and_names_whose_hands(tablet, installer, order):
    answer = tap(tablet, "panel_lay", order.pk, first(order).pk)
    assert answer.status_code == 303
    assert first(order).laid_by == installer
    assert events(order)[-1] == "panel_laid"


def test_a_laid_panel_keeps_the_reading_it_was_laid_with(tablet, order):
    reading = make_reading(order)
    tap(tablet, "panel_lay", order.pk, first(order).pk)
    assert first(order).reading == reading


def test_the_next_page_offers_to_take_the_tap_back(tablet, order):
    answer = tap(tablet, "panel_lay", order.pk, first(order).pk)
    text = tablet.get(answer["Location"]).content.decode()
    assert 'class="undo"' in text
    assert reverse("jobs:panel_unlay", args=[order.pk, first(order).pk]) in text


def test_taking_it_back_leaves_the_panel_as_it_was(tablet, order):
    tap(tablet, "panel_lay", order.pk, first(order).pk)
    tap(tablet, "panel_unlay", order.pk, first(order).pk)
    assert first(order).laid_at is None
    assert events(order)[-1] == "panel_laid_undone"


def test_a_double_tap_lays_once(tablet, order):
    for _ in range(2):
        tap(tablet, "panel_lay", order.pk, first(order).pk, key="k" * 16)
    assert events(order).count("panel_laid") == 1


def test_two_people_laying_one_panel_the_second_reads_why(tablet, order):
    do(make_person("installer", username="ines"), lay_panel, **both(order))
    answer = tap(tablet, "panel_lay", order.pk, first(order).pk)
    assert answer.status_code == 422
    assert "This panel is laid already." in answer.content.decode()
    assert events(order).count("panel_laid") == 1


def both(order) -> dict[str, int]:
    return {"workorder_pk": order.pk, "panel_pk": first(order).pk}


def test_a_tablet_gets_only_the_fragment(tablet, order):
    text = page(tablet, "workorder_panels", order.pk, htmx=True)
    assert "<html" not in text
    assert "front bumper" in text


def test_the_desk_sees_the_panels_but_has_no_button_for_them(client, desk, order):
    client.force_login(desk)
    assert reverse("jobs:panel_lay", args=[order.pk, first(order).pk]) not in page(
        client, "workorder_panels", order.pk
    )
    assert tap(client, "panel_lay", order.pk, first(order).pk).status_code == 403


def test_another_orders_panel_is_refused(tablet, installer, order):
    other = make_order(installer, stage=Stage.INSTALL)
    answer = tap(tablet, "panel_lay", order.pk, first(other).pk)
    assert answer.status_code == 422
    assert "This panel is not on this order." in answer.content.decode()


def test_an_order_that_is_not_there_is_not_found(tablet):
    assert tap(tablet, "panel_lay", 99_999, 1).status_code == 404


def test_a_panel_is_struck_off_by_a_tap_on_the_reason(tablet, order):
    tap(tablet, "panel_strike", order.pk, first(order).pk, usual="no film left for it")
    assert first(order).struck_off_because == "no film left for it"
    tap(tablet, "panel_put_back", order.pk, first(order).pk)
    assert first(order).struck_off_at is None


def test_something_else_wants_words_and_keeps_the_choice(tablet, order):
    answer = tap(tablet, "panel_strike", order.pk, first(order).pk, usual="other")
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "Say why." in text
    assert 'value="other"' in text
    assert "checked" in text


def test_a_panel_saved_as_measured_wins_over_the_template(tablet, order):
    hood = order.panels.get(panel="hood")
    tap(tablet, "panel_measure", order.pk, hood.pk, length_mm="1150", width_mm="1490")
    assert MeasuredPanel.objects.get().length_mm == 1150
    assert "1150 mm × 1490 mm, measured" in page(tablet, "workorder_panels", order.pk)


def test_an_impossible_size_is_told_and_stays_typed(tablet, order):
    hood = order.panels.get(panel="hood")
    answer = tap(
        tablet, "panel_measure", order.pk, hood.pk, length_mm="45", width_mm="58"
    )
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "was that measured in inches?" in text
    assert 'value="45"' in text
    assert "1130 mm" in text
    assert not MeasuredPanel.objects.exists()


def test_a_reading_is_asked_for_at_the_first_panel_of_the_day(tablet, order):
    text = page(tablet, "workorder_panels", order.pk)
    assert "First panel today: read air, humidity and panel." in text
    tap(tablet, "reading_take", order.pk, panel_c="31", air_c="29", rh_pct="62")
    text = page(tablet, "workorder_panels", order.pk)
    assert "First panel today" not in text
    assert Reading.objects.get().panel_c == 31.0


def test_a_panel_that_moved_by_four_degrees_asks_for_a_new_reading(tablet, order):
    make_reading(order, at=timezone.now())
    text = page(tablet, "workorder_panels", order.pk, panel_now="35")
    assert "The panel went from 31 °C to 35 °C: take a new reading." in text


def test_a_panel_that_hardly_moved_asks_for_nothing(tablet, order):
    make_reading(order, at=timezone.now())
    text = page(tablet, "workorder_panels", order.pk, panel_now="33")
    assert "The panel has hardly moved: go on." in text


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("air_c", "84", "was it in °F?"),
        ("rh_pct", "104", "Humidity of 104 % is outside what is read here"),
        ("panel_c", "-40", "Panel of -40 °C is outside"),
        ("panel_c", "warm", "Enter a number."),
    ],
)
def test_a_reading_out_of_range_is_told_at_its_field(
    tablet, order, field, typed, sentence
):
    known = {"panel_c": "31", "air_c": "29", "rh_pct": "62", field: typed}
    answer = tap(tablet, "reading_take", order.pk, **known)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in text
    assert all(f'value="{value}"' in text for value in known.values())
    assert not Reading.objects.exists()


def test_a_us_shop_reads_in_fahrenheit_and_keeps_celsius(tablet, order):
    Shop.objects.update(units="us")
    tap(tablet, "reading_take", order.pk, panel_c="88", air_c="84,2", rh_pct="62")
    reading = Reading.objects.get()
    assert reading.air_c == pytest.approx(29.0)
    assert reading.panel_c == pytest.approx(31.11, abs=0.01)


def test_a_us_shop_is_refused_in_its_own_units(tablet, order):
    Shop.objects.update(units="us")
    hood = order.panels.get(panel="hood")
    answer = tap(
        tablet, "panel_measure", order.pk, hood.pk, length_mm="4", width_mm="5"
    )
    assert "such a panel is about 44.5 in × 57.9 in" in answer.content.decode()


def test_every_panel_in_prep_may_be_made_ready_at_once(tablet, installer):
    order = make_order(installer, stage=Stage.PREP)
    tap(tablet, "panels_ready", order.pk)
    assert not order.panels.filter(ready_at=None).exists()
    assert tap(tablet, "panels_ready", order.pk).status_code == 422


def test_the_page_has_the_same_queries_for_eight_panels_as_for_two(
    tablet, installer, django_assert_max_num_queries
):
    order = make_order(installer, stage=Stage.INSTALL)
    url = reverse("jobs:workorder_panels", args=[order.pk])
    counted = []
    for keep in (8, 2):
        for panel in order.panels.all()[keep:]:
            panel.delete()
        with django_assert_max_num_queries(60) as found:
            tablet.get(url)
        counted.append(len(found))
    assert counted[0] == counted[1]


def test_a_full_front_takes_few_touches(tablet, installer):
    """From the first reading to settling, by one installer, without the mixing.

    A tap on a button or into a field, and the load of another page, count as one.
    """
    load_the_lists()
    order = make_order(installer, stage=Stage.PREP)
    touches = 1  # my work -> the panels
    page(tablet, "workorder_panels", order.pk)

    def touch(name, *args, fields=0, **data):
        nonlocal touches
        touches += 1 + fields
        answer = tap(tablet, name, order.pk, *args, **data)
        assert answer.status_code == 303, answer.content.decode()

    typed = {"panel_c": "31", "air_c": "29", "rh_pct": "62"}
    touch("reading_take", fields=3, **typed)
    touch("panels_ready")
    touch("workorder_advance", to="install", back="panels")
    for panel in order.panels.all():
        touch("panel_lay", panel.pk)
    touch("workorder_advance", to="inspection", back="panels")
    for panel in order.panels.all():
        touch("panel_look", panel.pk)
    touch("workorder_advance", to="cure", back="panels")
    order.refresh_from_db()
    assert order.stage_now is Stage.CURE
    assert touches <= 25


facts = st.builds(
    PanelFacts,
    stage=st.sampled_from(Stage),
    round=st.integers(1, 3),
    is_ready=st.booleans(),
    laid_round=st.none() | st.integers(1, 3),
    is_struck_off=st.booleans(),
    is_seen=st.booleans(),
)


@given(facts)
def test_film_is_laid_only_in_install_on_a_panel_that_waits_for_it(known):
    if why_not("lay", known) is None:
        assert known.stage is Stage.INSTALL
        assert not known.is_struck_off
        assert known.laid_round != known.round


@given(facts)
def test_nothing_is_done_to_a_panel_of_a_closed_order(known):
    if known.stage is Stage.CLOSED:
        assert all(why_not(act, known) for act in CHECKS)


@given(st.sampled_from(sorted(GAUGES)), st.floats(allow_nan=True))
def test_a_gauge_takes_its_whole_range_and_nothing_else(name, value):
    gauge = GAUGES[name]
    fits = gauge.low <= value <= gauge.high
    assert (gauge_problem(name, value=value) is None) == fits


def test_the_refusal_is_the_sentence_of_the_grey_button(installer, order):
    panel = first(order)
    do(installer, lay_panel, **both(order))
    laid = PanelFacts(stage=Stage.INSTALL, round=1, is_ready=True, laid_round=1)
    with pytest.raises(Refused) as refused:
        do(installer, lay_panel, workorder_pk=order.pk, panel_pk=panel.pk)
    assert refused.value.reasons == (why_not("lay", laid),)


def test_in_prep_a_reading_is_asked_for_once_a_panel_is_ready(tablet, installer):
    order = make_order(installer, stage=Stage.PREP)
    asked = "First panel today: read air, humidity and panel."
    assert asked not in page(tablet, "workorder_panels", order.pk)
    tap(tablet, "panel_ready", order.pk, first(order).pk)
    assert asked in page(tablet, "workorder_panels", order.pk)
