"""Another country's shop enters its own safety rules, in versions."""

from __future__ import annotations

import dataclasses

import pytest

from mixing.models import Chemical, RuleSet, RuleSetVersion
from mixing.rule_sets.queries import rules_of
from mixing.safety.rule_rows import (
    SLOTS,
    RuleRow,
    example_rows,
    row_from_json,
    row_to_json,
    row_troubles,
)
from mixing.safety.rules import entered_rules, safety_rules
from shopapp.models import Shop, the_shop
from tests.makers import make_container

KEY = "k" * 16
BEGIN = {"name": "Elsewhere", "begin_with": "United States", "why": "we moved"}


def test_the_example_fills_every_slot():
    spare = {"sum:outside:3"}
    assert {row.slot for row in example_rows()} | spare == {s.key for s in SLOTS}


def test_a_copy_of_the_example_says_the_same_numbers():
    copy = entered_rules(name="copy", version=1, rows=example_rows())
    example = safety_rules()
    assert [r.max_l for r in copy.storage.sums] == pytest.approx(
        [r.max_l for r in example.storage.sums]
    )
    own = {(r.kind, r.category): r.max_l for r in copy.storage.sizes}
    assert own == pytest.approx(
        {(r.kind, r.category): r.max_l for r in example.storage.sizes}
    )
    assert [(x.key, x.value) for x in copy.limits] == [
        (x.key, x.value) for x in example.limits
    ]


def test_rows_come_back_from_json():
    for row in example_rows():
        assert row_from_json(row_to_json(row)) == row


@pytest.mark.parametrize(
    ("unit", "value", "slot", "base"),
    [
        # 1 ppm = 2.46 mg/m3 at 25 °C: NIOSH Pocket Guide (V).
        ("mg/m³ at 25 °C", 980.0, "air:8h", 399.0),
        ("mg/m³ at 20 °C", 500.0, "air:8h", 200.2),
        ("°F", 140.0, "waste:flash", 60.0),
        ("US qt", 1.0, "size:metal:2", 0.946352946),
    ],
)
def test_a_limit_may_be_typed_in_the_unit_of_its_text(unit, value, slot, base):
    row = RuleRow(slot=slot, value=value, unit=unit)
    assert row.base_value == pytest.approx(base, rel=1e-3)


GOOD = RuleRow(
    slot="air:8h",
    value=200.0,
    unit="ppm",
    paragraph="§ 3",
    source="decree",
    dated="2020",
)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"value": 0.0}, "value"),
        ({"value": 50_000.0}, "value"),
        ({"value": float("nan")}, "value"),
        ({"unit": "L"}, "unit"),
        ({"applies": False}, "value"),
        ({"paragraph": " "}, "paragraph"),
        ({"source": ""}, "source"),
        ({"dated": ""}, "dated"),
        ({"dated": "last year"}, "dated"),
        ({"dated": "2031-01-01"}, "dated"),
        ({"slot": "sum:cabinet:1", "unit": "L"}, "categories"),
    ],
)
def test_a_row_that_cannot_be_is_told_at_its_field(change, field):
    row = dataclasses.replace(GOOD, **change)
    assert field in {name for name, _ in row_troubles(row, this_year=2026)}
    assert row_troubles(GOOD, this_year=2026) == []


def begun(client, **facts) -> RuleSet:
    client.post("/settings/safety-rules/add/", {"key": KEY, **BEGIN, **facts})
    return RuleSet.objects.get()


def typed(client, rule_set: RuleSet) -> dict[str, str]:
    """The form as it stands."""
    form = client.get(f"/settings/safety-rules/{rule_set.pk}/").context["form"]
    found = {}
    for name in form.fields:
        value = form[name].value()
        if value is not False:
            found[name] = "" if value is None else str(value)
    return found


def change(client, rule_set, *, key="c" * 16, **facts):
    known = typed(client, rule_set) | {"why": "the office wrote", "key": key} | facts
    url = f"/settings/safety-rules/{rule_set.pk}/change/"
    return client.post(url, {name: v for name, v in known.items() if v is not None})


