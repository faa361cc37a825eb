"""Where things are and were, read from their moves."""

from datetime import date

from django.db.models import OuterRef, Q, QuerySet, Subquery

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


def where(on: date, among: Q | None = None) -> dict[int, Place]:
    """By article id: the place where a piece that had not left stood at the end of a day, told from its moves; left out where none
    is known. `among`: only of these articles."""
    here = Article.objects.filter(among or Q(), finished_on__lte=on).exclude(gone_on__lte=on)
    moved: dict[int, int | None] = {}
    for pk, day, to, origin in standing().filter(article__in=here).values_list("article", "on", "to", "origin"):
        if day <= on:
            moved[pk] = to
        else:
            # What moved only later stood where its next move took it from.
            moved.setdefault(pk, origin)
    still = {row.pk: row.place for row in here.filter(place__isnull=False).select_related("place").only("place")}
    places = {place.pk: place for place in still.values() if place}
    now = {pk: place.pk for pk, place in still.items() if place}
    found = {pk: place for pk, place in {**now, **moved}.items() if place is not None}
    if elsewhere := set(found.values()) - set(places):
        places |= Place.objects.in_bulk(elsewhere)
    return {pk: places[place] for pk, place in found.items()}


def with_others(on: date) -> set[int]:
    """Ids of articles that stood at a gallery at the end of a day: somebody else has them, and they are the maker's."""
    galleries = Place.objects.filter(kind=Place.Kind.GALLERY)
    moved = standing().filter(Q(to__in=galleries) | Q(origin__in=galleries), article__isnull=False).order_by()
    ever_there = Q(pk__in=moved.values("article")) | Q(place__in=galleries)
    return {pk for pk, place in where(on, ever_there).items() if place.kind == Place.Kind.GALLERY}
