"""What was paid on bills, opening balances, transfers, and the maker's kinds of cost with their headings."""

from collections.abc import Iterator, Mapping
from typing import Any

from costing.models import BillPayment, CostHeading, CostKind, Expense, OpeningBalance, Transfer
from costing.sell.accounts import services as accounts
from costing.sell.bills import services as bills
from costing.sell.expenses import services as expenses
from costing.sell.headings import services as headings
from inventory.errors import Refused
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

LATER = "expenses reversed after their bills"


def saved(deliveries: Mapping[int, int], costs: Mapping[int, str]) -> dict[str, Any]:
    """The rows by file; `deliveries` and `costs` are the numbers of what was saved, by posting and by cost (ids)."""
    return {
        "bill_payments.csv": _saved_payments(deliveries, costs),
        "accounts.csv": FILES["accounts.csv"].rows(OpeningBalance.objects.all(), "account"),
        "transfers.csv": FILES["transfers.csv"].rows(
            Transfer.objects.filter(reverses__isnull=True).select_related("reversed_by"), "on", "pk"
        ),
        "cost_headings.csv": FILES["cost_headings.csv"].rows(CostHeading.objects.all(), "position", "pk"),
        "cost_kinds.csv": FILES["cost_kinds.csv"].rows(CostKind.objects.select_related("heading"), "code"),
    }


def _saved_payments(deliveries: Mapping[int, int], costs: Mapping[int, str]) -> Iterator[Cells]:
    rows = BillPayment.objects.filter(reverses__isnull=True).select_related("delivery", "reversed_by").order_by("pk")
    for row in rows:
        said = (
            {"delivery": deliveries.get(row.delivery.posting_id)}
            if row.delivery
            else {"expense": int(costs[row.expense_id or 0])}
        )
        if said != {"delivery": None}:  # paid, reversed, and then the delivery was reversed too
            yield FILES["bill_payments.csv"].cells(row, **said)


def load_headings(session: ImportSession) -> None:
    """Before the costs: theirs are the kinds."""
    session.each("cost_headings.csv", headings.save_heading)
    session.each("cost_kinds.csv", headings.save_kind)


def load_accounts(session: ImportSession) -> None:
    """After goods and costs, whose bills were paid."""
    session.each("accounts.csv", accounts.open_account)
    for row in session.rows("transfers.csv"):
        with session.writing(row):
            moved = accounts.move(**session.arguments(row))
            if row["taken_back"]:
                accounts.reverse(transfer=moved, on=row["taken_back"])
    for row in session.rows("bill_payments.csv"):
        with session.writing(row):
            paid = bills.pay(**session.arguments(row), **_bill(session, row), over=True)
            if row["taken_back"]:
                bills.reverse(payment=paid, on=row["taken_back"])
    for name, row in session.waiting[LATER].items():
        with session.checking(row):
            expense: Expense = session.known["expenses.csv"][name]
            expenses.reverse(expense=expense, on=row["taken_back"])


def _bill(session: ImportSession, row: CsvRow) -> dict[str, Any]:
    if bool(row["delivery"]) == bool(row["expense"]):
        raise Refused("Name either the delivery or the cost that was paid.", field="delivery")
    column, file = ("delivery", "deliveries.csv") if row["delivery"] else ("expense", "expenses.csv")
    return {column: session.find(file, str(row[column]), column)}
