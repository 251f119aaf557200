"""The mixing pages: the sheet opens, the guided mix leads through, the bench keeps."""

from __future__ import annotations

import io
import re

import pytest
import segno
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from jobs.models import OrderSheet, OrderSolution, Paper
from jobs.papers.html_facts import paper_html
from jobs.solutions.queries import mix_page
from jobs.stages.table import Stage
from mixing.bench.vessel_label import label_facts
from mixing.chemistry.alcohol import blend
from mixing.dispensers.actions import calibrate_dropper
from mixing.models import (
    Batch,
    Chemical,
    Dispenser,
    Fill,
    Recipe,
    RecipeVersion,
    StockContainer,
    StockMovement,
    Vessel,
    WaterTest,
)
from mixing.recipes.default_actions import load_defaults
from mixing.recipes.spec import trade_recipes
from mixing.safety.labels import label_elements
from mixing.sheet import (
    Basis,
    Conditions,
    FillMode,
    SheetRequest,
    SolutionKind,
    Substance,
    as_poured,
    mixing_sheet,
)
from mixing.sheet import StockContainer as SheetContainer
from mixing.shelf.actions import count_container, receive_stock
from shopapp.frame import Refused, perform
from shopapp.models import Shop
from tests.makers import (
    NOW,
    make_bench,
    make_reading,
    make_tap,
    make_workorder,
)

db = pytest.mark.django_db


@pytest.fixture
def order(client, installer):
    make_bench()
    workorder = make_workorder(stage=Stage.INSTALL)
    make_reading(workorder, installer)
    client.force_login(installer)
    return workorder


def url(name, order, *more):
    return reverse(f"jobs:{name}", args=[order.pk, *more])


def post(client, address, key="", **data):
    return client.post(address, {"key": key or address[-60:].rjust(8), **data})


def text_of(response):
    return re.sub(r"\s+", " ", response.content.decode())


def begin(client, order, kind, *codes):
    answer = post(client, url("workorder_mix_start", order, kind), vessels=codes)
    assert answer.status_code == 303, answer.content
    return OrderSheet.objects.order_by("-pk").first()


# ---- the sheet ----


@db
def test_every_number_of_the_sheet_opens(client, order):
    page = client.get(url("workorder_mixing", order))
    html = page.content.decode()
    sheet = mix_page(order, at=NOW).sheet
    shown = [sheet.film_area, sheet.climate.panel, sheet.climate.air]
    for solution in sheet.solutions:
        shown += [solution.needed, solution.use]
        for fill in solution.fills:
            shown += [pour.amount for pour in fill.pours]
            shown += [fill.planned]
            more = (fill.mixed, fill.strength, fill.strength_ww, fill.soap)
            shown += [figure for figure in more if figure is not None]
    assert html.count('<details class="figure"') >= len(shown)
    # Without the figures no amount with a unit of pouring is left in the sheet.
    main = html[html.index("<main") :]
    closed = re.sub(r'<details class="figure">.*?</details>', "", main, flags=re.S)
    closed = re.sub(r"<svg.*?</svg>", "", closed, flags=re.S)
    for name in Dispenser.objects.values_list("name", flat=True):
        closed = closed.replace(name, "")
    assert re.findall(r".{30}\d (?:mL|mL/L|mg/m²|%|°C|min|m²)(?!\w).{9}", closed) == []


@db
def test_the_sheet_leads_to_a_reading_while_there_is_none(client, installer):
    make_bench()
    workorder = make_workorder(stage=Stage.INSTALL)
    client.force_login(installer)
    page = text_of(client.get(url("workorder_mixing", workorder)))
    assert "Its pours wait for a reading" in page
    assert url("workorder_panels", workorder) in page
    assert "Pours by temperature" in page


@db
def test_a_reading_that_changes_a_pour_replaces_the_sheet(client, order, installer):
    make_reading(order, installer, panel_c=30.8)
    assert order.sheets.count() == 1
    make_reading(order, installer, panel_c=36.0)
    page = text_of(client.get(url("workorder_mixing", order)))
    assert "It replaces sheet 1." in page
    assert "Sheet 2 replaces sheet 1:" in page
    assert "the soap changes from" in page
    assert "no longer holds" not in page


