"""What takes the place of what in a bath, and how much alum is on offer to the skins. Must not know recipes or a database."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from costing.make.baths.chemistry.bath import ALUMINIUM_G_PER_MOL, Line, above, aluminium_mol, by_substance, row_of
from inventory import substances
from inventory.money import half_up

METAL_CAUTION = (
    "Equal metal is not equal tanning: the acid and the salts that come with it differ, so the bath bites and fills"
    " differently. Try it on an offcut, and mind the pH."
)

ALKALI_CAUTION = (
    "Equal alkali does not come in at equal speed, nor with equal gas: dissolve it by itself, pour it in slowly, and"
    " measure the pH before adding the rest."
)


@dataclass(frozen=True)
class Offer:
    """Grams on offer for each kg of skin: of aluminium, and of all alums as grams of the first one."""

    alum: str
    aluminium_g_per_kg: Decimal
    alum_g_per_kg: Decimal


@dataclass(frozen=True)
class Substitute:
    """Grams of another substance that bring the same metal or the same alkali, and what to mind."""

    grams: Decimal
    caution: str


def offer(lines: Iterable[Line], weight_g: Decimal) -> Offer | None:
    """Alum on offer for each kg of skin: everything put in ÷ all drained skin put through, half up to a tenth of a gram.

    None without alum. `NotAbove` for a weight that is not above zero.

    >>> offer([Line("alum", "potash_alum", Decimal(1440))], Decimal(19000))
    Offer(alum='potash_alum', aluminium_g_per_kg=Decimal('4.3'), alum_g_per_kg=Decimal('75.8'))
    """
    above("The weight of the skins", weight_g, "weigh them drained", "weight_g")
    known = by_substance(lines)
    alum = next((slug for slug in known if row_of(slug).aluminium_per_mol), None)
    if alum is None:
        return None
    kilograms, aluminium = Fraction(weight_g) / 1000, aluminium_mol(known)
    as_first = aluminium * Fraction(row_of(alum).molar_mass) / row_of(alum).aluminium_per_mol
    return Offer(alum, half_up(aluminium * ALUMINIUM_G_PER_MOL / kilograms, 1), half_up(as_first / kilograms, 1))


def family(slug: str) -> Literal["alum", "soda", ""]:
    """Within which kind a substance can take the place of another: alum for alum by metal, soda for soda by alkali.

    >>> family("aluminium_sulphate_14"), family("baking_soda"), family("hydrated_lime"), family("")
    ('alum', 'soda', '', '')
    """
    if not slug:
        return ""
    row = row_of(slug)
    return "alum" if row.aluminium_per_mol else "soda" if row.co2_per_mol else ""


def substitute(grams: Decimal, slug: str, to_slug: str) -> Substitute:
    """What replaces grams of a substance: by aluminium between alums, by alkali between sodas, half up to a milligram.

    With what to mind. Refused where the two are not of one kind; ambiguous and unknown words are refused as in
    `substance_slug`.

    >>> substitute(Decimal(900), "aluminium_sulphate_14", "potash_alum").grams
    Decimal('1436.665')
    """
    ours, theirs = row_of(slug), row_of(to_slug)
    if ours.aluminium_per_mol:
        return Substitute(substances.aluminium_equal(grams, ours.slug, theirs.slug), METAL_CAUTION)
    for row in (ours, theirs):
        if not row.co2_per_mol:
            raise substances.wrong_substance(row.slug, "carbonate" if ours.co2_per_mol else "aluminium or carbonate")
    return Substitute(substances.alkali_equal(grams, ours.slug, theirs.slug), ALKALI_CAUTION)
