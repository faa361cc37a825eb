"""Substances: what a chemical exactly is, and how much of one does the work of another.

Owns the table of exact substances and the computations on one of them. "Alum" and "soda" are never one thing: by weight the
aluminium in what is sold as alum differs by a factor of 2.8, the alkali in what is sold as soda by 2.7, so such words
are refused with the choices named. It must not know recipes, materials or the database, and it judges nothing: equal
aluminium is not equal tanning, and the supplier's safety data sheet goes before every word here.

Molar masses are sums of IUPAC conventional atomic weights (g/mol).
"""

import difflib
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from inventory.errors import Refused, meant
from inventory.money import half_up

# Ideal gas at 101.325 kPa: R ÷ p with the exact SI gas constant, in litres a mole and kelvin (24.0551 L/mol at 20 °C).
_GAS_LITRES_PER_MOL_K = Fraction("8.31446261815324") / Fraction("101.325")
_KELVIN_AT_0 = Fraction("273.15")
SHEET = "Check the supplier's safety data sheet."
FROM_MEMORY = "From memory: check the supplier's safety data sheet."
_MILD = "No usual hazard; keep dust out of the eyes."
_ALUM = "Serious eye damage from dust and splashes, acid in water: eye protection and gloves."
_SODA = "Irritates the eyes; foams and gives off carbon dioxide with alum or acid: add slowly, open vessel."
_BICARB = "No usual hazard; foams and gives off carbon dioxide with alum or acid: add slowly, open vessel."
_BORAX = "May harm fertility and the unborn child: no dust, gloves, locked away from children."
_LIME = "Burns the eyes, irritates skin and airways: eye protection, gloves, no dust."
_CITRIC = "Irritates the eyes: eye protection."

# Who classified it so, and with which statements; what is not here is from memory. Of the others the sheets disagree, or none
# was read.
_NOTIFIED = "EU classification and labelling inventory, leading joint notification for CAS 10043-01-3 (H290, H318)"
_CARD = "International Chemical Safety Card 1135, April 2024 (serious eye irritation)"
_PRODUCER = "registrants of hydrated lime, in a UK producer's sheet of 2013 (H315, H318, H335)"
_SUPPLIERS = "suppliers' sheets of 2015 and 2018 under Regulation (EC) 1272/2008 (H319)"


@dataclass(frozen=True, slots=True)
class Substance:
    """One exact substance. Molar mass in g/mol; equivalents are moles of Al, OH⁻ and CO₂ that one mole brings.

    `warns` are the usual words of caution; `source` names the published classification they come from: empty, from memory.
    """

    slug: str
    name: str
    formula: str
    molar_mass: Decimal
    warns: str
    aluminium_per_mol: int = 0
    alkali_per_mol: int = 0
    co2_per_mol: int = 0
    source: str = ""

    @property
    def defers(self) -> str:
        return SHEET if self.source else FROM_MEMORY

    @property
    def hazard(self) -> str:
        """The usual caution, and how far it may be trusted."""
        return f"{self.warns} {self.defers}"


def _sulphate(slug: str, water: int, mass: str) -> Substance:
    name = f"Aluminium sulphate, {water} water" if water else "Aluminium sulphate, anhydrous"
    formula = f"Al2(SO4)3·{water}H2O" if water else "Al2(SO4)3"
    return Substance(slug, name, formula, Decimal(mass), _ALUM, aluminium_per_mol=2, source=_NOTIFIED)


def _alum(slug: str, name: str, formula: str, mass: str) -> Substance:
    return Substance(slug, name, formula, Decimal(mass), _MILD, aluminium_per_mol=1)


def _soda(slug: str, name: str, formula: str, mass: str, source: str = "") -> Substance:
    return Substance(slug, name, formula, Decimal(mass), _SODA, alkali_per_mol=2, co2_per_mol=1, source=source)


_ROWS = (
    _sulphate("aluminium_sulphate_anhydrous", 0, "342.1311"),
    _sulphate("aluminium_sulphate_14", 14, "594.3411"),
    _sulphate("aluminium_sulphate_16", 16, "630.3711"),
    _sulphate("aluminium_sulphate_18", 18, "666.4011"),
    _alum("potash_alum", "Potash alum", "KAl(SO4)2·12H2O", "474.3718"),
    _alum("ammonium_alum", "Ammonium alum", "NH4Al(SO4)2·12H2O", "453.3125"),
    _soda("soda_ash", "Soda ash, anhydrous", "Na2CO3", "105.9875", _CARD),
    _soda("soda_monohydrate", "Soda, monohydrate", "Na2CO3·H2O", "124.0025"),
    _soda("washing_soda_crystals", "Washing soda crystals", "Na2CO3·10H2O", "286.1375"),
    Substance("baking_soda", "Baking soda", "NaHCO3", Decimal("84.0058"), _BICARB, alkali_per_mol=1, co2_per_mol=1),
    Substance("salt", "Salt", "NaCl", Decimal("58.4398"), _MILD),
    Substance("borax", "Borax", "Na2B4O7·10H2O", Decimal("381.3625"), _BORAX, alkali_per_mol=2),
    Substance(
        "hydrated_lime", "Hydrated lime", "Ca(OH)2", Decimal("74.0920"), _LIME, alkali_per_mol=2, source=_PRODUCER
    ),
    Substance("citric_acid", "Citric acid, anhydrous", "C6H8O7", Decimal("192.1230"), _CITRIC, source=_SUPPLIERS),
)
SUBSTANCES = {row.slug: row for row in _ROWS}