@db
def test_a_sheet_that_no_longer_holds_is_made_anew(client, order):
    Vessel.objects.filter(code="T1").update(state="to_rinse")
    page = text_of(client.get(url("workorder_mixing", order)))
    assert "T1 cannot be filled now: a new sheet takes others." in page
    post(client, url("workorder_mix_plan", order), key="b" * 16)
    page = text_of(client.get(url("workorder_mixing", order)))
    assert "no longer holds" not in page
    assert "It replaces sheet 1." in page


@db
def test_a_sheet_is_printed_ahead_and_the_later_one_names_it(client, installer):
    make_bench()
    workorder = make_workorder(stage=Stage.INSTALL)
    client.force_login(installer)
    page = text_of(client.get(url("workorder_mixing", workorder)))
    assert "Print ahead, with the strip" in page
    post(client, url("workorder_mix_print", workorder))
    paper = Paper.objects.get()
    html = paper_html(paper)
    assert (paper.kind, paper.facts["sheet_version"]) == ("mixing_sheet", 1)
    assert '<table class="strip">' in html
    page = text_of(client.get(url("workorder_mixing", workorder)))
    assert "Made ahead of the reading: pour from its strip." in page
    assert "no longer holds" not in page
    make_reading(workorder, installer)
    page = text_of(client.get(url("workorder_mixing", workorder)))
    assert "It replaces sheet 1." in page
    post(client, url("workorder_mix_print", workorder), key="c" * 16)
    later = Paper.objects.first()
    assert later.replaces == paper
    html = paper_html(later)
    assert "version 2, replaces version 1" in html
    assert '<table class="strip">' not in html


@db
def test_the_desk_may_look_but_not_mix(client, order, desk):
    client.force_login(desk)
    assert client.get(url("workorder_mixing", order)).status_code == 200
    answer = post(client, url("workorder_mix_start", order, "slip"), vessels="S1")
    assert answer.status_code == 403
    assert order.sheets.count() == 1


@db
def test_not_needed_is_one_press(client, order):
    answer = post(client, url("workorder_mix_skip", order, "tack"))
    assert answer.status_code == 303
    assert OrderSolution.objects.get(kind="tack").state == "not_needed"


# ---- the guided mix ----


@db
def test_the_guided_mix_goes_from_vessels_to_the_batch(client, order):
    page = text_of(client.get(url("workorder_mix", order, "slip")))
    assert page.count("checked") == 3
    row = begin(client, order, "slip", "S1", "S2", "S3")
    here = url("workorder_mix_steps", order, "slip", row.version)
    first = text_of(client.get(here))
    assert "Pour 1 of 2" in first
    assert "S1, S2, S3" in first
    last = text_of(client.get(here, {"p": ["ok", "ok"]}))
    assert "Never shake" in last
    answer = post(
        client,
        url("workorder_mix_record", order, "slip", row.version),
        p=["ok", "ok"],
    )
    batch = Batch.objects.get()
    assert answer.url == f"{url('workorder_mix', order, 'tack')}?done={batch.pk}"
    assert batch.number in text_of(client.get(answer.url))


@db
def test_three_solutions_take_fourteen_touches_at_most_fifteen(client, order):
    touches = 1  # "Mix slip" on the sheet
    address = url("workorder_mix", order, "slip")
    while "/mixing/?" not in address:
        kind = address.split("/mixing/")[1].split("/")[0]
        page = client.get(address).content.decode()
        chosen = re.findall(r'value="(\w+)"[^>]*checked', page)
        answer = post(
            client,
            url("workorder_mix_start", order, kind),
            vessels=chosen,
            key=f"start-{kind}-key",
        )
        touches += 1
        steps, told = answer.url, []
        while (step := client.get(steps, {"p": told})) and b"Never shake" not in (
            step.content
        ):
            told.append("ok")
            touches += 1
        version = OrderSheet.objects.order_by("-pk").first().version
        answer = post(
            client,
            url("workorder_mix_record", order, kind, version),
            p=told,
            key=f"record-{kind}-key",
        )
        touches += 1
        address = answer.url
    assert Batch.objects.count() == 3
    assert touches == 14


