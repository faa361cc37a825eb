"""What defects take off a piece, told by one's own sales of its kind: the area that cannot be used, and the lower grade.

A price a square of a grade is all that its pieces brought without tax, divided by all their area: a large piece weighs more than a
small one, as it does in the till.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.money import half_up

# Fewer sales of a grade say nothing. Common practice, no source.
ENOUGH = 3


@dataclass(frozen=True)
class Sold:
    """A piece that was sold: its grade, its area in cm2, and what it brought without tax."""

    grade: str
    area: Decimal
    net: Decimal


@dataclass(frozen=True)
class Grade:
    """`a_cm2`: what a cm2 of it brought, exactly; by so many `sales`."""

    name: str
    sales: int
    a_cm2: Fraction


@dataclass(frozen=True)
class Taken:
    """`lost` cm2 cannot be used and would bring `value` at the grade `at`. `better` is the grade that brings most, `drop` how much
    more the usable area would bring in it; None where no other brings more."""

    lost: Decimal
    at: Grade
    value: Decimal
    better: Grade | None = None
    drop: Decimal | None = None


def by_grade(sold: Iterable[Sold]) -> dict[str, Grade]:
    """What each grade brings; one that was sold less than three times is left out.

    >>> pieces = [Sold("A", Decimal(area), Decimal(net)) for area, net in ((5000, 100), (3000, 60), (2000, 40))]
    >>> by_grade([*pieces, Sold("B", Decimal(5000), Decimal(10))])
    {'A': Grade(name='A', sales=3, a_cm2=Fraction(1, 50))}
    """
    rows: dict[str, list[Sold]] = {}
    for each in sold:
        rows.setdefault(each.grade, []).append(each)
    return {
        name: Grade(name, len(each), Fraction(sum(row.net for row in each)) / Fraction(sum(row.area for row in each)))
        for name, each in rows.items()
        if len(each) >= ENOUGH
    }


def taken_off(area: Decimal, usable: Decimal, grade: str, grades: dict[str, Grade], places: int) -> Taken | None:
    """What its defects take off a piece of that grade; None where its grade was not sold often enough to say.

    >>> grades = {"A": Grade("A", 5, Fraction(1, 40)), "B": Grade("B", 3, Fraction(1, 50))}
    >>> found = taken_off(Decimal(10000), Decimal(9600), "B", grades, 2)
    >>> found.value, found.better.name, found.drop
    (Decimal('8.00'), 'A', Decimal('48.00'))
    """
    if grade not in grades:
        return None
    at = grades[grade]
    value = half_up(Fraction(area - usable) * at.a_cm2, places)
    best = max(grades.values(), key=lambda each: each.a_cm2)
    if best.a_cm2 <= at.a_cm2:
        return Taken(area - usable, at, value)
    return Taken(area - usable, at, value, best, half_up(Fraction(usable) * (best.a_cm2 - at.a_cm2), places))
