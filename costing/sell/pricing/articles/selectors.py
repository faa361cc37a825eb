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
    """Least price that reaches an aim, with tax; `ticket` is it rounded up to the price step, `earned` what that leaves an hour."""

    taxed: pricing.Taxed
    ticket: Decimal
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


def ask(price: Price, *, margin_percent: Decimal | None = None, hourly: Decimal = ZERO) -> Asked:
    """The price for a margin over full cost, where one is given; else for an hour's pay over book cost."""
    where, step, places = pricing.on_net(price.channel, price.vat), rates.current().price_step, workshop.places()
    if margin_percent is not None:
        net = pricing.price_for_margin(price.full, margin_percent, where, places)
    else:
        net = pricing.floor(Fraction(price.book) + price.share.own_hours() * Fraction(hourly), where, places)
    taxed = price.with_tax(net)
    ticket = pricing.round_to_step(taxed.gross, step, places) if step else taxed.gross
    return Asked(taxed, ticket, price.earned(ticket))
