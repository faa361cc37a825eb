"""What to ask for work on a customer's skin, told from the maker's own log. The arithmetic is `costing.sell.jobs.quotes.rules`."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil
from statistics import median

from costing.make.cost import rules as cost, selectors as cost_read
from costing.make.cost.rates import rules as rates, selectors as rates_read
from costing.make.cost.rules import Share
from costing.make.losses import selectors as losses_read
from costing.make.losses.rules import LossRate
from costing.sell.jobs.quotes import rules as quotes
from costing.sell.pricing import selectors as pricing
from costing.sell.pricing.rules import Meaning, typed
from costing.sell.sales.terms import selectors as terms
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.money import half_up


@dataclass(frozen=True)
class Asked:
    """A price from the log: the quote, which is without tax, the prices to type for it, the loss rate in it, the money that it
    takes."""

    species: str
    quote: quotes.Quote
    low: Meaning
    usual: Meaning
    high: Meaning
    loss: LossRate
    lacings: int
    hourly: Decimal
    cash: Decimal


def quote(species: str) -> Asked | None:
    """What to ask for a skin of a species, from the maker's own finished ones; None while there is none with hours."""
    kind = Skin.objects.filter(species__iexact=species.strip())
    done = losses_read.last_finished(kind)
    shares = [share for share in cost_read.own_shares(done, None).values() if share.own_minutes] if done else []
    if not shares or (losses := losses_read.rate(kind)) is None:
        return None
    rate, places = rates_read.plain(), workshop.places()
    minutes = [share.own_minutes for share in shares]
    spent = [_spent(share, rate) for share in shares]
    lacings = ceil(median([share.laces + share.framed for share in shares]))
    found = quotes.quote(minutes, spent, rate, lacings=lacings, loss_rate=losses.rate, places=places)
    footed = pricing.footing()
    low, usual, high = (
        pricing.meaning(typed(net, footed, places), footed=footed) for net in (found.low, found.usual, found.high)
    )
    return Asked(
        species=done[0].species,
        quote=found,
        low=low,
        usual=usual,
        high=high,
        loss=losses,
        lacings=lacings,
        hourly=rate.wage_per_hour + rate.overhead_per_hour,
        cash=half_up(median([share.materials + share.paid_help for share in shares]), places),
    )


def _spent(share: Share, rate: rates.Rates) -> Fraction:
    """Money that went into a skin without its price, and the overheads of a helper's hours: the quote adds those of my own."""
    helped = cost.Share(minutes=share.minutes - share.own_minutes)
    return share.materials + share.paid_help + helped.overhead(rate)


def deposit_for(price: Decimal, asked: Asked | None) -> Decimal:
    """What the terms ask before the work: their share of a price, at least the money that the work will take."""
    return quotes.deposit(price, terms.terms().deposit_percent, asked.cash if asked else 0, workshop.places())


def deposit_of(typed: Decimal | None, price: Decimal, species: str) -> Decimal:
    """The deposit as it was typed; left empty, what is asked of the price (a price that cannot be is refused by the service)."""
    if typed is not None:
        return typed
    return deposit_for(price, quote(species)) if price > 0 else price
