"""Every paper by its name: how it is read from the records and how it is drawn.

This brings in the drawing library and every paper, so a page or command that may print nothing imports it where it prints.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from costing.models import Payment
from inventory.base import selectors as workshop
from inventory.errors import Refused
from workshop.documents.kit import page
from workshop.documents.labels import bath_label, care_card, care_label, jar_label, price_ticket, shelf_label, tag
from workshop.documents.records import (
    articles,
    batch_cards,
    debts,
    goods,
    invoices,
    jobs,
    origin,
    shelves,
    stand_in_sheets,
    stock as stocks,
    tags,
    vessels,
)
from workshop.documents.sales import fair_day, gallery, invoice, origin_pack, packing_slip, receipt, reminder, statement
from workshop.documents.shed import batch_card, job_card, stand_in_sheet, stocktake_sheet
from workshop.documents.words import selectors as words


@dataclass(frozen=True)
class Kind:
    """A kind of paper: `read` builds its dataclass from the records, `draw` makes the PDF of it."""

    read: Callable[..., Any]
    draw: Callable[..., bytes]


# Of an article, a skin, a batch, a material, a frame or a place, by its number or name.
ARTICLE_LABELS = {
    "care": Kind(articles.care_label, care_label.render),
    "care-card": Kind(articles.care_label, care_card.render),
    "hang-tag": Kind(articles.care_label, care_card.render_tag),
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
    "origin": Kind(origin.origin_pack, origin_pack.render),
}


def own_sheet() -> page.Paper:
    """The paper that the workshop prints on."""
    return page.SHEETS[workshop.current().paper]


def label(
    which: str,
    name: str,
    *,
    copies: int = 1,
    sheet: str = "",
    litres: Decimal | None = None,
    languages: Sequence[str] = (),
) -> bytes:
    """A label as PDF. `name`: an article, a skin, a batch, a material, a frame or a place, as the label
    wants it, in one of the `languages` of papers or in two.

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
    found = kind.read(name) if litres is None else kind.read(name, litres)
    return kind.draw(_worded(found, languages), copies, laid)


def _worded(label: Any, languages: Sequence[str]) -> Any:
    """The label in the language asked for, and in the second under it, where it takes one."""
    takes = [name for name in ("words", "second") if hasattr(label, name)] if languages else []
    if len(languages) > len(takes):
        most = ("English alone", "one language", "two languages at most")[len(takes)]
        raise Refused(f"This label is printed in {most}.", field="language")
    return replace(label, **{name: words.of(language) for name, language in zip(takes, languages, strict=False)})


def paper(which: str, *of: object, sheet: str = "", **options: object) -> bytes:
    """A paper as PDF, of what its reader asks for; on the workshop's own paper where no sheet is named."""
    kind = PAPERS[which]
    return kind.draw(kind.read(*of, **options), page.sheet_of(sheet) or own_sheet())


def numbered(which: str, number: str, sheet: str = "", **options: object) -> bytes:
    """An invoice, a credit note or a receipt by its number, or the origin pack of an article."""
    if which == "origin":
        return paper(which, number, sheet=sheet, **options)
    found = invoices.numbered(which, number)
    return paper("payment" if isinstance(found, Payment) else "sale", found, sheet=sheet)
