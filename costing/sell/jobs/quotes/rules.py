"""What to ask for a job on a customer's skin: a price from own history, a deposit, and storage once it is ready.

Owns the arithmetic of a quote. Must not know a customer or a calendar, and promises nothing: the range is what the
maker's own log shows. Days, shares and charges are the maker's terms; local consumer law decides which of them hold.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from costing.make.cost.rates.rules import Rates
from costing.make.errors import NotAbove
from costing.make.labour.rules import Usual, usual
from costing.make.losses import rules as losses
from inventory.errors import Refused
from inventory.money import Exact, ceil_to
from inventory.units import MINUTES_PER_HOUR


@dataclass(frozen=True)
class Quote:
    """Least prices that cover the job if it goes as fast as ever, as usual, and as slow as ever, with what they rest on.

    Nobody pays for a lost skin: `at_stake` is the work in it, and `risk` is what each job puts aside for the one that fails.
    """

    low: Decimal
    usual: Decimal
    high: Decimal
    hours: Usual
    materials: Fraction
    at_stake: Decimal
    risk: Fraction


def quote(
    minutes: Sequence[Fraction | int],
    materials: Sequence[Fraction | int],
    rates: Rates,
    *,
    lacings: int = 0,
    loss_rate: Exact = 0,
    places: int = 2,
) -> Quote:
    """A price from own history: minutes ÷ 60 × (wage + overhead) + median materials + lacings × wear + risk, rounded up.

    `minutes` and `materials` (money) are those of the maker's own finished skins of this kind; low, usual and high take
    the least, the median and the most minutes. Risk = loss rate (0 to 1) × the usual price without it. Refused without
    minutes and for a rate outside 0 to 1; raises NotAbove for lacings below zero.

    >>> rates = Rates(Decimal(16), Decimal(4), Decimal("1.52"))
    >>> asked = quote([495, 480, 555], [Fraction("8.23")], rates, lacings=1)
    >>> asked.low, asked.usual, asked.high
    (Decimal('169.75'), Decimal('174.75'), Decimal('194.75'))
    """
    hours, bought = usual(minutes), usual(materials)
    if hours is None:
        raise Refused(
            "No finished skin of this kind is in your log yet, so no hours can be taken from it; enter the hours you expect.",
            field="hours",
        )
    if lacings < 0:
        raise NotAbove("The lacings", lacings, "enter how often it is laced", zero_too=True)
    paid = bought.median if bought else Fraction(0)
    hourly = Fraction(rates.wage_per_hour) + Fraction(rates.overhead_per_hour)
    fixed = paid + lacings * Fraction(rates.frame_wear)
    costs = [spent * hourly / MINUTES_PER_HOUR + fixed for spent in (hours.low, hours.median, hours.high)]
    at_stake = ceil_to(costs[1], places)
    risk = losses.chance(loss_rate) * Fraction(at_stake)
    low, middle, high = (ceil_to(cost + risk, places) for cost in costs)
    return Quote(low, middle, high, hours, paid, at_stake, risk)


def deposit(price: Decimal, share_percent: Decimal, cash_cost: Exact, places: int = 2) -> Decimal:
    """What to take before the work: a share of the price, at least the money it will cost, at most the price. Rounded up.

    `cash_cost` is what materials and paid help are expected to come to. Raises NotAbove for a price that is not above
    zero or a share below it.

    >>> deposit(Decimal("165.00"), Decimal(40), Decimal("9.70"))
    Decimal('66.00')
    """
    if price <= 0:
        raise NotAbove("The price", price, "enter what the job costs", field="price")
    if share_percent < 0:
        raise NotAbove("The deposit", share_percent, "enter a share in percent", field="share", zero_too=True)
    wanted = max(Fraction(price) * Fraction(share_percent) / 100, Fraction(cash_cost))
    return min(ceil_to(wanted, places), price)


@dataclass(frozen=True)
class Storage:
    """How long a finished job waits: days since the notice, the last free day, days charged, and what they come to."""

    days: int
    free_until: date
    charged_days: int
    charge: Decimal


def storage(noticed_on: date, on: date, free_days: int, per_day: Decimal, collected_on: date | None = None) -> Storage:
    """Storage from the ready notice to a day, or to the day of collection if that came first.

    The day of the notice is day zero; each day after the free ones is charged, the day of collection too.
    Charge = charged days × per day, in money. Raises NotAbove for free days or a charge below zero.

    >>> storage(date(2025, 5, 10), date(2025, 5, 24), 10, Decimal("1.00"))
    Storage(days=14, free_until=datetime.date(2025, 5, 20), charged_days=4, charge=Decimal('4.00'))
    """
    if free_days < 0:
        raise NotAbove("The free days", free_days, "enter 0 for none", field="free_days", zero_too=True)
    if per_day < 0:
        raise NotAbove("The storage charge", per_day, "enter 0 for none", field="per_day", zero_too=True)
    until = on if collected_on is None else min(on, collected_on)
    days = max(0, (until - noticed_on).days)
    charged = max(0, days - free_days)
    return Storage(days, noticed_on + timedelta(days=free_days), charged, charged * per_day)
