"""One photo and its taps: what defects take, the edge in the photo's own pixels, and points as they are typed."""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from costing.make.readings.areas import photo, taps
from costing.make.readings.areas.taps import Defect, Ring, Tapped
from inventory.errors import Refused
from tests.costing.make.readings.areas import photos

CORNERS: Ring = ((100, 50), (1100, 50), (1100, 1550), (100, 1550))
BOX: Ring = ((300, 350), (900, 350), (900, 1150), (300, 1150))
HOLE, SCAR = (
    Defect(kind, taps.points(ring, "defects"))
    for kind, ring in (("hole", "500,600 600,600 600,700 500,700"), ("scar", "700,600 800,600 800,800 700,800"))
)


def sheet(*size: int) -> bytes:
    written = BytesIO()
    Image.new("L", size, 120).save(written, "JPEG")
    return written.getvalue()


def tapped(*defects: Defect) -> Tapped:
    return Tapped(CORNERS, BOX, defects, Decimal(1000), Decimal(1500))


def test_a_hole_is_no_leather_and_a_scar_is_leather_that_cannot_be_used() -> None:
    found = photo.measured(sheet(1200, 1600), tapped(HOLE, SCAR))
    assert found.measured.area == pytest.approx(480_000 - 10_000)
    assert found.usable == pytest.approx(480_000 - 10_000 - 20_000)


def test_defects_that_lie_on_each_other_would_be_taken_off_twice() -> None:
    with pytest.raises(Refused, match="Hole 1 and thin place 1 lie on each other"):
        photo.measured(sheet(1200, 1600), tapped(HOLE, Defect("thin", HOLE.ring)))
    with pytest.raises(Refused, match="Scar 2 has 2 points") as refused:
        photo.measured(sheet(1200, 1600), tapped(SCAR, Defect("scar", SCAR.ring[:2])))
    assert refused.value.field == "holes"
    with pytest.raises(Refused, match="61 defects are marked"):
        photo.measured(sheet(1200, 1600), tapped(*[HOLE] * 61))


def test_the_edge_is_found_in_the_pixels_of_a_large_photo() -> None:
    lot = np.random.default_rng(5)
    scene = photos.Scene(1200, 1500, photos.hide(lot, 1200, 1500))
    view = photos.camera(lot, scene, (3200, 2400), tilt=20, bend=0)
    content = photos.photo(lot, scene, view)
    rough: Ring = tuple(
        (float(x), float(y)) for x, y in view.sees(scene.outline) + lot.normal(0, 8, scene.outline.shape)
    )
    found = photo.to_the_edge(content, rough)
    inside = np.array([(0, 0), (1200, 0), (1200, 1500), (0, 1500)], dtype=float)
    corners: Ring = tuple((float(x), float(y)) for x, y in view.sees(inside))
    area = photo.measured(content, Tapped(corners, found, (), Decimal(1200), Decimal(1500))).measured.area
    x, y = scene.outline.T
    assert area == pytest.approx(abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) / 2), rel=0.01)


@pytest.mark.parametrize("outline", [(), ((1.0, 1.0), (2.0, 2.0)), ((1.0, 1.0), (2.0, 2.0), (3.0, 3.0))])
def test_an_edge_is_sought_beside_an_outline(outline: Ring) -> None:
    with pytest.raises(Refused, match="Tap at least three points"):
        photo.to_the_edge(sheet(1200, 1600), outline)


@pytest.mark.parametrize("text", ["1", "1,2,3", "a,b", "1e3,2", "1234567,2", "1, 2", "nan,2"])
def test_a_word_that_is_no_point_is_named(text: str) -> None:
    with pytest.raises(Refused, match=r"is no point\. Write each as x,y"):
        taps.points(text, "corners")


def test_a_photo_upside_down_and_on_its_side_keeps_its_upright_size() -> None:
    for turned, size in ((3, (1200, 1600)), (6, (1600, 1200)), (8, (1600, 1200))):
        exif, written = Image.Exif(), BytesIO()
        exif[0x0112] = turned
        Image.new("L", size, 120).save(written, "JPEG", exif=exif)
        found = photo.measured(written.getvalue(), tapped())
        assert (found.lens.size, round(found.measured.area)) == ((1200, 1600), 480_000)
