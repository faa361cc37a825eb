"""Selling as one run: what was sold, credited, paid and spent, hours at no skin, and moves, in one order over their files.

Saved, every entry is numbered in the order it was written. What carries a number is kept even where it was reversed, because
the numbers have no gap; costs and hours keep the day they were reversed. Only moves that were reversed are left out.

Loaded without `seq` the order is by day; on one day moves, deposits, sales and credits, payments, costs, hours, then file row.
A payment or cost of a sale never comes before it. With `seq` entries are written in the order of its numbers. Either way each
paper and receipt must get the number that its row names, because the series are kept without a gap.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Any

from costing.models import Expense, Payment, Sale, SideHours, WriteOff
from costing.sell.customers import services as customers
from costing.sell.debts.reminders import services as reminders
from costing.sell.debts.write_offs import services as write_offs
from costing.sell.expenses import services as expenses
from costing.sell.fairs import services as fairs
from costing.sell.payments import services as payments
from inventory.errors import Refused
from inventory.models import Article, Move, Skin
from workshop.transfer.files.accounts import LATER
from workshop.transfer.files.masters import load_debtors, load_pack_lists, write_job
from workshop.transfer.files.moves import SavedMoves, write_move
from workshop.transfer.files.sales import (
    complain_of_left_over,
    gathered,
    parties,
    refuse_other_number,
    saved_sale,
    write_sale,
)
from workshop.transfer.format.album import BILLS
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.events import Event, Run, SavedEntry, in_order
from workshop.transfer.format.problems import Problem
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

SELLING = ("sales.csv", "payments.csv", "write_offs.csv", "expenses.csv", "hours.csv", "moves.csv")


class SavedSelling:
    """The rows by file, and the moves, which know where each thing was before."""

    def __init__(self) -> None:
        self.files: dict[str, list[Cells]] = {file: [] for file in SELLING}
        moved = Move.objects.filter(reversed_at__isnull=True).select_related(
            "article__place", "skin__place", "material__place", "origin", "to"
        )
        self.moves = SavedMoves(_steady(moved.order_by("pk")))
        self._sold: dict[int, datetime] = {}
        self.costs: dict[int, str] = {}
        entries = [*self._sales(), *self._others(), *self.moves.entries]
        for number, entry in enumerate(sorted(entries, key=_order), start=1):
            self.files[entry.file] += [{**row, "seq": str(number)} for row in entry.rows]
            if entry.file == "expenses.csv":
                self.costs[entry.pk] = str(number)

    def _sales(self) -> Iterator[SavedEntry]:
        returned = {
            (move.note, move.on): move.to.name if move.to else ""
            for move in Move.objects.filter(why=Move.Why.RETURNED).select_related("to").order_by("pk")
        }
        rows = (
            Sale.objects.exclude(kind=Sale.Kind.OPENING)
            .select_related("customer", "channel", "fair", "credits")
            .prefetch_related("lines__article", "lines__job", "lines__skin", "lines__of_line")
        )
        for sale, written in _steady(rows.order_by("pk")):
            self._sold[sale.pk] = written
            back_to = returned.get((sale.number, sale.on), "")
            yield SavedEntry("sales.csv", written, saved_sale(sale, back_to), sale.pk)

    def _others(self) -> Iterator[SavedEntry]:
        """Payments and expenses: not before the sale they are for, whatever the clock said."""
        paid = Payment.objects.select_related("sale", "job", "reverses")
        costs = Expense.objects.filter(reverses__isnull=True).select_related("sale", "fair", "reversed_by")
        unsold = SideHours.objects.filter(reverses__isnull=True).select_related("reversed_by")
        lost = WriteOff.objects.filter(reverses__isnull=True).select_related("sale", "reversed_by")
        entries = (
            *(("payments.csv", paid), ("write_offs.csv", lost)),
            *(("expenses.csv", costs), ("hours.csv", unsold)),
        )
        for file, rows in entries:
            for row, written in _steady(rows.order_by("pk")):
                sale = getattr(row, "sale", None)
                moment = max(written, self._sold.get(sale.pk, written)) if sale else written
                said = {"note": None} if row.reverses else {}
                yield SavedEntry(file, moment, [FILES[file].cells(row, **said)], row.pk)


def _order(entry: SavedEntry) -> tuple[datetime, int, int]:
    return entry.written, SELLING.index(entry.file), entry.pk


def _steady(rows: Iterable[Any]) -> Iterator[tuple[Any, datetime]]:
    """Each row with the moment it was written, never before the row before it: a clock may have been put back."""
    last: datetime | None = None
    for row in rows:
        last = max(last, row.written_at) if last else row.written_at
        yield row, last


def load_selling(session: ImportSession) -> None:
    """After the pieces are made: a job is ready when its skin is finished."""
    session.known["articles.csv"] = {article.number: article for article in Article.objects.all()}
    session.known["skins.csv"] = {skin.tag: skin for skin in Skin.objects.all()}
    session.each("customers.csv", customers.write)
    load_debtors(session)
    session.each("jobs.csv", write_job)
    session.each("fairs.csv", fairs.plan)
    for file in ("papers.csv", "receipts.csv"):  # what they say waits for its sale or payment
        session.waiting[file] = {row.name: row for row in session.once(file, "{} already.")}
    run = Run("selling", SELLING, _entry)
    by_number = run.numbered(session, [row for file in SELLING for row in session.rows(file)])
    if by_number is None:
        return
    run.write(session, in_order(_events(session), by_number=by_number))
    session.each("reminders.csv", reminders.remind)
    complain_of_left_over(session)
    load_pack_lists(session)


def _entry(row: CsvRow) -> tuple[object, ...]:
    return row.file.name, row["sale"] if row.file.name == "sales.csv" else row.number


def _events(session: ImportSession) -> Iterator[Event]:
    sales = gathered(session)
    sold = {number: rows[0]["date"] for number, rows in sales.items()}
    paid = {row["receipt"]: row["date"] for row in session.rows("payments.csv")}

    def day(row: CsvRow) -> date:
        """Not before what it speaks of: where its own day is earlier, the service says what is wrong with that, if anything."""
        on: date = row["date"]
        after: date = sold.get(row["sale"], on)
        taken: date = paid.get(row.values.get("takes_back", ""), on)
        return max(on, after, taken)

    yield from (Event(row["date"], 0, (row,), write_move) for row in session.rows("moves.csv"))
    for row in session.rows("payments.csv"):
        deposit = row["job"] and row["amount"] > 0
        yield Event(day(row), 4 if row["takes_back"] else 1 if deposit else 3, (row,), pay)
    for rows in sales.values():
        on: date = rows[0]["date"]
        yield Event(max(on, sold.get(rows[0]["credits"], on)), 2, tuple(rows), write_sale)
    yield from (Event(day(row), 5, (row,), write_off) for row in session.rows("write_offs.csv"))
    yield from (Event(day(row), 5, (row,), spend) for row in session.rows("expenses.csv"))
    yield from (Event(row["date"], 6, (row,), write_hours) for row in session.rows("hours.csv"))


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
    """Reversed in the same breath, unless bills were paid in between: nothing else depends on a cost, and both keep their days."""
    (row,) = rows
    with session.writing(row):
        expense = expenses.spend(**session.arguments(row), bill=session.bill(row))
        session.keep_bill(expense.bill)
        name = str(row["seq"] or row.number)
        session.known["expenses.csv"][name] = expense
        if row["taken_back"] and row["due_on"]:
            session.waiting[LATER][name] = row
        elif row["taken_back"]:
            expenses.reverse(expense=expense, on=row["taken_back"])


def write_off(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    (row,) = rows
    with session.writing(row):
        made = write_offs.write_off(**session.arguments(row))
        if row["taken_back"]:
            write_offs.reverse(write_off=made, on=row["taken_back"])


def write_hours(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    (row,) = rows
    with session.writing(row):
        made = expenses.spend_hours(**session.arguments(row))
        if row["taken_back"]:
            expenses.reverse_hours(row=made, on=row["taken_back"])


def complain_of_bills(session: ImportSession) -> None:
    """Bills that lie there and that no row names; judged once everything is read, for they are of two files."""
    if session.bills is None or any(problem.file in BILLS.files for problem in session.problems):
        return
    named = {row["bill"] for file in BILLS.files for row in session.rows(file)}
    words = "No row of deliveries.csv or expenses.csv names this file. Name it there, or take it out."
    session.problems += [Problem(f"{BILLS.name}/{name}", words) for name in session.bills.unnamed(named)]
