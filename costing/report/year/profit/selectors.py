"""What a year brought in, gathered for its rules: two profits, the bridge, the stock identity, hours.

Every figure comes from the entries themselves. The number of queries does not grow with sales, skins or pieces.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Model, QuerySet, Sum

from costing.make.cost.rates import selectors as rates
from costing.make.frames import selectors as frames
from costing.make.labour.models import LabourLine
from costing.report.sums import sums
from costing.report.valuation import selectors as valuation
from costing.report.valuation.selectors import StockValue
from costing.report.year.costs import selectors as costs
from costing.report.year.costs.selectors import ByKind, Spent
from costing.report.year.profit import rules as profit
from costing.sell.bills import selectors as bills
from costing.sell.bills.rules import Bill
from costing.sell.expenses.models import Expense, SideHours
from costing.sell.fairs.models import Fair
from costing.sell.headings import selectors as headings
from costing.sell.headings.models import CostKind
from costing.sell.payments.cash import selectors as cash
from costing.sell.payments.cash.selectors import Cash
from costing.sell.sales.lines import rules as sale_lines
from costing.sell.sales.models import Sale, SaleLine
from inventory.base import selectors as workshop
from inventory.models import Kind, Move, Movement, Skin
from inventory.money import ZERO, half_up
from inventory.units import MINUTES_PER_HOUR

Within = tuple[date, date]

OF_YEAR = CostKind.Place.YEAR
_NAMED = (Expense.Kind.FEE, Expense.Kind.POSTAGE, Expense.Kind.PITCH, Expense.Kind.FUEL)
SOLD = (Move.Why.SOLD, Move.Why.DELIVERED)

GROUPS: dict[str, Callable[[sale_lines.Sold], str]] = {
    "species": lambda row: row.species,
    "method": lambda row: row.method,
    "channel": lambda row: row.channel,
    "fair": lambda row: row.fair,
    "piece": lambda row: row.what,
}


@dataclass(frozen=True)
class Year:
    """Results from `first` to `last`: what was entered and read; what follows from it is worked out by the rules.

    `gross` and `returns` make up the turnover, `tips` are a part of it. `paid` is what was paid in the time for stock, selling and
    overheads, whenever it came; `unpaid` are the bills not paid on the eve and on the last day. `spent` is all by kind of cost.

    Hours on skins are `making_hours`; those at frames are among `other_hours`.

    `gone` says where the stock went; `parts` is the stock at the end. `debts` are the payments' balances on the eve and on
    the last day: what was received so far, what buyers owe (without tax), what is held for things not handed over, what was
    written off.
    """

    first: date
    last: date
    turnover: Decimal
    gross: Decimal
    returns: Decimal
    tips: Decimal
    tax: Decimal
    stock: profit.Stock
    parts: StockValue
    gone: profit.Gone
    selling: profit.Selling
    overheads: profit.Overheads
    spent: Spent
    paid: tuple[profit.Stock, profit.Selling, Decimal]
    unpaid: tuple[Decimal, Decimal]
    debts: tuple[Cash, Cash]
    making_hours: Fraction
    stall_hours: Fraction
    other_hours: Fraction
    places: int

    @property
    def hours(self) -> Fraction:
        return self.making_hours + self.stall_hours + self.other_hours

    @property
    def received(self) -> Decimal:
        return self.debts[1].received - self.debts[0].received

    @property
    def deposits(self) -> Decimal:
        return self.debts[1].held

    @property
    def owed(self) -> Decimal:
        return self.debts[1].owed

    @property
    def bad_debts(self) -> Decimal:
        """Written off in the year without tax, less what was recovered."""
        return self.debts[1].lost - self.debts[0].lost

    @property
    def unaccounted(self) -> Decimal:
        return profit.unaccounted(self.stock, self.gone)

    @property
    def stock_profit(self) -> Decimal:
        given = (self.turnover, self.stock, self.selling, self.overheads.spent, self.gone.own_use, self.bad_debts)
        return profit.stock_basis(*given)

    @property
    def cash_profit(self) -> Decimal:
        return profit.cash_basis(self.received, *self.paid, self.gone.own_use)

    @property
    def bridge(self) -> profit.Bridge:
        was, now = self.debts
        more = self.stock.closing - self.stock.opening
        unpaid = self.unpaid[1] - self.unpaid[0]
        owed, held = now.owed - was.owed + self.bad_debts, now.held - was.held
        return profit.bridge(self.stock_profit, self.cash_profit, more, owed, held, unpaid, self.bad_debts)

    @property
    def per_hour(self) -> Decimal | None:
        return sale_lines.per_hour(self.stock_profit, self.hours, self.places)

    @property
    def per_making_hour(self) -> Decimal | None:
        return sale_lines.per_hour(self.stock_profit, self.making_hours, self.places)


def year(number: int) -> Year:
    """The calendar year; of one that still runs, what is entered of it."""
    first, last = date(number, 1, 1), date(number, 12, 31)
    eve = first - timedelta(days=1)
    before, after = valuation.at(eve), valuation.at(last)
    within = (first, last)
    # By kind of posting: value that came onto the shelf, below nought where it left.
    moved = _by_kind(Movement.objects.filter(on__range=within), "value")
    kinds, due = headings.kinds(), bills.bills()
    spent = costs.within(number, due)
    sales = Sale.objects.filter(on__range=within).exclude(kind=Sale.Kind.OPENING)
    came = Skin.objects.filter(date_in__range=within)
    beside = SideHours.objects.filter(on__range=within)
    was, now = cash.at(eve, last)
    places = workshop.places()
    added = sums(
        turnover=(sales, "net"),
        returned=(sales.filter(kind=Sale.Kind.CREDIT), "net"),
        tax=(sales, "tax"),
        tips=(SaleLine.objects.filter(sale__on__range=within, kind=SaleLine.Kind.TIP), "net"),
        opening=(came.filter(opening=True), "price"),
        skins=(came.filter(opening=False), "price"),
        paid_help=(LabourLine.objects.filter(on__range=within), "paid"),
        framed=(frames.moved_into(Movement.objects.filter(on__range=within)), "value"),
        made=(LabourLine.objects.filter(on__range=within, paid=0), "minutes"),
        fairs=(Fair.objects.filter(on__range=within), "stall_minutes"),
        stalls=(beside.filter(kind=SideHours.Kind.STALL), "minutes"),
        other=(beside.exclude(kind=SideHours.Kind.STALL), "minutes"),
        frames=(frames.made(within), "minutes"),
        repairs=(frames.repaired(within), "minutes"),
    )
    stock = profit.Stock(
        opening=before.total + moved[Kind.OPENING] + added["opening"],
        materials=moved[Kind.RECEIPT] + moved[Kind.CORRECTED],
        skins=added["skins"],
        closing=after.total,
        paid_help=added["paid_help"],
    )
    return Year(
        first=first,
        last=last,
        turnover=added["turnover"],
        gross=added["turnover"] - added["returned"],
        returns=added["returned"],
        tips=added["tips"],
        tax=added["tax"],
        stock=stock,
        parts=after,
        gone=_gone(moved, _rounded(after) - _rounded(before), valuation.left_between(eve, last), -added["framed"]),
        selling=_selling(spent.incurred, kinds),
        overheads=profit.overheads(_absorbed(within), costs.at_place(spent.incurred, kinds, OF_YEAR), places),
        spent=spent,
        paid=(_paid_for(stock, due, within), _selling(spent.paid, kinds), costs.at_place(spent.paid, kinds, OF_YEAR)),
        unpaid=(costs.unpaid(due, eve), costs.unpaid(due, last)),
        debts=(was, now),
        making_hours=_hours(added["made"]),
        stall_hours=_hours(added["stalls"] + added["fairs"]),
        other_hours=_hours(added["other"] + added["frames"] + added["repairs"]),
        places=places,
    )


def _selling(spent: ByKind, kinds: Mapping[str, CostKind]) -> profit.Selling:
    """Kinds of selling that the maker made are among the others."""
    named = [spent.get(kind, ZERO) for kind in _NAMED]
    fees, postage, pitches, fuel = named
    rest = costs.at_place(spent, kinds, CostKind.Place.SELLING) - sum(named, ZERO)
    return profit.Selling(fees, postage, pitches, fuel, rest)


def _paid_for(stock: profit.Stock, due: Iterable[Bill], within: Within) -> profit.Stock:
    """What was paid for goods: of bills what was paid on them, of all else what came."""
    places, eve, last = workshop.places(), within[0] - timedelta(days=1), within[1]
    goods = [bill for bill in due if bill.delivery is not None]
    later = sum((bill.left_net(eve, places) - bill.left_net(last, places) for bill in goods), ZERO)
    return replace(stock, materials=stock.materials + later)


def _by_kind(rows: QuerySet[Model], field: str) -> dict[str, Decimal]:
    """What a field of some entries comes to, by their kind."""
    return defaultdict(Decimal, rows.order_by().values_list("kind").annotate(total=Sum(field)))


def _gone(moved: dict[str, Decimal], rounded: Decimal, left: Mapping[str, Fraction], built: Decimal) -> profit.Gone:
    """Where it went in the time. Pieces and losses at their exact cost (`left`), rounded once a heading; `rounded` is what they
    come to thing by thing."""
    places = workshop.places()

    def exact(*names: str) -> Decimal:
        return half_up(sum((left.get(name, Fraction(0)) for name in names), Fraction(0)), places)

    gone, lost = exact(*SOLD), exact(valuation.LOST)
    spoiled = exact(Move.Why.SPOILED, Move.Why.MISSING)
    own_use, given = exact(Move.Why.OWN_USE), exact(Move.Why.GIVEN)
    return profit.Gone(
        sold=gone,
        spoiled=lost + spoiled - moved[Kind.SPOILED],
        boxes=-moved[Kind.SOLD],
        differences=-moved[Kind.COUNT],
        own_use=own_use - moved[Kind.OWN_USE],
        given=given - moved[Kind.GIVEN],
        other=-moved[Kind.OTHER],
        frames=built,
        sharing=rounded - gone - lost - spoiled - own_use - given,
    )


def _rounded(value: StockValue) -> Decimal:
    """What was written off piece by piece, with what rounding each of them left over."""
    return value.lost + sum(value.gone.values(), ZERO) + value.sharing


def _hours(minutes: Decimal) -> Fraction:
    return Fraction(minutes) / MINUTES_PER_HOUR


def _absorbed(within: Within) -> list[tuple[Fraction, Decimal]]:
    """Hours of making with the overhead rate of their day; those of paid help absorb it too, as in a piece's full cost."""
    rows = LabourLine.objects.filter(on__range=within).order_by().values_list("on")
    by_day = rates.history().overheads(rows.annotate(total=Sum("minutes")))
    return [(_hours(minutes), rate) for minutes, rate in by_day]
