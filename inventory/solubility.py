"""How much of a salt water holds at a temperature, from published tables.

Owns the tables, where each comes from, and the reckoning between a salt's dry and crystal forms. Must not know baths or
judge them. Pure water with one salt in it: in a mixed bath the figures shift, so they are a guide, not a promise.

Tables give grams of *dry* salt, whatever crystal lies at the bottom; a sack holds crystals with water of their own, so
the two are never compared by weight. Between two temperatures the value is drawn straight on a logarithmic scale,
because solubility grows by a factor with warmth: a straight line would promise too much in a cold shed (potash alum at
10 °C by a tenth). Outside a table nothing is guessed.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from inventory.errors import OutsideTable, Refused
from inventory.money import half_up
from inventory.substances import SUBSTANCES, substance_slug

_CRC = (
    "J. Rumble (ed.), CRC Handbook of Chemistry and Physics, 98th ed., 2017, Aqueous Solubility of Inorganic Compounds"
    " at Various Temperatures (mass percent of dry salt)"
)

_SIGMA = (
    "Sigma-Aldrich, Solubility Table of Compounds in Water at Temperature (g per 100 g of water; the rows name the"
    " crystal, the figures are dry salt: its own 5.67 % of the whole at 20 °C is 6.01 in 106.01)"
)

_WIKIPEDIA = "Wikipedia, Solubility table, row ammonium aluminium sulfate (g per 100 g of water, dry salt)"

# Of the alums two tables may differ by a fifth; nearer to the limit than that, no table says which side one is on.
SCATTER = Fraction(1, 5)


@dataclass(frozen=True)
class Table:
    """Published figures of one dry salt, by its molar mass: °C and the grams that 100 g of water hold."""

    dry: Decimal
    source: str
    points: tuple[tuple[int, Decimal], ...]


def _table(dry: str, source: str, by: Literal["water", "solution"], **points: str) -> Table:
    """Of figures by 100 g of water, or in 100 g of the whole solution."""
    found = [(int(at[1:]), Decimal(grams)) for at, grams in points.items()]
    if by == "solution":
        found = [(celsius, 100 * grams / (100 - grams)) for celsius, grams in found]
    return Table(Decimal(dry), source, tuple(found))


# Molar masses of the dry salts by the same weights as `inventory.substances`.
_ALUMINIUM = _table("342.1311", _SIGMA, "water", _0="31.2", _20="36.44", _40="45.6")

# Sodium carbonate ends at 30 °C: a little above it the crystals melt in their own water and another hydrate lies below.
_CARBONATE = _table("105.9875", _CRC, "solution", _0="6.44", _10="10.8", _20="17.9", _25="23.5", _30="28.7")

_TABLES: dict[str, Table] = {
    "potash_alum": _table("258.1918", _SIGMA, "water", _0="2.96", _20="6.01", _40="13.6"),
    "ammonium_alum": _table("237.1325", _WIKIPEDIA, "water", _0="2.4", _10="5.0", _20="7.4", _30="10.5", _40="14.6"),
    **dict.fromkeys(("aluminium_sulphate_14", "aluminium_sulphate_16", "aluminium_sulphate_18"), _ALUMINIUM),
    **dict.fromkeys(("soda_ash", "soda_monohydrate", "washing_soda_crystals"), _CARBONATE),
    "baking_soda": _table(
        "84.0058", _CRC, "solution", _0="6.48", _10="7.59", _20="8.73", _25="9.32", _30="9.91", _40="11.13"
    ),
    "salt": _table(
        "58.4398", _CRC, "solution", _0="26.28", _10="26.32", _20="26.41", _25="26.45", _30="26.52", _40="26.67"
    ),
    "borax": _table(
        "201.2125", _CRC, "solution", _0="1.23", _10="1.71", _20="2.50", _25="3.07", _30="3.82", _40="6.02"
    ),
}


def known(slug: str) -> bool:
    """Whether a published table is kept for a substance."""
    return substance_slug(slug) in _TABLES


def source(slug: str) -> str:
    """Where the figures of a substance come from; refused where there are none."""
    return _of(slug).source


def held(slug: str, celsius: Decimal) -> Decimal:
    """Grams of the substance as it lies in the sack that one litre of water holds, half up to a whole gram.

    With S g of dry salt to 100 g of water and f the dry part of the crystal by weight, h g of crystals bring h × f of dry
    salt and h × (1 - f) of water: h × f = S ÷ 100 × (1000 + h × (1 - f)), so h = 1000 S ÷ (100 f - S (1 - f)).
    One litre of water is taken as a kilogram (0.8 % off at 40 °C). Log-linear between the table's points. Refused
    without a table, `OutsideTable` beyond its ends.

    >>> held("potash_alum", Decimal(20)), held("washing_soda_crystals", Decimal(20)), held("salt", Decimal(5))
    (Decimal('116'), Decimal('935'), Decimal('357'))
    """
    dry = Fraction(_dry(slug, celsius))
    part = Fraction(_of(slug).dry) / Fraction(SUBSTANCES[substance_slug(slug)].molar_mass)
    return half_up(1000 * dry / (100 * part - dry * (1 - part)), 0)


def _of(slug: str) -> Table:
    slug = substance_slug(slug)
    if slug not in _TABLES:
        name = SUBSTANCES[slug].name
        raise Refused(f"How much {name} water holds is not known here; see its safety data sheet.", field="substance")
    return _TABLES[slug]


def _dry(slug: str, celsius: Decimal) -> Decimal:
    points = _of(slug).points
    coldest, warmest = points[0][0], points[-1][0]
    if not coldest <= celsius <= warmest:
        raise OutsideTable(
            f"What water holds of {SUBSTANCES[substance_slug(slug)].name} is known from {coldest} to {warmest} °C, not at "
            f"{celsius} °C; give a temperature between, or see its safety data sheet.",
            field="celsius",
        )
    for (low, less), (high, more) in pairwise(points):
        if celsius <= high:
            along = (celsius - low) / (high - low)
            return (less.ln() * (1 - along) + more.ln() * along).exp()
    return points[-1][1]
