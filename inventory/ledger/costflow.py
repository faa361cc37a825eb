"""Cost flow: what value leaves the shelf with a quantity, by moving average or first in, first out.

Owns the two formulas and their rounding. It must not know materials, lots or the database: the ledger hands in plain
balances and books what comes back. Two things hold for both: a value is never negative, and the draw that empties a
balance takes all that is left of its value, so nothing is lost or invented by rounding.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import accumulate
from typing import NamedTuple

from inventory.money import ZERO, half_up


class Balance(NamedTuple):
    """What a shelf holds, what is left of one delivery, or what was moved: `quantity` in base units, `value` in money."""

    quantity: Decimal = ZERO
    value: Decimal = ZERO

    def plus(self, quantity: Decimal, value: Decimal) -> "Balance":
        return Balance(self.quantity + quantity, self.value + value)

    def less(self, quantity: Decimal, value: Decimal) -> "Balance":
        return Balance(self.quantity - quantity, self.value - value)


def days_before(now: Balance, moved: Iterable[Balance]) -> list[Balance]:
    """The balances that led to `now`, the earliest first and `now` last; `moved` is what each day brought, the latest first.

    >>> days_before(Balance(Decimal(2), Decimal(8)), [Balance(Decimal(-1), Decimal(-4))])[0]
    Balance(quantity=Decimal('3'), value=Decimal('12'))
    """
    return [*accumulate(moved, lambda day, move: day.less(*move), initial=now)][::-1]


@dataclass(frozen=True, slots=True)
class Take:
    """What an issue draws from the layer at `index`."""

    index: int
    quantity: Decimal
    value: Decimal


def average_issue(on_hand: Decimal, value: Decimal, quantity: Decimal, places: int) -> Decimal:
    """Value of `quantity` out of a balance, by moving average (IAS 2, paragraph 25).

    value × quantity ÷ on_hand, half up to `places`; all of `value` when the shelf is emptied.
    `ValueError`: a negative figure, or more than is on hand.

    >>> average_issue(Decimal("2.6"), Decimal("17.05"), Decimal("1.44"), 2)
    Decimal('9.44')
    >>> average_issue(Decimal("3"), Decimal("10.00"), Decimal("3"), 2)
    Decimal('10.00')
    """
    _check(on_hand, value, quantity)
    return _share(value, quantity, on_hand, places)


def fifo_issue(layers: Sequence[Balance], quantity: Decimal, places: int) -> list[Take]:
    """What `quantity` draws from `layers`, oldest first (IAS 2, paragraph 25).

    Each layer gives its share of value, half up to `places`; a layer that empties gives all it has left.
    `ValueError`: a negative figure, or more than the layers hold together.

    >>> layers = [Balance(Decimal(2), Decimal("5.00")), Balance(Decimal(4), Decimal("9.00"))]
    >>> [str(take.value) for take in fifo_issue(layers, Decimal(3), 2)]
    ['5.00', '2.25']
    """
    for layer in layers:
        _check(*layer, ZERO)
    _check(sum((layer.quantity for layer in layers), ZERO), ZERO, quantity)
    takes: list[Take] = []
    wanted = quantity
    for index, layer in enumerate(layers):
        drawn = min(wanted, layer.quantity)
        if drawn > 0:
            takes.append(Take(index, drawn, _share(layer.value, drawn, layer.quantity, places)))
            wanted -= drawn
    return takes


def average_issue_on(days: Sequence[Balance], quantity: Decimal, places: int) -> Decimal:
    """Value of a draw written late: `days[0]` is the balance of its own day, the rest those of later days up to now.

    By the average of its own day, but no more than any later day is worth, and all that a day is worth if the draw empties
    it. With a single day this is `average_issue`. Days may disagree; `fits` tells.

    >>> before, after = Balance(Decimal(1), Decimal("4.00")), Balance(Decimal(2), Decimal("13.00"))
    >>> average_issue_on([before, after], Decimal(1), 2)
    Decimal('4.00')
    """
    own = average_issue(days[0].quantity, days[0].value, quantity, places)
    return _within(days, quantity, own)


def taken_out_again(days: Sequence[Balance], came: Balance, quantity: Decimal, places: int) -> Decimal:
    """Value of `quantity` taken out again of goods that came in as `came` by mistake, by moving average.

    came value × quantity ÷ came quantity, so that what was bought is told as if it had never come; but no more than any day
    is worth, and all that a day is worth if it empties it. `days` as in `average_issue_on`.

    >>> taken_out_again([Balance(Decimal(3), Decimal("14.00"))], Balance(Decimal(2), Decimal("10.00")), Decimal(1), 2)
    Decimal('5.00')
    """
    return _within(days, quantity, _share(came.value, quantity, came.quantity, places))


def _within(days: Sequence[Balance], quantity: Decimal, own: Decimal) -> Decimal:
    emptied = [day.value for day in days if day.quantity == quantity]
    return min([*(emptied or [own]), *(day.value for day in days)])


def fits(days: Sequence[Balance], quantity: Decimal, value: Decimal) -> bool:
    """Whether a draw leaves no day with less than nothing, and no value on a day that it empties.

    >>> fits([Balance(Decimal(1), Decimal("4.00"))], Decimal(1), Decimal("3.99"))
    False
    """
    return all(
        quantity <= day.quantity and value <= day.value and (quantity < day.quantity or value == day.value)
        for day in days
    )


def _share(value: Decimal, quantity: Decimal, on_hand: Decimal, places: int) -> Decimal:
    if quantity == on_hand:
        return value
    return half_up(Fraction(value) * Fraction(quantity) / Fraction(on_hand), places)


def _check(on_hand: Decimal, value: Decimal, quantity: Decimal) -> None:
    if on_hand < 0 or value < 0 or quantity < 0:
        raise ValueError(f"quantity {quantity} of {on_hand} worth {value}: nothing here may be negative")
    if quantity > on_hand:
        raise ValueError(f"{quantity} wanted, {on_hand} on hand: the ledger must refuse this before costing it")