@pytest.mark.django_db
def test_a_set_is_begun_as_a_copy_and_changed_in_versions(client, manager):
    client.force_login(manager)
    rule_set = begun(client)
    answer = change(
        client, rule_set, **{"air:8h-value": "490", "air:8h-unit": "mg/m³ at 20 °C"}
    )
    assert answer.status_code == 303
    first, second = rule_set.versions.order_by("number")
    assert (first.why, second.why) == ("we moved", "the office wrote")
    assert (second.number, second.made_by) == (2, manager)
    row = next(row for row in second.rows if row["slot"] == "air:8h")
    assert (row["value"], row["unit"]) == (490.0, "mg/m³ at 20 °C")
    with pytest.raises(RuntimeError):
        first.save()
    page = client.get(f"/settings/safety-rules/versions/{first.pk}/").content.decode()
    assert "29 CFR 1910.1000 Table Z-1" in page


@pytest.mark.django_db
def test_the_chosen_set_is_gone_by_and_the_example_stays_to_choose(client, manager):
    client.force_login(manager)
    rule_set = begun(client, begin_with="")
    facts = {"key": "e" * 16, "vapour_limit_ppm": "200", "jurisdiction": "Elsewhere"}
    answer = client.post("/settings/local-code/change/", facts)
    assert answer.status_code == 303
    rules = rules_of(the_shop())
    assert rules.named == "Elsewhere, version 1"
    assert rules.limit("air:8h").missing == ("rules.air:8h",)
    page = client.get("/settings/local-code/").content.decode()
    assert '<option value="United States">' in page
    assert RuleSetVersion.objects.get(rule_set=rule_set).rows == []


@pytest.mark.django_db
def test_the_safety_page_names_what_an_empty_set_lacks(client, manager):
    make_container("C9", material="metal")
    Chemical.objects.update(hazard_codes="H225")
    client.force_login(manager)
    begun(client, begin_with="")
    Shop.objects.update(jurisdiction="Elsewhere")
    page = client.get("/safety/").content.decode()
    assert "Elsewhere, version 1" in page
    assert "NOT ASSESSED" in page
    assert "Largest metal container of category" in page


@pytest.mark.django_db
def test_a_set_that_is_gone_passes_nothing():
    Shop.objects.update(jurisdiction="Nowhere")
    rules = rules_of(the_shop())
    assert rules.storage.sums == ()
    assert all(limit.missing for limit in rules.limits)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"air:8h-value": "0"}, "Enter 1 to 1000 ppm."),
        ({"air:8h-value": "some"}, "Enter a number."),
        ({"air:8h-none": "on"}, "Either a number or"),
        ({"air:15min-value": "300"}, "does not lie below the 8-hour limit"),
        ({"size:metal:2-value": "9999"}, "Enter 0.002642 to 1320.86 US gal."),
        ({"sum:cabinet:1-categories": ""}, "Say which categories count together"),
        ({"sum:cabinet:1-categories": "1 7"}, "Write the categories as: 1 2 3."),
        ({"drain:flash-dated": "soon"}, "Write it as 2020-09-08"),
        ({"why": ""}, "This field is required."),
    ],
)
def test_a_bad_row_comes_back_as_typed_with_its_sentence(client, manager, facts, told):
    client.force_login(manager)
    rule_set = begun(client)
    answer = change(client, rule_set, **facts)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert told in page
    assert all(f'value="{v}"' in page for v in facts.values() if v not in ("", "on"))
    assert rule_set.versions.count() == 1


@pytest.mark.django_db
def test_a_source_left_empty_is_that_of_the_row_above(client, manager):
    client.force_login(manager)
    rule_set = begun(client)
    change(client, rule_set, **{"air:15min-source": "", "air:15min-value": "450"})
    rows = {row["slot"]: row for row in rule_set.versions.order_by("-number")[0].rows}
    assert rows["air:15min"]["source"] == rows["air:8h"]["source"]


@pytest.mark.django_db
def test_two_who_change_a_set_at_once_do_not_undo_each_other(client, manager):
    client.force_login(manager)
    rule_set = begun(client)
    old = typed(client, rule_set)
    change(client, rule_set, **{"air:8h-value": "300"})
    facts = old | {"why": "mine", "key": "d" * 16, "air:8h-value": "350"}
    answer = client.post(f"/settings/safety-rules/{rule_set.pk}/change/", facts)
    assert answer.status_code == 422
    assert "Version 2 was made meanwhile" in answer.content.decode()
    assert rule_set.versions.count() == 2


@pytest.mark.django_db
def test_a_name_that_is_taken_is_refused_at_its_field(client, manager):
    client.force_login(manager)
    facts = {"key": KEY, **BEGIN, "name": "United States"}
    answer = client.post("/settings/safety-rules/add/", facts)
    assert answer.status_code == 422
    assert "There is a set of this name already." in answer.content.decode()


