"""Reads of finishing: the kinds of piece made before, what skins have cost so far, and the pieces of the same skins."""

from collections.abc import Iterable
from fractions import Fraction

from costing.make.cost import selectors as cost
from inventory.models import Article, Skin


def kinds() -> list[str]:
    return list(Article.objects.order_by("kind").values_list("kind", flat=True).distinct()[:60])


def book_of(skins: Iterable[Skin]) -> Fraction:
    """Book cost of skins so far, in all."""
    return sum((share.book() for share in cost.skin_shares(skins).values()), Fraction(0))


def of_the_same_skins(article: Article) -> list[str]:
    """Numbers of the other pieces made of the skins of a piece."""
    skins = [part.skin for part in article.parts.all()]
    return sorted({part.article.number for skin in skins for part in skin.parts.all()} - {article.number})
