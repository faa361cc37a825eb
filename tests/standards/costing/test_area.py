"""Areas against libraries of geometry that are not ours, and against published figures.

Sources: `shapely` 2 (GEOS) for area, perimeter, crossing, hull and what lies within; `scikit-image` 0.26 (`ProjectiveTransform`),
asked by `ask_scikit_image`, for the matrix of a plane; ISO 216 for the sheets (A4 is 210 × 297 mm); cowhide for upholstery of 50
to 60 sq ft (a reference page on furniture making).
"""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, strategies as st
from shapely.geometry import LinearRing, Point, Polygon

from costing.make.readings.areas import plane, rules
from costing.make.readings.areas.camera import Frame, Lens
from inventory import units

SCIKIT_IMAGE = Path(__file__).with_name("scikit_image.json")
PLACE = st.tuples(st.integers(0, 40), st.integers(0, 40)).map(lambda at: (float(at[0]), float(at[1])))
RING = st.lists(PLACE, min_size=3, max_size=9, unique=True)


@given(RING)
def test_a_polygon_is_simple_where_shapely_holds_it_to_be(points: list[tuple[float, float]]) -> None:
    ring = np.array(points)
    line = LinearRing(points)
    assume(line.is_valid or Polygon(points).area > 0)
    assert (plane.crossing(ring) is None) == line.is_simple


@given(RING)
def test_area_and_perimeter_are_those_of_shapely(points: list[tuple[float, float]]) -> None:
    polygon = Polygon(points)
    assume(polygon.is_valid)
    ring = np.array(points)
    assert abs(plane.signed_area(ring)) == pytest.approx(polygon.area)
    assert plane.perimeter(ring) == pytest.approx(polygon.length)
    assert (
        plane.signed_area(ring) > 0
    ) == polygon.exterior.is_ccw  # a picture's y grows downwards: seen there it is clockwise


@given(RING)
def test_length_is_the_greatest_distance_of_the_hull(points: list[tuple[float, float]]) -> None:
    hull = Polygon(points).convex_hull
    assume(hull.geom_type == "Polygon")
    corners = np.array(hull.exterior.coords)
    far = max(float(np.hypot(*(one - other))) for one in corners for other in corners)
    length, width = plane.extent(np.array(points))
    assert length == pytest.approx(far)
    assert hull.area <= length * width * (1 + 1e-9)  # the box round it, laid along its length


@given(RING, st.lists(PLACE, min_size=1, max_size=6))
def test_what_lies_within_is_what_shapely_says(
    points: list[tuple[float, float]], places: list[tuple[float, float]]
) -> None:
    polygon = Polygon(points)
    assume(polygon.is_valid)
    off = np.array(places) + 0.5  # never upon a line that goes through whole numbers only at a slant
    clear = [place for place in off if polygon.boundary.distance(Point(*place)) > 1e-9]
    assume(clear)
    assert list(plane.within(np.array(clear), np.array(points))) == [polygon.contains(Point(*place)) for place in clear]


@pytest.mark.parametrize(("seen", "known", "asked", "answer"), json.loads(SCIKIT_IMAGE.read_text("utf-8")))
def test_the_matrix_of_a_plane_is_that_of_scikit_image(
    seen: list[list[float]], known: list[list[float]], asked: list[list[float]], answer: list[list[float]]
) -> None:
    matrix = plane.homography(np.array(seen), np.array(known))
    # With more marks than four the least squares are of marks normed by their spread; theirs is another by a hair. In mm.
    assert plane.mapped(matrix, np.array(asked)) == pytest.approx(
        np.array(answer), abs=1e-5 if len(seen) == 4 else 0.02
    )


def test_three_of_four_marks_on_a_line_settle_no_plane() -> None:
    square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], dtype=float)
    with pytest.raises(ValueError, match="line"):
        plane.homography(np.array([(0, 0), (1, 0), (2, 0), (0, 1)], dtype=float), square)


def test_a_cowhide_of_fifty_to_sixty_square_feet_is_told_in_metres_as_published() -> None:
    """50–60 sq ft are published as 4.645–5.574 m²."""
    side = {feet: float(units.to_base(Decimal(feet), "sq_ft", "cm2")) ** 0.5 * 10 for feet in (50, 60)}
    for feet, metres in ((50, "4.645"), (60, "5.574")):
        frame = Frame(3000, 3000, ((0, 0), (3000, 0), (3000, 3000), (0, 3000)))
        box = [
            (100.0, 100.0),
            (100 + side[feet], 100.0),
            (100 + side[feet], 100 + side[feet]),
            (100.0, 100 + side[feet]),
        ]
        area = rules.to_cm2(rules.measure(frame, box, lens=Lens((3000, 3000))).area)
        assert units.from_base(area, "m2", "cm2").quantize(Decimal("0.001")) == Decimal(metres)
