"""How much to order: the textbook's lot sizes, and the advice that the pages give.

Owns quantities; when to order is said elsewhere. It knows no Django and no database. Exact numbers in; a root is cut after
twelve places, and what is advised is rounded once. Amounts of money are without tax that is got back.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from inventory.foresight import prices
from inventory.money import Exact, half_up

# What holding goods for a year costs, as a share of their price: money tied up, room, loss. Common practice, no source.
HOLDING_RATE = Fraction(1, 5)
QUANTITY_PLACES = 3

Why = Literal["nothing", "wanted", "minimum", "usual", "break", "spoils"]


def eoq(order_cost: Exact, holding: Exact, demand: Exact) -> Fraction:
    """Economic order quantity: root(2 × order cost × demand ÷ holding).

    `holding`: of one unit for a year; `demand`: units a year. `ValueError` where one of them is not above nothing.
    Source: Snyder and Shen 2019, eq. 3.4.

    >>> half_up(eoq(8, Decimal("0.225"), 1300), 4)
    Decimal('304.0468')
    """
    _above_nothing(order_cost=order_cost, holding=holding, demand=demand)
    return prices.root(2 * Fraction(order_cost) * Fraction(demand) / Fraction(holding))


def eoq_cost(quantity: Exact, order_cost: Exact, holding: Exact, demand: Exact) -> Fraction:
    """Orders and holding for a year in lots of `quantity`: order cost × demand ÷ quantity + holding × quantity ÷ 2.

    Without the goods themselves. Source: Snyder and Shen 2019, ch. 3.
    """
    _above_nothing(quantity=quantity, order_cost=order_cost, holding=holding, demand=demand)
    lot = Fraction(quantity)
    return Fraction(order_cost) * Fraction(demand) / lot + Fraction(holding) * lot / 2


def eoq_backlog(order_cost: Exact, holding: Exact, short: Exact, demand: Exact) -> tuple[Fraction, Fraction]:
    """EOQ where work may wait: (quantity, share of it that is waited for when it comes).

    `short`: what one missing unit costs a year. Quantity = EOQ × root((holding + short) ÷ short), share = holding ÷ (holding +
    short); orders and holding then cost order cost × demand × 2 ÷ quantity a year. Source: Snyder and Shen 2019, eq. 3.27 to 3.29.
    """
    _above_nothing(order_cost=order_cost, holding=holding, short=short, demand=demand)
    hold, miss = Fraction(holding), Fraction(short)
    return eoq(order_cost, hold * miss / (hold + miss), demand), hold / (hold + miss)


def eoq_with_breaks(
    order_cost: Exact, rate: Exact, demand: Exact, breaks: Sequence[tuple[Exact, Exact]], *, further: bool = False
) -> tuple[Fraction, Fraction]:
    """EOQ with price breaks: (quantity, cost of a year). The cost includes the goods; holding is `rate` × unit price a year.

    `breaks`: (from quantity, unit price), the first from 0. With `further` only what exceeds a break has its price (incremental
    discounts), otherwise the whole order has (all-units discounts). Source: Snyder and Shen 2019, eq. 3.18 to 3.22.
    """
    _above_nothing(order_cost=order_cost, rate=rate, demand=demand)
    year = prices.Year(Fraction(order_cost), Fraction(rate), Fraction(demand), prices.read(breaks, further=further))
    quantity = year.best()
    return quantity, year.cost(quantity)


def wagner_whitin(needs: Sequence[tuple[date, Decimal]], order_cost: Exact, holding: Exact) -> tuple[Decimal, ...]:
    """Cheapest orders for dated needs: how much to have come on each date, in the order of `needs`.

    Each order costs `order_cost`; a unit that waits costs `holding` a day. Every need is met on its date. `ValueError`: dates
    that do not rise, anything negative. Source: Snyder and Shen 2019, eq. 3.39 (Wagner and Whitin).

    >>> first = date(2026, 1, 1)
    >>> needs = [(first.replace(day=day), Decimal(need)) for day, need in ((1, 90), (2, 120), (3, 80), (4, 70))]
    >>> [int(quantity) for quantity in wagner_whitin(needs, 500, 2)]
    [210, 0, 150, 0]
    """
    _not_negative(order_cost=order_cost, holding=holding)
    for at, (on, need) in enumerate(needs):
        _not_negative(need=need)
        if at and on <= needs[at - 1][0]:
            raise ValueError(f"Needs go from early to late; {on} comes after {needs[at - 1][0]}.")
    # From the last need backwards: the least cost from there on, and up to which need the order that comes then lasts.
    costs, until = [Fraction(0)] * (len(needs) + 1), [0] * len(needs)
    for start in reversed(range(len(needs))):
        waiting, ordered, least = Fraction(0), Fraction(0), None
        for end in range(start + 1, len(needs) + 1):
            on, need = needs[end - 1]
            waiting += Fraction(holding) * (on - needs[start][0]).days * Fraction(need)
            ordered = Fraction(order_cost) if need or ordered else ordered
            cost = ordered + waiting + costs[end]
            if least is None or cost < least:
                least, until[start] = cost, end
        costs[start] = least or Fraction(0)
    orders = [Decimal(0)] * len(needs)
    start = 0
    while start < len(needs):
        orders[start] = sum((need for _, need in needs[start : until[start]]), Decimal(0))
        start = until[start]
    return tuple(orders)


@dataclass(frozen=True)
class Good:
    """One good of a joint order: what its own line costs whatever its size, holding of a unit for a year, units a year."""

    order_cost: Exact
    holding: Exact
    demand: Exact


@dataclass(frozen=True)
class Joint:
    """Order every `cycle` years; a good comes every time, or every second, … as `multiples` say. `cost` a year, goods apart."""

    cycle: Fraction
    multiples: tuple[int, ...]
    cost: Fraction


def joint(order_cost: Exact, goods: Sequence[Good]) -> Joint:
    """One rhythm for goods that share `order_cost`, such as carriage, by Silver's heuristic.

    The good with the least own cost ÷ (holding × demand) comes every time; another every root(its ratio × that one's holding ×
    demand ÷ (shared + that one's own cost)), rounded, times. cycle = root(2 × (shared + Σ own ÷ multiple) ÷ Σ (holding × multiple ×
    demand)). `ValueError`: no good, no cost at all, a negative cost, holding or demand of nothing.
    Source: Silver 1976, as in Snyder and Shen 2019.
    """
    _not_negative(order_cost=order_cost)
    if not goods:
        raise ValueError("A joint order needs at least one good.")
    for good in goods:
        _not_negative(order_cost=good.order_cost)
        _above_nothing(holding=good.holding, demand=good.demand)
    own = [Fraction(good.order_cost) for good in goods]
    pull = [Fraction(good.holding) * Fraction(good.demand) for good in goods]
    base = min(range(len(goods)), key=lambda at: own[at] / pull[at])
    shared = Fraction(order_cost)
    _above_nothing(order_cost=shared + own[base])
    each_time = pull[base] / (shared + own[base])
    multiples = tuple(
        1 if at == base else max(1, round(prices.root(own[at] / pull[at] * each_time))) for at in range(len(goods))
    )
    orders = shared + sum((cost / times for cost, times in zip(own, multiples, strict=True)), Fraction(0))
    held = sum((value * times for value, times in zip(pull, multiples, strict=True)), Fraction(0))
    cycle = prices.root(2 * orders / held)
    return Joint(cycle, multiples, orders / cycle + cycle * held / 2)


@dataclass(frozen=True)
class Lot:
    """What to order: `quantity` in base units, whole `packs` (0 for loose goods), `cost` of the goods where a price is known.

    `why` this much: "nothing" is wanted; as "wanted", in whole packs; the supplier's "minimum"; more, because with "usual" use a
    larger order is cheaper over a year, or because it reaches a price "break"; less, because the rest "spoils" before it is used.
    """

    quantity: Decimal
    packs: int
    cost: Decimal | None
    why: Why


def advise(
    wanted: Decimal,
    *,
    yearly: Exact = 0,
    order_cost: Exact | None = None,
    rate: Exact = HOLDING_RATE,
    pack: Decimal | None = None,
    price: Exact | None = None,
    breaks: Sequence[tuple[Exact, Exact]] = (),
    further: bool = False,
    min_order: Decimal | None = None,
    most: Decimal | None = None,
    places: int = 2,
) -> Lot:
    """How much to order where `wanted` is needed; quantities in base units, `yearly` what is used in a year.

    Never less than wanted, in whole packs (loose goods to the thousandth), nor than `min_order`; more where a year then costs
    less, goods, `order_cost` (carriage) and holding together (`inventory.foresight.prices.Year`), but what is bought beyond the
    need lasts a year at most (common practice, no source). Without a carriage that is known, only a price break makes it more.
    Not over `most`, what is used before it spoils, but one pack at least and the supplier's minimum.
    `price`: of a pack, or of a base unit of loose goods; `breaks`: (from packs or base units, price), for the whole order or for
    what goes `further`; one from 1 pack on stands for `price`. `places`: of the currency.
    `ValueError`: a pack of nothing, breaks out of order, a rate of nothing, anything negative.

    >>> advise(Decimal(1360), yearly=2040, pack=Decimal(2000), price=Decimal("11.60"))
    Lot(quantity=Decimal('2000.000'), packs=1, cost=Decimal('11.60'), why='wanted')
    """
    _not_negative(wanted=wanted, yearly=yearly, order_cost=order_cost, price=price, min_order=min_order, most=most)
    _above_nothing(rate=rate)
    if pack is not None and pack <= 0:
        raise ValueError(f"A pack must hold something; this one holds {pack}.")
    unit, step = (Fraction(1), Fraction(1, 10**QUANTITY_PLACES)) if pack is None else (Fraction(pack), Fraction(1))
    listed = _listed(price, breaks, step, further)
    if not wanted:
        return Lot(Decimal(0), 0, None if listed is None else half_up(0, places), "nothing")

    demand = Fraction(yearly) / unit
    year = None if listed is None else prices.Year(Fraction(order_cost or 0), Fraction(rate), demand, listed)
    least, minimum = (_up(Fraction(quantity) / unit, step) for quantity in (wanted, min_order or 0))
    count, why = _chosen(year, least, minimum, step)
    if most is not None:
        keeps = max(Fraction(most) / unit // step * step, Fraction(0) if pack is None else step)
        if count > max(keeps, minimum):
            why = "minimum" if minimum > keeps else "spoils"
            count = max(min(least, keeps), minimum)
            count = count if year is None else year.best(count, max(keeps, minimum), step)
    cost = None if listed is None else half_up(listed.cost(count), places)
    return Lot(half_up(count * unit, QUANTITY_PLACES), 0 if pack is None else int(count), cost, why)


def _chosen(year: prices.Year | None, least: Fraction, minimum: Fraction, step: Fraction) -> tuple[Fraction, Why]:
    """How many packs, and why, before what spoils is looked at."""
    need = max(least, minimum)
    count = need if year is None else year.best(need, need + year.demand, step)
    if year is None or count == need:
        return count, "wanted" if need == least else "minimum"
    return count, "usual" if year.prices.level(count) == year.prices.level(need) else "break"


def _listed(
    price: Exact | None, breaks: Sequence[tuple[Exact, Exact]], step: Fraction, further: bool
) -> prices.Prices | None:
    """The price list, or none where the price of a small order is not known. A break that is not below `price` is none."""
    if breaks:
        (start, first), *rest = breaks
        _not_negative(price_break=start)
        # Their order is looked at whatever the price.
        prices.read([(0, Fraction(first) + 1), *breaks] if start else breaks)
        if start <= step:
            return prices.read([(0, first), *rest], further=further)
    if price is None:
        return None
    return prices.read([(0, price), *(each for each in breaks if each[1] < price)], further=further)


def _up(count: Fraction, step: Fraction) -> Fraction:
    """The least number of whole steps that is not below `count`."""
    return -(-count // step) * step


def _above_nothing(**given: Exact) -> None:
    for name, value in given.items():
        if value <= 0:
            raise ValueError(f"The {name.replace('_', ' ')} must be more than nothing; got {value}.")


def _not_negative(**given: Exact | None) -> None:
    for name, value in given.items():
        if value is not None and value < 0:
            raise ValueError(f"The {name.replace('_', ' ')} must not be negative; got {value}.")
