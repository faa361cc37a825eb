"""The tax report of two invented makers: one registered in the EU who deducts tax, one in the US whose tax comes on top."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from costing.make.cost.rates import services as rates
from costing.models import Payment
from costing.report.audit import selectors as audit
from costing.report.tax import report as tax_report
from costing.report.tax.rules import beside, period, quarter_of
from costing.report.valuation import selectors as valuation
from costing.report.year.profit import selectors as profit
from costing.sell.expenses import services as expenses
from costing.sell.payments import services as payments
from costing.sell.sales.credits import services as credits
from inventory.base.accounting import services as workshop
from inventory.deliveries import services as deliveries
from inventory.deliveries.corrections import services as corrections
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.models import Kind
from inventory.skins import services as skins
from tests import factories
from workshop.management.commands.tax import Command
from workshop.reports import answers
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db
Shape = dict[str, Any]


def on(month: int, day: int) -> date:
    return date(2025, month, day)


def told(first: str, last: str = "") -> Shape:
    return answers.shape(tax_report.of(period(first, last)))


def amounts(rows: list[Shape]) -> list[tuple[str, ...]]:
    return [(row["rate"], row["reason"], row["net"], row["tax"], row["gross"]) for row in rows]


def european() -> None:
    """25.5 % and 14 %, prices with tax, tax deducted on alum and postage, an export, a credit note, a deposit."""
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1", deducts_tax=True)
    rates.set_rates(vat_percent=Decimal("25.5"))
    factories.registered(prices_with_tax=True, deposit_tax=True)
    alum = factories.material("ALUM")
    deliveries.record(
        supplier=factories.supplier(),
        on=on(1, 7),
        ref="P-1",
        lines=[factories.line(alum, 2, 2, "12.55")],
        carriage=Decimal("6.00"),
        tax_percent=Decimal("25.5"),
        with_tax=True,
        original_sum=Decimal("350.00"),
        original_currency="sek",
    )
    factories.skin("H01", date_in=on(1, 8), price="22.80", tax_percent=Decimal(14), with_tax=True)
    factories.skin("H02", date_in=on(1, 8), price="10.00")
    expenses.spend(
        kind="postage", amount=Decimal("12.55"), on=on(2, 3), words="parcel", tax_percent=Decimal("25.5"), with_tax=True
    )
    one, two, three = (factories.article(f"A{number}", on=on(1, 20), price=0) for number in (1, 2, 3))
    rug = factories.sale(one, asked="125.50", on=on(2, 1))
    factories.sale(factories.item(two, "57.00", tax_percent=Decimal(14)), on=on(2, 2))
    export = factories.item(three, "200.00", tax_percent=Decimal(0), relief="Export, art. 146")
    buyer = factories.customer("Lee", tax_number="US-1")
    factories.sale(export, on=on(3, 1), customer=buyer)
    credits.credit(sale=rug, on=on(3, 5), reason="returned")
    work = factories.job(price="251.00", on=on(2, 10))
    payments.receive(job=work, amount=Decimal("100.40"), on=on(2, 10))
    factories.sale(work, asked="251.00", on=on(4, 15), customer=work.customer)


def test_european_quarter_by_rate_and_reason() -> None:
    european()
    found = told("2025-Q1")
    assert (found["from"], found["to"], found["currency"]) == ("2025-01-01", "2025-03-31", "EUR")
    assert amounts(found["sales"]) == [
        ("25.5", "", "0.00", "0.00", "0.00"),
        ("14", "", "50.00", "7.00", "57.00"),
        ("0", "Export, art. 146", "200.00", "0.00", "200.00"),
        ("25.5", "deposit received", "80.00", "20.40", "100.40"),
    ]
    # 31.10 of goods and carriage and 12.55 of postage at 25.5 %; 22.80 of a skin at 14 %; another skin without.
    assert amounts(found["purchases"]) == [
        ("25.5", "", "34.78", "8.87", "43.65"),
        ("14", "", "20.00", "2.80", "22.80"),
        ("0", "no tax deducted", "10.00", "0.00", "10.00"),
    ]
    assert (found["collected"], found["deductible"], found["due"]) == ("27.40", "11.67", "15.73")
    [credit] = found["credits"]
    assert (credit["of"], credit["net"], credit["tax"]) == ("S-001", "-100.00", "-25.50")
    [exempt] = found["exempt"]
    assert (exempt["customer"], exempt["tax_number"], exempt["net"]) == ("Lee", "US-1", "200.00")


def test_tax_of_a_deposit_falls_due_once() -> None:
    european()
    paid = Payment.objects.get(job__isnull=False)
    assert paid.tax_percent == Decimal("25.5")
    later = told("2025-04", "2025-06")
    assert amounts(later["sales"]) == [
        ("25.5", "", "200.00", "51.00", "251.00"),
        ("25.5", "deposit billed", "-80.00", "-20.40", "-100.40"),
    ]
    assert Decimal(told("2025")["collected"]) == Decimal("7.00") + Decimal("51.00")  # each paper once
    bill = paid.job.sale_lines.get().sale  # type: ignore[union-attr]
    credits.credit(sale=bill, on=on(7, 1), reason="redone")
    assert amounts(told("2025-07")["sales"]) == [
        ("25.5", "", "-200.00", "-51.00", "-251.00"),
        ("25.5", "deposit billed", "80.00", "20.40", "100.40"),
    ]


def test_deposit_paid_back_takes_its_tax_back() -> None:
    factories.registered(deposit_tax=True)
    rates.set_rates(vat_percent=Decimal("25.5"))
    work = factories.job(price=200, on=on(2, 10), finished=False)
    payments.receive(job=work, amount=Decimal("100.40"), on=on(2, 10))
    rates.set_rates(since=on(3, 1), vat_percent=Decimal(14))
    factories.registered(deposit_tax=False)
    payments.refund(job=work, amount=Decimal("100.40"), on=on(3, 3))
    assert told("2025-02")["collected"] == "20.40"
    assert told("2025-03")["collected"] == "-20.40"


def test_profit_bridge_and_stock_stay_right_without_the_deducted_tax() -> None:
    european()
    assert audit.findings() == []
    year = profit.year(2025)
    assert year.stock.materials == Decimal("24.78")
    assert year.stock.skins == Decimal("30.00")
    assert year.selling.postage == Decimal("10.00")
    assert year.bridge.miss == year.unaccounted == 0
    assert valuation.at(on(12, 31)).total == Decimal("54.78")


def test_withheld_fee_with_tax_settles_what_the_payer_kept() -> None:
    european()
    sold = factories.sale(factories.article("A9", on=on(5, 1), price=0), asked="125.50", on=on(5, 2))
    tax = {"tax_percent": Decimal("25.5"), "with_tax": True}
    fee = expenses.spend(kind="fee", amount=Decimal("12.55"), on=on(5, 2), sale=sold, withheld=True, **tax)  # type: ignore[arg-type]
    assert (fee.amount, fee.tax, fee.paid) == (Decimal("10.00"), Decimal("2.55"), Decimal("12.55"))
    payments.receive(sale=sold, amount=Decimal("112.95"), on=on(5, 2))
    year = profit.year(2025)
    assert year.bridge.miss == 0


@pytest.mark.thorough
def test_reversed_and_corrected_purchases_give_their_tax_back_on_their_day() -> None:
    european()
    alum = factories.material("SALT")
    record = {
        "supplier": factories.supplier(),
        "tax_percent": Decimal(10),
        "lines": [factories.line(alum, 1, 2, "20.00")],
    }
    twice = deliveries.record(on=on(8, 1), ref="P-2", **record)  # type: ignore[arg-type]
    ledger.reverse(posting=twice.posting, on=on(9, 1), reason="twice")
    wrong = deliveries.record(on=on(8, 2), ref="P-3", **record)  # type: ignore[arg-type]
    assert told("2025-08")["deductible"] == "4.00"
    factories.take(alum, 1, on(8, 20), Kind.SPOILED)
    undone = corrections.correct(delivery=wrong, on=on(9, 2), reason="never came")
    assert told("2025-09")["deductible"] == "-4.00"
    ledger.reverse(posting=undone, on=on(10, 1), reason="it came")
    assert told("2025-10")["deductible"] == "2.00"
    cost = expenses.spend(kind="overhead", amount=Decimal(100), on=on(11, 1), tax_percent=Decimal("25.5"))
    expenses.reverse(expense=cost, on=on(12, 1))
    assert told("2025-12")["deductible"] == "-25.50"
    assert audit.findings() == []


def test_american_tax_comes_on_top_and_nothing_is_deducted() -> None:
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1", currency="USD")
    rates.set_rates(vat_percent=Decimal("6.25"))
    factories.registered(prices_with_tax=False, tax_way="third")
    factories.delivery(factories.line(factories.material("ALUM"), 1, 2, "20.00"), on=on(1, 7))
    pieces = [factories.article(f"A{number}", on=on(1, 20), price=0) for number in range(4)]
    factories.sale(pieces[0], asked="19.99", on=on(2, 1))  # 1.249375, kept as 1.249
    reseller = factories.item(pieces[1], "80.00", tax_percent=Decimal(0), relief="resale certificate 12-345")
    factories.sale(reseller, on=on(2, 2), customer=factories.customer("Dana"))
    away = factories.item(pieces[2], "60.00", tax_percent=Decimal(0), relief="out of state")
    factories.sale(away, on=on(2, 3), customer=factories.customer("Eve"))
    found = told("2025-02-01", "2025-02-28")
    assert amounts(found["sales"]) == [
        ("6.25", "", "19.99", "1.25", "21.24"),
        ("0", "resale certificate 12-345", "80.00", "0.00", "80.00"),
        ("0", "out of state", "60.00", "0.00", "60.00"),
    ]
    assert (found["collected"], found["deductible"], found["due"]) == ("1.25", "0.00", "1.25")
    assert found["purchases"] == []
    assert {row["customer"] for row in found["exempt"]} == {"Dana", "Eve"}
    assert valuation.at(on(2, 28)).consumables == Decimal("20.00")


def test_issued_paper_keeps_its_rounding_when_the_terms_change() -> None:
    factories.registered(prices_with_tax=False, tax_level="line")
    rates.set_rates(vat_percent=Decimal("25.5"))
    items = [factories.item(None, "0.99") for _ in range(3)]
    old = factories.sale(*items, on=on(2, 1))
    factories.registered(prices_with_tax=False)
    new = factories.sale(*items, on=on(2, 2))
    assert (old.tax, new.tax) == (Decimal("0.75"), Decimal("0.76"))
    back = credits.credit(sale=old, on=on(2, 3), reason="returned")
    assert (back.tax, back.rounding) == (-old.tax, old.rounding)
    assert audit.findings() == []


@pytest.mark.parametrize(("level", "with_tax"), [("line", False), ("rate", True)])
def test_rounding_down_is_for_the_total_of_prices_without_tax(level: str, with_tax: bool) -> None:
    with pytest.raises(Refused, match="only on the total of a rate") as refusal:
        factories.registered(tax_way="down", tax_level=level, prices_with_tax=with_tax)
    assert refusal.value.field == "tax_way"


@pytest.mark.thorough
@pytest.mark.slow
def test_save_and_load_keep_the_report(tmp_path: Path) -> None:
    european()
    was, folder = told("2025"), tmp_path / "saved"
    save(folder)
    again = tmp_path / "again"
    _emptied()
    load(folder)
    assert told("2025") == was
    assert audit.findings() == []
    save(again)
    # The manifest names the chain, and these books have one of their own.
    assert {file.name: file.read_text() for file in folder.glob("*.csv")} == {
        file.name: file.read_text() for file in again.glob("*.csv")
    }


def _emptied() -> None:
    from django.apps import apps
    from django.db import connection

    with connection.constraint_checks_disabled(), connection.cursor() as cursor:
        for app in ("costing", "inventory"):
            for model in apps.get_app_config(app).get_models(include_auto_created=True):
                cursor.execute(f'DELETE FROM "{model._meta.db_table}"')


def test_period_is_typed_in_any_way_and_never_backwards() -> None:
    assert str(period("2024-02")) == "2024-02-01 to 2024-02-29"
    assert str(period("2025-q3", "2025-10-05")) == "2025-07-01 to 2025-10-05"
    with pytest.raises(Refused, match="runs backwards: 2025-03-01 is after 2025-02-28"):
        period("2025-03", "2025-02")
    for words in ("2025-13", "2025-Q5", "March", "2025-02-30", "0000"):
        with pytest.raises(Refused, match="no day, month or quarter"):
            period(words)
    assert str(quarter_of(on(5, 9))) == "2025-04-01 to 2025-06-30"
    before, after = beside(period("2025-01-10", "2025-01-19"))
    assert (str(before), str(after)) == ("2024-12-31 to 2025-01-09", "2025-01-20 to 2025-01-29")
    assert beside(period("9999"))[1] is None


def test_command_answers_in_words_and_files(tmp_path: Path) -> None:
    european()
    out = StringIO()
    call_command(Command(), "2025-01-01", "2025-03-31", "--json", stdout=out)
    assert json.loads(out.getvalue()) == told("2025-Q1")
    paths = {name: str(tmp_path / f"tax.{name}") for name in ("csv", "xlsx", "pdf")}
    said = StringIO()
    call_command(
        Command(), "2025", *(part for name, path in paths.items() for part in (f"--{name}", path)), stdout=said
    )
    assert "Tax on sales 58.00, deducted 11.67, due 46.33 EUR." in said.getvalue()
    assert (tmp_path / "tax.csv").read_text().splitlines()[0] == "rate,reason,net,tax,gross"
    assert (tmp_path / "tax.pdf").read_bytes().startswith(b"%PDF")
    with pytest.raises(CommandError, match="runs backwards"):
        call_command(Command(), "2025-04", "2025-03")


def test_foreign_sum_needs_a_currency_of_its_own() -> None:
    for currency, says in (
        ("", "both the sum and its currency"),
        ("EUR", "kept in EUR already"),
        ("XXQ", "not a currency"),
    ):
        with pytest.raises(Refused, match=says) as refusal:
            factories.skin("H01", original_sum=Decimal(10), original_currency=currency)
        assert refusal.value.field == "original_currency"
    kept = factories.skin("H01", price="9.20", original_sum=Decimal(10), original_currency="usd")
    assert kept.original_currency == "USD"
    with pytest.raises(Refused, match="more than 0 decimals"):
        factories.skin("H02", original_sum=Decimal("10.5"), original_currency="JPY")
    assert skins.Skin.objects.count() == 1
