"""One photo and what was tapped on it, measured: opens the picture, asks its straight sides for the lens, lays the outline flat.

Knows no table and keeps nothing. Pixels are those of the photo turned upright, from its top left.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from costing.make.readings.areas import edges, rules
from costing.make.readings.areas.camera import Frame, Lens, Scale
from costing.make.readings.areas.plane import Points, signed_area
from costing.make.readings.areas.rules import Measured, to_cm2
from costing.make.readings.areas.taps import KINDS, Defect, Figures, Kind, Ring, Tapped
from inventory.base import pictures
from inventory.errors import Refused
from inventory.money import half_up

# What the photo is looked at in; taps stay in its own pixels.
LONGEST_SIDE = 1600
MOST_DEFECTS = 60


@dataclass(frozen=True)
class Found:
    """`usable` in mm², without what the other defects take."""

    measured: Measured
    usable: float
    lens: Lens

    @property
    def figures(self) -> Figures:
        """In the measures of the books."""
        found = self.measured
        area = to_cm2(found.area)
        parts = {
            "taps": rules.COVERAGE * found.taps,
            "lens": rules.COVERAGE * found.lens,
            "tilt": found.tilt,
            "between": found.between,
        }
        return Figures(
            area=area,
            plus_minus=to_cm2(found.plus_minus),
            usable=min(to_cm2(self.usable), area),
            perimeter=half_up(Decimal(found.perimeter), 1),
            length=half_up(Decimal(found.length), 1),
            width=half_up(Decimal(found.width), 1),
            parts={name: to_cm2(part) for name, part in parts.items()},
        )


def measured(content: bytes, tapped: Tapped) -> Found:
    """What the taps on this photo say. Refused in words: a file that is no photo, marks and outlines that are none."""
    size, grey = _opened(content)
    view = _view(tapped)
    lens = Lens(size)
    if isinstance(view, Frame) and len(view.corners) == 4:
        small = edges.lens(grey, Frame(view.width, view.height, _scaled(view.corners, grey, size)))
        lens = Lens(size, small.bend, small.sigma)
    usable = rules.measure(
        view, tapped.outline, [each.ring for each in tapped.defects], lens=lens, called=_called(tapped.defects)
    )
    found = (
        rules.measure(view, tapped.outline, tapped.holes, lens=lens)
        if len(tapped.holes) < len(tapped.defects)
        else usable
    )
    return Found(found, usable.area, lens)


def _called(defects: Sequence[Defect]) -> list[str]:
    """Each by its kind and its number among them, as the maker marked them."""
    if len(defects) > MOST_DEFECTS:
        raise Refused(
            f"{len(defects)} defects are marked; at most {MOST_DEFECTS}. Leave out the smallest.", field="holes"
        )
    before: Counter[Kind] = Counter()
    names = []
    for each in defects:
        before[each.kind] += 1
        names.append(f"{KINDS[each.kind]} {before[each.kind]}")
    return names


def to_the_edge(content: bytes, outline: Ring) -> Ring:
    """The outline laid to the edge that the photo shows beside it."""
    size, grey = _opened(content)
    if len(outline) < 3 or not signed_area(np.array(outline, dtype=float)):
        raise Refused("Tap at least three points round the hide first, roughly along its edge.", field="outline")
    small = np.array(_scaled(outline, grey, size))
    found = edges.snapped(grey, small) * (size[0] / grey.shape[1])
    return tuple((round(float(x), 1), round(float(y), 1)) for x, y in found)


def _view(tapped: Tapped) -> Frame | Scale:
    if tapped.apart is not None:
        if len(tapped.corners) != 2:
            raise Refused("Tap the two ends of the known distance.", field="corners")
        return Scale(float(tapped.apart), (tapped.corners[0], tapped.corners[1]))
    return Frame(float(tapped.width or 0), float(tapped.height or 0), tapped.corners)


def _opened(content: bytes) -> tuple[tuple[int, int], Points]:
    """The size of the photo turned upright, and its brightness, made small."""
    pictures.refuse_large(len(content))
    wide, high = pictures.measured(content)
    image = pictures.opened(content, LONGEST_SIDE)
    upright = (wide, high) if (image.width >= image.height) == (wide >= high) else (high, wide)
    return upright, np.asarray(image.convert("L"), dtype=float)


def _scaled(ring: Sequence[tuple[float, float]], grey: Points, size: tuple[int, int]) -> Ring:
    by = grey.shape[1] / size[0]
    return tuple((x * by, y * by) for x, y in ring)
