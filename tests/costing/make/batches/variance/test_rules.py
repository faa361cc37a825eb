"""Where a batch differs from its recipe."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.batches.variance.rules import NONE, Variance, variance
from costing.make.errors import NotAbove
from inventory.money import half_up
from tests.properties import FURTHER

D = Decimal
FEWER = settings(max_examples=40 * FURTHER)
AMOUNTS = st.integers(0, 10**6).map(lambda steps: Fraction(steps, 1000))


@FEWER
@given(AMOUNTS, AMOUNTS, AMOUNTS, AMOUNTS)
def test_price_and_usage_explain_the_whole_difference(
    planned: Fraction, price: Fraction, used: Fraction, cost: Fraction
) -> None:
    found = variance(planned=planned, price=price, used=used, cost=cost)
    assert found.total == cost - planned * price
    assert found.price == cost - used * price


@FEWER
@given(AMOUNTS, AMOUNTS)
def test_a_batch_that_follows_its_recipe_has_no_variance(planned: Fraction, price: Fraction) -> None:
    assert variance(planned=planned, price=price, used=planned, cost=planned * price) == NONE


def test_a_material_that_the_recipe_does_not_name_is_all_usage_at_its_standard_price() -> None:
    found = variance(planned=0, price=D("2.00"), used=3, cost=D("6.30"))
    assert (found.price, found.usage) == (Fraction("0.30"), Fraction(6))


def test_a_material_left_out_saves_its_standard_cost() -> None:
    found = variance(planned=3, price=D("2.00"), used=0, cost=0)
    assert (found.price, found.usage) == (0, -6)


def test_lines_of_a_batch_add_up() -> None:
    lines = [Variance(Fraction(1, 3), Fraction(-1)), Variance(Fraction(2, 3), Fraction(1, 2))]
    assert sum(lines, NONE) == Variance(Fraction(1), Fraction(-1, 2))


def test_the_alum_of_the_first_bath_cost_what_the_shelf_held_it_at() -> None:
    """Recipe R1: 18 L at 80 g; the shelf held alum at 6.5577 a kg on that day, the standard is 5.80 (11.60 for 2 kg)."""
    found = variance(planned=D("1.440"), price=D("5.80"), used=D("1.440"), cost=D("9.44"))
    assert [half_up(each, 2) for each in (found.price, found.usage, found.total)] == [D("1.09"), D("0.00"), D("1.09")]


@pytest.mark.parametrize(("planned", "price", "used"), [(-1, 1, 1), (1, -1, 1), (1, 1, -1)])
def test_nothing_is_used_or_priced_below_nought(planned: int, price: int, used: int) -> None:
    with pytest.raises(NotAbove, match="cannot be below zero"):
        variance(planned=planned, price=price, used=used, cost=1)
