"""How tax is rounded: on what (each rate of a paper, or each line) and which way. A country's choice, so a setting.

Owns the four ways and how a tax comes out of or onto an amount. Must not know which country asks for which.

The Court of Justice left rules and methods of rounding to each country, within neutrality and proportionality (C-484/06,
Ahold, 10 July 2008, operative part).

- `half_up`: half a coin goes up. A New Tax System (GST) Act 1999 (Australia) s 9-90; EN 16931.
- `half_down`: half a coin or less is left away. GST Act 1985 (New Zealand) s 19O.
- `down`: any part of a coin is left away; allowed in the UK on an invoice of prices without tax, and on no line or item
  (HMRC manual VATREC12010, on Notice 700 para 17.5).
- `third`: one place more than the coin is kept, what is beyond cut off, then half up. SSUTA s 324 (Rhode Island Gen. Laws
  44-18.1-25), which also lets the seller choose item or invoice.

Half up, and prices that include tax: the price without tax is what is rounded, as it always was here.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from inventory import formats
from inventory.errors import Refused
from inventory.money import from_steps, half_up


class Level(StrEnum):
    """What is rounded: the total of each rate on a paper, or each of its lines."""

    RATE = "rate"
    LINE = "line"


class Way(StrEnum):
    """Which way a tax between two coins goes; the module says whose way each is."""

    HALF_UP = "half_up"
    HALF_DOWN = "half_down"
    DOWN = "down"
    THIRD = "third"


LEVELS = [(Level.RATE.value, "Each rate, once a paper"), (Level.LINE.value, "Each line")]
WAYS = [
    (Way.HALF_UP.value, "Half a coin up"),
    (Way.HALF_DOWN.value, "Half a coin down"),
    (Way.DOWN.value, "Always down"),
    (Way.THIRD.value, "One place more kept, then half up"),
]


@dataclass(frozen=True)
class Taxed:
    """An amount with its tax; net + vat == gross, always."""

    net: Decimal
    vat: Decimal
    gross: Decimal


@dataclass(frozen=True)
class Rounding:
    """Half up for each rate, unless the maker has chosen otherwise."""

    level: Level = Level.RATE
    way: Way = Way.HALF_UP

    def taxed(self, amount: Decimal, rate: Decimal, places: int, *, includes_tax: bool) -> Taxed:
        """An amount (in coins) with its tax at a rate (percent). Refuses a rate below 0 %.

        Without tax in it: tax = amount × rate ÷ 100. With it: tax = amount × rate ÷ (100 + rate).

        >>> Rounding(way=Way.THIRD).taxed(Decimal("0.99"), Decimal("5.5"), 2, includes_tax=False).vat
        Decimal('0.05')
        >>> Rounding(way=Way.HALF_DOWN).taxed(Decimal("1725.00"), Decimal(15), 2, includes_tax=True)
        Taxed(net=Decimal('1500.00'), vat=Decimal('225.00'), gross=Decimal('1725.00'))
        """
        if self.way is Way.HALF_UP:
            return (without_vat if includes_tax else with_vat)(amount, rate, places)
        refuse_rate(rate)
        part = Fraction(rate) / (100 + Fraction(rate)) if includes_tax else Fraction(rate) / 100
        tax = rounded(Fraction(amount) * part, places, self.way)
        return Taxed(amount - tax, tax, amount) if includes_tax else Taxed(amount, tax, amount + tax)


USUAL = Rounding()


def rounded(exact: Fraction, places: int, way: Way) -> Decimal:
    """A tax in whole coins. Below zero it is the mirror image, so that a credit takes back what was charged.

    >>> [str(rounded(Fraction(1, 8), 2, way)) for way in Way]
    ['0.13', '0.12', '0.12', '0.13']
    >>> str(rounded(Fraction("0.0049"), 2, Way.THIRD)), str(rounded(Fraction("0.005"), 2, Way.HALF_DOWN))
    ('0.00', '0.00')
    """
    size, sign = abs(exact), -1 if exact < 0 else 1
    coins = size * 10**places
    if way is Way.DOWN:
        steps = coins.__floor__()
    elif way is Way.HALF_DOWN:
        steps = (coins - Fraction(1, 2)).__ceil__()
    else:
        kept = Fraction((coins * 10).__floor__(), 10) if way is Way.THIRD else coins
        steps = int(half_up(kept, 0))
    return from_steps(sign * steps, places) if steps else from_steps(0, places)


def with_vat(net: Decimal, rate_percent: Decimal, places: int) -> Taxed:
    """Tax on top of a net amount: vat = net × rate / 100, half up. Refuses a rate below 0 %.

    >>> with_vat(Decimal("10.00"), Decimal("25.5"), 2)
    Taxed(net=Decimal('10.00'), vat=Decimal('2.55'), gross=Decimal('12.55'))
    """
    refuse_rate(rate_percent)
    net = half_up(net, places)
    vat = half_up(Fraction(net) * Fraction(rate_percent) / 100, places)
    return Taxed(net=net, vat=vat, gross=net + vat)


def without_vat(gross: Decimal, rate_percent: Decimal, places: int) -> Taxed:
    """Tax inside a gross amount: net = gross / (1 + rate / 100), half up; vat is the rest.

    >>> without_vat(Decimal("12.55"), Decimal("25.5"), 2)
    Taxed(net=Decimal('10.00'), vat=Decimal('2.55'), gross=Decimal('12.55'))
    """
    refuse_rate(rate_percent)
    gross = half_up(gross, places)
    net = half_up(Fraction(gross) / (1 + Fraction(rate_percent) / 100), places)
    return Taxed(net=net, vat=gross - net, gross=gross)


def refuse_rate(rate_percent: Decimal) -> None:
    if rate_percent < 0:
        raise Refused(
            f"A tax rate of {formats.plain(rate_percent)} % cannot be; enter 0 or the rate that applies.",
            field="rate_percent",
        )
