"""The area of a hide from one photo of it in its frame: what the taps say in millimetres, and how far that may be off.

The inside of the frame is a rectangle of known size, so its four corners tell how the camera stood. The outline is laid flat by
them and measured like any polygon. The figure is approximate: leather that is traded by area is measured by the pin-wheel machine
(ISO 11646) or electronically (ISO 19076).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

import numpy as np

from costing.make.readings.areas import camera, plane
from costing.make.readings.areas.camera import Frame, Lens, Scale
from costing.make.readings.areas.plane import Points
from inventory.errors import Refused
from inventory.money import half_up

# Points of one outline.
MOST_POINTS = 1_000

# How far a tap lies from where it was meant, in pixels each way, as a standard deviation; and what of that is told: about 95 in
# 100 (coverage factor 2: JCGM 100:2008, 6.2.1, from memory).
TAP, COVERAGE = 3.0, 2.0

# "From straight above", between two marks, is held to five degrees: the cosine of it is lost. Common practice, no source.
TILT = 1 - float(np.cos(np.radians(5)))

# A turn sharper than this, in radians, is a corner of the hide and not a round that was tapped sparsely.
CORNER = np.pi / 3

# Outside the frame by more than this part of its side is no tap beside the edge.
BEYOND = 0.03


@dataclass(frozen=True)
class Measured:
    """Millimetres. `area` is without the holes; `length` the greatest distance across, `width` at right angles to it.

    `taps`, `lens`, `tilt`: what each may put the area off by, as a standard deviation; `between`: what a round edge may hide
    between taps, at most.
    """

    area: float
    perimeter: float
    length: float
    width: float
    holes: float
    taps: float
    lens: float
    tilt: float
    between: float
    outline: tuple[tuple[float, float], ...] = field(repr=False)

    @property
    def plus_minus(self) -> float:
        """In 95 of 100 measurements the area lies within this of the true one."""
        return COVERAGE * float(np.hypot(self.taps, self.lens)) + self.tilt + self.between


def measure(
    view: Frame | Scale,
    outline: Sequence[tuple[float, float]],
    holes: Sequence[Sequence[tuple[float, float]]] = (),
    *,
    lens: Lens,
    called: Sequence[str] = (),
) -> Measured:
    """Lay the outline and its holes flat and measure them. Points in pixels of the upright photo, from its top left.

    `called`: how a refusal names each hole. Refused in words: marks that settle no view, an outline that crosses itself or leaves
    the frame, a hole that is none.

    >>> frame = camera.Frame(1000, 500, ((0, 0), (1000, 0), (1000, 500), (0, 500)))
    >>> found = measure(frame, [(100, 100), (500, 100), (500, 300), (100, 300)], lens=camera.Lens((1000, 500)))
    >>> round(found.area), round(found.perimeter), round(found.length), round(found.width)
    (80000, 1200, 447, 358)
    """
    camera.refuse(view, lens)
    names = ["The outline", *(called or [f"Hole {number}" for number in range(1, len(holes) + 1)])]
    rings = [_ring(ring, name) for ring, name in zip([outline, *holes], names, strict=True)]
    flat = _flat(view, lens, view.seen, rings)
    _refuse_rings(view, flat, names)
    whole, *cut = flat
    net = _net(flat)
    length, width = plane.extent(whole)
    return Measured(
        area=net,
        perimeter=plane.perimeter(whole),
        length=length,
        width=width,
        holes=sum(abs(plane.signed_area(each)) for each in cut),
        taps=TAP * _slope(view, lens, rings),
        lens=lens.sigma * _per_lens(view, lens, rings),
        tilt=net * TILT if isinstance(view, Scale) else 0.0,
        between=abs(sum(_between(each) for each in flat)),
        outline=tuple((float(x), float(y)) for x, y in whole),
    )


def to_cm2(square_mm: float) -> Decimal:
    """Into the measure the books keep, to a hundredth of a cm²: far finer than any of it is known."""
    return half_up(Decimal(square_mm) / 100, 2)


def _flat(view: Frame | Scale, lens: Lens, seen: Points, rings: Sequence[Points]) -> list[Points]:
    matrix = view.matrix(plane.straight(seen, lens.bend, lens.size))
    if any((plane.depths(matrix, plane.straight(ring, lens.bend, lens.size)) <= 0).any() for ring in rings):
        raise _outside()
    return [plane.mapped(matrix, plane.straight(ring, lens.bend, lens.size)) for ring in rings]


def _net(flat: Sequence[Points]) -> float:
    whole, *cut = (abs(plane.signed_area(each)) for each in flat)
    return float(whole - sum(cut))


def _slope(view: Frame | Scale, lens: Lens, rings: Sequence[Points]) -> float:
    """By how much the area moves for a pixel at every tap, each independent of the others: the root of the sum of squares."""
    step, total = 0.5, 0.0
    for at in np.ndindex(*view.seen.shape):
        moved = []
        for way in (step, -step):
            seen = view.seen.copy()
            seen[at] += way
            moved.append(_net(_flat(view, lens, seen, rings)))
        total += (moved[0] - moved[1]) ** 2
    for ring in rings:
        # A point of a ring moves the area by half the line between its neighbours, times how far it went on the plane.
        (flat,) = _flat(view, lens, view.seen, [ring])
        chord = np.roll(flat, -1, axis=0) - np.roll(flat, 1, axis=0)
        for axis in (0, 1):
            off = np.zeros(2)
            off[axis] = step
            ahead, behind = _flat(view, lens, view.seen, [ring + off, ring - off])
            went = ahead - behind
            total += float((((went[:, 0] * chord[:, 1] - went[:, 1] * chord[:, 0]) / 2) ** 2).sum())
    return float(np.sqrt(total)) / (2 * step)


def _per_lens(view: Frame | Scale, lens: Lens, rings: Sequence[Points]) -> float:
    step = 1e-3
    more, less = (_net(_flat(view, replace(lens, bend=lens.bend + way), view.seen, rings)) for way in (step, -step))
    return abs(more - less) / (2 * step)


def _between(ring: Points) -> float:
    """The area between a round edge and the straight lines through its taps: of a line of length l over which the edge turns by
    t it is l² · t ÷ 12, for a circle exactly to the first order. At a corner nothing is taken to be round."""
    sides = np.roll(ring, -1, axis=0) - ring
    before = np.roll(sides, 1, axis=0)
    turns = np.arctan2(before[:, 0] * sides[:, 1] - before[:, 1] * sides[:, 0], (before * sides).sum(axis=1))
    turns = np.where(np.abs(turns) > CORNER, 0.0, turns)
    over = (turns + np.roll(turns, -1)) / 2
    return float(((sides**2).sum(axis=1) * over).sum() / 12) * float(np.sign(plane.signed_area(ring)))


def _ring(points: Sequence[tuple[float, float]], what: str) -> Points:
    if not 3 <= len(points) <= MOST_POINTS:
        many = f"{len(points)} point{'' if len(points) == 1 else 's'}"
        raise Refused(
            f"{what} has {many}; an area takes 3 to {MOST_POINTS:,}. Tap along the edge, all round.", field=_field(what)
        )
    ring = np.array(points, dtype=float)
    if not np.isfinite(ring).all():
        raise Refused(f"{what} has a point that is no number. Write each as x,y.", field=_field(what))
    doubled = (ring == np.roll(ring, 1, axis=0)).all(axis=1)
    return np.asarray(ring[~doubled]) if not doubled.all() else ring[:1]


def _refuse_rings(view: Frame | Scale, flat: Sequence[Points], names: Sequence[str]) -> None:
    whole, *cut = flat
    for what, ring in zip(names, flat, strict=True):
        if len(ring) < 3 or min(plane.extent(ring)) < 1:
            raise Refused(f"{what} lies on a line and has no area. Tap along the edge, all round.", field=_field(what))
        if (sides := plane.crossing(ring)) is not None:
            one, other = (side + 1 for side in sides)
            raise Refused(
                f"{what} crosses itself: the line after point {one} and the line after point {other} meet. Move one of them.",
                field=_field(what),
            )
    if isinstance(view, Frame):
        _refuse_outside(view, whole)
    for number, ring in enumerate(cut):
        what = names[number + 1]
        if not plane.within(ring, whole).all() or plane.meet(ring, whole):
            raise Refused(f"{what} is not inside the outline. Tap its edge again.", field="holes")
        for before, earlier in zip(names[1:], cut[:number], strict=False):
            if plane.meet(ring, earlier) or plane.within(ring[:1], earlier)[0] or plane.within(earlier[:1], ring)[0]:
                raise Refused(
                    f"{before} and {what.lower()} lie on each other. Make them one, or part them.", field="holes"
                )


def _field(what: str) -> str:
    return "outline" if what == "The outline" else "holes"


def _refuse_outside(view: Frame, whole: Points) -> None:
    slack = BEYOND * max(view.width, view.height)
    inside = (whole >= -slack).all() and (whole <= np.array([view.width, view.height]) + slack).all()
    if not inside:
        raise _outside()


def _outside() -> Refused:
    return Refused(
        "The outline leaves the frame. A hide is measured inside its frame: check the corners, or the points near them.",
        field="outline",
    )
