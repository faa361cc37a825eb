"""Sales, invoices and credit notes, each with its lines, under the number that its series gives."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from costing.models import Sale, SaleLine
from costing.sell.sales import services as sales
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Borne, Item
from costing.sell.sales.services import AsIssued
from inventory.errors import Refused
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession, Leaning

_NAMES = [column.name for column in FILES["sales.csv"].columns]
OWN = _NAMES[1 : _NAMES.index("line")]  # of the sale, which its first row says; the others are of a line
LINE = _NAMES[_NAMES.index("line") :]
_THINGS = {"article": SaleLine.Kind.ARTICLE, "job": SaleLine.Kind.WORK, "skin": SaleLine.Kind.SCRAP}


def parties(row: CsvRow) -> dict[str, Any]:
    """Seller and buyer of an issued paper or receipt, as it keeps them."""
    found: dict[str, dict[str, str]] = {"seller": {}, "buyer": {}}
    for column in row.file.columns:
        side, _, part = column.path.partition(".")
        if part and side in found:
            found[side][part] = row[column.name]
    return found


def saved_sale(sale: Sale, back_to: str) -> list[Cells]:
    """The rows of one sale; of a credit note which line each takes back, in whole (its words are the same) or how much off it."""
    file, lines = FILES["sales.csv"], sorted(sale.lines.all(), key=lambda line: line.position)
    if not sale.credits:
        return [file.cells(row, tax_percent=row.tax_percent if sale.taxed else None, back_to=back_to) for row in lines]
    not_said = dict.fromkeys(("issued_on", "customer", "channel", "fair", *LINE))
    return [
        file.cells(
            row,
            **{
                **not_said,
                "back_to": back_to,
                "of_line": row.of_line.position,
                "off": None if row.words == row.of_line.words else row.asked,
            },
        )
        for row in lines
        if row.of_line is not None
    ]


def gathered(session: ImportSession) -> dict[str, list[CsvRow]]:
    """The rows of each sale by its number. One whose rows disagree, or that has no day, is named and left out."""
    found = {}
    for number, rows in session.by_name("sales.csv").items():
        if rows[0]["date"] is None:
            session.complain(rows[0], "It is missing. The first row of a sale names its day.", "date")
        elif session.agree(rows, OWN, "sale"):
            found[number] = rows
    return found


def write_sale(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    first = rows[0]
    credit = first["kind"] == Sale.Kind.CREDIT
    items = [] if credit else session.checked(rows, _item)
    if items is None:
        return
    with session.writing(*rows, count=len(rows)):
        session.refuse_spoiled(first)
        session.refuse_spoiled(first, "papers.csv")
        sale = _credit(session, rows) if credit else _sell(session, first, items)
        refuse_other_number(session, first, "sale", sale.number)
        session.known["sales.csv"][sale.number] = sale


def refuse_other_number(session: ImportSession, row: CsvRow, column: str, given: str) -> None:
    """A number that the file names must be the one that the series gives; after a refusal it cannot be, and is not judged."""
    if row[column] in ("", given):
        return
    if "selling" in session.broken:
        raise Leaning
    raise Refused(
        f"Its series gives {given} here. Numbers follow each other without a gap in the order of entries: bring days and "
        "rows into that order, or number them with seq. How a series is written is set in workshop.csv.",
        field=column,
    )


def _sell(session: ImportSession, first: CsvRow, items: Sequence[Item]) -> Sale:
    if first["credits"]:
        raise Refused("Only a credit note credits a sale. Its kind is credit.", field="credits")
    paper = session.waiting["papers.csv"].get(first["sale"])
    box = session.packing.pop(first["sale"], None)
    return sales.sell(
        **session.arguments(first, *LINE),
        items=items,
        box=box[1] if box else None,
        as_issued=AsIssued(**parties(paper), **session.arguments(paper)) if paper else None,
    )


def _item(session: ImportSession, row: CsvRow) -> Item:
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
            raise Refused("This belongs on a credit note only.", field=column)
    if row["asked"] is None:
        raise Refused("It is missing and is needed.", field="asked")
    return Item(kind=kind, **session.arguments(row, *OWN), borne=_cost(row))


def _cost(row: CsvRow) -> Borne | None:
    if row["book"] is None:
        return None
    return Borne(row["book"], row["full"] or Decimal(0), row["own_minutes"] or Decimal(0))


def _credit(session: ImportSession, rows: Sequence[CsvRow]) -> Sale:
    """In whole when no row says a line of the sale; by lines, or by money off lines."""
    first = rows[0]
    if not first["credits"]:
        raise Refused("A credit note names the sale that it credits.", field="credits")
    sale: Sale = session.named(first, "credits")
    lines = {line.position: line for line in sale.lines.all()}
    wanted = {row["of_line"]: row["off"] for row in rows if row["of_line"] is not None}
    unknown = sorted(set(wanted) - set(lines))
    if unknown:
        raise Refused(f"{sale.number} has no line {unknown[0]}; it has {len(lines)}.", field="of_line")
    if (wanted and len(wanted) < len(rows)) or (not wanted and len(rows) > 1):
        raise Refused("Each row of a credit note by lines names another line of the sale.", field="of_line")
    cut = {lines[position].pk: off for position, off in wanted.items() if off is not None}
    if (cut and len(cut) < len(wanted)) or (first["off"] is not None and not cut):
        raise Refused("A credit note credits whole lines, or money off lines; not both.", field="off")
    return credits.credit(
        sale=sale,
        on=first["date"],
        reason=first["reason"],
        lines=[lines[position] for position in wanted] if wanted and not cut else None,
        amounts=cut or None,
        back_to=session.named(first, "back_to"),
        taken_over=sale.number in session.waiting["papers.csv"],
    )


def complain_of_left_over(session: ImportSession) -> None:
    """Packing, frozen papers and frozen receipts of what is not there."""
    for number, (row, _) in list(session.packing.items()):
        with session.checking(row):
            session.find("sales.csv", number, "sale")
            raise Refused(f"{number} is a credit note; packing goes with a sale.", field="sale")
    for number, row in session.waiting["papers.csv"].items():
        with session.checking(row):
            if session.find("sales.csv", number, "sale").kind == Sale.Kind.CREDIT:
                raise Refused("A credit note says what the sale says that it credits. Take the row out.", field="sale")
    for number, row in session.waiting["receipts.csv"].items():
        with session.checking(row):
            session.find("payments.csv", number, "receipt")
