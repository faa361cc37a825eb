"""Loading papers: sales, invoices and credit notes, each with its lines, under the number that its series gives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import TypeVar

from costing.models import Customer, Fair, Sale, SaleLine
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.invoices import selectors as papers
from costing.sell.sales.offers.services import Borne, Item
from costing.sell.sales.services import AsIssued
from inventory.errors import Refused
from workshop.exchange.desk import Desk, Leaning
from workshop.exchange.parsing import Row

T = TypeVar("T")


OWN = ("kind", "date", "issued_on", "customer", "channel", "fair", "credits", "reason", "back_to", "note")


_THINGS = {"article": SaleLine.Kind.ARTICLE, "job": SaleLine.Kind.WORK, "skin": SaleLine.Kind.SCRAP}


def gathered(desk: Desk) -> dict[str, list[Row]]:
    """The rows of each sale by its number. One whose rows disagree, or that has no day, is named and left out."""
    found: dict[str, list[Row]] = {}
    for row in desk.rows("sales.csv"):
        found.setdefault(row["sale"], []).append(row)
    return {number: rows for number, rows in found.items() if _agree(desk, rows)}


def _agree(desk: Desk, rows: Sequence[Row]) -> bool:
    first = rows[0]
    if first["date"] is None:
        desk.complain(first, "It is missing. The first row of a sale names its day.", "date")
        return False
    bad = [
        (row, name)
        for row in rows[1:]
        for name in OWN
        if (cell := row.cells.get(name)) and cell != first.cells.get(name)
    ]
    for row, name in bad:
        desk.complain(row, f"It differs from row {first.number}. One sale has one {name}.", name)
    return not bad


def write(desk: Desk, rows: Sequence[Row]) -> None:
    first = rows[0]
    credit = first["kind"] == Sale.Kind.CREDIT
    items = [] if credit else [item for row in rows if (item := _checked_item(desk, row))]
    if not credit and len(items) < len(rows):
        return
    with desk.writing(*rows, count=len(rows)):
        desk.refuse_spoiled(first)
        desk.refuse_spoiled(first, "papers.csv")
        sale = _credit(desk, rows) if credit else _sell(desk, first, items)
        refuse_other_number(desk, first, "sale", sale.number)
        desk.sales[sale.number] = sale


def refuse_other_number(desk: Desk, row: Row, column: str, given: str) -> None:
    """A number that the file names must be the one that the series gives; after a refusal it cannot be, and is not judged."""
    if row[column] in ("", given):
        return
    if desk.series_broken:
        raise Leaning
    raise Refused(
        f"Its series gives {given} here. Numbers follow each other without a gap in the order of entries: bring days and "
        "rows into that order, or number them with seq. How a series is written is set in workshop.csv.",
        field=column,
    )


def _sell(desk: Desk, first: Row, items: Sequence[Item]) -> Sale:
    if first["credits"]:
        raise Refused("Only a credit note credits a sale. Its kind is credit.", field="credits")
    paper = desk.papers.get(first["sale"])
    box = desk.packing.pop(first["sale"], None)
    channel = first["channel"]
    return selling.sell(
        on=first["date"],
        kind=first["kind"],
        items=items,
        customer=_customer(desk, first),
        channel=desk.found(first, "channel", desk.channels, "channels.csv", channel) if channel else None,
        fair=fair(desk, first),
        issued_on=first["issued_on"],
        box=box[1] if box else None,
        note=first["note"],
        as_issued=_as_issued(paper) if paper else None,
    )


def _customer(desk: Desk, row: Row) -> Customer | None:
    name = row["customer"]
    return desk.found(row, "customer", desk.customers, "customers.csv", name) if name else None


def fair(desk: Desk, row: Row) -> Fair | None:
    return desk.found(row, "fair", desk.fairs, "fairs.csv", row["fair"]) if row["fair"] else None


def _checked_item(desk: Desk, row: Row) -> Item | None:
    with desk.checking(row):
        return _item(desk, row)
    return None


def _item(desk: Desk, row: Row) -> Item:
    """One line. What it is may be left to the column that names its thing."""
    things = [name for name in _THINGS if row[name]]
    if len(things) > 1:
        raise Refused("A line sells one thing: an article, the work of a job, or a lost skin.", field=things[1])
    kind = row["line"] or (_THINGS[things[0]] if things else "")
    if not kind:
        raise Refused("Say what the line is: article, work, scrap, postage or other.", field="line")
    if kind == SaleLine.Kind.OTHER and not row["words"]:
        raise Refused("Say what was sold.", field="words")
    for column in ("of_line", "off"):
        if row[column] is not None:
            raise Refused("This stands on a credit note only.", field=column)
    if row["asked"] is None:
        raise Refused("It is missing and is needed.", field="asked")
    return Item(
        kind=kind,
        asked=row["asked"],
        words=row["words"],
        article=_thing(desk, row, "article", desk.articles, "articles.csv"),
        job=_thing(desk, row, "job", desk.jobs, "jobs.csv"),
        skin=_thing(desk, row, "skin", desk.hides, "skins.csv"),
        discount=Decimal(row["discount"]),
        quantity=Decimal(row["quantity"]),
        tax_percent=row["tax_percent"],
        relief=row["relief"],
        borne=_borne(row),
    )


def _thing(desk: Desk, row: Row, column: str, known: Mapping[str, T], file: str) -> T | None:
    return desk.found(row, column, known, file, row[column]) if row[column] else None


def _borne(row: Row) -> Borne | None:
    if row["book"] is None:
        return None
    return Borne(row["book"], row["full"] or Decimal(0), row["own_minutes"] or Decimal(0))


def seller(row: Row) -> dict[str, str]:
    """As `costing.selectors.papers` freezes it."""
    return {
        part: row[f"seller_{part}"] for part in (*papers.PEOPLE, "business_number", "untaxed_words", "payment_words")
    }


def buyer(row: Row) -> dict[str, str]:
    return {part: row[f"buyer_{part}"] for part in papers.PEOPLE}


def _as_issued(row: Row) -> AsIssued:
    return AsIssued(
        seller=seller(row),
        buyer=buyer(row),
        taxed=row["taxed"],
        prices_with_tax=row["prices_with_tax"],
        due_on=row["due_on"],
    )


def _credit(desk: Desk, rows: Sequence[Row]) -> Sale:
    """In whole when no row says a line of the sale; by lines, or by money off lines."""
    first = rows[0]
    if not first["credits"]:
        raise Refused("A credit note names the sale that it credits.", field="credits")
    sale = desk.found(first, "credits", desk.sales, "sales.csv", first["credits"])
    lines = {line.position: line for line in sale.lines.all()}
    wanted = {row["of_line"]: row["off"] for row in rows if row["of_line"] is not None}
    unknown = sorted(set(wanted) - set(lines))
    if unknown:
        raise Refused(f"{sale.number} has no line {unknown[0]}; it has {len(lines)}.", field="of_line")
    if (wanted and len(wanted) < len(rows)) or (not wanted and len(rows) > 1):
        raise Refused("Each row of a credit note by lines names another line of the sale.", field="of_line")
    cut = {lines[position].pk: off for position, off in wanted.items() if off is not None}
    if (cut and len(cut) < len(wanted)) or (first["off"] is not None and not cut):
        raise Refused("A credit note takes back whole lines, or money off lines; not both.", field="off")
    return credits.credit(
        sale=sale,
        on=first["date"],
        reason=first["reason"],
        lines=[lines[position] for position in wanted] if wanted and not cut else None,
        amounts=cut or None,
        back_to=desk.place(first, "back_to"),
        taken_over=sale.number in desk.papers,
    )


def complain_of_left_over(desk: Desk) -> None:
    """Packing, frozen papers and frozen receipts of what is not there."""
    for number, (row, _) in list(desk.packing.items()):
        with desk.checking(row):
            desk.found(row, "sale", desk.sales, "sales.csv", number)
            raise Refused(f"{number} is a credit note; packing goes with a sale.", field="sale")
    for number, row in desk.papers.items():
        with desk.checking(row):
            if desk.found(row, "sale", desk.sales, "sales.csv", number).kind == Sale.Kind.CREDIT:
                raise Refused("A credit note says what the sale says that it credits. Take the row out.", field="sale")
    for number, row in desk.receipt_papers.items():
        with desk.checking(row):
            desk.found(row, "receipt", desk.receipts, "payments.csv", number)
