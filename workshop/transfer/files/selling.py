"""Selling as one run: what was sold, credited, paid and spent, hours at no skin, and moves, in one order over their files.

Saved, every entry is numbered in the order it was written. What carries a number is kept even where it was reversed, because
the numbers have no gap; costs and hours keep the day they were reversed. Only moves that were reversed are left out.

Loaded without `seq` the order is by day; on one day moves, deposits, sales and credits, payments, costs, hours, then file row.
A payment or cost of a sale never comes before it. With `seq` entries are written in the order of its numbers. Either way each
paper and receipt must get the number that its row names, because the series are kept without a gap.
"""

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import Any

from costing.models import Expense, Payment, Sale, SideHours
from costing.sell.customers import services as customers
from costing.sell.fairs import services as fairs
from inventory.models import Article, Move, Skin
from workshop.transfer.files.jobs import load_pack_lists, write_job
from workshop.transfer.files.money import pay, saved_payment, spend, write_hours
from workshop.transfer.files.moves import SavedMoves, write_move
from workshop.transfer.files.sales import complain_of_left_over, gathered, saved_sale, write_sale
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.events import Event, Run, SavedEntry, in_order
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

SELLING = ("sales.csv", "payments.csv", "expenses.csv", "hours.csv", "moves.csv")


class SavedSelling:
    """The rows by file; the moves, which know where each thing was before; how many moves were left out."""

    def __init__(self) -> None:
        self.files: dict[str, list[Cells]] = {file: [] for file in SELLING}
        self.reversed_moves = Move.objects.filter(reversed_at__isnull=False).count()
        self.moves = SavedMoves(_steady(_all_moves()))
        self._sold: dict[int, datetime] = {}
        entries = [*self._sales(), *self._of_sales(), *self._others()]
        for number, entry in enumerate(sorted(entries, key=_order), start=1):
            self.files[entry.file] += [{**row, "seq": str(number)} for row in entry.rows]

    def _sales(self) -> Iterator[SavedEntry]:
        returned = {
            (move.note, move.on): move.to.name if move.to else ""
            for move in Move.objects.filter(why=Move.Why.RETURNED).select_related("to").order_by("pk")
        }
        rows = Sale.objects.select_related("customer", "channel", "fair", "credits").prefetch_related(
            "lines__article", "lines__job", "lines__skin", "lines__of_line"
        )
        for sale, written in _steady(rows.order_by("pk")):
            self._sold[sale.pk] = written
            back_to = returned.get((sale.number, sale.on), "")
            yield SavedEntry("sales.csv", written, saved_sale(sale, back_to), sale.pk)

    def _of_sales(self) -> Iterator[SavedEntry]:
        """Payments and expenses: not before the sale they are for, whatever the clock said."""
        for row, written in _steady(Payment.objects.select_related("sale", "job", "reverses").order_by("pk")):
            yield SavedEntry("payments.csv", self._after(row.sale, written), [saved_payment(row)], row.pk)
        costs = Expense.objects.filter(reverses__isnull=True).select_related("sale", "fair", "reversed_by")
        for row, written in _steady(costs.order_by("pk")):
            yield SavedEntry("expenses.csv", self._after(row.sale, written), [FILES["expenses.csv"].cells(row)], row.pk)

    def _after(self, sale: Sale | None, written: datetime) -> datetime:
        return max(written, self._sold[sale.pk]) if sale is not None else written

    def _others(self) -> Iterator[SavedEntry]:
        hours = SideHours.objects.filter(reverses__isnull=True).select_related("reversed_by")
        for row, written in _steady(hours.order_by("pk")):
            yield SavedEntry("hours.csv", written, [FILES["hours.csv"].cells(row)], row.pk)
        yield from self.moves.entries


def _order(entry: SavedEntry) -> tuple[datetime, int, int]:
    return entry.written, SELLING.index(entry.file), entry.pk


def _all_moves() -> Iterable[Move]:
    rows = Move.objects.filter(reversed_at__isnull=True).order_by("pk")
    return rows.select_related("article__place", "skin__place", "material__place", "origin", "to")


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
    session.each("jobs.csv", write_job)
    session.each("fairs.csv", fairs.plan)
    for file in ("papers.csv", "receipts.csv"):  # what they say waits for its sale or payment
        session.waiting[file] = {row.name: row for row in session.once(file, "{} already.")}
    run = Run("selling", SELLING, _entry)
    by_number = run.numbered(session, [row for file in SELLING for row in session.rows(file)])
    if by_number is None:
        return
    run.write(session, in_order(_events(session), by_number=by_number))
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
    yield from (Event(day(row), 5, (row,), spend) for row in session.rows("expenses.csv"))
    yield from (Event(row["date"], 6, (row,), write_hours) for row in session.rows("hours.csv"))
