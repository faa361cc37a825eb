"""Published cost-flow examples, worked through the product's own cost flow.

Sources, figures only:
- OpenStax, Principles of Accounting, Volume 1: Financial Accounting (2019), section 10.3, perpetual: open 150 @ 21,
  sell 120, buy 225 @ 27, sell 180, buy 210 @ 33.
- Accounting Principles: A Business Perspective (Global Text Project), chapter 7, exhibit 51, page 291.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal

import pytest

from inventory.ledger.costflow import Balance, average_issue, fifo_issue

Event = tuple[int, str | None]
Method = Callable[[Iterable[Event], int], tuple[list[Decimal], Decimal]]

# Units in with their unit cost, or units out.
SPY: list[Event] = [(150, "21"), (-120, None), (225, "27"), (-180, None), (210, "33")]

GLOBAL_TEXT: list[Event] = [
    (10, "8.00"),
    (10, "8.50"),
    (20, "8.40"),
    (10, "9.00"),
    (20, "8.80"),
    (10, "9.10"),
    (-60, None),
]


def by_fifo(events: Iterable[Event], places: int) -> tuple[list[Decimal], Decimal]:
    """Cost of each issue, and the value left."""
    shelf: list[Balance] = []
    issues = []
    for units, cost in events:
        if cost is not None:
            shelf.append(Balance(Decimal(units), units * Decimal(cost)))
            continue
        takes = fifo_issue(shelf, Decimal(-units), places)
        for take in takes:
            layer = shelf[take.index]
            shelf[take.index] = Balance(layer.quantity - take.quantity, layer.value - take.value)
        issues.append(sum((take.value for take in takes), Decimal(0)))
    return issues, sum((layer.value for layer in shelf), Decimal(0))


def by_average(events: Iterable[Event], places: int) -> tuple[list[Decimal], Decimal]:
    on_hand = value = Decimal(0)
    issues = []
    for units, cost in events:
        if cost is not None:
            on_hand, value = on_hand + units, value + units * Decimal(cost)
            continue
        drawn = average_issue(on_hand, value, Decimal(-units), places)
        on_hand, value = on_hand + units, value - drawn
        issues.append(drawn)
    return issues, value


def test_openstax_perpetual_first_in_first_out() -> None:
    """Cost of goods sold 2520 + 4680 = 7200, ending inventory 8955; one image caption of the book misprints 8895."""
    assert by_fifo(SPY, 2) == ([Decimal(2520), Decimal(4680)], Decimal(8955))


def test_openstax_moving_average_in_cents() -> None:
    """Exactly 7252.9412 sold and 8902.0588 left (recomputed); the book prints 7253 and 8902."""
    issues, left = by_average(SPY, 2)
    assert (issues, left) == ([Decimal(2520), Decimal("4732.94")], Decimal("8902.06"))


def test_openstax_moving_average_in_whole_dollars_is_the_books() -> None:
    issues, left = by_average(SPY, 0)
    assert (sum(issues), left) == (Decimal(7253), Decimal(8902))


def test_openstax_is_not_last_in_first_out() -> None:
    """The book's last-in-first-out figure, 7380, is what none of the offered methods may give."""
    assert sum(by_fifo(SPY, 2)[0]) != 7380
    assert sum(by_average(SPY, 2)[0]) != 7380


def test_global_text_first_in_first_out() -> None:
    """690 available, 179 left, 511 sold (exhibit 51)."""
    assert by_fifo(GLOBAL_TEXT, 2) == ([Decimal(511)], Decimal(179))


def test_global_text_average() -> None:
    """690 ÷ 80 = 8.625 a unit: 172.50 left, 517.50 sold (recomputed from exhibit 51)."""
    assert by_average(GLOBAL_TEXT, 2) == ([Decimal("517.50")], Decimal("172.50"))


@pytest.mark.parametrize("events", [SPY, GLOBAL_TEXT])
@pytest.mark.parametrize("method", [by_fifo, by_average])
def test_what_was_bought_is_sold_or_left(events: list[Event], method: Method) -> None:
    issues, left = method(events, 2)
    assert sum(issues) + left == sum(units * Decimal(cost) for units, cost in events if cost is not None)
