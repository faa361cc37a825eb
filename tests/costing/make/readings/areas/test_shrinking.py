"""How skins shrink: mean and spread worked out by hand, what is told of one skin, and when nothing is."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client

from costing.make.readings.areas import selectors as areas
from costing.make.readings.areas.shrinking import Shrinkage, shrinkage
from inventory.models import Skin
from tests import factories

D = Decimal
# 0.90, 0.92 and 0.88: mean 0.90, s = √((0 + 0.0004 + 0.0004) ÷ 2) = 0.02; 4.303 · 0.02 · √(4/3) = 0.0994
PAIRS = [(D(100), D(90)), (D(100), D(92)), (D(200), D(176))]


def test_mean_and_what_one_more_skin_lies_within() -> None:
    found = shrinkage(PAIRS)
    assert found == Shrinkage(3, D("0.9000"), D("0.0994"))
    assert (found.least_percent, found.most_percent) == (80, 100)


@pytest.mark.parametrize("pairs", [[], PAIRS[:1], PAIRS[:2]])
def test_fewer_than_three_say_nothing(pairs: list[tuple[Decimal, Decimal]]) -> None:
    assert shrinkage(pairs) is None


def test_many_alike_have_no_spread_and_more_than_the_table_has_are_taken() -> None:
    assert shrinkage([(D(100), D(85))] * 5) == Shrinkage(5, D("0.85"), D(0))
    assert shrinkage([(D(100), D(80)), (D(100), D(90))] * 20) == Shrinkage(40, D("0.8500"), D("0.1005"))


@pytest.mark.django_db
def test_the_page_of_a_wet_skin_tells_what_to_expect_by_others_of_its_species(client: Client) -> None:
    for number, (wet, dry) in enumerate(PAIRS):
        factories.skin(f"D{number}", species="Roe deer", wet_area=wet * 100, dry_area=dry * 100)
    factories.skin("X1", species="Sheep", wet_area=D(9000), dry_area=D(9000))
    factories.skin("N1", species="roe deer", wet_area=D(10000))
    assert "about 90 dm² ± 9.94 dm² when it is dry, by 3 skins of its species" in page(client, "N1")
    assert "when it is dry" not in page(client, "X1")
    # One that has its own dry area is held beside the others: two of them say nothing.
    assert areas.dries(Skin.objects.get(tag="D1")) is None
    factories.skin("N2", species="Roe deer", wet_area=D(10000), dry_area=D(9700))
    assert "97 % of its wet area; 80 to 100 % by 3 skins of its species" in page(client, "N2")


def page(client: Client, tag: str) -> str:
    return " ".join(client.get(f"/skins/{tag}/").content.decode().split())
