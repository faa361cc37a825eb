"""Papers of pieces on their way: the packing slip of a sale, a fair's pack list and day sheet, what a gallery holds and owes."""

from __future__ import annotations

import calendar
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from costing.make.cost.rates import selectors as rates
from costing.models import Fair, FairPiece, Payment, Sale, SaleLine
from costing.sell.fairs import selectors as fairs
from costing.sell.galleries import selectors as galleries_selectors
from costing.sell.pricing import selectors as prices
from costing.sell.pricing.channels import selectors as channels_selectors
from costing.sell.sales import selectors as sale_reads
from costing.sell.sales.invoices import selectors as invoices_selectors
from costing.sell.sales.terms import selectors as papers
from inventory import money
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.ledger.usage import selectors as usage
from inventory.models import Article, Place
from workshop.papers.fair_day import FairLine
from workshop.papers.gallery import SoldPiece
from workshop.prints.bills import who
from workshop.prints.sizes import page_of

if TYPE_CHECKING:
    from workshop.papers.fair_day import FairDay, FairLine
    from workshop.papers.gallery import GalleryPaper, HeldPiece, SoldPiece
    from workshop.papers.packing import Packed, PackingSlip


NOTHING = Decimal(0)


_BOXED = (SaleLine.Kind.ARTICLE, SaleLine.Kind.WORK, SaleLine.Kind.SCRAP, SaleLine.Kind.OTHER)


def packing_pdf(sale: Sale, sheet: str = "") -> bytes:
    from workshop.papers import packing as paper

    return paper.render(packing_slip(sale), page_of(sheet))


def packing_slip(sale: Sale) -> PackingSlip:
    """What a sale put in the box: the buyer's address as it was frozen, things without prices."""
    from workshop.papers.packing import PackingSlip

    if sale.kind == Sale.Kind.CREDIT:
        raise Refused(f"{sale.number} is a credit note; nothing is packed for it.", field="number")
    row = (
        sale_reads.found(sale.number)
        .prefetch_related("lines__article__parts__skin", "lines__job__skin__parts__article")
        .get()
    )
    things = tuple(_packed(line) for line in row.lines.all() if line.kind in _BOXED)
    if not things:
        raise Refused(f"{row.number} sold nothing that goes into a box.", field="number")
    return PackingSlip(row.number, row.on, who(row.seller), who(row.buyer), things)


def _packed(line: SaleLine) -> Packed:
    from workshop.papers import wording
    from workshop.papers.packing import Packed

    piece = line.article
    if line.job is not None:
        piece = next((part.article for part in line.job.skin.parts.all()), None)
    number, tags = "", ""
    if line.article is not None:
        number, tags = line.article.number, ", ".join(part.skin.tag for part in line.article.parts.all())
    elif line.job is not None:
        number, tags = line.job.number, line.job.skin.tag
    elif line.skin is not None:
        tags = line.skin.tag
    care = piece.get_method_display() if piece is not None else ""
    return Packed(number, line.words, tags, wording.number(line.quantity), care)


def fair_pdf(fair: Fair, sheet: str = "") -> bytes:
    from workshop.papers import fair_day as paper

    return paper.render(fair_day(fair), page_of(sheet))


def fair_day(fair: Fair) -> FairDay:
    """The pack list as it stands: what is sold there is printed as sold."""
    from workshop.papers.fair_day import FairDay

    row = workshop.current()
    vat = rates.current().vat_percent if papers.terms().tax_number else NOTHING
    return FairDay(
        workshop=row.name,
        name=fair.name,
        on=fair.on,
        lines=_fair_lines(fair, vat),
        currency=row.currency,
        place=fair.place.name if fair.place else "",
        digits=workshop.places(),
    )


def _fair_lines(fair: Fair, vat: Decimal) -> tuple[FairLine, ...]:
    ways: dict[int, list[str]] = {}
    for payment in Payment.objects.filter(sale__fair=fair, amount__gt=0).order_by("pk"):
        ways.setdefault(payment.sale_id or 0, []).append(payment.get_how_display().lower())
    return tuple(_fair_line(piece, vat, ways) for piece in fairs.pieces(fair))


def _fair_line(piece: FairPiece, vat: Decimal, ways: dict[int, list[str]]) -> FairLine:
    """The least to take pays what was spent and my hours in full; no fee is reckoned with, for cash costs none."""
    from workshop.papers.fair_day import FairLine

    article: Article = piece.article
    sold: SaleLine | None = piece.sold_by  # type: ignore[attr-defined]  # put there by the selector
    least = prices.of_article(article, article.cost, channels_selectors.NO_CHANNEL, vat).floors.wage
    return FairLine(
        number=article.number,
        what=_what(article),
        asked=article.list_price,
        least=least,
        sold=sold.gross if sold else None,
        how=", ".join(dict.fromkeys(ways.get(sold.sale_id, []))) if sold else "",
        back=piece.back,
    )


def gallery_pdf(place: Place, *, on: date | None = None, month: str = "", sheet: str = "") -> bytes:
    from workshop.papers import gallery as paper

    return paper.render(gallery_paper(place, on=on, month=month), page_of(sheet))


def gallery_paper(place: Place, *, on: date | None = None, month: str = "") -> GalleryPaper:
    """What a gallery holds now; with a month also what it sold in it, and what is left of that to pay at its end."""
    from workshop.papers.gallery import GalleryPaper
    from workshop.papers.letter import Who

    if place.kind != Place.Kind.GALLERY:
        raise Refused(f"{place.name} is no gallery. A sale-or-return list is of pieces at a gallery.", field="place")
    channel = getattr(place, "channel", None)
    fee = channel.fee_percent if channel else NOTHING
    sold: tuple[SoldPiece, ...] = ()
    owed, on = NOTHING, on or workshop.today()
    if month:
        first, last = _days(month)
        told = galleries_selectors.statement(place, channel, first, last)
        sold, owed = tuple(_sold(row, kept) for row, kept, _ in told.rows), told.left
        on = last
    ours = sum((each.ours for each in sold), NOTHING)
    return GalleryPaper(
        seller=who(invoices_selectors.seller()),
        gallery=Who(place.name),
        on=on,
        held=tuple(_held(each, fee) for each in galleries_selectors.held_on(place, on)),
        currency=workshop.current().currency,
        fee_percent=fee,
        month=month,
        sold=sold,
        paid=ours - owed,
        owed=owed,
        digits=workshop.places(),
    )


def _days(month: str) -> tuple[date, date]:
    number = usage.month_number(month)
    year, of_year = divmod(number, 12)
    return date(year, of_year + 1, 1), date(year, of_year + 1, calendar.monthrange(year, of_year + 1)[1])


def _held(each: galleries_selectors.Held, percent: Decimal) -> HeldPiece:
    from workshop.papers.gallery import HeldPiece

    article = each.article
    since = each.came.on if each.came else None
    if article.list_price is None:
        return HeldPiece(article.number, _what(article), since)
    fee = money.half_up(Fraction(article.list_price) * Fraction(percent) / 100, workshop.places())
    return HeldPiece(article.number, _what(article), since, article.list_price, fee, article.list_price - fee)


def _sold(sale: Sale, fee: Decimal) -> SoldPiece:
    from workshop.papers.gallery import SoldPiece

    return SoldPiece(
        on=sale.on,
        paper=sale.number,
        what=", ".join(line.words for line in sale.lines.all()),
        price=sale.gross,
        fee=fee,
        ours=sale.gross - fee,
    )


def _what(article: Article) -> str:
    species = dict.fromkeys(part.skin.species for part in article.parts.all())
    return ", ".join((article.kind, *species))
