"""Tax on top of an amount and inside one: parts that add up, whichever way they are rounded."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings, strategies as st

from costing.sell.rounding.rules import Taxed, with_vat, without_vat
from inventory.errors import Refused


def test_tax_on_top_rounds_half_up_and_adds_up() -> None:
    assert with_vat(Decimal("0.10"), Decimal(25), 2) == Taxed(Decimal("0.10"), Decimal("0.03"), Decimal("0.13"))
    assert with_vat(Decimal("99.99"), Decimal(0), 2) == Taxed(Decimal("99.99"), Decimal("0.00"), Decimal("99.99"))


def test_an_amount_finer_than_the_smallest_coin_is_rounded_before_its_tax() -> None:
    assert with_vat(Decimal("10.005"), Decimal(0), 2) == Taxed(Decimal("10.01"), Decimal("0.00"), Decimal("10.01"))
    assert without_vat(Decimal("12.545"), Decimal("25.5"), 2) == Taxed(
        Decimal("10.00"), Decimal("2.55"), Decimal("12.55")
    )


def test_a_credit_mirrors_its_sale() -> None:
    sale, credit = with_vat(Decimal("0.10"), Decimal(25), 2), with_vat(Decimal("-0.10"), Decimal(25), 2)
    assert (credit.net, credit.vat, credit.gross) == (-sale.net, -sale.vat, -sale.gross)


@pytest.mark.parametrize("function", [with_vat, without_vat])
def test_a_negative_tax_rate_is_refused(function: object) -> None:
    assert callable(function)
    with pytest.raises(Refused, match="A tax rate of −1 % cannot be") as caught:
        function(Decimal(1), Decimal("-1"), 2)
    assert caught.value.field == "rate_percent"


@settings(max_examples=60, deadline=None)
@given(
    st.integers(-500_00, 2_000_00).map(lambda cents: Decimal(cents).scaleb(-2)),
    st.integers(0, 300).map(lambda tenths: Decimal(tenths).scaleb(-1)),
)
def test_tax_parts_always_add_up_both_ways(amount: Decimal, rate: Decimal) -> None:
    added, taken = with_vat(amount, rate, 2), without_vat(amount, rate, 2)
    assert added.net + added.vat == added.gross
    assert taken.net + taken.vat == taken.gross == amount
    assert without_vat(added.gross, rate, 2).net == amount
