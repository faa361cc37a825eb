"""How lengths of label sheets are typed and told: by a ruler of millimetres or of inches. They are kept in mm to a thousandth."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory import formats, units
from inventory.factors import trimmed
from inventory.money import ceil_to, half_up

_LIMIT_PLACES = 2


@dataclass(frozen=True)
class Ruler:
    """`unit`: one of `units`; `sign` beside a figure and `name` in a sentence; `notches` of one unit; `typed` and `shown`: how many
    decimals a figure has at most. Of an inch four are shown, since two such figures are never kept as the same length. `tick`:
    how far apart the ticks of a printed scale are.
    """

    unit: str
    sign: str
    name: str
    notches: int
    typed: int
    shown: int
    tick: Decimal

    def kept(self, typed: Decimal) -> Decimal:
        """A figure of this ruler in mm, half up to a thousandth; an inch is 25.4 mm.

        >>> INCHES.kept(Decimal("2.625")), INCHES.kept(Decimal("0.1875")), MM.kept(Decimal("4.65"))
        (Decimal('66.675'), Decimal('4.763'), Decimal('4.650'))
        """
        return units.to_base(typed, self.unit, "mm")

    def figure(self, mm: Decimal) -> Decimal:
        """The figure to type for a length that is kept: a whole notch of the ruler, else the fewest decimals that lead back. So a
        figure of four places, and each thirty-second of an inch, comes back as it was typed.

        >>> INCHES.figure(Decimal("0.794")), INCHES.figure(Decimal("66.675")), INCHES.figure(Decimal("70"))
        (Decimal('0.03125'), Decimal('2.625'), Decimal('2.7559'))
        """
        found = self._notch(mm)
        return units.least(mm, self.unit, "mm") if found is None else found

    def told(self, *lengths: Decimal) -> str:
        """Lengths for people, each a whole notch of the ruler or rounded to what is shown.

        >>> INCHES.told(Decimal("66.675"), Decimal("25.4")), MM.told(Decimal("99.100"))
        ('2.625 × 1 in', '99.1 mm')
        """
        return f"{' × '.join(self.plain(mm) for mm in lengths)} {self.sign}"

    def plain(self, mm: Decimal) -> str:
        """One of them without its unit."""
        found = self._notch(mm)
        return formats.plain(half_up(self._exact(mm), self.shown) if found is None else found)

    def least(self, mm: Decimal) -> str:
        """A limit that a length may not be under, in a round figure that itself is allowed.

        >>> INCHES.least(Decimal(10)), INCHES.most(Decimal(10)), MM.most(Decimal(10))
        ('0.4', '0.39', '10')
        """
        return formats.plain(ceil_to(self._exact(mm), _LIMIT_PLACES))

    def most(self, mm: Decimal) -> str:
        """A limit that a length may not be over, in such a figure."""
        return formats.plain(-ceil_to(-self._exact(mm), _LIMIT_PLACES))

    def _exact(self, mm: Decimal) -> Fraction:
        return Fraction(mm) / units.ratio(self.unit, "mm")

    def _notch(self, mm: Decimal) -> Decimal | None:
        found = trimmed(half_up(self._exact(mm) * self.notches, 0) / self.notches)
        return found if self.kept(found) == half_up(mm, units.HELD_PLACES) else None


MM = Ruler("mm", "mm", "millimetres", notches=1, typed=units.HELD_PLACES, shown=units.HELD_PLACES + 1, tick=Decimal(1))
INCHES = Ruler("inch", "in", "inches", notches=32, typed=5, shown=4, tick=Decimal("0.02"))
