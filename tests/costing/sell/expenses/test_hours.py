"""Hours that no skin bears: entered for a day or a year, taken back by a linked entry."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from costing.models import SideHours
from costing.sell.expenses import services as expenses
from inventory.errors import Refused
from tests.costing.sell.payments.test_services import day
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D = Decimal


def test_hours_that_made_nothing_are_written_and_taken_back() -> None:
    row = expenses.spend_hours(kind="papers", minutes=D(1320), on=DAY, words="the year's papers")
    back = expenses.reverse_hours(row=row, on=day(1))
    assert (back.minutes, back.reverses) == (-1320, row)
    for each in (row, back):
        with pytest.raises(Refused, match="reversed already"):
            expenses.reverse_hours(row=each)


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({"minutes": D(0)}, "more than nothing"),
        ({"minutes": D(-1)}, "more than nothing"),
        ({"minutes": D("0.0001")}, "decimals"),
        ({"minutes": D(527041)}, "more than a year has"),
        ({"kind": "sleep"}, "choose one of stall, papers, other"),
    ],
)
def test_hours_that_cannot_be_are_refused(given: dict[str, Any], match: str) -> None:
    with pytest.raises(Refused, match=match):
        expenses.spend_hours(**{"kind": "papers", "minutes": D(1), "on": DAY, **given})
    assert not SideHours.objects.exists()
