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

Entry = tuple[Sale | Payment | Expense | WriteOff, str, str, Decimal]


def account(customer: Customer, first: date, last: date) -> Statement:
    """Their statement from a day to a day. A deposit counts from the day it came, before the work is billed."""
    return statement(_items(customer), first, last)


def _items(customer: Customer) -> Iterator[Item]:
    for row, paper, what, amount in chain(
        _papers(customer), _payments(customer), _kept_back(customer), _lost(customer)
    ):
        if amount:
            yield Item(row.on, paper, what, amount, row.written_at)


def _papers(customer: Customer) -> Iterator[Entry]:
    for sale in Sale.objects.filter(customer=customer).select_related("credits").order_by("pk"):
        what = f"{sale.get_kind_display()} for {sale.credits.number}" if sale.credits else sale.get_kind_display()
        yield sale, sale.number, what, sale.gross


def _payments(customer: Customer) -> Iterator[Entry]:
    rows = Payment.objects.filter(Q(sale__customer=customer) | Q(job__customer=customer))
    for row in rows.select_related("sale", "job").order_by("pk"):
        name = "Deposit" if row.job else "Payment"
        if row.reverses_id:
            name = f"{name} reversed"
        elif row.amount < 0:
            name = f"{name} paid back"
        yield row, row.number, f"{name} for {row.sale or row.job}, {row.get_how_display().lower()}", -row.amount


def _kept_back(customer: Customer) -> Iterator[Entry]:
    for row in Expense.objects.filter(sale__customer=customer, withheld=True).select_related("sale").order_by("pk"):
        back = " reversed" if row.reverses_id else ""
        number = row.sale.number if row.sale else ""
        yield row, number, f"{row.get_kind_display()} deducted before payout{back}", -row.amount


def _lost(customer: Customer) -> Iterator[Entry]:
    for row in WriteOff.objects.filter(sale__customer=customer).select_related("sale").order_by("pk"):
        yield row, row.sale.number, "Write-off reversed" if row.reverses_id else "Written off", -row.amount
