"""What a year brought in, gathered for `costing.results`: two profits, the bridge, the stock identity, hours, pieces, fairs.

Every figure comes from the entries themselves. The number of queries does not grow with sales, skins or pieces.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Prefetch, QuerySet, Sum

from costing import fairs as fair_rules
from costing import results as rules
from costing import rollup
from costing.models import Expense, Fair, LabourLine, Payment, Sale, SaleLine, SideHours
from costing.selectors import money, prices, rates, stock_value
from costing.selectors.stock_value import StockValue
from inventory.models import Article, Kind, Move, Movement, Skin
from inventory.money import half_up
from inventory.selectors import workshop

NOTHING = Decimal(0)
MINUTES = 60
SOLD = (Move.Why.SOLD, Move.Why.DELIVERED)


@dataclass(frozen=True)
class Year:
    """Results from `first` to `last`. `gone` says where the stock went, `conservation` whether all of it is told."""

    first: date
    last: date
    turnover: Decimal
    tax: Decimal
    received: Decimal
    stock: rules.Stock
    parts: StockValue
    gone: rules.Gone
    conservation: rules.Conservation
    selling: rules.Selling
    overheads: rules.Overheads
    stock_profit: Decimal
    cash_profit: Decimal
    bridge: rules.Bridge
    making_hours: Fraction
    stall_hours: Fraction
    other_hours: Fraction
    per_hour: Decimal | None
    per_making_hour: Decimal | None
    deposits: Decimal

    @property
    def hours(self) -> Fraction:
        return self.making_hours + self.stall_hours + self.other_hours


def year(number: int) -> Year:
    """The calendar year; of one that still runs, what is written of it."""
    first, last = date(number, 1, 1), date(number, 12, 31)
    eve = first - timedelta(days=1)
    before, after = stock_value.at(eve), stock_value.at(last)
    moved = _moved(first, last)
    stock = rules.Stock(
        opening=before.total + moved[Kind.OPENING],
        materials=moved[Kind.RECEIPT],
        skins=_sum(Skin.objects.filter(date_in__range=(first, last)), "price"),
        closing=after.total,
        paid_help=_sum(LabourLine.objects.filter(on__range=(first, last)), "paid"),
    )
    gone = _gone(moved, before, after)
    spent = _spent(first, last)
    selling = rules.Selling(
        fees=spent[Expense.Kind.FEE],
        postage=spent[Expense.Kind.POSTAGE],
        pitches=spent[Expense.Kind.PITCH],
        fuel=spent[Expense.Kind.FUEL],
        other=spent[Expense.Kind.OTHER],
    )
    overhead = spent[Expense.Kind.OVERHEAD]
    sales = Sale.objects.filter(on__range=(first, last))
    turnover = _sum(sales, "net")
    received = _received(first, last)
    by_stock = rules.stock_basis(turnover, stock, selling, overhead, gone.own_use)
    by_cash = rules.cash_basis(
        received, stock.materials, stock.skins, selling.total, overhead, gone.own_use, stock.paid_help
    )
    held = rules.Change(money.deposits_held(eve), money.deposits_held(last))
    making, stall, other = _hours(first, last)
    places = workshop.places()
    return Year(
        first=first,
        last=last,
        turnover=turnover,
        tax=_sum(sales, "tax"),
        received=received,
        stock=stock,
        parts=after,
        gone=gone,
        conservation=rules.conservation(stock, gone),
        selling=selling,
        overheads=rules.overheads(making, rates.current().overhead_per_hour, overhead, places),
        stock_profit=by_stock,
        cash_profit=by_cash,
        bridge=rules.bridge(
            by_stock, by_cash, rules.Change(stock.opening, stock.closing), rules.Change(_owed(eve), _owed(last)), held
        ),
        making_hours=making,
        stall_hours=stall,
        other_hours=other,
        per_hour=rules.per_hour(by_stock, making + stall + other, places),
        per_making_hour=rules.per_hour(by_stock, making, places),
        deposits=held.closing,
    )


def _sum(rows: QuerySet[Sale] | QuerySet[Skin] | QuerySet[LabourLine], field: str) -> Decimal:
    return rows.aggregate(total=Sum(field))["total"] or NOTHING


def _moved(first: date, last: date) -> dict[str, Decimal]:
    """By kind of posting: value that came onto the shelf in the time, below nought where it left."""
    rows = Movement.objects.filter(on__range=(first, last)).order_by().values_list("kind").annotate(total=Sum("value"))
    return defaultdict(Decimal, rows)


def _gone(moved: dict[str, Decimal], before: StockValue, after: StockValue) -> rules.Gone:
    """Where it went in the time. Pieces and losses at their exact cost, rounded once a heading."""
    places = workshop.places()

    def exact(*names: str) -> Decimal:
        change = sum(
            (after.exact.get(name, Fraction(0)) - before.exact.get(name, Fraction(0)) for name in names), Fraction(0)
        )
        return half_up(change, places)

    sold, lost = exact(*SOLD), exact("lost")
    spoiled, own_use, given = exact(Move.Why.SPOILED), exact(Move.Why.OWN_USE), exact(Move.Why.GIVEN)
    rounded = _rounded(after) - _rounded(before)
    return rules.Gone(
        sold=sold,
        spoiled=lost + spoiled - moved[Kind.SPOILED],
        boxes=-moved[Kind.SOLD],
        differences=-moved[Kind.COUNT],
        own_use=own_use - moved[Kind.OWN_USE],
        given=given - moved[Kind.GIVEN],
        other=-moved[Kind.OTHER],
        sharing=rounded - sold - lost - spoiled - own_use - given,
    )


def _rounded(value: StockValue) -> Decimal:
    """What was written off piece by piece, with what rounding each of them left over."""
    return value.lost + sum(value.gone.values(), NOTHING) + value.sharing


def _spent(first: date, last: date) -> dict[str, Decimal]:
    rows = Expense.objects.filter(on__range=(first, last)).order_by().values_list("kind").annotate(total=Sum("amount"))
    return defaultdict(Decimal, rows)


def _without_tax(sale: Sale | None) -> Fraction:
    """The part of what is paid for a sale that is the maker's own."""
    return Fraction(sale.net) / Fraction(sale.gross) if sale is not None and sale.gross else Fraction(1)


