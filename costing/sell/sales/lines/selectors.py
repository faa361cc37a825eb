"""What was sold, line by line: what it took, what selling and making it cost, and the hours in it. Exact, before rounding."""

from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Prefetch, QuerySet

from costing.make.cost import rules as cost_rules, selectors as cost_read
from costing.make.cost.rates import rules as rates
from costing.sell.expenses.models import Expense
from costing.sell.sales.lines import rules as sale_lines
from costing.sell.sales.models import Sale, SaleLine
from inventory.models import Article, ArticleSkin, Skin
from inventory.units import MINUTES_PER_HOUR

Borne = dict[int, cost_rules.Share]


@dataclass(frozen=True)
class SoldLine:
    """A line of a sale or a credit that stands for a thing; `sold` is what the pure rules calculate with."""

    sale: Sale
    line: SaleLine
    sold: sale_lines.Sold


def lines(rows: QuerySet[Sale]) -> list[SoldLine]:
    """The things of these sales and credits, the earliest first. The number of queries does not grow with them."""
    papers = rows.select_related("channel", "fair", "packing__reversed_by").prefetch_related(
        "packing__movements",
        "expenses",
        Prefetch(
            "lines", queryset=SaleLine.objects.select_related("article__cost", "job__skin", "skin").order_by("position")
        ),
        Prefetch("lines__article__parts", queryset=ArticleSkin.objects.select_related("skin")),
        Prefetch("lines__job__skin__parts", queryset=ArticleSkin.objects.select_related("article__cost")),
    )
    sales = list(papers.order_by("on", "pk"))
    borne = _borne({piece.pk for sale in sales for line in sale.lines.all() for piece in _pieces(line)})
    return [found for sale in sales for found in _of_sale(sale, borne)]


def _borne(pieces: set[int]) -> Borne:
    """What pieces (ids) have borne by all entries of today, unrounded, what came late with it: minutes, too."""
    parts = list(ArticleSkin.objects.filter(article__in=pieces).select_related("skin")) if pieces else []
    return cost_read.piece_shares(parts, cost_read.skin_shares({part.skin for part in parts})) if parts else {}


_THINGS = (SaleLine.Kind.ARTICLE, SaleLine.Kind.WORK, SaleLine.Kind.SCRAP)


def _of_sale(sale: Sale, borne: Borne) -> list[SoldLine]:
    """Its things, or its other lines where it sold none.

    What was charged besides (postage) and what selling cost are shared over them by what they took. A tip is no part of any
    price: it is left out, and so is its part of the fee, which the channel took of all that the buyer paid.
    """
    lines = [line for line in sale.lines.all() if line.kind != SaleLine.Kind.TIP]
    things = [line for line in lines if line.kind in _THINGS] or lines
    extra = sum((Fraction(line.net) for line in lines if line not in things), Fraction(0))
    cost = sum((_borne_by_things(row, sale) for row in sale.expenses.all()), Fraction(0))
    if sale.packing is not None and not hasattr(sale.packing, "reversed_by"):
        cost -= sum((Fraction(movement.value) for movement in sale.packing.movements.all()), Fraction(0))
    whole = sum((abs(Fraction(line.net)) for line in things), Fraction(0))
    found = []
    for line in things:
        share = abs(Fraction(line.net)) / whole if whole else Fraction(1, len(things))
        sold = _sold(sale, line, Fraction(line.net) + extra * share, cost * share, borne)
        found.append(SoldLine(sale, line, sold))
    return found


def _borne_by_things(row: Expense, sale: Sale) -> Fraction:
    """Of a fee the part without that of tips; of any other cost all."""
    tips = sum((Fraction(line.gross) for line in sale.lines.all() if line.kind == SaleLine.Kind.TIP), Fraction(0))
    if row.kind != Expense.Kind.FEE or not tips or not sale.gross:
        return Fraction(row.amount)
    return Fraction(row.amount) * (1 - tips / Fraction(sale.gross))


def _sold(sale: Sale, line: SaleLine, taken: Fraction, selling: Fraction, borne: Borne) -> sale_lines.Sold:
    book, full, minutes = _exact(line, borne)
    return sale_lines.Sold(
        what=str(line.article or line.job or line.skin or line.words),
        taken=taken,
        selling=selling,
        book=book,
        full=full,
        hours=minutes / MINUTES_PER_HOUR,
        species=", ".join(dict.fromkeys(skin.species for skin in _skins(line))),
        method=next((piece.get_method_display() for piece in _pieces(line)), ""),
        channel=sale.channel.name if sale.channel else "",
        fair=str(sale.fair) if sale.fair else "",
    )


def _exact(line: SaleLine, borne: Borne) -> tuple[Fraction, Fraction, Fraction]:
    """Book, full and own minutes before rounding, with what came late; below zero where a credit brought the piece back."""
    returned = line.quantity < 0
    if returned and not (line.book or line.own_minutes):
        return Fraction(0), Fraction(0), Fraction(0)
    sign = -1 if returned else 1
    if line.skin is not None and line.skin.loss_spread:
        # The others bear it, hours and all; scrap that was sold had cost what it brought.
        brought = min(abs(Fraction(line.net)), abs(Fraction(line.book)))
        return sign * brought, sign * brought, Fraction(0)
    pieces = _pieces(line)
    if not pieces:
        return Fraction(line.book), Fraction(line.full), Fraction(line.own_minutes)
    book, full, minutes = Fraction(0), Fraction(0), Fraction(0)
    for piece in pieces:
        cost, share = piece.cost, borne[piece.pk]
        book += share.book()
        full += share.full(rates.Rates(cost.wage_per_hour, cost.overhead_per_hour, cost.frame_wear))
        minutes += share.own_minutes
    return sign * book, sign * full, sign * minutes


def _pieces(line: SaleLine) -> list[Article]:
    """What a line sold: its piece, or all that was made of a customer's skin."""
    if line.job is not None:
        return [part.article for part in line.job.skin.parts.all()]
    return [line.article] if line.article is not None else []


def _skins(line: SaleLine) -> list[Skin]:
    if line.article is not None:
        return [part.skin for part in line.article.parts.all()]
    thing = line.job.skin if line.job is not None else line.skin
    return [thing] if thing is not None else []
