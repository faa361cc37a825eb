"""Reads of galleries: what one holds on sale or return, and what it owes for what it sold."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch

from costing.sell.expenses.models import Expense
from costing.sell.payments import selectors as payments
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales.models import Sale
from costing.sell.sales.offers import selectors as offers
from inventory.models import Article, Move, Place
from inventory.money import ZERO
from inventory.places.moves import selectors as moves

# A piece at a place, and the move that brought it there (None: it was there when its moves began).
Held = tuple[Article, Move | None]


def held(place: Place) -> list[Held]:
    """Pieces at a place now, by number."""
    return _with_moves(place, list(offers.here().filter(place=place)))


def held_on(place: Place, on: date) -> list[Held]:
    """Pieces that stood at a place at the end of a day, by number, the workshop's own."""
    ids = {pk for pk, there in moves.where(on).items() if there.pk == place.pk}
    made = Prefetch("parts", queryset=offers.made_of())
    own = moves.held_on(on).filter(pk__in=ids, customers=False)
    return _with_moves(place, list(own.select_related("place", "cost").prefetch_related(made).order_by("number")), on)


def _with_moves(place: Place, rows: list[Article], on: date = date.max) -> list[Held]:
    brought = moves.standing().filter(article__in=rows, to=place, on__lte=on)
    came = {move.article_id: move for move in brought}
    return [(row, came.get(row.pk)) for row in rows]


@dataclass(frozen=True)
class Statement:
    """What was sold through a channel in a time: one row a paper, with what it keeps and what is left to pay."""

    rows: list[tuple[Sale, Decimal, Decimal]]
    gross: Decimal
    fees: Decimal
    left: Decimal
    sent: list[Move]
    back: list[Move]


def statement(place: Place, channel: Channel | None, first: date, last: date) -> Statement:
    """`left` is that of the end of the time; of a credit nothing is left."""
    papers = (
        payments.settled().filter(channel=channel, on__range=(first, last)).order_by("on", "pk")
        if channel
        else Sale.objects.none()
    )
    fees: dict[int, Decimal] = defaultdict(Decimal)
    for row in Expense.objects.filter(sale__in=papers, kind=Expense.Kind.FEE):
        fees[row.sale_id or 0] += row.paid
    rows = [(paper, fees[paper.pk], payments.balance(paper, last).left) for paper in papers]
    moved = moves.standing().filter(article__isnull=False, on__range=(first, last)).select_related("article", "to")
    return Statement(
        rows=rows,
        gross=sum((paper.gross for paper, _, _ in rows), ZERO),
        fees=sum((fee for _, fee, _ in rows), ZERO),
        left=sum((left for _, _, left in rows), ZERO),
        sent=list(moved.filter(to=place)),
        back=list(moved.filter(origin=place, why=Move.Why.MOVED).exclude(to=place)),
    )
