"""What the shelf asks for, as days of the calendar: what to order by when, and deliveries that are due.

Owns the words of these days. Neither a price nor a supplier is named: whoever holds the link reads it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from inventory import units
from inventory.foresight import selectors as foresight, words
from inventory.foresight.advice import Advice, advices
from inventory.foresight.selectors import Outlook
from inventory.foresight.snoozes import selectors as snoozes

PLACE = "Shelf"


@dataclass(frozen=True)
class ShelfDay:
    """`about` tells it apart from every other; `since` is the day it was or will be due, `on` is today where it is late."""

    about: tuple[str, ...]
    on: date
    since: date
    summary: str
    told: str = ""

    @property
    def late_days(self) -> int:
        return (self.on - self.since).days


def coming(on: date, ahead: int) -> list[ShelfDay]:
    """From a day on, so many days ahead, the first at the top."""
    outlooks = foresight.outlooks(on)
    told = snoozes.apart(outlooks, on)
    buys = advices(told.pressing)
    days = [
        *(_order(each, buys[each.material.pk]) for each in told.pressing),
        *(day for each in outlooks for day in _deliveries(each)),
    ]
    last = on + timedelta(days=ahead)
    return sorted((day for day in days if day and day.on <= last), key=lambda day: (day.on, day.about))


def _order(each: Outlook, buy: Advice) -> ShelfDay | None:
    seen = each.forecast
    what = words.packs(buy.lot, each.material)
    if seen.state not in words.TO_ORDER or seen.order_by is None or not what:
        return None
    return ShelfDay(
        about=("order", each.material.code, seen.order_by.isoformat()),
        on=max(seen.on, seen.order_by),
        since=seen.order_by,
        summary=f"Order {what} of {_in_a_sentence(each.material.name)}",
        told=words.reason(each),
    )


def _deliveries(each: Outlook) -> Iterator[ShelfDay]:
    on = each.forecast.on
    for order in each.forecast.supply.coming:
        amount = units.show(order.quantity, each.material.unit)
        yield ShelfDay(
            about=("delivery", each.material.code, order.order, order.due.isoformat()),
            on=max(on, order.due),
            since=order.due,
            summary=f"{amount} of {_in_a_sentence(each.material.name)} due",
            told=f"Ordered by {order.order}.",
        )


def _in_a_sentence(name: str) -> str:
    """A name as it stands in the middle of a sentence: what is in capitals stays so.

    >>> _in_a_sentence("Potash alum"), _in_a_sentence("PTFE tape")
    ('potash alum', 'PTFE tape')
    """
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]
