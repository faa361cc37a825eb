"""Reads of fairs: what is packed, and what a day left."""

from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from django.db.models import Count, Exists, OuterRef, Prefetch, QuerySet

from costing.sell.expenses.models import Expense
from costing.sell.fairs.models import Fair, FairPiece
from costing.sell.fairs.rules import FairDay, FairResult, result
from costing.sell.payments import selectors as payments
from costing.sell.payments.models import Payment
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales import selectors as sales_read
from costing.sell.sales.lines import rules as sale_lines, selectors as sale_lines_read
from costing.sell.sales.lines.selectors import SoldLine
from costing.sell.sales.models import Sale
from costing.sell.sales.offers import selectors as offers
from inventory.base import selectors as workshop
from inventory.models import Article, Place
from inventory.money import ZERO
from inventory.units import MINUTES_PER_HOUR


def days(rows: QuerySet[Fair], sold: Sequence[SoldLine] = ()) -> dict[Fair, FairResult]:
    """What these fairs left, the earliest first; the number of queries does not grow with them. `sold`: what was read already of
    what was sold, such as a year's; only the rest is read."""
    things: dict[int, list[sale_lines.Sold]] = defaultdict(list)
    fairs = list(rows.prefetch_related("expenses").order_by("on", "pk"))
    sales = Sale.objects.filter(fair__in=fairs)
    known = {row.sale.pk for row in sold}
    taken: dict[int, Decimal] = defaultdict(Decimal)
    rest = []
    for pk, fair_id, net in sales.values_list("pk", "fair", "net"):
        taken[fair_id or 0] += net
        rest += [] if pk in known else [pk]
    for row in (*sold, *(sale_lines_read.lines(Sale.objects.filter(pk__in=rest)) if rest else ())):
        things[row.sale.fair_id or 0].append(row.sold)
    places = workshop.places()
    return {fair: result(_money(fair, taken[fair.pk], things[fair.pk]), places) for fair in fairs}


# What stands by itself in the result of a day, and what is of the year; all other kinds come together.
_NAMED = (Expense.Kind.PITCH, Expense.Kind.FUEL, Expense.Kind.FEE, Expense.Kind.OVERHEAD)


def _money(fair: Fair, taken: Decimal, things: list[sale_lines.Sold]) -> FairDay:
    spent: dict[str, Decimal] = defaultdict(Decimal)
    for row in fair.expenses.all():
        spent[row.kind] += row.amount
    return FairDay(
        takings=taken,
        goods=sum((row.book for row in things), Fraction(0)),
        pitch=spent[Expense.Kind.PITCH],
        fuel=spent[Expense.Kind.FUEL],
        other=sum((amount for kind, amount in spent.items() if kind not in _NAMED), ZERO),
        card_fees=spent[Expense.Kind.FEE],
        stall_hours=Fraction(fair.stall_minutes) / MINUTES_PER_HOUR,
    )


def listed() -> QuerySet[Fair]:
    return Fair.objects.select_related("place").annotate(packed=Count("pieces"))


def pieces(fair: Fair) -> list[FairPiece]:
    """The pack list, each piece with the line that sold it (`sold_by`), if it was sold since."""
    rows = list(
        fair.pieces.select_related("article__cost", "article__place")
        .prefetch_related(Prefetch("article__parts", queryset=offers.made_of()))
        .order_by("article__number")
    )
    sold = sales_read.selling_line(row.article_id for row in rows)
    for row in rows:
        line = sold.get(row.article_id)
        row.sold_by = line if line and line.sale.fair_id == fair.pk else None  # type: ignore[attr-defined]  # read once for the whole list
    return rows


def there(fair: Fair) -> QuerySet[Article]:
    """Packed pieces that are neither sold nor back."""
    return offers.here().filter(fairs__fair=fair, fairs__back=False)


def packable(fair: Fair) -> QuerySet[Article]:
    """The workshop's own pieces that are here, at no gallery, and not on the list of a fair that is still open."""
    open_ones = FairPiece.objects.filter(article=OuterRef("pk"), fair__closed_on__isnull=True)
    here = offers.here().select_related(None).prefetch_related(None).select_related("place")
    return here.exclude(place__kind=Place.Kind.GALLERY).filter(~Exists(open_ones))


def sales(fair: Fair) -> list[Sale]:
    return list(payments.settled().select_related("channel").filter(fair=fair).order_by("on", "pk"))


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
    wanted = (row for row in ways if bool(row.fee_percent or row.fee_fixed) == (how == Payment.How.CARD))
    return next(wanted, None)
