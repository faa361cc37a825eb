"""Prices with tax: the floor is what the buyer pays, the fee is taken from all of it, the hour earns what is left without it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from costing.make.cost.rates import services as rates
from costing.make.finishing import services as articles
from costing.make.labour import services as labour
from costing.sell.pricing import selectors as prices
from costing.sell.pricing.channels import services as channels
from inventory.articles.services import Piece
from tests import factories

pytestmark = pytest.mark.django_db
DAY = date(2025, 3, 4)


@pytest.fixture
def rug() -> str:
    factories.registered()
    rates.set_rates(wage_per_hour=Decimal(16), overhead_per_hour=Decimal(4), vat_percent=Decimal(25))
    channels.save(name="Card", fee_percent=Decimal(2), fixed_cost=Decimal("1.00"), usual=True)
    factories.skin("H01", price=20)
    labour.log(on=DAY, task="soften", minutes=Decimal(120), tags=["H01"])
    piece = Piece("H01", "rug", "alum_tawed", list_price=Decimal("125.00"))
    articles.finish(on=DAY, tags=["H01"], pieces=[piece])
    return "H01"


def test_a_floor_with_tax_gives_back_its_cost_after_tax_fee_and_fixed_cost(rug: str) -> None:
    price = prices.find(rug, prices.channel())
    for floor, cost in ((price.floors.cash, price.book), (price.floors.full, price.full)):
        tax = floor - floor / Decimal("1.25")
        left = floor - tax - floor * Decimal("0.02") - Decimal(1)
        assert left >= cost - Decimal("0.005")
        assert left - Decimal("0.02") < cost


def test_an_hour_earns_what_tax_and_the_fee_on_the_whole_price_leave(rug: str) -> None:
    price = prices.find(rug, prices.channel())
    # 125.00 holds 25.00 of tax; the fee is 2 % of 125.00; a sale costs 1.00; the skin cost 20.00; two hours.
    assert price.earned_per_hour == (Decimal(125) - 25 - Decimal("2.50") - 1 - 20) / 2


def test_without_tax_the_floor_is_the_plain_one(rug: str) -> None:
    rates.set_rates(vat_percent=Decimal(0))
    assert prices.find(rug, prices.channel()).floors.cash == Decimal("21.43")
