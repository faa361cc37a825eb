"""A bath in the workshop's own measure, litres or gallons, and its warmth in degrees Celsius or Fahrenheit.

Owns how both are shown and what is meant by what is typed. Everything is kept in millilitres and degrees Celsius, rounded once
as it is entered; a figure is shown with the fewest decimals that lead back to what is kept, so as it was typed.
"""

import re
from decimal import Decimal
from fractions import Fraction

from inventory import formats, units
from inventory.base import selectors as workshop
from inventory.base.models import BathUnit, Measures
from inventory.money import half_up

ML_PER_LITRE = 1000
LITRE_PLACES = 6  # of what is kept to a thousandth of a millilitre
TOLD_PLACES = 3
ROUGH_PLACES = 2
STRENGTH_PLACES = 2
DEGREES = {"C": "°C", "F": "°F"}

_EACH = {"L": "A litre", "us_gallon": "A US gallon", "imperial_gallon": "An imperial gallon"}

# Of each measure of a bath: what is weighed and measured out into one of it.
_INTO = {
    "L": {"g": "g", "mL": "mL"},
    "us_gallon": {"g": "oz", "mL": "us_fluid_ounce"},
    "imperial_gallon": {"g": "oz", "mL": "imperial_fluid_ounce"},
}

_SPOKEN: dict[str, dict[str, str]] = {
    Measures.METRIC: {},
    Measures.US: {"kg": "lb", "L": "us_fluid_ounce"},
    Measures.IMPERIAL: {"kg": "lb", "L": "imperial_fluid_ounce"},
}


def unit() -> str:
    """The unit that baths are measured in here."""
    return workshop.current().bath_unit


def named(label: str) -> str:
    """A label with the measure in the place of `{}`: “{} of bath” is “US gallons of bath”."""
    name = BathUnit(unit()).label
    inside = name if name.startswith("US") else name[:1].lower() + name[1:]
    return label.format(name if label.startswith("{") else inside)


def each() -> str:
    """One of them, over a figure: “A litre”."""
    return _EACH[unit()]


def of_one(amount: Decimal, litres: Decimal) -> Fraction:
    """What of an amount for a bath of so many litres falls to one of the measure, exactly."""
    return Fraction(amount) / (Fraction(litres) * ML_PER_LITRE) * Fraction(units.factor(unit()))


def in_litres(typed: Decimal) -> Decimal:
    """A bath as it was typed, in litres."""
    return half_up(Fraction(typed) * Fraction(units.factor(unit())) / ML_PER_LITRE, LITRE_PLACES)


def figure(litres: Decimal) -> Decimal:
    """The figure to type for a bath of so many litres."""
    return units.least(half_up(Fraction(litres) * ML_PER_LITRE, units.HELD_PLACES), unit(), "mL")


def bath(litres: Decimal) -> str:
    """A bath for people: “18 L”, “5 US gal”; what comes out at no short figure of the measure to two places."""
    found = figure(litres)
    if unit() != "L" and found != half_up(found, TOLD_PLACES):
        found = half_up(found, ROUGH_PLACES)
    return units.told(found, unit())


def tenths(litres: Decimal) -> str:
    """The largest bath of whole tenths within so many litres, its tenth always said: “7.0 L”."""
    found = half_up(figure(within(litres)), 1)
    return f"{formats.figure(found)} {units.label(unit())}"


def volume(millilitres: Decimal) -> str:
    """As `bath`, of what is kept in millilitres."""
    return bath(millilitres / ML_PER_LITRE)


