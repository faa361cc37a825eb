"""Money and shares: one way to round, one way to split, and the plain text of an amount.

Owns ties, steps, currency digits and how a sum is divided. Every other module that rounds or splits calls this one.
It must not know Django, a database or a float: values are `Decimal`, `Fraction` or `int`, and all arithmetic is done
on integers or in a wide context of its own, so that the caller's decimal context can never shorten a figure.
"""

from collections.abc import Callable, Sequence
from decimal import ROUND_HALF_UP, Context, Decimal, Inexact, InvalidOperation
from fractions import Fraction
from math import lcm

from inventory import formats
from inventory.errors import Refused

Exact = Decimal | Fraction | int
ZERO = Decimal(0)
_WIDEST = 1000  # powers of ten
_ONE = Decimal(1)
_STEPS = {places: Decimal(f"1E-{places}") for places in range(13)}
# Bound once: they are called for each figure of a page.
_quantized = Context(prec=_WIDEST, rounding=ROUND_HALF_UP, traps=[InvalidOperation]).quantize
_exactly = Context(prec=_WIDEST, traps=[InvalidOperation, Inexact])
_multiplied, _multiplied_and_added, _whole = _exactly.multiply, _exactly.fma, _exactly.divide_int
_MOST, _MOST_PLACES = Decimal(f"1E{_WIDEST}"), 12

# ISO 4217 minor units of the currencies in circulation; funds, metals and test codes are left out on purpose.
_NO_DIGITS = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"

_TWO_DIGITS = (
    "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC "
    "CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD "
    "KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO "
    "NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL "
    "THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VES WST XCD XCG YER ZAR ZMW ZWG"
)

_THREE_DIGITS = "BHD IQD JOD KWD LYD OMR TND"

_DIGITS = {
    code: digits for digits, codes in ((0, _NO_DIGITS), (2, _TWO_DIGITS), (3, _THREE_DIGITS)) for code in codes.split()
}


def from_steps(steps: int, places: int) -> Decimal:
    """Whole steps of 10**-places as a `Decimal` of exactly that many places.

    >>> from_steps(-1230, 3)
    Decimal('-1.230')
    """
    # Built from text: arithmetic would round to the precision of the caller's context.
    return Decimal(f"{steps}E-{places}")


def to_steps(value: Exact, places: int) -> int:
    """How many steps of 10**-places `value` is; `ValueError` if it is not a whole number of them.

    >>> to_steps(Decimal("1.23"), 3)
    1230
    """
    numerator, denominator = _ratio(value)
    steps, rest = divmod(numerator * _scale(places), denominator)
    if rest:
        raise ValueError(f"{value} has more than {places} decimal places; round it first with half_up")
    return steps


def half_up(value: Exact, places: int) -> Decimal:
    """`value` rounded to `places`, ties away from zero, never a negative zero.

    sign(value) × floor(|value| × 10**places + 1/2) ÷ 10**places. `TypeError` for a float.
    Source: the commercial rounding of invoices and of the demo year; `decimal.ROUND_HALF_UP` gives the same.

    >>> half_up(Decimal("2.345"), 2), half_up(Decimal("-2.345"), 2), half_up(Fraction(1, 3), 3)
    (Decimal('2.35'), Decimal('-2.35'), Decimal('0.333'))
    """
    if type(value) is Decimal:
        return product(value, _ONE, places)
    return _rounded(*_ratio(value), places)


def product(value: Decimal, factor: Decimal, places: int) -> Decimal:
    """The exact product, rounded once as `half_up` rounds.

    >>> product(Decimal("2.50"), Decimal("453.59237"), 3)
    Decimal('1133.981')
    """
    try:
        found = _quantized(_multiplied(value, factor), _STEPS[places])
        if found > ZERO or found < ZERO:
            return found
    except (ArithmeticError, KeyError):
        pass
    # Nothing, no number, or more digits or places than anybody needs: integers are as long as it takes.
    (above, below), (times, parts) = _ratio(value), _ratio(factor)
    return _rounded(above * times, below * parts, places)


