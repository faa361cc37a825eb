"""What a piece cost and what to ask for it: figures of an article, or of a skin still in work, for one channel; and the
channels and the workshop's footing (tax in the price, on top of it, or none) as that arithmetic takes them.
"""

from dataclasses import dataclass, fields, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from django.db.models import Q

from costing.make.cost import rules as cost_rules, selectors as cost_read
from costing.make.cost.models import ArticleCost
from costing.make.cost.rates import rules as rates_rules, selectors as rates_read
from costing.make.cost.rules import RoundedCost, Share
from costing.make.readings.areas import selectors as areas
from costing.make.readings.areas.models import PhotoArea
from costing.sell.pricing import rules as pricing
from costing.sell.pricing.channels.models import Channel
from costing.sell.pricing.rules import Footing, Meaning
from costing.sell.rounding.rules import Level, Rounding, Way
from costing.sell.sales.terms import selectors as terms_read
from inventory import money, units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article, Skin
from inventory.money import ZERO

NO_CHANNEL = pricing.Channel("No selling cost")
NO_TAX = Footing()


@dataclass(frozen=True)
class Price:
    """`share` is exact, `cost` rounded once; minutes written late stand beside late money. `area` in cm2, `photo` what it came from
    (None: a hand). `list_price` and what an hour earns at it are None when not set.

    `footing` is that of a sale on `channel`. Floors are prices as the maker types them; `meaning` says what one comes to.
    """

    number: str
    share: Share
    rates: rates_rules.Rates
    cost: RoundedCost
    area: Decimal | None
    channel: pricing.Channel
    footing: Footing = NO_TAX
    late_book: Decimal = ZERO
    late_full: Decimal = ZERO
    late_minutes: Fraction = Fraction(0)
    late_own_minutes: Fraction = Fraction(0)
    list_price: Decimal | None = None
    photo: PhotoArea | None = None

    @cached_property
    def floors(self) -> pricing.Floors:
        where, places = pricing.on_net(self.channel, self.footing.percent), workshop.places()
        least = pricing.floors(self.book, self.own_hours(), self.rates.wage_per_hour, self.full, where, places)
        return pricing.Floors(*(self.typed(net) for net in (least.cash, least.wage, least.full)))

    @property
    def least(self) -> list[tuple[str, Meaning]]:
        """The floors by what they cover, each with what it comes to."""
        return [(words, self.meaning(getattr(self.floors, name))) for name, words in pricing.FLOORS.items()]

    def own_hours(self) -> Fraction:
        """The owner's own hours, with those written late."""
        return self.share.own_hours() + self.late_own_minutes / units.MINUTES_PER_HOUR

    @property
    def hours(self) -> Decimal:
        """All hours, for show."""
        return money.half_up(self.share.hours() + self.late_minutes / units.MINUTES_PER_HOUR, 2)

    @property
    def shown_own_hours(self) -> Decimal:
        return money.half_up(self.own_hours(), 2)

    @property
    def earned_per_hour(self) -> Decimal | None:
        return None if self.list_price is None else self.earned(self.list_price)

    @property
    def at_list(self) -> Meaning | None:
        """What the list price comes to here; None without one."""
        return None if self.list_price is None else self.meaning(self.list_price)

    def earned(self, price: Decimal) -> Decimal | None:
        """What an hour of the owner earns at a typed price; None without hours."""
        return pricing.earned_per_hour(self.meaning(price), self.book, self.own_hours(), workshop.places())

    def meaning(self, price: Decimal) -> Meaning:
        return pricing.meaning(price, self.footing, self.channel, workshop.places())

    def typed(self, net: Decimal) -> Decimal:
        """The price to type that leaves so much once its tax is paid."""
        return pricing.typed(net, self.footing, workshop.places())

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

    def full_between(self, unit: str) -> tuple[Decimal, Decimal] | None:
        """The least and the most that a unit of its area may have cost in full, by what its photo may be off; None without one."""
        if self.photo is None or not self.area or self.photo.plus_minus >= self.area:
            return None
        ends = (Fraction(self.area + off) for off in (self.photo.plus_minus, -self.photo.plus_minus))
        whole = Fraction(self.full) * Fraction(units.factor(unit))
        least, most = (money.half_up(whole / end, workshop.places()) for end in ends)
        return least, most


