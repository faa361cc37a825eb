"""Reads of articles: the list, one with its parts, floors by channel, and the price that reaches an aim."""

from __future__ import annotations

from inventory.models import Article


def kinds() -> list[str]:
    return list(Article.objects.order_by("kind").values_list("kind", flat=True).distinct()[:60])
