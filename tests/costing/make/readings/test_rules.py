"""Readings that cannot be, and weighings that are asked about."""

from __future__ import annotations

from decimal import Decimal

import pytest

from costing.make.readings.rules import check_celsius, check_ph, check_weight
from inventory.errors import Refused


@pytest.mark.parametrize("value", ["0", "7.05", "14"])
def test_every_ph_from_nought_to_fourteen_can_be(value: str) -> None:
    assert check_ph(Decimal(value)) == Decimal(value)


@pytest.mark.parametrize(
    ("check", "value", "words"),
    [
        (check_ph, "19", "A pH of 19 cannot be: it lies between 0 and 14"),
        (check_ph, "-0.1", "A pH"),
        (check_ph, "NaN", "A pH"),
        (check_celsius, "81", "between -20 °C and 80 °C"),
        (check_celsius, "-21", "A temperature"),
        (check_weight, "0", "it must be above 0"),
        (check_weight, "Infinity", "A weight"),
    ],
)
def test_readings_that_cannot_be_are_refused(check: object, value: str, words: str) -> None:
    assert callable(check)
    with pytest.raises(Refused, match=words):
        check(Decimal(value))
