"""Tips: income of their own, in no price, and without tax unless the maker says so."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from costing.make.cost.rates import services as rates
from costing.models import Expense, Fair, Sale, SaleLine
from costing.report.year import report as year_report, statements
from costing.report.year.profit import selectors as results
from costing.sell.expenses.services import Cost
from costing.sell.fairs import selectors as fairs_read, services as fairs
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels import services as channels
from costing.sell.sales import selectors as sales_read
from costing.sell.sales.offers.services import TIP_RELIEF, Item
from inventory.base.accounting import services as workshop
from tests import factories as make
from tests.factories import DAY
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal


def with_tip(tip: Item | None = None) -> Sale:
    """A piece at 100.00 and a tip of 15.00."""
    return make.sale(make.article("A1"), tip or Item("tip", D(15)), paid=[Paid()])


def tip_of(sale: Sale) -> SaleLine:
    return sale.lines.get(kind="tip")


def test_a_tip_is_income_and_no_part_of_the_price() -> None:
    alone = make.sale(make.article("A2"))
    sale = with_tip()
    assert (sale.gross, tip_of(sale).words) == (115, "Tip")
    one, other = (sales_read.stands(each, DAY).result for each in (sale, alone))
    assert one.taken == 100
    assert one.left == other.left
    assert one.per_hour == other.per_hour
    year = results.year(DAY.year)
    assert (year.turnover, year.tips, year.received) == (215, 15, 115)
    profits = next(table for table in statements.of(year, None) if table.name == "profits")
    lines = {row["line"]: row["value"] for row in profits.rows}
    assert (lines["Turnover after credits"], lines["Tips"]) == (200, 15)
    assert year_report.total(year_report.lines(DAY.year)).taken == 200


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("included", [True, False])
@pytest.mark.parametrize("relief", ["", "resale certificate 7"])
def test_a_tip_changes_nothing_of_the_piece_though_the_channel_keeps_its_part(*, included: bool, relief: str) -> None:
    make.registered(prices_with_tax=included)
    rates.set_rates(vat_percent=D("6.25"))
    card = channels.save(name="Card", fee_percent=D("2.5"), fixed_cost=D(0))
    buyer = make.customer("Lee", relief=relief)
    more = {"customer": buyer, "channel": card, "asked": 160, "spent": [Cost("fee")], "paid": [Paid()]}
    alone = make.sale(make.article("A1"), **more)
    sale = make.sale(make.article("A2"), make.item(None, 8), Item("tip", D(16)), **more)
    plain = make.sale(make.article("A3"), make.item(None, 8), **more)
    assert (tip_of(sale).tax, tip_of(sale).gross) == (0, 16)
    assert bool(sale.tax) is not bool(relief)
    with_tip, without = (sales_read.stands(each, DAY).result for each in (sale, plain))
    assert with_tip == without
    assert sale.gross - plain.gross == 16
    fees = [Expense.objects.get(sale=each).amount for each in (alone, plain, sale)]
    assert fees[2] - fees[1] == D("0.40")
    assert results.year(DAY.year).selling.fees == sum(fees)
    assert results.year(DAY.year).bridge.miss == 0


def test_a_tip_at_a_fair_is_taken_and_in_no_price() -> None:
    fair = fairs.plan(name="Autumn fair", on=DAY)
    make.sale(make.article("A1"), Item("tip", D(15)), fair=fair, paid=[Paid()])
    (day,) = fairs_read.days(Fair.objects.all()).values()
    assert day.takings == 115
    [line] = year_report.lines(DAY.year)
    assert (line.sold.taken, line.sold.fair) == (100, str(fair))


def test_a_tip_is_never_taxed_and_says_why() -> None:
    make.registered()
    rates.set_rates(vat_percent=D(25))
    sale = with_tip()
    line = tip_of(sale)
    assert (line.tax_percent, line.tax, line.relief) == (0, 0, TIP_RELIEF)
    assert (sale.gross, sale.tax) == (115, 20)


def test_a_tip_is_taxed_where_the_maker_says_so() -> None:
    make.registered()
    line = tip_of(with_tip(Item("tip", D(15), tax_percent=D(25))))
    assert (line.tax_percent, line.tax, line.relief) == (25, 3, "")


def test_a_sale_of_a_tip_alone_stands_for_no_piece() -> None:
    make.sale(Item("tip", D(15)), paid=[Paid()])
    assert year_report.lines(DAY.year) == []
    assert results.year(DAY.year).stock_profit == 15


def test_a_tip_is_entered_with_the_sale() -> None:
    workshop.pin_today(on=DAY)
    client = signed_in()
    make.sale(make.article("A0"))  # so that the seller has an address
    piece = make.article("A1")
    page = client.get(reverse("sale_new") + f"?piece={piece.number}")
    assert "tip_taxed" not in page.content.decode()
    said = {
        "line-0-thing": f"article:{piece.number}",
        "line-0-asked": "100",
        "line-0-quantity": "1",
        "kind": "sale",
        "on": str(DAY),
        "how": "cash",
        "tip": "15",
        "boxes": "1",
        "request_key": "k",
    }
    shown = text(client.post(reverse("sale_new"), said, follow=True))
    assert "115.00 €" in shown
    assert tip_of(Sale.objects.latest("pk")).gross == 15


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(("tick", "tax"), [({}, 0), ({"tip_taxed": "on"}, 3)])
def test_a_tip_entered_with_the_sale_is_taxed_only_where_that_is_ticked(tick: dict[str, str], tax: int) -> None:
    workshop.pin_today(on=DAY)
    make.registered()
    rates.set_rates(vat_percent=D(25))
    make.sale(make.article("A0"))  # so that the seller has an address
    make.article("A1")
    said = {"line-0-thing": "article:A1", "line-0-asked": "100", "kind": "sale", "on": str(DAY), "boxes": "1"}
    signed_in().post(reverse("sale_new"), {**said, "how": "cash", "tip": "15", "request_key": "k", **tick})
    sale = Sale.objects.latest("pk")
    line = tip_of(sale)
    assert (line.tax, line.relief, sale.tax) == (tax, "" if tax else TIP_RELIEF, 20 + tax)