@db
def test_another_amount_is_kept_as_it_was_poured(client, order):
    row = begin(client, order, "tack", "T1")
    post(
        client,
        url("workorder_mix_record", order, "tack", row.version),
        p=["190,5", "ok"],
    )
    poured = Batch.objects.get().pours.get(substance="alcohol")
    assert (poured.planned_ml, poured.poured_ml) == (185.0, 190.5)


@db
def test_an_amount_in_fluid_ounces_is_read_as_such(client, order):
    Shop.objects.update(units="us")
    # A jug that is marked in half ounces; one in mL is read in mL in a US shop too.
    half = 29.5735295625 / 2
    Dispenser.objects.filter(form="jug").update(graduation_ml=half, error_ml=half / 2)
    row = begin(client, order, "tack", "T1")
    post(
        client, url("workorder_mix_record", order, "tack", row.version), p=["6.5", "ok"]
    )
    poured = Batch.objects.get().pours.get(substance="alcohol").poured_ml
    # NIST Handbook 44: 1 US fl oz is 29.5735295625 mL.
    assert poured == pytest.approx(6.5 * 29.5735295625)


@db
@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("-5", "above zero"),
        ("0", "above zero"),
        ("lots", "as a number"),
        ("nan", "as a number"),
        ("5000", "T1 holds 1000 mL"),
    ],
)
def test_an_amount_that_cannot_be_is_said_at_the_step(client, order, typed, sentence):
    row = begin(client, order, "tack", "T1")
    page = client.get(
        url("workorder_mix_steps", order, "tack", row.version), {"p": typed}
    )
    assert page.status_code == 422
    assert sentence in text_of(page)
    assert f'value="{typed}"' in text_of(page)
    answer = post(
        client,
        url("workorder_mix_record", order, "tack", row.version),
        p=[typed, "ok"],
    )
    assert answer.status_code == 422
    assert not Batch.objects.exists()


@db
def test_a_step_is_a_fragment_for_htmx(client, order):
    row = begin(client, order, "tack", "T1")
    here = url("workorder_mix_steps", order, "tack", row.version)
    part = client.get(here, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part
    assert "Pour 1 of 2" in part


@db
def test_a_vessel_that_cannot_be_filled_comes_back_with_a_sentence(client, order):
    answer = post(
        client, url("workorder_mix_start", order, "slip"), vessels=["S1", "T1"]
    )
    assert answer.status_code == 422
    assert "tack vessel for life" in text_of(answer)
    assert re.search(r'value="S1"[^>]*checked', answer.content.decode())


# ---- scanning ----


def photo_of(code):
    out = io.BytesIO()
    segno.make(code, micro=False).save(out, kind="png", scale=8)
    picture = Image.open(out).convert("RGB").rotate(7, expand=True, fillcolor="white")
    jpeg = io.BytesIO()
    picture.save(jpeg, "JPEG", quality=70)
    return SimpleUploadedFile("label.jpg", jpeg.getvalue(), "image/jpeg")


@db
def test_a_photo_of_a_label_chooses_its_vessel(client, order):
    answer = client.post(
        url("workorder_mix_scan", order, "slip"),
        {"photo": photo_of("S4"), "vessel": "S1"},
    )
    assert answer.url.endswith("?vessel=S1&vessel=S4")
    page = client.get(answer.url).content.decode()
    assert sorted(re.findall(r'value="(\w+)"[^>]*checked', page)) == ["S1", "S4"]


@db
def test_a_typed_code_is_as_good_as_a_photo(client, order):
    answer = client.post(url("workorder_mix_scan", order, "slip"), {"code": "s2"})
    assert answer.url.endswith("?vessel=S2")


@db
@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"code": "X9"}, "No vessel here is called X9"),
        ({"code": ""}, "Type the code, or take a photo"),
        ({"photo": "blank"}, "No code is to be seen"),
        ({"photo": "text"}, "not a photo"),
        ({"photo": "unknown"}, "belongs to no vessel here"),
    ],
)
def test_what_cannot_be_read_is_said(client, order, sent, sentence):
    blank = io.BytesIO()
    Image.new("RGB", (300, 200), "white").save(blank, "JPEG")
    files = {
        "blank": SimpleUploadedFile("a.jpg", blank.getvalue(), "image/jpeg"),
        "text": SimpleUploadedFile("a.jpg", b"hello", "image/jpeg"),
        "unknown": photo_of("ZZZ"),
    }
    data = {k: files[v] if k == "photo" else v for k, v in sent.items()}
    answer = client.post(url("workorder_mix_scan", order, "slip"), data)
    assert answer.status_code == 422
    assert sentence in text_of(answer)


