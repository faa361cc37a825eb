"""Taps laid flat: figures that can be worked out by hand, and every kind of tap that settles nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot, pi, sqrt

import numpy as np
import pytest

from costing.make.readings.areas import plane, rules
from costing.make.readings.areas.camera import Frame, Lens, Scale
from costing.make.readings.areas.rules import Measured
from inventory.errors import Refused
from tests.costing.make.readings.areas import photos

SIZE = (1200, 1600)
LENS = Lens(SIZE)
# A frame of 1000 × 1500 mm seen from straight above at 1 mm a pixel.
FRAME = Frame(1000, 1500, ((100, 50), (1100, 50), (1100, 1550), (100, 1550)))
BOX = [(300, 350), (900, 350), (900, 1150), (300, 1150)]
HOLE = [(500, 600), (600, 600), (600, 700), (500, 700)]

Ring = Sequence[tuple[float, float]]


def measured(outline: Ring = BOX, *holes: Ring, view: Frame | Scale = FRAME, lens: Lens = LENS) -> Measured:
    return rules.measure(view, outline, holes, lens=lens)


def ring(middle: tuple[float, float], radius: float, points: int) -> list[tuple[float, float]]:
    turn = np.linspace(0, 2 * pi, points, endpoint=False)
    return [(middle[0] + radius * float(np.cos(each)), middle[1] + radius * float(np.sin(each))) for each in turn]


def test_a_box_is_its_sides_multiplied() -> None:
    found = measured()
    assert found.area == pytest.approx(600 * 800)
    assert found.perimeter == pytest.approx(2800)
    assert found.length == pytest.approx(1000)  # 600, 800, 1000
    assert found.width == pytest.approx(960)  # both other corners lie 480 from the diagonal: 600 · 800 ÷ 1000
    assert found.outline[0] == pytest.approx((200, 300))
    assert rules.to_cm2(found.area) == 4800


def test_holes_are_subtracted_and_the_edge_stays() -> None:
    found = measured(BOX, HOLE)
    assert (found.area, found.holes) == (pytest.approx(470_000), pytest.approx(10_000))
    assert found.perimeter == pytest.approx(2800)


def test_two_marks_tell_a_scale_and_lose_what_a_lean_would_take() -> None:
    found = measured(view=Scale(500, ((0, 0), (0, 1000))))
    assert found.area == pytest.approx(600 * 800 / 4)
    assert found.tilt == pytest.approx(found.area * (1 - np.cos(np.radians(5))))
    assert found.plus_minus > found.tilt


def test_the_taps_put_it_off_as_far_as_the_mathematics_of_one_tap_says() -> None:
    """By hand: only the outline is tapped wrongly where the scale is not in question. Each corner of a box moves the area by half
    the diagonal across it for each pixel, either way: √(4 · (½ · 1000)²) = 1000 mm² a pixel, the marks of the scale kept aside."""
    far = Scale(1_000, ((0, 0), (1_000, 0)))
    found = measured(view=far)
    # The marks: the area goes with the square of 1 ÷ their distance, 2 · 480,000 ÷ 1,000 a pixel along them, at both ends.
    assert found.taps == pytest.approx(rules.TAP * hypot(1000, 960 * sqrt(2)), rel=1e-4)


def test_a_view_at_a_slant_gives_the_same_as_one_from_above() -> None:
    lot = np.random.default_rng(7)
    scene = photos.Scene(1000, 1500, photos.hide(lot, 1000, 1500))
    for _ in range(20):
        view = photos.camera(lot, scene, SIZE, bend=0)
        corners = view.sees(np.array([(0, 0), (1000, 0), (1000, 1500), (0, 1500)], dtype=float))
        frame = Frame(1000, 1500, tuple((x, y) for x, y in corners))
        found = measured([(x, y) for x, y in view.sees(scene.outline)], view=frame)
        assert found.area == pytest.approx(abs(plane.signed_area(scene.outline)), rel=1e-9)
        assert found.perimeter == pytest.approx(plane.perimeter(scene.outline), rel=1e-9)


def test_more_marks_settle_a_view_that_was_tapped_badly() -> None:
    """Tapped corners 6 pixels off; eight more marks whose place in the frame is known take most of it out."""
    lot, off = np.random.default_rng(3), {"four": 0.0, "more": 0.0}
    for _ in range(60):
        corners = tuple((x + lot.normal(0, 6), y + lot.normal(0, 6)) for x, y in FRAME.corners)
        marks = tuple(
            ((x + 100 + lot.normal(0, 6), y + 50 + lot.normal(0, 6)), (x, y))
            for x, y in [(500, 0), (1000, 750), (500, 1500), (0, 750), (1000, 300), (0, 300), (1000, 1200), (0, 1200)]
        )
        four = Frame(1000, 1500, corners)
        off["four"] += (measured(view=four).area / 480_000 - 1) ** 2
        off["more"] += (measured(view=replace(four, marks=marks)).area / 480_000 - 1) ** 2
    assert off["more"] < 0.7 * off["four"]


@pytest.mark.parametrize("points", [16, 24, 60])
def test_what_a_round_edge_hides_between_taps_is_told(points: int) -> None:
    found = measured(ring((600, 800), 400, points))
    missing = pi * 400**2 - found.area
    assert found.between == pytest.approx(missing, rel=0.1)


def test_a_corner_of_the_hide_hides_nothing() -> None:
    assert measured().between == 0


def test_a_lens_that_is_known_is_taken_out() -> None:
    lens = Lens(SIZE, bend=-0.04, sigma=0.002)
    middle, half = np.array(SIZE) / 2, (np.array(SIZE) ** 2).sum() / 4

    def bent(points: Ring) -> tuple[tuple[float, float], ...]:
        """What such a lens shows of straight points: r · (1 + bend · r²), r the one that is seen, found by going back and forth."""
        off = np.array(points) - middle
        seen = off.copy()
        for _ in range(60):
            seen = off * (1 + lens.bend * (seen**2).sum(axis=1, keepdims=True) / half)
        return tuple((float(x), float(y)) for x, y in seen + middle)

    frame = replace(FRAME, corners=bent(FRAME.corners))
    assert measured(bent(BOX), view=frame, lens=lens).area == pytest.approx(480_000, rel=1e-6)
    assert measured(bent(BOX), view=frame).area != pytest.approx(480_000, rel=5e-3)


def corners(*order: int) -> Frame:
    return replace(FRAME, corners=tuple(FRAME.corners[at] for at in order))


@pytest.mark.parametrize(
    ("view", "words"),
    [
        (corners(0, 1, 2), "3 corners are given. Tap all four"),
        (corners(0, 2, 1, 3), "cross over"),
        (corners(0, 0, 1, 2), "cross over or lie on each other"),
        (corners(0, 3, 2, 1), "anticlockwise"),
        (corners(2, 3, 0, 1), "first corner is not the top left"),
        (corners(1, 2, 3, 0), "looks 1500 mm wide and 1000 mm high"),
        (replace(FRAME, width=1500, height=1000), "looks 1000 mm wide and 1500 mm high"),
        (replace(FRAME, width=150), "does not look 150 mm wide and 1500 mm high"),
        (replace(FRAME, corners=((100, 50), (600, 50), (1100, 50), (100, 1550))), "lie on a line"),
        (replace(FRAME, corners=((100, 50), (1100, 50), (300, 300), (100, 1550))), "dent"),
        (replace(FRAME, corners=(*FRAME.corners[:3], (float("nan"), 3))), "no number"),
        (replace(FRAME, width=0), "The width of the frame is 0 mm"),
        (replace(FRAME, height=-3), "The height of the frame is -3 mm"),
        (replace(FRAME, height=20_000), "50 to 10,000 mm"),
        (replace(FRAME, height=float("nan")), "The height of the frame is nan"),
        (Scale(0, ((0, 0), (10, 0))), "The distance between the marks is 0 mm"),
        (Scale(300, ((5, 5), (5, 5))), "Both marks lie on one point"),
    ],
)
def test_marks_that_settle_no_view_are_refused(view: Frame | Scale, words: str) -> None:
    with pytest.raises(Refused, match=words):
        measured(view=view)


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        ([], "The outline has 0 points"),
        ([(1, 1)], "The outline has 1 point;"),
        ([(300, 300), (500, 500)], "The outline has 2 points"),
        ([(300, 300)] * 5, "lies on a line and has no area"),
        ([(300, 300), (400, 400), (500, 500)], "lies on a line and has no area"),
        ([(300, 350), (900, 1150), (900, 350), (300, 1150)], "line after point 1 and the line after point 3 meet"),
        ([(300, 350), (900, 350), (500, 350), (500, 900)], "crosses itself"),
        ([(20, 350), (900, 350), (900, 1150), (300, 1150)], "leaves the frame"),
        ([(float("inf"), 350), (900, 350), (900, 1150)], "no number"),
        ([(300 + at % 7, 300 + at) for at in range(1001)], "3 to 1,000"),
    ],
)
def test_an_outline_that_is_none_is_refused(outline: Ring, words: str) -> None:
    with pytest.raises(Refused, match=words):
        measured(outline)


def test_an_outline_beyond_the_horizon_of_a_slant_is_refused() -> None:
    """A frame of 1 m on the floor, seen at 75° from straight above with a lens of 1,000 pixels: its horizon is 1000 ÷ tan 75° = 268
    pixels above the middle of the photo, at y = 532."""
    lean = np.radians(75)
    floor = np.array([(-500, 0, 500), (500, 0, 500), (500, 0, -500), (-500, 0, -500)], dtype=float)
    depth = 3000 + floor[:, 2] * np.sin(lean)
    seen = np.column_stack([600 + 1000 * floor[:, 0] / depth, 800 - 1000 * floor[:, 2] * np.cos(lean) / depth])
    frame = Frame(1000, 1000, tuple((float(x), float(y)) for x, y in seen))
    assert measured([(x, y) for x, y in frame.corners], view=frame).area == pytest.approx(1_000_000)
    with pytest.raises(Refused, match="leaves the frame"):
        measured([(590, 100), (610, 100), (650, 850), (550, 850)], view=frame)


@pytest.mark.parametrize(
    ("holes", "words"),
    [
        ([[(310, 200), (320, 200), (320, 240)]], "Hole 1 is not inside the outline"),
        ([[(250, 600), (600, 600), (600, 700), (250, 700)]], "Hole 1 is not inside the outline"),
        ([HOLE, [(550, 650), (650, 650), (650, 750)]], "Hole 1 and hole 2 lie on each other"),
        ([HOLE, [(520, 620), (540, 620), (540, 640)]], "Hole 1 and hole 2 lie on each other"),
        ([[(500, 600), (600, 700), (600, 600), (500, 700)]], "Hole 1 crosses itself"),
        ([[(500, 600), (600, 700)]], "Hole 1 has 2 points"),
    ],
)
def test_a_hole_that_is_none_is_refused(holes: list[Ring], words: str) -> None:
    with pytest.raises(Refused, match=words):
        measured(BOX, *holes)


def test_a_tap_made_twice_counts_once() -> None:
    assert measured([BOX[0], *BOX]).area == pytest.approx(480_000)
