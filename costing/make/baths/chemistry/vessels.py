"""How large a bath the skins want, and whether a vessel holds it with the room its froth needs.

Owns litres and room. Must not know what is in the bath (`bath`), read a database, or choose a float: that is the maker's.
A bath that froths never goes into a closed vessel, however large.
"""

from decimal import Decimal
from fractions import Fraction

from costing.make.errors import NotAbove, VesselTooSmall
from inventory.money import half_up


def litres_from_weight(weight_g: Decimal, float_ratio: Decimal) -> Decimal:
    """Litres of bath from drained skin weight: kg × litres to a kg (the float), half up to a millilitre.

    `NotAbove` unless both are above zero.

    >>> litres_from_weight(Decimal(14200), Decimal("1.5"))
    Decimal('21.300')
    """
    above("The weight of the skins", weight_g, "weigh them drained", "weight_g")
    above("The float", float_ratio, "enter litres of bath to a kg of skin", "float_ratio")
    return half_up(Fraction(weight_g) / 1000 * Fraction(float_ratio), 3)


def fits(litres: Decimal, vessel_litres: Decimal, headroom: Decimal = Decimal(0)) -> VesselTooSmall | None:
    """None where the bath and the room above it fit the vessel; else the refusal, for the caller to raise or to show.

    The bath that would fit, down to a tenth of a litre, keeps the same headroom for each litre: vessel ÷ (1 + room ÷ bath).

    >>> print(fits(Decimal(18), Decimal(20), Decimal(9)))
    A bath of 18 L with 9 L of room above it does not fit a vessel of 20 L; make at most 13.3 L, or take a larger vessel.
    >>> fits(Decimal(18), Decimal(30), Decimal(9))
    """
    above("The bath", litres, "enter its litres", "litres")
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
