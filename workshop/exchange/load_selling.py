"""Loading what was sold, credited, paid and spent, hours at no skin, and moves: in one order, through the services.

Without `seq` the order is by day; on one day moves, deposits, sales and credits, payments, costs, hours, then file row. A
payment or cost of a sale never comes before it. With `seq` entries are written in the order of its numbers. Either way
each paper and receipt must get the number that its row names, because the series are kept without a gap.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.models import Sale
from costing.sell.expenses import services as expenses
from costing.sell.expenses.hours import services as hours
from costing.sell.payments import services as payments
from inventory.errors import Refused
from inventory.models import Move
from inventory.places.moves import services as moves
from workshop.exchange import load_sales, load_trade
from workshop.exchange.desk import Desk
from workshop.exchange.files_selling import SELLING
from workshop.exchange.ordering import numbered
from workshop.exchange.parsing import Row

Write = Callable[[Desk, Sequence[Row]], None]


@dataclass(frozen=True)
class Event:
    """Rows that are one entry, and how to write them."""

    on: date
    rank: int
    rows: tuple[Row, ...]
    write: Write

    def by_day(self) -> tuple[date, int, int]:
        return self.on, self.rank, self.rows[0].number

    def by_number(self) -> int:
        number: int = self.rows[0]["seq"]
        return number


def load(desk: Desk) -> None:
    load_trade.load(desk)
    desk.series_broken = any(problem.file in SELLING for problem in desk.problems)
    in_order = numbered(desk, [row for file in SELLING for row in desk.rows(file)], _entry, "selling")
    if in_order is None:
        return
    for event in sorted(_events(desk), key=Event.by_number if in_order else Event.by_day):
        before = len(desk.problems), desk.unchecked
        event.write(desk, event.rows)
        desk.series_broken |= before != (len(desk.problems), desk.unchecked)
    load_sales.complain_of_left_over(desk)
    load_trade.load_pack_lists(desk)


def _entry(row: Row) -> tuple[object, ...]:
    return row.table.file, row["sale"] if row.table.file == "sales.csv" else row.number


def _events(desk: Desk) -> Iterator[Event]:
    sales = load_sales.gathered(desk)
    sold = {number: rows[0]["date"] for number, rows in sales.items()}
    paid = {row["receipt"]: row["date"] for row in desk.rows("payments.csv")}

    def day(row: Row) -> date:
        """Not before what it speaks of: where its own day is earlier, the service says what is wrong with that, if anything."""
        on: date = row["date"]
        after: date = sold.get(row["sale"], on)
        taken: date = paid.get(row.values.get("takes_back", ""), on)
        return max(on, after, taken)

    yield from (Event(row["date"], 0, (row,), _move) for row in desk.rows("moves.csv"))
    for row in desk.rows("payments.csv"):
        deposit = row["job"] and row["amount"] > 0
        yield Event(day(row), 4 if row["takes_back"] else 1 if deposit else 3, (row,), _pay)
    for rows in sales.values():
        on: date = rows[0]["date"]
        yield Event(max(on, sold.get(rows[0]["credits"], on)), 2, tuple(rows), load_sales.write)
    yield from (Event(day(row), 5, (row,), _spend) for row in desk.rows("expenses.csv"))
    yield from (Event(row["date"], 6, (row,), _hours) for row in desk.rows("hours.csv"))


def _move(desk: Desk, rows: Sequence[Row]) -> None:
    (row,) = rows
    with desk.writing(row):
        named = [name for name in ("article", "skin", "material") if row[name]]
        if len(named) != 1:
            raise Refused("Name one thing that moved: an article, a skin or a material.", field="article")
        if row["why"] == Move.Why.MOVED:
            moves.move(thing=_thing(desk, row, named[0]), to=desk.place(row, "to"), on=row["date"], note=row["note"])
            return
        if named != ["article"] or row["to"]:
            raise Refused("Only an article leaves, and what leaves goes to no place.", field="why")
        article = desk.found(row, "article", desk.articles, "articles.csv", row["article"])
        moves.out(article=article, on=row["date"], why=row["why"], note=row["note"])


def _thing(desk: Desk, row: Row, column: str) -> moves.Thing:
    if column == "material":
        return desk.material(row)
    if column == "skin":
        return desk.found(row, column, desk.hides, "skins.csv", row[column])
    return desk.found(row, column, desk.articles, "articles.csv", row[column])


def _pay(desk: Desk, rows: Sequence[Row]) -> None:
    (row,) = rows
    with desk.writing(row):
        desk.refuse_spoiled(row, "receipts.csv")
        if row["takes_back"]:
            taken = desk.found(row, "takes_back", desk.receipts, "payments.csv", row["takes_back"])
            if row["amount"] != -taken.amount:
                raise Refused(
                    f"{taken.number} is of {taken.amount}; taking it back is that below nought.", field="amount"
                )
            payment = payments.take_back(payment=taken, on=row["date"], as_issued=_frozen(desk, row, taken.sale))
        else:
            sale = _sale_of(desk, row)
            write = payments.refund if row["amount"] < 0 else payments.receive
            payment = write(
                amount=abs(row["amount"]),
                on=row["date"],
                how=row["how"],
                sale=sale,
                job=desk.found(row, "job", desk.jobs, "jobs.csv", row["job"]) if row["job"] else None,
                note=row["note"],
                as_issued=_frozen(desk, row, sale),
            )
        load_sales.refuse_other_number(desk, row, "receipt", payment.number)
        desk.receipts[payment.number] = payment


def _frozen(desk: Desk, row: Row, sale: Sale | None) -> payments.Frozen | None:
    """As its own row in receipts.csv says; of a folder from before there were any, as the sale that was paid says."""
    kept = desk.receipt_papers.get(row["receipt"])
    if kept is not None:
        return payments.Frozen(load_sales.seller(kept), load_sales.buyer(kept), kept["work"], kept["agreed"])
    return payments.Frozen(sale.seller, sale.buyer) if sale is not None else None


def _sale_of(desk: Desk, row: Row) -> Sale | None:
    return desk.found(row, "sale", desk.sales, "sales.csv", row["sale"]) if row["sale"] else None


def _spend(desk: Desk, rows: Sequence[Row]) -> None:
    """Taken back in the same breath: nothing in between depends on a cost, and both keep their days."""
    (row,) = rows
    with desk.writing(row):
        expense = expenses.spend(
            kind=row["kind"],
            amount=row["amount"],
            on=row["date"],
            words=row["words"],
            sale=_sale_of(desk, row),
            fair=load_sales.fair(desk, row),
            withheld=row["withheld"],
        )
        if row["taken_back"]:
            expenses.take_back(expense=expense, on=row["taken_back"])


def _hours(desk: Desk, rows: Sequence[Row]) -> None:
    (row,) = rows
    with desk.writing(row):
        made = hours.write(kind=row["kind"], minutes=Decimal(row["minutes"]), on=row["date"], words=row["words"])
        if row["taken_back"]:
            hours.take_back(row=made, on=row["taken_back"])
