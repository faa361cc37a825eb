"""What to ask for work on a customer's skin, told from the maker's own log. The arithmetic is `costing.sell.jobs.quotes.rules`."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from costing.make.cost import rules as cost, selectors as cost_read
from costing.make.cost.rates import rules as rates, selectors as rates_read
from costing.make.cost.rules import Share
from costing.make.labour.rules import usual
from costing.make.losses import selectors as losses_read
from costing.make.losses.rules import LossRate
from costing.sell.jobs.quotes import rules as quotes
from costing.sell.sales.terms import selectors as terms
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.money import ZERO, half_up


@dataclass(frozen=True)
class Asked:
    """A price from the log: the quote, the loss rate in it, what a lost skin would cost, the money that it takes."""

    species: str
    quote: quotes.Quote
    loss: LossRate
    at_stake: Decimal
    lacings: int
    hourly: Decimal
    cash: Decimal


def quote(species: str, goodwill: Decimal = ZERO) -> Asked | None:
    """What to ask for a skin of a species, from the maker's own finished ones; None while there is none with hours.

    A lost customer's skin is not paid for: the work in it and `goodwill` are at stake, at the maker's own loss rate.
    """
    kind = Skin.objects.filter(species__iexact=species.strip())
    done = losses_read.last_finished(kind)
    shares = [share for share in cost_read.own_shares(done, None).values() if share.own_minutes] if done else []
    if not shares or (losses := losses_read.rate(kind)) is None:
        return None
    rate, places = rates_read.plain(), workshop.places()
    minutes = [share.own_minutes for share in shares]
    spent = [_spent(share, rate) for share in shares]
    lacings = ceil(_median([share.laces for share in shares]))
    plain = quotes.quote(minutes, spent, rate, lacings=lacings, places=places)
    risk = quotes.Risk(losses.rate, refund=plain.usual, goodwill=goodwill)
    return Asked(
        species=done[0].species,
        quote=quotes.quote(minutes, spent, rate, lacings=lacings, risk=risk, places=places),
        loss=losses,
        at_stake=plain.usual + goodwill,
        lacings=lacings,
        hourly=rate.wage_per_hour + rate.overhead_per_hour,
        cash=half_up(_median([share.materials + share.paid_help for share in shares]), places),
    )


def _spent(share: Share, rate: rates.Rates) -> Fraction:
    """Money that went into a skin without its price, and the overheads of a helper's hours: the quote adds those of my own."""
    helped = cost.Share(minutes=share.minutes - share.own_minutes)
    return share.materials + share.paid_help + helped.overhead(rate)


def _median(values: list[Fraction]) -> Fraction:
    found = usual(values)
    return found.median if found else Fraction(0)


def deposit_for(price: Decimal, species: str = "") -> Decimal:
    """What to ask before the work: the share of the terms, at least the money that the work will take."""
    asked = quote(species) if species else None
    return quotes.deposit(price, terms.terms().deposit_percent, asked.cash if asked else 0, workshop.places())


def usual_deposit(asked: Asked | None) -> Decimal | None:
    """What the terms would ask of the usual price."""
    if asked is None:
        return None
    return quotes.deposit(asked.quote.usual, terms.terms().deposit_percent, asked.cash, workshop.places())


def deposit_of(typed: Decimal | None, price: Decimal, species: str) -> Decimal:
    """The deposit as it was typed; left empty, what is asked of the price (a price that cannot be is refused by the service)."""
    if typed is not None:
        return typed
    return deposit_for(price, species) if price > 0 else price
