"""Which pieces had left for good on a day, and why, whatever came back later: told from their moves."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.db.models import Q, QuerySet

from inventory.models import OUT, Article
from inventory.places.moves import selectors as moves

Left = dict[int, tuple[str, date]]


def still_here(day: date) -> Q:
    """Articles that had not left by the end of a day, or had and came back after it: which of the two, their moves tell."""
    return Q(gone_on__isnull=True) | Q(gone_on__gt=day)


def on(day: date) -> Left:
    """Of all pieces: why and when each had left by the end of a day, but for what left by then and is settled, which sums tell."""
    unsettled = Article.objects.filter(gone_on__lte=day).exclude(cost__settled_on__lte=day)
    here = Article.objects.filter(still_here(day), finished_on__lte=day)
    return left(day, Article.objects.filter(Q(pk__in=unsettled.values("pk")) | Q(pk__in=here.values("pk"))))


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
