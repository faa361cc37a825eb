"""Cost flow by moving average and first in, first out."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from inventory.ledger import costflow
from inventory.ledger.costflow import Balance, Take, average_issue, average_issue_on, fifo_issue
from inventory.money import from_steps, half_up

layers = st.lists(
    st.builds(
        Balance,
        st.integers(0, 50_000).map(lambda steps: from_steps(steps, 3)),
        st.integers(0, 100_000).map(lambda steps: from_steps(steps, 2)),
    ),
    min_size=1,
    max_size=6,
)

parts = st.fractions(0, 1, max_denominator=1000)


def held(shelf: list[Balance]) -> Decimal:
    return sum((layer.quantity for layer in shelf), Decimal(0))


def worth(shelf: list[Balance]) -> Decimal:
    return sum((layer.value for layer in shelf), Decimal(0))


def some_of(shelf: list[Balance], part: Fraction) -> Decimal:
    return min(held(shelf), half_up(Fraction(held(shelf)) * part, 3))


def gram_by_gram(shelf: list[Balance], quantity: Decimal) -> list[Take]:
    """A slow reference: walk thousandths one by one and see which layer each comes from."""
    drawn = [0] * len(shelf)
    left = [int(layer.quantity * 1000) for layer in shelf]
    for _ in range(int(quantity * 1000)):
        index = next(index for index, grams in enumerate(left) if grams)
        left[index] -= 1
        drawn[index] += 1
    return [
        Take(
            index,
            from_steps(grams, 3),
            layer.value
            if grams == int(layer.quantity * 1000)
            else half_up(Fraction(layer.value) * grams / int(layer.quantity * 1000), 2),
        )
        for index, (layer, grams) in enumerate(zip(shelf, drawn, strict=True))
        if grams
    ]


small_layers = st.lists(
    st.builds(
        Balance,
        st.integers(0, 60).map(lambda steps: from_steps(steps, 3)),
        st.integers(0, 500).map(lambda steps: from_steps(steps, 2)),
    ),
    min_size=1,
    max_size=5,
)


@settings(max_examples=50)
@given(small_layers, parts)
def test_fifo_equals_a_slow_reference(shelf: list[Balance], part: Fraction) -> None:
    quantity = some_of(shelf, part)
    assert fifo_issue(shelf, quantity, 2) == gram_by_gram(shelf, quantity)


@given(layers, parts)
def test_fifo_draws_what_was_asked_and_never_more_than_a_layer_holds(shelf: list[Balance], part: Fraction) -> None:
    quantity = some_of(shelf, part)
    takes = fifo_issue(shelf, quantity, 2)
    assert sum((take.quantity for take in takes), Decimal(0)) == quantity
    for take in takes:
        assert 0 < take.quantity <= shelf[take.index].quantity
        assert 0 <= take.value <= shelf[take.index].value


@settings(max_examples=40)
@given(layers, st.lists(parts, max_size=5))
def test_draws_to_the_end_give_back_all_the_value(shelf: list[Balance], draws: list[Fraction]) -> None:
    """Both methods: however the shelf is drawn down, the draw that empties it leaves quantity and value at nought."""
    kept = [layer for layer in shelf if layer.quantity]
    whole_value = worth(kept)
    on_hand, value = held(kept), whole_value
    by_fifo = by_average = Decimal(0)
    for part in [*draws, Fraction(1)]:
        quantity = on_hand if part == 1 else some_of(kept, part)
        for take in fifo_issue(kept, quantity, 2):
            layer = kept[take.index]
            kept[take.index] = Balance(layer.quantity - take.quantity, layer.value - take.value)
            by_fifo += take.value
        drawn = average_issue(on_hand, value, quantity, 2)
        on_hand, value, by_average = on_hand - quantity, value - drawn, by_average + drawn
        assert held(kept) == on_hand
        assert value >= 0
    assert not any((on_hand, value, held(kept), worth(kept)))
    assert by_fifo == by_average == whole_value


def test_last_draw_takes_remaining_value() -> None:
    value, draws = Decimal("10.00"), []
    for on_hand in (3, 2, 1):
        draws.append(average_issue(Decimal(on_hand), value, Decimal(1), 2))
        value -= draws[-1]
    assert draws == [Decimal("3.33"), Decimal("3.34"), Decimal("3.33")]
    assert value == 0


def test_the_emptying_draw_takes_even_a_value_finer_than_the_step() -> None:
    assert average_issue(Decimal(2), Decimal("1.005"), Decimal(2), 2) == Decimal("1.005")
    assert fifo_issue([Balance(Decimal(2), Decimal("1.005"))], Decimal(2), 2)[0].value == Decimal("1.005")


def test_an_emptied_layer_gives_all_it_has_left() -> None:
    takes = fifo_issue([Balance(Decimal(1), Decimal("0.01")), Balance(Decimal(3), Decimal("1.00"))], Decimal(2), 2)
    assert takes == [Take(0, Decimal(1), Decimal("0.01")), Take(1, Decimal(1), Decimal("0.33"))]


def test_an_empty_layer_is_passed_over() -> None:
    takes = fifo_issue([Balance(Decimal(0), Decimal("0.00")), Balance(Decimal(3), Decimal("1.00"))], Decimal(3), 2)
    assert [take.index for take in takes] == [1]


def test_nothing_asked_draws_nothing() -> None:
    assert fifo_issue([Balance(Decimal(3), Decimal("1.00"))], Decimal(0), 2) == []
    assert average_issue(Decimal(3), Decimal("1.00"), Decimal(0), 2) == 0


@pytest.mark.parametrize("quantity", ["3.001", "-1"])
def test_more_than_on_hand_or_less_than_nothing_is_refused(quantity: str) -> None:
    with pytest.raises(ValueError, match=r"on hand|negative"):
        average_issue(Decimal(3), Decimal("1.00"), Decimal(quantity), 2)
    with pytest.raises(ValueError, match=r"on hand|negative"):
        fifo_issue([Balance(Decimal(3), Decimal("1.00"))], Decimal(quantity), 2)


def test_a_negative_value_is_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        average_issue(Decimal(3), Decimal("-1.00"), Decimal(1), 2)
    with pytest.raises(ValueError, match="negative"):
        fifo_issue([Balance(Decimal(3), Decimal("-1.00"))], Decimal(1), 2)


def balances(*days: tuple[str, str]) -> list[Balance]:
    return [Balance(Decimal(quantity), Decimal(value)) for quantity, value in days]


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        ([("4", "10.00")], "2.50"),
        ([("4", "10.00"), ("3", "9.00")], "2.50"),  # by the average of its own day, not of a later one
        ([("4", "10.00"), ("3", "1.20")], "1.20"),  # no more than a later day is worth
        ([("4", "10.00"), ("1", "3.10")], "3.10"),  # all that a day is worth which the draw empties
        ([("4", "10.00"), ("1", "3.10"), ("2", "3.00")], "3.00"),
        ([("1", "4.00"), ("1", "3.10")], "3.10"),
    ],
)
def test_a_draw_written_late_takes_the_average_of_its_day_within_what_later_days_hold(
    days: list[tuple[str, str]], expected: str
) -> None:
    assert average_issue_on(balances(*days), Decimal(1), 2) == Decimal(expected)


@pytest.mark.parametrize(
    ("days", "value", "fits"),
    [
        ([("4", "10.00"), ("2", "5.00")], "5.00", True),
        ([("4", "10.00"), ("2", "5.00")], "5.01", False),  # a later day would be worth less than nothing
        ([("4", "10.00"), ("0.9", "2.50")], "2.50", False),  # and hold less than nothing
        ([("4", "10.00"), ("1", "5.00")], "4.99", False),  # an empty shelf would keep a value
        ([("4", "10.00"), ("1", "5.00")], "5.00", True),
    ],
)
def test_a_draw_fits_when_no_day_is_left_below_nothing_and_no_empty_one_with_a_value(
    days: list[tuple[str, str]], value: str, fits: bool
) -> None:
    assert costflow.fits(balances(*days), Decimal(1), Decimal(value)) is fits


# Salt of the demo year, kilograms and euros: on hand, value, issued, value of the issue.
SALT = [
    ("62.0", "33.86", "6.0", "3.28"),
    ("56.0", "30.58", "0.72", "0.39"),
    ("55.28", "30.19", "7.5", "4.10"),
    ("47.78", "26.09", "0.30", "0.16"),
    ("72.48", "40.11", "3.0", "1.66"),
    ("69.48", "38.45", "1.2", "0.66"),
    ("68.28", "37.79", "0.96", "0.53"),
    ("67.32", "37.26", "2.5", "1.38"),
    ("64.82", "35.88", "4.0", "2.21"),
]


@pytest.mark.parametrize(("on_hand", "value", "quantity", "expected"), SALT)
def test_average_gives_the_demo_years_salt_issues(on_hand: str, value: str, quantity: str, expected: str) -> None:
    assert average_issue(Decimal(on_hand), Decimal(value), Decimal(quantity), 2) == Decimal(expected)
