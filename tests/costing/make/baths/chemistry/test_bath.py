"""What meets in a bath: aluminium, basicity and gas over several alums and sodas."""

from __future__ import annotations

from decimal import Decimal

import pytest

from costing.make.baths.chemistry.bath import Line, facts


def test_the_demo_bath_of_eighteen_litres() -> None:
    """The demo year's B1: basicity 27.6 %, about 30 L of carbon dioxide."""
    found = facts([Line("sack", "potash_alum", Decimal(1440)), Line("sack", "washing_soda_crystals", Decimal(360))])
    assert found is not None
    assert (found.basicity, found.co2_litres) == (Decimal("27.6"), Decimal("30.3"))


@pytest.mark.parametrize(
    "portions",
    [
        [],
        [Line("sack", "potash_alum", Decimal(80))],
        [Line("sack", "washing_soda_crystals", Decimal(20))],
        [Line("sack", "potash_alum", Decimal(80)), Line("sack", "salt", Decimal(40))],
        [Line("sack", "potash_alum", Decimal(80)), Line("sack", "hydrated_lime", Decimal(20))],
        [Line("sack", "", Decimal(80)), Line("sack", "washing_soda_crystals", Decimal(20))],
    ],
)
def test_without_both_alum_and_a_soda_there_are_no_facts(portions: list[Line]) -> None:
    assert facts(portions) is None


def test_halves_of_one_alum_make_the_whole() -> None:
    soda = Line("sack", "soda_ash", Decimal(7))
    half = Line("sack", "potash_alum", Decimal(40))
    assert facts([half, half, soda]) == facts([Line("sack", "potash_alum", Decimal(80)), soda])


def test_different_alums_add_by_their_aluminium() -> None:
    """474.3718 g of potash alum hold 1 mol of aluminium, 594.3411 g of the sulphate with 14 waters hold 2 mol."""
    found = facts(
        [
            Line("sack", "potash_alum", Decimal("474.372")),
            Line("sack", "aluminium_sulphate_14", Decimal("594.341")),
            Line("sack", "soda_ash", Decimal("105.988")),
        ]
    )
    assert found is not None
    assert found.aluminium_mol == Decimal("3.000")
    # 2 mol of hydroxide against 9 mol of valence.
    assert found.basicity == Decimal("22.2")


def test_lime_counts_for_basicity_but_gives_off_no_gas() -> None:
    alum, soda = Line("sack", "potash_alum", Decimal(80)), Line("sack", "soda_ash", Decimal(5))
    plain = facts([alum, soda])
    limed = facts([alum, soda, Line("sack", "hydrated_lime", Decimal(2))])
    assert plain is not None
    assert limed is not None
    assert (limed.basicity or 0) > (plain.basicity or 0)
    assert limed.co2_litres == plain.co2_litres
