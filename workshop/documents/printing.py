"""Every paper by its name: how it is read from the records and how it is drawn.

This brings in the drawing library and every paper, so a page or command that may print nothing imports it where it prints.
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.http import QueryDict

from costing.models import Payment
from costing.sell.debts.statements import forms as periods
from inventory.base import selectors as workshop
from inventory.errors import Refused
from workshop.documents.kit import page
from workshop.documents.labels import bath_label, care_card, jar_label, price_ticket, shelf_label, tag
from workshop.documents.records import (
    articles,
    batch_cards,
    debts,
    goods,
    invoices,
    jobs,
    shared,
    shelves,
    stand_in_sheets,
    stock as stocks,
    tags,
    vessels,
)
from workshop.documents.sales import fair_day, gallery, invoice, packing_slip, receipt, reminder, statement
from workshop.documents.shed import batch_card, job_card, stand_in_sheet, stocktake_sheet


@dataclass(frozen=True)
class Kind:
    """A kind of paper: `read` builds its dataclass from the records, `draw` makes the PDF of it."""

    read: Callable[..., Any]
    draw: Callable[..., bytes]


# Of an article, a skin, a batch, a material, a frame or a place, by its number or name.
ARTICLE_LABELS = {
    "care": Kind(articles.care_label, care_card.render),
    "ticket": Kind(articles.price_ticket, price_ticket.render),
}

LABELS = {
    **ARTICLE_LABELS,
    "tag": Kind(tags.skin_tag, tag.render),
    "bath": Kind(vessels.bath_label, bath_label.render),
    "jar": Kind(vessels.jar_label, jar_label.render),
    "frame": Kind(tags.frame_tag, tag.render_frames),
    "number": Kind(tags.frame_label, tag.render_numbers),
    "shelf": Kind(shelves.shelf_label, shelf_label.render),
}

OWN = "own"

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
}


def own_sheet() -> page.Paper:
    """The paper that the workshop prints on."""
    return page.SHEETS[workshop.current().paper]


def label(which: str, name: str, *, copies: int = 1, sheet: str = "", litres: Decimal | None = None) -> bytes:
    """A label as PDF. `name`: an article, a skin, a batch, a material, a frame or a place, as the label
    wants it.

    `sheet`: laid on that paper (`own`: the workshop's) to cut apart, else each copy a page of its own size. `litres`: what a
    jar holds.
    """
    if litres is not None and which != "jar":
        raise Refused(
            "Only a jar is asked for its litres; the other labels know theirs. Leave them out.", field="litres"
        )
    laid = own_sheet() if sheet == OWN else page.sheet_of(sheet)
    if which not in LABELS:
        raise Refused(f"There is no label {which!r}; choose one of {', '.join(LABELS)}.", field="paper")
    kind = LABELS[which]
    return kind.draw(kind.read(name) if litres is None else kind.read(name, litres), copies, laid)


def paper(which: str, *of: object, sheet: str = "", **options: object) -> bytes:
    """A paper as PDF, of what its reader asks for; on the workshop's own paper where no sheet is named."""
    kind = PAPERS[which]
    return kind.draw(kind.read(*of, **options), page.sheet_of(sheet) or own_sheet())


# What `numbered` takes: papers of which a number or a name says all.
NUMBERED = (*invoices.PAPERS, *shared.NAMED)


def numbered(which: str, number: str, sheet: str = "", language: str = "") -> bytes:
    """A paper by the number or name that is on it, in that language, else in its customer's; a statement is of this year up to
    today."""
    options: dict[str, object] = {"language": language} if language else {}
    if which not in shared.NAMED:
        issued = invoices.numbered(which, number)
        return paper("payment" if isinstance(issued, Payment) else "sale", issued, sheet=sheet, **options)
    if which == "statement":
        options["period"] = periods.period(QueryDict())
    return paper(which, shared.named(which, number), sheet=sheet, **options)
