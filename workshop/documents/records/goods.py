"""Papers of pieces on their way: the packing slip of a sale, a fair's pack list and day sheet, what a gallery holds and owes."""

from datetime import date
from decimal import Decimal

from costing.models import Fair, FairPiece, Payment, Sale, SaleLine
from costing.sell.fairs import selectors as fairs
from costing.sell.galleries import selectors as galleries
from costing.sell.pricing import selectors as pricing
from costing.sell.pricing.rules import Channel, Footing
from costing.sell.sales import selectors as sales
from costing.sell.sales.invoices import selectors as invoices
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.ledger.usage import selectors as usage
from inventory.models import Article, Move, Place
from workshop.documents.kit import wording
from workshop.documents.kit.letter import Party
from workshop.documents.records.invoices import party
from workshop.documents.sales.fair_day import FairDay, PackedPiece
from workshop.documents.sales.gallery import GalleryPaper, GalleryPiece
from workshop.documents.sales.packing_slip import PackedItem, PackingSlip
from workshop.documents.words import selectors as words_read, species
from workshop.documents.words.rules import Words

ZERO = Decimal(0)
_BOXED = (SaleLine.Kind.ARTICLE, SaleLine.Kind.WORK, SaleLine.Kind.SCRAP, SaleLine.Kind.OTHER)


def packing_slip(sale: Sale, language: str = "") -> PackingSlip:
    """What a sale put in the box: the buyer's address as it was frozen, things without prices."""
    if sale.kind == Sale.Kind.CREDIT:
        raise Refused(f"{sale.number} is a credit note; nothing is packed for it.", field="number")
    row = (
        sales.found(sale.number)
        .prefetch_related("lines__article__parts__skin", "lines__job__skin__parts__article")
        .get()
    )
    words = words_read.for_customer(row.customer, language)
    items = tuple(_packed(line, words) for line in row.lines.all() if line.kind in _BOXED)
    if not items:
        raise Refused(f"{row.number} sold nothing that goes into a box.", field="number")
    return PackingSlip(row.number, row.on, party(row.seller), party(row.buyer), items, words)


def _packed(line: SaleLine, words: Words) -> PackedItem:
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
    method = piece.method if piece is not None else ""
    care = wording.opened(words(f"care.{method}.name")) if method else ""
    return PackedItem(number, line.words, tags, wording.number(line.quantity), care)


def fair_day(fair: Fair, language: str = "") -> FairDay:
    """The pack list as it stands: what is sold there is printed as sold."""
    row, words = workshop.current(), words_read.of(language)
    return FairDay(
        workshop=row.name,
        name=fair.name,
        on=fair.on,
        pieces=_fair_pieces(fair, words),
        currency=row.currency,
        place=fair.place.name if fair.place else "",
        digits=workshop.places(),
        words=words,
    )


def _fair_pieces(fair: Fair, words: Words) -> tuple[PackedPiece, ...]:
    ways: dict[int, list[str]] = {}
    for sale, how in Payment.objects.filter(sale__fair=fair, amount__gt=0).order_by("pk").values_list("sale", "how"):
        ways.setdefault(sale or 0, []).append(words(f"paid_by.{how}"))
    footing = pricing.footing()
    return tuple(_fair_piece(piece, footing, ways, words) for piece in fairs.pieces(fair))


def _fair_piece(piece: FairPiece, footing: Footing, ways: dict[int, list[str]], words: Words) -> PackedPiece:
    """The least to take pays what was spent and my hours in full; no fee is reckoned with, for cash costs none."""
    article: Article = piece.article
    sold: SaleLine | None = piece.sold_by  # type: ignore[attr-defined]  # put there by the selector
    price = pricing.of_article(article, pricing.NO_CHANNEL, footing)
    at_list = price.at_list
    return PackedPiece(
        number=article.number,
        description=_described(article, words),
        list_price=article.list_price,
        pays=at_list.pays if at_list and footing.on_top else None,
        least=price.floors.wage,
        sold=sold.gross if sold else None,
        how=", ".join(dict.fromkeys(ways.get(sold.sale_id, []))) if sold else "",
        back=piece.back,
    )


def gallery_paper(place: Place, *, on: date | None = None, month: str = "", language: str = "") -> GalleryPaper:
    """What a gallery holds now; with a month also what it sold in it, and what is left of that to pay at its end."""
    if place.kind != Place.Kind.GALLERY:
        raise Refused(f"{place.name} is no gallery. A sale-or-return list is of pieces at a gallery.", field="place")
    channel = getattr(place, "channel", None)
    words = words_read.of(language)
    terms, footing = pricing.plain(channel) if channel else pricing.NO_CHANNEL, pricing.footing()
    sold: tuple[GalleryPiece, ...] = ()
    due, on = ZERO, on or workshop.today()
    if month:
        first, last = usage.month_days(usage.month_number(month))
        statement = galleries.statement(place, channel, first, last)
        sold, due = tuple(_sold(row, kept) for row, kept, _ in statement.rows), statement.left
        on = last
    payable = sum((each.payable or ZERO for each in sold), ZERO)
    return GalleryPaper(
        seller=party(invoices.seller()),
        gallery=Party(place.name),
        on=on,
        held=tuple(_held(article, came, terms, footing, words) for article, came in galleries.held_on(place, on)),
        currency=workshop.current().currency,
        fee_percent=terms.fee_percent,
        fee_fixed=terms.fee_fixed,
        of_net=terms.resells,
        month=month,
        sold=sold,
        paid=payable - due,
        due=due,
        digits=workshop.places(),
        words=words,
    )


def _held(article: Article, came: Move | None, terms: Channel, footing: Footing, words: Words) -> GalleryPiece:
    since, price = came.on if came else None, article.list_price
    if price is None:
        return GalleryPiece(article.number, _described(article, words), since)
    sums = pricing.meaning(price, terms, footed=footing)
    return GalleryPiece(article.number, _described(article, words), since, sums.pays, sums.fee, sums.pays - sums.fee)


def _sold(sale: Sale, fee: Decimal) -> GalleryPiece:
    things = ", ".join(line.words for line in sale.lines.all())
    return GalleryPiece(sale.number, things, sale.on, sale.gross, fee, sale.gross - fee)


def _described(article: Article, words: Words) -> str:
    named = dict.fromkeys(species.trade_name(part.skin.species, words) for part in article.parts.all())
    return ", ".join((article.kind, *named))
