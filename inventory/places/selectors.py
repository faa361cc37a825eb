"""Places as they are listed, with what is there."""

from django.db.models import Count, Q, QuerySet

from inventory.places.models import Place
from inventory.skins.models import Skin

ALIVE = (Skin.Stage.RAW, Skin.Stage.IN_WORK)


def places() -> QuerySet[Place]:
    """Places with how many materials and unfinished skins are there."""
    return Place.objects.annotate(
        goods=Count("materials", distinct=True), hides=Count("skins", filter=Q(skins__stage__in=ALIVE), distinct=True)
    ).order_by("name")
