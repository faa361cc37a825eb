"""Every paper by its name: how it is read from the records and how it is drawn. Labels are in `labelling`.

This brings in the drawing library and every paper, so a page or command that may print nothing imports it where it prints.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from costing.models import Payment
from costing.sell.debts.statements import forms as periods
from inventory.base import selectors as workshop
from workshop.documents import labelling
from workshop.documents.kit import page
from workshop.documents.records import (
    batch_cards,
    debts,
    goods,
    grids,
    invoices,
    jobs,
    origin,
    shared,
    stand_in_sheets,
    stock as stocks,
)
from workshop.documents.sales import fair_day, gallery, invoice, origin_pack, packing_slip, receipt, reminder, statement
from workshop.documents.shed import batch_card, grid_sheet, job_card, stand_in_sheet, stocktake_sheet


@dataclass(frozen=True)
class Kind:
    """A kind of paper: `read` builds its dataclass from the records, `draw` makes the PDF of it."""

    read: Callable[..., Any]
    draw: Callable[..., bytes]


# One label, as one paper of any other kind.
LABELS, label = labelling.KINDS, labelling.label

PAPERS = {
    "sale": Kind(invoices.invoice, invoice.render),
    "payment": Kind(invoices.receipt, receipt.render),
    "reminder": Kind(debts.reminder, reminder.render),
    "statement": Kind(debts.statement, statement.render),
    "packing": Kind(goods.packing_slip, packing_slip.render),
    "fair": Kind(goods.fair_day, fair_day.render),
    "gallery": Kind(goods.gallery_paper, gallery.render),
    "job": Kind(jobs.job_card, job_card.render),
    "card": Kind(batch_cards.batch_card, batch_card.render),
    "stand-in": Kind(stand_in_sheets.stand_in_sheet, stand_in_sheet.render),
    "stocktake": Kind(stocks.stocktake_sheet, stocktake_sheet.render),
    "grid": Kind(grids.grid_sheet, grid_sheet.render),
    "origin": Kind(origin.origin_pack, origin_pack.render),
}


def own_sheet() -> page.Paper:
    """The paper that the workshop prints on."""
    return page.SHEETS[workshop.current().paper]


def paper(which: str, *of: object, sheet: str = "", **options: object) -> bytes:
    """A paper as PDF, of what its reader asks for; on the workshop's own paper where no sheet is named."""
    kind = PAPERS[which]
    return kind.draw(kind.read(*of, **options), page.sheet_of(sheet) or own_sheet())


# What `numbered` takes: papers of which a number or a name says all.
NUMBERED = (*invoices.PAPERS, *shared.NAMED, "grid", "origin")


def numbered(which: str, number: str, sheet: str = "", language: str = "", **options: object) -> bytes:
    """A paper by the number or name that is on it, in that language, else in its customer's; a statement is of this year up to
    today."""
    if language:
        options["language"] = language
    if which in ("grid", "origin"):
        return paper(which, number, sheet=sheet, **options)
    if which not in shared.NAMED:
        issued = invoices.numbered(which, number)
        return paper("payment" if isinstance(issued, Payment) else "sale", issued, sheet=sheet, **options)
    if which == "statement":
        options["period"] = periods.period(QueryDict())
    return paper(which, shared.named(which, number), sheet=sheet, **options)
