"""What a price means, what it must be, and what it leaves: tax, fee, floors, margins, hourly earnings, rounding to a step.

Owns the arithmetic between a cost and a price on one selling channel. Must not know where a cost comes from, which
tax rate applies, or which price the maker chooses. A price that must cover something is rounded up, never half up.
A price is typed on the workshop's footing, with its tax or without it; `meaning` alone says what that comes to.
"""

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from costing.sell.rounding.rules import USUAL, Rounding, refuse_rate, with_vat
from inventory import formats
from inventory.errors import Refused
from inventory.money import Exact, ceil_to, half_up


@dataclass(frozen=True)
class Channel:
    """A way of selling: it keeps `fee_percent` and `fee_fixed` of each sale. `fixed_cost` is what the maker spends on one
    (postage, box). `resells`: it sells to the public itself, so its percent is of the price without tax, and `relief` is the
    reason why the maker charges it none; empty where the maker's tax is charged as ever.
    """

    name: str
    fee_percent: Decimal = Decimal(0)
    fixed_cost: Decimal = Decimal(0)
    fee_fixed: Decimal = Decimal(0)
    resells: bool = False
    relief: str = ""


@dataclass(frozen=True)
class Footing:
    """What tax a typed price carries: `percent`, inside the price where `included`, else on top of it. 0: none is charged.

    `rounding`: as the maker's papers round it."""

    percent: Decimal = Decimal(0)
    included: bool = True
    rounding: Rounding = USUAL

    def through(self, channel: Channel) -> "Footing":
        """The footing of a sale through a channel, which may be one without tax."""
        return self.untaxed() if channel.relief else self

    def untaxed(self) -> "Footing":
        return replace(self, percent=Decimal(0))

    @property
    def on_top(self) -> bool:
        """Whether the buyer pays more than the price that is typed."""
        return bool(self.percent) and not self.included


@dataclass(frozen=True)
class Meaning:
    """What a typed price comes to, in coins: the buyer pays == kept + fee + tax, always.

    `fee` is what the channel keeps; `own_cost` what the maker then spends on postage and box out of what is kept.
    """

    typed: Decimal
    net: Decimal
    tax: Decimal
    fee: Decimal
    own_cost: Decimal = Decimal(0)

    @property
    def pays(self) -> Decimal:
        return self.net + self.tax

    @property
    def kept(self) -> Decimal:
        return self.net - self.fee

    @property
    def left(self) -> Decimal:
        """For the piece and the hours in it."""
        return self.kept - self.own_cost


@dataclass(frozen=True)
class Floors:
    """Least prices: `cash` gives back the money paid, `wage` also pays the hours, `full` also overhead and frames."""

    cash: Decimal
    wage: Decimal
    full: Decimal


# What each floor is called where it is shown.
FLOORS = {"cash": "Covers cash", "wage": "Covers my wage", "full": "Covers everything"}


def _kept(channel: Channel) -> Fraction:
    """The part of the price that the channel leaves: 1 - fee / 100. Refuses a channel that cannot be."""
    if not 0 <= channel.fee_percent < 100:
        raise Refused(
            f"{channel.name}: a selling fee of {formats.plain(channel.fee_percent)} % cannot be; enter a fee of at least 0 and"
            " less than 100 %.",
            field="fee_percent",
        )
    for name, what, amount in (
        ("fixed_cost", "selling cost", channel.fixed_cost),
        ("fee_fixed", "fee", channel.fee_fixed),
    ):
        if amount < 0:
            raise Refused(
                f"{channel.name}: a fixed {what} of {amount} cannot be; enter 0 or what one sale costs you.", field=name
            )
    return 1 - Fraction(channel.fee_percent) / 100


def _each_sale(channel: Channel) -> Fraction:
    """What a sale costs whatever its price."""
    return Fraction(channel.fixed_cost) + Fraction(channel.fee_fixed)


def fee(net: Decimal, gross: Decimal, channel: Channel, places: int) -> Decimal:
    """What a channel keeps of a sale, half up: fee % of what the buyer pays (without tax, where it resells) + fixed fee.

    Of a sale for nothing, nothing. Money in and out.

    >>> fee(Decimal("100.00"), Decimal("106.25"), Channel("card", Decimal("2.6"), fee_fixed=Decimal("0.10")), 2)
    Decimal('2.86')
    """
    if not gross:
        return half_up(Fraction(0), places)
    of = net if channel.resells else gross
    return half_up(Fraction(of) * Fraction(channel.fee_percent) / 100 + Fraction(channel.fee_fixed), places)