@pytest.mark.django_db
def test_the_shop_is_not_laxer_than_its_rules(client, manager):
    client.force_login(manager)
    facts = {"key": KEY, "vapour_limit_ppm": "500", "jurisdiction": "United States"}
    answer = client.post("/settings/local-code/change/", facts)
    assert answer.status_code == 422
    assert "These rules say 400 ppm at most" in answer.content.decode()


@pytest.mark.django_db
def test_everybody_reads_the_rules_and_only_a_manager_writes(
    client, manager, installer
):
    client.force_login(manager)
    rule_set = begun(client)
    client.force_login(installer)
    page = client.get(f"/settings/safety-rules/{rule_set.pk}/").content.decode()
    assert "29 CFR 1910.1000 Table Z-1" in page
    assert "Keep as a new version" not in page
    url = f"/settings/safety-rules/{rule_set.pk}/change/"
    assert client.post(url, {"key": KEY}).status_code == 403


@pytest.mark.django_db
def test_an_instruction_and_a_cutoff_are_typed_like_any_row(client, manager):
    make_container("C9", material="metal")
    Chemical.objects.update(hazard_codes="H225")
    client.force_login(manager)
    rule_set = begun(client)
    facts = {
        "duty:cover-line": "Lids on,\n always.",
        "duty:cover-categories": "2 3",
        "duty:bonding-line": "",
        "duty:bonding-none": "on",
        "label:EYE_IRRIT_2-value": "12,5",
    }
    assert change(client, rule_set, **facts).status_code == 303
    Shop.objects.update(jurisdiction="Elsewhere")
    rules = rules_of(the_shop())
    duties = {duty.topic: duty for duty in rules.storage.duties}
    assert duties["cover"].line == "Lids on, always."
    assert duties["cover"].categories == {2, 3}
    assert not duties["bonding"].applies
    assert rules.limit("label:EYE_IRRIT_2").value == 12.5
    page = client.get("/safety/").content.decode()
    assert "Lids on, always." in page
    assert "Bond nozzle" not in page


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"duty:cover-none": "on"}, "Either an instruction or"),
        ({"duty:cover-line": "x" * 161}, "at most 160 characters"),
        ({"duty:cover-categories": "nine"}, "Write the categories as: 1 2 3."),
        ({"label:SKIN_SENS_1-value": "0"}, "Enter 0.001 to 100 % by mass."),
        ({"label:EYE_IRRIT_2-value": "101"}, "Enter 0.001 to 100 % by mass."),
    ],
)
def test_a_bad_instruction_or_cutoff_is_told_and_kept(client, manager, facts, told):
    client.force_login(manager)
    rule_set = begun(client)
    answer = change(client, rule_set, **facts)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert told in page
    assert all(value in page for value in facts.values())
    assert rule_set.versions.count() == 1


@pytest.mark.django_db
def test_a_folded_heading_tells_how_much_is_not_entered(client, manager):
    client.force_login(manager)
    rule_set = begun(client, begin_with="")
    url = f"/settings/safety-rules/{rule_set.pk}/"
    page = client.get(url).content.decode()
    assert "20 not entered" in page
    assert page.count("7 not entered") == 2
    facts = {"none": "on", "paragraph": "1", "source": "decree", "dated": "2024"}
    change(client, rule_set, **{f"duty:rags-{n}": text for n, text in facts.items()})
    assert "6 not entered" in client.get(url).content.decode()


def test_an_instruction_names_its_paragraph_source_and_date():
    row = RuleRow(slot="duty:spill", line="Sand at hand.")
    fields = {name for name, _ in row_troubles(row, this_year=2026)}
    assert fields == {"paragraph", "source", "dated"}


@pytest.mark.django_db
def test_a_version_from_before_instructions_still_opens_and_says_what_it_lacks(
    client, manager
):
    make_container("C9", material="metal")
    Chemical.objects.update(hazard_codes="H225")
    client.force_login(manager)
    rule_set = begun(client, begin_with="")
    old = [
        {k: v for k, v in row_to_json(row).items() if k != "line"}
        for row in example_rows()
        if not row.slot.startswith(("duty:", "label:"))
    ]
    rule_set.versions.create(number=2, rows=old, why="kept long ago")
    Shop.objects.update(jurisdiction="Elsewhere")
    page = client.get("/safety/").content.decode()
    assert "What holds for ignition sources: not entered." in page
    assert client.get(f"/settings/safety-rules/{rule_set.pk}/").status_code == 200
    unchanged = change(client, rule_set)
    assert "Nothing was changed." in unchanged.content.decode()
