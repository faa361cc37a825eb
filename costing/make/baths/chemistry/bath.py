"""What meets in a bath: aluminium, how far soda has bound it, the gas, the strengths, and the vessel it needs.

Owns the adding up over several alums and sodas; the chemistry of one is `inventory.substances`, what water holds is
`inventory.solubility`. Must not know recipes, read a database, or judge whether a bath is good: the maker's trial piece
and the supplier's safety data sheet decide that. Litres of bath are the litres of water poured, as recipes mean them.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from costing.make.baths.chemistry.vessels import above
from inventory import solubility, substances
from inventory.errors import OutsideTable
from inventory.money import half_up

# IUPAC conventional atomic weight of aluminium, g/mol.
ALUMINIUM_G_PER_MOL = Fraction("26.982")
SHED_CELSIUS = Decimal(20)

# Room above a frothing bath, as a part of its litres. Common practice, no source; a caller may give the maker's own.
FROTH_ROOM = Fraction(1, 2)

# Gas below this part of the bath's litres is a fizz and not a froth. Common practice, no source.
FROTH_FROM = Fraction(1, 10)

# What soda meets as acid: alums are sour in water, and so is this.
ACIDS = frozenset({"citric_acid"})

FROTH_CAUTION = (
    "Froths and gives off carbon dioxide: dissolve the soda by itself, pour it in slowly, in an open vessel with room"
    " above the bath and air in the shed. Never close the vessel. Eye protection and gloves; the supplier's safety data sheet"
    " goes first."
)

METAL_CAUTION = (
    "Equal metal is not equal tanning: the acid and the salts that come with it differ, so the bath bites and fills"
    " differently. Try it on an offcut, and mind the pH."
)

ALKALI_CAUTION = (
    "Equal alkali does not come in at equal speed, nor with equal gas: dissolve it by itself, pour it in slowly, and"
    " measure the pH before adding the rest."
)


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

    Aluminium: sum of grams ÷ M × Al a mole. Basicity: 100 × n(OH⁻) ÷ (3 × n(Al)) over all alkalis and all alums. Gas: sum
    over what gives off any. Quantities in grams. Source of the basicity: Schorlemmer's definition as in the scope of ASTM
    D3897 for chrome liquors, for aluminium by analogy.

    >>> facts([Portion("potash_alum", Decimal(1440)), Portion("washing_soda_crystals", Decimal(360))])
    Facts(aluminium_mol=Decimal('3.036'), aluminium_g=Decimal('81.91'), basicity=Decimal('27.6'), co2_litres=Decimal('30.3'))
    """
    known = _together((portion.slug, portion.grams) for portion in portions if portion.slug and portion.grams > 0)
    aluminium = _aluminium_mol(known)
    if not aluminium or not any(_row(slug).co2_per_mol for slug in known):
        return None
    return Facts(
        aluminium_mol=half_up(aluminium, 3),
        aluminium_g=half_up(aluminium * ALUMINIUM_G_PER_MOL, 2),
        basicity=_basicity(known, aluminium),
        co2_litres=half_up(_gas(known, SHED_CELSIUS), 1),
    )


Verdict = Literal["ok", "near", "over", "unknown"]


@dataclass(frozen=True)
class Line:
    """Grams of one material in a bath; `substance` is its exact slug, empty where none is named (flour, eggs)."""

    material: str
    substance: str
    grams: Decimal


@dataclass(frozen=True)
class Alkali:
    """One alkali in the bath: moles of itself and of the hydroxide it stands for."""

    substance: str
    name: str
    grams: Decimal
    mol: Decimal
    hydroxide_mol: Decimal


@dataclass(frozen=True)
class Strength:
    """Grams of a material in a litre of the bath."""

    material: str
    g_per_litre: Decimal


@dataclass(frozen=True)
class Saturation:
    """A substance's strength beside what water holds at the shed's temperature; `held` None outside the table.

    `near`: within the fifth by which published tables differ, so crystals may fall on a cold night.
    """

    substance: str
    name: str
    g_per_litre: Decimal
    held: Decimal | None
    verdict: Verdict

    @property
    def ok(self) -> bool | None:
        return None if self.verdict == "unknown" else self.verdict != "over"


@dataclass(frozen=True)
class BathFacts:
    """What a bath is. Basicity None without alum; gas is the most that can come off; headroom in litres above the bath."""

    litres: Decimal
    celsius: Decimal
    aluminium_mol: Decimal
    aluminium_g: Decimal
    alkalis: tuple[Alkali, ...]
    basicity: Decimal | None
    co2_litres: Decimal
    headroom_litres: Decimal
    froth_warning: bool
    strengths: tuple[Strength, ...]
    saturation: tuple[Saturation, ...]

    @property
    def caution(self) -> str:
        return FROTH_CAUTION if self.froth_warning else ""


