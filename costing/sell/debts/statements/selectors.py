"""The account of a customer: invoices, sales, credits, payments, deposits, fees they kept back, and what was written off."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from itertools import chain
from typing import Any

from django.db.models import Q, QuerySet, Sum

from costing.sell.customers.models import Customer
from costing.sell.debts.statements.rules import Item, Statement, statement
from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.expenses.models import Expense
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale
from inventory.money import ZERO

Entry = tuple[Sale | Payment | Expense | WriteOff, str, str, Decimal, tuple[str, str, str]]


def account(customer: Customer, first: date, last: date) -> Statement:
    """Their statement from a day to a day. A deposit counts from the day it came, before the work is billed. What was before is
    brought forward as a sum; its entries are not read."""
    return statement(_items(customer, (first, last)), first, last, _before(customer, first))


def _before(customer: Customer, first: date) -> Decimal:
    """What the entries before a day come to."""
    charged = _sum(_sold_to(customer), first, "gross")
    settled = _sum(_paid_by(customer), first, "amount") + _sum(_withheld_by(customer), first, "amount", "tax")
    return charged - settled - _sum(_written_off(customer), first, "amount")


def _sum(rows: QuerySet[Any], first: date, *columns: str) -> Decimal:
    found = rows.filter(on__lt=first).aggregate(**{column: Sum(column) for column in columns})
    return sum((value for value in found.values() if value is not None), ZERO)


def _sold_to(customer: Customer) -> QuerySet[Sale]:
    return Sale.objects.filter(customer=customer).order_by("pk")


def _paid_by(customer: Customer) -> QuerySet[Payment]:
    return Payment.objects.filter(Q(sale__customer=customer) | Q(job__customer=customer)).order_by("pk")


def _withheld_by(customer: Customer) -> QuerySet[Expense]:
    return Expense.objects.filter(sale__customer=customer, withheld=True).order_by("pk")


def _written_off(customer: Customer) -> QuerySet[WriteOff]:
    return WriteOff.objects.filter(sale__customer=customer).order_by("pk")


def _items(customer: Customer, within: tuple[date, date]) -> Iterator[Item]:
    for row, paper, what, amount, means in chain(
        _papers(_sold_to(customer).filter(on__range=within)),
        _payments(_paid_by(customer).filter(on__range=within)),
        _kept_back(_withheld_by(customer).filter(on__range=within)),
        _lost(_written_off(customer).filter(on__range=within)),
    ):
        if amount:
            yield Item(row.on, paper, what, amount, row.written_at, means)


def _papers(rows: QuerySet[Sale]) -> Iterator[Entry]:
    for sale in rows.select_related("credits"):
        what = f"{sale.get_kind_display()} for {sale.credits.number}" if sale.credits else sale.get_kind_display()
        yield sale, sale.number, what, sale.gross, (sale.kind, sale.credits.number if sale.credits else "", "")


def _payments(rows: QuerySet[Payment]) -> Iterator[Entry]:
    for row in rows.select_related("sale", "job"):
        name, key, of = "Deposit" if row.job else "Payment", "deposit" if row.job else "payment", row.sale or row.job
        if row.reverses_id:
            name, key = f"{name} reversed", f"{key}_reversed"
        elif row.amount < 0:
            name, key = f"{name} paid back", f"{key}_paid_back"
        what = f"{name} for {of}, {row.get_how_display().lower()}"
        yield row, row.number, what, -row.amount, (key, str(of), row.how)


def _kept_back(rows: QuerySet[Expense]) -> Iterator[Entry]:
    for row in rows.select_related("sale"):
        back, key = (" reversed", "fee_reversed") if row.reverses_id else ("", "fee")
        number, kind = row.sale.number if row.sale else "", row.get_kind_display()
        yield row, number, f"{kind} deducted before payout{back}", -row.amount, (key, kind, "")


def _lost(rows: QuerySet[WriteOff]) -> Iterator[Entry]:
    for row in rows.select_related("sale"):
        what, key = ("Write-off reversed", "loss_reversed") if row.reverses_id else ("Written off", "loss")
        yield row, row.sale.number, what, -row.amount, (key, "", "")
