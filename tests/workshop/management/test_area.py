"""`manage.py area`: the area of a hide from a photo as JSON and in words, and refusals that say what to do."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from django.core.management import CommandError, call_command
from PIL import Image

from tests.costing.make.readings.areas import photos

pytestmark = pytest.mark.django_db
OUTLINE = "300,350 900,350 900,1150 300,1150"
CORNERS = "100,50 1100,50 1100,1550 100,1550"
FRAME = ("--frame", "1000x1500", "--corners", CORNERS)


@pytest.fixture
def photo(tmp_path: Path) -> str:
    """A grey sheet of 1200 × 1600 pixels."""
    return kept(tmp_path / "photo.jpg", Image.new("L", (1200, 1600), 120))


def kept(file: Path, image: Image.Image, **how: object) -> str:
    image.save(file, **how)
    return str(file)


def said(*words: str) -> str:
    out = StringIO()
    call_command("area", *words, stdout=out)
    return out.getvalue()


def asked(*words: str) -> dict[str, str]:
    found: dict[str, str] = json.loads(said(*words, "--json"))
    return found


def test_a_box_in_its_frame(photo: str) -> None:
    found = asked(photo, *FRAME, "--outline", OUTLINE, "--hole", "500,600 600,600 600,700 500,700")
    assert list(found) == ["area_dm2", "area_sq_ft", "perimeter_mm", "length_mm", "width_mm", "plus_minus_dm2"]
    told = float(found.pop("plus_minus_dm2"))
    # 600 × 800 mm less 100 × 100 mm; 47 dm² ÷ 9.290304
    assert found == {
        "area_dm2": "47.00",
        "area_sq_ft": "5.06",
        "perimeter_mm": "2800",
        "length_mm": "1000",
        "width_mm": "960",
    }
    assert 0.3 < told < 1.5


def test_in_words(photo: str) -> None:
    lines = said(photo, *FRAME, "--outline", OUTLINE).splitlines()
    assert lines[0].startswith("About 48.00 dm2 (5.17 sq ft), ± ")
    assert "ISO 11646" in lines[2]


def test_two_marks_in_a_photo_from_straight_above(photo: str) -> None:
    assert asked(photo, "--apart", "500", "--marks", "0,0 0,1000", "--outline", OUTLINE)["area_dm2"] == "12.00"


def test_a_hide_drawn_by_lot(tmp_path: Path) -> None:
    lot = np.random.default_rng(20250304)
    scene = photos.Scene(1200, 1500, photos.hide(lot, 1200, 1500))
    view = photos.camera(lot, scene, (1600, 1200))
    file = tmp_path / "hide.jpg"
    file.write_bytes(photos.photo(lot, scene, view))

    def words(points: np.ndarray) -> str:
        return " ".join(f"{x:.1f},{y:.1f}" for x, y in view.sees(points))

    corners = words(np.array([(0, 0), (1200, 0), (1200, 1500), (0, 1500)], dtype=float))
    found = asked(str(file), "--frame", "1200×1500", "--corners", corners, "--outline", words(scene.outline))
    x, y = scene.outline.T
    true = abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2 / 10_000
    assert float(found["area_dm2"]) == pytest.approx(true, rel=0.01)


def test_a_photo_that_lies_on_its_side_is_measured_upright(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # the camera was turned: rows of the file are columns of the photo
    file = kept(tmp_path / "side.jpg", Image.new("L", (1600, 1200), 120), exif=exif)
    assert asked(file, *FRAME, "--outline", OUTLINE)["area_dm2"] == "48.00"


def test_a_large_photo_is_measured_in_its_own_pixels(tmp_path: Path) -> None:
    file = kept(tmp_path / "large.jpg", Image.new("L", (4800, 6400), 120))

    def four(text: str) -> str:
        return " ".join(",".join(str(4 * int(each)) for each in word.split(",")) for word in text.split())

    large = asked(file, "--frame", "1000x1500", "--corners", four(CORNERS), "--outline", four(OUTLINE))
    assert large["area_dm2"] == "48.00"


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        (("--frame", "1000x1500", "--corners", "1,1 2,2 3,3"), "3 corners are given"),
        (("--frame", "0x1500", "--corners", CORNERS), "The width of the frame is 0 mm"),
        (("--frame", "1000", "--corners", CORNERS), "“1000” is no frame"),
        (("--frame", "axb", "--corners", CORNERS), "“a” is no length in mm"),
        (("--frame", "NaNx1500", "--corners", CORNERS), "“nan” is no length"),
        (("--frame", "1000x1500", "--corners", "100;50 1100,50"), "“100;50” is no point"),
        (("--frame", "1000x1500"), "Give --frame and --corners"),
        ((), "Give --frame and --corners"),
        (("--apart", "300"), "With --apart give the two marks"),
        (("--apart", "300", "--marks", "1,1 2,2 3,3"), "Tap the two ends"),
        (("--apart", "x", "--marks", "1,1 2,2"), "“x” is no length in mm. Write --apart 297"),
    ],
)
def test_what_is_no_view_is_refused(photo: str, words: tuple[str, ...], refusal: str) -> None:
    with pytest.raises(CommandError, match=refusal):
        asked(photo, *words, "--outline", OUTLINE)


def test_a_photo_that_is_none_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"cannot be read: No such file"):
        asked(str(tmp_path / "none.jpg"), *FRAME, "--outline", OUTLINE)
    file = tmp_path / "words.jpg"
    file.write_text("no photo")
    with pytest.raises(CommandError, match="no photo"):
        asked(str(file), *FRAME, "--outline", OUTLINE)


@pytest.mark.slow
def test_a_photo_of_a_hundred_million_pixels_is_refused_by_its_head(tmp_path: Path) -> None:
    file = kept(tmp_path / "huge.png", Image.new("1", (10_000, 10_000)))
    with pytest.raises(CommandError, match=r"more than can be read here\. Take it with fewer"):
        asked(file, *FRAME, "--outline", OUTLINE)
