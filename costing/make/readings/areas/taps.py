"""What was tapped on a photo, and what is told of it: plain values, and how points are written and read.

Measures nothing itself, so that a page can be shown without what does.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from inventory.errors import Refused

Ring = tuple[tuple[float, float], ...]
Kind = Literal["hole", "thin", "scar", "brand"]
KINDS: dict[Kind, str] = {"hole": "Hole", "thin": "Thin place", "scar": "Scar", "brand": "Brand"}


@dataclass(frozen=True)
class Defect:
    """A hole is no leather; a thin place, a scar or a brand is, and cannot be used."""

    kind: Kind
    ring: Ring


@dataclass(frozen=True)
class Tapped:
    """The inside of the frame in mm and its four corners; or two marks and `apart`, how far they are from each other in mm."""

    corners: Ring
    outline: Ring
    defects: tuple[Defect, ...] = ()
    width: Decimal | None = None
    height: Decimal | None = None
    apart: Decimal | None = None

    @property
    def holes(self) -> list[Ring]:
        return [each.ring for each in self.defects if each.kind == "hole"]


@dataclass(frozen=True)
class Figures:
    """Areas in cm2, lengths in mm. `parts`: what each of taps, lens, tilt and the rounds between taps adds to `plus_minus`."""

    area: Decimal
    plus_minus: Decimal
    usable: Decimal
    perimeter: Decimal
    length: Decimal
    width: Decimal
    parts: Mapping[str, Decimal]


def points(text: str, field: str) -> Ring:
    """`x,y x,y …` as it is typed or tapped. Refused by the word that is none.

    >>> points("10,20 30.5,40", "corners")
    ((10.0, 20.0), (30.5, 40.0))
    """
    return tuple(_point(word, field) for word in text.split())


def _point(word: str, field: str) -> tuple[float, float]:
    match = re.fullmatch(r"(-?\d{1,6}(?:\.\d{1,3})?),(-?\d{1,6}(?:\.\d{1,3})?)", word, re.ASCII)
    if match is None:
        raise Refused(
            f"“{word[:40]}” is no point. Write each as x,y in pixels, with a space between points.", field=field
        )
    return float(match[1]), float(match[2])


def defects(text: str, field: str) -> tuple[Defect, ...]:
    """One in a line, its kind before its points. Refused by the line that is none.

    >>> defects("hole: 1,2 3,4 5,6", "defects")
    (Defect(kind='hole', ring=((1.0, 2.0), (3.0, 4.0), (5.0, 6.0))),)
    """
    return tuple(_defect(line.strip(), field) for line in text.splitlines() if line.strip())


def _defect(line: str, field: str) -> Defect:
    word, colon, ring = line.partition(":")
    kind = next((each for each in KINDS if each == word.strip().lower()), None)
    if kind is None or not colon:
        raise Refused(
            f"“{line[:40]}” is no defect. Begin each line with hole, thin, scar or brand and a colon, then its points.",
            field=field,
        )
    return Defect(kind, points(ring, field))


def written(ring: Iterable[Sequence[float]]) -> str:
    """Points as they are typed, to a thousandth of a pixel.

    >>> written(((10.0, 20.0), (1234.567, 40.5)))
    '10,20 1234.567,40.5'
    """
    return " ".join(f"{_plain(x)},{_plain(y)}" for x, y in ring)


def _plain(at: float) -> str:
    return f"{at:.3f}".rstrip("0").rstrip(".")
