"""What a piece cost and what to ask for it: figures of an article, or of a skin still in work, for one channel; and the
channels as that arithmetic takes them.
"""

from dataclasses import dataclass, fields
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from django.db.models import Q

from costing.make.cost import rules as cost_rules, selectors as cost_read
from costing.make.cost.models import ArticleCost
from costing.make.cost.rates import rules as rates_rules, selectors as rates_read
from costing.make.cost.rules import RoundedCost, Share
from costing.sell.pricing import rules as pricing
from costing.sell.pricing.channels.models import Channel
from inventory import money, units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article, Skin
from inventory.money import ZERO

NO_CHANNEL = pricing.Channel("No selling cost")


@dataclass(frozen=True)
class Price:
    """`share` is exact, `cost` rounded once. `area` in cm2. `list_price` and what an hour earns at it are None when not set.

    Floors are prices as a customer pays them, `vat` percent of tax on top; an hour earns what is left without it.
    """

    number: str
    share: Share
    rates: rates_rules.Rates
    cost: RoundedCost
    area: Decimal | None
    channel: pricing.Channel
    vat: Decimal
    late_book: Decimal = ZERO
    late_full: Decimal = ZERO
    list_price: Decimal | None = None

    @cached_property
    def floors(self) -> pricing.Floors:
        hours, where = self.share.own_hours(), pricing.on_net(self.channel, self.vat)
        least = pricing.floors(self.book, hours, self.rates.wage_per_hour, self.full, where, workshop.places())
        return pricing.Floors(*(self.with_tax(each).gross for each in (least.cash, least.wage, least.full)))

    @property
    def earned_per_hour(self) -> Decimal | None:
        return None if self.list_price is None else self.earned(self.list_price)

    def earned(self, price: Decimal) -> Decimal | None:
        """What an hour of the owner earns at a price with tax; None without hours."""
        return earned(price, self.book, self.share.own_hours(), self.channel, self.vat)

    def with_tax(self, net: Decimal) -> pricing.Taxed:
        return pricing.with_vat(net, self.vat, workshop.places())

    @property
    def book(self) -> Decimal:
        """Book cost with what came late."""
        return self.cost.book + self.late_book

    @property
    def full(self) -> Decimal:
        return self.cost.full + self.late_full

    def per(self, unit: str) -> dict[str, Decimal | None]:
        """Book and full cost of a unit of its area; None where that is not known."""
        costs = {"book": self.book, "full": self.full}
        if not self.area:
            return dict.fromkeys(costs)
        part = Fraction(units.factor(unit)) / Fraction(self.area)
        return {name: money.half_up(Fraction(cost) * part, workshop.places()) for name, cost in costs.items()}


def find(number: str, where: pricing.Channel) -> Price:
    """An article by its number, or a skin not yet finished by its tag: its cost so far."""
    article = (
        Article.objects.select_related("cost")
        .filter(Q(number=number) | Q(number__iexact=number))
        .order_by("pk")
        .first()
    )
    if article is not None:
        return of_article(article, where, rates_read.current().vat_percent)
    skin = Skin.objects.filter(tag__iexact=number).first()
    if skin is None:
        raise Refused(
            f"There is no article {number} and no skin with that tag. Articles and Skins list what there is.",
            field="article",
        )
    return of_skin(skin, cost_read.skin_shares([skin])[skin.tag], where, rates_read.current().vat_percent)


def of_article(article: Article, where: pricing.Channel, vat: Decimal = ZERO) -> Price:
    """Of the frozen cost and the frozen rates; late costs are added to the floors and shown apart."""
    frozen: ArticleCost = article.cost
    share = frozen_share(frozen)
    rate = rates_rules.Rates(frozen.wage_per_hour, frozen.overhead_per_hour, frozen.frame_wear)
    cost = cost_rules.rounded(share, rate, workshop.places())
    # The frozen sums are the ledger's: pieces of one skin share the last cent, so they may differ from a piece's own rounding.
    cost = RoundedCost(**{**vars(cost), "book": frozen.book, "full": frozen.full})
    return Price(
        number=article.number,
        share=share,
        rates=rate,
        cost=cost,
        area=article.area,
        channel=where,
        vat=vat,
        late_book=frozen.late_book,
        late_full=frozen.late_full,
        list_price=article.list_price,
    )


def of_skin(skin: Skin, share: Share, where: pricing.Channel, vat: Decimal = ZERO) -> Price:
    """Of the cost so far, at the rates of today."""
    rate = rates_read.plain()
    cost = cost_rules.rounded(share, rate, workshop.places())
    return Price(skin.tag, share, rate, cost, skin.dry_area or skin.wet_area, where, vat)


def frozen_share(frozen: ArticleCost) -> Share:
    return Share(**{part.name: Fraction(getattr(frozen, part.name)) for part in fields(Share)})


def earned(asked: Decimal, book: Decimal, hours: Fraction, where: pricing.Channel, vat: Decimal) -> Decimal | None:
    """What an hour of the owner earns at an asked price, tax taken out first; None without hours."""
    places = workshop.places()
    net = pricing.without_vat(asked, vat, places).net
    return pricing.earned_per_hour(net, book, hours, pricing.on_net(where, vat), places)


def channel(name: str | None = None) -> pricing.Channel:
    """The channel of that name (a part of the name will do when only one fits), else the usual one, else none."""
    rows = list(Channel.objects.order_by("name"))
    if not name:
        return next((plain(row) for row in rows if row.usual), NO_CHANNEL)
    exact = [row for row in rows if row.name.casefold() == name.strip().casefold()]
    near = exact or [row for row in rows if name.strip().casefold() in row.name.casefold()]
    if len(near) == 1:
        return plain(near[0])
    names = ", ".join(f'"{row.name}"' for row in (near or rows)) or "none is set up yet"
    raise Refused(f'No single channel fits "{name}". Choose one of: {names}.', field="channel")


def channels() -> list[pricing.Channel]:
    return [plain(row) for row in Channel.objects.order_by("-usual", "name")]


def plain(row: Channel) -> pricing.Channel:
    return pricing.Channel(row.name, row.fee_percent, row.fixed_cost)
