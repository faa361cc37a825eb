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
    def bought(self) -> Decimal:
        """Materials, skins, and the paid help that went into pieces."""
        return self.materials + self.skins + self.paid_help

    @property
    def used(self) -> Decimal:
        """What left the stock: opening + bought - closing.

        >>> Stock(Decimal("42.89"), Decimal("236.00"), Decimal("146.00"), Decimal("205.82")).used
        Decimal('219.07')
        """
        return self.opening + self.bought - self.closing


@dataclass(frozen=True)
class Added:
    """Figures that come to a total."""

    @property
    def total(self) -> Decimal:
        """All of them together."""
        return sum((getattr(self, part.name) for part in fields(self)), ZERO)


@dataclass(frozen=True)
class Gone(Added):
    """Where it went, at book cost. `frames` is what was built into them; `sharing` is what rounding each piece to the coin
    left over of the exact shares."""

    sold: Decimal = ZERO
    spoiled: Decimal = ZERO
    boxes: Decimal = ZERO
    differences: Decimal = ZERO
    own_use: Decimal = ZERO
    given: Decimal = ZERO
    other: Decimal = ZERO
    frames: Decimal = ZERO
    sharing: Decimal = ZERO


def unaccounted(stock: Stock, gone: Gone) -> Decimal:
    """opening + bought - closing - all of `gone`, sharing included: nought when nothing is missing or counted twice.

    >>> year = Stock(Decimal("42.89"), Decimal("236.00"), Decimal("146.00"), Decimal("205.82"))
    >>> unaccounted(year, Gone(Decimal("171.89"), Decimal("36.82"), Decimal("7.97"), Decimal("2.39")))
    Decimal('0.00')
    """
    return stock.used - gone.total


@dataclass(frozen=True)
class Selling(Added):
    """What selling cost in money. Boxes are not in it: they come out of the stock."""

    fees: Decimal = ZERO
    postage: Decimal = ZERO
    pitches: Decimal = ZERO
    fuel: Decimal = ZERO
    other: Decimal = ZERO


@dataclass(frozen=True)
class Bridge:
    """Stock-basis profit - cash-basis profit, and what explains it. `miss` is what nothing explains (nought)."""

    difference: Decimal
    stock: Decimal
    owed_to_me: Decimal
    deposits: Decimal
    unpaid_bills: Decimal
    bad_debts: Decimal
    miss: Decimal


def stock_basis(
    turnover: Decimal,
    stock: Stock,
    selling: Selling,
    overheads: Decimal,
    own_use: Decimal = ZERO,
    bad_debts: Decimal = ZERO,
) -> Decimal:
    """Profit when goods cost something as they leave: turnover - used - selling - overheads - bad debts + own use.

    `own_use` is what the maker took, at book cost: it left the stock, but it is no cost of the business. `bad_debts` is what was
    written off in the time, without tax, less what was recovered. Money in and out.

    >>> year = Stock(Decimal("42.89"), Decimal("236.00"), Decimal("146.00"), Decimal("205.82"))
    >>> stock_basis(Decimal("1125.90"), year, Selling(fees=Decimal("254.42")), Decimal("384.00"))
    Decimal('268.41')
    """
    return turnover - (stock.used - own_use) - selling.total - overheads - bad_debts


def cash_basis(
    received: Decimal, paid: Stock, selling: Selling, overheads: Decimal, own_use: Decimal = ZERO
) -> Decimal:
    """Profit when money counts as it moves: received - paid for materials, skins, help, selling and overheads + own use.

    `paid` says what was paid in the time for what went into the stock, whenever it came. Money in and out.

    >>> year = Stock(Decimal("42.89"), Decimal("236.00"), Decimal("146.00"), Decimal("205.82"))
    >>> cash_basis(Decimal("1125.90"), year, Selling(fees=Decimal("254.42")), Decimal("384.00"))
    Decimal('105.48')
    """
    return received - paid.bought - selling.total - overheads + own_use


def bridge(
    stock_profit: Decimal,
    cash_profit: Decimal,
    stock: Decimal,
    owed_to_me: Decimal = ZERO,
    deposits: Decimal = ZERO,
    unpaid_bills: Decimal = ZERO,
    bad_debts: Decimal = ZERO,
) -> Bridge:
    """Why the two profits differ: more stock and more owed to the maker raise the first; deposits, bills and bad debts lower it.

    Each is the change of a balance in the time, closing - opening; `owed_to_me` as it would be with nothing written off.
    difference = stock + owed - deposits - unpaid bills - bad debts; the miss is left - right.

    >>> across = bridge(Decimal("268.41"), Decimal("105.48"), Decimal("162.93"))
    >>> across.difference, across.miss
    (Decimal('162.93'), Decimal('0.00'))
    """
    difference = stock_profit - cash_profit
    explained = stock + owed_to_me - deposits - unpaid_bills - bad_debts
    miss = difference - explained
    return Bridge(difference, stock, owed_to_me, -deposits, -unpaid_bills, -bad_debts, miss)


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
