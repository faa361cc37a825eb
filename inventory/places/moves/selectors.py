"""Where things are and were, read from their moves."""

from datetime import date
from typing import Any

from django.db.models import BigIntegerField, Case, Exists, F, OuterRef, Q, QuerySet, Subquery, When

from inventory.articles.models import Article
from inventory.materials.models import Material
from inventory.places.models import Place
from inventory.places.moves.models import OUT, Move
from inventory.skins.models import Skin


def standing() -> QuerySet[Move]:
    """Moves that were not reversed, in the order they happened."""
    return Move.objects.filter(reversed_at__isnull=True).order_by("on", "pk")


def held_on(on: date) -> QuerySet[Article]:
    """Articles that were finished by then and had not left by the end of the day, customers' own among them."""
    last = standing().filter(article=OuterRef("pk"), on__lte=on).order_by("-on", "-pk").values("why")[:1]
    made = Article.objects.filter(finished_on__lte=on).annotate(last_why=Subquery(last))
    return made.filter(Q(last_why__isnull=True) | ~Q(last_why__in=OUT))


def of(thing: Article | Skin | Material) -> QuerySet[Move]:
    """The standing moves of one thing, the first one first."""
    name = thing._meta.model_name
    return standing().filter(**{str(name): thing}).select_related("to", "origin", "written_by").order_by("on", "pk")


def where(on: date) -> dict[int, Place]:
    """By article id: the place where a piece that had not left stood at the end of a day, told from its moves; left out where none
    is known."""
    places = Place.objects.in_bulk()
    return {pk: places[place] for pk, place in _stood(on).values_list("pk", "stood_at")}


def with_others(on: date) -> set[int]:
    """Ids of articles that stood at a gallery at the end of a day: somebody else has them, and they are the maker's."""
    galleries = Place.objects.filter(kind=Place.Kind.GALLERY).values("pk")
    moved = standing().filter(Q(to__in=galleries) | Q(origin__in=galleries), article__isnull=False).order_by()
    ever_there = Q(pk__in=moved.values("article")) | Q(place__in=galleries)
    return set(_stood(on).filter(ever_there, stood_at__in=galleries).values_list("pk", flat=True))


def _stood(on: date) -> QuerySet[Any]:
    """Articles that had not left by the end of a day, each with where it stood (`stood_at`), as far as that is known."""
    moves = standing().filter(article=OuterRef("pk"))
    before, after = moves.filter(on__lte=on), moves.filter(on__gt=on)
    # What moved only later stood where its next move took it from.
    stood_at = Case(
        When(Exists(before), then=Subquery(before.order_by("-on", "-pk").values("to")[:1])),
        When(Exists(after), then=Subquery(after.values("origin")[:1])),
        default=F("place"),
        output_field=BigIntegerField(),
    )
    here = Article.objects.filter(finished_on__lte=on).exclude(gone_on__lte=on).order_by()
    return here.annotate(stood_at=stood_at).filter(stood_at__isnull=False)
