"""A shop with its own set: its instructions and cut-offs, and nothing federal."""

from __future__ import annotations

import dataclasses
import re

import pytest
from django.urls import reverse

from jobs.models import Paper
from jobs.papers.actions import issue_register
from jobs.papers.html_facts import paper_html
from mixing.bench.label_facts import kind_label
from mixing.models import Chemical, RuleSet, Vessel
from mixing.safety.block import safety_block
from mixing.safety.labels import Hazard
from mixing.safety.rule_rows import SLOTS, RuleRow, example_rows, row_to_json, slot_of
from mixing.safety.rules import entered_rules
from mixing.safety.states import PAGE_RULES, State
from mixing.safety.stock_check import stock_check
from mixing.safety.storage import StockContainer
from shopapp.frame import perform
from shopapp.models import Shop
from shopapp.telling import tell
from shopapp.units import System
from tests.jobs.papers.orders import ask, make_full_order
from tests.makers import make_tap
from tests.mixing.safety.safety_job import CAN, SLIP, TACK, request

FEDERAL = re.compile(
    r"CFR|1910|1926|OSHA|NIOSH|PHMSA|ACGIH|Ohio|Cal\. Title|HCS|Fire Code|United States"
)
OWN = "Town decree"
NEW = [slot.key for slot in SLOTS if slot.group in ("label", "duty")]


def own_rows(*, without: str = "") -> list[RuleRow]:
    """Every slot filled by the shop, in its own words."""
    return [
        dataclasses.replace(
            row,
            paragraph=f"§ {number}",
            source=OWN,
            dated="2024-05-01",
            line=f"Town line on {slot_of(row.slot).what}." if row.line else "",
        )
        for number, row in enumerate(example_rows(), start=1)
        if row.slot != without
    ]


def own_rules(**facts):
    return entered_rules(name="Town", version=3, rows=own_rows(**facts))


def block_by(rules, **changes):
    return safety_block(request(rules=rules, **changes))


def lacking(block):
    return {line.key for line in block.lines if line.state is State.NOT_ASSESSED}


# Soap that brings every hazard that a cut-off may decide about.
HARSH = dataclasses.replace(
    TACK,
    soap_hazards=(
        Hazard.EYE_DAMAGE_1,
        Hazard.SKIN_CORR_1,
        Hazard.SKIN_SENS_1,
        Hazard.STOT_SE_3_IRRITANT,
        Hazard.SKIN_IRRIT_2,
    ),
)


@pytest.mark.parametrize("slot", NEW)
def test_an_instruction_or_cutoff_taken_away_holds_up_exactly_its_line(slot):
    whole = block_by(own_rules(), solutions=(SLIP, HARSH))
    less = block_by(own_rules(without=slot), solutions=(SLIP, HARSH))
    line = "label:tack" if slot.startswith("label:") else slot
    assert lacking(less) - lacking(whole) == {line}
    assert less.line(line).missing == (f"rules.{slot}",)
    (need,) = [need for need in less.to_enter if need.key == f"rules.{slot}"]
    assert need.page == PAGE_RULES
    total = "liquid" if slot.startswith("label:") else "storage"
    assert dict(less.totals)[total] is not State.OK


def test_the_shop_s_own_instructions_stand_in_the_block():
    line = block_by(own_rules()).line("duty:spill")
    assert str(line.sentence) == "Town line on taking up spills."
    assert line.source.endswith(OWN)
    assert line.rules == "Town, version 3"


def test_a_rule_that_the_set_does_not_have_says_nothing():
    rows = [row for row in own_rows() if row.slot != "duty:bonding"]
    rows.append(RuleRow(slot="duty:bonding", applies=False))
    block = block_by(entered_rules(name="Town", version=1, rows=rows))
    assert "duty:bonding" not in {line.key for line in block.lines}
    assert not lacking(block)


def test_an_instruction_holds_for_the_categories_it_names():
    rows = [
        dataclasses.replace(row, categories="1") if row.slot == "duty:cover" else row
        for row in own_rows()
    ]
    rules = entered_rules(name="Town", version=1, rows=rows)
    calm = {"solutions": (SLIP,), "prep": ()}
    held = block_by(rules, **calm)
    assert "duty:cover" not in {line.key for line in held.lines}
    assert "duty:spill" in {line.key for line in held.lines}


def with_cutoff(hazard: str, value: float | None):
    rows = [row for row in own_rows() if row.slot != f"label:{hazard}"]
    row = RuleRow(slot=f"label:{hazard}", value=value, unit="% by mass")
    if value is None:
        row = RuleRow(slot=f"label:{hazard}", applies=False)
    return entered_rules(name="Town", version=1, rows=[*rows, row])


def codes(rules):
    (label,) = [x for x in block_by(rules).labels if x.name == "tack"]
    return label.elements.h_codes


