"""Where things are and were, read from their moves."""

from __future__ import annotations

from datetime import date

from django.db.models import OuterRef, Q, QuerySet, Subquery

from inventory.models import OUT, Article, Material, Move, Skin


def standing() -> QuerySet[Move]:
    """Moves that were not taken back, in the order they happened."""
    return Move.objects.filter(taken_back_at__isnull=True).order_by("on", "pk")


def held_on(on: date) -> QuerySet[Article]:
    """Articles that were finished by then and had not left by the end of the day, customers' own among them."""
    last = standing().filter(article=OuterRef("pk"), on__lte=on).order_by("-on", "-pk").values("why")[:1]
    made = Article.objects.filter(finished_on__lte=on).annotate(last_why=Subquery(last))
    return made.filter(Q(last_why__isnull=True) | ~Q(last_why__in=OUT))


def of(thing: Article | Skin | Material) -> QuerySet[Move]:
    """The standing moves of one thing, the first one first."""
    name = thing._meta.model_name
    return standing().filter(**{str(name): thing}).select_related("to", "origin").order_by("on", "pk")
