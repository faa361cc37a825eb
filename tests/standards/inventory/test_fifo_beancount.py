"""First in, first out against an independent booking: the `beancount` accounting language (`booking_method "FIFO"`).

Generated ledgers of receipts and issues are written in its syntax, booked by its loader, and compared draw by draw.
Receipts hold whole units at whole cents, so that every share is exact and rounding cannot hide a difference.
"""

from __future__ import annotations

import datetime
from decimal import Decimal

from beancount import loader
from beancount.core.data import Posting, Transaction
from beancount.core.position import Cost
from hypothesis import given, settings, strategies as st

from inventory.ledger.costflow import Balance, fifo_issue

START = datetime.date(2025, 1, 1)
receipts = st.tuples(st.integers(1, 40), st.integers(0, 2000))
issues = st.tuples(st.integers(1, 100), st.none())
ledgers = st.lists(st.one_of(receipts, receipts, issues), min_size=2, max_size=12)
Event = tuple[int, int | None]
Drawn = list[tuple[Decimal, Decimal]]


def possible(events: list[Event]) -> list[Event]:
    """The same events with each issue cut to what is on hand, and dropped where nothing is."""
    on_hand, kept = 0, []
    for units, cents in events:
        moved = units if cents is not None else min(units, on_hand)
        on_hand += moved if cents is not None else -moved
        if moved:
            kept.append((moved, cents))
    return kept


def booked_by_beancount(events: list[Event]) -> list[Drawn]:
    lines = ['option "booking_method" "FIFO"', f"{START} open Assets:Shelf", f"{START} open Equity:World"]
    for day, (units, cents) in enumerate(events, start=1):
        moved = f"{units} SALT {{{Decimal(cents) / 100:.2f} EUR}}" if cents is not None else f"-{units} SALT {{}}"
        lines += [f'{START + datetime.timedelta(day)} * "move"', f"  Assets:Shelf  {moved}", "  Equity:World"]
    entries, errors, _ = loader.load_string("\n".join(lines))
    assert errors == []
    drawn = [[reduction(post) for post in entry.postings] for entry in entries if isinstance(entry, Transaction)]
    return [found for found in ([draw for draw in draws if draw] for draws in drawn) if found]


def reduction(post: Posting) -> tuple[Decimal, Decimal] | None:
    """Quantity and cost that a booked posting takes off the shelf, if it takes any."""
    if post.account != "Assets:Shelf" or post.units is None or post.units.number is None or post.units.number > 0:
        return None
    assert isinstance(post.cost, Cost)
    return -post.units.number, -post.units.number * post.cost.number


def drawn_by_cost_flow(events: list[Event]) -> list[Drawn]:
    shelf: list[Balance] = []
    drawn: list[Drawn] = []
    for units, cents in events:
        if cents is not None:
            shelf.append(Balance(Decimal(units), units * Decimal(cents) / 100))
            continue
        takes = fifo_issue(shelf, Decimal(units), 2)
        for take in takes:
            layer = shelf[take.index]
            shelf[take.index] = Balance(layer.quantity - take.quantity, layer.value - take.value)
        drawn.append([(take.quantity, take.value) for take in takes])
    return drawn


@settings(max_examples=60, deadline=None)
@given(ledgers)
def test_fifo_draws_what_beancount_books(events: list[Event]) -> None:
    movements = possible(events)
    assert drawn_by_cost_flow(movements) == booked_by_beancount(movements)


def test_the_comparison_sees_real_draws() -> None:
    movements: list[Event] = [(10, 500), (10, 510), (13, None), (7, None)]
    expected = [[(Decimal(10), Decimal(50)), (Decimal(3), Decimal("15.30"))], [(Decimal(7), Decimal("35.70"))]]
    assert drawn_by_cost_flow(movements) == booked_by_beancount(movements) == expected
