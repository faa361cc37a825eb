"""Own sales of a species and grade, on the page of a piece whose photo marks defects."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from django.test import Client
from pytest_django import Settings

from costing.make.readings.areas import services as areas
from costing.make.readings.areas.taps import Defect, Tapped
from inventory.models import Article, Skin
from tests import factories
from tests.costing.make.readings.areas.photos import straight
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def _sold(settings: Settings, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path
    for number in range(3):
        factories.sale(made(f"S{number}", "A", D(2000)), asked=80)
        factories.sale(made(f"T{number}", "B", D(2000)), asked=40)


def made(number: str, grade: str, area: Decimal) -> Article:
    factories.skin(f"H-{number}", species="Sheep")
    return factories.finish(f"H-{number}", pieces=[factories.piece(number, area=area, grade=grade)])[0]


def with_scar(species: str = "sheep") -> Article:
    """8 dm², of which a scar takes 50 × 100 mm."""
    factories.skin("N1", species=species)
    corners = ((100.0, 100.0), (700.0, 100.0), (700.0, 500.0), (100.0, 500.0))
    outline = ((200.0, 200.0), (600.0, 200.0), (600.0, 400.0), (200.0, 400.0))
    scar = Defect("scar", ((300.0, 250.0), (350.0, 250.0), (350.0, 350.0), (300.0, 350.0)))
    tapped = Tapped(corners, outline, (scar,), D(600), D(400))
    areas.measure(skin=Skin.objects.get(tag="N1"), photo=areas.keep(photo=straight()), tapped=tapped, on=DAY)
    return factories.finish("N1", pieces=[factories.piece("N1", area=D(800), grade="B")])[0]


def page(client: Client) -> str:
    return " ".join(client.get("/articles/N1/").content.decode().split())


def test_the_page_says_what_the_scar_takes_by_own_sales(client: Client) -> None:
    with_scar()
    # 50 cm2 at 40 ÷ 2000 = 0.02 a cm2: 1.00; grade A brings 0.04: 750 · 0.02 = 15.00 more.
    told = page(client)
    assert "1.00" in told.partition("What its defects take off")[2].partition("as grade B brought in 3 sales")[0]
    assert "15.00" in told.partition("Grade A brings")[2].partition("by 3 sales")[0]


def test_sales_of_another_species_say_nothing(client: Client) -> None:
    with_scar("Roe deer")
    assert "What its defects take off" not in page(client)


def test_a_piece_without_marked_defects_has_no_such_block(client: Client) -> None:
    made("N1", "A", D(900))
    assert "What its defects take off" not in page(client)