# ---- the bench ----

PAGES = ["bench", "vessels", "stock", "recipes", "dispensers", "water"]


@db
@pytest.mark.parametrize("name", PAGES)
def test_the_pages_of_the_bench_open(client, order, name):
    assert client.get(reverse(f"mixing:{name}")).status_code == 200


@db
def test_the_batch_page_tells_what_was_in_the_bottle(client, order):
    row = begin(client, order, "tack", "T1")
    record = url("workorder_mix_record", order, "tack", row.version)
    post(client, record, key="q" * 16, p=["ok", "ok"])
    batch = Batch.objects.get()
    page = text_of(client.get(reverse("mixing:batch_detail", args=[batch.pk])))
    for told in (order.number, "C1", "LOT 7", "Ivan", "T1", "29 °C", "185 mL"):
        assert told in page


@db
def test_the_end_of_shift_list_empties_vessels_and_keeps_what_was_left(client, order):
    row = begin(client, order, "tack", "T1", "T2")
    record = url("workorder_mix_record", order, "tack", row.version)
    post(client, record, key="q" * 16, p=["ok", "ok"])
    data = {"vessels": ["T1", "T2"], "left_T1": "120"}
    for _ in range(2):
        post(client, reverse("mixing:vessels_empty"), key="e" * 16, **data)
    assert Fill.objects.get(vessel__code="T1").left_ml == 120
    assert Fill.objects.get(vessel__code="T2").left_ml is None
    assert not Vessel.objects.exclude(state="clean").exists()


@db
def test_more_left_over_than_was_filled_is_said_at_the_field(client, order):
    row = begin(client, order, "tack", "T1")
    record = url("workorder_mix_record", order, "tack", row.version)
    post(client, record, key="q" * 16, p=["ok", "ok"])
    answer = post(
        client,
        reverse("mixing:vessels_empty"),
        key="e" * 16,
        vessels=["T1"],
        left_T1="5000",
    )
    assert answer.status_code == 422
    assert "5000 mL cannot be left" in text_of(answer)
    assert 'value="5000"' in text_of(answer)


@db
def test_a_vessel_keeps_its_kind_for_life(client, order, manager):
    client.force_login(manager)
    data = {"code": "S1", "kind": "tack", "form": "bottle"}
    answer = post(
        client,
        reverse("mixing:vessel_change", args=["S1"]),
        capacity_ml="1000",
        usable_ml="950",
        **data,
    )
    assert answer.status_code == 422
    assert "slip vessel for life" in text_of(answer)


def recipe_form(**changed):
    """The tack recipe as its form sends it."""
    known = {
        "reference_ml": "950",
        "vv_pct": "17.7",
        "strength_tolerance_pct": "5",
        "use_low_ml_per_m2": "100",
        "use_high_ml_per_m2": "150",
        "reserve_pct": "33",
        "why": "tuned on the hood",
    }
    return {**known, **changed}


@db
def test_a_changed_recipe_is_a_new_version_with_why(client, order, manager):
    client.force_login(manager)
    recipe = Recipe.objects.get(kind="tack")
    post(
        client,
        reverse("mixing:recipe_change", args=[recipe.pk]),
        **recipe_form(vv_pct="19"),
    )
    newest = recipe.versions.first()
    assert (newest.number, newest.why) == (2, "tuned on the hood")
    assert (newest.made_by, newest.spec["key"]) == (manager, "tack-2")
    page = text_of(client.get(reverse("mixing:recipe_detail", args=[recipe.pk])))
    assert "vv pct: 17.6842 → 19" in page


