"""The price list first, the computed cost behind it; money to the cent."""

from decimal import Decimal

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.prices.estimate import (
    AddedWork,
    Cost,
    PriceKey,
    computed_cost,
    estimate,
    margin,
    rounded,
)

PRICES = {
    PriceKey(item="full_front", size_class="C", film="film A"): Decimal("1690.00"),
    PriceKey(item="roof", size_class="C", film="film A"): Decimal("420.00"),
}
CORRECTION = AddedWork(name="correction", price=Decimal("300"), minutes=Decimal(180))


def quote(**change):
    return estimate(
        **{
            "prices": PRICES,
            "items": ["full_front"],
            "size_class": "C",
            "film": "film A",
            "added_work": [],
            "tax_pct": Decimal(0),
        }
        | change
    )


def test_the_price_is_that_of_the_list():
    assert quote().total == Decimal("1690.00")


def test_added_work_is_a_line_of_its_own_and_the_tax_comes_on_top():
    # By hand: 1690 + 300 = 1990; 19 % of it 378.10; together 2368.10.
    made = quote(added_work=[CORRECTION], tax_pct=Decimal(19))
    assert [line.amount for line in made.lines] == [Decimal("1690"), Decimal("300")]
    assert (made.net, made.tax, made.total) == (
        Decimal("1990"),
        Decimal("378.10"),
        Decimal("2368.10"),
    )


def test_a_cell_that_is_not_in_the_list_is_named_and_never_free():
    made = quote(items=["full_front", "rocker"])
    assert not made.is_complete
    assert str(made.missing[0]) == (
        "The price list has no rocker for size C in film A."
    )


def test_single_panels_are_added_up():
    assert quote(items=["roof", "roof"]).net == Decimal("840.00")


def test_a_negative_tax_is_an_error():
    with pytest.raises(ValueError, match="negative"):
        quote(tax_pct=Decimal(-1))


def test_the_cost_is_film_labour_solutions_and_added_work():
    # By hand: 5.79 x 48 = 277.92; 480 / 60 x 35 = 280; 180 / 60 x 35 = 105.
    cost = computed_cost(
        film_length_m=Decimal("5.79"),
        film_cost_per_m=Decimal(48),
        labour_min=Decimal(480),
        labour_cost_per_h=Decimal(35),
        solutions_cost=Decimal("6.40"),
        added_work=[CORRECTION],
    )
    assert (cost.film, cost.labour, cost.added_work) == (
        Decimal("277.92"),
        Decimal(280),
        Decimal(105),
    )
    assert cost.total == Decimal("669.32")


def test_a_negative_length_is_an_error():
    with pytest.raises(ValueError, match="negative"):
        computed_cost(
            film_length_m=Decimal(-1),
            film_cost_per_m=Decimal(1),
            labour_min=Decimal(1),
            labour_cost_per_h=Decimal(1),
            solutions_cost=Decimal(1),
            added_work=[],
        )


def test_the_margin_is_shown_in_money_and_percent():
    cost = Cost(
        film=Decimal(400),
        labour=Decimal(300),
        solutions=Decimal(0),
        added_work=Decimal(50),
    )
    made = margin(net=Decimal(1000), cost=cost)
    assert (made.amount, made.pct) == (Decimal(250), Decimal("25.0"))


def test_the_margin_of_a_free_job_is_the_cost_and_no_percent():
    cost = Cost(
        film=Decimal(10), labour=Decimal(0), solutions=Decimal(0), added_work=Decimal(0)
    )
    made = margin(net=Decimal(0), cost=cost)
    assert (made.amount, made.pct) == (Decimal(-10), Decimal(0))


def test_half_a_cent_is_rounded_up():
    assert rounded(Decimal("0.005")) == Decimal("0.01")


money = st.decimals(0, 9999, places=2)


@for_all(
    price=money,
    tax_pct=st.decimals(0, 30, places=1),
    work=st.lists(money, max_size=3),
)
def test_lines_always_add_up_to_the_total(price, tax_pct, work):
    made = quote(
        prices={PriceKey(item="full_front", size_class="C", film="film A"): price},
        added_work=[AddedWork(name="w", price=p, minutes=Decimal(0)) for p in work],
        tax_pct=tax_pct,
    )
    assert sum(line.amount for line in made.lines) == made.net
    assert made.net + made.tax == made.total
    assert made.total >= 0


@for_all(
    price=st.decimals(0, 99_999, places=2),
    tax_pct=st.decimals(0, 100, places=3),
    included=st.booleans(),
)
def test_net_and_tax_are_the_total_to_the_cent(price, tax_pct, included):
    made = estimate(
        prices={PriceKey(item="a", size_class="D", film="f"): price},
        items=["a"],
        size_class="D",
        film="f",
        added_work=[],
        tax_pct=tax_pct,
        tax_is_included=included,
    )
    assert made.net + made.tax == made.total
    assert made.tax >= 0
    assert (made.total if included else made.net) == price
    # The tax is that of the net, but for the cent that is rounded.
    assert abs(made.net * tax_pct / 100 - made.tax) <= Decimal("0.01")
