"""What a year, a piece or a group of pieces brought in: two profits and the bridge between them, and the stock identity.

Owns the arithmetic of results. Must not know where figures come from, nor which of the two profits a tax office wants.
Everything that should hold returns what it misses by instead of assuming that it holds. Results of pieces start from
exact costs and are rounded once.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields
from decimal import Decimal
from fractions import Fraction

from costing.sell.sales.lines.rules import PieceResult, Sold, of_sales
from inventory.money import ZERO, Exact, half_up


@dataclass(frozen=True)
class Stock:
    """Value of the stock at both ends and what was bought between, materials and skins, all at cost."""

    opening: Decimal
    materials: Decimal
    skins: Decimal
    closing: Decimal
    paid_help: Decimal = ZERO

    @property
    def used(self) -> Decimal:
        """What left the stock: opening + bought + paid help that went into pieces - closing.

        >>> Stock(Decimal("42.89"), Decimal("236.00"), Decimal("146.00"), Decimal("205.82")).used
        Decimal('219.07')
        """
        return self.opening + self.materials + self.skins + self.paid_help - self.closing


@dataclass(frozen=True)
class Gone:
    """Where it went, at book cost. `sharing` is what rounding each piece to the coin left over of the exact shares."""

    sold: Decimal = ZERO
    spoiled: Decimal = ZERO
    boxes: Decimal = ZERO
    differences: Decimal = ZERO
    own_use: Decimal = ZERO
    given: Decimal = ZERO
    other: Decimal = ZERO
    sharing: Decimal = ZERO

    @property
    def total(self) -> Decimal:
        """All of it together."""
        return sum((getattr(self, part.name) for part in fields(self)), ZERO)


@dataclass(frozen=True)
class Conservation:
    """Whether nothing got lost: what left the stock, what is accounted for, and what is missing between (nought)."""

    used: Decimal
    accounted: Decimal
    miss: Decimal

    @property
    def holds(self) -> bool:
        """Nothing is missing, and nothing is counted twice."""
        return not self.miss


def conservation(stock: Stock, gone: Gone) -> Conservation:
    """opening + bought - closing = all of `gone`, sharing included; the miss is left - right.

    >>> year = Stock(Decimal("42.89"), Decimal("236.00"), Decimal("146.00"), Decimal("205.82"))
    >>> conservation(year, Gone(Decimal("171.89"), Decimal("36.82"), Decimal("7.97"), Decimal("2.39"))).miss
    Decimal('0.00')
    """
    return Conservation(stock.used, gone.total, stock.used - gone.total)


@dataclass(frozen=True)
class Selling:
    """What selling cost in money. Boxes are not in it: they come out of the stock."""

    fees: Decimal = ZERO
    postage: Decimal = ZERO
    pitches: Decimal = ZERO
    fuel: Decimal = ZERO
    other: Decimal = ZERO

    @property
    def total(self) -> Decimal:
        """All of it together."""
        return sum((getattr(self, part.name) for part in fields(self)), ZERO)


@dataclass(frozen=True)
class Change:
    """A balance at both ends of the time."""

    opening: Decimal = ZERO
    closing: Decimal = ZERO

    @property
    def by(self) -> Decimal:
        """closing - opening."""
        return self.closing - self.opening


@dataclass(frozen=True)
class Bridge:
    """Stock-basis profit - cash-basis profit, and what explains it. `miss` is what nothing explains (nought)."""

    difference: Decimal
    stock: Decimal
    owed_to_me: Decimal
    deposits: Decimal
    unpaid_bills: Decimal
    miss: Decimal


def stock_basis(
    turnover: Decimal, stock: Stock, selling: Selling, overheads: Decimal, own_use: Decimal = ZERO
) -> Decimal:
    """Profit when goods cost something as they leave: turnover - used - selling - overheads + own use.

    `own_use` is what the maker took, at book cost: it left the stock, but it is no cost of the business. Money in and out.

    >>> year = Stock(Decimal("42.89"), Decimal("236.00"), Decimal("146.00"), Decimal("205.82"))
    >>> stock_basis(Decimal("1125.90"), year, Selling(fees=Decimal("254.42")), Decimal("384.00"))
    Decimal('268.41')
    """
    return turnover - (stock.used - own_use) - selling.total - overheads


def cash_basis(
    received: Decimal,
    materials: Decimal,
    skins: Decimal,
    selling: Decimal,
    overheads: Decimal,
    own_use: Decimal = ZERO,
    paid_help: Decimal = ZERO,
) -> Decimal:
    """Profit when money counts as it moves: received - paid for materials, skins, help, selling and overheads + own use.

    All are what was received and paid in the time, whatever it was for. Money in and out.

    >>> cash_basis(Decimal("1125.90"), Decimal("236.00"), Decimal("146.00"), Decimal("254.42"), Decimal("384.00"))
    Decimal('105.48')
    """
    return received - materials - skins - paid_help - selling - overheads + own_use


_STILL = Change()


def bridge(
    stock_profit: Decimal,
    cash_profit: Decimal,
    stock: Change,
    owed_to_me: Change = _STILL,
    deposits: Change = _STILL,
    unpaid_bills: Change = _STILL,
) -> Bridge:
    """Why the two profits differ: more stock and more owed to the maker raise the first; deposits and bills lower it.

    difference = stock change + owed change - deposits change - unpaid bills change; the miss is left - right.

    >>> across = bridge(Decimal("268.41"), Decimal("105.48"), Change(Decimal("42.89"), Decimal("205.82")))
    >>> across.difference, across.miss
    (Decimal('162.93'), Decimal('0.00'))
    """
    difference = stock_profit - cash_profit
    explained = stock.by + owed_to_me.by - deposits.by - unpaid_bills.by
    return Bridge(difference, stock.by, owed_to_me.by, -deposits.by, -unpaid_bills.by, difference - explained)


@dataclass(frozen=True)
class Overheads:
    """Overheads that the hours worked have borne, what was spent, and what is short or over of it (one is nought)."""

    recovered: Decimal
    spent: Decimal
    short: Decimal
    over: Decimal


def overheads(hours: Iterable[tuple[Exact, Exact]], spent: Decimal, places: int = 2) -> Overheads:
    """Recovered = sum of making hours × the rate of their day, half up once; short is what is spent above that.

    >>> overheads([(Decimal("70.55"), Decimal("4.00"))], Decimal("384.00"))
    Overheads(recovered=Decimal('282.20'), spent=Decimal('384.00'), short=Decimal('101.80'), over=Decimal('0'))
    """
    recovered = half_up(sum((Fraction(count) * Fraction(rate) for count, rate in hours), Fraction(0)), places)
    return Overheads(recovered, spent, max(spent - recovered, ZERO), max(recovered - spent, ZERO))


def grouped(sales: Iterable[Sold], by: Callable[[Sold], str], places: int = 2) -> dict[str, PieceResult]:
    """Results by species, method, channel or fair, whatever `by` tells of a sale, the best paid hour first.

    >>> rows = [Sold("rug", Decimal(100), hours=Fraction(10), species="sheep"), Sold("fur", Decimal(30), hours=Fraction(1))]
    >>> list(grouped(rows, lambda sale: sale.species or "other"))
    ['other', 'sheep']
    """
    found: dict[str, list[Sold]] = {}
    for sale in sales:
        found.setdefault(by(sale), []).append(sale)
    results = {key: of_sales(rows, places) for key, rows in found.items()}
    return dict(sorted(results.items(), key=lambda item: (item[1].per_hour is None, -(item[1].per_hour or 0), item[0])))
