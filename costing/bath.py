"""What meets in a bath: aluminium, how far soda has bound it, and the gas that comes off.

Owns the adding up over several alums and sodas; the chemistry of one is `inventory.substances`. Must not know recipes,
read a database, or judge whether a bath is good: the maker's trial piece and the supplier's data sheet decide that.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory import substances
from inventory.money import half_up

# IUPAC conventional atomic weight of aluminium, g/mol.
ALUMINIUM_G_PER_MOL = Fraction("26.982")


@dataclass(frozen=True)
class Portion:
    """Grams of one exact substance."""

    slug: str
    grams: Decimal


@dataclass(frozen=True)
class Facts:
    """Moles and grams of aluminium, basicity in percent, litres of carbon dioxide at 20 °C if all of the soda reacts."""

    aluminium_mol: Decimal
    aluminium_g: Decimal
    basicity: Decimal
    co2_litres: Decimal


def facts(portions: Iterable[Portion]) -> Facts | None:
    """Facts of a bath in which alum and a soda meet; None when one of the two is not in it.

    Aluminium: sum of grams ÷ M × Al a mole. Basicity: all alums as grams of the first by equal aluminium, all alkalis as
    grams of the first by equal alkali, then `substances.basicity`. Gas: sum over what gives off any.
    Quantities in grams. Source: see `inventory.substances`.

    >>> facts([Portion("potash_alum", Decimal(1440)), Portion("washing_soda_crystals", Decimal(360))])
    Facts(aluminium_mol=Decimal('3.036'), aluminium_g=Decimal('81.91'), basicity=Decimal('27.6'), co2_litres=Decimal('30.3'))
    """
    known = [(substances.SUBSTANCES[portion.slug], portion.grams) for portion in portions if portion.slug]
    alums = [(row, grams) for row, grams in known if row.aluminium_per_mol and grams > 0]
    sodas = [(row, grams) for row, grams in known if row.co2_per_mol and grams > 0]
    if not alums or not sodas:
        return None
    alkalis = [(row, grams) for row, grams in known if row.alkali_per_mol and grams > 0]
    alum, soda = alums[0][0].slug, alkalis[0][0].slug
    alum_grams = sum((substances.aluminium_equal(grams, row.slug, alum) for row, grams in alums), Decimal(0))
    soda_grams = sum((substances.alkali_equal(grams, row.slug, soda) for row, grams in alkalis), Decimal(0))
    moles = sum(
        (Fraction(grams) * row.aluminium_per_mol / Fraction(row.molar_mass) for row, grams in alums), Fraction(0)
    )
    gas = sum((substances.co2_litres(grams, row.slug) for row, grams in sodas), Decimal(0))
    return Facts(
        aluminium_mol=half_up(moles, 3),
        aluminium_g=half_up(moles * ALUMINIUM_G_PER_MOL, 2),
        basicity=substances.basicity(alum_grams, alum, soda_grams, soda),
        co2_litres=half_up(gas, 1),
    )
