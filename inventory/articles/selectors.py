"""Reads of articles: those that words find, and what is usual for the price of one. What they cost is read upstairs."""

from collections.abc import Collection
from decimal import Decimal

from django.db.models import QuerySet

from inventory.articles import rules
from inventory.articles.models import Article
from inventory.base import selectors as workshop
from inventory.base.finding import hits

# So many pieces, the last to be finished, say what is usual.
COMPARED = 60


def search(words: str) -> QuerySet[Article]:
    """Pieces by number, kind and grade."""
    return hits(Article.objects.all(), words, ("number", "kind", "grade"))


def odd_price(
    name: str, price: Decimal | None, *, kind: str, species: Collection[str], but: Article | None = None
) -> str | None:
    """What to ask of a list price, beside those of pieces of its kind and species, else of its species."""
    if not price:
        return None
    rows = Article.objects.filter(parts__skin__species__in=species, customers=False, list_price__isnull=False)
    if but is not None:
        rows = rows.exclude(pk=but.pk)
    usual = rules.Usual("others of its kind are listed at", _prices(rows.filter(kind__iexact=kind)))
    if not usual.prices:
        usual = rules.Usual("other pieces of its species are listed at", _prices(rows), same=False)
    return rules.odd_price(name, price, usual, workshop.shown)


def odd_for(article: Article, price: Decimal | None) -> str | None:
    """The same of a piece that is there, when it is priced."""
    species = set(article.parts.values_list("skin__species", flat=True))
    return odd_price(article.number, price, kind=article.kind, species=species, but=article)


def odd_sale(article: Article, price: Decimal) -> str | None:
    """The same of a price that it is sold at, beside its list price where it has one."""
    if article.list_price is None:
        return odd_for(article, price)
    usual = rules.Usual("its list price is", [article.list_price])
    return rules.odd_price(article.number, price, usual, workshop.shown)


def _prices(rows: QuerySet[Article]) -> list[Decimal]:
    found = rows.order_by("-finished_on", "-pk").distinct().values_list("pk", "finished_on", "list_price")
    return [price for _, _, price in found[:COMPARED] if price is not None]
