"""How a photo was taken: the frame and its corners, or two marks a known distance apart, and the lens. What settles no view is
refused in words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from costing.make.readings.areas import plane
from costing.make.readings.areas.plane import Points
from inventory.errors import Refused

# Inside of a frame: from a hand's width to one of ten metres; common practice, no source.
SMALLEST_MM, LARGEST_MM = 50, 10_000

# What a lens is taken to bend where the photo shows no straight sides to tell it: half a percent of the half diagonal at the
# corner. Phones straighten their pictures themselves. Common practice, no source.
LENS_UNKNOWN = 0.005

# How far the sides may look to be from what is told, as a part of them: beyond the first they are swapped, if that fits so much
# better; beyond the second they are wrong whatever they are. A tap 3 pixels off makes a hundredth.
LOOKS_OTHERWISE, SWAPPED, LOOKS_ANOTHER = 0.1, 0.25, 0.3


@dataclass(frozen=True)
class Lens:
    """`bend` as in `plane.straight`, `sigma` how sure that is; `size` of the photo in pixels."""

    size: tuple[int, int]
    bend: float = 0.0
    sigma: float = LENS_UNKNOWN


@dataclass(frozen=True)
class Frame:
    """The inside of a frame in mm, and its four corners in pixels of the upright photo, clockwise from the top left.

    `marks`: more points whose place in the frame is known, in pixels and in mm from its top left; with them the view is told by
    least squares.
    """

    width: float
    height: float
    corners: tuple[tuple[float, float], ...]
    marks: tuple[tuple[tuple[float, float], tuple[float, float]], ...] = ()

    @cached_property
    def seen(self) -> Points:
        return np.array([*self.corners, *(pixel for pixel, _ in self.marks)], dtype=float)

    @cached_property
    def plane(self) -> Points:
        inside = [(0, 0), (self.width, 0), (self.width, self.height), (0, self.height)]
        return np.array([*inside, *(place for _, place in self.marks)], dtype=float)

    def matrix(self, seen: Points) -> Points:
        return plane.homography(seen, self.plane)


@dataclass(frozen=True)
class Scale:
    """Two marks so many mm apart, in pixels, in a photo taken from straight above: a view that is not corrected."""

    apart: float
    marks: tuple[tuple[float, float], tuple[float, float]]

    @cached_property
    def seen(self) -> Points:
        return np.array(self.marks, dtype=float)

    def matrix(self, seen: Points) -> Points:
        scale = self.apart / float(np.hypot(*(seen[1] - seen[0])))
        return np.diag([scale, scale, 1.0])


def refuse(view: Frame | Scale, lens: Lens) -> None:
    if isinstance(view, Scale):
        _refuse_length(view.apart, "The distance between the marks")
        if (view.seen[0] == view.seen[1]).all():
            raise Refused("Both marks lie on one point. Tap the two ends of the known distance.", field="corners")
        return
    _refuse_length(view.width, "The width of the frame")
    _refuse_length(view.height, "The height of the frame")
    if len(view.corners) != 4:
        raise Refused(
            f"{len(view.corners)} corners are given. Tap all four inside corners of the frame, clockwise from the top left.",
            field="corners",
        )
    corners = plane.straight(view.seen[:4], lens.bend, lens.size)
    if not np.isfinite(corners).all():
        raise Refused("A corner is no number. Write each as x,y.", field="corners")
    if plane.crossing(corners) is not None:
        raise Refused(
            "The corners cross over or lie on each other. Tap them in order round the frame, clockwise from the top left.",
            field="corners",
        )
    turns = _turns(corners)
    if (np.abs(turns) < 0.02).any():
        raise Refused(
            "Three corners lie on a line, so they frame nothing. Tap each corner of the inside.", field="corners"
        )
    if (turns < 0).all():
        raise Refused("The corners go anticlockwise. Tap them clockwise, beginning at the top left.", field="corners")
    if (turns < 0).any():
        raise Refused(
            "The corners make a dent and no frame. Tap the four inside corners of the frame.", field="corners"
        )
    if corners[0].sum() > corners.mean(axis=0).sum():
        raise Refused(
            "The first corner is not the top left one of the photo. Tap them clockwise, beginning at the top left.",
            field="corners",
        )
    as_told = _misfit(corners, view.width, view.height, lens.size)
    if as_told > LOOKS_OTHERWISE and _misfit(corners, view.height, view.width, lens.size) < SWAPPED * as_told:
        raise Refused(
            f"In the photo the frame looks {view.height:g} mm wide and {view.width:g} mm high, not the other way round. Check "
            "which side is its width, and that the first corner is the top left one.",
            field="frame",
        )
    if as_told > LOOKS_ANOTHER:
        raise Refused(
            f"In the photo the frame does not look {view.width:g} mm wide and {view.height:g} mm high: one side is too long or too "
            "short for the other. Measure its inside again, and check the corners. A photo that was cropped can do this, too.",
            field="frame",
        )


def _refuse_length(millimetres: float, what: str) -> None:
    if not SMALLEST_MM <= millimetres <= LARGEST_MM:
        raise Refused(
            f"{what} is {millimetres:g} mm; it must be {SMALLEST_MM} to {LARGEST_MM:,} mm. Measure it inside, edge to edge.",
            field="frame",
        )


def _turns(corners: Points) -> Points:
    """The sine of the turn at each corner."""
    sides = np.roll(corners, -1, axis=0) - corners
    before = np.roll(sides, 1, axis=0)
    cross = before[:, 0] * sides[:, 1] - before[:, 1] * sides[:, 0]
    return np.asarray(cross / (np.hypot(*before.T) * np.hypot(*sides.T)))


def _misfit(corners: Points, width: float, height: float, size: tuple[int, int]) -> float:
    """How far the two sides of the rectangle are from equal scale and a right angle, at the focal length that fits best.

    Zhang 2000 (from memory): the first two columns of the matrix from plane to photo are at right angles and of equal length, once
    the middle of the photo and the focal length are taken out.
    """
    flat = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=float)
    across, down = plane.homography(flat, corners - np.array(size) / 2).T[:2]
    best = np.inf
    for focal in np.geomspace(0.4, 4, 24) * np.hypot(*size):
        lens = np.array([1 / focal, 1 / focal, 1])
        one, other = across * lens, down * lens
        long, high = float(np.hypot.reduce(one)), float(np.hypot.reduce(other))
        best = min(best, float(np.hypot(np.log(long / high), one @ other / (long * high))))
    return best
