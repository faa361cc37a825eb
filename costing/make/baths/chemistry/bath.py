"""What meets in a bath: aluminium, how far soda has bound it, the gas, the strengths, and the vessel it needs.

Owns the adding up over several alums and sodas; the chemistry of one is `inventory.substances`, what water holds is
`inventory.solubility`. Must not know recipes, read a database, or judge whether a bath is good: the maker's trial piece
and the supplier's safety data sheet decide that; nor choose a float, which is the maker's. Litres of bath are the litres of water
poured, as recipes mean them. A bath that froths never goes into a closed vessel, however large.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from costing.make.errors import NotAbove, VesselTooSmall
from inventory import solubility, substances
from inventory.errors import OutsideTable
from inventory.money import half_up

# IUPAC conventional atomic weight of aluminium, g/mol.
ALUMINIUM_G_PER_MOL = Fraction("26.982")
SHED_CELSIUS = Decimal(20)

# Room above a frothing bath, as a part of its litres; more where the froth needs more: soda goes in by four portions at least,
# and the gas of one stands in the froth until the next. Common practice, no source.
FROTH_ROOM = Fraction(1, 2)
PORTION = Fraction(1, 4)

# Gas below this part of the bath's litres is a fizz and not a froth. Common practice, no source.
FROTH_FROM = Fraction(1, 10)

# What soda meets as acid: alums are sour in water, and so is this.
ACIDS = frozenset({"citric_acid"})

FROTH_CAUTION = (
    "Froths and gives off carbon dioxide: dissolve the soda by itself, pour it in slowly, in an open vessel with room"
    " above the bath and air in the shed. Never close the vessel. Eye protection and gloves. The supplier's safety data"
    " sheet comes first."
)

Verdict = Literal["ok", "near", "over", "unknown"]


@dataclass(frozen=True)
class Line:
    """Grams of one material in a bath; `substance` is its exact slug, empty where none is named (flour, eggs)."""

    material: str
    substance: str
    grams: Decimal


@dataclass(frozen=True)
class Facts:
    """Moles and grams of aluminium, basicity in percent (None without alum), litres of gas if all of the soda reacts."""

    aluminium_mol: Decimal
    aluminium_g: Decimal
    basicity: Decimal | None
    co2_litres: Decimal


def facts(lines: Iterable[Line]) -> Facts | None:
    """Facts at 20 °C of a bath in which alum and a soda meet; None when one of the two is not in it.

    Aluminium: sum of grams ÷ M × Al a mole. Basicity: 100 × n(OH⁻) ÷ (3 × n(Al)) over all alkalis and all alums. Gas: sum
    over what gives off any. Quantities in grams. Source of the basicity: Schorlemmer's definition as in the scope of ASTM
    D3897 for chrome liquors, for aluminium by analogy.

    >>> facts([Line("alum", "potash_alum", Decimal(1440)), Line("soda", "washing_soda_crystals", Decimal(360))])
    Facts(aluminium_mol=Decimal('3.036'), aluminium_g=Decimal('81.91'), basicity=Decimal('27.6'), co2_litres=Decimal('30.3'))
    """
    known = by_substance(lines)
    found = _facts(known, SHED_CELSIUS)
    return found if found.basicity is not None and any(row_of(slug).co2_per_mol for slug in known) else None


@dataclass(frozen=True)
class Alkali:
    """One alkali in the bath: moles of itself and of the hydroxide it stands for."""

    substance: str
    mol: Decimal
    hydroxide_mol: Decimal


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


@dataclass(frozen=True)
class BathFacts(Facts):
    """What a bath of so many litres is. Gas is the most that can come off; headroom in litres above the bath."""

    alkalis: tuple[Alkali, ...]
    headroom_litres: Decimal
    froth_warning: bool
    saturation: tuple[Saturation, ...]


def bath_facts(lines: Sequence[Line], litres: Decimal, *, celsius: Decimal = SHED_CELSIUS) -> BathFacts:
    """All facts of a bath of `litres` at the shed's temperature. Grams in, litres of gas at that temperature out.

    Aluminium and basicity as in `facts`; gas R T ÷ p a mole, if all of the soda reacts, and none where it meets neither
    alum nor acid. Headroom: half of the litres, or a quarter of the gas where that is more, but never more than the gas itself.
    `NotAbove` for a bath of nothing.

    >>> b1 = [Line("alum", "potash_alum", Decimal(1440)), Line("soda", "washing_soda_crystals", Decimal(360))]
    >>> found = bath_facts(b1, Decimal(18))
    >>> found.aluminium_mol, found.alkalis[0].mol, found.basicity, found.co2_litres, found.headroom_litres
    (Decimal('3.036'), Decimal('1.258'), Decimal('27.6'), Decimal('30.3'), Decimal('9.0'))
    """
    above("The bath", litres, "enter its size", "litres")
    known = by_substance(lines)
    gas = Fraction(_gas(known, celsius))
    return BathFacts(
        **vars(_facts(known, celsius)),
        alkalis=tuple(_alkali(slug, grams) for slug, grams in known.items() if row_of(slug).alkali_per_mol),
        headroom_litres=half_up(min(gas, max(FROTH_ROOM * Fraction(litres), PORTION * gas)), 1),
        froth_warning=gas > FROTH_FROM * Fraction(litres),
        saturation=tuple(
            _saturation(slug, grams, litres, celsius) for slug, grams in known.items() if solubility.known(slug)
        ),
    )


def strength(grams: Decimal, litres: Decimal) -> Decimal:
    """Grams in a litre of the bath, half up to a tenth."""
    return half_up(Fraction(grams) / Fraction(litres), 1)


def litres_from_weight(weight_g: Decimal, float_ratio: Decimal) -> Decimal:
    """Litres of bath from drained skin weight: kg × litres to a kg (the float), half up to a millilitre.

    `NotAbove` unless both are above zero.

    >>> litres_from_weight(Decimal(14200), Decimal("1.5"))
    Decimal('21.300')
    """
    above("The weight of the skins", weight_g, "weigh them drained", "weight_g")
    above("The float", float_ratio, "enter how much bath there is to the weight of the skins", "float_ratio")
    return half_up(Fraction(weight_g) / 1000 * Fraction(float_ratio), 3)


def fits(litres: Decimal, vessel_litres: Decimal, headroom: Decimal = Decimal(0)) -> VesselTooSmall | None:
    """None where the bath and the room above it fit the vessel; else the refusal, for the caller to raise or to show.

    The bath that would fit, down to a tenth of a litre, keeps the same headroom for each litre: vessel ÷ (1 + room ÷ bath).

    >>> print(fits(Decimal(18), Decimal(20), Decimal(9)))
    A bath of 18 L with 9 L of room above it does not fit a vessel of 20 L; make at most 13.3 L, or take a larger vessel.
    >>> fits(Decimal(18), Decimal(30), Decimal(9))
    """
    above("The bath", litres, "enter its size", "litres")
    above("The vessel", vessel_litres, "enter how much it holds to the brim", "vessel_litres")
    if litres + headroom <= vessel_litres:
        return None
    whole = Fraction(litres) + Fraction(headroom)
    tenths = int(Fraction(vessel_litres) * Fraction(litres) / whole * 10 // 1)
    return VesselTooSmall(litres, headroom, vessel_litres, Decimal(tenths).scaleb(-1))


def above(what: str, value: Decimal, ask: str, field: str) -> None:
    """`NotAbove` unless a figure the maker entered is above zero."""
    if value <= 0:
        raise NotAbove(what, value, ask, field=field)


def row_of(slug: str) -> substances.Substance:
    return substances.SUBSTANCES[substances.substance_slug(slug)]


def by_substance(lines: Iterable[Line]) -> dict[str, Decimal]:
    """Grams of each exact substance, several lines of one added up, in the order first named."""
    known: dict[str, Decimal] = {}
    for line in lines:
        if line.substance and line.grams:
            above(line.material, line.grams, "enter the grams put in", "grams")
            slug = substances.substance_slug(line.substance)
            known[slug] = known.get(slug, Decimal(0)) + line.grams
    return known


def _facts(known: Mapping[str, Decimal], celsius: Decimal) -> Facts:
    aluminium = aluminium_mol(known)
    hydroxide = sum((_mol(slug, grams) * row_of(slug).alkali_per_mol for slug, grams in known.items()), Fraction(0))
    return Facts(
        aluminium_mol=half_up(aluminium, 3),
        aluminium_g=half_up(aluminium * ALUMINIUM_G_PER_MOL, 2),
        basicity=half_up(100 * hydroxide / (3 * aluminium), 1) if aluminium else None,
        co2_litres=half_up(_gas(known, celsius), 1),
    )


def _mol(slug: str, grams: Decimal) -> Fraction:
    return Fraction(grams) / Fraction(row_of(slug).molar_mass)


def aluminium_mol(known: Mapping[str, Decimal]) -> Fraction:
    return sum((_mol(slug, grams) * row_of(slug).aluminium_per_mol for slug, grams in known.items()), Fraction(0))


def sour(slug: str) -> bool:
    """Whether soda foams with it: an acid or an alum; what names no substance is taken for neither."""
    return bool(slug) and (slug in ACIDS or row_of(slug).aluminium_per_mol > 0)


def _gas(known: Mapping[str, Decimal], celsius: Decimal) -> Decimal:
    if not any(map(sour, known)):
        return Decimal(0)
    sodas = [(slug, grams) for slug, grams in known.items() if row_of(slug).co2_per_mol]
    return sum((substances.co2_litres(grams, slug, celsius) for slug, grams in sodas), Decimal(0))


def _alkali(slug: str, grams: Decimal) -> Alkali:
    moles = _mol(slug, grams)
    return Alkali(slug, half_up(moles, 3), half_up(moles * row_of(slug).alkali_per_mol, 3))


def _saturation(slug: str, grams: Decimal, litres: Decimal, celsius: Decimal) -> Saturation:
    exact, shown = Fraction(grams) / Fraction(litres), strength(grams, litres)
    try:
        held = solubility.held(slug, celsius)
    except OutsideTable:
        return Saturation(slug, row_of(slug).name, shown, None, "unknown")
    near = exact > Fraction(held) * (1 - solubility.SCATTER)
    verdict: Verdict = "over" if exact > held else "near" if near else "ok"
    return Saturation(slug, row_of(slug).name, shown, held, verdict)
