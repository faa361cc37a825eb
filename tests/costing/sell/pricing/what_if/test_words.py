from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from costing.sell.pricing.what_if import words
from costing.sell.pricing.what_if.words import Line

D = Decimal
MARCH = date(2025, 3, 10)


@pytest.mark.parametrize(
    ("now", "then", "word"),
    [
        (MARCH, MARCH, ""),
        (None, None, ""),
        (None, MARCH, "new"),
        (MARCH, None, "no longer"),
        (MARCH, date(2025, 3, 9), "1 day earlier"),
        (MARCH, date(2025, 2, 27), "11 days earlier"),
        (MARCH, date(2025, 3, 12), "2 days later"),
    ],
)
def test_a_day_that_moves_says_by_how_much(now: date | None, then: date | None, word: str) -> None:
    assert words.moved(now, then) == word


def test_a_sum_says_how_much_more_or_less_or_that_there_is_nothing_to_compare() -> None:
    assert words.sums("Cost", D("5.57"), D("6.68"), "EUR") == Line(
        "Cost", "5.57\u00a0€", "6.68\u00a0€", "1.11\u00a0€ more"
    )
    assert words.sums("Cost", D(6), D(5), "EUR").word == "1.00\u00a0€ less"
    assert words.sums("Cost", D(6), D(6), "EUR").word == ""
    assert words.sums("Cost", None, D(6), "EUR") == Line("Cost", "", "6.00\u00a0€")
