"""What a square foot cost says where its area came from, and what the photo's ± makes of it."""

from __future__ import annotations

import json
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.test import Client
from pytest_django import Settings

from costing.make.readings.areas import services as areas
from costing.make.readings.areas.taps import Tapped
from costing.models import PhotoArea
from costing.sell.pricing import selectors as pricing
from inventory.base.accounting import services as accounting
from inventory.models import Article, Skin
from tests import factories
from tests.costing.make.readings.areas.photos import straight
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def photo(settings: Settings, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path
    factories.skin("H01", price="30")


def told() -> PhotoArea:
    """400 × 200 mm in a frame of 600 × 400: 8 dm²."""
    corners = ((100.0, 100.0), (700.0, 100.0), (700.0, 500.0), (100.0, 500.0))
    outline = ((200.0, 200.0), (600.0, 200.0), (600.0, 400.0), (200.0, 400.0))
    tapped = Tapped(corners, outline, width=D(600), height=D(400))
    return areas.measure(skin=Skin.objects.get(tag="H01"), photo=areas.keep(photo=straight()), tapped=tapped, on=DAY)


def finished(tag: str, number: str, area: str) -> Article:
    return factories.finish(tag, pieces=[factories.piece(number, area=D(area))])[0]


def answered(number: str) -> dict[str, object]:
    out = StringIO()
    call_command("price", number, "--json", stdout=out)
    found: dict[str, object] = json.loads(out.getvalue())
    return found


def said(number: str) -> str:
    out = StringIO()
    call_command("price", number, stdout=out)
    return out.getvalue()


def test_a_piece_of_a_whole_skin_has_its_area_from_the_photo(client: Client) -> None:
    photo = told()
    piece = finished("H01", "A1", "800")
    found = pricing.find("A1", pricing.NO_CHANNEL)
    assert (found.photo, found.full) == (photo, D(30))
    off = photo.plus_minus
    # 30.00 for 8 dm²: a dm² cost 30 · 100 ÷ 800 = 3.75, at the most and the least of what the area may be:
    ends = tuple((D(3000) / (800 + way * off)).quantize(D("0.01")) for way in (1, -1))
    assert found.full_between("dm2") == ends
    assert ends[0] < D("3.75") < ends[1]
    page = client.get(f"/articles/{piece.number}/").content.decode()
    assert "8 dm² (0.86 sq ft) from" in page
    assert f'href="/areas/{photo.pk}/"' in page
    answer = answered("A1")
    assert (answer["area_from"], answer["area_on"]) == ("photo", DAY.isoformat())
    assert f"About 8 dm2 (0.86 sq ft) by a photo of {DAY}, ± " in said("A1")
    assert " by its ±." in said("A1")
    ends = f"± {D(str(answer['area_plus_minus_dm2'])).quantize(D('0.01')).normalize():f} dm2: "
    assert ends in said("A1")


def test_an_area_that_went_through_a_form_in_square_feet_is_that_of_the_photo() -> None:
    photo = told()
    finished("H01", "A1", "799.0")  # 0.86 sq ft, typed
    assert pricing.find("A1", pricing.NO_CHANNEL).photo == photo


def test_an_area_that_was_typed_or_reversed_came_from_a_hand(client: Client) -> None:
    photo = told()
    finished("H01", "A1", "700")
    assert pricing.find("A1", pricing.NO_CHANNEL).photo is None
    assert answered("A1")["area_from"] == "hand"
    assert "About 7 dm2 (0.75 sq ft) by hand: " in said("A1")
    assert "measured by hand and approximate" in client.get("/articles/A1/").content.decode()
    factories.skin("H02")
    finished("H02", "A2", "800")
    assert pricing.find("A2", pricing.NO_CHANNEL).photo is None
    areas.reverse(area=photo)
    assert pricing.find("A1", pricing.NO_CHANNEL).photo is None


def test_a_skin_in_work_and_one_without_an_area() -> None:
    photo = told()
    assert pricing.find("H01", pricing.NO_CHANNEL).photo == photo
    factories.skin("H02")
    found = answered("H02")
    assert (found["area"], found["area_from"], found["full_per_sq_ft_between"]) == (None, None, None)


def test_in_a_workshop_with_pounds_square_feet_stand_first(client: Client) -> None:
    told()
    accounting.set_up(units="us")
    finished("H01", "A1", "800")
    page = client.get("/articles/A1/").content.decode()
    assert "0.86 sq ft (8 dm²) from" in page
    assert "full a sq ft by that." in " ".join(page.split())
