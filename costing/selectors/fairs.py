"""Reads of fairs and galleries: what is packed, what a day left, what a gallery holds and what it owes for what it sold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, Exists, OuterRef, Prefetch, QuerySet

from costing import fairs as rules
from costing.book_errors import NeverBreaksEven
from costing.fairs import FairDay, FairResult
from costing.models import Channel, Expense, Fair, FairPiece, Payment, Sale, SaleLine
from costing.selectors import money, offers, results
from inventory.models import Article, Move, Place
from inventory.selectors import moves, workshop

NOTHING = Decimal(0)


@dataclass(frozen=True)
class Day:
    """A fair's money and what it left. `even`: the least takings that pay for the day; None where nothing tells it."""

    money: FairDay
    result: FairResult
    even: Decimal | None
    never: str = ""


def listed() -> QuerySet[Fair]:
    return Fair.objects.select_related("place").annotate(packed=Count("pieces"))


def days(fairs: list[Fair]) -> dict[int, Day]:
    """By fair id; the number of queries does not grow with them."""
    rows = results.fair_days(Fair.objects.filter(pk__in=[fair.pk for fair in fairs]))
    return {fair.pk: _day(found) for fair, found in rows}


def _day(found: FairDay) -> Day:
    places = workshop.places()
    result = rules.result(found, places)
    if found.takings <= 0:
        return Day(found, result, None)
    try:
        return Day(found, result, rules.break_even_of(found, places))
    except NeverBreaksEven as refusal:
        return Day(found, result, None, str(refusal))


def pieces(fair: Fair) -> list[FairPiece]:
    """The pack list, each piece with the line that sold it (`sold_by`), if it was sold since."""
    rows = list(
        fair.pieces.select_related("article__cost", "article__place")
        .prefetch_related(Prefetch("article__parts", queryset=offers.made_of()))
        .order_by("article__number")
    )
    sold = {
        line.article_id: line
        for line in SaleLine.objects.filter(
            article__in=[row.article_id for row in rows], standing=True, sale__fair=fair
        ).select_related("sale")
    }
    for row in rows:
        row.sold_by = sold.get(row.article_id)  # type: ignore[attr-defined]  # read once for the whole list
    return rows


def there(fair: Fair) -> QuerySet[Article]:
    """Packed pieces that are neither sold nor back."""
    return offers.here().filter(fairs__fair=fair, fairs__back=False)


def packable(fair: Fair) -> QuerySet[Article]:
    """The workshop's own pieces that are here, at no gallery, and not on the list of a fair that is still open."""
    open_ones = FairPiece.objects.filter(article=OuterRef("pk"), fair__closed_on__isnull=True)
    return offers.here().exclude(place__kind=Place.Kind.GALLERY).filter(~Exists(open_ones))


def sales(fair: Fair) -> list[Sale]:
    return list(money.settled().select_related("channel").filter(fair=fair).order_by("on", "pk"))


def costs(fair: Fair) -> list[Expense]:
    return list(Expense.objects.filter(fair=fair).select_related("sale", "reversed_by").order_by("on", "pk"))


def channel_for(how: str) -> Channel | None:
    """What money of that kind went through at the last fair; else a way without or with a fee that has no place of its own."""
    last = (
        Payment.objects.filter(how=how, sale__fair__isnull=False, sale__channel__isnull=False, amount__gt=0)
        .select_related("sale__channel")
        .order_by("-pk")
        .first()
    )
    if last is not None and last.sale is not None:
        return last.sale.channel
    ways = [row for row in offers.ways() if row.place_id is None and not row.fixed_cost]
    wanted = (row for row in ways if bool(row.fee_percent) == (how == Payment.How.CARD))
    return next(wanted, None)


@dataclass(frozen=True)
class Held:
    """A piece at a place, and the move that brought it there (None: it was there when its moves began)."""

    article: Article
    came: Move | None


def held(place: Place) -> list[Held]:
    """Pieces at a place now, by number."""
    rows = list(offers.here().filter(place=place))
    came: dict[int, Move] = {}
    for move in moves.standing().filter(article__in=rows, to=place):
        came[move.article_id or 0] = move
    return [Held(row, came.get(row.pk)) for row in rows]


def held_on(place: Place, on: date) -> list[Held]:
    """Pieces that stood at a place at the end of a day, by number, the workshop's own."""
    ids = {pk for pk, there in moves.where(on).items() if there.pk == place.pk}
    made = Prefetch("parts", queryset=offers.made_of())
    own = moves.held_on(on).filter(pk__in=ids, customers=False)
    rows = list(own.select_related("place", "cost").prefetch_related(made).order_by("number"))
    came: dict[int, Move] = {}
    for move in moves.standing().filter(article__in=rows, to=place, on__lte=on):
        came[move.article_id or 0] = move
    return [Held(row, came.get(row.pk)) for row in rows]


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
    """`left` is that of the end of the time."""
    papers = (
        money.settled().filter(channel=channel, on__range=(first, last)).order_by("on", "pk")
        if channel
        else Sale.objects.none()
    )
    fees: dict[int, Decimal] = {}
    for row in Expense.objects.filter(sale__in=papers, kind=Expense.Kind.FEE):
        fees[row.sale_id or 0] = fees.get(row.sale_id or 0, NOTHING) + row.amount
    rows = [
        (
            paper,
            fees.get(paper.pk, NOTHING),
            NOTHING if paper.kind == Sale.Kind.CREDIT else money.balance(paper, last).left,
        )
        for paper in papers
    ]
    moved = moves.standing().filter(article__isnull=False, on__range=(first, last)).select_related("article", "to")
    return Statement(
        rows=rows,
        gross=sum((paper.gross for paper, _, _ in rows), NOTHING),
        fees=sum((fee for _, fee, _ in rows), NOTHING),
        left=sum((left for _, _, left in rows), NOTHING),
        sent=list(moved.filter(to=place)),
        back=list(moved.filter(origin=place, why=Move.Why.MOVED).exclude(to=place)),
    )
