"""Spoiled units and joint costs against figures of a cost-accounting textbook."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from costing.make.cost.rules import Share, split_books
from costing.make.finishing.rules import Cut, split
from costing.make.losses.rules import reallocate
from inventory.money import allocate

D = Decimal

# Source: Horngren's Cost Accounting: A Managerial Emphasis (2018), p. 751, read in a public excerpt: 5 of 50 units spoiled
# at 2,000 each, sold for 600 each; the net loss is 7,000, and the 45 good units cost 90,000 without it.
COST, DISPOSAL, GOOD = D(5 * 2000), D(5 * 600), D(90_000)


def units(count: int) -> dict[str, int]:
    return {f"unit {place}": 1 for place in range(count)}


def test_an_unusual_loss_is_written_off_at_cost_less_disposal_and_the_good_units_stay_as_they_were() -> None:
    found = reallocate(COST, COST, DISPOSAL, units(45))
    assert found.book == D("7000.00")
    assert GOOD / 45 == 2000


def test_a_usual_loss_is_spread_over_all_good_units() -> None:
    # Over the 140 good units of the month: 50 each; on the 45 of this job 2,250, so that they cost 92,250, or 2,050 each.
    each = reallocate(COST, COST, DISPOSAL, units(140)).each
    assert {spread.book for spread in each.values()} == {D("50.00")}
    assert GOOD + 45 * D("50.00") == D("92250.00") == 45 * D(2050)


def test_a_loss_of_one_job_alone_is_borne_by_its_good_units_to_the_cent() -> None:
    # DERIVED: 7,000 ÷ 45 = 155.56 each; in whole coins the parts still come to 7,000.
    assert reallocate(COST, COST, DISPOSAL, units(45)).each["unit 0"].book == D("155.56")
    assert sum(allocate(COST - DISPOSAL, [1] * 45, 2)) == D("7000.00")


# Source: a joint-cost question of the same textbook's family (a dairy; edition not seen), read in public copies: 63,360 for
# 12,000 gallons, each 3 cups of butter at 4.40 a pound (2 cups) and 9 cups of buttermilk at 2.40 a quart (4 cups).
# The answers are DERIVED from these figures.
JOINT = Share(materials=Fraction(63_360))


def test_by_physical_measure_each_piece_bears_its_part_of_the_whole() -> None:
    # 3 and 9 of 12 cups: 15,840 and 47,520.
    found = split("milk", [Cut("butter", 3), Cut("buttermilk", 9)])
    assert split_books([JOINT.times(share) for share in found.pieces], 2) == [D("15840.00"), D("47520.00")]


def test_by_value_at_the_split_a_dearer_piece_bears_more_than_its_measure() -> None:
    # 3 × 2.20 and 9 × 0.60 of 12.00: 55 and 45 %, 34,848 and 28,512. A grade weight works the same way.
    found = split("milk", [Cut("butter", 3, D("2.20")), Cut("buttermilk", 9, D("0.60"))])
    assert found.pieces == (Fraction(55, 100), Fraction(45, 100))
    assert split_books([JOINT.times(share) for share in found.pieces], 2) == [D("34848.00"), D("28512.00")]
