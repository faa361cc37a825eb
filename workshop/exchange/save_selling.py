"""Rows of sales, payments, costs, hours and moves, every entry numbered in the order it was written.

What carries a number is kept even where it was taken back, because the numbers have no gap; costs and hours keep the day they
were taken back. Only moves that were taken back are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from costing.models import Expense, Payment, Sale, SaleLine, SideHours
from inventory.models import OUT, Article, Material, Move, Place, Skin
from inventory.places.moves.services import BY_HAND
from workshop.exchange import cells
from workshop.exchange.files_selling import SELLING
from workshop.exchange.save_masters import Cells

_BY_FILE = (Move.Why.MOVED, *BY_HAND)


_ONE = 1


@dataclass(frozen=True)
class Entry:
    """Rows of one file that were written at one moment, after the entry of a sale that they speak of."""

    file: str
    written: datetime
    rows: list[Cells]
    pk: int

    def order(self) -> tuple[datetime, int, int]:
        return self.written, SELLING.index(self.file), self.pk


class Selling:
    """The rows by file; where each thing was before it moved, by its kind and id; how many moves were left out."""

    def __init__(self) -> None:
        self.files: dict[str, list[Cells]] = {file: [] for file in SELLING}
        self.first_places: dict[tuple[str, int], Place | None] = {}
        self.taken_back = Move.objects.filter(taken_back_at__isnull=False).count()
        self._sold: dict[int, datetime] = {}
        entries = [*self._sales(), *self._payments(), *self._expenses(), *_hours(), *self._moves()]
        for seq, entry in enumerate(sorted(entries, key=Entry.order), start=1):
            self.files[entry.file] += [{**row, "seq": str(seq)} for row in entry.rows]

    def first_place(self, thing: Article | Skin | Material) -> str:
        """Where it was made or taken in; now it is where its last move took it."""
        place = self.first_places.get((str(thing._meta.model_name), thing.pk), thing.place)
        return place.name if place else ""

    def _sales(self) -> Iterator[Entry]:
        returned = {
            (move.note, move.on): move.to.name if move.to else ""
            for move in Move.objects.filter(why=Move.Why.RETURNED).select_related("to").order_by("pk")
        }
        rows = Sale.objects.select_related("customer", "channel", "fair", "credits").prefetch_related(
            "lines__article", "lines__job", "lines__skin", "lines__of_line"
        )
        for sale, written in _steady(rows.order_by("pk")):
            self._sold[sale.pk] = written
            own = _sale(sale, returned.get((sale.number, sale.on), ""))
            lines = _credited(sale) if sale.credits else map(_line, _lines(sale))
            yield Entry("sales.csv", written, [{**own, **line} for line in lines], sale.pk)

    def _after(self, sale: Sale | None, written: datetime) -> datetime:
        return max(written, self._sold[sale.pk]) if sale is not None else written

    def _payments(self) -> Iterator[Entry]:
        for row, written in _steady(Payment.objects.select_related("sale", "job", "reverses").order_by("pk")):
            cells_ = {
                "receipt": row.number,
                "date": cells.day(row.on),
                "amount": cells.coins(row.amount),
                "how": row.how,
                "sale": row.sale.number if row.sale else "",
                "job": row.job.number if row.job else "",
                "takes_back": row.reverses.number if row.reverses else "",
                "note": "" if row.reverses else row.note,
            }
            yield Entry("payments.csv", self._after(row.sale, written), [cells_], row.pk)

    def _expenses(self) -> Iterator[Entry]:
        rows = Expense.objects.filter(reverses__isnull=True).select_related("sale", "fair", "reversed_by")
        for row, written in _steady(rows.order_by("pk")):
            cells_ = {
                "date": cells.day(row.on),
                "kind": row.kind,
                "amount": cells.coins(row.amount),
                "words": row.words,
                "sale": row.sale.number if row.sale else "",
                "fair": str(row.fair) if row.fair else "",
                "withheld": cells.yes_no(row.withheld),
                "taken_back": _taken_back(row),
            }
            yield Entry("expenses.csv", self._after(row.sale, written), [cells_], row.pk)

    def _moves(self) -> Iterator[Entry]:
        """Moves by hand; those of sales and credit notes come with them.

        Where a thing stands elsewhere than its last move took it (its place was put right without a move), a move of that day
        says so, so that it comes back where it is.
        """
        rows = Move.objects.filter(taken_back_at__isnull=True).select_related(
            "article__place", "skin__place", "material__place", "origin", "to"
        )
        at: dict[tuple[str, int], tuple[Move, Entry]] = {}
        for row, written in _steady(rows.order_by("pk")):
            name, thing = _thing(row)
            self.first_places.setdefault((name, thing.pk), row.origin)
            entry = Entry("moves.csv", written, [_move(row, name, thing)], row.pk)
            if (name, thing.pk) in at:
                yield from _put_right(at[name, thing.pk], row.origin)
            at[name, thing.pk] = row, entry
            if row.why in _BY_FILE:
                yield entry
        things = {(name, thing.pk): thing for name, thing in map(_thing, rows)}
        for key, last in at.items():
            yield from _put_right(last, things[key].place)


def _steady(rows: Iterable[Any]) -> Iterator[tuple[Any, datetime]]:
    """Each row with the moment it was written, never before the row before it: a clock may have been put back."""
    last: datetime | None = None
    for row in rows:
        last = max(last, row.written_at) if last else row.written_at
        yield row, last


def _put_right(last: tuple[Move, Entry], place: Place | None) -> Iterator[Entry]:
    move, entry = last
    if move.to != place and move.why not in OUT:
        row = {**entry.rows[0], "why": Move.Why.MOVED.value, "to": place.name if place else "", "note": ""}
        yield Entry("moves.csv", entry.written, [row], entry.pk)


def _thing(row: Move) -> tuple[str, Article | Skin | Material]:
    return next((name, thing) for name in ("article", "skin", "material") if (thing := getattr(row, name)) is not None)


def _move(row: Move, name: str, thing: Article | Skin | Material) -> Cells:
    return {
        "date": cells.day(row.on),
        name: thing.code if isinstance(thing, Material) else str(thing),
        "why": row.why,
        "to": row.to.name if row.to else "",
        "note": row.note,
    }


def _taken_back(row: Expense | SideHours) -> str:
    back = getattr(row, "reversed_by", None)
    return cells.day(back.on) if back else ""


def _hours() -> Iterator[Entry]:
    rows = SideHours.objects.filter(reverses__isnull=True).select_related("reversed_by")
    for row, written in _steady(rows.order_by("pk")):
        cells_ = {
            "date": cells.day(row.on),
            "kind": row.kind,
            "minutes": cells.number(row.minutes),
            "words": row.words,
            "taken_back": _taken_back(row),
        }
        yield Entry("hours.csv", written, [cells_], row.pk)


def _sale(sale: Sale, back_to: str) -> Cells:
    credit = sale.credits is not None
    return {
        "sale": sale.number,
        "kind": sale.kind,
        "date": cells.day(sale.on),
        "issued_on": "" if credit else cells.day(sale.issued_on),
        "customer": sale.customer.name if sale.customer and not credit else "",
        "channel": sale.channel.name if sale.channel and not credit else "",
        "fair": str(sale.fair) if sale.fair and not credit else "",
        "credits": sale.credits.number if sale.credits else "",
        "reason": sale.reason,
        "back_to": back_to,
        "note": sale.note,
    }


def _lines(sale: Sale) -> list[SaleLine]:
    return sorted(sale.lines.all(), key=lambda line: line.position)


def _line(line: SaleLine) -> Cells:
    return {
        "line": line.kind,
        "article": line.article.number if line.article else "",
        "job": line.job.number if line.job else "",
        "skin": line.skin.tag if line.skin else "",
        "words": line.words,
        "quantity": "" if line.quantity == _ONE else cells.number(line.quantity),
        "asked": cells.coins(line.asked),
        "discount": cells.coins(line.discount) if line.discount else "",
        "tax_percent": cells.number(line.tax_percent) if line.sale.taxed else "",
        "relief": line.relief,
        "book": cells.coins(line.book),
        "full": cells.coins(line.full),
        "own_minutes": cells.number(line.own_minutes),
    }


def _credited(credit: Sale) -> Iterator[Cells]:
    """Which line each row takes back, in whole (its words are the same), or how much off it."""
    for row in _lines(credit):
        of_line = row.of_line
        if of_line is not None:
            off = "" if row.words == of_line.words else cells.coins(row.asked)
            yield {"of_line": str(of_line.position), "off": off}
