"""What is outstanding of an order, how it stands, and what of a delivery against it is to be asked about. Plain values only."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from enum import StrEnum

from inventory.money import ZERO


class State(StrEnum):
    """How an order stands; the value says it in words."""

    ORDERED = "ordered"
    PART = "part delivered"
    DELIVERED = "delivered"
    CLOSED = "closed"


def outstanding(ordered: Sequence[tuple[int, Decimal]], brought: Mapping[int, Decimal]) -> list[Decimal]:
    """What is still to come of each line, in base units, never below zero.

    `ordered`: the material (id) and quantity of each line; `brought`: by material what its deliveries brought. Lines of one
    material share it: the first is filled first.

    >>> outstanding([(1, Decimal(50)), (2, Decimal(2)), (1, Decimal(20))], {1: Decimal(60), 2: Decimal(5)})
    [Decimal('0'), Decimal('0'), Decimal('10')]
    """
    rest = dict(brought)
    found = []
    for material, quantity in ordered:
        took = min(quantity, max(rest.get(material, ZERO), ZERO))
        rest[material] = rest.get(material, ZERO) - took
        found.append(quantity - took)
    return found


def state(*, closed: bool, delivered: bool, rest: Sequence[Decimal]) -> State:
    """`delivered`: something came against it; `rest`: what is outstanding of its lines. Of one that came whole nothing is closed.

    >>> state(closed=False, delivered=True, rest=[Decimal(0), Decimal(1)]).value
    'part delivered'
    """
    if not any(rest):
        return State.DELIVERED
    if closed:
        return State.CLOSED
    return State.PART if delivered else State.ORDERED


def overdue(due: date | None, on: date) -> int:
    """Days that an order is past the day it was due on; 0 where none was stated.

    >>> overdue(date(2025, 3, 4), date(2025, 3, 8)), overdue(None, date(2025, 3, 8))
    (4, 0)
    """
    return 0 if due is None else max((on - due).days, 0)


def packs(rest: Decimal, pack: Decimal, places: int) -> Decimal | None:
    """How many packs an outstanding quantity is; None where no figure of so many places says it exactly.

    >>> packs(Decimal(20000), Decimal(25000), 3), packs(Decimal(10), Decimal(30), 3)
    (Decimal('0.800'), None)
    """
    steps, over = divmod(rest * 10**places, pack)
    return None if over else Decimal(int(steps)).scaleb(-places)


def not_named(name: str, number: str) -> str:
    """What to ask where goods come that are outstanding on an order nobody named.

    >>> not_named("Salt", "O3")
    'Salt is outstanding on order O3. If it came by that, choose it under By order; else it stays outstanding.'
    """
    return f"{name} is outstanding on order {number}. If it came by that, choose it under By order; else it stays outstanding."


def more_than_ordered(name: str, came: Decimal, rest: Decimal, show: Callable[[Decimal], str]) -> str | None:
    """What to ask where more comes than is outstanding: the supplier may have sent more, or a figure is wrong.

    >>> more_than_ordered("Salt", Decimal(75), Decimal(50), lambda amount: f"{amount} kg")
    'Salt: 75 kg came and 50 kg of the order is outstanding.'
    """
    if came <= rest:
        return None
    there = f"{show(rest)} of the order is outstanding" if rest else "none of it is outstanding on this order"
    return f"{name}: {show(came)} came and {there}."
