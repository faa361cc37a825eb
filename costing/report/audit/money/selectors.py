"""Money checked from its entries: bills against what was paid on them, and the cash book month by month."""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise

from costing.report.cashbook import rules, selectors as cashbook
from costing.sell.bills import selectors as bills
from costing.sell.bills.models import BillPayment
from inventory.base.selectors import coins
from inventory.money import ZERO


def findings() -> Iterator[str]:
    """Every difference, one sentence each; nothing when the books are clean."""
    yield from _bills()
    yield from _reversed()
    yield from _cash_book()


def _bills() -> Iterator[str]:
    """No more was ever paid on a bill than it came to before anything was taken off it, and nothing before it came."""
    for bill in bills.bills():
        most = max(bill.total(on) for on, _ in bill.incurred)
        for on in sorted({on for on, _ in bill.paid}):
            paid = sum((amount for when, amount in bill.paid if when <= on), ZERO)
            if not 0 <= paid <= most or on < bill.on:
                yield f"{bill.name} of {bill.on} came to {coins(most)}; {coins(paid)} is paid by {on}."
                break
        if not 0 <= abs(bill.net(date.max)) <= abs(bill.total(date.max)):
            yield f"{bill.name} of {bill.on}: more tax is deducted than it came to."


def _reversed() -> Iterator[str]:
    for row in BillPayment.objects.filter(reversed_by__isnull=False).select_related("reversed_by").order_by("pk"):
        back: BillPayment = row.reversed_by
        if (back.amount, back.delivery_id, back.expense_id) != (-row.amount, row.delivery_id, row.expense_id):
            yield f"Bill payment {back.pk} does not reverse exactly what {row.pk} wrote."


def _cash_book() -> Iterator[str]:
    """opening + in - out = closing in each month of each account; what one month closes with, the next opens with. What is carried
    into a year from sums is what all entries before it come to."""
    entries, openings = cashbook.entries(), cashbook.openings()
    days = [*(row.on for row in entries), *(row.on for row in openings.values())]
    years = range(min(days).year, max(days).year + 1) if days else ()
    eves = [date(year, 1, 1) - timedelta(days=1) for year in years]
    carried = {eve: cashbook.balances(eve) for eve in eves}
    for account in sorted({row.account for row in entries} | set(openings)):
        mine = [row for row in entries if row.account == account]
        months = [month for year in years for month in rules.months(account, mine, openings.get(account), year)]
        for eve in eves:
            if carried[eve].get(account) != (told := rules.balance(mine, openings.get(account), eve)):
                yield (
                    f"Cash book, {account or 'not said'}: {coins(carried[eve].get(account, ZERO))} is carried forward at the end of"
                    f" {eve}; its entries come to {coins(told)}."
                )
        for month in months:
            if month.opening + month.money_in - month.money_out != month.closing:
                yield f"Cash book, {account or 'not said'}, {month.first:%Y-%m}: opening, in and out do not make the closing."
        for month, after in pairwise(months):
            if month.closing != after.opening:
                yield (
                    f"Cash book, {account or 'not said'}: {month.first:%Y-%m} closes with {coins(month.closing)}; the next opens "
                    f"with {coins(after.opening)}."
                )