def meaning(price: Decimal, footing: Footing, channel: Channel, places: int) -> Meaning:
    """What a typed price comes to when it is sold through a channel: net and tax by the footing, fee by the channel.

    >>> usual = meaning(Decimal(185), Footing(Decimal("6.25"), included=False), Channel("card", Decimal("2.6")), 2)
    >>> usual.pays, usual.tax, usual.fee, usual.kept
    (Decimal('196.56'), Decimal('11.56'), Decimal('5.11'), Decimal('179.89'))
    """
    footing = footing.through(channel)
    taxed = footing.rounding.taxed(half_up(price, places), footing.percent, places, includes_tax=footing.included)
    kept_back = fee(taxed.net, taxed.gross, channel, places)
    return Meaning(half_up(price, places), taxed.net, taxed.vat, kept_back, half_up(channel.fixed_cost, places))


def typed(net: Decimal, footing: Footing, places: int) -> Decimal:
    """The price to type so that `net` is left of it once its tax is paid.

    >>> typed(Decimal("100.00"), Footing(Decimal("25.5")), 2), typed(Decimal("100.00"), Footing(Decimal("6.25"), included=False), 2)
    (Decimal('125.50'), Decimal('100.00'))
    """
    return with_vat(net, footing.percent, places).gross if footing.included else half_up(net, places)


def floor(cost: Exact, channel: Channel, places: int) -> Decimal:
    """Least price that brings `cost` home: (cost + what each sale costs) / (1 - fee / 100), rounded up; not below zero.

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


def earned_per_hour(sold: Meaning, book: Exact, hours: Exact, places: int) -> Decimal | None:
    """What an hour earns at a price: (price without tax - fee - own selling cost - book) / hours. None without hours.

    >>> sold = meaning(Decimal(185), Footing(), Channel("card", Decimal("1.9")), 2)
    >>> earned_per_hour(sold, Decimal("20.23"), Decimal("9.25"), 2)
    Decimal('17.43')
    """
    left = Fraction(sold.left) - Fraction(book)
    return half_up(left / Fraction(hours), places) if hours else None


def price_for_margin(cost: Exact, margin_percent: Decimal, channel: Channel, places: int) -> Decimal:
    """Least price of which `margin_percent` is left once fees, own selling cost and `cost` are paid.

    price = (cost + what each sale costs) / (1 - fee / 100 - margin / 100), rounded up. Refused when fee and margin
    together reach 100 % or the margin is below zero. A margin is a part of the price; of the cost, see `price_for_markup`.

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
    return ceil_to(max(Fraction(0), Fraction(cost) + _each_sale(channel)) / kept, places)


def price_for_markup(cost: Exact, markup_percent: Decimal, channel: Channel, places: int) -> Decimal:
    """Least price that leaves `cost` and `markup_percent` of it once fees and own selling cost are paid, rounded up.

    price = (cost × (1 + markup / 100) + what each sale costs) / (1 - fee / 100). Refused below zero.

    >>> price_for_markup(Decimal(60), Decimal(20), Channel("platform", Decimal(10)), 2)
    Decimal('80.00')
    """
    if markup_percent < 0:
        raise Refused(
            f"A markup of {formats.plain(markup_percent)} % cannot be; enter 0 or more.", field="markup_percent"
        )
    return floor(Fraction(cost) * (1 + Fraction(markup_percent) / 100), channel, places)


def on_net(channel: Channel, vat_percent: Decimal) -> Channel:
    """The same channel as it weighs on a price without tax: a fee is taken from what the buyer pays, tax included.

    fee' = fee × (1 + rate / 100), but for one that resells: its fee is of the price without tax. Refuses a rate below 0 %.

    >>> on_net(Channel("card", Decimal("2")), Decimal("25")).fee_percent
    Decimal('2.5')
    """
    refuse_rate(vat_percent)
    if channel.resells:
        return channel
    return replace(channel, fee_percent=channel.fee_percent * (100 + vat_percent) / 100)


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
