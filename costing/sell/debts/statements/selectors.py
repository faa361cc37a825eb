"""The account of a customer: invoices, sales, credits, payments, deposits, fees they kept back, and what was written off."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from itertools import chain

from django.db.models import Q

from costing.sell.customers.models import Customer
from costing.sell.debts.statements.rules import Item, Statement, statement
from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.expenses.models import Expense
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale

Entry = tuple[Sale | Payment | Expense | WriteOff, str, str, Decimal, tuple[str, str, str]]


def account(customer: Customer, first: date, last: date) -> Statement:
    """Their statement from a day to a day. A deposit counts from the day it came, before the work is billed."""
    return statement(_items(customer), first, last)


def _items(customer: Customer) -> Iterator[Item]:
    for row, paper, what, amount, means in chain(
        _papers(customer), _payments(customer), _kept_back(customer), _lost(customer)
    ):
        if amount:
            yield Item(row.on, paper, what, amount, row.written_at, means)


def _papers(customer: Customer) -> Iterator[Entry]:
    for sale in Sale.objects.filter(customer=customer).select_related("credits").order_by("pk"):
        what = f"{sale.get_kind_display()} for {sale.credits.number}" if sale.credits else sale.get_kind_display()
        yield sale, sale.number, what, sale.gross, (sale.kind, sale.credits.number if sale.credits else "", "")


def _payments(customer: Customer) -> Iterator[Entry]:
    rows = Payment.objects.filter(Q(sale__customer=customer) | Q(job__customer=customer))
    for row in rows.select_related("sale", "job").order_by("pk"):
        name, key, of = "Deposit" if row.job else "Payment", "deposit" if row.job else "payment", row.sale or row.job
        if row.reverses_id:
            name, key = f"{name} reversed", f"{key}_reversed"
        elif row.amount < 0:
            name, key = f"{name} paid back", f"{key}_paid_back"
        what = f"{name} for {of}, {row.get_how_display().lower()}"
        yield row, row.number, what, -row.amount, (key, str(of), row.how)


def _kept_back(customer: Customer) -> Iterator[Entry]:
    for row in Expense.objects.filter(sale__customer=customer, withheld=True).select_related("sale").order_by("pk"):
        back, key = (" reversed", "fee_reversed") if row.reverses_id else ("", "fee")
        number, kind = row.sale.number if row.sale else "", row.get_kind_display()
        yield row, number, f"{kind} deducted before payout{back}", -row.amount, (key, kind, "")


def _lost(customer: Customer) -> Iterator[Entry]:
    for row in WriteOff.objects.filter(sale__customer=customer).select_related("sale").order_by("pk"):
        what, key = ("Write-off reversed", "loss_reversed") if row.reverses_id else ("Written off", "loss")
        yield row, row.sale.number, what, -row.amount, (key, "", "")
