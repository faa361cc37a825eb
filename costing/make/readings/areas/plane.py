"""The geometry under an area from a photo: a plane seen by a lens, and figures of a polygon. Points are rows of x and y.

Lengths are in whatever the points are in. No limit, no sentence: what is refused and how far a figure may be off is in `rules`.
"""

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


def homography(seen: Points, plane: Points) -> Points:
    """The 3 × 3 matrix that takes what is seen to the plane, from four marks or, by least squares, more.

    Normalised direct linear transformation: Hartley and Zisserman, Multiple View Geometry, 2nd ed., algorithm 4.2 (from memory).
    `ValueError` where the marks settle no such matrix: fewer than four, or three of four on a line.
    """
    if len(seen) < 4 or len(seen) != len(plane):
        raise ValueError(f"{len(seen)} marks seen and {len(plane)} known; a plane takes four of each at least")
    to_seen, near_seen = _normalised(seen)
    to_plane, near_plane = _normalised(plane)
    rows = []
    for (x, y), (u, v) in zip(near_seen, near_plane, strict=True):
        rows += [[-x, -y, -1, 0, 0, 0, u * x, u * y, u], [0, 0, 0, -x, -y, -1, v * x, v * y, v]]
    _, weights, right = np.linalg.svd(np.array(rows))
    if weights[7] < 1e-6 * weights[0] or abs(np.linalg.det(right[-1].reshape(3, 3))) < 1e-6:
        raise ValueError("three of the marks lie on a line")
    found = np.linalg.inv(to_plane) @ right[-1].reshape(3, 3) @ to_seen
    scale = found @ np.array([*seen.mean(axis=0), 1.0])
    return np.asarray(
        found / scale[2]
    )  # what lies on the marks' side of the horizon has a third coordinate above nothing


def _normalised(points: Points) -> tuple[Points, Points]:
    """The matrix that moves the points about nothing, √2 away on average, and the points so moved."""
    middle = points.mean(axis=0)
    spread = float(np.hypot(*(points - middle).T).mean())
    if spread == 0:
        raise ValueError("all marks are one point")
    scale = np.sqrt(2) / spread
    matrix = np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])
    return matrix, (points - middle) * scale


def depths(matrix: Points, points: Points) -> Points:
    """Above nothing for a point on the same side of the horizon as the marks."""
    return np.asarray(points @ matrix[2, :2] + matrix[2, 2])


def mapped(matrix: Points, points: Points) -> Points:
    """The points, seen, on the plane."""
    found = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(found[:, :2] / found[:, 2:])


def straight(points: Points, lens: float, size: tuple[int, int]) -> Points:
    """The points as a lens without distortion would have shown them in a photo of that size, in the same pixels.

    One number tells the lens, by the division model (Fitzgibbon 2001, from memory): what is seen at r from the middle belongs at
    r ÷ (1 + lens · r²), with r in half diagonals. Above nothing: the picture is pinched outwards; 0: it is true.
    """
    if not lens:
        return points
    middle = np.array(size) / 2
    off = points - middle
    squares = (off**2).sum(axis=1, keepdims=True) / (middle**2).sum()
    return np.asarray(middle + off / (1 + lens * squares))


def signed_area(points: Points) -> float:
    """Shoelace. Above nothing where the points go clockwise in a picture, whose y grows downwards.

    >>> signed_area(np.array([[0.0, 0], [4, 0], [4, 3], [0, 3]]))
    12.0
    """
    x, y = (points - points[0]).T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def perimeter(points: Points) -> float:
    return float(np.hypot(*(np.roll(points, -1, axis=0) - points).T).sum())


def extent(points: Points) -> tuple[float, float]:
    """The greatest distance between two points, and how wide the polygon is at right angles to it."""
    apart = points[:, None, :] - points[None, :, :]
    far = np.hypot(apart[..., 0], apart[..., 1])
    one, other = np.unravel_index(far.argmax(), far.shape)
    along = apart[one, other] / far[one, other]
    across = points @ np.array([-along[1], along[0]])
    return float(far[one, other]), float(np.ptp(across))


def crossing(points: Points) -> tuple[int, int] | None:
    """Two sides of the polygon that cross or touch, by the numbers of their first points; None for a simple polygon.

    Neighbours share a point and do not count, unless one turns back upon the other.
    """
    ends = np.roll(points, -1, axis=0)
    number = len(points)
    one, other = np.triu_indices(number, 2)
    apart = (one != 0) | (other != number - 1)
    hit = _meet(points[one], ends[one], points[other], ends[other]) & apart
    if hit.any():
        first = int(hit.argmax())
        return int(one[first]), int(other[first])
    sides = ends - points
    after = np.roll(sides, -1, axis=0)
    back = (_cross(sides, after) == 0) & ((sides * after).sum(axis=1) <= 0)
    return (int(back.argmax()), (int(back.argmax()) + 1) % number) if back.any() else None


def meet(one: Points, other: Points) -> bool:
    """Whether the outlines of two polygons cross or touch."""
    a, b = one[:, None, :], np.roll(one, -1, axis=0)[:, None, :]
    c, d = other[None, :, :], np.roll(other, -1, axis=0)[None, :, :]
    return bool(_meet(a, b, c, d).any())


def within(points: Points, polygon: Points) -> NDArray[np.bool_]:
    """Which points lie inside the polygon: a ray to the right crosses it an odd number of times."""
    a, b = polygon[None, :, :], np.roll(polygon, -1, axis=0)[None, :, :]
    x, y = points[:, None, 0], points[:, None, 1]
    spans = (a[..., 1] > y) != (b[..., 1] > y)
    rise = np.where(spans, b[..., 1] - a[..., 1], 1)
    at = a[..., 0] + (y - a[..., 1]) * (b[..., 0] - a[..., 0]) / rise
    return np.asarray((spans & (x < at)).sum(axis=1) % 2 == 1)


def _cross(a: Points, b: Points) -> Points:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _meet(a: Points, b: Points, c: Points, d: Points) -> NDArray[np.bool_]:
    """Whether the segments a–b and c–d have a point in common."""
    abc, abd = np.sign(_cross(b - a, c - a)), np.sign(_cross(b - a, d - a))
    cda, cdb = np.sign(_cross(d - c, a - c)), np.sign(_cross(d - c, b - c))
    proper = (abc * abd < 0) & (cda * cdb < 0)
    touching = np.zeros_like(proper)
    for turn, point, start, end in ((abc, c, a, b), (abd, d, a, b), (cda, a, c, d), (cdb, b, c, d)):
        low, high = np.minimum(start, end), np.maximum(start, end)
        touching |= (turn == 0) & ((low <= point) & (point <= high)).all(axis=-1)
    return np.asarray(proper | touching)