def bath_facts(
    lines: Sequence[Line],
    litres: Decimal,
    *,
    celsius: Decimal = SHED_CELSIUS,
    froth_room: Fraction | Decimal = FROTH_ROOM,
) -> BathFacts:
    """All facts of a bath of `litres` at the shed's temperature. Grams in, litres of gas at that temperature out.

    Aluminium and basicity as in `facts`; gas R T ÷ p a mole, if all of the soda reacts, and none where it meets neither
    alum nor acid. Headroom: `froth_room` × litres, but never more than the gas itself. `NotAbove` for a bath of nothing.

    >>> b1 = [Line("alum", "potash_alum", Decimal(1440)), Line("soda", "washing_soda_crystals", Decimal(360))]
    >>> found = bath_facts(b1, Decimal(18))
    >>> found.aluminium_mol, found.alkalis[0].mol, found.basicity, found.co2_litres, found.headroom_litres
    (Decimal('3.036'), Decimal('1.258'), Decimal('27.6'), Decimal('30.3'), Decimal('9.0'))
    """
    above("The bath", litres, "enter its litres", "litres")
    known = _by_substance(lines)
    aluminium = _aluminium_mol(known)
    gas = _gas(known, celsius)
    return BathFacts(
        litres=litres,
        celsius=celsius,
        aluminium_mol=half_up(aluminium, 3),
        aluminium_g=half_up(aluminium * ALUMINIUM_G_PER_MOL, 2),
        alkalis=tuple(_alkali(slug, grams) for slug, grams in known.items() if _row(slug).alkali_per_mol),
        basicity=_basicity(known, aluminium) if aluminium else None,
        co2_litres=half_up(gas, 1),
        headroom_litres=half_up(min(Fraction(gas), Fraction(froth_room) * Fraction(litres)), 1),
        froth_warning=Fraction(gas) > FROTH_FROM * Fraction(litres),
        strengths=tuple(Strength(line.material, _strength(line.grams, litres)) for line in lines),
        saturation=tuple(
            _saturation(slug, grams, litres, celsius) for slug, grams in known.items() if solubility.known(slug)
        ),
    )


def _row(slug: str) -> substances.Substance:
    return substances.SUBSTANCES[substances.substance_slug(slug)]


def _by_substance(lines: Iterable[Line]) -> dict[str, Decimal]:
    named = [line for line in lines if line.substance and line.grams]
    for line in named:
        above(line.material, line.grams, "enter the grams put in", "grams")
    return _together((line.substance, line.grams) for line in named)


def _together(portions: Iterable[tuple[str, Decimal]]) -> dict[str, Decimal]:
    """Grams of each exact substance, several portions of one added up, in the order first named."""
    known: dict[str, Decimal] = {}
    for word, grams in portions:
        slug = substances.substance_slug(word)
        known[slug] = known.get(slug, Decimal(0)) + grams
    return known


def _mol(slug: str, grams: Decimal) -> Fraction:
    return Fraction(grams) / Fraction(_row(slug).molar_mass)


def _aluminium_mol(known: dict[str, Decimal]) -> Fraction:
    return sum((_mol(slug, grams) * _row(slug).aluminium_per_mol for slug, grams in known.items()), Fraction(0))


def _basicity(known: dict[str, Decimal], aluminium: Fraction) -> Decimal:
    hydroxide = sum((_mol(slug, grams) * _row(slug).alkali_per_mol for slug, grams in known.items()), Fraction(0))
    return half_up(100 * hydroxide / (3 * aluminium), 1)


def _gas(known: dict[str, Decimal], celsius: Decimal) -> Decimal:
    if not any(slug in ACIDS or _row(slug).aluminium_per_mol for slug in known):
        return Decimal(0)
    sodas = [(slug, grams) for slug, grams in known.items() if _row(slug).co2_per_mol]
    return sum((substances.co2_litres(grams, slug, celsius) for slug, grams in sodas), Decimal(0))


def _alkali(slug: str, grams: Decimal) -> Alkali:
    row, moles = _row(slug), _mol(slug, grams)
    return Alkali(slug, row.name, grams, half_up(moles, 3), half_up(moles * row.alkali_per_mol, 3))


def _strength(grams: Decimal, litres: Decimal) -> Decimal:
    return half_up(Fraction(grams) / Fraction(litres), 1)


def _saturation(slug: str, grams: Decimal, litres: Decimal, celsius: Decimal) -> Saturation:
    strength = Fraction(grams) / Fraction(litres)
    shown = half_up(strength, 1)
    try:
        held = solubility.held(slug, celsius)
    except OutsideTable:
        return Saturation(slug, _row(slug).name, shown, None, "unknown")
    near = strength > Fraction(held) * (1 - solubility.SCATTER)
    verdict: Verdict = "over" if strength > held else "near" if near else "ok"
    return Saturation(slug, _row(slug).name, shown, held, verdict)
