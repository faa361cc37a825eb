"""The currency is fixed by the first entry of money, on whichever floor it was made."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from costing.make.cost.rates import services as rates
from costing.sell.expenses import services as expenses
from inventory.articles import services as pieces
from inventory.base import selectors as read
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from tests import factories as make
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D = Decimal


def unpriced() -> Any:
    make.skin("H01", price=0)
    return make.finish("H01")[0]


ENTRIES: dict[str, Callable[[], Any]] = {
    "a sale": lambda: make.sale(make.item(None, 5)),
    "a cost": lambda: expenses.spend(kind="overhead", amount=D("12.50"), on=DAY),
    "a job": lambda: make.job(price=100, finished=False),
    "paid help": lambda: make.work(tags=[make.skin("H01", price=0).tag], paid=D(20), who="Aino"),
    "an asked price": lambda: pieces.set_price(article=unpriced(), list_price=D(185)),
}


@pytest.mark.parametrize("entry", ENTRIES)
def test_an_entry_of_money_fixes_the_currency(entry: str) -> None:
    ENTRIES[entry]()
    with pytest.raises(Refused, match="entries exist, so the currency stays") as refused:
        workshop.set_up(currency="JPY")
    assert refused.value.field == "currency"
    assert read.current().currency == "EUR"
    workshop.set_up(currency="EUR", name="The same")


def test_rates_and_work_of_ones_own_fix_nothing_yet() -> None:
    rates.set_rates(wage_per_hour=D(16))
    make.work(tags=[make.skin("H01", price=0).tag])
    workshop.set_up(currency="JPY")
    assert read.current().currency == "JPY"
