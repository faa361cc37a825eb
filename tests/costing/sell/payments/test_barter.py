"""Barter: income and what came in for it at one agreed value, and no money."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from costing.make.cost.rates import services as rates
from costing.models import Expense, Payment, Sale
from costing.report.audit import selectors as audit
from costing.report.cashbook import selectors as cashbook
from costing.report.tax import report as tax_report
from costing.report.tax.rules import period
from costing.report.year.profit import selectors as results
from costing.sell.bills import selectors as bills
from costing.sell.payments import selectors as money
from costing.sell.payments.barter import services as barter
from costing.sell.payments.barter.services import Goods
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from inventory.models import Delivery
from tests import factories as make
from tests.factories import DAY, item
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal


def owed(price: int = 100) -> Sale:
    return make.sale(item(None, price), customer=make.customer())


def trade(sale: Sale, **more: Any) -> Payment:
    return barter.trade(**{"sale": sale, "amount": D(100), "on": DAY, "words": "photos", **more})


def test_services_got_for_a_piece_are_income_and_cost_at_one_value() -> None:
    bill = owed()
    paid = trade(bill, kind="overhead")
    assert (paid.how, paid.amount, paid.note) == ("barter", 100, "for photos")
    cost = Expense.objects.get()
    assert (cost.kind, cost.amount, cost.words, cost.sale) == ("overhead", 100, "Barter, INV-001: photos", None)
    year = results.year(DAY.year)
    assert (year.turnover, year.received, year.overheads.spent) == (100, 100, 100)
    assert (year.stock_profit, year.cash_profit, year.bridge.miss) == (0, 0, 0)
    assert money.balance(bill, DAY).left == 0


def test_goods_got_for_a_piece_stand_on_the_shelf_at_the_agreed_value() -> None:
    bill, alum = owed(), make.material()
    trade(bill, goods=Goods(alum, D(4), "kg"), words="alum")
    alum.refresh_from_db()
    assert (alum.on_hand, alum.value) == (4000, 100)
    delivery = Delivery.objects.get()
    assert (delivery.supplier.name, delivery.ref) == ("Ann Hill", "barter R-001")
    year = results.year(DAY.year)
    assert (year.stock.materials, year.stock_profit, year.cash_profit, year.bridge.stock) == (100, 100, 0, 100)


def test_a_barter_moves_no_money_is_never_due_and_stands_on_both_sides_of_the_tax_report() -> None:
    rates.set_rates(vat_percent=D("25.5"))
    make.registered()
    workshop.set_up(deducts_tax=True)
    bill = make.sale(item(None, "251.00"), customer=make.customer())
    trade(bill, amount=D("125.50"), kind="overhead", tax_percent=D("25.5"))
    trade(bill, amount=D("125.50"), goods=Goods(make.material(), D(4), "kg"), words="alum", tax_percent=D("25.5"))
    skin = make.skin("H1", price="12.55", tax_percent=D("25.5"), with_tax=True, how="barter")
    make.work(DAY, 30, tags=["H1"], who="Lee", paid=D(4), how="barter")
    assert (Expense.objects.get().amount, Delivery.objects.get().lines.get().tax, skin.price) == (100, D("25.50"), 10)
    assert cashbook.entries() == []
    assert bills.payables(DAY).open == []
    told = tax_report.of(period(f"{DAY:%Y-%m}")).values("")
    assert (told["collected"], told["deductible"]) == (D("51.00"), D("53.55"))
    year = results.year(DAY.year)
    assert (year.received, year.paid[0].materials, year.paid[2], year.bridge.miss) == (200, 100, 100, 0)
    assert audit.findings() == []


def test_tax_of_skins_is_entered_with_the_skins() -> None:
    with pytest.raises(Refused, match="Enter the tax with the skins"):
        trade(owed(), kind=barter.SKINS, tax_percent=D(14))


def test_skins_are_left_to_the_maker_to_add() -> None:
    trade(owed(), kind=barter.SKINS, words="two hides")
    assert not Expense.objects.exists()


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({"kind": "overhead", "amount": D(101)}, r"100\.00 is the balance due"),
        ({"kind": "overhead", "words": ""}, "What you got is missing"),
        ({}, "Say what came in"),
        ({"kind": "bribe"}, "not a known kind of cost"),
    ],
)
def test_half_a_barter_is_never_written(given: dict[str, Any], match: str) -> None:
    bill = owed()
    with pytest.raises(Refused, match=match):
        trade(bill, **given)
    assert not Payment.objects.exists()
    assert not Expense.objects.exists()


def test_a_key_trades_once_and_a_helper_may_not() -> None:
    bill = owed()
    assert trade(bill, kind="overhead", request_key="k") == trade(bill, kind="overhead", request_key="k")
    with pytest.raises(NotAllowed):
        trade(owed(), kind="overhead", by=make.person("helper"))


def test_both_sides_by_the_page() -> None:
    workshop.pin_today(on=DAY)
    client = signed_in()
    bill, alum = owed(), make.material()
    address = reverse("sale_barter", args=[bill.number])
    said = {"amount": "100", "on": str(DAY), "words": "alum", "kind": "goods", "request_key": "k"}
    assert "Choose the material." in text(client.post(address, said))
    shown = text(client.post(address, {**said, "material": alum.pk, "quantity": "4", "unit": "kg"}, follow=True))
    assert "R-001: 100.00 € by barter." in shown
    alum.refresh_from_db()
    assert alum.value == 100
    assert "Tax in it" not in client.get(address).content.decode()
    workshop.set_up(deducts_tax=True)
    assert "Tax in it" in client.get(address).content.decode()


def test_no_form_where_money_moves_offers_a_barter() -> None:
    client = signed_in()
    bill = owed()
    shown = client.get(reverse("payment_new") + f"?sale={bill.number}").content.decode()
    assert 'value="cash"' in shown
    assert 'value="barter"' not in shown
