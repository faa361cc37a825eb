"""Reminding of what is overdue: which tone comes next, and simple interest.

Must not know a database, a page or a printer.
"""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from costing.sell.sales.terms.rules import Tone
from inventory.money import ZERO, half_up

DAYS_A_YEAR = 365


def next_tone(sent: Iterable[str]) -> Tone:
    """The tone after the strongest that was used; the last one stays the last.

    >>> next_tone([]), next_tone(["friendly"]), next_tone(["final", "friendly"])
    (<Tone.FRIENDLY: 'friendly'>, <Tone.FIRM: 'firm'>, <Tone.FINAL: 'final'>)
    """
    order = list(Tone)
    used = max((order.index(Tone(tone)) for tone in sent), default=-1)
    return order[min(used + 1, len(order) - 1)]


def interest(owed: Decimal, percent: Decimal, days: int, places: int = 2) -> Decimal:
    """Simple interest: owed × percent ÷ 100 × days ÷ 365, half up once; no interest on interest. Nothing before the due date.

    `owed` in money, `percent` a year, `days` since the due date. Source: I = P × r × t, t in days
    of a year of 365; simple, as Directive 2011/7/EU art. 2(6) and the UK Late Payment of Commercial Debts (Interest) Act 1998.

    >>> interest(Decimal(1000), Decimal("8.5"), 365), interest(Decimal(1000), Decimal("8.5"), 1)
    (Decimal('85.00'), Decimal('0.23'))
    """
    if days <= 0 or owed <= 0:
        return ZERO
    return half_up(Fraction(owed) * Fraction(percent) / 100 * days / DAYS_A_YEAR, places)
