"""What a price must be, and what a price leaves: floors, margins, hourly earnings, tax on top, rounding to a step.

Owns the arithmetic between a cost and a price on one selling channel. Must not know where a cost comes from, which
tax rate applies, or which price the maker chooses. A price that must cover something is rounded up, never half up.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory import formats
from inventory.errors import Refused
from inventory.money import Exact, ceil_to, half_up


@dataclass(frozen=True)
class Channel:
    """A way of selling: it keeps `fee_percent` of the price; each sale also costs `fixed_cost` (postage, box)."""

    name: str
    fee_percent: Decimal = Decimal(0)
    fixed_cost: Decimal = Decimal(0)


@dataclass(frozen=True)
class Floors:
    """Least prices: `cash` gives back the money paid, `wage` also pays the hours, `full` also overhead and frames."""

    cash: Decimal
    wage: Decimal
    full: Decimal


@dataclass(frozen=True)
class Taxed:
    """An amount with its tax; net + vat == gross, always."""

    net: Decimal
    vat: Decimal
    gross: Decimal


def _kept(channel: Channel) -> Fraction:
    """The part of the price that the channel leaves: 1 - fee / 100. Refuses a channel that cannot be."""
    if not 0 <= channel.fee_percent < 100:
        raise Refused(
            f"{channel.name}: a selling fee of {formats.plain(channel.fee_percent)} % cannot be; enter a fee of at least 0 and"
            " less than 100 %.",
            field="fee_percent",
        )
    if channel.fixed_cost < 0:
        raise Refused(
            f"{channel.name}: a fixed selling cost of {channel.fixed_cost} cannot be; enter 0 or what one sale costs you.",
            field="fixed_cost",
        )
    return 1 - Fraction(channel.fee_percent) / 100


def left_after_selling(price: Exact, channel: Channel) -> Fraction:
    """What a sale brings home, exactly: price × (1 - fee / 100) - fixed cost. Money in, money out."""
    return Fraction(price) * _kept(channel) - Fraction(channel.fixed_cost)


def floor(cost: Exact, channel: Channel, places: int) -> Decimal:
    """Least price that brings `cost` home: (cost + fixed cost) / (1 - fee / 100), rounded up; not below zero.

    Money in and out; refuses a channel that cannot be.

    >>> floor(Decimal("206.75"), Channel("gallery", Decimal(35)), 2)
    Decimal('318.08')
    """
    return price_for_margin(cost, Decimal(0), channel, places)


def floors(book: Exact, own_hours: Exact, wage: Decimal, full: Exact, channel: Channel, places: int) -> Floors:
    """The three floors of one piece. Each covers its cost as it is shown, rounded half up; hours × wage is exact.

    >>> floors(Decimal("20.23"), Decimal("9.25"), Decimal(16), Decimal("206.75"), Channel("card", Decimal("1.9")), 2)
    Floors(cash=Decimal('20.63'), wage=Decimal('171.49'), full=Decimal('210.76'))
    """
    with_wage = Fraction(book) + Fraction(own_hours) * Fraction(wage)
    cash, paid, whole = (floor(half_up(cost, places), channel, places) for cost in (Fraction(book), with_wage, full))
    return Floors(cash=cash, wage=paid, full=whole)


def earned_per_hour(price: Exact, book: Exact, hours: Exact, channel: Channel, places: int) -> Decimal | None:
    """What an hour earns at a price: (price × (1 - fee / 100) - fixed cost - book) / hours. None without hours.

    >>> earned_per_hour(Decimal(185), Decimal("20.23"), Decimal("9.25"), Channel("card", Decimal("1.9")), 2)
    Decimal('17.43')
    """
    left = left_after_selling(price, channel) - Fraction(book)
    return half_up(left / Fraction(hours), places) if hours else None


def price_for_margin(cost: Exact, margin_percent: Decimal, channel: Channel, places: int) -> Decimal:
    """Least price of which `margin_percent` is left once fee, fixed cost and `cost` are paid.

    price = (cost + fixed cost) / (1 - fee / 100 - margin / 100), rounded up. Refused when fee and margin
    together reach 100 % or the margin is below zero.

    >>> price_for_margin(Decimal(60), Decimal(30), Channel("platform", Decimal(10)), 2)
    Decimal('100.00')
    """
    kept = _kept(channel) - Fraction(margin_percent) / 100
    if margin_percent < 0 or kept <= 0:
        raise Refused(
            f"{channel.name} takes {formats.plain(channel.fee_percent)} % of the price, so a margin of"
            f" {formats.plain(margin_percent)} % cannot be had; enter a margin of at least 0 and less than"
            f" {formats.plain(100 - channel.fee_percent)} %.",
            field="margin_percent",
        )
    return ceil_to(max(Fraction(0), Fraction(cost) + Fraction(channel.fixed_cost)) / kept, places)


def on_net(channel: Channel, vat_percent: Decimal) -> Channel:
    """The same channel as it weighs on a price without tax: a fee is taken from what the buyer pays, tax included.

    fee' = fee × (1 + rate / 100). Refuses a rate below 0 %.

    >>> on_net(Channel("card", Decimal("2")), Decimal("25")).fee_percent
    Decimal('2.5')
    """
    refuse_rate(vat_percent)
    return Channel(channel.name, channel.fee_percent * (100 + vat_percent) / 100, channel.fixed_cost)


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


def round_to_step(price: Exact, step: Decimal, places: int) -> Decimal:
    """The next price up that is a whole number of steps (a ticket price of 0.50 or 5.00 steps).

    Refused when the step is not a positive multiple of the smallest coin.

    >>> round_to_step(Decimal("171.49"), Decimal(5), 2)
    Decimal('175.00')
    """
    smallest = Decimal(1).scaleb(-places)
    if step <= 0 or Fraction(step) % Fraction(smallest):
        raise Refused(
            f"Prices cannot go up in steps of {step}; enter a step that is a whole multiple of {smallest}.",
            field="step",
        )
    steps = Fraction(ceil_to(Fraction(price) / Fraction(step), 0))
    return half_up(steps * Fraction(step), places)
