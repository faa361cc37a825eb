"""Arithmetic of what is outstanding."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from inventory.orders import rules

amounts = st.decimals(min_value=0, max_value=10**6, places=3)


@given(st.lists(st.tuples(st.integers(1, 3), amounts), max_size=6), st.dictionaries(st.integers(1, 3), amounts))
def test_nothing_outstanding_is_below_nothing_and_what_came_is_counted_once(
    ordered: list[tuple[int, Decimal]], brought: dict[int, Decimal]
) -> None:
    rest = rules.outstanding(ordered, brought)
    assert all(0 <= left <= quantity for left, (_, quantity) in zip(rest, ordered, strict=True))
    for material in {1, 2, 3}:
        asked = sum(quantity for of, quantity in ordered if of == material)
        left = sum(each for each, (of, _) in zip(rest, ordered, strict=True) if of == material)
        assert left == max(asked - brought.get(material, Decimal(0)), Decimal(0))


@given(st.lists(st.tuples(st.integers(1, 2), amounts), max_size=4), amounts, amounts)
def test_more_that_came_never_leaves_more_outstanding(
    ordered: list[tuple[int, Decimal]], came: Decimal, more: Decimal
) -> None:
    less = sum(rules.outstanding(ordered, {1: came + more}))
    assert less <= sum(rules.outstanding(ordered, {1: came}))


@pytest.mark.parametrize(
    ("closed", "delivered", "rest", "said"),
    [
        (False, False, 1, rules.State.ORDERED),
        (False, True, 1, rules.State.PART),
        (False, True, 0, rules.State.DELIVERED),
        (True, True, 0, rules.State.DELIVERED),
        (True, False, 1, rules.State.CLOSED),
        (True, True, 1, rules.State.CLOSED),
    ],
)
def test_how_an_order_stands(closed: bool, delivered: bool, rest: int, said: rules.State) -> None:
    assert rules.state(closed=closed, delivered=delivered, rest=[Decimal(rest), Decimal(0)]) == said
