"""Payments with their receipts, expenses, and the hours spent on no skin."""

from collections.abc import Sequence

from costing.models import Payment, Sale
from costing.sell.expenses import services as expenses
from costing.sell.payments import services as payments
from inventory.errors import Refused
from workshop.transfer.files.sales import parties, refuse_other_number
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession


def saved_payment(row: Payment) -> Cells:
    return FILES["payments.csv"].cells(row, note=None if row.reverses else row.note)


def pay(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    (row,) = rows
    with session.writing(row):
        session.refuse_spoiled(row, "receipts.csv")
        if row["takes_back"]:
            taken: Payment = session.named(row, "takes_back")
            if row["amount"] != -taken.amount:
                raise Refused(
                    f"{taken.number} is of {taken.amount}; reversing it is that amount below zero.", field="amount"
                )
            payment = payments.reverse(payment=taken, on=row["date"], as_issued=_frozen(session, row, taken.sale))
        else:
            said = session.arguments(row)
            write = payments.refund if said["amount"] < 0 else payments.receive
            payment = write(**{**said, "amount": abs(said["amount"])}, as_issued=_frozen(session, row, said["sale"]))
        refuse_other_number(session, row, "receipt", payment.number)
        session.known["payments.csv"][payment.number] = payment


def _frozen(session: ImportSession, row: CsvRow, sale: Sale | None) -> payments.Frozen | None:
    """As its own row in receipts.csv says; of a folder from before there were any, as the sale that was paid says."""
    kept = session.waiting["receipts.csv"].get(row["receipt"])
    if kept is not None:
        return payments.Frozen(**parties(kept), **session.arguments(kept))
    return payments.Frozen(sale.seller, sale.buyer) if sale is not None else None


def spend(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    """Reversed in the same breath: nothing in between depends on a cost, and both keep their days."""
    (row,) = rows
    with session.writing(row):
        expense = expenses.spend(**session.arguments(row))
        if row["taken_back"]:
            expenses.reverse(expense=expense, on=row["taken_back"])


def write_hours(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    (row,) = rows
    with session.writing(row):
        made = expenses.spend_hours(**session.arguments(row))
        if row["taken_back"]:
            expenses.reverse_hours(row=made, on=row["taken_back"])