def test_the_label_goes_by_the_cutoffs_of_the_set():
    """17.7 % v/v is 14.2 % by mass: over 10, under 15 and 20."""
    assert codes(own_rules()) == ("H226", "H319")
    assert codes(with_cutoff("EYE_IRRIT_2", 15.0)) == ("H226",)
    assert codes(with_cutoff("STOT_SE_3_NARCOTIC", 14.0)) == ("H226", "H319", "H336")
    assert codes(with_cutoff("EYE_IRRIT_2", None)) == ("H226",)


def all_words(lines):
    for line in lines:
        yield tell(line.sentence, system=System.METRIC)
        yield line.source
        yield tell(line.basis, system=System.METRIC) if line.basis else ""
        yield from (figure.note for figure in line.figures)


@pytest.mark.parametrize("rows", [own_rows(), []])
def test_no_line_of_an_own_set_names_a_federal_text(rows):
    """Whatever is known and whatever is not, on the block and at the shelf."""
    rules = entered_rules(name="Town", version=3, rows=rows)
    jobs = (
        request(rules=rules),
        request(rules=rules, solutions=(SLIP, HARSH)),
        request(rules=rules, stock=None, bay=None, prep=None, sheets=None),
        request(rules=rules, stock=(), air_c=None, limit_ppm=None, session_min=None),
    )
    for job in jobs:
        block = safety_block(job)
        words = list(all_words((block.fire_line, *block.lines)))
        words += [label.elements.source for label in block.labels]
        words += [str(need.sentence) for need in block.to_enter]
        assert [text for text in words if FEDERAL.search(text)] == []
    nowhere = dataclasses.replace(CAN, name="C2", location=None)
    unknown = StockContainer(
        name="C3", category=None, size_l=None, kind=None, location=CAN.location
    )
    for held in ([CAN], [nowhere], [CAN, unknown], []):
        found = stock_check(containers=held, rules=rules.storage)
        assert [t for t in all_words(found.lines) if FEDERAL.search(t)] == []


def test_a_set_that_bars_no_flash_point_from_the_sewer_names_none():
    rows = [row for row in own_rows() if row.slot != "drain:flash"]
    rows.append(RuleRow(slot="drain:flash", applies=False))
    line = block_by(entered_rules(name="Town", version=1, rows=rows)).line("drain")
    assert str(line.sentence).startswith("Ask the sewer authority")


@pytest.fixture
def town(db):
    """The shop goes by a complete set of its own."""
    rule_set = RuleSet.objects.create(name="Town")
    rows = [row_to_json(row) for row in own_rows()]
    rule_set.versions.create(number=1, rows=rows, why="here")
    Shop.objects.update(jurisdiction="Town")
    return rule_set


def shown_words(html: str) -> str:
    """What is read, without the certificates of formulas that open on a tap.

    A certificate says where the arithmetic comes from; it limits nothing.
    """
    html = re.sub(r"<(style|script|svg)\b.*?</\1>", " ", html, flags=re.S)
    html = re.sub(
        r'<div class="figure-body">.*?</div>\s*</details>', " ", html, flags=re.S
    )
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


@pytest.mark.django_db
def test_no_page_of_such_a_shop_shows_a_federal_limit(client, manager, town):
    order = make_full_order(manager)
    client.force_login(manager)
    vessel = Vessel.objects.first()
    pages = [
        reverse("jobs:safety"),
        reverse("jobs:safety_register"),
        reverse("jobs:workorder_safety", args=[order.pk]),
        reverse("jobs:workorder_heat", args=[order.pk]),
        reverse("mixing:flash_points"),
        reverse("mixing:chemicals"),
        reverse("mixing:chemical_detail", args=[Chemical.objects.first().pk]),
        reverse("mixing:stock"),
        reverse("mixing:bays"),
        reverse("mixing:vessel_detail", args=[vessel.code]),
        reverse("mixing:rule_set_detail", args=[town.pk]),
    ]
    for page in pages:
        words = shown_words(client.get(page).content.decode())
        found = [words[m.start() - 80 : m.end() + 40] for m in FEDERAL.finditer(words)]
        assert found == [], page
    local = shown_words(client.get(reverse("mixing:local_code")).content.decode())
    # The example may be chosen again, so its name stands in the list.
    assert FEDERAL.findall(local.replace("United States", "", 1)) == []


@pytest.mark.django_db
def test_no_paper_of_such_a_shop_shows_one(manager, town):
    order = make_full_order(manager)
    pk = perform(make_tap(manager), issue_register, size="A4")["pk"]
    for paper in (ask(order, manager), Paper.objects.get(pk=pk)):
        words = shown_words(paper_html(paper))
        assert FEDERAL.findall(words) == [], paper
        assert "Town" in words
    label = kind_label(Vessel.objects.filter(kind="tack").first())
    assert not FEDERAL.search(label.hazard_source)
    assert label.not_known == ""


@pytest.mark.django_db
def test_a_label_says_that_a_cutoff_was_not_entered(manager, town):
    make_full_order(manager)
    rows = [row_to_json(row) for row in own_rows(without="label:EYE_IRRIT_2")]
    town.versions.create(number=2, rows=rows, why="one is missing")
    label = kind_label(Vessel.objects.filter(kind="tack").first())
    assert "NOT ASSESSED" in label.not_known
