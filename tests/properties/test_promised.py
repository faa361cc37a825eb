"""What the price page promises is what the paper of a sale of that one piece says: net, tax, gross and the channel's fee."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import assume, example, given, settings, strategies as st

from costing.make.cost.rates import services as rates
from costing.models import Expense
from costing.sell.expenses.services import Cost
from costing.sell.pricing import selectors as prices
from costing.sell.pricing.channels import services as channels
from costing.sell.pricing.rules import Channel, Footing, fee, meaning, typed
from costing.sell.rounding.rules import Level, Rounding, Way
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.tax.lines import lines_taxed
from costing.sell.sales.tax.rules import Mode, PaperLine
from tests import factories

D = Decimal
ROUNDINGS = [Rounding(level, way) for level, way in product(Level, Way)]
# Down is for the total of a rate of prices without tax in them.
ALLOWED = [
    (rounding, included)
    for rounding in ROUNDINGS
    for included in (True, False)
    if rounding.way is not Way.DOWN or (not included and rounding.level is Level.RATE)
]


@settings(max_examples=300)
@given(
    cents=st.integers(0, 10**7),
    percent=st.decimals(0, 30, places=3),
    included=st.booleans(),
    rounding=st.sampled_from(ROUNDINGS),
    fee_percent=st.decimals(0, 60, places=2),
    fixed=st.integers(0, 500),
    resells=st.booleans(),
    places=st.sampled_from([0, 2, 3]),
)
@example(1999, D("6.25"), False, ROUNDINGS[3], D("2.6"), 10, False, 2)
@example(99, D("5.5"), False, ROUNDINGS[7], D(0), 0, True, 2)
def test_a_paper_of_one_line_is_what_the_price_promised(
    cents: int,
    percent: Decimal,
    included: bool,
    rounding: Rounding,
    fee_percent: Decimal,
    fixed: int,
    resells: bool,
    places: int,
) -> None:
    price = D(cents).scaleb(-places)
    where = Channel("stall", fee_percent, fee_fixed=D(fixed).scaleb(-places), resells=resells)
    promised = meaning(price, Footing(percent, included, rounding), where, places)
    line = PaperLine("rug", D(1), price, percent, includes_tax=included)
    paper = tax.summary([line], Mode.REGISTERED, places, rounding)
    [printed] = lines_taxed([line], paper, places)
    assert (printed.net, printed.vat, printed.gross) == (paper.net, paper.tax, paper.gross)
    assert (promised.net, promised.tax, promised.pays) == (paper.net, paper.tax, paper.gross)
    assert promised.fee == fee(paper.net, paper.gross, where, places)
    assert promised.pays == promised.kept + promised.fee + promised.tax


@given(cents=st.integers(0, 10**6), percent=st.decimals(0, 30, places=3), rounding=st.sampled_from(ROUNDINGS))
def test_a_floor_is_typed_so_that_it_is_left(cents: int, percent: Decimal, rounding: Rounding) -> None:
    """With the tax in prices; rounding always down is not for them."""
    assume(rounding.way is not Way.DOWN)
    footing, net = Footing(percent, True, rounding), D(cents).scaleb(-2)
    assert meaning(typed(net, footing, 2), footing, Channel("by hand"), 2).net == net


@pytest.mark.thorough(but=3)
@pytest.mark.django_db
@pytest.mark.parametrize(("rounding", "included"), ALLOWED, ids=str)
def test_the_sale_keeps_what_its_page_promised(rounding: Rounding, included: bool) -> None:
    """At prices whose tax falls between two coins."""
    rates.set_rates(vat_percent=D("6.25"))
    factories.registered(prices_with_tax=included, tax_level=rounding.level, tax_way=rounding.way)
    where = channels.save(name="Stall", fee_percent=D("2.6"), fixed_cost=D(0), fee_fixed=D("0.10"))
    for number, price in (("A1", "19.99"), ("A2", "0.08"), ("A3", "42.50"), ("A4", "17.00")):
        piece = factories.article(number, list_price=D(price))
        promised = prices.find(number, prices.plain(where)).at_list
        sold = factories.sale(piece, asked=price, channel=where, spent=[Cost("fee")])
        kept_back = Expense.objects.get(sale=sold)
        assert promised is not None
        said = (promised.net, promised.tax, promised.pays, promised.fee)
        assert said == (sold.net, sold.tax, sold.gross, kept_back.amount)
