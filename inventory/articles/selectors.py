"""Reads of articles. What they cost and bring is read upstairs."""

from django.db.models import QuerySet

from inventory.articles.models import Article
from inventory.base.finding import hits


def search(words: str) -> QuerySet[Article]:
    """Pieces by number, kind and grade."""
    return hits(Article.objects.all(), words, ("number", "kind", "grade"))
