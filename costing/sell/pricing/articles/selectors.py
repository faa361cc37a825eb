"""Reads of articles: the list, one with its parts, and the price that reaches an aim."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.db.models import Prefetch, QuerySet

from costing.make.cost.breakdown import selectors as breakdown
from costing.make.cost.breakdown.selectors import Part
from costing.make.cost.rates import selectors as rates
from costing.sell.pricing import rules as pricing
from costing.sell.pricing.selectors import Price
from inventory.base import selectors as workshop
from inventory.models import Article, ArticleSkin, Skin
from inventory.money import ZERO


@dataclass(frozen=True)
class Asked:
    """`least` is the least price that reaches an aim, `ask` that price rounded up to the price step, both with what they come to;
    `earned` is what the second leaves an hour."""

    least: pricing.Meaning
    ask: pricing.Meaning
    earned: Decimal | None


def listed() -> QuerySet[Article]:
    return Article.objects.select_related("cost", "place")


def detailed() -> QuerySet[Article]:
    made_of = ArticleSkin.objects.select_related("skin__supplier", "skin__job").order_by("skin__tag")
    return listed().prefetch_related(Prefetch("parts", queryset=made_of), "regrades")


def cost_parts(article: Article, price: Price) -> list[Part]:
    """Frozen parts with their sources, and the late cost as a part of its own."""
    made_of = list(article.parts.all())
    skins: list[Skin] = [part.skin for part in made_of]
    entries = [
        entry for found in breakdown.of_skins(skins).values() for entry in found if entry.on <= article.finished_on
    ]
    part = Fraction(made_of[0].share_of, made_of[0].share_in) if made_of else Fraction(1)
    said = breakdown.sources(skins, entries, part)
    return breakdown.of(price.share, price.rates, price.cost, said) + breakdown.late(price.late_book, price.late_full)


def ask(
    price: Price,
    *,
    markup_percent: Decimal | None = None,
    margin_percent: Decimal | None = None,
    hourly: Decimal = ZERO,
) -> Asked:
    """The price for a markup on full cost, or for a margin on the price without tax above full cost, where one is given; else
    for an hour's pay over book cost."""
    step, places = rates.current().price_step, workshop.places()
    where = pricing.on_net(price.channel, price.footing.percent)
    if markup_percent is not None:
        net = pricing.price_for_markup(price.full, markup_percent, where, places)
    elif margin_percent is not None:
        net = pricing.price_for_margin(price.full, margin_percent, where, places)
    else:
        net = pricing.floor(Fraction(price.book) + price.own_hours() * Fraction(hourly), where, places)
    least = price.typed(net)
    ticket = pricing.round_to_step(least, step, places) if step else least
    return Asked(price.meaning(least), price.meaning(ticket), price.earned(ticket))
