"""Which pieces had left for good on a day, and why, whatever came back later: told from their moves."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.db.models import QuerySet

from inventory.models import OUT, Article
from inventory.places.moves import selectors as moves

Left = dict[int, tuple[str, date]]


def left(on: date, articles: Iterable[int] | QuerySet[Article, Any]) -> Left:
    """By article id, of these: why and on which day it had left for good by the end of a day."""
    return on_days((on,), articles)[0]


def on_days(days: Sequence[date], articles: Iterable[int] | QuerySet[Article, Any]) -> list[Left]:
    """The same of each of several days, all read at once."""
    these = articles if isinstance(articles, QuerySet) else list(articles)
    until = moves.standing().filter(on__lte=max(days))
    # One that never went out has not left, however often it was moved.
    out = until.filter(article__in=these, why__in=OUT).order_by().values("article")
    rows = list(until.filter(article__in=out).values_list("article", "why", "on"))
    found = []
    for day in days:
        last = {article: (why, on) for article, why, on in rows if on <= day}
        found.append({article: (why, on) for article, (why, on) in last.items() if why in OUT})
    return found