@db
def test_a_recipe_of_more_than_all_alcohol_is_refused_at_its_field(
    client, order, manager
):
    client.force_login(manager)
    recipe = Recipe.objects.get(kind="tack")
    answer = post(
        client,
        reverse("mixing:recipe_change", args=[recipe.pk]),
        **recipe_form(vv_pct="140"),
    )
    assert answer.status_code == 422
    assert 'value="140"' in text_of(answer)
    assert RecipeVersion.objects.filter(recipe=recipe).count() == 1


@db
def test_drawing_a_recipe_first_keeps_nothing(client, order, manager):
    client.force_login(manager)
    recipe = Recipe.objects.get(kind="tack")
    page = client.post(
        reverse("mixing:recipe_look", args=[recipe.pk]),
        recipe_form(vv_pct="15", why=""),
        headers={"HX-Request": "true"},
    )
    assert "<svg" in page.content.decode()
    assert "15" in text_of(page)
    assert RecipeVersion.objects.filter(recipe=recipe).count() == 1


@db
def test_defaults_load_once_and_overwrite_nothing(manager):
    for _ in range(2):
        perform(make_tap(manager), load_defaults)
    assert Recipe.objects.count() == RecipeVersion.objects.count() == 4
    assert Dispenser.objects.count() == 3


# ---- the shelf ----


@db
def test_a_received_container_counts_and_its_count_is_a_movement(manager):
    product = Chemical.objects.create(name="70 % isopropyl alcohol")
    product.substance = "alcohol"
    product.save()
    answer = perform(
        make_tap(manager),
        receive_stock,
        chemical=product,
        code="C7",
        capacity_ml=1000.0,
        strength_pct=70.0,
        strength_basis="vv",
        opened=True,
    )
    perform(
        make_tap(manager),
        count_container,
        container_pk=answer["pk"],
        left_ml=640.0,
    )
    moves = StockMovement.objects.filter(container=answer["pk"])
    left = StockContainer.objects.get(pk=answer["pk"]).left_ml
    assert sum(move.change_ml for move in moves) == left == 640


@db
def test_a_strength_without_its_basis_is_asked_for(manager):
    product = Chemical.objects.create(name="alcohol", substance="alcohol")
    with pytest.raises(Refused, match="by volume or by weight"):
        perform(
            make_tap(manager),
            receive_stock,
            chemical=product,
            code="C7",
            capacity_ml=1000.0,
            strength_pct=70.0,
        )


@db
def test_a_strength_over_a_hundred_is_refused_at_its_field(client, manager):
    client.force_login(manager)
    answer = post(
        client,
        reverse("mixing:chemical_add"),
        name="strong stuff",
        substance="alcohol",
        strength_pct="140",
        strength_basis="vv",
    )
    assert answer.status_code == 422
    assert "100 % at most" in text_of(answer)
    assert 'value="140"' in text_of(answer)


@db
def test_a_dropper_counts_only_once_it_is_calibrated(manager):
    row = Dispenser.objects.create(
        name="dropper", form="dropper", graduation_ml=0.05, capacity_ml=1
    )
    # 6 drops to 2 mL is 0.333 mL a drop: common practice, no published source.
    perform(
        make_tap(manager),
        calibrate_dropper,
        dispenser_pk=row.pk,
        volume_ml=2.0,
        counts=[6, 6],
    )
    row.refresh_from_db()
    assert row.drop_ml == pytest.approx(2 / 6)


def dropper(**fields):
    known = {"name": "dropper", "form": "dropper", "graduation_ml": 0.05}
    return Dispenser.objects.create(**known, capacity_ml=1, **fields)


@db
def test_a_dropper_is_calibrated_by_weighing_too(client, order):
    row = dropper()
    page = text_of(client.get(reverse("mixing:dispensers")))
    assert "not calibrated: not used" in page
    address = reverse("mixing:dispenser_weigh", args=[row.pk])
    post(client, address, drops="20", masses_g="7,14 7.14", density_g_per_ml="1.02")
    row.refresh_from_db()
    # 7.14 g / (20 x 1.02 g/mL), by hand.
    assert row.drop_ml == pytest.approx(0.35)
    page = text_of(client.get(reverse("mixing:dispensers")))
    assert "not calibrated: not used" not in page


