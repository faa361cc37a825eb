"""What a piece cost and what to ask for it: figures of an article, or of a skin still in work, for one channel."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q

from costing.make.cost import rules as cost_rules
from costing.make.cost import selectors as cost_read
from costing.make.cost.models import ArticleCost
from costing.make.cost.rates import rules as rates_rules
from costing.make.cost.rates import selectors as rates_read
from costing.make.cost.rules import RoundedCost, Share
from costing.sell.pricing import rules as pricing
from costing.sell.pricing.channels import rules as channels
from inventory import money, units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article, Skin

NO_TAX = Decimal(0)


@dataclass(frozen=True)
class Price:
    """`share` is exact, `cost` rounded once. `area` in cm2. `list_price` and what follows from it are None when not set.

    Floors are prices as a customer pays them, tax on top where the workshop charges any; an hour earns what is left without it.
    """

    number: str
    share: Share
    rates: rates_rules.Rates
    cost: RoundedCost
    late_book: Decimal
    late_full: Decimal
    area: Decimal | None
    list_price: Decimal | None
    channel: channels.Channel
    floors: pricing.Floors
    earned_per_hour: Decimal | None
    places: int

    @property
    def book(self) -> Decimal:
        """Book cost with what came late."""
        return self.cost.book + self.late_book

    @property
    def full(self) -> Decimal:
        return self.cost.full + self.late_full

    def per_sq_ft(self, value: Decimal) -> Decimal | None:
        return self._per(value, "sq_ft")

    def per_dm2(self, value: Decimal) -> Decimal | None:
        return self._per(value, "dm2")

    def _per(self, value: Decimal, unit: str) -> Decimal | None:
        if not self.area:
            return None
        return money.half_up(Fraction(value) * Fraction(units.factor(unit)) / Fraction(self.area), self.places)


def find(number: str, where: channels.Channel) -> Price:
    """An article by its number, or a skin not yet finished by its tag: its cost so far."""
    article = (
        Article.objects.select_related("cost")
        .filter(Q(number=number) | Q(number__iexact=number))
        .order_by("pk")
        .first()
    )
    if article is not None:
        return of_article(article, article.cost, where, rates_read.current().vat_percent)
    skin = Skin.objects.filter(tag__iexact=number).first()
    if skin is None:
        raise Refused(
            f"There is no article {number} and no skin with that tag. The rooms Articles and Skins list what there is.",
            field="article",
        )
    return of_skin(skin, cost_read.skin_shares([skin])[skin.tag], where, rates_read.current().vat_percent)


def of_article(article: Article, frozen: ArticleCost, where: channels.Channel, vat: Decimal = NO_TAX) -> Price:
    """Of the frozen cost and the frozen rates; late costs are added to the floors and shown apart."""
    share = frozen_share(frozen)
    rate = rates_rules.Rates(frozen.wage_per_hour, frozen.overhead_per_hour, frozen.frame_wear)
    cost = cost_rules.rounded(share, rate, workshop.places())
    # The frozen sums are the ledger's: pieces of one skin share the last cent, so they may differ from a piece's own rounding.
    cost = RoundedCost(**{**vars(cost), "book": frozen.book, "full": frozen.full})
    late = (frozen.late_book, frozen.late_full)
    return _price(article.number, share, rate, cost, late, article.area, article.list_price, where, vat)


def of_skin(skin: Skin, share: Share, where: channels.Channel, vat: Decimal = NO_TAX) -> Price:
    """Of the cost so far, at the rates of today."""
    rate = rates_read.plain()
    cost = cost_rules.rounded(share, rate, workshop.places())
    return _price(
        skin.tag, share, rate, cost, (Decimal(0), Decimal(0)), skin.dry_area or skin.wet_area, None, where, vat
    )


def frozen_share(frozen: ArticleCost) -> Share:
    return Share(
        skin_price=Fraction(frozen.skin_price),
        materials=Fraction(frozen.materials),
        paid_help=Fraction(frozen.paid_help),
        minutes=Fraction(frozen.minutes),
        own_minutes=Fraction(frozen.own_minutes),
        laces=Fraction(frozen.laces),
    )


def _price(
    number: str,
    share: Share,
    rate: rates_rules.Rates,
    cost: RoundedCost,
    late: tuple[Decimal, Decimal],
    area: Decimal | None,
    list_price: Decimal | None,
    where: channels.Channel,
    vat: Decimal,
) -> Price:
    places = workshop.places()
    book, full, hours = cost.book + late[0], cost.full + late[1], share.own_hours()
    least = pricing.floors(book, hours, rate.wage_per_hour, full, pricing.on_net(where, vat), places)
    gross = [pricing.with_vat(each, vat, places).gross for each in (least.cash, least.wage, least.full)]
    return Price(
        number=number,
        share=share,
        rates=rate,
        cost=cost,
        late_book=late[0],
        late_full=late[1],
        area=area,
        list_price=list_price,
        channel=where,
        floors=pricing.Floors(*gross),
        earned_per_hour=None if list_price is None else earned(list_price, book, hours, where, vat, places),
        places=places,
    )


def earned(
    asked: Decimal, book: Decimal, hours: Fraction, where: channels.Channel, vat: Decimal, places: int
) -> Decimal | None:
    """What an hour of the owner earns at an asked price, tax taken out first; None without hours."""
    net = pricing.without_vat(asked, vat, places).net
    return pricing.earned_per_hour(net, book, hours, pricing.on_net(where, vat), places)