def within(litres: Decimal | Fraction) -> Decimal:
    """The largest bath of whole tenths of the measure that is kept as no more than so many litres, in litres."""
    tenths = int(Fraction(litres) * ML_PER_LITRE / Fraction(units.factor(unit())) * 10 // 1) + 1
    # What is kept is rounded: seven gallons a hair down, ten a hair up.
    most = half_up(litres, LITRE_PLACES)
    while (kept := in_litres(Decimal(tenths).scaleb(-1))) > most:
        tenths -= 1
    return kept


def in_one(amount: Decimal, base: str, litres: Decimal) -> str:
    """How much of an amount (in a base unit of any system) is in one of the measure: “80 g”, “16 oz”, half up to two places."""
    weighed = _INTO[unit()].get(units.metric_of(base), base)
    found = half_up(of_one(amount, litres) * units.ratio(base, weighed), STRENGTH_PLACES)
    return units.told(found, weighed)


def strength(amount: Decimal, base: str, litres: Decimal) -> str:
    """How strong a bath is: “80 g/L”, “16 oz/US gal”."""
    return f"{in_one(amount, base, litres)}/{units.label(unit())}"


def spoken(unit: str) -> str:
    """What a kilogram or a litre that is only suggested becomes here."""
    return _SPOKEN[workshop.current().units].get(unit, unit)


def chemical(grams: Decimal) -> str:
    """A substance in a bath, weighed: “25.8 g”, “0.91 oz”."""
    return units.told(half_up(grams, STRENGTH_PLACES), "g") if weight_unit() == "kg" else _ounces(grams)


def offered(g_per_kg: Decimal) -> str:
    """What is offered to each weight of skin: “64 g/kg”, “1.02 oz/lb”."""
    if weight_unit() == "kg":
        return f"{units.told(g_per_kg, 'g')}/kg"
    return f"{_ounces(Fraction(g_per_kg) * Fraction(units.factor('lb')) / Fraction(units.factor('kg')))}/lb"


def density(g_per_ml: Decimal) -> str:
    """How much a measure of a material weighs: “1.23 g a millilitre”, “10.27 oz a US cup”."""
    if weight_unit() == "kg":
        return f"{units.told(g_per_ml, 'g')} a millilitre"
    return f"{_ounces(Fraction(g_per_ml) * Fraction(units.factor('us_cup')))} a {units.label('us_cup')}"


def _ounces(grams: Decimal | Fraction) -> str:
    return units.told(half_up(Fraction(grams) * units.ratio("g", "oz"), STRENGTH_PLACES), "oz")


def float_unit() -> str:
    """What a float is told in here: “L/kg”, “US gal/lb”."""
    return f"{units.label(unit())}/{units.label(weight_unit())}"


def float_size() -> Fraction:
    """How many litres to a kilogram one of that unit is."""
    return Fraction(units.factor(unit())) / Fraction(units.factor(weight_unit()))


def weight_unit() -> str:
    """The unit that a skin is weighed in here, unless another is chosen."""
    return "kg" if workshop.current().units == Measures.METRIC else "lb"


def said(typed: str) -> str:
    """A measure as it is kept, for people; what is no plain figure stays as it was typed.

    >>> said("2.5 us_cup"), said("2 1/2 us_cup")
    ('2.5 US cup', '2 1/2 US cup')
    """
    amount, _, unit = typed.rpartition(" ")
    if unit not in units.KNOWN:
        return typed.replace("_", " ")
    plain = re.fullmatch(r"\d{1,12}(?:\.\d{1,12})?", amount, re.ASCII)
    return f"{formats.figure(amount) if plain else amount} {units.label(unit)}"


def first(own: str, *names: str) -> list[str]:
    """Units with the workshop's own before the others."""
    return [own, *(name for name in names if name != own)]


def area_unit() -> str:
    """The unit that areas are told in first here: square feet, or square decimetres where the units are metric."""
    return "dm2" if workshop.current().units == Measures.METRIC else "sq_ft"


def area(cm2: Decimal) -> str:
    """An area both ways, the workshop's own first: “101 dm² (10.87 sq ft)”."""
    metric, feet = _in_area(cm2, "dm2"), _in_area(cm2, "sq_ft")
    return f"{metric} ({feet})" if area_unit() == "dm2" else f"{feet} ({metric})"


def own_area(cm2: Decimal | Fraction) -> str:
    """An area for a sentence, in the workshop's own unit alone: “101 dm²”."""
    return _in_area(cm2, area_unit())


def length_unit() -> str:
    """The unit that frames and skins are measured along in here."""
    return "cm" if workshop.current().units == Measures.METRIC else "inch"


def length(mm: Decimal) -> str:
    """A length for people, half up to a tenth of the workshop's own unit: “134.2 cm”, “52.8 inch”."""
    return units.told(half_up(Fraction(mm) / Fraction(units.factor(length_unit())), 1), length_unit())


def _in_area(cm2: Decimal | Fraction, unit: str) -> str:
    """Half up to a hundredth, for no tape tells more; what is even is said without noughts."""
    return units.told(half_up(Fraction(cm2) / Fraction(units.factor(unit)), ROUGH_PLACES), unit)


def degrees_sign() -> str:
    return DEGREES[workshop.current().degrees]


def celsius(typed: Decimal) -> Decimal:
    """A temperature as it was typed, in degrees Celsius: (°F - 32) × 5 ÷ 9, half up to three places."""
    return typed if workshop.current().degrees == "C" else _from_fahrenheit(typed)


def degrees_figure(celsius: Decimal) -> Decimal:
    """The figure to type for a temperature in degrees Celsius."""
    if workshop.current().degrees == "C":
        return celsius
    return units.fewest(Fraction(celsius) * 9 / 5 + 32, lambda short: _from_fahrenheit(short) == celsius)


def warmth(celsius: Decimal) -> str:
    """A temperature for people: “20 °C”, “68 °F”."""
    return f"{formats.plain(degrees_figure(celsius))} {degrees_sign()}"


def _from_fahrenheit(typed: Decimal) -> Decimal:
    return half_up((Fraction(typed) - 32) * 5 / 9, units.HELD_PLACES)
