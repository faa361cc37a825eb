"""What meets in a bath: aluminium, how far soda has bound it, the gas, the strengths, and the vessel it needs.

Owns the adding up over several alums and sodas; the chemistry of one is `inventory.substances`, what water holds is
`inventory.solubility`. Must not know recipes, read a database, or judge whether a bath is good: the maker's trial piece
and the supplier's data sheet decide that. Litres of bath are the litres of water poured, as recipes mean them.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from costing.make.baths.chemistry.bath import (
    ALKALI_CAUTION,
    ALUMINIUM_G_PER_MOL,
    METAL_CAUTION,
    Line,
    _aluminium_mol,
    _by_substance,
    _row,
)
from costing.make.baths.chemistry.vessels import above
from inventory import substances
from inventory.money import half_up


@dataclass(frozen=True)
class Offer:
    """Grams on offer for each kg of skin put through: of aluminium, and of all alums as grams of the first one."""

    alum: str
    aluminium_g_per_kg: Decimal
    alum_g_per_kg: Decimal


@dataclass(frozen=True)
class Substitute:
    """Grams of another substance that bring the same metal or the same alkali, and what to mind."""

    substance: str
    name: str
    grams: Decimal
    caution: str


def offer(lines: Iterable[Line], weights_g: Sequence[Decimal]) -> Offer | None:
    """Alum on offer for each kg of skin over all uses of a bath: everything put in ÷ all drained skin put through.

    `weights_g` is the skin weight of each use; half up to a tenth of a gram. None without alum. `NotAbove` for a weight
    that is not above zero or no use at all.

    >>> offer([Line("alum", "potash_alum", Decimal(1440))], [Decimal(14200), Decimal(4800)])
    Offer(alum='potash_alum', aluminium_g_per_kg=Decimal('4.3'), alum_g_per_kg=Decimal('75.8'))
    """
    for weight in weights_g or [Decimal(0)]:
        above("The weight of the skins", weight, "weigh them drained", "weight_g")
    known = _by_substance(lines)
    alum = next((slug for slug in known if _row(slug).aluminium_per_mol), None)
    if alum is None:
        return None
    kilograms = sum(map(Fraction, weights_g), Fraction(0)) / 1000
    aluminium = _aluminium_mol(known)
    as_first = aluminium * Fraction(_row(alum).molar_mass) / _row(alum).aluminium_per_mol
    return Offer(alum, half_up(aluminium * ALUMINIUM_G_PER_MOL / kilograms, 1), half_up(as_first / kilograms, 1))


def family(slug: str) -> Literal["alum", "soda", ""]:
    """Within which kind a substance can take the place of another: alum for alum by metal, soda for soda by alkali.

    >>> family("aluminium_sulphate_14"), family("baking_soda"), family("hydrated_lime"), family("")
    ('alum', 'soda', '', '')
    """
    if not slug:
        return ""
    row = _row(slug)
    return "alum" if row.aluminium_per_mol else "soda" if row.co2_per_mol else ""


def substitute(line: Line, to_slug: str) -> Substitute:
    """What replaces a line: by aluminium between alums, by alkali between sodas, half up to a milligram, with its caution.

    Refused where the two are not of one kind; ambiguous and unknown words are refused as in `substance_slug`.

    >>> substitute(Line("sulphate", "aluminium_sulphate_14", Decimal(900)), "potash_alum").grams
    Decimal('1436.665')
    """
    ours, theirs = _row(line.substance), _row(to_slug)
    if ours.aluminium_per_mol:
        grams = substances.aluminium_equal(line.grams, ours.slug, theirs.slug)
        return Substitute(theirs.slug, theirs.name, grams, METAL_CAUTION)
    for row in (ours, theirs):
        if not row.co2_per_mol:
            raise substances.wrong_substance(row.slug, "carbonate" if ours.co2_per_mol else "aluminium or carbonate")
    grams = substances.alkali_equal(line.grams, ours.slug, theirs.slug)
    return Substitute(theirs.slug, theirs.name, grams, ALKALI_CAUTION)
