"""An estimate is made, changed, and kept in versions."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.models import (
    TaxRule,
)
from jobs.money.lines import LineKind, PriceLine, lines_of
from shopapp.frame import Refused
from tests.estimates import (
    change,
    estimate_for,
    newest,
    offered,
    send,
    told,
)

pytestmark = pytest.mark.django_db


def test_an_estimate_keeps_its_packages_in_order_with_panels_and_lines(desk, row):
    first, second = newest(row).choices.all()
    assert row.number.endswith("-0001")
    assert [first.package, second.package] == ["full_front", "track"]
    assert first.panels.count() == 8
    assert [line.amount for line in first.lines.all()] == [Decimal(1490)]
    assert told(row) == ["estimate_made"]


@given(
    price=st.decimals(min_value=0, max_value=20000, places=2),
    works=st.lists(st.decimals(min_value=0, max_value=900, places=2), max_size=4),
    pct=st.decimals(min_value=0, max_value=25, places=3),
    is_on_top=st.booleans(),
)
def test_the_lines_of_a_package_come_to_its_price(price, works, pct, is_on_top):

    others = [PriceLine(kind=LineKind.WORK, name="w", amount=each) for each in works]
    found = lines_of(
        price=price,
        package=PriceLine(kind=LineKind.PACKAGE, name="p", amount=Decimal(0)),
        others=others,
        tax_name="tax",
        tax_pct=pct,
        is_on_top=is_on_top,
    )
    assert sum(line.amount for line in found.lines) == price


def test_other_work_and_tax_on_top_are_lines_of_their_own(desk):
    TaxRule.objects.update_or_create(
        pk=1, defaults={"pct": Decimal(19), "is_included": False, "name": "Tax"}
    )
    work = {"name": "coating", "minutes": 90, "when": "after_install"}
    work |= {"skill": "prep", "price": Decimal(200)}
    row = estimate_for(desk, offered(price="1190.00", works=(work,)))
    choice = newest(row).choices.get()
    lines = [(line.kind, line.amount) for line in choice.lines.all()]
    assert lines == [
        ("package", Decimal(800)),
        ("work", Decimal(200)),
        ("tax", Decimal(190)),
    ]


def test_no_package_or_four_are_refused(desk):
    with pytest.raises(Refused, match="up to 3"):
        estimate_for(desk, *[offered()] * 4)


def test_it_cannot_hold_until_yesterday_or_for_years(desk):
    with pytest.raises(Refused, match="has passed"):
        estimate_for(desk, offered(), days=-1)
    with pytest.raises(Refused, match="within a year"):
        estimate_for(desk, offered(), days=400)


def test_a_change_is_a_new_version_and_the_old_one_stays(desk, row):
    change(desk, row)
    one, two = row.versions.order_by("number")
    assert (one.number, two.number) == (1, 2)
    assert one.choices.count() == 2
    assert two.choices.get().price == Decimal(1290)
    assert not told(row).count("estimate_sent")


def test_a_change_of_what_the_customer_reads_by_link_is_sent_with_it(desk, row):
    send(desk, row)
    change(desk, row)
    assert newest(row).sent_how == "link"


def test_a_version_is_never_written_again(desk, row):
    choice = newest(row).choices.all()[0]
    choice.price = Decimal(1)
    with pytest.raises(RuntimeError, match="never changed"):
        choice.save()
