"""What Today says must be done is what the books of the demonstration year say anew."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.foresight import selectors as foresight
from tests.inventory.foresight.test_past import check

pytestmark = pytest.mark.usefixtures("demo")


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("month", [1, 6, 12])
def test_the_demonstration_year_is_told_the_same_when_it_is_asked_again(month: int) -> None:
    on = date(2025, month, 28)
    foresight.outlooks(on)
    check(on)
