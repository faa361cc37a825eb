"""The year-end stock sheet: every line at cost, and beside it the lower of cost and net realisable value as a reference.

Owns the totals of the sheet. Must not know a database or which value a tax office wants: the book value is the cost; the
lower value is there to be seen. Line by line, because a gain on one thing does not make up for a loss on another.
Sources: IAS 2 par. 9 (lower of cost and net realisable value) and par. 6 (net realisable value: price less costs to
complete and to sell). Materials that go into goods sold at or above cost are not written down (par. 32), so a line
without a price stays at cost. Whether a sole trader must follow IAS 2 at all is a local question.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from inventory.money import ZERO, Exact, half_up


class Group(StrEnum):
    """What kind of stock a line is, in the order of the sheet."""

    CONSUMABLES = "consumables"
    RAW = "raw skins"
    IN_WORK = "in work"
    FINISHED = "finished"
    CUSTOMERS = "customers' skins"


@dataclass(frozen=True)
class Counted:
    """One line as counted: `cost` is its book value, `realisable` what it would bring, None where no price is known.

    `with_others` marks what lies at a gallery or elsewhere and is still the maker's.

    >>> line = Counted(Group.FINISHED, "rug", Decimal(1), "piece", Decimal("20.23"), Decimal("15.00"))
    >>> line.value, line.lower
    (Decimal('20.23'), Decimal('15.00'))
    """

    group: Group
    what: str
    quantity: Decimal
    unit: str
    cost: Decimal
    realisable: Decimal | None = None
    place: str = ""
    with_others: bool = False

    @property
    def value(self) -> Decimal:
        """What the books hold: its cost, and of a customer's skin nothing."""
        return ZERO if self.group is Group.CUSTOMERS else self.cost

    @property
    def lower(self) -> Decimal:
        """The lower of that and of what it would bring, for reference."""
        return self.value if self.realisable is None else min(self.value, self.realisable)


@dataclass(frozen=True)
class Total:
    """A group, or the whole sheet, added up."""

    value: Decimal
    lower: Decimal


@dataclass(frozen=True)
class Sheet:
    """The sheet: its lines by group, a total of each group, of everything, and of what lies with others."""

    lines: tuple[Counted, ...]
    groups: dict[Group, Total]
    total: Total
    with_others: Total


def realisable(price: Exact, to_complete: Exact = 0, to_sell: Exact = 0, places: int = 2) -> Decimal:
    """What a thing would bring: price - costs to complete - costs to sell, half up, never below nought. Money.

    >>> realisable(Decimal("140.00"), to_sell=Decimal("51.60"))
    Decimal('88.40')
    """
    return half_up(max(Fraction(0), Fraction(price) - Fraction(to_complete) - Fraction(to_sell)), places)


def sheet(lines: Iterable[Counted]) -> Sheet:
    """The whole sheet. Every group has a total, also an empty one, so that nil is written and not left out.

    >>> made = sheet([Counted(Group.RAW, "H13", Decimal(1), "piece", Decimal("9.76")),
    ...     Counted(Group.CUSTOMERS, "H06", Decimal(1), "piece", Decimal("9.70"))])
    >>> made.total.value, made.groups[Group.CUSTOMERS].value
    (Decimal('9.76'), Decimal('0'))
    """
    order = list(Group)
    rows = sorted(lines, key=lambda line: order.index(line.group))
    return Sheet(
        lines=tuple(rows),
        groups={group: _added([line for line in rows if line.group is group]) for group in order},
        total=_added(rows),
        with_others=_added([line for line in rows if line.with_others]),
    )


def _added(lines: Sequence[Counted]) -> Total:
    return Total(sum((line.value for line in lines), ZERO), sum((line.lower for line in lines), ZERO))
