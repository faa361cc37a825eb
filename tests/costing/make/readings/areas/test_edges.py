"""What the brightness of a photo tells: the lens by straight sides, and the edge beside a rough outline."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from shapely.geometry import Polygon

from costing.make.readings.areas import edges
from costing.make.readings.areas.camera import LENS_UNKNOWN, Frame
from costing.make.readings.areas.plane import Points
from tests.costing.make.readings.areas import photos
from tests.costing.make.readings.areas.photos import Camera, Scene

SIZE = (1200, 900)
INSIDE = np.array([(0, 0), (1200, 0), (1200, 1500), (0, 1500)], dtype=float)


def drawn(number: int, bend: float) -> tuple[Points, Scene, Camera, Frame]:
    lot = np.random.default_rng(number)
    scene = Scene(1200, 1500, photos.hide(lot, 1200, 1500))
    view = photos.camera(lot, scene, SIZE, tilt=30, bend=0)
    view = Camera(view.matrix, bend, view.size)
    grey = np.asarray(Image.open(BytesIO(photos.photo(lot, scene, view))), dtype=float)
    corners = tuple((float(x), float(y)) for x, y in view.sees(INSIDE))
    return grey, scene, view, Frame(1200, 1500, corners)


@pytest.mark.parametrize("bend", [-0.03, 0.02])
def test_the_sides_of_the_frame_tell_the_lens(bend: float) -> None:
    grey, _, _, frame = drawn(1, bend)
    found = edges.lens(grey, frame)
    assert found.bend == pytest.approx(bend, abs=0.004)
    assert abs(found.bend - bend) < 2 * found.sigma + 0.002
    assert found.size == SIZE


def test_a_photo_that_shows_no_sides_leaves_the_lens_unknown() -> None:
    grey, _, _, frame = drawn(1, -0.03)
    for blank in (np.full_like(grey, 90.0), np.random.default_rng(2).normal(90, 5, grey.shape)):
        found = edges.lens(blank, frame)
        assert (found.bend, found.sigma) == (0, LENS_UNKNOWN)


def test_one_side_is_not_enough() -> None:
    grey, _, _, frame = drawn(1, 0.02)
    covered = grey.copy()
    covered[: int(0.8 * SIZE[1])] = 90.0  # a hand over all but the lowest
    assert edges.lens(covered, frame).sigma == LENS_UNKNOWN


def test_a_rough_outline_is_laid_to_the_edge() -> None:
    grey, scene, view, _ = drawn(3, 0.01)
    true = Polygon(view.sees(scene.outline))
    rough = view.sees(scene.outline[::2]) + np.random.default_rng(4).normal(0, 4, (20, 2))
    found = Polygon(edges.snapped(grey, rough))
    assert found.is_valid
    missed = {
        name: each.symmetric_difference(true).area / true.area
        for name, each in (("rough", Polygon(rough)), ("found", found))
    }
    assert missed["found"] < 0.01 < missed["rough"]
    assert len(found.exterior.coords) < 200


def test_where_no_edge_is_seen_the_outline_stays_as_it_was_tapped() -> None:
    ring = np.array([(200.0, 200), (900, 250), (700, 700)])
    found = edges.snapped(np.full((900, 1200), 90.0), ring)
    assert Polygon(found).symmetric_difference(Polygon(ring)).area < 1
    assert len(found) == 3


def test_an_outline_at_the_rim_of_the_photo_is_no_fault() -> None:
    grey, _, _, _ = drawn(3, 0)
    found = edges.snapped(grey, np.array([(0.0, 0), (1200, 0), (1200, 900), (0, 900)]))
    assert np.isfinite(found).all()
