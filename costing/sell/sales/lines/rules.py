"""What a piece brought when it was sold: price less fees and selling costs, against its exact cost, rounded once.

Owns the arithmetic of one piece or several sold together. Must not know where the figures come from.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.money import ZERO, Exact, half_up, parts_of


def per_hour(money: Exact, hours: Exact, places: int = 2) -> Decimal | None:
    """Money ÷ hours, half up; None without hours, and for hours that a credit took back.

    >>> per_hour(Decimal("268.41"), Decimal("116.55")), per_hour(1, 0)
    (Decimal('2.30'), None)
    """
    return half_up(Fraction(money) / Fraction(hours), places) if hours > 0 else None


@dataclass(frozen=True)
class Sold:
    """One sale of a piece (or of work on a customer's skin): what it took and cost, exactly, and the hours in it.

    A credit has `taken` below zero and no book cost, because the piece is back in stock.
    """

    what: str
    taken: Exact
    selling: Exact = ZERO
    book: Fraction = Fraction(0)
    full: Fraction = Fraction(0)
    hours: Fraction = Fraction(0)
    species: str = ""
    method: str = ""
    channel: str = ""
    fair: str = ""


@dataclass(frozen=True)
class PieceResult:
    """What sales left: `left` for the hours in them, `per_hour` (None without hours), `against_full` above full cost."""

    count: int
    taken: Decimal
    selling: Decimal
    book: Decimal
    left: Decimal
    hours: Decimal
    per_hour: Decimal | None
    against_full: Decimal


def of_sales(sales: Iterable[Sold], places: int = 2) -> PieceResult:
    """Sales together: left = taken - selling costs - book; an hour earns left ÷ hours; against full = taken - selling - full.

    Every figure is rounded once, half up, from the exact sum; selling costs and book cost are then apportioned, so that what is
    shown adds up: taken - selling - book = left.

    >>> rug = Sold("rug", Decimal("170.00"), book=Fraction("20.23"), full=Fraction("186.75"), hours=Fraction(33, 4))
    >>> result = of_sales([rug])
    >>> result.left, result.per_hour, result.against_full
    (Decimal('149.77'), Decimal('18.15'), Decimal('-16.75'))
    """
    rows = list(sales)
    taken, selling, book, full, hours = (
        sum((Fraction(getattr(row, name)) for row in rows), Fraction(0))
        for name in ("taken", "selling", "book", "full", "hours")
    )
    left = taken - selling - book
    shown, over = half_up(taken, places), half_up(left, places)
    costs = parts_of(shown - over, [selling, book], places)
    return PieceResult(
        count=len(rows),
        taken=shown,
        selling=costs[0],
        book=costs[1],
        left=over,
        hours=half_up(hours, 2),
        per_hour=per_hour(left, hours, places),
        against_full=half_up(taken - selling - full, places),
    )
