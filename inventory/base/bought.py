"""What is bought, with the tax that the maker gets back, and the sum in another currency that was paid for it.

Owns how deductible tax comes out of what was paid, and what may be said of a foreign sum. What counts in the books is the
amount without deductible tax, in the workshop's own currency. Must not know what was bought.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from inventory import formats, money
from inventory.base import checks, selectors as workshop
from inventory.base.models import Bought
from inventory.errors import Refused
from inventory.money import ZERO, Exact, half_up

HUNDRED = 100
RATE_PLACES = 6


@dataclass(frozen=True)
class Part:
    """A line of a bill: what counts, and the deductible tax beside it."""

    net: Decimal
    tax: Decimal = ZERO


def parts(amounts: Sequence[Decimal], rates: Sequence[Decimal | None], *, with_tax: bool, places: int) -> list[Part]:
    """The lines of one bill without their tax. The tax of each rate is rounded once, half up, as a bill by EN 16931 has it
    (BR-CO-14), and shared over its lines by their amounts. No rate: nothing is deducted, and the whole counts.

    >>> parts([Decimal("10.00"), Decimal("5.00")], [Decimal("25.5"), None], with_tax=True, places=2)
    [Part(net=Decimal('7.97'), tax=Decimal('2.03')), Part(net=Decimal('5.00'), tax=Decimal('0'))]
    """
    found = [Part(amount) for amount in amounts]
    by_rate: dict[Decimal, list[int]] = defaultdict(list)
    for at, rate in enumerate(rates):
        if rate:
            by_rate[rate].append(at)
    for rate, lines in by_rate.items():
        whole = sum((amounts[at] for at in lines), ZERO)
        if not whole:
            continue
        net = half_up(Fraction(whole) * HUNDRED / (HUNDRED + Fraction(rate)), places)
        tax = whole - net if with_tax else half_up(Fraction(whole) * Fraction(rate) / HUNDRED, places)
        shares = money.allocate(tax, [amounts[at] for at in lines], places)
        for at, share in zip(lines, shares, strict=True):
            found[at] = Part(amounts[at] - share if with_tax else amounts[at], share)
    return found


def check_rate(rate: Decimal | None, *, field: str = "tax_percent") -> Decimal | None:
    if rate is not None:
        checks.held(checks.not_negative(rate, "The tax rate", field=field), field=field)
        if rate >= HUNDRED:
            raise Refused(
                f"A tax of {formats.plain(rate)} % cannot be; enter the rate that the bill says.", field=field
            )
    return rate


def taken_out(row: Bought, amount: Decimal, tax: Decimal | None, *, with_tax: bool) -> Decimal:
    """What of an amount counts, once its tax is written into `row`. `tax`: as the bill has it, beside the amount."""
    check_rate(row.tax_percent)
    if tax is not None:
        row.tax = checks.coins(tax, "The tax", field="tax")
        if tax and not row.tax_percent:
            raise Refused("Tax that is deducted has a rate. Fill in tax_percent.", field="tax_percent")
        return amount
    (part,) = parts([amount], [row.tax_percent], with_tax=with_tax, places=workshop.places())
    row.tax = part.tax
    return part.net


def say_foreign(row: Bought, total: Decimal, said: Decimal | None, currency: str) -> None:
    """Keep the sum that was paid in another currency; `total` is what it came to in the workshop's own."""
    row.original_sum, row.original_currency = said, currency.strip().upper()
    if said is None and not row.original_currency:
        return
    if said is None or not row.original_currency:
        raise Refused(
            "A sum in another currency needs both the sum and its currency.",
            field="original_sum" if said is None else "original_currency",
        )
    try:
        places = money.digits(row.original_currency)
    except Refused as refused:
        raise Refused(str(refused), field="original_currency") from None
    if row.original_currency == workshop.current().currency:
        raise Refused(
            f"The books are kept in {row.original_currency} already; leave the original sum empty.",
            field="original_currency",
        )
    checks.positive(said, "The original sum", field="original_sum")
    if said != half_up(said, places):
        raise Refused(f"{said} {row.original_currency} has more than {places} decimals.", field="original_sum")
    if not total:
        raise Refused("Something was paid for it; enter what it came to in your own money.", field="original_sum")


def foreign(row: Bought, total: Decimal) -> str:
    """“120.00 USD × 0.92 = 110.40 €”: the original sum, at the rate that what counts comes to; empty without one."""
    if row.original_sum is None:
        return ""
    rate = rate_of(total, row.original_sum)
    sum_ = f"{half_up(row.original_sum, money.digits(row.original_currency)):f} {row.original_currency}"
    return f"{sum_} × {rate} = {workshop.shown(total)}"


def rate_of(total: Exact, original: Exact) -> str:
    """What one of the other currency came to, to six figures behind the point, without idle noughts.

    >>> rate_of(Decimal("110.40"), Decimal("120.00"))
    '0.92'
    """
    return f"{half_up(Fraction(total) / Fraction(original), RATE_PLACES).normalize():f}"


def same(row: Bought) -> dict[str, Any]:
    """What a reversal repeats of a row, with the tax turned."""
    return {"tax_percent": row.tax_percent, "tax": -row.tax if row.tax else ZERO}
