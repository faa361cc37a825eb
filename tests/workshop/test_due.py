"""What is due, in the demonstration year: the figures of the workshop's own scenario."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from costing.models import Batch
from costing.selectors import dues

pytestmark = pytest.mark.usefixtures("demo")


def test_value_at_risk_in_the_taw_tub_after_mixing_is_book_and_own_hours() -> None:
    # 3 skins of 12.00, materials of 11 and 20 January, 528 minutes at 16.00 an hour: 52.72 + 8.80 × 16.
    assert dues.risk_of(Batch.objects.get(number="B1"), date(2025, 1, 20)) == Decimal("193.52")
