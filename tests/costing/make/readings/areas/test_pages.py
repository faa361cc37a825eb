"""Pages of areas from photos: the photo kept first, refusals beside their field, figures shown and not written, the saved area."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from costing.make.readings.areas import services as areas
from costing.models import PhotoArea
from inventory.base import selectors as workshop
from inventory.base.models import Measures
from inventory.models import Skin
from inventory.permits import HELPER
from tests import factories
from tests.costing.make.readings.areas.photos import straight
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
CORNERS = "100,100 700,100 700,500 100,500"
OUTLINE = "200,200 600,200 600,400 200,400"


@pytest.fixture(autouse=True)
def _skin(settings: Settings, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path
    factories.skin("H01")


@pytest.fixture
def photo() -> str:
    return areas.keep(photo=straight())


def typed(**more: str) -> dict[str, str]:
    sent = {"request_key": "k", "way": "frame", "width": "60", "height": "40", "unit": "cm", "state": "wet"}
    return {**sent, "on": "2025-03-10", "corners": CORNERS, "outline": OUTLINE, "defects": "", **more}


def tap(client: Client, photo: str, button: str = "", **more: str) -> Any:
    pressed = {button: "1"} if button else {}
    return client.post(reverse("skin_area_tap", args=["H01", photo]), typed(**more) | pressed)


def test_the_photo_is_kept_and_named_in_the_next_address(client: Client) -> None:
    sent = SimpleUploadedFile("hide.jpg", straight(), "image/jpeg")
    answer = client.post(reverse("skin_area", args=["H01"]), {"request_key": "k", "photo": sent})
    name = answer["location"].rstrip("/").rpartition("/")[2]
    assert areas.size(name) == (800, 600)
    page = text(client.get(answer["location"]))
    assert f'href="{reverse("photo", args=[name])}"' in client.get(answer["location"]).content.decode()
    assert "area is approximate" in page
    assert "ISO 11646" in page


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"no photo at all", "neither JPEG, PNG nor WebP"),
        (straight()[:900], "broken off or damaged"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "saved as HEIC"),
    ],
)
def test_a_refused_photo_says_why(client: Client, content: bytes, said: str) -> None:
    sent = SimpleUploadedFile("hide.jpg", content, "image/jpeg")
    answer = client.post(reverse("skin_area", args=["H01"]), {"request_key": "k", "photo": sent})
    assert said in answer.context["form"].errors["photo"][0]


@pytest.mark.parametrize("name", ["nothing", "0" * 32 + ".jpg", "..%2fdb"])
def test_a_photo_that_is_none_of_ours_is_not_found(client: Client, name: str) -> None:
    assert client.get(f"/skins/H01/area/{name}/").status_code == 404


@pytest.mark.parametrize("button", ["measure", ""])
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"corners": "100,100 700,100"}, "corners", "2 corners are given"),
        ({"corners": "100,100 x"}, "corners", "“x” is no point"),
        ({"outline": ""}, "outline", "The outline has 0 points"),
        ({"outline": "200,200 600,400 600,200 200,300"}, "outline", "crosses itself"),
        ({"outline": "0,0 800,0 800,600"}, "outline", "leaves the frame"),
        ({"defects": "hole: 10,10 20,10 20,20"}, "defects", "Hole 1 is not inside"),
        ({"defects": "tear: 10,10 20,10 20,20"}, "defects", "is no defect"),
        ({"width": "0"}, "width", "The width of the frame is 0 mm"),
        ({"width": "40", "height": "60"}, "width", "not the other way round"),
        ({"way": "marks", "corners": "100,100 700,100"}, "apart", "The distance between the marks is 0 mm"),
        ({"way": "marks", "apart": "60"}, "corners", "two ends of the known distance"),
        ({"on": "soon"}, "on", "valid date"),
    ],
)
def test_a_refusal_stands_beside_its_field_and_nothing_tapped_is_lost(
    client: Client, photo: str, button: str, wrong: dict[str, str], field: str, said: str
) -> None:
    answer = tap(client, photo, button, **wrong)
    assert said in answer.context["form"].errors[field][0]
    assert not PhotoArea.objects.exists()
    sent = typed(**wrong)
    shown = answer.context["form"]
    assert {name: shown[name].value() for name in ("corners", "outline", "defects", "width", "state")} == {
        name: sent[name] for name in ("corners", "outline", "defects", "width", "state")
    }
    assert areas.size(photo) == (800, 600)


@pytest.mark.parametrize(("on", "said"), [("2024-12-01", "came in on"), ("2999-01-01", "has not come yet")])
def test_a_day_that_cannot_be_is_refused_when_it_is_saved(client: Client, photo: str, on: str, said: str) -> None:
    assert said in tap(client, photo, on=on).context["form"].errors["on"][0]
    assert not PhotoArea.objects.exists()


def test_the_figures_are_shown_both_ways_with_what_they_may_be_off_by_and_nothing_is_written(
    client: Client, photo: str
) -> None:
    answer = tap(client, photo, "measure", defects="hole: 300,250 350,250 350,300\nscar: 400,300 450,300 450,350")
    found = answer.context["found"]
    assert abs(found.area - D("787.5")) < D("0.5")
    assert abs(found.usable - D("775")) < D("0.5")
    page = text(answer)
    assert "7.88 dm² (0.85 sq ft)" in page
    assert "± 0." in page
    assert "120 cm" in page
    assert "Measured, to be saved" in page
    assert 'class="hole" points="300,250 350,250 350,300"' in answer.content.decode()
    assert not PhotoArea.objects.exists()
    assert Skin.objects.get(tag="H01").wet_area is None


def test_feet_and_inches_come_first_where_they_are_the_measure(client: Client, photo: str) -> None:
    row = workshop.current()
    row.units = Measures.US
    row.save()
    workshop.forget()
    answer = tap(client, photo, "measure", width="24", height="16", unit="")
    assert "0.89 sq ft (8.26 dm²)" in text(answer)
    assert "inch" in text(answer)


def test_the_outline_is_laid_to_the_edge_and_shown_and_nothing_is_written(client: Client, photo: str) -> None:
    answer = tap(client, photo, "edge", outline="205,194 400,207 595,206 606,300 594,395 400,393 206,405 193,300")
    laid = np.array(
        [[float(part) for part in point.split(",")] for point in answer.context["form"]["outline"].value().split()]
    )
    x, y = laid.T
    beside = np.minimum.reduce([abs(x - 200), abs(x - 600), abs(y - 200), abs(y - 400)])
    assert beside.max() < 3
    assert "Drag what is wrong" in text(answer)
    assert not PhotoArea.objects.exists()


def test_without_an_outline_there_is_nothing_to_lay(client: Client, photo: str) -> None:
    assert "at least three points" in tap(client, photo, "edge", outline="").context["form"].errors["outline"][0]


def test_two_marks_tell_the_size_too(client: Client, photo: str) -> None:
    tap(client, photo, way="marks", corners="100,300 700,300", apart="600", unit="mm", width="9")
    made = PhotoArea.objects.get()
    assert (made.apart, made.frame_width, made.area) == (D(600), None, D(800))


def test_a_frame_is_offered_again_and_what_is_typed_counts_before_it(client: Client, photo: str) -> None:
    tap(client, photo)
    form = client.get(reverse("skin_area_tap", args=["H01", photo])).context["form"]
    assert form["known"].value() == "600.000x400.000"
    tap(client, photo, request_key="k2", known="600.000x400.000", width="", height="")
    tap(client, photo, request_key="k3", known="600.000x400.000", width="30", height="20")
    assert list(PhotoArea.objects.order_by("pk").values_list("frame_width", flat=True)) == [D(600), D(600), D(300)]


def test_saved_once_though_sent_twice_and_shown_on_its_page_and_its_skins(client: Client, photo: str) -> None:
    for _ in range(2):
        answer = tap(client, photo, defects="thin: 300,250 350,250 350,300")
        assert answer["location"] == reverse("skin", args=["H01"])
    made = PhotoArea.objects.get()
    assert (made.wet, made.on, made.written_by) == (True, date(2025, 3, 10), factories.owner())
    assert Skin.objects.get(tag="H01").wet_area == made.area
    page = client.get(reverse("photo_area", args=[made.pk]))
    drawing = page.content.decode()
    assert 'viewBox="0 0 800 600"' in drawing
    assert f'class="outline" points="{OUTLINE}"' in drawing
    assert 'class="thin" points="300,250 350,250 350,300"' in drawing
    assert "60 cm × 40 cm" in text(page)
    assert "wet" in text(page)
    assert reverse("photo_area", args=[made.pk]) in client.get(reverse("skin", args=["H01"])).content.decode()


def test_reversed_it_is_struck_out_and_can_be_read_still(client: Client, photo: str) -> None:
    tap(client, photo)
    made = PhotoArea.objects.get()
    address = reverse("photo_area_reverse", args=[made.pk])
    assert client.get(address).status_code == 200
    assert client.post(address, {"request_key": "r"})["location"] == reverse("skin", args=["H01"])
    assert "<s>8 dm²" in client.get(reverse("skin", args=["H01"])).content.decode()
    page = client.get(reverse("photo_area", args=[made.pk])).content.decode()
    assert "Reversed on" in page
    assert address not in page
    assert "reversed already" in text(client.post(address, {"request_key": "r2"}))


def test_wet_or_dry_is_set_before_by_where_the_skin_is(client: Client, photo: str) -> None:
    def state() -> object:
        return client.get(reverse("skin_area_tap", args=["H01", photo])).context["form"]["state"].value()

    assert state() == "wet"
    factories.batch("B1", tags=["H01"])
    assert state() == "wet"
    factories.finish("H01", on=date(2025, 3, 10), pieces=[factories.piece("A1")])
    assert state() == "dry"


def test_the_skins_page_asks_no_more_for_many_areas_than_for_one(client: Client, photo: str) -> None:
    address = reverse("skin", args=["H01"])
    tap(client, photo)
    one = queries(client, address)
    for number in range(4):
        tap(client, photo, request_key=f"more{number}")
    assert queries(client, address) == one


def test_a_helper_measures(client: Client, photo: str) -> None:
    helper = signed_in(factories.person(HELPER))
    assert helper.get(reverse("skin_area", args=["H01"])).status_code == 200
    assert tap(helper, photo)["location"] == reverse("skin", args=["H01"])