def times(factor: Fraction, places: int) -> Callable[[Decimal], Decimal]:
    """What gives the exact product of a figure and `factor`, rounded once as `half_up` rounds: prepared once where many figures
    take the same factor, which decimals cannot always say.

    (2 × value × numerator × 10**places + denominator) ÷ (2 × denominator), cut down to a whole number of steps.

    >>> times(Fraction(1000000, 28349), 3)(Decimal("0.72"))
    Decimal('25.398')
    """
    step, above, below = from_steps(1, places), factor.numerator, factor.denominator
    over, half, under = Decimal(2 * above * _scale(places)), Decimal(below), Decimal(2 * below)
    plain = _rounded(above, below, _MOST_PLACES)

    def by_decimals(value: Decimal) -> Decimal:
        try:
            if (found := _quantized(_multiplied(value, plain), step)) > ZERO:
                return found
        except ArithmeticError:
            pass
        return by_integers(value)

    def by_parts(value: Decimal) -> Decimal:
        try:
            if ZERO < (steps := _whole(_multiplied_and_added(value, over, half), under)) < _MOST:
                return _multiplied(steps, step)
        except ArithmeticError:
            pass
        return by_integers(value)

    def by_integers(value: Decimal) -> Decimal:
        """Nothing, less than nothing, no number, or more digits than anybody needs."""
        return _rounded(*(Fraction(value) * factor).as_integer_ratio(), places)

    return by_decimals if Fraction(plain) == factor else by_parts


def _rounded(numerator: int, denominator: int, places: int) -> Decimal:
    steps = (2 * abs(numerator) * _scale(places) + denominator) // (2 * denominator)
    return from_steps(-steps if numerator < 0 else steps, places)