def find(number: str, where: pricing.Channel) -> Price:
    """An article by its number, or a skin not yet finished by its tag: its cost so far."""
    article = (
        Article.objects.select_related("cost")
        .filter(Q(number=number) | Q(number__iexact=number))
        .order_by("pk")
        .first()
    )
    if article is not None:
        return replace(of_article(article, where, footing()), photo=areas.behind([article]).get(article.pk))
    skin = Skin.objects.filter(tag__iexact=number).first()
    if skin is None:
        raise Refused(
            f"There is no article {number} and no skin with that tag. Articles and Skins list what there is.",
            field="article",
        )
    price = of_skin(skin, cost_read.skin_shares([skin])[skin.tag], where, footing())
    return replace(price, photo=areas.behind_skin(skin))


def own_minutes(frozen: ArticleCost) -> Fraction:
    """The owner's minutes in a piece, with those written late."""
    return Fraction(frozen.own_minutes) + Fraction(frozen.late_own_minutes or 0)


def footing(on: date | None = None) -> Footing:
    """How prices are typed, and the tax that a sale of a day (today) carries: none while the maker has no tax number."""
    terms = terms_read.terms()
    if not terms.taxed:
        return Footing(included=terms.prices_with_tax)
    rate = rates_read.current() if on is None else rates_read.at(on)
    rounding = Rounding(Level(terms.tax_level), Way(terms.tax_way))
    return Footing(rate.vat_percent, terms.prices_with_tax, rounding)


def meaning(
    price: Decimal, where: pricing.Channel = NO_CHANNEL, *, relief: str = "", footed: Footing | None = None
) -> Meaning:
    """What a typed price comes to today; `relief` is a buyer's reason to pay no tax, `footed` the footing, if it was read."""
    footed = footed or footing()
    return pricing.meaning(price, footed.untaxed() if relief else footed, where, workshop.places())


def of_article(article: Article, where: pricing.Channel, footed: Footing = NO_TAX) -> Price:
    """Of the frozen cost and the frozen rates; late costs and hours are added to the floors and shown apart."""
    frozen: ArticleCost = article.cost
    share = frozen_share(frozen)
    rate = rates_rules.Rates(frozen.wage_per_hour, frozen.overhead_per_hour, frozen.frame_wear)
    # The frozen sums are the ledger's: pieces of one skin share the last cent, so they may differ from a piece's own rounding.
    cost = cost_rules.rounded(share, rate, workshop.places(), (frozen.book, frozen.full))
    return Price(
        number=article.number,
        share=share,
        rates=rate,
        cost=cost,
        area=article.area,
        channel=where,
        footing=footed.through(where),
        late_book=frozen.late_book,
        late_full=frozen.late_full,
        late_minutes=Fraction(frozen.late_minutes or 0),
        late_own_minutes=own_minutes(frozen) - share.own_minutes,
        list_price=article.list_price,
    )


def of_skin(skin: Skin, share: Share, where: pricing.Channel, footed: Footing = NO_TAX) -> Price:
    """Of the cost so far, at the rates of today."""
    rate = rates_read.plain()
    cost = cost_rules.rounded(share, rate, workshop.places())
    return Price(skin.tag, share, rate, cost, skin.dry_area or skin.wet_area, where, footed.through(where))


def frozen_share(frozen: ArticleCost) -> Share:
    return Share(**{part.name: Fraction(getattr(frozen, part.name)) for part in fields(Share)})


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
    return pricing.Channel(row.name, row.fee_percent, row.fixed_cost, row.fee_fixed, row.resells, row.relief)