@db
def test_a_weight_in_words_comes_back_as_typed(client, order):
    address = reverse("mixing:dispenser_weigh", args=[dropper().pk])
    answer = post(client, address, drops="20", masses_g="seven")
    assert answer.status_code == 422
    assert 'value="seven"' in text_of(answer)
    assert "Write the weights in grams" in text_of(answer)


@db
def test_drops_are_shown_for_a_calibrated_dropper_only(client, order):
    Dispenser.objects.filter(form="syringe").update(in_use=False)
    row = dropper()
    page = text_of(client.get(url("workorder_mixing", order)))
    assert '<span class="unit">drops</span>' not in page
    Dispenser.objects.filter(pk=row.pk).update(drop_ml=0.35, drop_spread_ml=0.02)
    post(client, url("workorder_mix_plan", order))
    page = text_of(client.get(url("workorder_mixing", order)))
    assert '<span class="unit">drops</span>' in page


@db
def test_counted_drops_are_typed_as_drops(client, order):
    Dispenser.objects.filter(form="syringe").update(in_use=False)
    dropper(drop_ml=0.35, drop_spread_ml=0.02)
    row = begin(client, order, "slip", "S1")
    here = url("workorder_mix_steps", order, "slip", row.version)
    assert "drops" in text_of(client.get(f"{here}?p=ok"))
    wrong = client.get(f"{here}?p=ok&p=7.5")
    assert wrong.status_code == 422
    assert "as a whole number" in text_of(wrong)
    record = url("workorder_mix_record", order, "slip", row.version)
    assert post(client, record, p=["ok", "8"]).status_code == 303
    soap = Batch.objects.get().pours.get(substance="soap")
    assert soap.poured_ml == pytest.approx(8 * 0.35)


@db
def test_the_water_is_asked_about_once_on_the_sheet(client, order):
    page = text_of(client.get(url("workorder_mixing", order)))
    assert "Which water do you mix with?" in page
    answer = post(client, url("workorder_mix_water", order), source="tap")
    assert answer.url == url("workorder_mixing", order)
    page = text_of(client.get(url("workorder_mixing", order)))
    assert "Which water do you mix with?" not in page
    assert "Tap water without a test: test it once, or use distilled water." in page


@db
def test_distilled_water_needs_no_test_and_no_advice(client, order):
    post(client, url("workorder_mix_water", order), source="distilled")
    page = text_of(client.get(url("workorder_mixing", order)))
    assert "use distilled water" not in page


@db
@pytest.mark.parametrize(
    ("read", "unit", "kept", "band"),
    [
        # NIST Handbook 44 appendix C: 1 gpg = 64.79891 mg / 3.785411784 L.
        ("10", "gpg", 171.18, "hard"),
        # German degree: 10 mg/L CaO, molar masses 100.0869 and 56.0774 (definition).
        ("3", "dH", 53.54, "soft"),
        ("90", "mg/L", 90.0, "moderately hard"),
    ],
)
def test_a_strip_is_read_in_its_own_unit(client, order, read, unit, kept, band):
    post(
        client,
        reverse("mixing:water_test"),
        source="tap",
        tds_mg_per_l="420",
        hardness_mg_per_l=read,
        hardness_unit=unit,
        tested_on="2026-01-05",
    )
    test = WaterTest.objects.get()
    assert test.hardness_mg_per_l == pytest.approx(kept, abs=0.01)
    # Classes of the US Geological Survey and the World Health Organization (1996).
    page = text_of(client.get(url("workorder_mixing", order)))
    assert f'<span class="muted">{band}</span>' in page
    assert '<span class="muted">leaves spots under film</span>' in page
    assert "it leaves spots under film" in page


@db
def test_water_harder_than_any_is_a_misread_strip(client, order):
    answer = post(
        client,
        reverse("mixing:water_test"),
        source="tap",
        hardness_mg_per_l="900",
        hardness_unit="gpg",
        tested_on="2026-01-05",
    )
    assert answer.status_code == 422
    assert "No water is so hard" in text_of(answer)
    assert 'value="900"' in text_of(answer)


