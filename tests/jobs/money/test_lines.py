"""The lines of a price come to the price, to the cent."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.money.lines import (
    LineKind,
    PriceLine,
    PriceLines,
    lines_of,
    listed_sum,
    price_less,
    share,
)

cents = st.integers(0, 5_000_000).map(lambda n: Decimal(n) / 100)
rates = st.integers(0, 30_000).map(lambda n: Decimal(n) / 1000)
kinds = st.sampled_from([LineKind.WORK, LineKind.ADDITION, LineKind.DISCOUNT])
PACKAGE = PriceLine(kind=LineKind.PACKAGE, name="full front", amount=Decimal(0))


@st.composite
def others(draw) -> list[PriceLine]:
    kind, amount = draw(kinds), draw(cents)
    signed = -amount if kind is LineKind.DISCOUNT else amount
    return [PriceLine(kind=kind, name="beside", amount=signed)]


def made(price: str, *beside: PriceLine, pct: str = "0", on_top: bool) -> PriceLines:
    return lines_of(
        price=Decimal(price),
        package=PACKAGE,
        others=beside,
        tax_name="Tax",
        tax_pct=Decimal(pct),
        is_on_top=on_top,
    )


@given(price=cents, pct=rates, beside=st.lists(others(), max_size=4), top=st.booleans())
def test_the_lines_sum_to_the_price(price, pct, beside, top):
    rows = [line for group in beside for line in group]
    known = made(str(price), *rows, pct=str(pct), on_top=top)
    assert sum(line.amount for line in known.lines) == price == known.total
    assert known.net + known.tax == price
    assert all(
        line.amount == line.amount.quantize(Decimal("0.01")) for line in known.lines
    )
    assert known.lines[0].amount >= 0


# HM Revenue & Customs, "Calculating VAT for VAT-inclusive and VAT-exclusive prices":
# 100 without VAT is 120 with it at 20 %, and 105 at 5 %.
@pytest.mark.parametrize(("pct", "total"), [("20", "120.00"), ("5", "105.00")])
def test_the_published_examples_hold_within_and_on_top(pct, total):
    for on_top in (True, False):
        known = made(total, pct=pct, on_top=on_top)
        assert known.net == Decimal("100.00")
        assert known.tax == Decimal(pct)


# Arithmetic: 119.00 = 100.00 + 19 % of 100.00.
def test_tax_within_the_price_is_a_part_of_it_and_no_line():
    known = made("119.00", pct="19", on_top=False)
    assert [line.amount for line in known.lines] == [Decimal("119.00")]
    assert (known.net, known.tax) == (Decimal("100.00"), Decimal("19.00"))


def test_tax_on_top_is_the_last_line():
    known = made("1623.75", pct="8.25", on_top=True)
    assert [(line.kind, line.amount) for line in known.lines] == [
        (LineKind.PACKAGE, Decimal("1500.00")),
        (LineKind.TAX, Decimal("123.75")),
    ]


def test_less_than_the_other_work_alone_is_said_in_a_line():
    coating = PriceLine(kind=LineKind.WORK, name="coating", amount=Decimal(400))
    known = made("300.00", coating, on_top=False)
    assert [(line.kind, line.amount) for line in known.lines] == [
        (LineKind.PACKAGE, 0),
        (LineKind.WORK, 400),
        (LineKind.AGREED, -100),
    ]


@given(net=cents, pct=rates, part=st.integers(0, 100))
def test_a_discount_off_a_listed_price_leaves_the_rest_and_its_tax(net, pct, part):
    terms = {"tax_pct": pct, "is_on_top": True}
    price = price_less(price=net, amount=Decimal(0), tax_pct=Decimal(0), is_on_top=True)
    full = price + share(listed=net, pct=Decimal(0))
    assert full == net
    taxed = net + (net * pct / 100).quantize(Decimal("0.01"), "ROUND_HALF_UP")
    assert listed_sum(price=taxed, **terms) == net
    taken = share(listed=net, pct=Decimal(part))
    left = price_less(price=taxed, amount=taken, **terms)
    assert listed_sum(price=left, **terms) == net - taken
    assert left >= 0


def test_a_half_cent_goes_up():
    assert share(listed=Decimal("0.10"), pct=Decimal(5)) == Decimal("0.01")
    assert share(listed=Decimal("100.30"), pct=Decimal("2.5")) == Decimal("2.51")


@pytest.mark.parametrize("pct", ["-1", "100.001"])
def test_a_share_outside_of_nothing_and_all_is_an_error(pct):
    with pytest.raises(ValueError, match="per cent"):
        share(listed=Decimal(1), pct=Decimal(pct))


def test_more_off_than_there_is_is_an_error():
    with pytest.raises(ValueError, match="more than the price"):
        price_less(
            price=Decimal(10), amount=Decimal(11), tax_pct=Decimal(0), is_on_top=False
        )
