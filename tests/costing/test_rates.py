from __future__ import annotations

from decimal import Decimal

import pytest

from costing import rollup
from costing.models import Rates
from costing.selectors import rates as read
from costing.services import rates
from inventory.errors import Refused

pytestmark = pytest.mark.django_db

D = Decimal


def test_nobody_set_rates_yet_and_all_are_nothing() -> None:
    assert read.plain() == rollup.Rates(D(0), D(0), D(0))
    assert not Rates.objects.exists()


def test_what_is_given_changes_and_the_rest_stays() -> None:
    rates.set_rates(wage_per_hour=D("16.00"), overhead_per_hour=D("4.00"), frame_wear=D("1.52"))
    row = rates.set_rates(vat_percent=D("25.5"), price_step=D("0.50"))
    assert read.plain() == rollup.Rates(D(16), D(4), D("1.52"))
    assert (row.vat_percent, row.price_step) == (D("25.5"), D("0.50"))


@pytest.mark.parametrize("name", ["wage_per_hour", "overhead_per_hour", "frame_wear", "price_step"])
@pytest.mark.parametrize("value", ["-0.01", "0.001", "NaN", "1e13"])
def test_a_rate_that_cannot_be_paid_is_refused(name: str, value: str) -> None:
    with pytest.raises(Refused) as refusal:
        rates.set_rates(**{name: D(value)})
    assert refusal.value.field == name
    assert not Rates.objects.exists()


@pytest.mark.parametrize("value", ["-1", "100.001", "25.5555", "NaN"])
def test_a_tax_rate_that_is_not_believable_is_refused(value: str) -> None:
    with pytest.raises(Refused) as refusal:
        rates.set_rates(vat_percent=D(value))
    assert refusal.value.field == "vat_percent"