def _received(first: date, last: date) -> Decimal:
    """Money that came in the time, tax left out, with what was withheld from it (that is a cost of its own)."""
    billed = {
        line.job_id: line.sale
        for line in SaleLine.objects.filter(job__isnull=False, standing=True).select_related("sale")
    }
    rows = Payment.objects.filter(on__range=(first, last)).select_related("sale")
    came = sum((Fraction(row.amount) * _without_tax(row.sale or billed.get(row.job_id)) for row in rows), Fraction(0))
    kept = Expense.objects.filter(on__range=(first, last), withheld=True).select_related("sale")
    came += sum((Fraction(row.amount) * _without_tax(row.sale) for row in kept), Fraction(0))
    return half_up(came, workshop.places())


def _owed(on: date) -> Decimal:
    """What buyers owe at the end of a day, less what is owed back to them, tax left out."""
    rows = money.settled().filter(on__lte=on).exclude(kind=Sale.Kind.CREDIT)
    total = Fraction(0)
    for row in rows:
        stands = money.balance(row, on)
        total += Fraction(stands.left - stands.overpaid) * _without_tax(row)
    return half_up(total, workshop.places())


def _hours(first: date, last: date) -> tuple[Fraction, Fraction, Fraction]:
    """Own hours on skins, at stalls, and at everything else."""
    made = LabourLine.objects.filter(on__range=(first, last), paid=0).aggregate(total=Sum("minutes"))["total"]
    fairs = Fair.objects.filter(on__range=(first, last)).aggregate(total=Sum("stall_minutes"))["total"]
    side = dict(
        SideHours.objects.filter(on__range=(first, last)).order_by().values_list("kind").annotate(Sum("minutes"))
    )
    stall = side.pop(SideHours.Kind.STALL, NOTHING) + (fairs or NOTHING)
    minutes = (made or NOTHING, stall, sum(side.values(), NOTHING))
    making, stalls, other = (Fraction(each) / MINUTES for each in minutes)
    return making, stalls, other


def pieces(first: date, last: date) -> list[rules.Sold]:
    """Every piece, job and spoiled skin sold or credited in the time, with its share of postage charged and selling costs."""
    return sold(Sale.objects.filter(on__range=(first, last)))


def sold(papers: QuerySet[Sale]) -> list[rules.Sold]:
    """The same of these papers."""
    rows = papers.select_related("channel", "fair").prefetch_related("packing__movements", *_LINES)
    return [each for row in rows.order_by("on", "pk") for each in _of_sale(row)]


def by_fair(first: date, last: date) -> list[tuple[Fair, fair_rules.FairResult]]:
    """What each fair of the time left, and per hour at the stall."""
    days = fair_days(Fair.objects.filter(on__range=(first, last)))
    return [(fair, fair_rules.result(day, workshop.places())) for fair, day in days]