def ceil_to(value: Exact, places: int) -> Decimal:
    """The least multiple of 10**-places that is not below `value`: for prices that must cover a cost.

    >>> ceil_to(Decimal("20.6201"), 2), ceil_to(Decimal("20.62"), 2)
    (Decimal('20.63'), Decimal('20.62'))
    """
    numerator, denominator = _ratio(value)
    return from_steps(-(-numerator * _scale(places) // denominator), places)


def digits(currency: str) -> int:
    """Digits of the minor unit of an ISO 4217 currency code; anything else is refused.

    >>> digits("EUR"), digits("JPY"), digits("KWD")
    (2, 0, 3)
    """
    try:
        return _DIGITS[currency]
    except KeyError:
        raise Refused(
            f"“{currency}” is not a currency in circulation; give its three-letter ISO 4217 code in capitals, such as EUR, GBP "
            "or USD.",
            field="currency",
        ) from None


def round_money(value: Exact, currency: str) -> Decimal:
    """`value` to the minor unit of `currency`, ties away from zero.

    >>> round_money(Decimal("9.435"), "EUR")
    Decimal('9.44')
    """
    return half_up(value, digits(currency))


def allocate(total: Decimal, weights: Sequence[Exact], places: int) -> list[Decimal]:
    """Split `total` by `weights` into parts of `places` that add up to it exactly (largest remainder).

    Each part is its exact share cut down to a step; the steps left over go one each to the largest cut-off
    remainders, among equal ones to the later line. So no part is a whole step away from its exact share, a weight
    of nothing gets nothing, and a negative total splits as its mirror image.
    `ValueError`: no weights, a negative weight, weights that sum to nothing, or a total finer than a step.

    >>> allocate(Decimal("9.90"), [Decimal("23.00"), Decimal("11.60"), Decimal("3.90"), Decimal("3.20")], 2)
    [Decimal('5.46'), Decimal('2.75'), Decimal('0.93'), Decimal('0.76')]
    >>> allocate(Decimal("0.05"), [1, 1, 1], 2)
    [Decimal('0.01'), Decimal('0.02'), Decimal('0.02')]
    """
    ratios = [_ratio(weight) for weight in weights]
    common = lcm(*(denominator for _, denominator in ratios))
    exact = [numerator * (common // denominator) for numerator, denominator in ratios]
    whole = sum(exact)
    if whole <= 0 or min(exact) < 0:
        raise ValueError(f"weights must be zero or more and not all zero, got {[str(weight) for weight in weights]}")
    steps = to_steps(total, places)
    cut = [divmod(abs(steps) * weight, whole) for weight in exact]
    parts = [share for share, _ in cut]
    by_remainder = sorted(range(len(cut)), key=lambda line: (cut[line][1], line), reverse=True)
    for line in by_remainder[: abs(steps) - sum(parts)]:
        parts[line] += 1
    return [from_steps(-part if steps < 0 else part, places) for part in parts]


def parts_of(total: Decimal, exact: Sequence[Exact], places: int) -> list[Decimal]:
    """Exact parts as people read them: rounded so that they add up to the `total` that stands below them.

    Each part is cut down to a step; the steps that are missing of the total go one each to the largest cut-off remainders, among
    equal ones to the later part, and to a part of nothing never. Parts may be below nothing. Where the total is told otherwise
    than by rounding their sum, what no part can take is left over: parts of nothing add up to nothing.

    >>> [str(part) for part in parts_of(Decimal("1.00"), [Fraction(1, 3), Fraction(1, 3), Fraction(1, 3)], 2)]
    ['0.33', '0.33', '0.34']
    >>> [str(part) for part in parts_of(Decimal("4.64"), [0, Fraction("4.645")], 2)]
    ['0.00', '4.64']
    """
    scaled = [Fraction(*_ratio(part)) * _scale(places) for part in exact]
    steps = [part.numerator // part.denominator for part in scaled]
    order = sorted(
        (at for at, part in enumerate(scaled) if part), key=lambda at: (steps[at] - scaled[at], -at)
    )  # the largest remainder first
    left = to_steps(total, places) - sum(steps)
    for turn in range(abs(left) if order else 0):
        steps[order[turn % len(order)] if left > 0 else order[-1 - turn % len(order)]] += 1 if left > 0 else -1
    return [from_steps(part, places) for part in steps]


def amount(value: Exact, currency: str) -> str:
    """The canonical plain text of an amount, for files and commands: no sign, no grouping.

    >>> amount(Decimal("1234.5"), "EUR")
    '1234.50'
    """
    return f"{round_money(value, currency):f}"


def show(value: Exact, currency: str) -> str:
    """An amount for people, in the currency's own places, as the style that holds here writes it.

    >>> show(Decimal("-1234.5"), "EUR") == "−1\u202f234.50\u00a0€"
    True
    """
    return formats.current().money(round_money(value, currency), currency)


def figure(value: Exact, currency: str) -> str:
    """As `show`, without the sign: for a column whose heading names the currency.

    >>> figure(Decimal("1234.5"), "EUR") == "1\u202f234.50"
    True
    """
    return formats.current().number(round_money(value, currency))


def sign(currency: str) -> str:
    """How a currency is written beside an amount.

    >>> sign("EUR"), sign("SEK")
    ('€', 'SEK')
    """
    return formats.current().sign(currency)


def _ratio(value: Exact) -> tuple[int, int]:
    if isinstance(value, float):
        raise TypeError(f"{value!r} is a float; give a Decimal, a Fraction or an int")
    if isinstance(value, Decimal) and abs(value.adjusted()) > _WIDEST:
        # Typed text such as 1e999999999 would otherwise ask for a whole number of a billion digits.
        raise ValueError(f"{value} is out of any range that is counted here")
    return value.as_integer_ratio()


def _scale(places: int) -> int:
    if places < 0:
        raise ValueError(f"places must be zero or more, got {places}")
    scale: int = 10**places
    return scale


def currencies() -> list[str]:
    """Codes of every currency that books can be kept in, in order."""
    return sorted(_DIGITS)
