"""An area told by a photo: written to its skin with its evidence, reversed, and what stands after each."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from pytest_django import Settings

from costing.make.readings.areas import selectors, services as areas
from costing.make.readings.areas.taps import Defect, Tapped
from costing.models import PhotoArea
from inventory.base import selectors as workshop
from inventory.errors import NotAllowed, Refused
from inventory.models import Skin
from inventory.permits import BOOKKEEPER
from inventory.skins import services as skins
from tests import factories
from tests.costing.make.readings.areas.photos import straight

pytestmark = pytest.mark.django_db
D = Decimal
DAY = date(2025, 3, 10)
CORNERS = ((100.0, 100.0), (700.0, 100.0), (700.0, 500.0), (100.0, 500.0))
HOLE = Defect("hole", ((300.0, 250.0), (350.0, 250.0), (350.0, 300.0), (300.0, 300.0)))


@pytest.fixture(autouse=True)
def photo(settings: Settings, tmp_path: Path) -> str:
    settings.DATA_DIR = tmp_path
    factories.skin("H01")
    return areas.keep(photo=straight())


def outline(right: float = 600) -> tuple[tuple[float, float], ...]:
    return ((200.0, 200.0), (right, 200.0), (right, 400.0), (200.0, 400.0))


def measured(photo: str, right: float = 600, *, on: date = DAY, **more: Any) -> PhotoArea:
    defects = more.pop("defects", ())
    tapped = Tapped(CORNERS, outline(right), defects, width=D(600), height=D(400))
    return areas.measure(skin=skin(), photo=photo, tapped=tapped, on=on, **more)


def skin() -> Skin:
    return Skin.objects.get(tag="H01")


def test_it_becomes_the_dry_or_the_wet_area_and_keeps_photo_and_taps(photo: str) -> None:
    made = measured(photo, defects=(HOLE, Defect("scar", ((400.0, 300.0), (450.0, 300.0), (450.0, 350.0)))))
    assert (made.area, skin().dry_area, skin().wet_area) == (D(775), D(775), None)
    assert (made.usable, made.perimeter, made.was, made.photo) == (D("762.5"), D(1200), None, photo)
    assert (made.frame_width, made.frame_height, made.apart) == (D(600), D(400), None)
    assert 0 < made.plus_minus < 40
    assert made.taps["size"] == [800, 600] or made.taps["size"] == (800, 600)
    assert [each["kind"] for each in PhotoArea.objects.get().taps["defects"]] == ["hole", "scar"]
    measured(photo, 500, wet=True)
    assert (skin().dry_area, skin().wet_area) == (D(775), D(600))


def test_the_figures_told_before_are_those_that_are_written(photo: str) -> None:
    told = areas.told(photo=photo, tapped=Tapped(CORNERS, outline(), width=D(600), height=D(400)))
    assert not PhotoArea.objects.exists()
    made = measured(photo)
    for name in ("area", "plus_minus", "usable", "perimeter", "length", "width"):
        assert getattr(made, name) == getattr(told, name)


def test_reversed_what_was_written_before_stands_again(photo: str) -> None:
    skins.set_area(skins.lock(["H01"])[0], D(500), wet=False)
    made = measured(photo)
    assert made.was == D(500)
    assert areas.reverse(area=made).reversed_at
    assert skin().dry_area == D(500)
    assert list(selectors.of_skin(skin())) == [made]
    assert not selectors.standing().exists()
    with pytest.raises(Refused, match="reversed already"):
        areas.reverse(area=made)


def test_one_reversed_beneath_a_later_one_leaves_the_later_and_its_own_former_area(photo: str) -> None:
    first, later = measured(photo), measured(photo, 500)
    assert later.was == first.area
    areas.reverse(area=first)
    assert skin().dry_area == later.area
    areas.reverse(area=later)
    assert skin().dry_area is None


def test_an_area_typed_since_stays_when_the_photos_is_reversed(photo: str) -> None:
    made = measured(photo)
    skins.set_area(skins.lock(["H01"])[0], D(900), wet=False)
    areas.reverse(area=made)
    assert skin().dry_area == D(900)


def test_a_wet_one_reversed_leaves_the_dry_one(photo: str) -> None:
    wet, dry = measured(photo, wet=True), measured(photo, 500)
    areas.reverse(area=wet)
    assert (skin().wet_area, skin().dry_area) == (None, dry.area)


@pytest.mark.parametrize(("on", "said"), [(date(2025, 3, 3), "came in on"), (date(2999, 1, 1), "has not come yet")])
def test_a_day_that_cannot_be_is_refused(photo: str, on: date, said: str) -> None:
    with pytest.raises(Refused, match=said) as refusal:
        measured(photo, on=on)
    assert refusal.value.field == "on"
    assert skin().dry_area is None


def test_a_photo_that_is_gone_is_refused_by_its_field() -> None:
    for name in ("0" * 32 + ".jpg", "../../etc/passwd"):
        with pytest.raises(Refused, match="not there any more") as refusal:
            measured(name)
        assert refusal.value.field == "photo"


def test_sent_twice_it_is_one(photo: str) -> None:
    made = measured(photo, request_key="k")
    assert measured(photo, request_key="k") == made
    assert areas.reverse(area=made, request_key="r") == areas.reverse(area=made, request_key="r")
    assert PhotoArea.objects.count() == 1


def test_who_may_not_work_in_the_shed_neither_measures_nor_keeps(photo: str) -> None:
    reader = factories.person(BOOKKEEPER)
    with pytest.raises(NotAllowed):
        measured(photo, by=reader)
    with pytest.raises(NotAllowed):
        areas.keep(photo=straight(), by=reader)


def test_frames_measured_in_are_known_the_latest_first(photo: str) -> None:
    measured(photo)
    wide = Tapped(CORNERS, outline(), width=D(900), height=D(600))
    areas.measure(skin=skin(), photo=photo, tapped=wide, on=DAY)
    assert selectors.frames() == [(D(900), D(600)), (D(600), D(400))]


def test_a_photo_of_a_day_that_has_not_come_is_refused(photo: str) -> None:
    ahead = workshop.today() + timedelta(days=1)
    with pytest.raises(Refused, match=f"{ahead} has not come yet") as refused:
        measured(photo, on=ahead)
    assert (refused.value.field, PhotoArea.objects.count()) == ("on", 0)