def fair_days(rows: QuerySet[Fair]) -> list[tuple[Fair, fair_rules.FairDay]]:
    """The money of these fairs, the earliest first."""
    sold: dict[int, list[rules.Sold]] = defaultdict(list)
    taken: dict[int, Fraction] = defaultdict(Fraction)
    fairs = list(rows.prefetch_related("expenses").order_by("on", "pk"))
    sales = Sale.objects.filter(fair__in=fairs).select_related("channel", "fair")
    for sale in sales.prefetch_related("packing__movements", *_LINES):
        taken[sale.fair_id or 0] += Fraction(sale.net)
        sold[sale.fair_id or 0] += _of_sale(sale)
    return [(fair, _fair_day(fair, taken[fair.pk], sold[fair.pk])) for fair in fairs]


def _fair_day(fair: Fair, taken: Fraction, sold: list[rules.Sold]) -> fair_rules.FairDay:
    spent: dict[str, Decimal] = defaultdict(Decimal)
    for row in fair.expenses.all():
        spent[row.kind] += row.amount
    return fair_rules.FairDay(
        takings=half_up(taken, workshop.places()),
        goods=sum((row.book for row in sold), Fraction(0)),
        pitch=spent[Expense.Kind.PITCH],
        fuel=spent[Expense.Kind.FUEL],
        other=spent[Expense.Kind.OTHER] + spent[Expense.Kind.POSTAGE],
        card_fees=spent[Expense.Kind.FEE],
        stall_hours=Fraction(fair.stall_minutes) / MINUTES,
    )


_LINES = (
    "expenses",
    Prefetch("lines", queryset=SaleLine.objects.select_related("article__cost", "job", "skin").order_by("position")),
    "lines__article__parts__skin",
    "lines__job__skin__parts__article__cost",
)
_THINGS = (SaleLine.Kind.ARTICLE, SaleLine.Kind.WORK, SaleLine.Kind.SCRAP)


def _of_sale(sale: Sale) -> list[rules.Sold]:
    """Its things, or its other lines where it sold none. What was charged besides (postage) and what selling cost are
    shared over them by what they took."""
    lines = list(sale.lines.all())
    things = [line for line in lines if line.kind in _THINGS] or lines
    extra = sum((Fraction(line.net) for line in lines if line not in things), Fraction(0))
    cost = sum((Fraction(row.amount) for row in sale.expenses.all()), Fraction(0))
    if sale.packing is not None:
        cost -= sum((Fraction(movement.value) for movement in sale.packing.movements.all()), Fraction(0))
    whole = sum((abs(Fraction(line.net)) for line in things), Fraction(0))
    found = []
    for line in things:
        share = abs(Fraction(line.net)) / whole if whole else Fraction(1, len(things))
        found.append(_sold(sale, line, Fraction(line.net) + extra * share, cost * share))
    return found


def _sold(sale: Sale, line: SaleLine, taken: Fraction, selling: Fraction) -> rules.Sold:
    book, full, minutes = _exact(line)
    skins = _skins(line)
    return rules.Sold(
        what=_name(line),
        taken=taken,
        selling=selling,
        book=book,
        full=full,
        hours=minutes / MINUTES,
        species=", ".join(dict.fromkeys(skin.species for skin in skins)),
        method=_method(line),
        channel=sale.channel.name if sale.channel else "",
        fair=str(sale.fair) if sale.fair else "",
    )


def _name(line: SaleLine) -> str:
    thing = line.article or line.job or line.skin
    return str(thing) if thing is not None else line.words


def _exact(line: SaleLine) -> tuple[Fraction, Fraction, Fraction]:
    """Book, full and own minutes before rounding, with what came late; below nought where a credit brought the piece back."""
    returned = line.quantity < 0
    if returned and not (line.book or line.own_minutes):
        return Fraction(0), Fraction(0), Fraction(0)
    sign = -1 if returned else 1
    article = _piece(line)
    if article is None:
        return Fraction(line.book), Fraction(line.full), Fraction(line.own_minutes)
    cost = article.cost
    share = prices.frozen_share(cost)
    rate = rollup.Rates(cost.wage_per_hour, cost.overhead_per_hour, cost.frame_wear)
    book = share.book() + Fraction(cost.late_book)
    return sign * book, sign * (share.full(rate) + Fraction(cost.late_full)), sign * share.own_minutes


def _piece(line: SaleLine) -> Article | None:
    if line.job is not None:
        return next((part.article for part in line.job.skin.parts.all()), None)
    return line.article


def _skins(line: SaleLine) -> list[Skin]:
    if line.article is not None:
        return [part.skin for part in line.article.parts.all()]
    thing = line.job.skin if line.job is not None else line.skin
    return [thing] if thing is not None else []


def _method(line: SaleLine) -> str:
    article = _piece(line)
    return article.get_method_display() if article is not None else ""