_SULPHATES = ("aluminium_sulphate_14", "aluminium_sulphate_16", "aluminium_sulphate_18", "aluminium_sulphate_anhydrous")
_CARBONATES = ("washing_soda_crystals", "soda_ash", "soda_monohydrate")

_CHOICES: dict[str, tuple[str, ...]] = {
    "alum": ("potash_alum", "ammonium_alum", *_SULPHATES),
    **dict.fromkeys(
        ("aluminium_sulphate", "aluminium_sulfate", "aluminum_sulfate", "aluminum_sulphate", "sulphate_of_alumina"),
        _SULPHATES,
    ),
    "soda": (*_CARBONATES, "baking_soda"),
    # Boxes with these words hold crystals in some countries and dry powder in others.
    **dict.fromkeys(("washing_soda", "sodium_carbonate", "sal_soda"), _CARBONATES),
}

_SPELLINGS = {
    "potassium_alum": "potash_alum",
    "ammonia_alum": "ammonium_alum",
    "soda_crystals": "washing_soda_crystals",
    "bicarbonate_of_soda": "baking_soda",
    "sodium_bicarbonate": "baking_soda",
    "sodium_chloride": "salt",
    "slaked_lime": "hydrated_lime",
    "calcium_hydroxide": "hydrated_lime",
    **{substance.name.casefold().replace(",", "").replace(" ", "_"): slug for slug, substance in SUBSTANCES.items()},
    **{substance.formula.casefold(): slug for slug, substance in SUBSTANCES.items()},
}


def substance_slug(text: str) -> str:
    """The exact substance that a word means; refused where it means none, or one of several.

    >>> substance_slug("Potash alum"), substance_slug("bicarbonate of soda")
    ('potash_alum', 'baking_soda')
    """
    word = "_".join(text.casefold().replace(",", " ").replace("-", " ").replace("_", " ").split())
    if word in SUBSTANCES:
        return word
    if word in _SPELLINGS:
        return _SPELLINGS[word]
    if word in _CHOICES:
        raise Refused(
            f"“{text}” is sold as different things of different strength; read the sack or its safety data sheet and say "
            f"which: {', '.join(_CHOICES[word])}.",
            field="substance",
        )
    close = difflib.get_close_matches(word, [*SUBSTANCES, *_SPELLINGS, *_CHOICES], n=3, cutoff=0.75)
    near = (slug for name in close for slug in _CHOICES.get(name, (_SPELLINGS.get(name, name),)))
    hint = meant(dict.fromkeys(near), "choose one from the list, or leave it empty.")
    raise Refused(f"“{text}” is not a substance known here; {hint}", field="substance")


def wrong_substance(slug: str, wanted: str) -> Refused:
    """For a caller to raise where a substance has nothing of what is calculated by."""
    return Refused(f"{slug} carries no {wanted}; choose a substance that does.", field="substance")


def aluminium_equal(grams: Decimal, from_slug: str, to_slug: str) -> Decimal:
    """Grams of one alum with the aluminium that `grams` of another bring, half up to a milligram.

    grams × (Al₁ ÷ M₁) ÷ (Al₂ ÷ M₂). Equal aluminium, not equal tanning: the acid and the salts that come with it
    differ, so try a small piece first. Refused where one of the two has no aluminium.

    >>> aluminium_equal(Decimal(1000), "potash_alum", "aluminium_sulphate_14")
    Decimal('626.451')
    """
    return half_up(Fraction(grams) * _moles(from_slug, "aluminium") / _moles(to_slug, "aluminium"), 3)


def alkali_equal(grams: Decimal, from_slug: str, to_slug: str) -> Decimal:
    """Grams of one alkali with the neutralising power of `grams` of another, half up to a milligram.

    grams × (OH₁ ÷ M₁) ÷ (OH₂ ÷ M₂). Refused where one of the two is no alkali.

    >>> alkali_equal(Decimal(100), "soda_ash", "washing_soda_crystals")
    Decimal('269.973')
    """
    return half_up(Fraction(grams) * _moles(from_slug, "alkali") / _moles(to_slug, "alkali"), 3)


def co2_litres(soda_grams: Decimal, slug: str, celsius: Decimal = Decimal(20)) -> Decimal:
    """Litres of carbon dioxide at a temperature and 101.325 kPa if all of the soda reacts, half up to a millilitre.

    grams ÷ M × CO₂ a mole × R × (273.15 + °C) ÷ p: 24.0551 L a mole at 20 °C. The upper bound: what stays
    dissolved is not taken off.
    Refused where the substance gives off none.

    >>> co2_litres(Decimal(100), "washing_soda_crystals")
    Decimal('8.407')
    """
    moles = Fraction(soda_grams) * _moles(slug, "co2", "carbonate")
    return half_up(moles * _GAS_LITRES_PER_MOL_K * (_KELVIN_AT_0 + Fraction(celsius)), 3)


def _moles(slug: str, part: Literal["aluminium", "alkali", "co2"], source: str = "") -> Fraction:
    """Moles of it that a gram brings; `source` names what it comes from where that is something else."""
    substance = SUBSTANCES[substance_slug(slug)]
    moles: int = getattr(substance, f"{part}_per_mol")
    if not moles:
        raise wrong_substance(substance.slug, source or part)
    return moles / Fraction(substance.molar_mass)
