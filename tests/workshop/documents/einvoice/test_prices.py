"""A line's price without tax: quantity × price - allowance is the frozen net, whatever was sold at whatever rate."""

from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from costing.sell.rounding.rules import Level, Rounding, Way
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.tax.lines import lines_taxed
from inventory.money import half_up
from workshop.documents.einvoice.prices import priced

D = Decimal
QUANTITIES = st.decimals(min_value="0.001", max_value=1000, places=3)
PRICES = st.decimals(min_value=0, max_value=9999, places=2)
RATES = st.sampled_from([D("5.5"), D(6), D("8.1"), D(14), D(19), D("25.5"), D(100)])


@st.composite
def papers(draw: st.DrawFn) -> tuple[list[tax.PaperLine], Rounding]:
    with_tax, rate = draw(st.booleans()), draw(RATES)
    made = []
    for _ in range(draw(st.integers(1, 6))):
        quantity, price = draw(QUANTITIES), draw(PRICES)
        whole = quantity * price
        off = half_up(whole * draw(st.sampled_from([D(0), D(0), D("0.1"), D(1)])), 2)
        made.append(
            tax.PaperLine("thing", quantity, price, rate, with_tax, min(off, whole.quantize(D("0.01"), "ROUND_DOWN")))
        )
    level = draw(st.sampled_from(Level))
    way = draw(st.sampled_from([Way.HALF_UP, Way.HALF_DOWN, Way.THIRD]))
    return made, Rounding(level, way)


@given(papers())
def test_every_line_comes_to_its_frozen_net(paper: tuple[list[tax.PaperLine], Rounding]) -> None:
    lines, rounding = paper
    total = tax.summary(lines, tax.Mode.REGISTERED, 2, rounding)
    for line, amount in zip(lines, lines_taxed(lines, total), strict=True):
        price = tax.net_unit_price(line) if line.includes_tax else line.unit_price
        found = priced(line.quantity, price, amount.net, discounted=bool(line.discount))
        assert half_up(found.quantity * found.price, 2) - found.allowance == found.net == amount.net
        assert found.price >= 0
        assert found.allowance >= 0


@pytest.mark.parametrize("net", ["-0.01", "0.00", "0.01"])
def test_a_coin_that_a_last_credit_leaves_over_has_a_price_above_nothing(net: str) -> None:
    found = priced(D(1), D(0), D(net), discounted=False)
    assert found.quantity * found.price == D(net)
    assert found.price >= 0