@db
def test_a_water_test_is_kept_with_its_day(client, order):
    post(
        client,
        reverse("mixing:water_test"),
        source="tap",
        tds_mg_per_l="210",
        hardness_mg_per_l="",
        tested_on="2026-01-05",
    )
    test = WaterTest.objects.get()
    assert (test.source, test.tds_mg_per_l) == ("tap", 210)


# ---- a car that came in cold ----


@db
def test_a_cold_car_gets_a_time_to_be_measured_again(client, order, installer):
    make_reading(order, installer, panel_c=8.0, air_c=22.0)
    for name in ("workorder_mixing", "workorder_panels"):
        page = text_of(client.get(url(name, order)))
        assert "The panel is colder than the bay." in page
        # Read at 10:00 of the shop, and 22.6 min by hand: see test_panel.
        assert ">10:23</time>" in page, name


@db
def test_a_car_at_the_bays_temperature_gets_none(client, order):
    page = text_of(client.get(url("workorder_mixing", order)))
    assert "than the bay" not in page


# ---- labels ----


def test_a_label_too_small_to_read_is_refused():
    with pytest.raises(ValueError, match="40 to 300 mm wide"):
        label_facts(
            width_mm=8,
            height_mm=30,
            code="T1",
            kind="tack",
            letter="T",
            shape="circle",
            contents="",
            elements=label_elements(hazards=[]),
        )


# ---- what was poured ----

HOT = Conditions(air_c=29, rh_pct=62, panel_c=31)


def sheet_for(kind, mode):
    stock = SheetContainer(
        code="C1", substance=Substance.ALCOHOL, strength_pct=91, basis=Basis.VV
    )
    recipe = next(each for each in trade_recipes() if each.kind is kind)
    return mixing_sheet(
        SheetRequest(
            film_area_m2=3,
            recipes=(recipe,),
            conditions=HOT,
            stock=(stock,),
            fill_mode=mode,
        )
    )


@pytest.mark.parametrize("kind", list(SolutionKind))
@pytest.mark.parametrize("mode", list(FillMode))
def test_pouring_as_planned_gives_the_planned_result(kind, mode):
    sheet = sheet_for(kind, mode)
    (solution,) = sheet.solutions
    planned = [[pour.amount.value for pour in fill.pours] for fill in solution.fills]
    assert as_poured(sheet, kind=kind, poured=planned) == solution


@settings(max_examples=60, deadline=None)
@given(alcohol=st.floats(50, 400), water=st.floats(100, 900), soap=st.floats(0.4, 9))
def test_the_real_strength_is_that_of_the_poured_masses(alcohol, water, soap):
    sheet = sheet_for(SolutionKind.ALL_IN_ONE, FillMode.MEASURED)
    count = len(sheet.solutions[0].fills)
    done = as_poured(
        sheet,
        kind=SolutionKind.ALL_IN_ONE,
        poured=[[alcohol, water, soap]] * count,
    )
    real = blend(stock_ml=alcohol, stock_vv_pct=91, water_ml=water + soap)
    for fill in done.fills:
        assert fill.strength.value == pytest.approx(real.vv_pct, abs=1e-6)
        assert fill.mixed.value == pytest.approx(real.volume_ml, abs=1e-6)
        assert fill.strength.low <= fill.strength.value <= fill.strength.high
        assert fill.soap.low <= fill.soap.value <= fill.soap.high


@settings(max_examples=40, deadline=None)
@given(
    alcohol=st.floats(60, 400),
    water=st.floats(100, 900),
    off=st.floats(-1, 1),
    other=st.floats(-1, 1),
)
def test_a_reading_within_half_a_graduation_stays_in_the_range(
    alcohol, water, off, other
):
    sheet = sheet_for(SolutionKind.TACK, FillMode.MEASURED)
    done = as_poured(
        sheet,
        kind=SolutionKind.TACK,
        poured=[[alcohol, water]] * len(sheet.solutions[0].fills),
    )
    steps = [pour.graduation.value / 2 for pour in done.fills[0].pours]
    real = blend(
        stock_ml=alcohol + off * steps[0],
        stock_vv_pct=91,
        water_ml=water + other * steps[1],
    )
    strength = done.fills[0].strength
    assert strength.low - 1e-9 <= real.vv_pct <= strength.high + 1e-9
