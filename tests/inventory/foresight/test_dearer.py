"""A price that goes up: the lot is priced at it, list price and breaks alike, and a supplier's carriage is not."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from costing.make.recipes import services as recipes
from inventory.foresight.advice import Advice, advices
from inventory.foresight.selectors import outlooks
from inventory.models import Material
from tests.factories import batch, days_from, delivery, line, material, recipe

pytestmark = pytest.mark.django_db
D = Decimal
ON = date(2025, 3, 4)
day = days_from(ON)


def bought(alum: Material, times: Fraction) -> Advice:
    return advices(outlooks(ON), dearer={alum.pk: times})[alum.pk]


@pytest.mark.parametrize(("litres", "now", "then"), [(48, "11.60", "13.92"), (265, "100.00", "120.00")])
def test_list_price_and_breaks_go_up_alike(litres: int, now: str, then: str) -> None:
    """2.00 kg are there. 3.84 kg want one pack at 11.60; 21.2 kg want ten, from which on a pack costs 10.00."""
    alum = material("ALUMK", lead_days=9, pack_quantity=D(2), price_breaks="10 10.00")
    delivery(line(alum))
    version = recipe("R1", recipes.Line(alum, D(80), "g", "per_litre"))
    batch("B1", version=version, litres=D(litres), start=day(30))
    assert bought(alum, Fraction(1)).lot.cost == D(now)
    assert bought(alum, Fraction(6, 5)).lot.cost == D(then)
