"""Late costs: what is written on a skin after its article was finished is shown as late, never dropped.

Frozen parts stay as they were; `late_book` and the article's book cost follow. Other services call this inside theirs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction

from costing import rollup
from costing.models import ArticleCost, Batch
from costing.rollup import Share
from costing.selectors import costs
from inventory import money
from inventory.models import Article, ArticleSkin, Skin
from inventory.selectors import workshop


def piece_shares(parts: Iterable[ArticleSkin], shares: dict[str, Share]) -> dict[int, Share]:
    """By article: the exact sum of its parts of skins."""
    pieces: dict[int, Share] = defaultdict(Share)
    for part in parts:
        pieces[part.article_id] += shares[part.skin.tag].times(Fraction(part.share_of, part.share_in))
    return pieces


def split_books(pieces: Sequence[Share], places: int) -> list[Decimal]:
    """Book costs of pieces finished together: the sum is rounded once and split, so that no cent is lost between them."""
    exact = [piece.book() for piece in pieces]
    total = money.half_up(sum(exact, Fraction(0)), places)
    if not total:
        return [Decimal(0)] * len(pieces)
    return money.allocate(total, exact, places)


def refresh(batch: Batch | None, skins: Sequence[Skin]) -> None:
    """After an entry on a batch or on named skins: bring the late costs of their finished articles up to date."""
    if batch is not None:
        refresh_batch(batch)
    else:
        _refresh(Article.objects.filter(parts__skin__in=skins))


def refresh_batch(batch: Batch) -> None:
    _refresh(Article.objects.filter(parts__skin__stays__batch=batch))


def _refresh(articles: Iterable[Article]) -> None:
    splits = set(ArticleCost.objects.filter(article__in=list(articles)).values_list("split", flat=True))
    if not splits:
        return
    rows = list(ArticleCost.objects.filter(split__in=splits).select_related("article").order_by("article__pk"))
    parts = list(ArticleSkin.objects.filter(article__in=[row.article_id for row in rows]).select_related("skin"))
    pieces = piece_shares(parts, costs.skin_shares({part.skin for part in parts}))
    places = workshop.places()
    for split in sorted(splits):
        group = [row for row in rows if row.split == split]
        books = split_books([pieces[row.article_id] for row in group], places)
        for row, book in zip(group, books, strict=True):
            rates = rollup.Rates(row.wage_per_hour, row.overhead_per_hour, row.frame_wear)
            row.late_book = book - row.book
            row.late_full = money.half_up(pieces[row.article_id].full(rates), places) - row.full
            row.save(update_fields=["late_book", "late_full"])
            if row.article.book_cost != book:
                row.article.book_cost = book
                row.article.save(update_fields=["book_cost"])
