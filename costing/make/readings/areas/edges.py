"""Edges in a photo, as its brightness tells them: the straight sides of a frame, by which the lens is known, and the edge of a hide
near an outline that was tapped. A suggestion, which the maker accepts or corrects."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from costing.make.readings.areas import plane
from costing.make.readings.areas.camera import LENS_UNKNOWN, Frame, Lens
from costing.make.readings.areas.plane import Points

# Places on each side of the frame that are looked at, away from the corners, and how far beside the line, in parts of the diagonal.
PLACES, FROM, TO = 40, 0.06, 0.94
BESIDE = 0.015

# An edge in steps of brightness (of 256) over two pixels that noise does not make; a side is told by so many of its places, to
# this many pixels.
STEP, ENOUGH, ROUGH = 12.0, 0.6, 1.5

# A lens bends no more than this (see `plane.straight`): beyond it is no lens of a phone. From memory.
MOST_BENT = 0.25


def lens(grey: Points, frame: Frame) -> Lens:
    """The lens as the straight sides of the frame show it bowed. At least two sides must be seen, and look like one lens's doing;
    else the lens is not known. `grey`: rows of brightness, 0 to 255."""
    height, width = grey.shape
    size = (width, height)
    sides = [side for side in (_side(grey, *ends) for ends in _sides(frame)) if side is not None]
    if len(sides) < 2:
        return Lens(size)
    bends = np.linspace(-MOST_BENT, MOST_BENT, 101)
    bend = float(bends[np.argmin([_bow(sides, each, size) for each in bends])])
    step = 2e-3
    for _ in range(8):
        less, here, more = (_bow(sides, bend + way, size) for way in (-step, 0, step))
        curve = (more - 2 * here + less) / step**2
        if curve <= 0:
            return Lens(size)
        bend -= float(np.clip((more - less) / (2 * step) / curve, -0.02, 0.02))
    left = _bow(sides, bend, size) / max(sum(len(side) for side in sides) - 2 * len(sides) - 1, 1)
    if abs(bend) > MOST_BENT or left > ROUGH**2:
        return Lens(size)
    # One number does not tell a lens whole: of what it says a tenth is held to be unsure.
    sigma = float(np.hypot(np.sqrt(2 * left / curve), abs(bend) / 10))
    return Lens(size, bend, min(sigma, LENS_UNKNOWN)) if abs(bend) <= LENS_UNKNOWN else Lens(size, bend, sigma)


def snapped(grey: Points, outline: Points, beside: float | None = None) -> Points:
    """The outline, tapped roughly, laid to the strongest edge beside it: a point every few pixels of its length, thinned again to
    those that shape it. Where no edge is seen the line stays as it was tapped."""
    reach = beside or max(8.0, 0.02 * float(np.hypot(*grey.shape)))
    ring = _dense(outline, max(6.0, reach / 3))
    ends = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    normals = np.column_stack([-ends[:, 1], ends[:, 0]]) / np.maximum(np.hypot(*ends.T), 1e-9)[:, None]
    off, strong = _edge(grey, ring, normals, reach)
    off = np.where(strong, off, np.nan)
    return _thinned(ring + normals * _steady(off)[:, None])


def _sides(frame: Frame) -> list[tuple[Points, Points]]:
    corners = frame.seen[:4]
    return [(corners[at], corners[(at + 1) % 4]) for at in range(4)]


def _side(grey: Points, start: Points, end: Points) -> Points | None:
    """The places where one side of the frame is seen; None where too few of them make one smooth line."""
    along = end - start
    normal = np.array([-along[1], along[0]]) / np.hypot(*along)
    part = np.linspace(FROM, TO, PLACES)
    line = start + part[:, None] * along
    off, strong = _edge(
        grey, line, np.broadcast_to(normal, line.shape), max(6.0, BESIDE * float(np.hypot(*grey.shape)))
    )
    kept = strong
    for _ in range(6):
        if kept.sum() < ENOUGH * PLACES:
            return None
        bow = np.polynomial.Polynomial.fit(part[kept], off[kept], 2)
        rest = np.abs(off - bow(part))
        kept = strong & (rest < max(2.5 * float(np.median(rest[kept])), 1.0))
    smooth = kept.sum() >= ENOUGH * PLACES and float(np.sqrt((rest[kept] ** 2).mean())) < ROUGH
    return np.asarray((line + off[:, None] * normal)[kept]) if smooth else None


def _edge(grey: Points, points: Points, normals: Points, reach: float) -> tuple[Points, NDArray[np.bool_]]:
    """How far along its normal the strongest edge lies from each point, in pixels, and whether there is one."""
    steps = np.arange(-np.ceil(reach) - 2, np.ceil(reach) + 3)
    at = points[:, None, :] + steps[None, :, None] * normals[:, None, :]
    # A few pixels along the edge are averaged, so that noise and a cord across it weigh less.
    tangents = np.column_stack([normals[:, 1], -normals[:, 0]])
    seen = np.mean([_bright(grey, at + way * tangents[:, None, :]) for way in (-2, -1, 0, 1, 2)], axis=0)
    rise = np.abs(seen[:, 2:] - seen[:, :-2])[:, 1:-1]
    best = rise.argmax(axis=1)
    inner = np.clip(best, 1, rise.shape[1] - 2)
    rows = np.arange(len(points))
    before, here, after = rise[rows, inner - 1], rise[rows, inner], rise[rows, inner + 1]
    bend = before - 2 * here + after
    fine = np.where(bend < 0, np.clip((before - after) / np.where(bend < 0, 2 * bend, 1), -0.5, 0.5), 0.0)
    return np.asarray(steps[inner + 2] + fine), np.asarray((rise[rows, best] > STEP) & (best == inner))


def _bright(grey: Points, at: Points) -> Points:
    """Brightness between pixels, whose middles lie at halves; outside the photo that of its rim."""
    height, width = grey.shape
    x = np.clip(at[..., 0] - 0.5, 0, width - 1.001)
    y = np.clip(at[..., 1] - 0.5, 0, height - 1.001)
    left, top = x.astype(int), y.astype(int)
    right, down = x - left, y - top
    upper = grey[top, left] * (1 - right) + grey[top, left + 1] * right
    lower = grey[top + 1, left] * (1 - right) + grey[top + 1, left + 1] * right
    return np.asarray(upper * (1 - down) + lower * down)


def _bow(sides: list[Points], bend: float, size: tuple[int, int]) -> float:
    """What is left of the bows with such a lens: squares of the distances from the straightest line through each side."""
    total = 0.0
    for side in sides:
        flat = plane.straight(side, bend, size)
        flat = flat - flat.mean(axis=0)
        weights = np.linalg.svd(flat, compute_uv=False)
        total += float(weights[1] ** 2)
    return total


def _dense(ring: Points, apart: float) -> Points:
    """The same line with a point at least every so many pixels."""
    ends = np.roll(ring, -1, axis=0)
    parts = [
        start
        + (end - start) * np.linspace(0, 1, max(int(np.hypot(*(end - start)) / apart), 1), endpoint=False)[:, None]
        for start, end in zip(ring, ends, strict=True)
    ]
    return np.concatenate(parts)


def _steady(off: Points) -> Points:
    """Offsets round a ring, each the median of its neighbours', so that one stray edge moves nothing; 0 where none is seen."""
    window = np.stack([np.roll(off, by) for by in range(-3, 4)])
    seen = ~np.isnan(window)
    found = np.zeros(len(off))
    for at in np.flatnonzero(seen.sum(axis=0) >= 4):
        found[at] = np.median(window[seen[:, at], at])
    return found


def _thinned(ring: Points, within: float = 0.7) -> Points:
    """The points that shape the ring to within so many pixels (Douglas and Peucker 1973, from memory)."""
    kept = np.zeros(len(ring), dtype=bool)
    far = int(np.hypot(*(ring - ring[0]).T).argmax())
    kept[[0, far]] = True
    closed = np.vstack([ring, ring[:1]])
    spans = [(0, far), (far, len(ring))]
    while spans:
        start, end = spans.pop()
        if end - start < 2:
            continue
        along = closed[end] - closed[start]
        off = closed[start + 1 : end] - closed[start]
        length = float(np.hypot(*along))
        away = np.abs(along[0] * off[:, 1] - along[1] * off[:, 0]) / length if length else np.hypot(*off.T)
        worst = int(away.argmax())
        if away[worst] > within:
            middle = start + 1 + worst
            kept[middle] = True
            spans += [(start, middle), (middle, end)]
    return np.asarray(ring[kept])
