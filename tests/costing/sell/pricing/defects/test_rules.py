"""What defects take off, by own sales of a grade, with figures worked out by hand."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from costing.sell.pricing.defects.rules import Grade, Sold, by_grade, taken_off

D = Decimal
A, B = Grade("A", 3, Fraction(1, 40)), Grade("B", 4, Fraction(1, 50))


def test_a_grade_brings_its_money_over_its_area() -> None:
    # 100 + 30 + 50 = 180 for 4000 + 2000 + 3000 = 9000 cm2: 0.02 a cm2, whatever the pieces' own prices.
    sold = [Sold("A", D(4000), D(100)), Sold("A", D(2000), D(30)), Sold("A", D(3000), D(50)), Sold("B", D(1), D(1))]
    assert by_grade(sold) == {"A": Grade("A", 3, Fraction(1, 50))}


def test_what_cannot_be_used_and_what_the_better_grade_brings_more() -> None:
    found = taken_off(D(10000), D(9600), "B", {"A": A, "B": B}, 2)
    assert found is not None
    # 400 cm2 ÷ 50 = 8.00; 9600 · (1/40 − 1/50) = 9600 ÷ 200 = 48.00
    assert (found.lost, found.at, found.value, found.better, found.drop) == (D(400), B, D("8.00"), A, D("48.00"))


def test_the_best_grade_loses_its_area_alone() -> None:
    found = taken_off(D(10000), D(9600), "A", {"A": A, "B": B}, 2)
    assert found is not None
    assert (found.value, found.better, found.drop) == (D("10.00"), None, None)


def test_a_grade_without_enough_sales_says_nothing() -> None:
    assert taken_off(D(10000), D(9600), "C", {"A": A}, 2) is None
