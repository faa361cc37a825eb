"""Reads own sales of pieces with an area, for what a defect takes off."""

from costing.make.readings.areas.models import PhotoArea
from costing.sell.pricing.defects import rules
from costing.sell.pricing.defects.rules import Sold, Taken
from costing.sell.sales.models import SaleLine
from inventory.base import selectors as workshop
from inventory.models import Article


def taken_off(article: Article, photo: PhotoArea | None) -> Taken | None:
    """What the defects that are marked in its photo take off a piece, by own sales of its species; None where none are marked, it
    has no grade, or too few of that grade were sold."""
    if photo is None or photo.usable == photo.area or not article.grade:
        return None
    return rules.taken_off(photo.area, photo.usable, article.grade, rules.by_grade(_sold(photo)), workshop.places())


def _sold(photo: PhotoArea) -> list[Sold]:
    """Pieces of the same species that were sold and not sent back."""
    rows = SaleLine.objects.filter(
        standing=True, article__area__isnull=False, article__parts__skin__species__iexact=photo.skin.species
    ).exclude(article__grade="")
    # A piece of two skins of the species is one sale.
    sales = set(rows.values_list("pk", "article__grade", "article__area", "net"))
    return [Sold(grade, area, net) for _, grade, area, net in sales if area]
