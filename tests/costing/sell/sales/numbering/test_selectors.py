"""Which days are asked about, because numbers and days would not run together."""

from __future__ import annotations

from datetime import timedelta

import pytest

from costing.sell.sales.numbering import selectors as numbering
from inventory.base.accounting import services as workshop
from tests import factories as make
from tests.factories import DAY

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _here() -> None:
    workshop.set_up(name="Here", maker="M", postal_address="Lane 1")
    workshop.pin_today(on=DAY + timedelta(days=9))


def test_an_invoice_before_one_of_an_earlier_number_is_asked_about() -> None:
    assert numbering.odd_day("invoice", DAY) is None
    make.sale(make.article("A1"), customer=make.customer(), on=DAY + timedelta(days=2))
    assert numbering.odd_day("invoice", DAY + timedelta(days=2)) is None
    asked = numbering.odd_day("invoice", DAY + timedelta(days=1))
    assert asked is not None
    assert "get the number after INV-001, which is of 6 March 2025" in asked
    assert [numbering.odd_day(kind, DAY) for kind in ("sale", "credit")] == [None, None]
