"""Owns counting a hide's area by squares: the frame with its cords, what a count comes to, and what it may be off by.

Lengths in mm, areas in cm² as everywhere. Must not know a paper or the database.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory import units
from inventory.base.labels.lengths import INCHES, MM, Ruler
from inventory.errors import Refused
from inventory.money import half_up

SHORTEST, LONGEST = Decimal(200), Decimal(4000)
LEAST_ACROSS, MOST_ACROSS = 3, 60
_MM2_PER_CM2 = 100
_PLACES = 3  # of a square
_RULERS = {"mm": MM, "in": INCHES}
_FRAME = re.compile(r"(\d{1,4}(?:\.\d{1,3})?)[x×](\d{1,4}(?:\.\d{1,3})?)(?:[x×](\d{1,4}(?:\.\d{1,3})?))?(mm|in)?", re.I)


@dataclass(frozen=True)
class Frame:
    """A frame by its inside, and how far apart the cords are that are stretched over it."""

    width: Decimal
    height: Decimal
    every: Decimal

    @property
    def square(self) -> Decimal:
        """A square between four cords.

        >>> USUAL["mm"].square, USUAL["inch"].square
        (Decimal('100.000'), Decimal('232.258'))
        """
        return half_up(Fraction(self.every) ** 2 / _MM2_PER_CM2, units.HELD_PLACES)

    @property
    def rest(self) -> bool:
        """Whether a narrower strip is left at an end."""
        return bool(self.width % self.every or self.height % self.every)


# Common practice, no source: a sheep or a deer has room in it. By the unit of its ruler.
USUAL = {
    "mm": Frame(Decimal(1200), Decimal(1500), Decimal(100)),
    "inch": Frame(INCHES.kept(Decimal(48)), INCHES.kept(Decimal(60)), INCHES.kept(Decimal(6))),
}


@dataclass(frozen=True)
class Counted:
    """An area in squares, and what it may be off by."""

    squares: Decimal
    off: Decimal

    def area(self, frame: Frame) -> tuple[Decimal, Decimal]:
        """Both in cm².

        >>> counted(60, 40).area(USUAL["mm"])
        (Decimal('7900.000'), Decimal('365.100'))
        """
        across = Fraction(frame.every) ** 2 / _MM2_PER_CM2
        return half_up(Fraction(self.squares) * across, _PLACES), half_up(Fraction(self.off) * across, _PLACES)


def counted(whole: int, cut: int) -> Counted:
    """The area of one outline without holes, laid on squares anyhow: whole = wholly inside, cut = the edge runs through it.

    area = whole + cut ÷ 2 − 1, in squares. Half of what is cut is too much by one square for any closed outline, on the mean over
    all places it may lie at: squares hit and squares inside a shape larger than they are together come to twice (its area + 1), by
    Steiner's formula for parallel areas; Pick's theorem, area = inside + edge ÷ 2 − 1, says it of corners on the grid.

    off = 2 × √(cut ÷ 12) = √(cut ÷ 3): each cut square is off by a uniform part of it, standard deviation 1/√12, independently;
    two of the sum's are 95 of 100. Variance of the uniform distribution, (b − a)² ÷ 12: NIST/SEMATECH e-Handbook of Statistical
    Methods, 1.3.6.6.2, recalled from memory. That neighbours are not independent only makes it less; the test counts how often.
    Refused where the counts are none.

    >>> counted(60, 40)
    Counted(squares=Decimal('79.0'), off=Decimal('3.651'))
    """
    for field, count in (("whole", whole), ("cut", cut)):
        if count < 0:
            raise Refused(f"{count} squares cannot be counted. Write 0 or more.", field=field)
    if cut < 4:
        raise Refused(
            f"An outline cuts 4 squares at least, and {cut} were counted. Count those that the edge runs through; take a"
            " closer grid where the hide is so small.",
            field="cut",
        )
    return Counted(half_up(whole + Fraction(cut, 2) - 1, 1), half_up((Decimal(cut) / 3).sqrt(), _PLACES))


def frame(text: str, ruler: Ruler = MM) -> Frame:
    """A frame written by its numbers, width x height x cords' distance; in the ruler's unit where none is named. The usual
    distance where there are two numbers, the usual frame where there is nothing.

    >>> frame("1200x1500x50"), frame("40x50in").every, frame("", INCHES) == USUAL["inch"]
    (Frame(width=Decimal('1200.000'), height=Decimal('1500.000'), every=Decimal('50.000')), Decimal('152.400'), True)
    """
    if not (short := text.replace(" ", "")):
        return USUAL[ruler.unit]
    found = _FRAME.fullmatch(short)
    if not found:
        raise Refused(
            f"“{text}” is no frame. Write its inside and how far apart the cords are: 1200x1500x100mm, or 48x60x6in.",
            field="frame",
        )
    by = _RULERS[found[4].lower()] if found[4] else ruler
    wide, high, every = (by.kept(Decimal(typed)) if typed else USUAL[by.unit].every for typed in found.groups()[:3])
    return _checked(Frame(wide, high, every), by)


def _checked(one: Frame, ruler: Ruler) -> Frame:
    for side in (one.width, one.height):
        if not SHORTEST <= side <= LONGEST:
            raise Refused(
                f"A frame is {ruler.least(SHORTEST)} to {ruler.most(LONGEST)} {ruler.sign} inside, not {ruler.told(side)}.",
                field="frame",
            )
    if not one.every * LEAST_ACROSS <= min(one.width, one.height) or one.every * MOST_ACROSS < max(
        one.width, one.height
    ):
        raise Refused(
            f"Cords every {ruler.told(one.every)} do not fit this frame. Leave {LEAST_ACROSS} to {MOST_ACROSS} squares along a"
            " side.",
            field="frame",
        )
    return one
